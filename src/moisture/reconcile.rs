//! From judged witnesses to the counting moisture.

use super::validity::{Figure, Judged, Standing};
use crate::quantities::MoisturePercent;

/// Normal quantile of a one-sided 95 % bound, a stated convention.
pub const ONE_SIDED_95: f64 = 1.645;

/// Several estimates of one thing, combined.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Combined {
    /// How many.
    pub n: usize,
    /// Inverse-variance mean.
    pub fixed_mean: f64,
    /// Its standard error.
    pub fixed_std: f64,
    /// Sum of squared distances from it in standard deviations, Q or χ².
    pub q: f64,
    /// Birge ratio √(Q/(n−1)); `None` for a single estimate.
    pub birge: Option<f64>,
    /// Variance between the estimates beyond their own.
    pub tau2: f64,
    /// Random-effects mean.
    pub mean: f64,
    /// Its standard error.
    pub std: f64,
}

impl Combined {
    /// One-sided 95 % upper bound of the random-effects mean.
    pub fn upper(&self) -> f64 {
        self.mean + ONE_SIDED_95 * self.std
    }
}

/// Combines estimates given as value and standard uncertainty.
///
/// ```text
/// w = 1/u²            x̄ = Σwx/Σw         Q = Σw(x − x̄)²        Birge = √(Q/(n−1))
/// τ² = max(0, (Q − (n−1)) / (Σw − Σw²/Σw))
/// w* = 1/(u² + τ²)    mean = Σw*x/Σw*    std = 1/√Σw*
/// ```
/// # Source       `birge-1932` for the ratio, `dersimonian-laird-1986` for random effects.
/// # Valid        At least one estimate, every uncertainty above zero; otherwise `None`.
/// # Departures   None.
/// # Checked      `tests/published/dersimonian_laird_1986.rs` (13 trials, four figures).
pub fn combined(estimates: &[(f64, f64)]) -> Option<Combined> {
    let usable = |(value, std): &(f64, f64)| value.is_finite() && *std > 0.0 && std.is_finite();
    if estimates.is_empty() || !estimates.iter().all(usable) {
        return None;
    }
    let weights: Vec<f64> = estimates.iter().map(|(_, std)| std.powi(-2)).collect();
    let (fixed_mean, fixed_std) = weighted(estimates, &weights);
    let q: f64 = estimates
        .iter()
        .zip(&weights)
        .map(|((value, _), weight)| weight * (value - fixed_mean).powi(2))
        .sum();
    #[allow(clippy::cast_precision_loss, reason = "a few estimates")]
    let freedom = (estimates.len() - 1) as f64;
    let sum: f64 = weights.iter().sum();
    let squares: f64 = weights.iter().map(|weight| weight.powi(2)).sum();
    let tau2 = if freedom > 0.0 { ((q - freedom) / (sum - squares / sum)).max(0.0) } else { 0.0 };
    let wider: Vec<f64> = estimates.iter().map(|(_, std)| 1.0 / (std.powi(2) + tau2)).collect();
    let (mean, std) = weighted(estimates, &wider);
    let birge = (freedom > 0.0).then(|| (q / freedom).sqrt());
    Some(Combined { n: estimates.len(), fixed_mean, fixed_std, q, birge, tau2, mean, std })
}

fn weighted(estimates: &[(f64, f64)], weights: &[f64]) -> (f64, f64) {
    let sum: f64 = weights.iter().sum();
    let mean =
        estimates.iter().zip(weights).map(|((value, _), weight)| value * weight).sum::<f64>() / sum;
    (mean, sum.powf(-0.5))
}

/// How the counting moisture came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CountsBy {
    /// The upper bound of the only witness.
    OnlyWitness,
    /// The upper bound of the random-effects mean.
    UpperBoundOfMean,
    /// The value of the wettest credible witness, above that bound.
    WettestValue,
    /// The upper bound of the wettest credible witness, below that bound.
    WettestUpperBound,
    /// A local rule.
    LocalRule,
}

/// What the witnesses amount to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counting {
    /// Best estimate of water in paper: the random-effects mean.
    pub best: MoisturePercent,
    /// The moisture that counts for safety.
    pub upper: MoisturePercent,
    /// Index of the witness that governs: the wettest that counts.
    pub witness: usize,
    /// How it came about.
    pub by: CountsBy,
    /// The combination behind it.
    pub combined: Combined,
}

/// The counting moisture.
///
/// ```text
/// counting = upper 95 % bound of the random-effects mean,
///            not below the wettest credible value, not above that witness's own upper bound
/// ```
/// Believing the wettest witness alone is the most pessimistic credible reading. A witness that
/// counts on the wet side only takes part where that raises the result.
///
/// # Source       `dersimonian-laird-1986`; the quantile and the two holds are our choice.
/// # Valid        At least one witness that counts; otherwise `None`.
/// # Departures   A bound above 100 % is held at 100 %.
/// # Checked      `tests/published/common_practice.rs`, `tests/properties.rs`, and the tests of this file.
pub fn counting(judged: &[Judged]) -> Option<Counting> {
    let with = |standing: Standing| {
        judged.iter().enumerate().filter(move |(_, own)| own.standing == standing)
    };
    let figures: Vec<(usize, Figure)> =
        with(Standing::Counts).filter_map(|(index, own)| Some((index, own.figure?))).collect();
    let base = of(&figures)?;
    let mut wet_side: Vec<(usize, Figure)> =
        with(Standing::WetSideOnly).filter_map(|(index, own)| Some((index, own.figure?))).collect();
    wet_side.sort_by(|a, b| b.1.percent.value().total_cmp(&a.1.percent.value()));
    wet_side.truncate(MOST_WET_SIDE);
    // Every choice of them, so that evidence that grows stale never lowers the result.
    let raised = (1..1_usize << wet_side.len()).filter_map(|choice| {
        let chosen = wet_side.iter().enumerate().filter(|(bit, _)| choice & (1 << bit) != 0);
        let more: Vec<_> =
            figures.iter().chain(chosen.map(|(_, figure)| figure)).copied().collect();
        of(&more)
    });
    Some(raised.fold(base, |known, next| if next.upper > known.upper { next } else { known }))
}

