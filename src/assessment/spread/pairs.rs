//! Draws of the inception temperature held against draws of the hot spot, every one against every one.

use crate::uncertainty::estimate::{Estimate, rank_at_or_below};

/// A quantile is first looked for on a grid of this, K, and then among the few pairs that lie so close.
const GRID_K: f64 = 0.005;

/// No grid has more steps: it is made coarser instead.
const MOST_STEPS: f64 = 200_000.0;

/// On the grid it is closed in on within this, K.
const CLOSE_K: f64 = 0.001;

/// Draws of the inception temperature, ready to be held against draws of the hot spot.
///
/// ```text
/// P(margin < x) = mean over hot spots h and inception temperatures i of [i < x + h]
/// ```
/// # Source       `project-choice`. No input of the inception temperature (water, gas, pressure, correlation, holding
/// factor) is one of the hot spot (rises, losses, exponents, time constants, forecasts), so that each may be held
/// against each: an average over all pairs scatters far less than one over as many pairs as there are draws.
/// # Valid        Draws that do not depend on one another. Water that is followed through a load is one number
/// for that load.
/// # Departures   None.
/// # Checked      `tests/spread/closed_form.rs`, `tests/spread/plain_monte_carlo.rs`; the standard errors against
///   the scatter over seeds in `tests/spread/five_percent_point.rs`.
#[derive(Debug)]
pub(super) struct Inceptions {
    /// Ascending; what is not finite lies below every temperature.
    ascending_c: Vec<f64>,
    /// The replicate of each of them.
    replicate: Vec<usize>,
    replicates: usize,
    from_c: f64,
    step_k: f64,
    /// How many lie below `from_c` and so many steps more.
    below: Vec<u32>,
}

impl Inceptions {
    /// The draws of so many replicates, one after another.
    pub(super) fn of(inception_c: &[f64], replicates: usize) -> Self {
        let each = inception_c.len().div_ceil(replicates.max(1)).max(1);
        let known = |c: f64| if c.is_finite() { c } else { f64::NEG_INFINITY };
        let mut draws: Vec<(f64, usize)> =
            inception_c.iter().enumerate().map(|(draw, c)| (known(*c), draw / each)).collect();
        draws.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (ascending_c, replicate): (Vec<f64>, Vec<usize>) = draws.into_iter().unzip();
        let (from_c, until_c) = ends(&ascending_c);
        let (from_c, until_c) = if from_c <= until_c { (from_c, until_c) } else { (0.0, 0.0) };
        let step_k = GRID_K.max((until_c - from_c) / MOST_STEPS);
        let below = counts(&ascending_c, from_c, until_c, step_k);
        Self { ascending_c, replicate, replicates, from_c, step_k, below }
    }

    /// The draws, ascending, °C; −∞ what is not finite.
    pub(super) fn ascending_c(&self) -> &[f64] {
        &self.ascending_c
    }

    /// Share of them that lie at a temperature or below it; all if that is not finite, or if there are none.
    #[allow(clippy::cast_precision_loss, reason = "some thousands of draws")]
    pub(super) fn share_at_most(&self, temperature_c: f64) -> f64 {
        if !temperature_c.is_finite() || self.ascending_c.is_empty() {
            return 1.0;
        }
        let at_most = self.ascending_c.partition_point(|c| *c <= temperature_c);
        at_most as f64 / self.ascending_c.len() as f64
    }

    /// How many lie below a temperature, up to the next step of the grid.
    fn at_most_below(&self, temperature_c: f64) -> u64 {
        if !temperature_c.is_finite() {
            return self.all();
        }
        let place = self.place(temperature_c);
        self.below.get(place).map_or_else(|| self.all(), |below| u64::from(*below))
    }

    fn all(&self) -> u64 {
        self.ascending_c.len() as u64
    }

    /// How many lie below a temperature: all if that is not finite.
    fn below(&self, temperature_c: f64) -> usize {
        if !temperature_c.is_finite() {
            return self.ascending_c.len();
        }
        // One step of the grid to either side more than there should be, so that rounding does not matter.
        let place = self.place(temperature_c);
        let of =
            |place: usize| self.below.get(place).map_or(self.ascending_c.len(), |n| *n as usize);
        let from = place.checked_sub(2).map_or(0, of);
        let near = &self.ascending_c[from..of(place + 1)];
        from + near.partition_point(|c| !(*c >= temperature_c))
    }

