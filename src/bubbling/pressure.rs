//! Absolute pressure at the hot spot.

use crate::quantities::{Celsius, Metres, OutsideValidity, Pascals, STANDARD_ATMOSPHERE_PA};

/// Standard acceleration of gravity, m/s², exact by convention.
const GRAVITY: f64 = 9.806_65;

/// Oil above the hot spot is taken at this temperature, the highest top oil of any
/// loading limit in use: hot oil is light, and low pressure is the conservative side.
pub const HOT_OIL_C: f64 = 115.0;

/// Pressure of the standard atmosphere at a height above sea level.
///
/// ```text
/// p = 101325·(1 − 2.25577e-5·h)^5.25588        h in m, p in Pa
/// ```
/// # Source       `iso-2533-1975` (from memory).
/// # Valid        −500 to 11 000 m. Outside: [`OutsideValidity`].
/// # Departures   The weather is not in it: a deep low of 50 hPa under the standard costs about 1.5 K.
/// # Checked      Not checked against published numbers.
///
/// # Errors
/// [`OutsideValidity`] outside the range above.
pub fn atmosphere(altitude: Metres) -> Result<Pascals, OutsideValidity> {
    let (least, most) = (-500.0, 11_000.0);
    let found = altitude.value();
    let outside = OutsideValidity {
        formula: "ISO 2533 standard atmosphere",
        quantity: "altitude",
        unit: "m",
        found,
        least,
        most,
    };
    if !(found >= least && found <= most) {
        return Err(outside);
    }
    let pressure_pa = STANDARD_ATMOSPHERE_PA * (1.0 - 2.255_77e-5 * found).powf(5.255_88);
    Pascals::new(pressure_pa).map_err(|_impossible| outside)
}

/// Density of mineral oil, kg/m³.
///
/// ```text
/// ρ = 880·(1 − 7.5e-4·(T − 20))        T in °C
/// ```
/// # Source       From memory; trade texts print 0.0007 per °C.
/// # Valid        0 to 150 °C; only called with [`HOT_OIL_C`].
/// # Departures   None.
/// # Checked      One metre at 76 °C weighs the 62 mmHg of common practice (no source).
fn oil_density_kg_m3(oil: Celsius) -> f64 {
    880.0 * (1.0 - 7.5e-4 * (oil.value() - 20.0))
}

/// Absolute pressure at the hot spot: atmosphere, oil head and blanket.
///
/// ```text
/// P = atmosphere(altitude) + ρ(115 °C)·g·head + gauge
/// ```
/// # Source       Hydrostatics.
/// # Valid        As [`atmosphere`]. `gauge_pa` is the lowest gauge pressure of a gas blanket, Pa; 0 without one.
/// # Departures   Oil taken hot throughout, the low-pressure side.
/// # Checked      See the tests of this file.
///
/// # Errors
/// [`OutsideValidity`] as [`atmosphere`], or for a pressure below vacuum.
pub fn at_hot_spot(
    altitude: Metres,
    head: Metres,
    gauge_pa: f64,
) -> Result<Pascals, OutsideValidity> {
    let atmosphere = atmosphere(altitude)?;
    // 115 °C is a constant inside the range of the type.
    let density = Celsius::new(HOT_OIL_C).map_or(0.0, oil_density_kg_m3);
    let total_pa = atmosphere.value() + density * GRAVITY * head.value() + gauge_pa;
    Pascals::new(total_pa).map_err(|_below_vacuum| OutsideValidity {
        formula: "pressure at the hot spot",
        quantity: "absolute pressure",
        unit: "Pa",
        found: total_pa,
        least: 0.0,
        most: crate::quantities::LARGEST,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn metres(m: f64) -> Metres {
        Metres::new(m).unwrap()
    }

    #[test]
    fn a_metre_of_hot_oil_is_about_62_mmhg() {
        // Common practice, no source: "about 62 mmHg per metre of hot oil".
        let density = oil_density_kg_m3(Celsius::new(76.0).unwrap());
        let mmhg = Pascals::new(density * GRAVITY).unwrap().mmhg();
        assert!((mmhg - 62.0).abs() < 0.5);
    }

    #[test]
    fn head_and_blanket_add_to_the_atmosphere() {
        let bare = at_hot_spot(metres(0.0), metres(0.0), 0.0).unwrap();
        assert_relative_eq!(bare.value(), STANDARD_ATMOSPHERE_PA);
        let blanket = at_hot_spot(metres(0.0), metres(0.0), 5_000.0).unwrap();
        assert_relative_eq!(blanket.value() - bare.value(), 5_000.0, max_relative = 1.0e-9);
        let head = at_hot_spot(metres(0.0), metres(2.0), 0.0).unwrap();
        assert!(head > bare);
    }

    #[test]
    fn refuses_a_height_outside_the_atmosphere() {
        assert!(atmosphere(metres(11_001.0)).is_err());
        assert!(atmosphere(metres(-501.0)).is_err());
        assert!(at_hot_spot(metres(0.0), metres(0.0), -2.0e5).is_err());
    }
}
