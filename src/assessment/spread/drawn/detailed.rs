//! Draws as the detailed model takes them.

use super::super::inputs::{Inputs, Values};
use super::past::{Errors, Past};
use super::{IEC, Making, Off};
use crate::assessment::case::Case;
use crate::assessment::course::Starts;
use crate::assessment::plant::Plant;
use crate::assessment::possible::WhichStart;
use crate::thermal::State;
use crate::thermal::cooling::Stage;
use crate::thermal::detailed::{Detailed, OWN_INPUTS};
use crate::thermal::iec::Iec;
use crate::thermal::start::Start;
use std::ops::Range;

/// One draw, ready for any load.
#[derive(Debug)]
pub(in crate::assessment::spread) struct Member {
    pub(in crate::assessment::spread) stages: Vec<Stage>,
    pub(in crate::assessment::spread) form: Detailed,
    pub(in crate::assessment::spread) start: Start,
    /// Errors of load and ambient, in standard uncertainties.
    pub(in crate::assessment::spread) load_error: f64,
    pub(in crate::assessment::spread) ambient_error: f64,
}

/// Makes draws ready; `own`: how far the inputs are off that only this model has, in standard uncertainties. After a
/// history a draw's start lies as far from the start without draws as in the IEC form: taking each through it would take too long.
pub(in crate::assessment::spread) fn members(
    (case, plant): (&Case, &Plant<'_>),
    (inputs, all): (&Inputs, &[Values]),
    own: &[[f64; OWN_INPUTS]],
    which: WhichStart,
) -> Vec<Member> {
    let (count, values) = (all.len(), |draws: Range<usize>| all[draws].to_vec());
    let making = Making { case, plant, which, inputs, count, values: &values, known: None };
    let past = Past::of(&making);
    let plain = plant.starts_of(which);
    let some = |draws: Range<usize>| {
        let mut members = Vec::with_capacity(draws.len());
        making.each(draws, |draw, values, stages| {
            let errors = Errors::of(case, inputs, values);
            let own: Vec<Stage> = stages.iter().map(|stage| with_own(stage, &own[draw])).collect();
            let (form, start) = if past.is_steady() {
                let pasts = past.pasts((IEC, &Detailed::default()), draw, &own, &errors);
                making.begun((&pasts, 0.0), values, |added_rise_k| Detailed { added_rise_k })
            } else {
                let pasts = past.pasts((IEC, &Iec::default()), draw, stages, &errors);
                let (iec, start) =
                    making.begun((&pasts, 0.0), values, |added_rise_k| Iec { added_rise_k });
                beside(plain, (iec, start))
            };
            let off = Off::of(values);
            members.push(Member {
                stages: own,
                form,
                start,
                load_error: off.load,
                ambient_error: off.ambient,
            });
        });
        members
    };
    making.in_chunks(some).into_iter().flatten().collect()
}

fn with_own(stage: &Stage, own: &[f64; OWN_INPUTS]) -> Stage {
    Stage { detailed: stage.detailed.off(own), ..stage.clone() }
}

/// A draw as far from the detailed model without draws as the IEC form's is from that form without.
fn beside(plain: &Starts, (iec, start): (Iec, Start)) -> (Detailed, Start) {
    let added_k = iec.added_rise_k - plain.iec.form.added_rise_k;
    let added_rise_k = (plain.detailed.form.added_rise_k + added_k).max(0.0);
    let states = (&plain.detailed.start.state, &plain.iec.start.state);
    (Detailed { added_rise_k }, Start { state: state_beside(states, &start.state), ..start })
}

/// A state as far from one as a lag form's state is from another: the average winding takes part in the gradient as it
/// does there.
fn state_beside((detailed, plain): (&State, &State), drawn: &State) -> State {
    let gradient_k = |state: &State| state.gradient_1_k - state.gradient_2_k;
    let share = gradient_k(drawn) / gradient_k(plain);
    let share = if share.is_finite() { share.max(0.0) } else { 1.0 };
    State {
        top_oil_c: detailed.top_oil_c + drawn.top_oil_c - plain.top_oil_c,
        gradient_1_k: detailed.gradient_1_k * share,
        gradient_2_k: detailed.gradient_2_k * share,
    }
}
