//! Draws of the inception temperature held against draws of the hot spot, every one against every one.

/// Inception temperatures are told apart by this, K.
const GRID_K: f64 = 0.02;

/// A share is closed in on within this, K.
const CLOSE_K: f64 = 0.005;

/// Shares of draws of the inception temperature below a temperature.
#[derive(Debug)]
pub(in crate::assessment::spread) struct Shares {
    from_c: f64,
    /// Below `from_c` and so many steps more.
    below: Vec<f64>,
}

impl Shares {
    /// What is not finite lies below every temperature.
    pub(in crate::assessment::spread) fn of(inception_c: Vec<f64>) -> Self {
        let known = |c: f64| if c.is_finite() { c } else { f64::NEG_INFINITY };
        let mut inception_c: Vec<f64> = inception_c.into_iter().map(known).collect();
        inception_c.sort_by(f64::total_cmp);
        let (from_c, until_c) = ends(inception_c.iter().copied());
        if !(from_c <= until_c) {
            return Self { from_c: 0.0, below: vec![1.0] };
        }
        #[allow(clippy::cast_precision_loss, reason = "some thousands of draws")]
        let share = |below_c: f64| {
            inception_c.partition_point(|c| !(*c >= below_c)) as f64 / inception_c.len() as f64
        };
        let mut below = Vec::new();
        let mut at_c = from_c;
        while at_c <= until_c + GRID_K {
            below.push(share(at_c));
            at_c += GRID_K;
        }
        Self { from_c, below }
    }

    /// The share below a temperature, up to the next step.
    fn below(&self, temperature_c: f64) -> f64 {
        let steps = ((temperature_c - self.from_c) / GRID_K).ceil();
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and more than there are is as good as all"
        )]
        let place = steps.max(0.0) as usize;
        self.below.get(place).copied().unwrap_or(1.0)
    }

    /// The share of all pairs of an inception temperature and a hot spot whose margin is below so much.
    pub(in crate::assessment::spread) fn share_below(&self, hot_c: &[f64], margin_k: f64) -> f64 {
        let of = |hot_c: &f64| if hot_c.is_finite() { self.below(margin_k + hot_c) } else { 1.0 };
        #[allow(clippy::cast_precision_loss, reason = "some thousands of draws")]
        let count = hot_c.len().max(1) as f64;
        hot_c.iter().map(of).sum::<f64>() / count
    }

    /// The margin that a share of all pairs of an inception temperature and a hot spot lies below, K. A hot spot that
    /// is not finite lies above every inception temperature.
    pub(in crate::assessment::spread) fn margin_k(&self, hot_c: &[f64], share: f64) -> f64 {
        let of = |hot_c: f64, margin_k: f64| {
            if hot_c.is_finite() { self.below(margin_k + hot_c) } else { 1.0 }
        };
        #[allow(clippy::cast_precision_loss, reason = "some dozens of draws")]
        let below = |margin_k: f64| {
            hot_c.iter().map(|hot_c| of(*hot_c, margin_k)).sum::<f64>() / hot_c.len() as f64
        };
        let (coolest_c, hottest_c) = ends(hot_c.iter().copied());
        let mut low_k = self.from_c - hottest_c - 1.0;
        #[allow(clippy::cast_precision_loss, reason = "some thousands of steps")]
        let mut high_k = self.from_c + self.below.len() as f64 * GRID_K - coolest_c + 1.0;
        // Written so that a NaN is as bad as the worst.
        if !(below(low_k) <= share && low_k.is_finite() && high_k.is_finite()) {
            return f64::NEG_INFINITY;
        }
        while high_k - low_k > CLOSE_K {
            let middle_k = f64::midpoint(low_k, high_k);
            if below(middle_k) <= share {
                low_k = middle_k;
            } else {
                high_k = middle_k;
            }
        }
        low_k
    }
}

/// The least and the greatest of what is finite; +∞ and −∞ without any.
fn ends(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values
        .filter(|value| value.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), value| {
            (value.min(least), value.max(most))
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A hundred inception temperatures from 120 to 129.9 °C.
    fn shares() -> Shares {
        Shares::of((0..100).map(|k| 120.0 + 0.1 * f64::from(k)).collect())
    }

    #[test]
    fn a_share_of_all_pairs_lies_below_the_margin() {
        // Half of the inception temperatures lie below 125 °C; a step of the grid and of the search off.
        assert!((shares().margin_k(&[100.0], 0.5) - 25.0).abs() < 0.13);
        // 5 % of the pairs are 10 % of those with the hotter one, far from the other.
        assert!((shares().margin_k(&[100.0, 60.0], 0.05) - 21.0).abs() < 0.13);
    }

    #[test]
    fn what_is_not_finite_is_as_bad_as_the_worst_and_the_search_ends() {
        for bad in [f64::INFINITY, f64::NAN] {
            let hot_c = [[100.0; 15].as_slice(), &[bad]].concat();
            assert!(shares().margin_k(&hot_c, 0.05) == f64::NEG_INFINITY, "one in 16 fails");
            assert!(shares().margin_k(&hot_c, 0.5).is_finite());
            assert!(shares().margin_k(&[bad; 4], 0.5) == f64::NEG_INFINITY);
        }
        for bad in [f64::NEG_INFINITY, f64::NAN] {
            assert!(Shares::of(vec![bad; 8]).margin_k(&[100.0], 0.05) == f64::NEG_INFINITY);
            let some = Shares::of(vec![bad, 120.0, 121.0, 122.0]);
            assert!(some.margin_k(&[100.0], 0.05) == f64::NEG_INFINITY, "one in four fails");
        }
    }
}
