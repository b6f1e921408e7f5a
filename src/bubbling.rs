//! At what temperature does wet paper under oil release bubbles?
//!
//! Two published correlations, the pressure and the gas they need, and a worst-case
//! bound. Outside the range of [`WATER_PERCENT`], [`PRESSURE_MMHG`] and [`GAS_PERCENT`]
//! every one of them refuses.
//!
//! Not modelled: nucleation, time under temperature, the rate at which water reaches
//! the paper surface, esters and thermally upgraded paper (the same formulas are read
//! as the conservative side, and a caution says so).

pub mod fessler;
pub mod gas;
pub mod gas_age;
pub mod inception;
pub mod oommen_lindgren;
pub mod partial_pressure;
pub mod pressure;

use crate::quantities::{GasPercent, MoisturePercent, OutsideValidity, Pascals};

/// Valid range of the correlations in water, % by mass of dry oil-free paper.
pub const WATER_PERCENT: (f64, f64) = (0.3, 6.0);
/// Valid range of the correlations in absolute pressure, mmHg.
pub const PRESSURE_MMHG: (f64, f64) = (525.0, 1520.0);
/// Valid range of the correlations in dissolved gas, % by volume.
pub const GAS_PERCENT: (f64, f64) = (0.0, 10.5);

/// What surrounds the paper at the hot spot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// Water in the paper, already divided by the holding factor if the paper is aged.
    pub water: MoisturePercent,
    /// Absolute pressure.
    pub pressure: Pascals,
    /// Total dissolved gas.
    pub gas: GasPercent,
}

impl Conditions {
    /// Refuses what the correlations were not made for.
    ///
    /// # Errors
    /// Water, pressure or gas outside the stated ranges; the first one found is named.
    pub fn within_range(&self, formula: &'static str) -> Result<(), OutsideValidity> {
        let checks = [
            ("water in paper", "%", self.water.value(), WATER_PERCENT),
            ("pressure", "mmHg", self.pressure.mmhg(), PRESSURE_MMHG),
            ("gas content", "% by volume", self.gas.value(), GAS_PERCENT),
        ];
        for (quantity, unit, found, (least, most)) in checks {
            if !(found >= least && found <= most) {
                return Err(OutsideValidity { formula, quantity, unit, found, least, most });
            }
        }
        Ok(())
    }
}
