//! What the detailed model knows of a cooling stage, and what follows from it at the rated load.

use super::super::Nameplate;

/// What the detailed model needs of a stage beyond its [`Nameplate`]; everything at the stage's own rating.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Detail {
    /// Ambient of the heat run, °C.
    pub rated_ambient_c: f64,
    /// Average winding rise that is guaranteed, K over ambient: the temperature at which the losses are rated.
    pub guaranteed_winding_rise_k: f64,
    /// Average winding rise as measured, K over ambient.
    pub winding_rise_k: f64,
    /// Bottom-oil rise, K over ambient.
    pub bottom_oil_rise_k: f64,
    /// Losses at the rated load.
    pub losses: Losses,
    /// Material of the windings.
    pub conductor: Conductor,
    /// Eddy losses at the hot spot over the I²R losses there; never less than the average.
    pub hot_spot_eddy_pu: f64,
    /// Height of the hot spot, per unit of the height of the winding.
    pub hot_spot_height_pu: f64,
    /// Time constant of the winding, min.
    pub winding_time_constant_min: f64,
    /// Heat capacity of core, winding structure, tank and oil.
    pub heat_capacity: HeatCapacity,
    /// How the oil moves.
    pub flow: Flow,
}

/// Losses at the rated load and one temperature, all in one unit of power: only ratios count.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Losses {
    /// Temperature at which they are stated, °C.
    pub at_c: f64,
    /// I²R loss of the windings.
    pub winding: f64,
    /// Eddy loss of the windings.
    pub winding_eddy: f64,
    /// Stray loss outside of the windings.
    pub stray: f64,
    /// No-load loss.
    pub core: f64,
}

/// Material of the windings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Conductor {
    /// Copper.
    Copper,
    /// Aluminium.
    Aluminium,
}

/// How heat that is not in the winding is stored.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HeatCapacity {
    /// From the rating plate; losses are then in W.
    Masses {
        /// Core and coils, kg.
        active_kg: f64,
        /// Tank and fittings, kg.
        tank_kg: f64,
        /// Oil, kg.
        oil_kg: f64,
    },
    /// From the time constant of the average oil at the rated load, min.
    TimeConstant {
        /// The time constant, min.
        oil_min: f64,
    },
}

/// How the oil moves, by its exponents.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flow {
    /// Oil of the rated duct: from the tank's top, or as hot as the winding where pumps do not direct it into the winding.
    pub duct: Duct,
    /// Rise of the oil in the duct with the losses of the winding.
    pub duct_exponent: f64,
    /// Rise of the average oil with all losses.
    pub radiator_exponent: f64,
    /// Difference of top and bottom oil with all losses.
    pub top_bottom_exponent: f64,
}

/// How oil leaves the duct of the winding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Duct {
    /// Natural flow: as hot as the top oil.
    Natural,
    /// Pumps that do not direct the oil into the winding: as hot as the winding.
    Forced,
    /// Pumps that do.
    Directed,
}

impl Flow {
    /// Neither fans nor pumps. The exponents of all four are those of Annex G of IEEE C57.91 (second-hand).
    pub const ONAN: Self = Self::natural(0.8);
    /// Fans.
    pub const ONAF: Self = Self::natural(0.9);
    /// Pumps.
    pub const OF: Self = Self {
        duct: Duct::Forced,
        duct_exponent: 0.5,
        radiator_exponent: 0.9,
        top_bottom_exponent: 1.0,
    };
    /// Pumps into the winding.
    pub const OD: Self = Self {
        duct: Duct::Directed,
        duct_exponent: 1.0,
        radiator_exponent: 1.0,
        top_bottom_exponent: 1.0,
    };

    const fn natural(radiator_exponent: f64) -> Self {
        Self {
            duct: Duct::Natural,
            duct_exponent: 0.5,
            radiator_exponent,
            top_bottom_exponent: 0.5,
        }
    }
}

/// Heat capacities, W·min/(K·kg): 464 J for steel, 385 and 899 J for copper and aluminium, 1841 J for mineral oil.
const STEEL: f64 = 464.0 / 60.0;
const OIL: f64 = 1841.0 / 60.0;

impl Conductor {
    /// What is added to °C so that the resistance goes in proportion.
    fn resistance_zero_k(self) -> f64 {
        match self {
            Self::Copper => 234.5,
            Self::Aluminium => 225.0,
        }
    }

    fn heat_per_kg(self) -> f64 {
        match self {
            Self::Copper => 385.0 / 60.0,
            Self::Aluminium => 899.0 / 60.0,
        }
    }
}

