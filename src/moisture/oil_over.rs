//! Oil in equilibrium with paper: the isotherm and the solubility read towards the oil.

use super::conversion::{MOST_SATURATION, from_saturation};
use super::isotherm::{NAME, vapour_over};
use super::solubility::Solubility;
use super::vapour::saturation_pressure;
use crate::quantities::{Celsius, MoisturePercent, OutsideValidity, RelativeSaturation};

/// The isotherm does not reach below this, °C.
pub const COLDEST_C: f64 = 40.0;

/// Oil in equilibrium with paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OilOver {
    /// Water in the oil, ppm.
    pub ppm: f64,
    /// Whether the paper is wetter than the isotherm covers, so that saturated oil was taken.
    pub beyond_isotherm: bool,
}

/// Oil in equilibrium with paper of a water content, both at one temperature.
///
/// ```text
/// RS = p_v(C, T)/p_sat(T) by the isotherm,  ppm = RS·S(T)
/// ```
/// # Source       `fessler-1989`, `iapws-sr1-86`, `solubility-table`.
/// # Valid        RS ≤ 30 %, 40 to 150 °C.
/// # Departures   Both edges are held on the wet side. Colder than 40 °C: as at 40 °C, where oil over
/// the same paper is wetter. Wetter than 30 %: saturated oil, the most that oil can dissolve.
/// # Checked      Against [`super::conversion::from_ppm`], whose inverse it is.
///
/// # Errors
/// [`OutsideValidity`] above 150 °C.
pub fn oil_over(
    water: MoisturePercent,
    oil: Celsius,
    solubility: Solubility,
) -> Result<OilOver, OutsideValidity> {
    let at = At::of(oil.value(), solubility)?;
    let beyond_isotherm = water.value() > at.edge_percent;
    let ppm = if beyond_isotherm { at.saturated_ppm } else { at.ppm_over(water.value())? };
    Ok(OilOver { ppm, beyond_isotherm })
}

/// What depends on the temperature alone.
#[derive(Debug, Clone, Copy)]
pub(super) struct At {
    /// Temperature, not below the isotherm's.
    held: Celsius,
    /// Oil that is saturated.
    pub(super) saturated_ppm: f64,
    /// Vapour pressure over water.
    water_pa: f64,
    /// Paper at 30 % of saturation.
    pub(super) edge_percent: f64,
}

impl At {
    pub(super) fn of(oil_c: f64, solubility: Solubility) -> Result<Self, OutsideValidity> {
        let held = Celsius::new(oil_c.max(COLDEST_C)).map_err(|error| error.outside(NAME))?;
        let edge = RelativeSaturation::new(MOST_SATURATION);
        let edge = edge.map_err(|error| error.outside(NAME))?;
        Ok(Self {
            held,
            saturated_ppm: solubility.saturation(held)?.value(),
            water_pa: saturation_pressure(held)?.value(),
            edge_percent: from_saturation(edge, held)?.value(),
        })
    }

    /// Oil in equilibrium with a surface inside the isotherm's range.
    pub(super) fn ppm_over(&self, surface_percent: f64) -> Result<f64, OutsideValidity> {
        let surface = MoisturePercent::new(surface_percent);
        let surface = surface.map_err(|error| error.outside(NAME))?;
        Ok(vapour_over(surface, self.held)?.value() / self.water_pa * self.saturated_ppm)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn oil_over_paper_inverts_paper_under_oil() {
        for (percent, oil_c) in [(1.0, 50.0), (2.0, 60.0), (3.0, 90.0)] {
            let (water, oil) =
                (MoisturePercent::new(percent).unwrap(), Celsius::new(oil_c).unwrap());
            let over = oil_over(water, oil, Solubility::MINERAL).unwrap();
            let ppm = crate::quantities::WaterPpm::new(over.ppm).unwrap();
            let back =
                crate::moisture::conversion::from_ppm(ppm, oil, Solubility::MINERAL).unwrap();
            // Rounding of powers and their inverse.
            assert!((back.value() - percent).abs() < 1.0e-9 && !over.beyond_isotherm);
        }
    }
}
