//! How much water oil can dissolve.

use crate::quantities::{Celsius, OutsideValidity, RelativeSaturation, WaterPpm};

/// Constants of the solubility of water in an insulating liquid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Solubility {
    /// Constant A.
    pub a: f64,
    /// Constant B, K.
    pub b_k: f64,
}

/// Range in which the printed table behind [`Solubility::MINERAL`] stands, with room for hot
/// oil in service, °C.
const RANGE_C: (f64, f64) = (0.0, 150.0);

impl Solubility {
    /// New mineral oil. Source: `solubility-table`; constants recomputed from it.
    pub const MINERAL: Self = Self { a: 7.0895, b_k: 1567.0 };

    /// Natural ester, from memory.
    pub const NATURAL_ESTER: Self = Self { a: 5.3318, b_k: 684.0 };

    /// A liquid of which no constants are known: nothing can be computed with it, and everything that asks
    /// is told so.
    pub const UNKNOWN: Self = Self { a: f64::NAN, b_k: f64::NAN };

    /// Whether its constants are known.
    pub fn is_known(self) -> bool {
        self.a.is_finite() && self.b_k.is_finite()
    }

    /// Water that saturates the oil.
    ///
    /// ```text
    /// log10 S = A − B/T        S in ppm by mass, T = 273 + θ
    /// ```
    /// # Source       `solubility-table`; natural ester from memory (`solubility-ester`). Aged oil dissolves
    /// more, with constants that the user must have measured: no published set could be read.
    /// # Valid        0 to 150 °C. The printed table ends at 100 °C.
    /// # Departures   273 and not 273.15, with which the constants were found.
    /// # Checked      `tests/published/solubility_table.rs` (11 values within 1.7 %).
    ///
    /// # Errors
    /// [`OutsideValidity`] outside the range above.
    pub fn saturation(self, oil: Celsius) -> Result<WaterPpm, OutsideValidity> {
        let (least, most) = RANGE_C;
        let found = oil.value();
        let outside = OutsideValidity {
            formula: "the solubility of water in oil",
            quantity: "oil temperature",
            unit: "°C",
            found,
            least,
            most,
        };
        if !(found >= least && found <= most) {
            return Err(outside);
        }
        let ppm = 10.0_f64.powf(self.a - self.b_k / (found + 273.0));
        WaterPpm::new(ppm).map_err(|_unphysical| outside)
    }

    /// Water in the oil over what would saturate it.
    ///
    /// # Errors
    /// As [`Self::saturation`].
    pub fn relative(
        self,
        water: WaterPpm,
        oil: Celsius,
    ) -> Result<RelativeSaturation, OutsideValidity> {
        let saturation = self.saturation(oil)?;
        RelativeSaturation::new(water.value() / saturation.value())
            .map_err(|error| error.outside("the solubility of water in oil"))
    }

    /// The same at any temperature, as a plain number: only to notice oil near saturation, for which the
    /// formula's range does not matter.
    pub(super) fn relative_anywhere(self, water: WaterPpm, oil: Celsius) -> f64 {
        water.value() / 10.0_f64.powf(self.a - self.b_k / (oil.value() + 273.0))
    }

    /// The temperature at which oil with this much water is saturated, and below which water
    /// comes out of it.
    ///
    /// ```text
    /// T = B/(A − log10 ppm)
    /// ```
    /// `None` for oil without water, or where the temperature comes out outside −50 to 300 °C:
    /// there the constants mean nothing.
    pub fn saturation_temperature_c(self, water: WaterPpm) -> Option<f64> {
        let temperature_c = self.b_k / (self.a - water.value().log10()) - 273.0;
        (-50.0..=300.0).contains(&temperature_c).then_some(temperature_c)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_saturation_temperature_inverts_the_solubility() {
        for oil_c in [0.0, 20.0, 60.0, 100.0] {
            let oil = Celsius::new(oil_c).unwrap();
            let full = Solubility::MINERAL.saturation(oil).unwrap();
            let back = Solubility::MINERAL.saturation_temperature_c(full).unwrap();
            // Rounding of a power and a logarithm.
            assert_relative_eq!(back, oil_c, epsilon = 1.0e-9);
            let relative = Solubility::MINERAL.relative(full, oil).unwrap();
            assert_relative_eq!(relative.value(), 1.0, max_relative = 1.0e-12);
        }
        let dry = WaterPpm::new(0.0).unwrap();
        assert!(Solubility::MINERAL.saturation_temperature_c(dry).is_none());
    }

    #[test]
    fn an_unknown_solubility_gives_no_figure_at_all() {
        let (water, oil) = (WaterPpm::new(20.0).unwrap(), Celsius::new(60.0).unwrap());
        let unknown = Solubility::UNKNOWN;
        assert!(!unknown.is_known() && Solubility::MINERAL.is_known());
        assert!(unknown.saturation(oil).is_err() && unknown.relative(water, oil).is_err());
        assert!(unknown.saturation_temperature_c(water).is_none());
    }

    #[test]
    fn refuses_oil_outside_the_range() {
        for bad in [-0.1, 150.1] {
            assert!(Solubility::MINERAL.saturation(Celsius::new(bad).unwrap()).is_err());
        }
    }
}
