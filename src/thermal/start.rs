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

/// The state after a long time at one load and ambient.
///
/// Where the cooling stages would cycle (too hot for the weaker one, too cool for the
/// stronger), the weaker stage is taken just at the temperature that starts the next:
/// the hottest point of the cycle.
pub fn steady<F: Form>(
    form: &F,
    cooling: &Cooling,
    load_pu: f64,
    ambient_c: f64,
) -> Start<F::State> {
    settled(form, cooling, load_pu, ambient_c, |_hotter| true)
}

/// The hottest state that the controls allow at one load and ambient: as [`steady`], but with
/// the weaker stage still in service, just below the temperature that starts the next, where
/// that is hotter than the stronger stage in its steady state.
pub fn hottest<F: Form>(
    form: &F,
    cooling: &Cooling,
    load_pu: f64,
    ambient_c: f64,
) -> Start<F::State> {
    settled(form, cooling, load_pu, ambient_c, |hotter| hotter)
}

/// Goes up the stages while each is too hot for its controls. `goes_up` says whether to go on to
/// a stronger stage that would stay in service, told whether its oil is the hotter one.
fn settled<F: Form>(
    form: &F,
    cooling: &Cooling,
    load_pu: f64,
    ambient_c: f64,
    goes_up: impl Fn(bool) -> bool,
) -> Start<F::State> {
    let at = |stage: usize| form.steady(&cooling.stages[stage], load_pu, ambient_c);
    let mut stage = cooling.first();
    let mut state = at(stage);
    if cooling.control != Control::Automatic {
        return Start { state, stage };
    }
    let reading = |state: &F::State, sensor| match sensor {
        Sensor::TopOil => form.top_oil_c(state, ambient_c),
        Sensor::Winding => form.hot_spot_c(state, ambient_c),
    };
    while let Some(switching) = cooling.stages.get(stage + 1).and_then(|next| next.switching) {
        let excess_k = reading(&state, switching.sensor) - switching.start_c;
        if excess_k < 0.0 {
            break;
        }
        let about_to_start = form.shifted(&state, -excess_k);
        let stronger = at(stage + 1);
        let stays = reading(&stronger, switching.sensor) > switching.stop_c;
        let hotter =
            form.top_oil_c(&stronger, ambient_c) > form.top_oil_c(&about_to_start, ambient_c);
        if !stays || !goes_up(hotter) {
            return Start { state: about_to_start, stage };
        }
        stage += 1;
        state = stronger;
    }
    Start { state, stage }
}

/// The state at minute 0 after a load and ambient history.
///
/// The history itself must begin somewhere: it is given the [`hottest`] state of its own
/// *highest* load. A short history is reported all the same.
pub fn after_history<F: Form>(
    form: &F,
    cooling: &Cooling,
    load: &LoadSteps,
    ambient: &AmbientLine,
) -> Start<F::State> {
    let first = load.steps()[0].0;
    let greatest = load.greatest_between(first, 0.0);
    let begin = hottest(form, cooling, greatest, ambient.at(first));
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
