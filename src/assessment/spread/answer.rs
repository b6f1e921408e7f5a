//! How uncertain the answer is, as plain data.

use super::inputs::{Input, Quantity};
use super::over_time::OverTime;
use super::{LOW, why};
use crate::uncertainty::estimate::{Estimate, quantile, quantiles};
use serde::Serialize;

/// How uncertain the answer is.
#[derive(Debug, Clone, Serialize)]
pub struct Spread {
    /// How it was sampled.
    pub sampling: SamplingUsed,
    /// Probability that the margin falls below 0 K at any time.
    pub below_zero: Chance,
    /// Probability that it falls below the required margin at any time.
    pub below_required: Chance,
    /// Margin to bubbling, K; a `null` lies beyond the range of the correlations, on the bad side.
    pub margin_k: Band,
    /// What counts as the 5 % point of the margin, K: that of the draws less what is taken back.
    pub margin_p05_k: Option<f64>,
    /// Its standard error for the number of draws, K, from the scatter of the replicates; `null` where it may as well
    /// lie beyond the range of the correlations.
    pub margin_p05_standard_error_k: Option<f64>,
    /// What the verdict takes off it for that, K: two standard errors, and no less than 0.4 K.
    pub guard_k: Option<f64>,
    /// By how much doubt moves the median of the margin above the margin with every input at its median, K.
    pub taken_back_k: f64,
    /// Hottest hot spot, °C.
    pub hot_spot_c: Band,
    /// Time to the first limit if the last load went on, min, from few draws through all models; a `null` is not within the
    /// horizon.
    pub time_to_limit_min: Band,
    /// Share of the pairs beyond the range of the correlations on the side on which bubbling comes
    /// sooner; they count as bubbling.
    pub beyond_range_share: f64,
    /// Every uncertain input.
    pub inputs: Vec<InputLine>,
    /// Which of them matter, most first; empty unless asked for.
    pub why: Vec<why::Cause>,
    /// How uncertain the hot spot is over time; `null` unless asked for.
    pub over_time: Option<OverTime>,
}

/// How it was sampled.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct SamplingUsed {
    /// Kind of points.
    pub method: &'static str,
    /// Number of draws of the inception temperature.
    pub draws: usize,
    /// Number of draws of the hot spot; each is held against every draw of the inception temperature.
    pub thermal_draws: usize,
    /// Independent scramblings among them.
    pub replicates: u32,
    /// Seed of the scrambling.
    pub seed: u32,
}

/// A probability and its standard error. Zero means that no draw failed, not that none can.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Chance {
    /// Share of all pairs of a hot spot and an inception temperature.
    pub probability: f64,
    /// Its standard error, from the scatter of the replicates.
    pub standard_error: f64,
}

impl From<Estimate> for Chance {
    fn from(found: Estimate) -> Self {
        Self { probability: found.value, standard_error: found.standard_error }
    }
}

/// Quantiles.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Band {
    /// 5 % of the draws lie below it.
    pub p05: Option<f64>,
    /// The median.
    pub p50: Option<f64>,
    /// 5 % of the draws lie above it.
    pub p95: Option<f64>,
}

impl Band {
    pub(super) const UNKNOWN: Self = Self { p05: None, p50: None, p95: None };
}

/// One uncertain input, as it was drawn.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct InputLine {
    /// What it is.
    pub quantity: Quantity,
    /// Unit of the figures; empty for a pure number.
    pub unit: &'static str,
    /// Value without any doubt.
    pub value: f64,
    /// Its 5 % point.
    pub p05: f64,
    /// Its 95 % point.
    pub p95: f64,
    /// Whether its spread is stated; else it is usual, or follows from the evidence.
    pub stated: bool,
}

impl InputLine {
    pub(super) fn of(input: &Input) -> Self {
        Self {
            quantity: input.quantity,
            unit: input.quantity.unit(),
            value: input.value,
            p05: input.at(LOW),
            p95: input.at(1.0 - LOW),
            stated: input.stated,
        }
    }
}

/// 5 %, 50 % and 95 %; what is not finite is `None`.
///
/// Each quantile is a draw that was made. At either end the one further out is taken, so that the
/// band is never narrower than the draws.
pub(super) fn band(values: &[f64]) -> Option<Band> {
    let low = quantiles(values, &[LOW, 0.5]).ok()?;
    let negative: Vec<f64> = values.iter().map(|value| -value).collect();
    let high = -quantile(&negative, LOW).ok()?;
    let finite = |value: f64| value.is_finite().then_some(value);
    Some(Band { p05: finite(low[0]), p50: finite(low[1]), p95: finite(high) })
}
