//! Everything the rules may look at, already computed.

use super::limits::{Ceiling, LimitSet, Quantity};
use super::local_file::LocalRules;
use crate::bubbling::gas_age::CountedGas;
use crate::bubbling::inception::{Edge, Inception};
use crate::loading::windings::WindingsCarried;
use crate::moisture::contradiction::Contradiction;
use crate::moisture::cooldown::CoolDown;
use crate::moisture::evidence::SetAside;
use crate::moisture::holding::{DrawnWater, Holding};
use crate::moisture::reconcile::Counting;
use crate::moisture::strength::Strength;
use crate::moisture::validity::Judged;
use crate::quantities::{Celsius, MoisturePercent, OutsideValidity, Pascals};
use crate::thermal::trajectory::Peak;
use crate::unit::{Condition, Unit};
use serde::Serialize;

/// The facts of one case.
#[derive(Debug)]
pub struct Facts<'a> {
    /// The transformer.
    pub unit: &'a Unit,
    /// Its condition, as the profile and the operator state it.
    pub condition: Condition,
    /// What the operator states otherwise than the profile.
    pub restated: Vec<&'static str>,
    /// The limit set in force.
    pub limits: &'a LimitSet,
    /// The local rules in force, if any.
    pub local: Option<&'a LocalRules>,
    /// What is asked.
    pub asked: Asked,
    /// What each of three windings carries; `None` where windings are not told apart.
    pub windings: Option<&'a WindingsCarried>,
    /// Required margins.
    pub required: Required,
    /// What the thermal models say; `None` without thermal data.
    pub thermal: Option<ThermalFacts>,
    /// What the moisture evidence amounts to.
    pub moisture: &'a MoistureFacts,
    /// Water in the paper at the hot spot.
    pub hot_spot: HotSpotFacts,
    /// What the bubbling models say.
    pub bubbling: BubblingFacts,
    /// Whether draws are asked for; without them nothing uncertain is taken off the margin.
    pub draws_asked: bool,
    /// How uncertain the margin is; `None` without draws.
    pub spread: Option<SpreadFacts>,
    /// What an earlier overload left in the oil; `None` without a history.
    pub oil_before: Option<OilBeforeFacts>,
    /// The oil after the overload; `None` if it was not looked at.
    pub cooldown: Option<CoolDownFacts>,
    /// The colder day that leaves least, where one leaves less; `None` too if it was not looked at.
    pub colder_day: Option<ColderDay>,
    /// Every ceiling with the value it is held against.
    pub held: Vec<Held>,
    /// Hours of life that the overload uses with the assessed water, by the published set that gives most; `None`
    /// where the water is not known.
    pub hours_with_water: Option<f64>,
}

/// What is asked.
#[allow(clippy::struct_excessive_bools, reason = "independent facts, each asked for by one rule")]
#[derive(Debug, Clone, Copy)]
pub struct Asked {
    /// Greatest load, per unit.
    pub greatest_load_pu: f64,
    /// Duration of the overload, min.
    pub duration_min: f64,
    /// Whether forced cooling is lost on the way.
    pub cooling_lost: bool,
    /// Whether the operator states the cooling stage.
    pub cooling_stated: bool,
    /// Whether the operator states a stage weaker than the rated one.
    pub cooling_reduced: bool,
    /// Whether the top oil was measured.
    pub top_oil_measured: bool,
    /// The history that the start comes from, if any.
    pub history: Option<HistoryFacts>,
    /// Last minute of the ambient forecast, if there is one.
    pub forecast_until_min: Option<f64>,
    /// Load before the overload, per unit.
    pub load_before_pu: f64,
    /// The seed of the draws and the usual one, where they differ and draws are made.
    pub other_seed: Option<(u32, u32)>,
}

/// What is known of the load history.
#[derive(Debug, Clone, Copy)]
pub struct HistoryFacts {
    /// How long it is, min.
    pub length_min: f64,
    /// Whether it has an ambient of its own.
    pub has_ambient: bool,
    /// Its last ambient less that of the overload at the same minute, K; `None` if it is older
    /// than an hour.
    pub ambient_differs_k: Option<f64>,
}

/// Margins that the bubbling rule asks for, K.
#[derive(Debug, Clone, Copy)]
pub struct Required {
    /// Below it the answer is no-go.
    pub no_go_k: f64,
    /// Below it there is a caution.
    pub caution_k: f64,
}

