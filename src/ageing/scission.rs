//! Ageing of paper as the scission of its chains, counted by the degree of polymerisation (DP).
//!
//! Not modelled: acids and other by-products that speed ageing up, and the slowing below a DP of 200.

use super::rate::AgeingRate;
pub use super::scission_set::AgeingSet;
use crate::quantities::{Celsius, MoisturePercent};
use serde::Serialize;
use std::ops::RangeInclusive;

/// DP of new paper reckoned with unless another is known: the low, cautious end.
pub const DP_NEW: f64 = 1000.0;
/// DP of new paper (`emsley-stevens-1994`); the trade's usual figure is 1200, and about 950 is left
/// after drying in the factory.
pub const DP_NEW_RANGE: RangeInclusive<f64> = 1000.0..=1300.0;
/// DP at the end of paper's life.
pub const DP_END: f64 = 200.0;
/// Hours in a year, as the published lives count them.
pub const HOURS_PER_YEAR: f64 = 8760.0;
/// Water of the driest column of every set, %.
pub const DRY_PERCENT: f64 = 0.5;
/// Gas constant in J/(mol·K), with the digits that reproduce the published lives.
const GAS_J_MOL_K: f64 = 8.314;
/// About the hottest ageing test behind the sets; hotter, chains also break by heat alone.
pub const HOTTEST_TESTED_C: f64 = 140.0;
/// Temperatures that paper in a transformer can have; beyond them nothing is reckoned.
const TEMPERATURES_C: RangeInclusive<f64> = -60.0..=250.0;

/// How fast 1/DP grows.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Rate {
    /// Growth of 1/DP per hour.
    pub per_hour: f64,
    /// At least this fast: the paper is wetter or hotter than what was measured.
    pub floor: bool,
}

/// Ageing over a course of temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Scissions {
    /// By how much 1/DP has grown.
    pub count: f64,
    /// Hours that do the same to dry paper at its reference temperature, by the same set.
    pub reference_hours: f64,
    /// At least this much, see [`Rate::floor`].
    pub floor: bool,
}

/// An estimate of the DP of paper in service.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AgedPaper {
    /// Degree of polymerisation.
    pub dp: f64,
    /// At most this, see [`Rate::floor`].
    pub ceiling: bool,
}

/// Rate of chain scission.
///
/// ```text
/// d(1/DP)/dt = A·exp(−E_A/(R·T))      t in h, T = θ + 273 K, R = 8.314 J/(mol·K)
/// ln A linear in ln W between the columns of a set
/// ```
/// # Source       `emsley-stevens-1994` (form) and `iec-60076-7-2018`; all constants from memory.
/// # Valid        θ −60 to 250 °C, outside `None`. Up to 140 °C (memory) and the wettest column of the
/// set; beyond them nothing is extrapolated in water, and the rate is marked as a floor.
/// # Departures   Drier than the driest column (0.5 %) that column is used: drier paper ages more slowly.
/// # Checked      `tests/published/chain_scission.rs` (3 lives; common practice, no source).
pub fn rate(
    set: AgeingSet,
    paper: AgeingRate,
    water: MoisturePercent,
    temperature: Celsius,
) -> Option<Rate> {
    AtWater::of(set, paper, water)?.rate(temperature)
}

/// A set at one water content, so that what the temperature does not change is worked out once.
struct AtWater {
    /// A, 1/h.
    factor: f64,
    activation_k: f64,
    /// Whether the paper is wetter than the set was published for.
    wetter: bool,
}

impl AtWater {
    fn of(set: AgeingSet, paper: AgeingRate, water: MoisturePercent) -> Option<Self> {
        let constants = set.constants(paper);
        let (factor, wetter) = constants.factor_per_hour(water.value())?;
        let activation_k = 1000.0 * constants.activation_kj_mol / GAS_J_MOL_K;
        Some(Self { factor, activation_k, wetter })
    }

    fn rate(&self, temperature: Celsius) -> Option<Rate> {
        let temperature_c = temperature.value();
        TEMPERATURES_C.contains(&temperature_c).then(|| Rate {
            per_hour: self.factor * (-self.activation_k / (temperature_c + 273.0)).exp(),
            floor: self.wetter || temperature_c > HOTTEST_TESTED_C,
        })
    }
}

/// Whether a DP is one that paper can have.
fn is_dp(dp: f64) -> bool {
    dp > 0.0 && dp <= *DP_NEW_RANGE.end()
}

/// Hours from one DP down to another; 0 if it is reached already. At most this if the rate is a
/// floor. `None` for a DP that is not above 0 and at most 1300.
///
/// ```text
/// t = (1/DP_end − 1/DP_start) / rate
/// ```
/// # Source       `emsley-stevens-1994`
/// # Valid        Down to a DP of 200; below it scission slows down.
/// # Departures   None.
/// # Checked      `tests/published/chain_scission.rs`.
pub fn life_hours(rate: Rate, dp_start: f64, dp_end: f64) -> Option<f64> {
    let life_h = (1.0 / dp_end - 1.0 / dp_start).max(0.0) / rate.per_hour;
    (is_dp(dp_start) && is_dp(dp_end) && life_h >= 0.0 && life_h.is_finite()).then_some(life_h)
}

