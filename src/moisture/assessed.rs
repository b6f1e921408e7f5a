//! The rule that turns measurements into the assessed moisture, and into the water that is drawn.

use super::reconcile::{ONE_SIDED_95, random_effects};

/// One measurement as the rule sees it, in water as new paper would hold it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Member {
    /// Its place among the measurements.
    pub index: usize,
    /// The figure, %.
    pub value: f64,
    /// Its standard uncertainty, % points.
    pub std: f64,
    /// The same under good conditions, % points; no more than `std`.
    pub std_at_best: f64,
    /// Share of its weight that it has where it lowers the result, 0 to 1.
    pub share: f64,
    /// Whether it may raise the result in this reading of the evidence; else it only lowers, by its share.
    pub whole: bool,
}

impl Member {
    pub(super) fn upper(&self) -> f64 {
        self.value + ONE_SIDED_95 * self.std
    }

    fn weight(&self) -> f64 {
        if self.whole { 1.0 } else { self.share }
    }
}

/// How the assessed moisture came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Because {
    /// The upper bound of the only measurement.
    Only,
    /// The upper bound of the random-effects mean.
    BoundOfMean,
    /// The wettest value, above that bound.
    WettestValue,
    /// The upper bound of the wettest, below that bound.
    WettestBound,
    /// A drier measurement contradicts this one, which stands alone.
    Contradicted,
    /// A drier measurement contradicts this one in part.
    PartlyContradicted,
}

/// What measurements amount to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Assessed {
    /// Median of the water that is drawn, %.
    pub median: f64,
    /// The assessed moisture, and the 95 % point of the water that is drawn, %.
    pub upper: f64,
    /// Place of the measurement that governs.
    pub index: usize,
    /// How the assessed moisture came about.
    pub because: Because,
}

/// Measurements that lie no further apart than this many joint standard uncertainties agree; from
/// [`super::contradiction::CONTRADICTS_AT`] on they contradict each other, and between the two in part.
/// Our choice: within one of them the heterogeneity that `dersimonian-laird-1986` finds is nil.
pub const AGREES_AT: f64 = 1.0;

/// How far two measurements contradict each other, 0 to 1.
pub fn contradiction_degree(deviations: f64) -> f64 {
    let full = super::contradiction::CONTRADICTS_AT;
    ((deviations - AGREES_AT) / (full - AGREES_AT)).clamp(0.0, 1.0)
}

/// The assessed moisture and the median of what is drawn.
///
/// With `x` a figure, `u` its standard uncertainty as stated or usual and `v ≤ u` the same under good
/// conditions; `i` drier than `j`:
///
/// ```text
/// A  = upper 95 % bound of the random-effects mean,  weights 1/(v² + τ²(v)), variance Σw²(u² + τ²)/(Σw)²,
///      not below the wettest value, not above that measurement's own bound
/// M  = the greater of inverse-variance and random-effects mean (by v), over the driest 1, 2, … n of them
/// c(d) = 0 up to 1, 1 from 1.96 joint standard uncertainties on, in a straight line between
/// upper  = max( A, x_j + max over u' from v_j to u_j of c((x_j − x_i)/√(v_i² + u'²))·1.645·u' )
/// median = max( M, M + c((x_j − x_i)/√(v_i² + v_j²))·(x_j − M) )
/// ```
/// What agrees narrows; where two contradict each other the wetter one stands as if it were alone, whichever is
/// believed, and between the two in part. Weights and contradictions look at `v`, so that nobody can make a wet
/// reading count for less by stating it less certain: neither figure falls when any `u` grows, nor when a
/// measurement above the assessed one is added. Where all lie within one joint standard uncertainty and are as
/// sure as under good conditions it is the rule of [`super::reconcile::random_effects_rule`].
///
/// # Source       `dersimonian-laird-1986` for the mean; all that is laid over it is our choice.
/// # Valid        At least one whole measurement, every uncertainty above zero; otherwise `None`.
/// # Departures   A share below 1 takes weight from a measurement where it lowers, and from its contradictions.
/// # Checked      `tests/moisture_properties/`, and the tests of this file; against no published numbers.
pub fn assessed(members: &[Member]) -> Option<Assessed> {
    let wettest = wettest(members)?;
    if !members.iter().all(|own| own.std.is_finite() && own.std >= own.std_at_best) {
        return None;
    }
    let estimates: Vec<(f64, f64, f64)> =
        members.iter().map(|own| (own.value, own.std_at_best, own.weight())).collect();
    let pooled = random_effects(&estimates)?;
    let (upper, because) = held(members, wettest, pooled.mean, pooled.tau2);
    let mean = greatest_mean(&estimates)?;
    let start = Assessed { median: mean, upper, index: wettest.index, because };
    let pairs = members.iter().flat_map(|drier| members.iter().map(move |wetter| (drier, wetter)));
    let pairs = pairs.filter(|(drier, wetter)| wetter.whole && drier.value < wetter.value);
    let mut found = pairs.fold(start, |found, (drier, wetter)| apart(found, mean, drier, wetter));
    found.upper = found.upper.max(found.median);
    Some(found)
}

/// The wettest of the whole ones; of equally wet ones the least certain.
fn wettest(members: &[Member]) -> Option<&Member> {
    let whole = members.iter().filter(|own| own.whole);
    whole.max_by(|a, b| a.value.total_cmp(&b.value).then(a.upper().total_cmp(&b.upper())))
}

