//! Probabilities, means and quantiles of the draws, and how far they may be off.

use super::points::Points;

/// Why results give no estimate.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoEstimate {
    /// Not one result for each draw.
    #[error("{found} results for {expected} draws")]
    Count {
        /// Draws.
        expected: usize,
        /// Results.
        found: usize,
    },
    /// A result that cannot enter the estimate.
    #[error("the result of draw {draw} is {value}")]
    Result {
        /// Which draw, from 0.
        draw: usize,
        /// What it gave.
        value: f64,
    },
    /// Results so large that their sums or squares are no numbers any more.
    #[error("the results are too large to compute with")]
    TooLarge,
    /// Nothing to take a quantile of.
    #[error("no results")]
    Empty,
    /// A share outside 0 to 1.
    #[error("a share of {0}; accepted are 0 to 1")]
    Share(f64),
}

/// A value and how far it may be off for the number of draws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Mean over all draws.
    pub value: f64,
    /// Its standard error, from the scatter of the replicates.
    pub standard_error: f64,
}

/// Share of the draws that failed, `failed` in the order of the draws.
///
/// ```text
/// value = mean over replicates of p_r        standard error = √(Σ(p_r − value)² / (R − 1) / R)
/// ```
/// The scatter of independent scramblings is the honest measure. The binomial √(p(1 − p)/n) holds
/// for independent draws and is too wide for points that are spread on purpose: about twice at
/// 4096 draws of 14 inputs, more with more draws or fewer inputs. The standard error itself is
/// known no better than to 1/√(2(R − 1)): a fifth with 16 replicates, a quarter with 8.
///
/// Where all draws agree the value is exactly 0 or 1 and the standard error 0. That says no more
/// than that the chance is well below one in the number of draws: report "fewer than 1 in n",
/// never "impossible".
///
/// # Source       `owen-1998`.
/// # Valid        One result for each draw of `points`.
/// # Departures   None.
/// # Checked      `tests/uncertainty/linear_gaussian.rs`, against the normal distribution function;
///   `tests/uncertainty/convergence.rs`, the standard error against errors really made.
/// # Errors
/// Another number of results than of draws.
pub fn probability(points: &Points, failed: &[bool]) -> Result<Estimate, NoEstimate> {
    let values: Vec<f64> = failed.iter().map(|&failed| f64::from(u8::from(failed))).collect();
    mean(points, &values)
}

/// Mean of the results, `values` in the order of the draws.
///
/// # Errors
/// Another number of results than of draws, a result that is not finite, results too large to
/// sum and square.
pub fn mean(points: &Points, values: &[f64]) -> Result<Estimate, NoEstimate> {
    check(points, values)?;
    over_replicates(points, values)
}

/// One finite result for each draw.
pub(super) fn check(points: &Points, values: &[f64]) -> Result<(), NoEstimate> {
    let (expected, found) = (points.draws(), values.len());
    if found != expected {
        return Err(NoEstimate::Count { expected, found });
    }
    match values.iter().position(|value| !value.is_finite()) {
        Some(draw) => Err(NoEstimate::Result { draw, value: values[draw] }),
        None => Ok(()),
    }
}

/// Mean and its standard error of as many values as there are draws.
pub(super) fn over_replicates(points: &Points, values: &[f64]) -> Result<Estimate, NoEstimate> {
    let (replicates, each) = (f64::from(points.replicates()), f64::from(points.each()));
    let means: Vec<f64> = values
        .chunks(points.each() as usize)
        .map(|replicate| replicate.iter().sum::<f64>() / each)
        .collect();
    let value = means.iter().sum::<f64>() / replicates;
    let squares: f64 = means.iter().map(|mean| (mean - value).powi(2)).sum();
    let standard_error = (squares / (replicates - 1.0) / replicates).sqrt();
    if !(value.is_finite() && standard_error.is_finite()) {
        return Err(NoEstimate::TooLarge);
    }
    Ok(Estimate { value, standard_error })
}

/// The value at or below which a share of the results lies; see [`quantiles`].
///
/// # Errors
/// As [`quantiles`].
pub fn quantile(values: &[f64], share: f64) -> Result<f64, NoEstimate> {
    Ok(quantiles(values, &[share])?[0])
}

/// Quantiles of the results at each of `shares`; −∞ and ∞ are results like others.
///
/// ```text
/// x₀ ≤ x₁ ≤ … ≤ x_(n−1)        quantile = x_k,  k = ⌊share · (n − 1)⌋
/// ```
/// The order statistic at or below, never one between two: for a result of which less is worse,
/// such as a margin, no point is shown better than the results bear, and a draw that could not be
/// decided (−∞) is never averaged away. For a result of which more is worse, negate it and
/// ask for one minus the share.
///
/// # Source       `hyndman-fan-1996` for the conventions that there are; the choice is ours.
/// # Valid        At least one result, shares from 0 (least) to 1 (greatest).
/// # Departures   None.
/// # Checked      `tests/uncertainty/linear_gaussian.rs`, against the normal quantiles.
/// # Errors
/// No results, a result that is NaN, a share outside 0 to 1 or NaN.
pub fn quantiles(values: &[f64], shares: &[f64]) -> Result<Vec<f64>, NoEstimate> {
    if values.is_empty() {
        return Err(NoEstimate::Empty);
    }
    if let Some(draw) = values.iter().position(|value| value.is_nan()) {
        return Err(NoEstimate::Result { draw, value: values[draw] });
    }
    if let Some(&share) = shares.iter().find(|share| !(0.0..=1.0).contains(*share)) {
        return Err(NoEstimate::Share(share));
    }
    let mut values = values.to_vec();
    let last = values.len();
    let mut at = |share| *values.select_nth_unstable_by(at_or_below(share, last), f64::total_cmp).1;
    Ok(shares.iter().map(|&share| at(share)).collect())
}

/// Rank of the value at or below which a share of so many results lies, the lowest being 0; see [`quantiles`].
#[allow(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a share from 0 to 1 of a number of draws or pairs, which is below 2^53"
)]
pub fn rank_at_or_below(share: f64, of: u64) -> u64 {
    let last = of.saturating_sub(1);
    ((share * last as f64).floor() as u64).min(last)
}

#[allow(clippy::cast_possible_truncation, reason = "no greater than a number of draws")]
fn at_or_below(share: f64, n: usize) -> usize {
    rank_at_or_below(share, n as u64) as usize
}
