//! What the detailed model takes a cooling stage to be, from the figures that both lag forms use and those of its own.

use super::super::cooling::Stage;
use super::plate::{Conductor, Detail, Flow, HeatCapacity, Losses, Rated};

/// What the detailed model needs of a stage beside its nameplate. Temperatures and losses are shares of the nameplate's,
/// so that a nameplate that is raised or drawn stays one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// Ambient of the heat run, °C.
    pub rated_ambient_c: f64,
    /// Bottom-oil rise, per unit of the top-oil rise.
    pub bottom_oil_pu: f64,
    /// Rise of the average winding over the average oil, per unit of the hot-spot gradient.
    pub average_gradient_pu: f64,
    /// Eddy loss of the windings, per unit of the load loss.
    pub winding_eddy_pu: f64,
    /// Stray loss outside of the windings, per unit of the load loss.
    pub stray_pu: f64,
    /// Temperature at which the load loss is stated, °C.
    pub losses_at_c: f64,
    /// Eddy loss at the hot spot over the I²R loss there.
    pub hot_spot_eddy_pu: f64,
    /// Height of the hot spot, per unit of the height of the winding.
    pub hot_spot_height_pu: f64,
    /// Material of the windings.
    pub conductor: Conductor,
    /// Heat of core, tank and oil, where the masses are known; else it follows from the oil's time constant.
    pub masses: Option<Masses>,
    /// How the oil moves.
    pub flow: Flow,
    /// For each of the inputs that only this model has, by how much less it is in doubt than a typical one, from 0 to 1
    /// ([`Figures::off`]).
    pub doubt: [f64; OWN_INPUTS],
}

/// Masses from the rating plate, and the losses that warm them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Masses {
    /// Core and coils, kg.
    pub active_kg: f64,
    /// Tank and fittings, kg.
    pub tank_kg: f64,
    /// Oil, kg.
    pub oil_kg: f64,
    /// No-load loss, W.
    pub no_load_w: f64,
}

impl Figures {
    /// Typical figures for a way in which oil moves.
    ///
    /// # Source       From memory, low confidence, and so a spread of their own in the draws ([`Figures::off`]): bottom oil
    /// 0.55 of the top-oil rise with natural flow, and 8 K below the top of 50 K with pumps; a quarter more at the hot
    /// spot than on average (1.3, the factor of the loading guides for larger units); a fifth of the load loss is no I²R
    /// loss, half of that in the windings and twice their average at the hot spot; copper; losses at 75 °C, rises over
    /// 20 °C (reference values of the IEC standards).
    /// # Valid        Oil-immersed power transformers of one of these flows.
    /// # Departures   None known.
    /// # Checked      Against nothing: a figure of the unit's own heat run replaces each.
    pub fn typical(flow: Flow) -> Self {
        let pumps = flow == Flow::OF || flow == Flow::OD;
        Self {
            rated_ambient_c: 20.0,
            bottom_oil_pu: if pumps { 0.84 } else { 0.55 },
            average_gradient_pu: 1.0 / 1.3,
            winding_eddy_pu: 0.1,
            stray_pu: 0.1,
            losses_at_c: 75.0,
            hot_spot_eddy_pu: 0.25,
            hot_spot_height_pu: 1.0,
            conductor: Conductor::Copper,
            masses: None,
            flow,
            doubt: [1.0; OWN_INPUTS],
        }
    }

    /// The same with the inputs that only this model has off by so many standard uncertainties; from memory, low
    /// confidence: bottom oil 0.1 of the top-oil rise, the losses that are no I²R loss a third, their peak at the hot spot
    /// a third.
    #[must_use]
    pub fn off(self, by: &[f64; OWN_INPUTS]) -> Self {
        let [bottom, losses, peak] = std::array::from_fn(|input| by[input] * self.doubt[input]);
        let times = |off: f64| (1.0 + off / 3.0).max(0.0);
        Self {
            bottom_oil_pu: (self.bottom_oil_pu + 0.1 * bottom).clamp(0.1, 0.95),
            winding_eddy_pu: self.winding_eddy_pu * times(losses),
            stray_pu: self.stray_pu * times(losses),
            hot_spot_eddy_pu: self.hot_spot_eddy_pu * times(peak),
            ..self
        }
    }
}

/// How many inputs only the detailed model has ([`Figures::off`]), and what they are called.
pub const OWN_INPUTS: usize = 3;
/// In the order of [`Figures::off`].
pub const OWN_FIGURES: [&str; OWN_INPUTS] =
    ["bottom oil", "losses that are not I²R", "the eddy loss at the hot spot"];

impl Rated {
    /// A stage at its rated load.
    ///
    /// The heat of the oil follows, where nobody states the masses, from the time constant of the clause 7 form, so that
    /// the oil is no slower than there.
    pub fn of_stage(stage: &Stage) -> Self {
        let (figures, nameplate) = (&stage.detailed, &stage.nameplate);
        let top_k = nameplate.top_oil_rise_k;
        let bottom_k = figures.bottom_oil_pu * top_k;
        let average_k = figures.average_gradient_pu * nameplate.hot_spot_gradient_k;
        let winding_rise_k = f64::midpoint(top_k, bottom_k) + average_k;
        let unit = figures.masses.map_or(1.0, |masses| masses.no_load_w);
        let load_loss = nameplate.loss_ratio * unit;
        let share = |pu: f64| pu * load_loss;
        let detail = Detail {
            rated_ambient_c: figures.rated_ambient_c,
            guaranteed_winding_rise_k: winding_rise_k,
            winding_rise_k,
            bottom_oil_rise_k: bottom_k,
            losses: Losses {
                at_c: figures.losses_at_c,
                winding: share(1.0 - figures.winding_eddy_pu - figures.stray_pu),
                winding_eddy: share(figures.winding_eddy_pu),
                stray: share(figures.stray_pu),
                core: unit,
            },
            conductor: figures.conductor,
            hot_spot_eddy_pu: figures.hot_spot_eddy_pu,
            hot_spot_height_pu: figures.hot_spot_height_pu,
            winding_time_constant_min: stage.ieee.winding_time_constant_min,
            heat_capacity: match figures.masses {
                Some(Masses { active_kg, tank_kg, oil_kg, .. }) => {
                    HeatCapacity::Masses { active_kg, tank_kg, oil_kg }
                }
                None => HeatCapacity::TimeConstant { oil_min: stage.ieee.oil_time_constant_min },
            },
            flow: figures.flow,
        };
        Self::of(nameplate, &detail, stage.rating_pu)
    }
}