/// DP after some hours; at most this if the rate is a floor. `None` for a DP that is not above 0
/// and at most 1300, or for a negative time. Below 200 it only says that life is over.
///
/// ```text
/// 1/DP = 1/DP_start + rate·t
/// ```
/// # Source       `emsley-stevens-1994`
/// # Valid        Down to a DP of 200; below it scission slows down.
/// # Departures   None.
/// # Checked      See the tests of this file: the inverse of [`life_hours`].
pub fn dp_after(rate: Rate, dp_start: f64, hours: f64) -> Option<f64> {
    let dp = 1.0 / (1.0 / dp_start + rate.per_hour * hours);
    (is_dp(dp_start) && hours >= 0.0 && dp > 0.0 && dp <= dp_start).then_some(dp)
}

/// DP to be expected without a measurement, from years at a usual hot spot and water content.
///
/// ```text
/// 1/DP = 1/DP_start + A·exp(−E_A/(R·T))·t
/// ```
/// # Source       `emsley-stevens-1994`; taking one hot spot and one water content for all the years
/// is `project-choice`.
/// # Valid        As [`rate`] and [`dp_after`]. An order of magnitude: the sets themselves spread as wide.
/// # Departures   None. Paper that was drier when young is then older here than it is.
/// # Checked      Not checked against published numbers.
pub fn dp_from_age(
    set: AgeingSet,
    paper: AgeingRate,
    water: MoisturePercent,
    dp_start: f64,
    years: f64,
    usual_hot_spot: Celsius,
) -> Option<AgedPaper> {
    let rate = rate(set, paper, water, usual_hot_spot)?;
    let dp = dp_after(rate, dp_start, years * HOURS_PER_YEAR)?;
    Some(AgedPaper { dp, ceiling: rate.floor })
}

/// Temperature at which the relative ageing rate of a paper is 1, °C.
const fn reference_c(paper: AgeingRate) -> f64 {
    match paper {
        AgeingRate::Kraft => 98.0,
        AgeingRate::ThermallyUpgraded => 110.0,
    }
}

