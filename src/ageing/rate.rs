//! Relative ageing rate of paper against hot-spot temperature.

use crate::quantities::Celsius;
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
        let hot_spot_c = hot_spot.value();
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
}
