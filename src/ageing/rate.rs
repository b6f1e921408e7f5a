//! Relative ageing rate of paper against hot-spot temperature.

use crate::quantities::Celsius;
use crate::thermal::lanes::{Lanes, WIDTH, Work, exp, exp2, wide};
use serde::Serialize;

/// Which relative ageing rate applies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum AgeingRate {
    /// Non-upgraded kraft paper, doubling every 6 K, 1 at 98 °C.
    Kraft,
    /// Thermally upgraded paper, Arrhenius, 1 at 110 °C.
    ThermallyUpgraded,
}

impl AgeingRate {
    /// Relative ageing rate at a hot spot: hours of normal life per hour.
    ///
    /// ```text
    /// kraft      V = 2^((θh − 98)/6)
    /// upgraded   V = exp(15000/383 − 15000/(θh + 273))
    /// ```
    /// # Source       `iec-60076-7-2005` and, for upgraded paper, `F_AA` of `ieee-c57-91-2011` (not read in
    /// print; 42 printed values of `iec-60354-1991` are reproduced with the kraft rate).
    /// # Valid        Dry paper without air. Water multiplies the rate, which is not in it.
    /// # Departures   None; 273 and not 273.15, as in the source.
    /// # Checked      `tests/published/ageing_rates.rs` (22 values), `tests/published/iec_60354_1991.rs`.
    pub fn at(self, hot_spot: Celsius) -> f64 {
        self.at_c(hot_spot.value())
    }

    fn at_c(self, hot_spot_c: f64) -> f64 {
        match self {
            Self::Kraft => ((hot_spot_c - 98.0) / 6.0).exp2(),
            Self::ThermallyUpgraded => (15_000.0 / 383.0 - 15_000.0 / (hot_spot_c + 273.0)).exp(),
        }
    }

    /// Normal-life hours used over a sampled hot-spot course of `(minute, °C)` points.
    ///
    /// The trapezoidal rule. Sampled every minute it keeps to the printed daily life
    /// losses of `iec-60354-1991` within 0.4 %.
    pub fn hours_used(self, course: &[(f64, Celsius)]) -> f64 {
        let pairs = course.windows(2);
        let minutes: f64 = pairs
            .map(|pair| {
                (pair[1].0 - pair[0].0) * f64::midpoint(self.at(pair[0].1), self.at(pair[1].1))
            })
            .sum();
        minutes / 60.0
    }

    /// The same over samples that are `step_min` apart, °C, several at a time; 0 for fewer than two.
    ///
    /// The digits do not depend on the processor.
    pub fn hours_used_evenly(self, step_min: f64, hot_spot_c: &[f64]) -> f64 {
        let [first_c, inside @ .., last_c] = hot_spot_c else {
            return 0.0;
        };
        let ends = f64::midpoint(self.at_c(*first_c), self.at_c(*last_c));
        (ends + wide(Sum { rate: self, hot_spot_c: inside })) * step_min / 60.0
    }
}

/// The sum of the rates at many hot spots.
struct Sum<'a> {
    rate: AgeingRate,
    hot_spot_c: &'a [f64],
}

#[allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]
impl Sum<'_> {
    /// Each lane adds up every [`WIDTH`]th rate.
    #[inline(always)]
    fn of(hot_spot_c: &[f64], rate: impl Fn(f64) -> f64) -> f64 {
        let (whole, rest) = hot_spot_c.as_chunks::<WIDTH>();
        let mut sums = Lanes([0.0; WIDTH]);
        for hot_spot_c in whole {
            for (sum, hot_spot_c) in sums.0.iter_mut().zip(hot_spot_c) {
                *sum += rate(*hot_spot_c);
            }
        }
        let rest: f64 = rest.iter().map(|hot_spot_c| rate(*hot_spot_c)).sum();
        sums.0.iter().sum::<f64>() + rest
    }
}

#[allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]
impl Work for Sum<'_> {
    type Answer = f64;

    /// The formulas of [`AgeingRate::at`].
    #[inline(always)]
    fn run(self) -> f64 {
        match self.rate {
            AgeingRate::Kraft => {
                Self::of(self.hot_spot_c, |hot_spot_c| exp2((hot_spot_c - 98.0) * (1.0 / 6.0)))
            }
            AgeingRate::ThermallyUpgraded => Self::of(self.hot_spot_c, |hot_spot_c| {
                exp(15_000.0 / 383.0 - 15_000.0 / (hot_spot_c + 273.0))
            }),
        }
    }
}