    /// The step of the grid at or above a temperature.
    fn place(&self, temperature_c: f64) -> usize {
        let steps = ((temperature_c - self.from_c) / self.step_k).ceil();
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and more than there are is as good as all"
        )]
        let place = steps.clamp(0.0, 2.0 * MOST_STEPS) as usize;
        place
    }

    /// The margin that a share of all pairs of an inception temperature and a hot spot lies below, K; −∞ where so
    /// many are beyond the range of the correlations. A hot spot that is not finite lies above every inception
    /// temperature.
    ///
    /// It is the margin of one of the pairs, that of [`crate::uncertainty::estimate::quantiles`].
    pub(super) fn margin_k(&self, hot_c: &[f64], share: f64) -> f64 {
        let pairs = self.all() * hot_c.len() as u64;
        let rank = rank_at_or_below(share, pairs);
        let enough = |margin_k: f64| {
            hot_c.iter().map(|hot_c| self.at_most_below(margin_k + hot_c)).sum::<u64>() <= rank
        };
        let (coolest_c, hottest_c) = ends(hot_c);
        let mut low_k = self.from_c - hottest_c - 1.0;
        #[allow(clippy::cast_precision_loss, reason = "some thousands of steps")]
        let mut high_k = self.from_c + self.below.len() as f64 * self.step_k - coolest_c + 1.0;
        // Written so that a NaN is as bad as the worst.
        if !(low_k.is_finite() && high_k.is_finite() && pairs > 0 && enough(low_k)) {
            return f64::NEG_INFINITY;
        }
        while high_k - low_k > CLOSE_K {
            let middle_k = f64::midpoint(low_k, high_k);
            if enough(middle_k) {
                low_k = middle_k;
            } else {
                high_k = middle_k;
            }
        }
        // The grid counts up to a step too many.
        self.among(hot_c, (low_k, high_k + self.step_k), rank)
    }

    /// The margin of the pair of a rank that is known to lie between two margins, K.
    fn among(&self, hot_c: &[f64], (from_k, until_k): (f64, f64), rank: u64) -> f64 {
        let mut below = 0;
        let mut within: Vec<(f64, u64)> = Vec::new();
        for same in hot_c.chunk_by(|a, b| a.to_bits() == b.to_bits()) {
            let (hot_c, times) = (same[0], same.len() as u64);
            let first = self.below(from_k + hot_c);
            below += times * first as u64;
            let next = self.ascending_c[first..].iter().map(|c| c - hot_c);
            let of_hot = within.len();
            for margin_k in next.take_while(|margin_k| *margin_k <= until_k) {
                match within[of_hot..].last_mut() {
                    Some(last) if last.0.to_bits() == margin_k.to_bits() => last.1 += times,
                    Some(_) | None => within.push((margin_k, times)),
                }
            }
        }
        within.sort_by(|a, b| a.0.total_cmp(&b.0));
        let reached = within.iter().find(|(_, times)| {
            below += times;
            below > rank
        });
        reached.map_or(from_k, |(margin_k, _)| *margin_k)
    }

    /// The share of all pairs whose margin is below so much, and how far it may be off; `hot_c` are the draws of as
    /// many replicates, one after another.
    ///
    /// ```text
    /// a_r = share of the pairs with a hot spot of replicate r      b_r = with an inception temperature of replicate r
    /// standard error = √(variance of a_r / R + variance of b_r / R)
    /// ```
    /// To first order the error of a share is the sum of what either sample is off, and each is a mean over
    /// independent replicates.
    pub(super) fn share_below(&self, hot_c: &[f64], margin_k: f64) -> Estimate {
        let (replicates, inceptions) = (self.replicates.max(1), self.ascending_c.len());
        let each = hot_c.len().div_ceil(replicates).max(1);
        let mut limits_c: Vec<(f64, usize)> = hot_c
            .iter()
            .enumerate()
            .map(|(draw, hot_c)| (above_all_unless_finite(margin_k + hot_c), draw / each))
            .collect();
        limits_c.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut by_hot, mut by_inception) = (vec![0_u64; replicates], vec![0_u64; replicates]);
        let mut passed = 0;
        for (place, (limit_c, replicate)) in limits_c.iter().enumerate() {
            let from_here = (limits_c.len() - place) as u64;
            while passed < inceptions && !(self.ascending_c[passed] >= *limit_c) {
                by_inception[self.replicate[passed]] += from_here;
                passed += 1;
            }
            by_hot[*replicate] += passed as u64;
        }
        estimate(&by_hot, &by_inception, inceptions * hot_c.len())
    }
}

fn above_all_unless_finite(c: f64) -> f64 {
    if c.is_finite() { c } else { f64::INFINITY }
}

/// Of pairs that count, by the replicate of either; of all pairs each replicate has the same part.
#[allow(clippy::cast_precision_loss, reason = "below 2^53 pairs")]
fn estimate(by_hot: &[u64], by_inception: &[u64], pairs: usize) -> Estimate {
    let (pairs, replicates) = (pairs as f64, by_hot.len() as f64);
    let value = by_hot.iter().sum::<u64>() as f64 / pairs;
    let variance = |counts: &[u64]| {
        let off = |count: &u64| (*count as f64 * replicates / pairs - value).powi(2);
        counts.iter().map(off).sum::<f64>() / (replicates - 1.0) / replicates
    };
    Estimate { value, standard_error: (variance(by_hot) + variance(by_inception)).sqrt() }
}

