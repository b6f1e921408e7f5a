//! The states that each draw may be in at minute 0.

use super::super::inputs::{Inputs, Quantity, Values};
use super::{CHUNK, IEC, IEEE, InForm, LAGGED, Making, Off, common, with_doubt};
use crate::assessment::case::{Case, StartFrom};
use crate::assessment::past::{Before, Ends, JUST_BEFORE_MIN, ambient_before, settled_at};
use crate::assessment::possible::{Pasts, WhichStart};
use crate::loading::history::History;
use crate::thermal::cooling::Stage;
use crate::thermal::ensemble::{Ensemble, OnlyEnd, Steps};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::start::{Began, Start, history_minutes, settled_in, waiting_in};
use crate::thermal::trajectory::Plan;
use crate::thermal::{Form, Model};

/// What was before minute 0.
pub(super) struct Past {
    which: WhichStart,
    before: Before,
    /// The load before as stated, or at the end of the history, per unit.
    load_pu: f64,
    /// Ambient at minute 0, °C.
    ambient_c: f64,
    /// With a history: the ends of each draw, in each form.
    ends: Option<[Vec<Ends>; 3]>,
    /// Where the load before may have changed up to minute 0, the least that it may have been, per unit.
    least_pu: Option<f64>,
}

impl Past {
    pub(super) fn of(making: &Making<'_>) -> Self {
        let (case, plant) = (making.case, making.plant);
        let ends = match &case.request.start {
            StartFrom::Preload(_) => None,
            StartFrom::History(history) => {
                let mut ends = [Vec::new(), Vec::new(), Vec::new()];
                ends[IEC] = after_history(making, history, &Iec::default());
                ends[IEEE] = after_history(making, history, &Ieee::default());
                ends[LAGGED] = after_history(making, history, &Ieee::LAGGED);
                Some(ends)
            }
        };
        Self {
            which: making.which,
            before: Before::of(&plant.cooling),
            load_pu: match &case.request.start {
                StartFrom::Preload(load_pu) => *load_pu,
                StartFrom::History(history) => history.load.at(-JUST_BEFORE_MIN),
            },
            ambient_c: case.request.ambient.at(0.0),
            ends,
            least_pu: case.request.preload_varies.then_some(case.request.preload_from_pu),
        }
    }

    /// Whether it is a steady load, and no history.
    pub(super) fn is_steady(&self) -> bool {
        self.ends.is_none()
    }

    /// The states that a draw may be in, by one model; after a history the model is one of the forms.
    pub(super) fn pasts<M: Model>(
        &self,
        (form, plain): (usize, &M),
        draw: usize,
        stages: &[Stage],
        errors: &Errors,
    ) -> Pasts {
        let ambient_c = self.ambient_c + errors.ambient_k;
        let after = |load_pu: f64| {
            settled_at(plain, stages, self.before, errors.load_pu(load_pu), ambient_c)
        };
        let now = after(self.load_pu);
        let stated = match &self.ends {
            None => now,
            Some(ends) => ends[form][draw].between(&now, self.before.stages(stages)),
        };
        let own = match self.which {
            WhichStart::From(load_pu) => after(load_pu),
            WhichStart::InCycle { load_pu, weaker, .. } => {
                waiting_in(plain, stages, weaker, (errors.load_pu(load_pu), ambient_c))
            }
            WhichStart::Stated | WhichStart::Cooler { .. } | WhichStart::AsRead => stated,
        };
        Pasts { which: self.which, stated, own, least: self.least_pu.map(after) }
    }
}

/// Errors of what was measured at and before minute 0.
pub(super) struct Errors {
    load_share: f64,
    ambient_k: f64,
}

impl Errors {
    pub(super) fn of(case: &Case, inputs: &Inputs, values: &Values) -> Self {
        let std = |quantity, std: f64| if inputs.varies(quantity) { std } else { 0.0 };
        let request = &case.request;
        let load = std(Quantity::Load, request.load_error.std_at(0.0) / 100.0);
        let ambient_k = std(Quantity::Ambient, request.ambient_error.std_at(0.0));
        Self {
            load_share: values.of(Quantity::Load) * load,
            ambient_k: values.of(Quantity::Ambient) * ambient_k,
        }
    }

    fn load_pu(&self, load_pu: f64) -> f64 {
        (load_pu * (1.0 + self.load_share)).max(0.0)
    }
}

/// Where each draw may be at the end of a history.
fn after_history<F: Form>(making: &Making<'_>, history: &History, plain: &F) -> Vec<Ends> {
    let ends = |began| ends_of(making, history, plain, began);
    let (hot, cool) = (ends(Began::Hottest), ends(Began::Coolest));
    let (waiting, own) = (ends(Began::Waiting), ends(Began::OwnCoolest));
    let all = hot.into_iter().zip(waiting).zip(cool).zip(own);
    all.map(|(((hot, waiting), cool), own_cool)| Ends { hot, waiting, cool, own_cool }).collect()
}

/// Each draw at the end of a history that began in one way.
fn ends_of<F: Form>(making: &Making<'_>, history: &History, plain: &F, began: Began) -> Vec<Start> {
    let Making { case, plant, inputs, count, .. } = *making;
    let ambient = ambient_before(case, history);
    let before = Before::of(&plant.cooling);
    let cooling = before.cooling(&plant.cooling, began.is_hot());
    let stages = cooling.stages.len();
    let chunks = begun(making, plain, history, (before, began));
    let minutes = history_minutes(&history.load, &ambient);
    let plan =
        Plan { cooling: &cooling, load: &history.load, ambient: &ambient, breakpoints: &minutes };
    let steps = with_doubt(case, inputs, |doubt| Steps::of(&plan, doubt));
    let member = |draw: usize| {
        let (form, errors) = &chunks[draw / CHUNK];
        form.member(stages, draw % CHUNK, errors[draw % CHUNK])
    };
    let ensemble = Ensemble::new(plain, &steps, &cooling, common(inputs));
    let outcomes = ensemble.run(count, member, |_| OnlyEnd, |_, _| ());
    let (from_c, to_c) = (ambient.at(0.0), case.request.ambient.at(0.0));
    let moved = |end: Start| {
        let state = plain.moved(&end.state, from_c, to_c);
        Start { state, ..end }
    };
    outcomes.into_iter().map(|outcome| moved(outcome.end)).collect()
}

/// The draws at the beginning of a history.
fn begun<F: Form>(
    making: &Making<'_>,
    plain: &F,
    history: &History,
    (before, began): (Before, Began),
) -> Vec<(InForm, Vec<Off>)> {
    let begins_pu = began.load_pu(&history.load);
    let begins_c = ambient_before(making.case, history).at(history.load.steps()[0].0);
    let control = before.control(began.is_hot());
    making.in_chunks(|draws| {
        let (mut form, mut all_errors) = (InForm::default(), Vec::with_capacity(draws.len()));
        making.each(draws, |_, values, stages| {
            let errors = Errors::of(making.case, making.inputs, values);
            let (load_pu, ambient_c) = (errors.load_pu(begins_pu), begins_c + errors.ambient_k);
            let stages = before.stages(stages);
            let found = settled_in(plain, stages, control, load_pu, ambient_c);
            form.push(plain, stages, began.state(&found));
            all_errors.push(Off::of(values));
        });
        (form, all_errors)
    })
}
