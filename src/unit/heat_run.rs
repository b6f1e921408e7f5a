//! What heat-run reports print, held against itself and against the keys beside it.
//!
//! A block `heat_run:` states what a report has: rises, losses, masses, exponents. Figures that the keys beside it leave
//! out follow from it and are then the unit's own; figures that contradict each other are refused. The keys themselves
//! mean what they mean without a block.

mod complete;
mod figures;
pub mod file;
mod losses;
mod masses;
mod of_unit;
mod rises;

pub use losses::PrintedLosses;
pub use masses::PrintedMasses;

pub(super) use complete::{completed, constants_of};
pub(super) use of_unit::dates;

use crate::thermal::detailed::Conductor;

/// What heat-run reports print of a stage, or the keys beside them state; `None` where nobody states it. Rises are K over
/// the ambient at the stage's own rating, without what the altitude of the unit adds.
///
/// Functions of a figure's name also give it where it follows from others.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Printed {
    /// Ambient that the rises are counted from, °C.
    pub(crate) ambient_c: Option<f64>,
    /// Top oil.
    pub(crate) top_oil_rise_k: Option<f64>,
    /// Average oil.
    pub(crate) average_oil_rise_k: Option<f64>,
    /// Bottom oil.
    pub(crate) bottom_oil_rise_k: Option<f64>,
    /// Average winding as measured.
    pub(crate) average_winding_rise_k: Option<f64>,
    /// Hot spot; the hot-spot gradient of the nameplate already has it.
    pub(crate) hot_spot_rise_k: Option<f64>,
    /// Average winding over average oil: the gr that is stated.
    pub(crate) average_gradient_k: Option<f64>,
    /// Average winding as guaranteed, of the stage or else of the rating plate.
    pub(crate) guaranteed_winding_rise_k: Option<f64>,
    /// Losses at the stage's own rating.
    pub(crate) losses: PrintedLosses,
    /// Masses of the unit.
    pub(crate) masses: PrintedMasses,
    /// Material of the windings.
    pub(crate) conductor: Option<Conductor>,
    /// Winding time constant, min.
    pub(crate) winding_time_constant_min: Option<f64>,
    /// Height of the hot spot, per unit of the height of the winding.
    pub(crate) hot_spot_height_pu: Option<f64>,
    /// Eddy loss at the hot spot over the I²R loss there.
    pub(crate) hot_spot_eddy_pu: Option<f64>,
    /// Exponent of the top-oil rise with the losses, from two loads.
    pub(crate) oil_exponent: Option<f64>,
    /// Exponent of the winding gradient with the current, from two loads.
    pub(crate) winding_exponent: Option<f64>,
}

impl Printed {
    /// Average-oil rise, K: as printed, midway of top and bottom oil, or the winding less its gradient.
    pub fn average_oil_rise_k(&self) -> Option<f64> {
        let midway = self.top_oil_rise_k.zip(self.bottom_oil_rise_k);
        let winding = self.average_winding_rise_k.zip(self.average_gradient_k);
        self.average_oil_rise_k
            .or(midway.map(|(top_k, bottom_k)| f64::midpoint(top_k, bottom_k)))
            .or(winding.map(|(winding_k, gradient_k)| winding_k - gradient_k))
    }

    /// Bottom-oil rise, K: as printed, or as far below the average oil as the top oil is above it. At least 5 K and at
    /// most the top-oil rise where both are known.
    pub fn bottom_oil_rise_k(&self) -> Option<f64> {
        let below = self.average_oil_rise_k().zip(self.top_oil_rise_k);
        self.bottom_oil_rise_k.or(below.map(|(average_k, top_k)| 2.0 * average_k - top_k))
    }

    /// Average winding-to-oil gradient gr, K: as stated, or the winding less the average oil.
    pub fn average_gradient_k(&self) -> Option<f64> {
        self.average_gradient_k.or(self.gradient_by_rises_k())
    }

    /// Average winding rise as measured, K: as printed, or the average oil and the gradient.
    pub fn average_winding_rise_k(&self) -> Option<f64> {
        let follows = self.average_oil_rise_k().zip(self.average_gradient_k);
        self.average_winding_rise_k
            .or(follows.map(|(average_k, gradient_k)| average_k + gradient_k))
    }

    /// The gradient by the rises alone, K, whatever is stated of it.
    fn gradient_by_rises_k(&self) -> Option<f64> {
        let rises = Self { average_gradient_k: None, ..*self };
        let both = self.average_winding_rise_k.zip(rises.average_oil_rise_k());
        both.map(|(winding_k, average_k)| winding_k - average_k)
    }
}