/// What the thermal models say.
#[allow(clippy::struct_excessive_bools, reason = "independent facts, each asked for by one rule")]
#[derive(Debug, Clone)]
pub struct ThermalFacts {
    /// Hottest hot spot of the hottest model.
    pub hot_spot: Peak,
    /// The form that gives it.
    pub governed_by: &'static str,
    /// Hottest top oil of the hottest model.
    pub top_oil: Peak,
    /// Top oil at minute 0, °C.
    pub start_top_oil_c: f64,
    /// The start that counts, where from another than the stated one the hot spot gets hotter.
    pub later_start: Option<LaterStart>,
    /// Measured minus computed top oil at minute 0, K, if measured: the form with the smaller model value.
    pub measured_minus_computed_k: Option<f64>,
    /// Figures that are typical and not the unit's own, by stage in service.
    pub typical: Vec<String>,
    /// Figures of the detailed model that no heat run states, with what each is worth; empty in searches.
    pub typical_figures: Vec<TypicalFigure>,
    /// Whether the rated figures come from a heat run.
    pub heat_run: bool,
    /// Names of the stages in service at any time.
    pub stages_in_service: Vec<String>,
    /// Set of typical constants of each stage in service.
    pub constants: Vec<String>,
    /// Names of the stages in service that need fans or pumps.
    pub forced_stages: Vec<String>,
    /// Whether constants come from the user's own profile folder.
    pub own_constants: bool,
    /// Whether even the weakest stage needs fans or pumps.
    pub weakest_needs_auxiliaries: bool,
    /// The longest time constant of any stage in either lag form, min.
    pub slowest_min: f64,
    /// Whether the weakest stage was taken because nothing is known of the control.
    pub control_unknown: bool,
    /// Whether pumps move the oil in a stage in service.
    pub pumps: bool,
    /// Greatest load per unit of the rating of the stage in service at the time.
    pub greatest_stage_load: f64,
    /// Normal-life hours used, at the guide's rate for dry paper of the unit's kind.
    pub ageing_hours: f64,
}

/// A figure that is typical and not the unit's own.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TypicalFigure {
    /// What it is.
    pub figure: &'static str,
    /// What the hottest hot spot of the detailed model moves by where the figure is off by its standard uncertainty, K.
    pub hot_spot_k: f64,
}

/// A colder day that leaves less, because fans start later.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ColderDay {
    /// Its highest ambient during the overload, °C.
    pub ambient_c: f64,
    /// How much colder it is, K.
    pub colder_k: f64,
    /// How much less margin it leaves, K.
    pub less_k: f64,
}

/// A start from which the hot spot gets hotter than from the one stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaterStart {
    /// The steady load before, pu; `None` where it is not a lower load but cooler oil.
    pub load_before_pu: Option<f64>,
    /// How much hotter it gets, K.
    pub hotter_k: f64,
    /// Whether fans start by themselves, and later from there.
    pub fans: bool,
}

/// What the moisture evidence amounts to.
#[derive(Debug, Clone)]
pub struct MoistureFacts {
    /// Every witness, judged, in the order of the profile.
    pub judged: Vec<Judged>,
    /// What the witnesses alone amount to.
    pub evidence: Option<Counting>,
    /// What counts, after the local rules.
    pub counting: Option<Counting>,
    /// The water that is drawn, for every holding factor, after the local rules.
    pub drawn: Option<DrawnWater>,
    /// What the paper still holds.
    pub holding: HoldingFacts,
    /// What the local rules did about it.
    pub local: Option<LocalMoistureEffect>,
    /// Whether the last drying stated is still to come.
    pub drying_to_come: bool,
    /// Witnesses that contradict each other.
    pub contradictions: Vec<Contradiction>,
}

/// What the paper still holds, and how that is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoldingFacts {
    /// The factor, and the lowest that is drawn.
    pub factor: Holding,
    /// How it is known.
    pub from: HoldingFrom,
    /// Degree of polymerisation today; `None` where none is known.
    pub dp: Option<f64>,
    /// Whether that was measured; else it is an estimate.
    pub dp_measured: bool,
}

/// How the holding factor is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HoldingFrom {
    /// The profile states it.
    Stated,
    /// From the measured degree of polymerisation, carried on to the day.
    Measured,
    /// From one measured within a year that nothing carries on.
    MeasuredOnce,
    /// From a degree of polymerisation estimated from age and usual hot spot.
    Estimated,
    /// Nothing is known: taken low.
    TakenLow,
}

/// Water in the paper at the hot spot, where it is not simply the moisture that counts.
#[derive(Debug, Clone, Copy, Default)]
pub struct HotSpotFacts {
    /// What the verdict uses, %; `None`: nothing counts at all.
    pub counted: Option<MoisturePercent>,
    /// What that is worth against the moisture that counts, K; `None`: no credit was asked for.
    pub credit_k: Option<f64>,
    /// Why the credit that was asked for is not given.
    pub refused: Option<&'static str>,
    /// Drying followed through the overload.
    pub drying: Option<Drying>,
}

/// Drying of the paper at the hot spot through the overload.
#[derive(Debug, Clone, Copy)]
pub struct Drying {
    /// Water there when the margin is smallest, %.
    pub percent: f64,
    /// The smallest margin with it, K; `None` outside the range of the correlations.
    pub margin_k: Option<f64>,
    /// Whether a local rule lets it count.
    pub counts: bool,
}

/// Water in the oil at minute 0 after a load history.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OilBeforeFacts {
    /// Whether it could be followed through the history.
    pub followed: bool,
    /// Relative saturation at the top oil of minute 0; `None` if it was not followed, or the oil is colder than
    /// the solubility is known for.
    pub saturation: Option<f64>,
    /// Whether the paper is wetter than the isotherm covers, so that this is the most it can be.
    pub beyond_isotherm: bool,
}

