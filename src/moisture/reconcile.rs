//! From judged measurements to the assessed moisture.

use super::assessed::{Assessed, Because, Member, assessed};
use super::holding::{DrawnWater, Holding};
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
    let whole: Vec<(f64, f64, f64)> =
        estimates.iter().map(|(value, std)| (*value, *std, 1.0)).collect();
    random_effects(&whole)
}

/// The same of estimates of which each has a share of its weight, 0 to 1: `w = share/u²`, and `n` is the sum of
/// the shares. With shares of 1 it is [`combined`]; with a share of 0 an estimate is not there.
pub(super) fn random_effects(estimates: &[(f64, f64, f64)]) -> Option<Combined> {
    let usable = |(value, std, share): &(f64, f64, f64)| {
        value.is_finite() && *std > 0.0 && std.is_finite() && *share >= 0.0
    };
    if !estimates.iter().all(usable) {
        return None;
    }
    let weights: Vec<f64> = estimates.iter().map(|(_, std, share)| share * std.powi(-2)).collect();
    let (sum, shares): (f64, f64) = (weights.iter().sum(), estimates.iter().map(|own| own.2).sum());
    if !(sum > 0.0) {
        return None;
    }
    let fixed_mean = weighted(estimates, &weights) / sum;
    let distances = estimates.iter().zip(&weights);
    let q: f64 = distances.map(|(own, weight)| weight * (own.0 - fixed_mean).powi(2)).sum();
    let squares: f64 = weights.iter().map(|weight| weight.powi(2)).sum();
    let freedom = shares - 1.0;
    let spread = sum - squares / sum;
    let tau2 = if freedom > 0.0 && spread > 0.0 { ((q - freedom) / spread).max(0.0) } else { 0.0 };
    let wider: Vec<f64> =
        estimates.iter().map(|(_, std, share)| share / (std.powi(2) + tau2)).collect();
    let wider_sum: f64 = wider.iter().sum();
    Some(Combined {
        n: estimates.len(),
        fixed_mean,
        fixed_std: sum.powf(-0.5),
        q,
        birge: (estimates.len() > 1 && freedom > 0.0).then(|| (q / freedom).sqrt()),
        tau2,
        mean: weighted(estimates, &wider) / wider_sum,
        std: wider_sum.powf(-0.5),
    })
}

fn weighted(estimates: &[(f64, f64, f64)], weights: &[f64]) -> f64 {
    estimates.iter().zip(weights).map(|(own, weight)| own.0 * weight).sum()
}

/// How the assessed moisture came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CountsBy {
    /// The upper bound of the only measurement.
    OnlyWitness,
    /// The upper bound of the random-effects mean.
    UpperBoundOfMean,
    /// The value of the wettest credible measurement, above that bound.
    WettestValue,
    /// The upper bound of a measurement that others contradict, as if it were the only one.
    WettestUpperBound,
    /// Between the two: others contradict the measurement in part.
    PartlyContradicted,
    /// A local rule.
    LocalRule,
}

impl From<Because> for CountsBy {
    fn from(because: Because) -> Self {
        match because {
            Because::Only => Self::OnlyWitness,
            Because::BoundOfMean => Self::UpperBoundOfMean,
            Because::WettestValue => Self::WettestValue,
            Because::WettestBound | Because::Contradicted => Self::WettestUpperBound,
            Because::PartlyContradicted => Self::PartlyContradicted,
        }
    }
}

/// What the measurements amount to, in water as new paper would hold it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counting {
    /// Best estimate of water in paper: the random-effects mean.
    pub best: MoisturePercent,
    /// The assessed moisture.
    pub upper: MoisturePercent,
    /// Median of the water that is drawn.
    pub median: MoisturePercent,
    /// What the rule without the hold on contradictions would give, to be shown beside it.
    pub random_effects_upper: MoisturePercent,
    /// Index of the measurement that governs.
    pub witness: usize,
    /// How it came about.
    pub by: CountsBy,
    /// The combination behind the best estimate.
    pub combined: Combined,
}

/// The assessed moisture of paper that holds water as new paper does.
pub fn counting(judged: &[Judged]) -> Option<Counting> {
    reconciled(judged, &Holding::AS_NEW).map(|found| found.0)
}