/// The upper bound of the mean, between the wettest value and its own bound.
fn held(members: &[Member], wettest: &Member, mean: f64, tau2: f64) -> (f64, Because) {
    if members.len() == 1 {
        return (wettest.upper(), Because::Only);
    }
    let weights = members.iter().map(|own| (own, own.weight() / (own.std_at_best.powi(2) + tau2)));
    let (sum, squares) = weights.fold((0.0, 0.0), |(sum, squares), (own, weight)| {
        (sum + weight, squares + weight.powi(2) * (own.std.powi(2) + tau2))
    });
    let most = own_bound(members, wettest);
    match mean + ONE_SIDED_95 * squares.sqrt() / sum {
        bound if bound < wettest.value => (wettest.value, Because::WettestValue),
        bound if bound > most => (most, Because::WettestBound),
        bound => (bound, Because::BoundOfMean),
    }
}

/// The own bound of the wettest; one that is wetter and not whole takes its place by its share.
fn own_bound(members: &[Member], wettest: &Member) -> f64 {
    let mut wetter: Vec<&Member> =
        members.iter().filter(|own| !own.whole && own.value > wettest.value).collect();
    wetter.sort_by(|a, b| a.value.total_cmp(&b.value));
    let towards = |bound: f64, own: &&Member| bound + own.share * (own.upper() - bound);
    wetter.iter().fold(wettest.upper(), towards).max(wettest.value)
}

/// The greatest mean over the driest one, two and so on: a further wetter one then never lowers it.
fn greatest_mean(estimates: &[(f64, f64, f64)]) -> Option<f64> {
    let mut sorted = estimates.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let means = (1..=sorted.len()).filter_map(|count| random_effects(&sorted[..count]));
    means.map(|found| found.mean.max(found.fixed_mean)).reduce(f64::max)
}

/// What a drier measurement that contradicts this one makes of the result.
fn apart(mut found: Assessed, mean: f64, drier: &Member, wetter: &Member) -> Assessed {
    let gap = wetter.value - drier.value;
    let at_best = contradiction_degree(gap / drier.std_at_best.hypot(wetter.std_at_best));
    found.median = found.median.max(mean + drier.share * at_best * (wetter.value - mean));
    let widest = widest_contradicted(gap, drier.std_at_best);
    let std = widest.clamp(wetter.std_at_best, wetter.std);
    let degree = drier.share * contradiction_degree(gap / drier.std_at_best.hypot(std));
    let upper = wetter.value + degree * ONE_SIDED_95 * std;
    if upper > found.upper {
        let alone = degree >= 1.0 && std >= wetter.std;
        let because = if alone { Because::Contradicted } else { Because::PartlyContradicted };
        found = Assessed { upper, index: wetter.index, because, ..found };
    }
    found
}

/// The standard uncertainty of the wetter one at which `c(d)·u` is greatest.
///
/// ```text
/// c = 1 up to u* = √((gap/1.96)² − v²);  beyond it c·u rises to √((gap·v²)^(2/3) − v²) and then falls
/// ```
fn widest_contradicted(gap: f64, drier_std: f64) -> f64 {
    let root = |square: f64| if square > 0.0 { square.sqrt() } else { 0.0 };
    let variance = drier_std.powi(2);
    let full = root((gap / super::contradiction::CONTRADICTS_AT).powi(2) - variance);
    full.max(root((gap * variance).cbrt().powi(2) - variance))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn member(value: f64, std: f64, std_at_best: f64) -> Member {
        Member { index: 0, value, std, std_at_best, share: 1.0, whole: true }
    }

    #[test]
    fn one_that_is_contradicted_by_a_drier_one_stands_as_if_alone() {
        let wet = member(2.3, 0.3, 0.3);
        let found = assessed(&[wet, member(1.2, 0.3, 0.3)]).unwrap();
        let alone = assessed(&[wet]).unwrap();
        assert_relative_eq!(found.upper, alone.upper);
        assert_relative_eq!(found.median, alone.median);
        assert_eq!(found.because, Because::Contradicted);
    }

    #[test]
    fn a_wet_reading_stated_less_certain_never_counts_for_less() {
        let at = |std: f64| assessed(&[member(3.3, std, 0.4), member(1.6, 0.3, 0.3)]).unwrap();
        let mut before = at(0.4);
        assert_relative_eq!(before.upper, 3.3 + 1.645 * 0.4);
        for step in 1..100 {
            let next = at(0.4 + 0.05 * f64::from(step));
            assert!(next.upper >= before.upper && next.median >= before.median, "{next:?}");
            before = next;
        }
    }

    #[test]
    fn what_agrees_narrows_as_the_random_effects_rule_does() {
        let found = assessed(&[member(2.0, 0.4, 0.4), member(2.1, 0.4, 0.4)]).unwrap();
        assert_relative_eq!(found.median, 2.05);
        assert_relative_eq!(found.upper, 2.05 + 1.645 * 0.4 / 2.0_f64.sqrt());
        assert_eq!(found.because, Because::BoundOfMean);
    }

    #[test]
    fn one_that_may_only_lower_by_its_share_raises_nothing() {
        let base = member(2.0, 0.4, 0.4);
        let faint = Member { share: 0.0, whole: false, ..member(5.0, 0.1, 0.1) };
        let found = assessed(&[base, faint]).unwrap();
        assert_relative_eq!(found.upper, 2.0 + 1.645 * 0.4);
        assert!(assessed(&[faint]).is_none());
    }

    #[test]
    fn the_widest_uncertainty_still_contradicted_is_the_greatest_of_the_product() {
        for (gap, drier) in [(1.7, 0.3), (0.9, 0.5), (1.2, 0.6), (3.0, 0.1)] {
            let product = |std: f64| contradiction_degree(gap / std.hypot(drier)) * std;
            let best = product(widest_contradicted(gap, drier));
            for step in 0..400 {
                let std = 0.01 * f64::from(step);
                assert!(product(std) <= best + 1.0e-9, "{gap} {drier}: {std}");
            }
        }
    }
}
