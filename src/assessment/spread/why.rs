//! What makes the answer uncertain: each input's share of the variance of the margin, and what the
//! margin is at either end of it alone.

use super::drawn::Drawn;
use super::inputs::{Inputs, Quantity};
use super::lift::Lift;
use super::propagation::margins_k;
use super::{Chance, Draws, LOW};
use crate::assessment::case::Case;
use crate::assessment::course::Course;
use crate::assessment::plant::Plant;
use crate::assessment::possible::WhichStart;
use crate::uncertainty::estimate::Estimate;
use crate::uncertainty::indices::sobol_indices;
use crate::uncertainty::points::Points;
use serde::Serialize;

/// Replicates and points of each for the indices: enough for shares within a few per cent.
const REPLICATES: u32 = 8;
const EACH: u32 = 128;

/// What one input does to the margin.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Cause {
    /// Which input.
    pub quantity: Quantity,
    /// By how much the variance of the margin would fall if this input alone were known.
    pub first_order: Chance,
    /// What would be left of the variance if everything but this input were known.
    pub total: Chance,
    /// Margin with the input at its 5 % point and everything else at its own value, K.
    pub margin_at_p05_k: Option<f64>,
    /// Margin with the input at its 95 % point, K.
    pub margin_at_p95_k: Option<f64>,
}

impl Draws {
    /// The inputs, those with the greatest total share first; empty where the margin does not vary
    /// or has no finite value in some draw.
    pub(in crate::assessment) fn why(
        &self,
        (case, plant): (&Case, &Plant<'_>),
        course: &Course,
    ) -> Vec<Cause> {
        let inputs = &self.ready.inputs;
        let load = &case.request.loading.load;
        let from = self.ready.started(self.asked.which);
        let lift = self.ready.lift((case, plant), (load, course), from);
        let from = (inputs, self.asked.which, &lift);
        let Some(shares) = shares(case, plant, from, self.ready.seed) else {
            return Vec::new();
        };
        let ends = ends(case, plant, from);
        let mut causes: Vec<Cause> = inputs
            .uncertain
            .iter()
            .zip(shares)
            .zip(ends.chunks(2))
            .map(|((input, (first, total)), ends)| Cause {
                quantity: input.quantity,
                first_order: first.into(),
                total: total.into(),
                margin_at_p05_k: finite(ends[0]),
                margin_at_p95_k: finite(ends[1]),
            })
            .collect();
        causes.sort_by(|a, b| b.total.probability.total_cmp(&a.total.probability));
        causes
    }
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

/// First-order and total Sobol indices of each uncertain input.
fn shares(
    case: &Case,
    plant: &Plant<'_>,
    (inputs, which, lift): (&Inputs, WhichStart, &Lift),
    seed: u32,
) -> Option<Vec<(Estimate, Estimate)>> {
    let columns = u32::try_from(inputs.columns()).ok()?;
    let points = Points::new(seed, REPLICATES, EACH, 2 * columns).ok()?;
    let load = &case.request.loading.load;
    let indices = sobol_indices(&points, |rows| {
        let values: Vec<_> = rows.chunks(inputs.columns()).map(|row| inputs.values(row)).collect();
        let drawn = Drawn::from_values(case, plant, (inputs, &values), which);
        margins_k(case, plant, inputs, &drawn, (load, lift))
    });
    let shares = indices.ok()?.shares;
    Some(shares.into_iter().map(|share| (share.first, share.total)).collect())
}

/// Margins with each input at its 5 % and at its 95 % point, the others at their own values, K.
fn ends(
    case: &Case,
    plant: &Plant<'_>,
    (inputs, which, lift): (&Inputs, WhichStart, &Lift),
) -> Vec<f64> {
    let both = inputs
        .uncertain
        .iter()
        .flat_map(|input| [LOW, 1.0 - LOW].map(|share| (input.quantity, input.at(share))));
    let values: Vec<_> =
        both.map(|(quantity, value)| inputs.central().with(quantity, value)).collect();
    let drawn = Drawn::from_values(case, plant, (inputs, &values), which);
    margins_k(case, plant, inputs, &drawn, (&case.request.loading.load, lift))
}
