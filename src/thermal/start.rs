//! The state in which the overload begins, in order of trust: measured top oil with a
//! history, a history alone, or the steady state at the preload.

use super::cooling::{Control, Cooling, Stage, Switching};
use super::schedule::{AmbientLine, LoadSteps, breakpoints};
use super::trajectory::{Plan, Run};
use super::{Model, State};

/// A state and the cooling stage that goes with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// Temperatures.
    pub state: State,
    /// Index of the stage in service.
    pub stage: usize,
}

/// The states that the unit may be in after a long time at one load and ambient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settled {
    /// The steady state. Where the cooling stages would cycle (too hot for the weaker one, too
    /// cool for the stronger), the weaker stage just at the temperature that starts the next.
    pub steady: Start,
    /// A state at least as hot as every state that the controls allow: the steady one, and each
    /// weaker stage just before the next one starts.
    pub hottest: State,
    /// A state at least as hot as every one on the way there, with the winding at rest above the oil at which the next stage
    /// starts.
    pub on_the_way: State,
    /// The hottest in which a stage may still wait for the next one to start, just below its start; `None` where none waits.
    pub waiting: Option<Start>,
    /// The coolest state of the cycle, where the stages would cycle; else the steady state.
    pub coolest: State,
    /// The hottest top oil that the controls of the stages explain, °C: a reading up to there is no excess.
    pub explained_c: f64,
}

/// What waits for the next stage to start is below its start by this, K: a rounding error would start it.
const BELOW_K: f64 = 1.0e-3;

/// The states after a long time; cooling that is lost later is not yet.
pub fn settled<M: Model>(form: &M, cooling: &Cooling, load_pu: f64, ambient_c: f64) -> Settled {
    settled_in(form, &cooling.stages, cooling.control, load_pu, ambient_c)
}

/// The same in these stages under this control: goes up the stages while each is too hot for its
/// controls.
pub fn settled_in<M: Model>(
    form: &M,
    stages: &[Stage],
    control: Control,
    load_pu: f64,
    ambient_c: f64,
) -> Settled {
    let at = |stage: usize| form.steady_state(&stages[stage], load_pu, ambient_c);
    let mut cycle_k = 0.0;
    let (mut stage, mut waiting, mut passing) = (control.first(), None::<State>, None::<State>);
    let weakest = stage;
    let mut state = at(stage);
    let automatic = control == Control::Automatic;
    let switching_to = |stage: usize| stages.get(stage).and_then(|stage| stage.switching);
    while let Some(switching) = switching_to(stage + 1).filter(|_| automatic) {
        let excess_k = switching.sensor.of(&state) - switching.start_c;
        if excess_k < 0.0 {
            break;
        }
        let hotter = |known: Option<State>, state: State| {
            Some(known.map_or(state, |known| known.hotter_of(&state)))
        };
        let at_rest =
            form.cooled(&stages[stage], (load_pu, ambient_c), (&state, excess_k), |state| {
                switching.sensor.of(state)
            });
        passing = hotter(passing, at_rest);
        let stronger = at(stage + 1);
        if switching.sensor.of(&stronger) <= switching.stop_c {
            waiting = hotter(waiting, at_rest);
            state = at_rest;
            cycle_k = switching.start_c - switching.stop_c;
            break;
        }
        waiting = hotter(waiting, state.shifted(-excess_k));
        stage += 1;
        state = stronger;
    }
    let hottest = waiting.map_or(state, |waiting| waiting.hotter_of(&state));
    let hottest = with_least_gradient_2(hottest, stages, |stage| {
        form.steady_state(stage, load_pu, ambient_c)
    });
    Settled {
        steady: Start { state, stage },
        hottest,
        on_the_way: passing.map_or(hottest, |passing| passing.hotter_of(&hottest)),
        waiting: waiting.map(|state| Start { state: state.shifted(-BELOW_K), stage: weakest }),
        coolest: state.shifted(-cycle_k),
        explained_c: hottest.top_oil_c,
    }
}

/// The states after a long time at a load, where a stage waits for the next one: from the oil that starts that, or as hot as the
/// load makes it, down to the oil that stops it. Panics where there is no stage of that index.
pub fn waiting_in<M: Model>(
    form: &M,
    stages: &[Stage],
    weaker: usize,
    (load_pu, ambient_c): (f64, f64),
) -> Settled {
    let after = |stage: &Stage| form.steady_state(stage, load_pu, ambient_c);
    let at_rest = after(&stages[weaker]);
    let with = |hottest: State, coolest_k: f64, explained_c: f64| {
        let hottest = with_least_gradient_2(hottest, stages, after);
        Settled {
            steady: Start { state: hottest, stage: weaker },
            hottest,
            on_the_way: hottest,
            waiting: None,
            coolest: hottest.shifted(-coolest_k),
            explained_c,
        }
    };
    let switching = stages.get(weaker + 1).and_then(|next| next.switching);
    let Some(Switching { sensor, start_c, stop_c }) = switching else {
        return with(at_rest, 0.0, at_rest.top_oil_c);
    };
    let above_k = sensor.of(&at_rest) - start_c;
    if above_k < 0.0 {
        let cycle_k = (above_k + start_c - stop_c).max(0.0);
        return with(at_rest, cycle_k, at_rest.top_oil_c);
    }
    let above = (load_pu, ambient_c);
    let waits = form.cooled(&stages[weaker], above, (&at_rest, above_k), |state| sensor.of(state));
    with(waits, start_c - stop_c, waits.top_oil_c)
}

