//! The worst-case bound: dissolved gas and water vapour share the pressure.

use super::Conditions;
use crate::moisture::isotherm;
use crate::quantities::{Celsius, OutsideValidity, Pascals};

/// Name used in results and errors.
pub const NAME: &str = "partial-pressure bound";

/// Lowest temperature at which gas and water vapour together reach the pressure.
///
/// ```text
/// p_v = P − Σ(ppm_i·1e-6/K_i)·1 atm, then the Fessler isotherm at p_v
/// ```
/// # Source       `fessler-1989` with Henry's law at 25 °C (`gas-solubilities-25c`, of uncertain origin).
/// # Valid        As [`super::fessler`]. `None` if the gas alone reaches the pressure: then no
/// temperature is safe by this bound.
/// # Departures   It ignores nucleation and the better solubility of gas in hot oil, so it can be tens of
/// K too low. It is reported, and sets no verdict.
/// # Checked      Not checked against published numbers.
///
/// # Errors
/// [`OutsideValidity`] outside the range of [`super::fessler`].
pub fn bound(
    conditions: &Conditions,
    gas_pressure: Pascals,
) -> Result<Option<Celsius>, OutsideValidity> {
    conditions.within_range(NAME)?;
    let vapour_pa = conditions.pressure.value() - gas_pressure.value();
    match Pascals::new(vapour_pa) {
        Ok(vapour) if vapour_pa > 0.0 => {
            isotherm::temperature_at(conditions.water, vapour).map(Some)
        }
        _ => Ok(None),
    }
}