/// A stage at its rated load; temperatures °C, losses and heat in the unit of [`Losses`] and minutes.
#[derive(Debug, Clone, Copy)]
pub struct Rated {
    pub(super) resistance_zero_k: f64,
    pub(super) guaranteed_c: f64,
    pub(super) ambient_c: f64,
    pub(super) winding_c: f64,
    pub(super) hot_spot_c: f64,
    pub(super) oil_c: f64,
    pub(super) top_bottom_k: f64,
    pub(super) duct_rise_k: f64,
    /// Average winding over the average oil in its duct.
    pub(super) winding_over_duct_k: f64,
    /// Hot spot over the oil beside it.
    pub(super) hot_spot_over_oil_k: f64,
    /// Mean of winding and duct oil, of hot spot and the oil beside it: there the oil film has its viscosity.
    pub(super) film_c: f64,
    pub(super) hot_spot_film_c: f64,
    pub(super) i2r: f64,
    pub(super) eddy: f64,
    pub(super) stray: f64,
    pub(super) core: f64,
    pub(super) total: f64,
    pub(super) hot_spot_i2r: f64,
    pub(super) hot_spot_eddy: f64,
    pub(super) height_pu: f64,
    pub(super) winding_heat: f64,
    pub(super) oil_heat: f64,
    pub(super) flow: Flow,
    pub(super) rating_pu: f64,
}

impl Rated {
    /// What follows at the rated load from the figures of a stage.
    pub fn of(nameplate: &Nameplate, detail: &Detail, rating_pu: f64) -> Self {
        let ambient_c = detail.rated_ambient_c;
        let at = |rise_k: f64| ambient_c + rise_k;
        let guaranteed_c = at(detail.guaranteed_winding_rise_k);
        let (winding_c, bottom_c) = (at(detail.winding_rise_k), at(detail.bottom_oil_rise_k));
        let top_c = at(nameplate.top_oil_rise_k);
        let hot_spot_c = top_c + nameplate.hot_spot_gradient_k;
        let oil_c = f64::midpoint(top_c, bottom_c);
        let duct_c = match detail.flow.duct {
            Duct::Natural | Duct::Directed => top_c,
            Duct::Forced => winding_c,
        };
        let duct_oil_c = f64::midpoint(duct_c, bottom_c);
        let in_duct_c = bottom_c + detail.hot_spot_height_pu * (duct_c - bottom_c);
        let beside_c = if duct_c < top_c { top_c } else { in_duct_c };
        let zero_k = detail.conductor.resistance_zero_k();
        let hotter = (zero_k + guaranteed_c) / (zero_k + detail.losses.at_c);
        let (i2r, eddy) = (detail.losses.winding * hotter, detail.losses.winding_eddy / hotter);
        let (stray, core) = (detail.losses.stray / hotter, detail.losses.core);
        let total = i2r + eddy + stray + core;
        let hot_spot_i2r = i2r * (hot_spot_c + zero_k) / (guaranteed_c + zero_k);
        let winding_over_duct_k = winding_c - duct_oil_c;
        let winding_heat = detail.winding_time_constant_min * (i2r + eddy) / winding_over_duct_k;
        let oil_heat = match detail.heat_capacity {
            HeatCapacity::Masses { active_kg, tank_kg, oil_kg } => {
                let winding_kg = winding_heat / detail.conductor.heat_per_kg();
                (tank_kg + (active_kg - winding_kg).max(0.0)) * STEEL + oil_kg * OIL
            }
            HeatCapacity::TimeConstant { oil_min } => oil_min * total / (oil_c - ambient_c),
        };
        Self {
            resistance_zero_k: zero_k,
            guaranteed_c,
            ambient_c,
            winding_c,
            hot_spot_c,
            oil_c,
            top_bottom_k: top_c - bottom_c,
            duct_rise_k: duct_c - bottom_c,
            winding_over_duct_k,
            hot_spot_over_oil_k: hot_spot_c - beside_c,
            film_c: f64::midpoint(winding_c, duct_oil_c),
            hot_spot_film_c: f64::midpoint(hot_spot_c, beside_c),
            i2r,
            eddy,
            stray,
            core,
            total,
            hot_spot_i2r,
            hot_spot_eddy: detail.hot_spot_eddy_pu.max(eddy / i2r) * hot_spot_i2r,
            height_pu: detail.hot_spot_height_pu,
            winding_heat,
            oil_heat,
            flow: detail.flow,
            rating_pu,
        }
    }
}
