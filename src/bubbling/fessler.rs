//! The Fessler isotherm of water in paper, inverted for the bubbling temperature.

use super::Conditions;
use crate::moisture::isotherm;
use crate::quantities::{Celsius, OutsideValidity};

/// Name used in results and errors.
pub const NAME: &str = isotherm::NAME;

/// Temperature at which the vapour pressure of wet paper alone equals the pressure on it.
///
/// ```text
/// θ = 4725.6 / ln[ (W/100) / (2.173e-7·P^0.6685) ] − 273.15        W in %, P in atm
/// ```
/// # Source       `fessler-1989`, inverted at a vapour pressure of P.
/// # Valid        W 0.3–6 %, P 525–1520 mmHg. Dissolved gas does not enter.
/// # Departures   None.
/// # Checked      Against [`super::oommen_lindgren`], see there; `tests/published/two_routes.rs`.
///
/// # Errors
/// [`OutsideValidity`] outside the range above.
pub fn inception(conditions: &Conditions) -> Result<Celsius, OutsideValidity> {
    conditions.within_range(NAME)?;
    isotherm::temperature_at(conditions.water, conditions.pressure)
}