/// How many of ascending values lie below each step of a grid, and one step past the last of them.
fn counts(ascending_c: &[f64], from_c: f64, until_c: f64, step_k: f64) -> Vec<u32> {
    let (mut below, mut passed, mut step) = (Vec::new(), 0_u32, 0_u32);
    loop {
        let at_c = from_c + f64::from(step) * step_k;
        let ahead = &ascending_c[passed as usize..];
        passed += ahead.iter().take_while(|c| !(**c >= at_c)).map(|_| 1).sum::<u32>();
        below.push(passed);
        if !(at_c <= until_c) {
            return below;
        }
        step += 1;
    }
}

/// The least and the greatest of what is finite; +∞ and −∞ without any.
fn ends(values: &[f64]) -> (f64, f64) {
    values
        .iter()
        .filter(|value| value.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), value| {
            (value.min(least), value.max(most))
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::uncertainty::estimate::quantile;

    /// A hundred inception temperatures from 120 to 129.9 °C.
    fn hundred() -> Inceptions {
        let c: Vec<f64> = (0..100).map(|k| 120.0 + 0.1 * f64::from(k)).collect();
        Inceptions::of(&c, 2)
    }

    #[test]
    fn a_share_of_all_pairs_lies_below_the_margin() {
        // Half of the inception temperatures lie below 125 °C; one of them off.
        assert!((hundred().margin_k(&[100.0], 0.5) - 24.95).abs() < 0.06);
        // 5 % of the pairs are 10 % of those with the hotter one, far from the other.
        assert!((hundred().margin_k(&[100.0, 60.0], 0.05) - 20.9).abs() < 0.11);
    }

    #[test]
    #[allow(clippy::cast_precision_loss, reason = "some thousands of pairs")]
    fn it_is_the_order_statistic_of_all_pairs() {
        let inception_c: Vec<f64> = (0..211).map(|k| 110.0 + f64::from(k * k % 97) / 3.1).collect();
        let hot_c: Vec<f64> = (0..48).map(|k| 80.0 + f64::from(k * k % 41) / 1.7).collect();
        let inceptions = Inceptions::of(&inception_c, 16);
        let pairs: Vec<f64> =
            inception_c.iter().flat_map(|i| hot_c.iter().map(move |h| i - h)).collect();
        for share in [0.0, 0.01, 0.05, 0.5, 0.95] {
            let off_k = quantile(&pairs, share).unwrap() - inceptions.margin_k(&hot_c, share);
            // Sums in another order.
            assert!(off_k.abs() < 1.0e-9, "{share}: {off_k} K");
        }
        for margin_k in [0.0, 14.2, 33.0] {
            let counted = pairs.iter().filter(|k| **k < margin_k).count() as f64;
            let found = inceptions.share_below(&hot_c, margin_k).value;
            assert!((found - counted / pairs.len() as f64).abs() < 1.0e-12, "{margin_k}: {found}");
        }
    }

    #[test]
    fn one_pair_has_its_own_margin_to_the_last_digit() {
        let alone = Inceptions::of(&[133.123_456_789; 32], 16);
        for share in [0.0, 0.05, 0.5, 0.95] {
            let found_k = alone.margin_k(&[101.987_654_321; 16], share);
            assert_eq!(found_k.to_bits(), (133.123_456_789_f64 - 101.987_654_321).to_bits());
        }
    }

    #[test]
    fn what_is_not_finite_is_as_bad_as_the_worst_and_the_search_ends() {
        for bad in [f64::INFINITY, f64::NAN] {
            let hot_c = [[100.0; 15].as_slice(), &[bad]].concat();
            assert!(hundred().margin_k(&hot_c, 0.05) == f64::NEG_INFINITY, "one in 16 fails");
            assert!(hundred().margin_k(&hot_c, 0.5).is_finite());
            assert!(hundred().margin_k(&[bad; 4], 0.5) == f64::NEG_INFINITY);
            let share = hundred().share_below(&hot_c, -1000.0).value;
            assert!((share - 1.0 / 16.0).abs() < 1.0e-12, "{share}");
        }
        for bad in [f64::NEG_INFINITY, f64::NAN] {
            let none = Inceptions::of(&[bad; 8], 2);
            assert!(none.margin_k(&[100.0], 0.05) == f64::NEG_INFINITY);
            let some = Inceptions::of(&[bad, 120.0, 121.0, 122.0], 2);
            assert!(some.margin_k(&[100.0], 0.05) == f64::NEG_INFINITY, "one in four fails");
            assert!((some.share_below(&[100.0], -1000.0).value - 0.25).abs() < 1.0e-12);
        }
        assert!(Inceptions::of(&[], 16).margin_k(&[100.0], 0.05) == f64::NEG_INFINITY);
        assert!(hundred().margin_k(&[], 0.05) == f64::NEG_INFINITY);
    }
}
