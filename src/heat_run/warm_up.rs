//! The period of total losses: how far the oil rises over the ambient, and how fast.

use super::fit::{Fit, Shape, line_at};
use super::log::Row;
use super::{Estimate, Reason};
use serde::Serialize;

/// The rise must change by less than this, K/h, for the last [`STEADY_MIN`]. IEC 60076-2, from memory.
pub const CUT_OFF_K_PER_H: f64 = 1.0;
/// How long the cut-off must have been kept, min. IEC 60076-2, from memory.
pub const STEADY_MIN: f64 = 180.0;
/// Time constants that a warm-up must last; our choice: then less than a twentieth of the rise is extrapolated.
pub const LEAST_TIME_CONSTANTS: f64 = 3.0;
/// Readings of a warm-up at least; our choice.
pub const LEAST_ROWS: usize = 12;
/// Losses may differ so much from their median, a share of it; our choice.
pub const LOSSES_APART: f64 = 0.05;
/// Root mean square of residuals above which the log is no exponential, K; our choice.
pub const MOST_RESIDUAL_K: f64 = 1.5;
/// Oil time constants looked for, min.
const TAU_MIN: (f64, f64) = (10.0, 1000.0);

/// A warm-up of one temperature.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WarmUp {
    /// Rise over ambient that the curve ends at, K.
    pub rise_k: Estimate,
    /// Time constant, min.
    pub tau_min: Estimate,
    /// Mean rise of the last hour, K: the figure that IEC 60076-2 takes (from memory).
    pub last_hour_k: f64,
    /// Rate of change three hours before the end, the greater of curve and line, K/h.
    pub rate_k_per_h: f64,
    /// Root mean square of the residuals, K.
    pub residual_k: f64,
    /// Readings: minutes since the first, rise, K.
    pub points: Vec<(f64, f64)>,
    /// The curve at the same times, K.
    pub curve: Vec<f64>,
}

/// Fits the rise of one temperature over the ambient; `oil` takes it out of a row.
///
/// # Errors
/// [`Reason`] for which nothing can be said.
pub fn fitted(rows: &[Row], oil: impl Fn(&Row) -> f64, std_k: f64) -> Result<WarmUp, Reason> {
    if rows.len() < LEAST_ROWS {
        return Err(Reason::FewRows { rows: rows.len() });
    }
    let from = rows[0].minute;
    let points: Vec<(f64, f64)> =
        rows.iter().map(|row| (row.minute - from, oil(row) - row.ambient_c)).collect();
    let lasts = points[points.len() - 1].0;
    if !(lasts >= STEADY_MIN) {
        return Err(Reason::ShortWarmUp { lasts_min: lasts, tau_min: None });
    }
    let late: Vec<(f64, f64)> =
        points.iter().copied().filter(|point| point.0 >= lasts - STEADY_MIN).collect();
    let Some((_, slope, _)) = line_at(&late, lasts) else {
        return Err(Reason::FewRows { rows: late.len() });
    };
    let unsteady = |rate: f64| !(rate.abs() < CUT_OFF_K_PER_H);
    let fit = Fit::of(&points, Shape { sloped: false, tau: TAU_MIN });
    let curve_rate = fit.as_ref().map_or(0.0, |fit| fit.rate_at(lasts - STEADY_MIN) * 60.0);
    let line_rate = slope * 60.0;
    let rate = if curve_rate.abs() > line_rate.abs() { curve_rate } else { line_rate };
    if unsteady(rate) {
        return Err(Reason::NotSteady { rate_k_per_h: rate });
    }
    let fit = fit.filter(|fit| fit.drop < 0.0).ok_or(Reason::NoWarmUpCurve)?;
    if !(lasts >= LEAST_TIME_CONSTANTS * fit.tau) {
        return Err(Reason::ShortWarmUp { lasts_min: lasts, tau_min: Some(fit.tau) });
    }
    if !(fit.residual <= MOST_RESIDUAL_K) {
        return Err(Reason::WarmUpResidual { residual_k: fit.residual });
    }
    Ok(WarmUp {
        rise_k: Estimate::of(fit.level, fit.std_level(), std_k, fit.factor_95),
        tau_min: Estimate::of(fit.tau, fit.std_tau(), 0.0, fit.factor_95),
        last_hour_k: mean(points.iter().filter(|point| point.0 >= lasts - 60.0).map(|p| p.1)),
        rate_k_per_h: rate,
        residual_k: fit.residual,
        curve: points.iter().map(|point| fit.at(point.0)).collect(),
        points,
    })
}

/// The losses of a period, kW: their median.
///
/// # Errors
/// [`Reason`]: none stated, or not one figure.
pub fn losses(rows: &[Row]) -> Result<f64, Reason> {
    let mut stated: Vec<f64> = rows.iter().filter_map(|row| row.losses_kw).collect();
    stated.sort_by(f64::total_cmp);
    let Some(&median) = stated.get(stated.len() / 2) else {
        return Err(Reason::NoLosses);
    };
    let worst = stated.iter().map(|kw| (kw / median - 1.0).abs()).fold(0.0, f64::max);
    if !(worst <= LOSSES_APART) {
        return Err(Reason::UnevenLosses { apart: worst });
    }
    Ok(median)
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    sum / count
}