/// It is one winding, so that its gradient at a load is about the same in all stages. Where a typical one is greater than the
/// unit's own, the smallest second gradient of any stage counts, because it is subtracted.
fn with_least_gradient_2(
    hottest: State,
    stages: &[Stage],
    after: impl Fn(&Stage) -> State,
) -> State {
    let typical = stages.iter().any(|stage| stage.gradient_typical);
    let gradients_2 = stages.iter().filter(|_| typical).map(|stage| after(stage).gradient_2_k);
    State { gradient_2_k: gradients_2.fold(hottest.gradient_2_k, f64::min), ..hottest }
}

/// The states at minute 0 after a load and ambient history that began in a given state.
///
/// The history itself must begin somewhere: [`beginning`] gives the ends of what is possible.
pub fn after_history<M: Model>(
    form: &M,
    cooling: &Cooling,
    load: &LoadSteps,
    ambient: &AmbientLine,
    begin: Start,
) -> Start {
    through_history(form, cooling, load, ambient, begin)
        .map_or(begin, |run| Start { state: run.end, stage: run.end_stage })
}

/// The run through a history up to minute 0; `None` where it has no past.
pub fn through_history<M: Model>(
    form: &M,
    cooling: &Cooling,
    load: &LoadSteps,
    ambient: &AmbientLine,
    begin: Start,
) -> Option<Run> {
    let first = load.steps()[0].0;
    if first >= 0.0 {
        return None;
    }
    let minutes = history_minutes(load, ambient);
    let plan = Plan { cooling, load, ambient, breakpoints: &minutes };
    Some(form.run(&plan, begin.state, begin.stage))
}

/// The breakpoints of a history up to minute 0.
pub fn history_minutes(load: &LoadSteps, ambient: &AmbientLine) -> Vec<f64> {
    let first = load.steps()[0].0;
    breakpoints(first, 0.0, load, ambient, &samples_between(first, 0.0))
}

/// Load that a unit may have carried before a history, pu, where the history itself has no greater one. Our choice:
/// the rating; more is an overload, which whoever asks would know of.
const BEFORE_PU: f64 = 1.0;

/// What may have been before the first row of a history, whose own loads say nothing of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Began {
    /// At its hottest: after the rated load, or the greatest load of the history if that is greater.
    Hottest,
    /// As [`Self::Hottest`], but where a stage may still have waited for the next one to start.
    Waiting,
    /// At its coolest: after no load at all.
    Coolest,
    /// As [`Self::Hottest`], but as if the history's own greatest load had been before it.
    OwnHottest,
    /// As [`Self::Coolest`], but as if the history's own least load had been before it.
    OwnCoolest,
}

impl Began {
    /// The steady load before the history, pu.
    pub fn load_pu(self, load: &LoadSteps) -> f64 {
        let loads = load.steps().iter().map(|step| step.1);
        match self {
            Self::Hottest | Self::Waiting => loads.fold(BEFORE_PU, f64::max),
            Self::Coolest => 0.0,
            Self::OwnHottest => loads.fold(0.0, f64::max),
            Self::OwnCoolest => loads.fold(f64::MAX, f64::min),
        }
    }

    /// Whether it is a hot end.
    pub fn is_hot(self) -> bool {
        matches!(self, Self::Hottest | Self::Waiting | Self::OwnHottest)
    }

    /// The state of the end.
    pub fn state(self, settled: &Settled) -> Start {
        let state = if self.is_hot() { settled.hottest } else { settled.coolest };
        let own = Start { state, stage: settled.steady.stage };
        if self == Self::Waiting { settled.waiting.unwrap_or(own) } else { own }
    }
}

/// How a history may have begun.
pub fn beginning<M: Model>(
    form: &M,
    cooling: &Cooling,
    load: &LoadSteps,
    ambient: &AmbientLine,
    began: Began,
) -> Start {
    let ambient_c = ambient.at(load.steps()[0].0);
    began.state(&settled(form, cooling, began.load_pu(load), ambient_c))
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