/// Of the witnesses that count on the wet side only, so many of the wettest are tried in every
/// combination; a profile with more of them has the driest left out.
const MOST_WET_SIDE: usize = 8;

fn of(figures: &[(usize, Figure)]) -> Option<Counting> {
    let estimates: Vec<(f64, f64)> =
        figures.iter().map(|(_, figure)| (figure.percent.value(), figure.std)).collect();
    let combined = combined(&estimates)?;
    let (witness, wettest, own_upper) = wettest(figures)?;
    let (held, by) = match combined.upper() {
        _ if figures.len() == 1 => (own_upper, CountsBy::OnlyWitness),
        bound if bound < wettest => (wettest, CountsBy::WettestValue),
        bound if bound > own_upper => (own_upper, CountsBy::WettestUpperBound),
        bound => (bound, CountsBy::UpperBoundOfMean),
    };
    Some(Counting {
        best: MoisturePercent::new(combined.mean).ok()?,
        upper: MoisturePercent::new(held.min(100.0)).ok()?,
        witness,
        by,
        combined,
    })
}

/// Index, value and upper bound of the wettest; of equally wet ones the least certain.
fn wettest(figures: &[(usize, Figure)]) -> Option<(usize, f64, f64)> {
    let bounds = figures.iter().map(|(index, figure)| {
        let value = figure.percent.value();
        (*index, value, value + ONE_SIDED_95 * figure.std)
    });
    bounds.max_by(|a, b| a.1.total_cmp(&b.1).then(a.2.total_cmp(&b.2)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn judged(percent: f64, std: f64, standing: Standing) -> Judged {
        let percent = MoisturePercent::new(percent).unwrap();
        let figure = Some(Figure { percent, std, std_stated: true });
        Judged { figure, standing, reasons: Vec::new(), doubts: Vec::new(), saturation: None }
    }

    fn credible(percent: f64, std: f64) -> Judged {
        judged(percent, std, Standing::Counts)
    }

    #[test]
    fn a_lone_witness_counts_at_its_own_upper_bound() {
        let counting = counting(&[credible(2.0, 0.4)]).unwrap();
        assert_relative_eq!(counting.upper.value(), 2.0 + 1.645 * 0.4);
        assert_relative_eq!(counting.best.value(), 2.0);
        assert_eq!(counting.by, CountsBy::OnlyWitness);
    }

    #[test]
    fn agreeing_witnesses_narrow_the_bound_down_to_the_wettest_value() {
        let counting = counting(&[credible(2.0, 0.4), credible(2.1, 0.4)]).unwrap();
        assert!(counting.combined.tau2 < f64::EPSILON);
        assert_relative_eq!(counting.upper.value(), 2.05 + 1.645 * 0.4 / 2.0_f64.sqrt());
        let dry = [credible(1.0, 0.2), credible(1.0, 0.2), credible(1.4, 0.5)];
        let counting = super::counting(&dry).unwrap();
        assert_relative_eq!(counting.upper.value(), 1.4);
        assert_eq!((counting.by, counting.witness), (CountsBy::WettestValue, 2));
    }

    #[test]
    fn the_wettest_witness_alone_is_the_most_pessimistic_reading() {
        let counting = counting(&[credible(1.0, 0.1), credible(3.0, 0.1)]).unwrap();
        assert_relative_eq!(counting.upper.value(), 3.0 + 1.645 * 0.1);
        assert_eq!(counting.by, CountsBy::WettestUpperBound);
    }

    #[test]
    fn a_stale_witness_raises_and_never_lowers() {
        let alone = counting(&[credible(2.0, 0.4)]).unwrap();
        let dry_too = [credible(2.0, 0.4), judged(0.8, 0.2, Standing::WetSideOnly)];
        assert_eq!(counting(&dry_too).unwrap(), alone);
        let wet_too = [credible(2.0, 0.4), judged(3.4, 0.4, Standing::WetSideOnly)];
        let raised = counting(&wet_too).unwrap();
        assert!(raised.upper.value() >= 3.4);
        assert_eq!(raised.witness, 1);
        assert!(counting(&[judged(3.4, 0.4, Standing::WetSideOnly)]).is_none());
        assert!(counting(&[judged(3.4, 0.4, Standing::DoesNotCount)]).is_none());
    }

    #[test]
    fn combining_nothing_or_nonsense_gives_nothing() {
        assert!(combined(&[]).is_none());
        assert!(combined(&[(1.0, 0.0)]).is_none());
        assert!(combined(&[(f64::NAN, 1.0)]).is_none());
    }
}
