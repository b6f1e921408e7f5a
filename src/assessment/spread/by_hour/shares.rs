//! Draws of the inception temperature held against draws of the hot spot, every one against every one.

/// Inception temperatures are told apart by this, K.
const GRID_K: f64 = 0.02;

/// A share is closed in on within this, K.
const CLOSE_K: f64 = 0.005;

/// Shares of draws of the inception temperature below a temperature.
#[derive(Debug)]
pub(super) struct Shares {
    from_c: f64,
    /// Below `from_c` and so many steps more.
    below: Vec<f64>,
}

impl Shares {
    /// What is not finite lies below every temperature.
    pub(super) fn of(mut inception_c: Vec<f64>) -> Self {
        inception_c.sort_by(f64::total_cmp);
        let finite = || inception_c.iter().copied().filter(|c| c.is_finite());
        let (from_c, until_c) = finite()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), c| {
                (c.min(least), c.max(most))
            });
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

    /// The margin that a share of all pairs of an inception temperature and a hot spot lies below, K.
    pub(super) fn margin_k(&self, hot_c: &[f64], share: f64) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "some hundreds of draws")]
        let below = |margin_k: f64| {
            hot_c.iter().map(|hot_c| self.below(margin_k + hot_c)).sum::<f64>() / hot_c.len() as f64
        };
        let (coolest_c, hottest_c) =
            hot_c.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), c| {
                (c.min(least), c.max(most))
            });
        let mut low_k = self.from_c - hottest_c - 1.0;
        #[allow(clippy::cast_precision_loss, reason = "some thousands of steps")]
        let mut high_k = self.from_c + self.below.len() as f64 * GRID_K - coolest_c + 1.0;
        // Written so that a NaN is as bad as the worst.
        if !(below(low_k) <= share && high_k.is_finite()) {
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
