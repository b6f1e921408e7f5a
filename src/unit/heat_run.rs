//! What heat-run reports print, held against itself and against the keys beside it.
//!
//! A block `heat_run:` states what a report has: rises, losses, masses, exponents. Figures that the keys beside it leave
//! out follow from it and are then the unit's own; figures that contradict each other are refused. The keys themselves
//! mean what they mean without a block.

mod complete;
mod constants;
mod figures;
pub mod file;
mod losses;
mod masses;
mod of_unit;
mod rises;

pub use losses::PrintedLosses;
pub use masses::PrintedMasses;

pub(super) use complete::completed;
pub(super) use constants::constants_of;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::Thermal;
    use crate::unit::defaults::Catalogue;
    use crate::unit::validate::read_unit;
    use approx::assert_relative_eq;

    /// A unit with two stages, with these keys of its thermal data and of its natural stage.
    fn thermal(keys: &str, natural: &str) -> Thermal {
        let text = format!(
            "unit: test\nsize_class: medium\n\
             rated: {{ mva: 40, cooling: ONAF, average_winding_rise_k: 65 }}\n\
             paper: kraft\nliquid: mineral\noil: {{ mass_kg: 18500 }}\nthermal: {{ {keys} }}\n\
             cooling_stages:\n  - {{ name: ONAN, rating_pu: 0.6{natural} }}\n  \
             - {{ name: ONAF, rating_pu: 1.0 }}\n"
        );
        read_unit("test", &text, &Catalogue::embedded()).unwrap().thermal.unwrap()
    }

    #[test]
    fn what_belongs_to_the_unit_is_known_of_every_stage_at_its_own_rating() {
        let block = "heat_run: { ambient_c: 30, average_winding_rise_k: 60, top_oil_rise_k: 50, \
            bottom_oil_rise_k: 32, conductor: aluminium, hot_spot_height_pu: 0.9, \
            masses: { active_kg: 30000, tank_kg: 9000 }, \
            losses: { no_load_kw: 20, load_kw: 25, i2r_kw: 20, stray_kw: 3, at_c: 75, base_mva: 20 } }";
        let natural = ", heat_run: { top_oil_rise_k: 48, average_oil_rise_k: 40, average_winding_rise_k: 53 }";
        let found = thermal(block, natural);
        let (natural, rated) = (&found.stages[0].printed, &found.stages[1].printed);
        // 25 kW at 20 MVA are 100 kW at 40 MVA, and 36 kW at 24 MVA.
        for (printed, load_kw) in [(rated, 100.0), (natural, 36.0)] {
            let losses = printed.losses;
            assert_relative_eq!(losses.load_kw().unwrap(), load_kw, max_relative = 1.0e-12);
            assert_relative_eq!(losses.i2r_kw().unwrap(), 0.8 * load_kw, max_relative = 1.0e-12);
            assert_relative_eq!(
                losses.winding_eddy_kw().unwrap(),
                0.08 * load_kw,
                max_relative = 1.0e-9
            );
            assert_eq!((losses.no_load_kw, losses.at_c), (Some(20.0), Some(75.0)));
            assert_eq!(
                (printed.masses.active_kg, printed.masses.oil_kg),
                (Some(3.0e4), Some(18.5e3))
            );
            assert_eq!(printed.conductor, Some(Conductor::Aluminium));
            assert_eq!((printed.ambient_c, printed.hot_spot_height_pu), (Some(30.0), Some(0.9)));
            assert_eq!(printed.guaranteed_winding_rise_k, Some(65.0), "of the rating plate");
        }
        assert_relative_eq!(rated.average_oil_rise_k().unwrap(), 41.0);
        assert_relative_eq!(rated.average_gradient_k().unwrap(), 19.0);
        assert_relative_eq!(natural.bottom_oil_rise_k().unwrap(), 32.0);
        assert_relative_eq!(natural.average_gradient_k().unwrap(), 13.0);
        // Five times the no-load loss at the rating, and 0.36 of that without fans.
        assert_relative_eq!(found.stages[1].stage.nameplate.loss_ratio, 5.0);
        assert_relative_eq!(found.stages[0].stage.nameplate.loss_ratio, 1.8);
    }

    #[test]
    fn of_the_keys_alone_only_what_they_state_is_known() {
        let found = thermal("top_oil_rise_k: 50, average_gradient_k: 20", "");
        let rated = &found.stages[found.rated_stage].printed;
        assert_eq!((rated.top_oil_rise_k, rated.average_gradient_k()), (Some(50.0), Some(20.0)));
        assert_eq!((rated.bottom_oil_rise_k(), rated.average_winding_rise_k()), (None, None));
        assert_eq!(rated.losses, PrintedLosses::default());
        assert_eq!(found.stages[0].printed.top_oil_rise_k, None);
        // With the winding the gradient gives the oil: 60 − 20 is the average, 30 the bottom.
        let keys =
            "top_oil_rise_k: 50, average_gradient_k: 20, heat_run: { average_winding_rise_k: 60 }";
        let found = thermal(keys, "");
        let rated = &found.stages[found.rated_stage].printed;
        assert_relative_eq!(rated.bottom_oil_rise_k().unwrap(), 30.0);
        assert_eq!(found.stages[found.rated_stage].typical, ["hot_spot_factor", "loss_ratio"]);
    }

    #[test]
    fn a_factor_of_the_unit_is_that_of_a_stage_whose_gradient_follows_from_its_block() {
        let natural = ", heat_run: { top_oil_rise_k: 48, average_oil_rise_k: 40, average_winding_rise_k: 53 }";
        let gradient_k =
            |keys: &str| thermal(keys, natural).stages[0].stage.nameplate.hot_spot_gradient_k;
        // 13 K times the factor, and times the typical 1.3 without one.
        assert_relative_eq!(gradient_k("hot_spot_factor: 1.5"), 19.5);
        assert_relative_eq!(
            gradient_k(
                "hot_spot_gradient_k: 26, hot_spot_factor: 1.5, top_oil_rise_k: 50, heat_run: { average_oil_rise_k: 41, average_winding_rise_k: 58.5 }"
            ),
            19.5
        );
        assert_relative_eq!(gradient_k("top_oil_rise_k: 50"), 16.9);
        // From the rated stage: 24 K over 16 K.
        let rated = "heat_run: { top_oil_rise_k: 50, average_oil_rise_k: 42, average_winding_rise_k: 58, hot_spot_rise_k: 74 }";
        assert_relative_eq!(gradient_k(rated), 19.5);
    }
}
