//! A 5 % point from few thermal draws, where many starts are compared.

use super::LOW;
use super::inputs::{Inputs, Values};
use super::pairs::Inceptions;
use crate::thermal::ensemble::WIDTH;
use crate::uncertainty::points::Points;

/// The inputs at their medians go along as one draw more: together they fill the lanes.
pub(super) const THERMAL_DRAWS: usize = WIDTH - 1;

/// The first of the draws of some points, then the medians.
pub(super) fn values(inputs: &Inputs, points: &Points) -> Vec<Values> {
    let rows = points.rows(0..THERMAL_DRAWS.min(points.draws()));
    let mut values: Vec<Values> =
        rows.chunks(inputs.columns()).map(|row| inputs.values(row)).collect();
    values.push(inputs.medians());
    values
}

/// The 5 % point of the margin by the hottest hot spots of such draws, the medians last, less what doubt alone would
/// gain, K; −∞ beyond the range of the correlations.
///
/// ```text
/// P(margin < x) = mean over thermal draws of P(inception < x + hot spot)
/// ```
/// # Source       `project-choice`: no input of the inception temperature is one of the hot spot, so that every
/// thermal draw can be held against every inception temperature, and few of the dear ones are enough.
/// # Valid        Paper as wet as the bulk: then water does not depend on the load.
/// # Departures   None.
/// # Checked      `tests/plan/brute_force.rs` and `tests/starts/` against all draws.
pub(super) fn margin_p05_k(
    inceptions: &Inceptions,
    inception_of_medians_c: f64,
    hot_c: &[f64],
) -> f64 {
    let Some((of_medians_c, drawn)) = hot_c.split_last() else { return f64::NEG_INFINITY };
    let p50_k = inceptions.margin_k(drawn, 0.5);
    let gain_k = p50_k - (inception_of_medians_c - of_medians_c);
    // Beyond the range of the correlations neither is a number, and nothing is gained.
    let gain_k = if gain_k > 0.0 && gain_k.is_finite() { gain_k } else { 0.0 };
    inceptions.margin_k(drawn, LOW) - gain_k
}
