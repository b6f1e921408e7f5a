//! Vapour pressure over liquid water.

use crate::quantities::{Celsius, OutsideValidity, Pascals};

/// Name used in errors.
pub const NAME: &str = "IAPWS saturation pressure";

/// Critical temperature of water, K.
const CRITICAL_K: f64 = 647.096;
/// Critical pressure of water, Pa.
const CRITICAL_PA: f64 = 22.064e6;
/// Coefficients a1 … a6 with their powers of 1 − T/Tc.
const TERMS: [(f64, f64); 6] = [
    (-7.859_517_83, 1.0),
    (1.844_082_59, 1.5),
    (-11.786_649_7, 3.0),
    (22.680_741_1, 3.5),
    (-15.961_871_9, 4.0),
    (1.801_225_02, 7.5),
];

/// Saturation vapour pressure over liquid water.
///
/// ```text
/// ln(p/pc) = Tc/T·(a1·ϑ + a2·ϑ^1.5 + a3·ϑ^3 + a4·ϑ^3.5 + a5·ϑ^4 + a6·ϑ^7.5)      ϑ = 1 − T/Tc, T in K
/// ```
/// # Source       `iapws-sr1-86`, auxiliary equation of Wagner and Pruß (from memory).
/// # Valid        0.01 to 373.9 °C, triple to critical point.
/// # Departures   None.
/// # Checked      `tests/published/iapws.rs` (9 values within 0.02 %).
///
/// # Errors
/// [`OutsideValidity`] outside the range above.
pub fn saturation_pressure(temperature: Celsius) -> Result<Pascals, OutsideValidity> {
    let temperature_k = temperature.value() + 273.15;
    let (least, most) = (0.01, CRITICAL_K - 273.15);
    let outside = OutsideValidity {
        formula: NAME,
        quantity: "temperature",
        unit: "°C",
        found: temperature.value(),
        least,
        most,
    };
    if !(temperature.value() >= least && temperature.value() <= most) {
        return Err(outside);
    }
    let below = 1.0 - temperature_k / CRITICAL_K;
    let sum: f64 = TERMS.iter().map(|(a, power)| a * below.powf(*power)).sum();
    let pressure_pa = CRITICAL_PA * (CRITICAL_K / temperature_k * sum).exp();
    Pascals::new(pressure_pa).map_err(|_unphysical| outside)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refuses_ice_and_the_supercritical() {
        for bad in [-1.0, 0.0, 374.0, 1000.0] {
            assert!(saturation_pressure(Celsius::new(bad).unwrap()).is_err(), "{bad}");
        }
        // Both ends of the range are in it; the critical pressure is a constant of the equation.
        let critical = saturation_pressure(Celsius::new(CRITICAL_K - 273.15).unwrap()).unwrap();
        assert!((critical.value() / CRITICAL_PA - 1.0).abs() < 1.0e-6);
    }
}