/// The assessed moisture, and the water that is drawn for every holding factor.
///
/// By [`assessed`]. A measurement that may only raise takes part whole where that raises the result, and
/// else by its share. Alone such measurements answer nothing, and far outside they count for [`MOST_BY_POOR`] at most.
///
/// # Source       `dersimonian-laird-1986`; the rule over it is our choice.
/// # Valid        At least one measurement that counts; otherwise `None`.
/// # Departures   A bound above 100 % is held at 100 %.
/// # Checked      `tests/published/common_practice.rs`, `tests/moisture_properties/`, and the tests of this file.
pub fn reconciled(judged: &[Judged], holding: &Holding) -> Option<(Counting, DrawnWater)> {
    let figures: Vec<(usize, Figure, f64)> = judged
        .iter()
        .enumerate()
        .filter(|(_, own)| own.standing != Standing::DoesNotCount)
        .filter_map(|(index, own)| Some((index, own.figure?, own.share)))
        .collect();
    let counts = |index: usize| judged[index].standing == Standing::Counts;
    if !figures.iter().any(|(index, _, _)| counts(*index)) {
        return None;
    }
    let at = |factor: f64| rule(&in_new_paper(&figures, factor));
    let drawn = DrawnWater::of(holding.lowest, |factor| {
        at(factor).map(|found| (found.median, found.upper))
    })?;
    let own = at(holding.central)?;
    let (median, upper) = drawn.at(holding.central);
    let plain: Vec<(f64, f64)> = in_new_paper(&figures, holding.central)
        .iter()
        .filter(|own| counts(own.index))
        .map(|own| (own.value, own.std))
        .collect();
    let combined = combined(&plain)?;
    let counting = Counting {
        best: percent(combined.mean.min(upper))?,
        upper: percent(upper)?,
        median: percent(median)?,
        random_effects_upper: percent(random_effects_rule(&plain)?)?,
        witness: own.index,
        by: own.because.into(),
        combined,
    };
    Some((counting, drawn))
}

fn percent(value: f64) -> Option<MoisturePercent> {
    MoisturePercent::new(value.min(100.0)).ok()
}

/// Figures by mass are what paper that holds less really holds; new paper would hold more.
fn in_new_paper(figures: &[(usize, Figure, f64)], factor: f64) -> Vec<Member> {
    let member = |(index, figure, share): &(usize, Figure, f64)| {
        let times = if figure.by_mass { 1.0 / factor } else { 1.0 };
        Member {
            index: *index,
            value: figure.percent.value() * times,
            std: figure.std * times,
            std_at_best: figure.std_at_best * times,
            share: *share,
            whole: *share >= 1.0,
        }
    };
    figures.iter().map(member).collect()
}

/// Far outside its criteria no measurement counts for more than this, %: at the correlations' wet edge of 6 % nothing
/// could be decided any more, and a poor measurement alone must not do that. At 5.5 % paper bubbles below 100 °C,
/// so that no overload passes all the same. Our choice.
pub const MOST_BY_POOR: f64 = 5.5;

/// A measurement held to [`MOST_BY_POOR`], figure and bound, as far as its share has faded.
fn held_if_poor(own: Member) -> Member {
    let fades = |percent: f64| percent * own.share + percent.min(MOST_BY_POOR) * (1.0 - own.share);
    let value = fades(own.value);
    let std = ((fades(own.upper()) - value) / ONE_SIDED_95).clamp(LEAST_STD.min(own.std), own.std);
    Member { value, std, std_at_best: own.std_at_best.min(std), ..own }
}

/// What is left of a standard uncertainty at least, % points.
const LEAST_STD: f64 = 0.01;

/// Of the measurements that do not count in full, so many of the wettest are tried in every combination; a
/// profile with more of them has the driest left out.
const MOST_TRIED: usize = 6;

/// The wettest over every reading of the evidence: each measurement that does not count in full whole, or by its share.
fn rule(members: &[Member]) -> Option<Assessed> {
    let (whole, mut poor): (Vec<Member>, Vec<Member>) =
        members.iter().copied().partition(|own| own.whole);
    poor.sort_by(|a, b| b.value.total_cmp(&a.value));
    poor.truncate(MOST_TRIED);
    let poor: Vec<Member> = poor.into_iter().map(held_if_poor).collect();
    let chosen = |choice: usize| {
        let poor = poor
            .iter()
            .enumerate()
            .map(move |(bit, own)| Member { whole: choice & (1 << bit) != 0, ..*own });
        let poor = poor.filter(|own| own.whole || own.share > 0.0);
        assessed(&whole.iter().copied().chain(poor).collect::<Vec<_>>())
    };
    let all = (0..1_usize << poor.len()).filter_map(chosen);
    all.reduce(|known, next| {
        let median = known.median.max(next.median);
        let wetter = if next.upper > known.upper { next } else { known };
        Assessed { median, ..wetter }
    })
}

/// The rule without the hold on contradictions, by which a wet reading stated less certain counts for less:
/// the upper 95 % bound of the random-effects mean, not below the wettest value, not above its own bound.
///
/// # Source       `dersimonian-laird-1986`; the quantile and the two holds are our choice.
/// # Valid        At least one estimate, every uncertainty above zero; otherwise `None`.
/// # Departures   None.
/// # Checked      See the tests of this file.
pub fn random_effects_rule(estimates: &[(f64, f64)]) -> Option<f64> {
    let found = combined(estimates)?;
    let own = |own: &(f64, f64)| (own.0, own.0 + ONE_SIDED_95 * own.1);
    let wettest = estimates.iter().map(own);
    let (value, bound) = wettest.max_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)))?;
    Some(if estimates.len() == 1 { bound } else { found.upper().min(bound).max(value) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn judged(percent: f64, std: f64, standing: Standing) -> Judged {
        let percent = MoisturePercent::new(percent).unwrap();
        let figure = Some(Figure::by_mass(percent, std));
        let share = if standing == Standing::Counts { 1.0 } else { 0.0 };
        Judged {
            figure,
            standing,
            reasons: Vec::new(),
            doubts: Vec::new(),
            saturation: None,
            share,
        }
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
