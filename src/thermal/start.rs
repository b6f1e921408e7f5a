//! The state in which the overload begins, in order of trust: measured top oil with a
//! history, a history alone, or the steady state at the preload.

use super::Form;
use super::cooling::{Control, Cooling, Sensor};
use super::schedule::{AmbientLine, LoadSteps, breakpoints};
use super::trajectory::{Plan, simulate};

/// A state and the cooling stage that goes with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start<S> {
    /// Temperatures.
    pub state: S,
    /// Index of the stage in service.
    pub stage: usize,
}

/// The states that the unit may be in after a long time at one load and ambient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settled<S> {
    /// The steady state. Where the cooling stages would cycle (too hot for the weaker one, too
    /// cool for the stronger), the weaker stage just at the temperature that starts the next.
    pub steady: Start<S>,
    /// A state at least as hot as every state that the controls allow: the steady one, and each
    /// weaker stage just before the next one starts.
    pub hottest: S,
    /// The coolest state of the cycle, where the stages would cycle; else the steady state.
    pub coolest: S,
}

/// Goes up the stages while each is too hot for its controls.
pub fn settled<F: Form>(
    form: &F,
    cooling: &Cooling,
    load_pu: f64,
    ambient_c: f64,
) -> Settled<F::State> {
    let at = |stage: usize| form.steady(&cooling.stages[stage], load_pu, ambient_c);
    let reading = |state: &F::State, sensor| match sensor {
        Sensor::TopOil => form.top_oil_c(state, ambient_c),
        Sensor::Winding => form.hot_spot_c(state, ambient_c),
    };
    let mut cycle_k = 0.0;
    let (mut stage, mut waiting) = (cooling.first(), None::<F::State>);
    let mut state = at(stage);
    let automatic = cooling.control == Control::Automatic;
    let switching_to = |stage: usize| cooling.stages.get(stage).and_then(|stage| stage.switching);
    while let Some(switching) = switching_to(stage + 1).filter(|_| automatic) {
        let excess_k = reading(&state, switching.sensor) - switching.start_c;
        if excess_k < 0.0 {
            break;
        }
        let about_to_start = form.shifted(&state, -excess_k);
        let hotter = |known: F::State| form.hotter_of(&known, &about_to_start);
        waiting = Some(waiting.map_or(about_to_start, hotter));
        let stronger = at(stage + 1);
        if reading(&stronger, switching.sensor) <= switching.stop_c {
            state = about_to_start;
            cycle_k = switching.start_c - switching.stop_c;
            break;
        }
        stage += 1;
        state = stronger;
    }
    let hottest = waiting.map_or(state, |waiting| form.hotter_of(&waiting, &state));
    Settled { steady: Start { state, stage }, hottest, coolest: form.shifted(&state, -cycle_k) }
}

/// The state at minute 0 after a load and ambient history.
///
/// The history itself must begin somewhere: it is given the hottest state that the controls
/// allow at its own *highest* load. A short history is reported all the same.
pub fn after_history<F: Form>(
    form: &F,
    cooling: &Cooling,
    load: &LoadSteps,
    ambient: &AmbientLine,
) -> Start<F::State> {
    let first = load.steps()[0].0;
    let greatest = load.greatest_between(first, 0.0);
    let begin = settled(form, cooling, greatest, ambient.at(first));
    let begin = Start { state: begin.hottest, stage: begin.steady.stage };
    if first >= 0.0 {
        return begin;
    }
    let minutes = breakpoints(first, 0.0, load, ambient, &samples_between(first, 0.0));
    // A loss of cooling lies in the future and does not reach back into the history.
    let cooling = Cooling { lost_at_min: None, ..cooling.clone() };
    let plan = Plan { cooling: &cooling, load, ambient, breakpoints: &minutes };
    let run = simulate(form, &plan, begin.state, begin.stage);
    Start { state: run.end, stage: run.end_stage }
}

/// Five-minute sampling, close enough to see the cooling stages switch.
fn samples_between(from_min: f64, until_min: f64) -> Vec<f64> {
    let mut samples = Vec::new();
    let mut minute = from_min;
    while minute < until_min {
        samples.push(minute);
        minute += 5.0;
    }
    samples
}
