//! What water does to the breakdown voltage of mineral oil, from measured points.

use super::solubility::Solubility;
use crate::quantities::{Celsius, WaterPpm};

/// Breakdown voltage of mineral oil at a relative saturation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strength {
    /// Breakdown voltage, kV.
    pub breakdown_kv: f64,
    /// Whether it is only known to be no more than that. Never so: beyond the points there is no figure.
    pub at_most: bool,
}

/// Measured points: water in the oil, ppm, and breakdown voltage, kV.
const MEASURED: [(f64, f64); 3] = [(23.4, 42.3), (31.6, 33.6), (69.0, 18.4)];

/// Temperature of the oil in that test, °C. Our assumption: room temperature, as is usual for the test.
const TESTED_AT_C: f64 = 20.0;

/// Breakdown voltage of mineral oil against its relative saturation (1 = saturated), indicative.
///
/// ```text
/// relative saturation at 20 °C of 23.4, 31.6 and 69 ppm: 42 %, 57 % and 125 %
/// straight lines between 42.3, 33.6 and 18.4 kV there
/// ```
/// # Source       `energies-2021-14-2089` (read), test of IEC 60156; the solubility of [`Solubility::MINERAL`].
/// # Valid        42 to 125 % of saturation; `None` outside. Mineral oil of that study, not this one: age and
/// particles matter too.
/// # Departures   The source gives ppm. Strength follows relative saturation at the temperature of the test, which is
/// taken as 20 °C (our assumption): taken colder, the same voltages would stand at higher saturations.
/// # Checked      `tests/published/energies_2021_14_2089.rs`, its own three points.
pub fn strength(saturation: f64) -> Option<Strength> {
    let mut points = [(0.0, 0.0); 3];
    for (point, (ppm, kv)) in points.iter_mut().zip(MEASURED) {
        *point = (at_test(ppm)?, kv);
    }
    // Inside: the ends belong to it whatever rounding does.
    let (driest, wettest) = (points[0].0 * (1.0 - 1.0e-12), points[2].0 * (1.0 + 1.0e-12));
    if !(saturation >= driest && saturation <= wettest) {
        return None;
    }
    let [one, other] =
        if saturation <= points[1].0 { [points[0], points[1]] } else { [points[1], points[2]] };
    let share = (saturation - one.0) / (other.0 - one.0);
    Some(Strength { breakdown_kv: one.1 + share * (other.1 - one.1), at_most: false })
}

/// Relative saturation of new mineral oil with so much water at the temperature of the test.
fn at_test(ppm: f64) -> Option<f64> {
    let (water, oil) = (WaterPpm::new(ppm).ok()?, Celsius::new(TESTED_AT_C).ok()?);
    Some(Solubility::MINERAL.relative(water, oil).ok()?.value())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_strength_falls_with_saturation_and_nothing_is_said_beyond_the_points() {
        for outside in [f64::NAN, 0.0, 0.289, 0.42, 1.26, f64::INFINITY] {
            assert!(strength(outside).is_none(), "{outside}");
        }
        let kv = |saturation: f64| strength(saturation).unwrap().breakdown_kv;
        let falling = [0.43, 0.5, 0.6, 0.8, 1.0, 1.25].map(kv);
        assert!(falling.windows(2).all(|pair| pair[1] < pair[0]), "{falling:?}");
    }
}
