//! The Fessler isotherm of water in paper, inverted for the bubbling temperature.

use super::Conditions;
use crate::quantities::{Celsius, MoisturePercent, OutsideValidity, Pascals};

/// Name used in results and errors.
pub const NAME: &str = "Fessler";

/// Temperature at which wet paper holds a given water-vapour pressure.
///
/// ```text
/// C = 2.173e-7·p_v^0.6685·e^(4725.6/T)      C kg/kg, p_v in atm, T in K; solved for T
/// ```
/// # Source       `fessler-1989` (not read in print; form and units from print, digits cross-checked).
/// # Valid        T ≥ 40 °C. Below it the isotherm reads too wet, which here means too hot:
/// [`OutsideValidity`].
/// # Departures   None.
/// # Checked      Against [`super::oommen_lindgren`], see there.
///
/// # Errors
/// [`OutsideValidity`] if the temperature comes out below 40 °C or above 300 °C.
pub fn temperature_at_vapour_pressure(
    water: MoisturePercent,
    vapour: Pascals,
) -> Result<Celsius, OutsideValidity> {
    let c = water.value() / 100.0;
    let temperature_c = 4725.6 / (c / (2.173e-7 * vapour.atmospheres().powf(0.6685))).ln() - 273.15;
    let (least, most) = (40.0, 300.0);
    let outside = OutsideValidity {
        formula: NAME,
        quantity: "temperature",
        unit: "°C",
        found: temperature_c,
        least,
        most,
    };
    if !(temperature_c >= least && temperature_c <= most) {
        return Err(outside);
    }
    Celsius::new(temperature_c).map_err(|_unphysical| outside)
}

/// Temperature at which the vapour pressure of wet paper alone equals the pressure on it.
///
/// ```text
/// θ = 4725.6 / ln[ (W/100) / (2.173e-7·P^0.6685) ] − 273.15        W in %, P in atm
/// ```
/// # Source       `fessler-1989`, inverted at a vapour pressure of P.
/// # Valid        W 0.3–6 %, P 525–1520 mmHg. Dissolved gas does not enter.
/// # Departures   None.
/// # Checked      Against [`super::oommen_lindgren`], see there.
///
/// # Errors
/// [`OutsideValidity`] outside the range above.
pub fn inception(conditions: &Conditions) -> Result<Celsius, OutsideValidity> {
    conditions.within_range(NAME)?;
    temperature_at_vapour_pressure(conditions.water, conditions.pressure)
}
