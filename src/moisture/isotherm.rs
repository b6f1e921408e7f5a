//! The Fessler isotherm: water in paper, water vapour and temperature in equilibrium.

use crate::quantities::{Celsius, MoisturePercent, OutsideValidity, Pascals};

/// Name used in results and errors.
pub const NAME: &str = "Fessler";

/// Coefficient, kg of water per kg of dry paper at 1 atm.
const COEFFICIENT: f64 = 2.173e-7;
/// Exponent of the vapour pressure; water in paper grows with this power of it.
pub const PRESSURE_EXPONENT: f64 = 0.6685;
/// Temperature constant, K.
const TEMPERATURE_K: f64 = 4725.6;
/// Temperatures for which it is used, °C.
const RANGE_C: (f64, f64) = (40.0, 300.0);

fn within(temperature_c: f64) -> Result<(), OutsideValidity> {
    let (least, most) = RANGE_C;
    if temperature_c >= least && temperature_c <= most {
        return Ok(());
    }
    Err(OutsideValidity {
        formula: NAME,
        quantity: "temperature",
        unit: "°C",
        found: temperature_c,
        least,
        most,
    })
}

/// Temperature at which wet paper holds a given water-vapour pressure.
///
/// ```text
/// C = 2.173e-7·p_v^0.6685·e^(4725.6/T)      C kg/kg, p_v in atm, T in K; solved for T
/// ```
/// # Source       `fessler-1989` (not read in print; form and units from print, digits cross-checked).
/// # Valid        T ≥ 40 °C. Below it the isotherm reads too wet, which here means too hot:
/// [`OutsideValidity`].
/// # Departures   None.
/// # Checked      Against [`crate::bubbling::oommen_lindgren`], see there.
///
/// # Errors
/// [`OutsideValidity`] if the temperature comes out below 40 °C or above 300 °C.
pub fn temperature_at(water: MoisturePercent, vapour: Pascals) -> Result<Celsius, OutsideValidity> {
    let c = water.value() / 100.0;
    let over = COEFFICIENT * vapour.atmospheres().powf(PRESSURE_EXPONENT);
    let temperature_c = TEMPERATURE_K / (c / over).ln() - 273.15;
    within(temperature_c)?;
    Celsius::new(temperature_c).map_err(|error| error.outside(NAME))
}

/// Water in paper in equilibrium with a vapour pressure, in %.
///
/// ```text
/// C = 2.173e-7·p_v^0.6685·e^(4725.6/T)      C kg/kg, p_v in atm, T in K
/// ```
/// # Source       `fessler-1989`, as [`temperature_at`].
/// # Valid        T ≥ 40 °C. It reads too wet for cold, wet oil, so that oil above 30 % of saturation is no
/// witness either: [`super::conversion`] refuses it.
/// # Departures   None.
/// # Checked      `tests/published/two_routes.rs`; against [`crate::bubbling::oommen_lindgren`] through its inverse.
///
/// # Errors
/// [`OutsideValidity`] outside the range above, or where more than 100 % comes out.
pub fn water_at(vapour: Pascals, temperature: Celsius) -> Result<MoisturePercent, OutsideValidity> {
    within(temperature.value())?;
    let temperature_k = temperature.value() + 273.15;
    let fraction = COEFFICIENT
        * vapour.atmospheres().powf(PRESSURE_EXPONENT)
        * (TEMPERATURE_K / temperature_k).exp();
    MoisturePercent::new(fraction * 100.0).map_err(|error| error.outside(NAME))
}

/// Vapour pressure over paper of a water content: [`water_at`] solved for the pressure.
///
/// # Errors
/// [`OutsideValidity`] outside 40 to 300 °C.
pub fn vapour_over(
    water: MoisturePercent,
    temperature: Celsius,
) -> Result<Pascals, OutsideValidity> {
    within(temperature.value())?;
    let temperature_k = temperature.value() + 273.15;
    let c = water.value() / 100.0;
    let atmospheres =
        (c / COEFFICIENT * (-TEMPERATURE_K / temperature_k).exp()).powf(1.0 / PRESSURE_EXPONENT);
    let pascals = atmospheres * crate::quantities::STANDARD_ATMOSPHERE_PA;
    Pascals::new(pascals).map_err(|error| error.outside(NAME))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_three_forms_are_one_isotherm() {
        for (percent, temperature_c) in [(0.5, 60.0), (2.0, 90.0), (3.4, 120.0)] {
            let water = MoisturePercent::new(percent).unwrap();
            let temperature = Celsius::new(temperature_c).unwrap();
            let vapour = vapour_over(water, temperature).unwrap();
            // Rounding of a power and its inverse.
            assert_relative_eq!(
                water_at(vapour, temperature).unwrap().value(),
                percent,
                max_relative = 1.0e-12
            );
            let back = temperature_at(water, vapour).unwrap().value();
            assert_relative_eq!(back, temperature_c, max_relative = 1.0e-12);
        }
    }

    #[test]
    fn refuses_cold_paper() {
        let cold = Celsius::new(39.9).unwrap();
        assert!(water_at(Pascals::new(500.0).unwrap(), cold).is_err());
        assert!(vapour_over(MoisturePercent::new(2.0).unwrap(), cold).is_err());
    }
}