/// The oil through the overload and the cool-down.
#[derive(Debug, Clone)]
pub struct CoolDownFacts {
    /// What was found.
    pub oil: CoolDown,
    /// Breakdown voltage where the oil is nearest to saturation; `None` for another liquid than mineral oil, outside
    /// the measured range, and where the oil may come nearer than was found.
    pub strength: Option<Strength>,
    /// Lowest ambient from minute 0 on, °C.
    pub lowest_ambient_c: f64,
}

impl CoolDownFacts {
    /// Highest relative saturation after the overload, %.
    pub fn saturation_percent(&self) -> Option<f64> {
        Some(self.oil.nearest_saturation?.saturation? * 100.0)
    }
}

/// What local rules did about the counting moisture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LocalMoistureEffect {
    /// They raised it.
    Raised,
    /// They lowered it, by name and reason.
    Lowered(SetAside),
    /// They would lower it and name nobody, so it stays.
    Refused,
    /// They state a moisture, and there is no evidence to hold it against.
    Unused,
}

/// What the bubbling models say.
#[derive(Debug, Clone)]
pub struct BubblingFacts {
    /// Pressure at the hot spot, if known.
    pub pressure: Option<Pascals>,
    /// The gas that counts; `None` if none is known.
    pub gas: Option<CountedGas>,
    /// With the best estimate of moisture.
    pub best: Reading,
    /// With the moisture that counts.
    pub low: Reading,
    /// With the assessed moisture if the paper held all that new paper holds; `None` where that is not looked at.
    pub as_new: Option<Celsius>,
    /// The worst-case bound.
    pub bound: Option<Celsius>,
    /// Whether the gas alone reaches the pressure, so that the bound knows no safe temperature.
    pub gas_alone_bubbles: bool,
}

/// How uncertain the margin is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpreadFacts {
    /// By how much the 5 % point of the margin, less what is taken off it for the number of draws, lies below the
    /// margin with the moisture that counts, K; never negative. Infinite where it lies beyond the range of the correlations.
    pub allowance_k: f64,
    /// Probability that the margin falls below 0 K, where all draws were looked at.
    pub below_zero: Option<f64>,
}

/// An inception temperature, or why there is none.
#[derive(Debug, Clone, Copy)]
pub enum Reading {
    /// Computed inside the range of the correlations.
    Known(Inception),
    /// Outside their range; what can still be said.
    Outside(OutsideValidity, Edge),
    /// Moisture, gas or pressure is missing.
    Missing,
}

impl Reading {
    /// A temperature below which bubbling is not to be expected: the working value, or the
    /// floor where the paper is drier than the range.
    pub fn inception(&self) -> Option<Celsius> {
        match self {
            Self::Known(inception) => Some(inception.working()),
            Self::Outside(_, edge) => edge.floor,
            Self::Missing => None,
        }
    }

    /// Both correlations, where they hold.
    pub fn known(&self) -> Option<&Inception> {
        match self {
            Self::Known(inception) => Some(inception),
            Self::Outside(..) | Self::Missing => None,
        }
    }

    /// A temperature above which it surely is: the working value, or the ceiling beyond the range.
    pub fn ceiling(&self) -> Option<Celsius> {
        match self {
            Self::Known(inception) => Some(inception.working()),
            Self::Outside(_, edge) => edge.ceiling,
            Self::Missing => None,
        }
    }
}

/// A ceiling and the value held against it.
#[derive(Debug, Clone)]
pub struct Held {
    /// The ceiling.
    pub ceiling: Ceiling,
    /// The value; `None` if it could not be computed.
    pub value: Option<f64>,
}

impl Facts<'_> {
    /// The margin that the verdict uses, K: the lower of the one with the moisture that counts and
    /// the 5 % point of the draws, that less its guard. `None` too where that point lies beyond the correlations' range.
    pub fn margin_low_k(&self) -> Option<f64> {
        let counting = self.margin_k(self.bubbling.low.inception())?;
        Some(counting - self.allowance_k()).filter(|margin_k| margin_k.is_finite())
    }

    /// What the draws take off the margin with the moisture that counts, K.
    pub fn allowance_k(&self) -> f64 {
        self.spread.map_or(0.0, |spread| spread.allowance_k)
    }

    /// Margin between an inception temperature and the hottest hot spot, K.
    pub fn margin_k(&self, inception: Option<Celsius>) -> Option<f64> {
        let thermal = self.thermal.as_ref()?;
        inception.map(|inception| inception.value() - thermal.hot_spot.value_c)
    }

    /// The value that a ceiling on this quantity is held against.
    pub fn value_of(&self, quantity: Quantity) -> Option<f64> {
        let thermal = self.thermal.as_ref();
        match quantity {
            Quantity::HotSpot => thermal.map(|thermal| thermal.hot_spot.value_c),
            Quantity::TopOil => thermal.map(|thermal| thermal.top_oil.value_c),
            Quantity::Ageing => thermal.map(|thermal| thermal.ageing_hours),
            Quantity::Load => Some(self.asked.greatest_load_pu),
            Quantity::Duration => Some(self.asked.duration_min),
        }
    }
}