/// Scissions over a sampled hot-spot course of `(minute, °C)` points, by the trapezoidal rule.
///
/// `None` if a temperature has no rate, a time is not finite, or time runs backwards.
///
/// ```text
/// count = ∫ A·exp(−E_A/(R·T)) dt
/// reference hours = count / rate(0.5 % water, 98 °C kraft or 110 °C upgraded)
/// ```
/// # Source       `emsley-stevens-1994` (form), `iec-60076-7-2005` (reference temperatures).
/// # Valid        As [`rate`]. The floor is set if any point of the course sets it.
/// # Departures   None.
/// # Checked      See the tests of this file.
pub fn scissions(
    set: AgeingSet,
    paper: AgeingRate,
    water: MoisturePercent,
    course: &[(f64, Celsius)],
) -> Option<Scissions> {
    let mut previous: Option<(f64, Rate)> = None;
    let (mut count, mut floor) = (0.0, false);
    let at_water = AtWater::of(set, paper, water)?;
    for (minute, temperature) in course {
        let now = at_water.rate(*temperature)?;
        floor |= now.floor;
        if let Some((before_min, before)) = previous {
            let hours = (minute - before_min) / 60.0;
            if !(hours >= 0.0 && hours.is_finite()) {
                return None;
            }
            count += hours * f64::midpoint(before.per_hour, now.per_hour);
        }
        previous = Some((*minute, now));
    }
    let dry = MoisturePercent::new(DRY_PERCENT).ok()?;
    let reference = rate(set, paper, dry, Celsius::new(reference_c(paper)).ok()?)?;
    Some(Scissions { count, reference_hours: count / reference.per_hour, floor })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(set: AgeingSet, paper: AgeingRate, water_percent: f64, temperature_c: f64) -> Rate {
        let water = MoisturePercent::new(water_percent).unwrap();
        rate(set, paper, water, Celsius::new(temperature_c).unwrap()).unwrap()
    }

    const PAPERS: [AgeingRate; 2] = [AgeingRate::Kraft, AgeingRate::ThermallyUpgraded];

    #[test]
    fn hotter_and_wetter_is_never_slower() {
        for (set, paper) in AgeingSet::ALL.into_iter().flat_map(|set| PAPERS.map(|p| (set, p))) {
            let wetter: Vec<f64> = [0.0, 0.5, 0.7, 1.0, 1.5, 2.0, 3.0, 3.5, 4.0, 6.0]
                .map(|w| at(set, paper, w, 90.0).per_hour)
                .into();
            // Equal outside the columns, to rounding at a column itself.
            assert!(wetter.windows(2).all(|pair| pair[1] >= pair[0] * (1.0 - 1.0e-12)), "{set:?}");
            assert!(at(set, paper, 1.0, 91.0).per_hour > at(set, paper, 1.0, 90.0).per_hour);
        }
    }

    #[test]
    fn wetter_or_hotter_than_measured_is_a_floor() {
        let floor = |set, water_percent, hot_spot_c| {
            PAPERS.map(|paper| at(set, paper, water_percent, hot_spot_c).floor)
        };
        assert_eq!(floor(AgeingSet::IecWithoutAir, 3.5, 98.0), [false, false]);
        assert_eq!(floor(AgeingSet::IecWithoutAir, 3.6, 98.0), [true, true]);
        assert_eq!(floor(AgeingSet::IecWithAir, 0.6, 98.0), [true, true]);
        assert_eq!(floor(AgeingSet::EmsleyStevens, 2.0, 98.0), [false, true]);
        assert_eq!(floor(AgeingSet::IecWithoutAir, 0.0, 141.0), [true, true]);
    }

    /// Twice the last column's water: as many times faster as that column is than the one at half its water.
    #[test]
    fn beyond_the_wettest_column_the_last_slope_goes_on() {
        let times = |set: AgeingSet, water| set.carried_on(AgeingRate::Kraft, water);
        let half = at(AgeingSet::EmsleyStevens, AgeingRate::Kraft, 2.0, 90.0).per_hour;
        let last = at(AgeingSet::EmsleyStevens, AgeingRate::Kraft, 4.0, 90.0).per_hour;
        let rounding = 1.0e-12;
        assert!((times(AgeingSet::EmsleyStevens, 8.0) - last / half).abs() < rounding * 10.0);
        for set in AgeingSet::ALL {
            assert!((times(set, 3.5) - 1.0).abs() < rounding || set == AgeingSet::IecWithAir);
            assert!(times(set, 8.0) >= times(set, 5.0) && times(set, 5.0) >= 1.0);
        }
        assert!(times(AgeingSet::EmsleyStevens, f64::NAN).is_nan());
    }

    #[test]
    fn a_life_and_the_dp_after_it_are_inverse() {
        let rate = at(AgeingSet::EmsleyStevens, AgeingRate::Kraft, 2.0, 90.0);
        let life_h = life_hours(rate, DP_NEW, DP_END).unwrap();
        let dp = dp_after(rate, DP_NEW, life_h).unwrap();
        assert!((dp - DP_END).abs() < 1.0e-9, "rounding only: {dp}");
        assert!(life_hours(rate, DP_END, DP_NEW).unwrap() <= 0.0, "reached already");
        for bad in [f64::NAN, f64::INFINITY, 0.0, -1.0, 1301.0] {
            assert!(life_hours(rate, bad, DP_END).is_none() && dp_after(rate, bad, 1.0).is_none());
            assert!(life_hours(rate, DP_NEW, bad).is_none());
        }
        assert!(
            dp_after(rate, DP_NEW, -1.0).is_none() && dp_after(rate, DP_NEW, f64::NAN).is_none()
        );
    }

    #[test]
    fn a_day_at_the_reference_is_a_day_of_dry_life() {
        for (set, paper) in AgeingSet::ALL.into_iter().flat_map(|set| PAPERS.map(|p| (set, p))) {
            let reference = Celsius::new(reference_c(paper)).unwrap();
            let dry = MoisturePercent::new(0.3).unwrap();
            let day = [(-60.0, reference), (700.0, reference), (1380.0, reference)];
            let found = scissions(set, paper, dry, &day).unwrap();
            assert!((found.reference_hours - 24.0).abs() < 1.0e-9 && !found.floor);
            let back = [(10.0, reference), (0.0, reference)];
            assert!(scissions(set, paper, dry, &back).is_none());
            assert!(
                scissions(set, paper, dry, &[(0.0, reference), (f64::NAN, reference)]).is_none()
            );
        }
    }

    #[test]
    fn refuses_temperatures_that_paper_never_has() {
        let dry = MoisturePercent::new(DRY_PERCENT).unwrap();
        for temperature_c in [-273.15, -61.0, 251.0, 1.0e9] {
            let temperature = Celsius::new(temperature_c).unwrap();
            assert!(rate(AgeingSet::EmsleyStevens, AgeingRate::Kraft, dry, temperature).is_none());
        }
    }

    #[test]
    fn age_without_a_measurement_gives_a_dp() {
        let aged = |set, water_percent, years| {
            let water = MoisturePercent::new(water_percent).unwrap();
            let usual = Celsius::new(70.0).unwrap();
            dp_from_age(set, AgeingRate::Kraft, water, DP_NEW, years, usual).unwrap()
        };
        for set in AgeingSet::ALL {
            assert!((aged(set, 2.0, 0.0).dp - DP_NEW).abs() < 1.0e-9);
            assert!(
                aged(set, 2.0, 40.0).dp < aged(set, 1.0, 40.0).dp || aged(set, 1.0, 40.0).ceiling
            );
            assert!(aged(set, 1.0, 40.0).dp < aged(set, 1.0, 30.0).dp);
        }
    }
}
