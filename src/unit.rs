//! The transformer as data: read strictly, checked for contradictions, and either complete
//! enough to compute with or reported as lacking.

mod cooling_class;
pub mod defaults;
mod detailed;
pub mod evidence_file;
pub mod facility;
pub mod facility_file;
pub mod gradient;
pub mod heat_run;
mod insulation;
pub mod natural;
mod oil_and_gas;
mod probe_series;
pub mod profile;
mod relays;
pub mod relays_file;
pub mod sources;
pub mod spread;
mod stages;
pub mod taps;
mod thin_air;
mod uncertainty;
pub mod uncertainty_file;
mod uncertainty_limits;
pub mod usual_uncertainty;
pub mod usual_uncertainty_file;
pub mod validate;
pub mod windings;
pub mod windings_file;
mod witnesses;

use crate::moisture::evidence::Witness;
use crate::moisture::solubility::Solubility;
use crate::quantities::{GasPercent, Metres, Pascals};
use crate::relay::Relay;
use crate::thermal::cooling::Stage;
use chrono::NaiveDate;
use facility::{RatedWinding, SeriesElement};
use gradient::GradientFrom;
use heat_run::Printed;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use spread::UnitSpread;
use taps::Taps;
use windings::ThreeWindings;

/// Size class of the loading guides.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum SizeClass {
    /// Up to 2.5 MVA three-phase.
    Distribution,
    /// Up to 100 MVA three-phase.
    Medium,
    /// Above that.
    Large,
}

impl SizeClass {
    /// The class as written in profiles.
    pub fn name(self) -> &'static str {
        match self {
            Self::Distribution => "distribution",
            Self::Medium => "medium",
            Self::Large => "large",
        }
    }

    /// Largest three-phase rating of the class, MVA. Source: `iec-60076-7-2005` (from memory).
    pub fn largest_mva(self) -> Option<f64> {
        match self {
            Self::Distribution => Some(2.5),
            Self::Medium => Some(100.0),
            Self::Large => None,
        }
    }
}

/// Winding paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Paper {
    /// Kraft paper.
    Kraft,
    /// Thermally upgraded paper.
    ThermallyUpgraded,
}

impl Paper {
    /// The paper in words.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Kraft => "kraft paper",
            Self::ThermallyUpgraded => "thermally upgraded paper",
        }
    }
}

/// Insulating liquid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Liquid {
    /// Mineral oil.
    Mineral,
    /// Natural ester.
    NaturalEster,
    /// Synthetic ester.
    SyntheticEster,
}

impl Liquid {
    /// The liquid in words.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Mineral => "mineral oil",
            Self::NaturalEster => "natural ester",
            Self::SyntheticEster => "synthetic ester",
        }
    }
}

/// What the cooling of a stage needs running, the neediest last.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Auxiliaries {
    /// Nothing: natural oil and air.
    None,
    /// Fans.
    Fans,
    /// Pumps, with fans or water.
    Pumps,
}

/// A transformer, checked.
#[derive(Debug, Clone)]
pub struct Unit {
    /// Short name, as in the profile.
    pub name: String,
    /// Where it stands.
    pub site: Option<String>,
    /// Serial number.
    pub serial: Option<String>,
    /// Size class of the loading guides.
    pub size_class: SizeClass,
    /// Rated power, MVA.
    pub rated_mva: f64,
    /// Its taps, if they are stated.
    pub taps: Option<Taps>,
    /// Guaranteed average winding rise at the rating, K; `None`: not stated, and not guessed.
    pub average_winding_rise_k: Option<f64>,
    /// Winding paper.
    pub paper: Paper,
    /// Insulating liquid.
    pub liquid: Liquid,
    /// Thermal data; `None` if the profile has none.
    pub thermal: Option<Thermal>,
    /// Pressure of the surroundings.
    pub surroundings: Surroundings,
    /// Dissolved gas; `None` if the profile has none and none may be assumed.
    pub gas: Option<Gas>,
    /// Year of manufacture.
    pub made: Option<f64>,
    /// Last drying of the insulation.
    pub dried: Option<NaiveDate>,
    /// Evidence of moisture.
    pub witnesses: Vec<Witness>,
    /// Last treatment of the oil.
    pub oil_treated: Option<NaiveDate>,
    /// Whether the tap changer shares the oil, or its gases reach it.
    pub oil_shared_with_tap_changer: bool,
    /// Solubility of water in the oil.
    pub solubility: OilSolubility,
    /// Mass of oil, kg.
    pub oil_kg: Option<f64>,
    /// Paper and pressboard.
    pub insulation: Insulation,
    /// Condition of the paper.
    pub paper_condition: PaperCondition,
    /// What aged paper still holds at the same vapour pressure, 1 = as new; `None`: nobody states it.
    pub holding_factor: Option<f64>,
    /// Ratings of what is in series with the winding.
    pub accessories: Accessories,
    /// Windings with their rated currents; empty where the profile states none.
    pub windings: Vec<RatedWinding>,
    /// Three windings with the loss of each; `None`: not stated, one load counts for all windings.
    pub three_windings: Option<ThreeWindings>,
    /// The other elements of the facility that carry its current; empty where the profile states none.
    pub series_elements: Vec<SeriesElement>,
    /// What is known of its present condition.
    pub condition: Condition,
    /// Relays and indicators, in the order of the profile.
    pub relays: Vec<Relay>,
    /// How uncertain each of these figures is, and a forecast for the unit.
    pub spread: UnitSpread,
}

/// Solubility of water in the unit's oil.
#[derive(Debug, Clone)]
pub struct OilSolubility {
    /// The constants.
    pub constants: Solubility,
    /// Who measured them in this oil; `None`: those of the new liquid.
    pub measured_by: Option<String>,
    /// Whether warm oil dissolves more by them than new oil.
    pub above_new: bool,
}

/// Paper and pressboard, as far as stated.
#[derive(Debug, Clone, Copy, Default)]
pub struct Insulation {
    /// Mass in exchange with the oil, kg.
    pub mass_kg: Option<f64>,
    /// Usual thickness, wetted on both sides, mm.
    pub thickness_mm: Option<f64>,
    /// Paper on the conductor at the hot spot, wetted on one side, mm.
    pub winding_paper_mm: Option<f64>,
}

/// Condition of the paper, as far as stated.
#[derive(Debug, Clone, Copy)]
pub struct PaperCondition {
    /// Degree of polymerisation when new.
    pub dp_new: f64,
    /// Degree of polymerisation now.
    pub dp: Option<f64>,
    /// Date of that.
    pub date: Option<NaiveDate>,
    /// Hot spot of an average day, °C.
    pub usual_hot_spot_c: Option<f64>,
}

/// Thermal data of the unit.
#[derive(Debug, Clone)]
pub struct Thermal {
    /// Stages, weakest first.
    pub stages: Vec<StageData>,
    /// Date of the heat run, if the rises come from one.
    pub heat_run: Option<String>,
    /// The liquid that it was made with, if stated.
    pub heat_run_liquid: Option<Liquid>,
    /// The stage at the unit's rated cooling.
    pub rated_stage: usize,
    /// The altitude that the stated rises hold for, m, if stated.
    pub rises_at_altitude_m: Option<f64>,
}

impl Thermal {
    /// The natural stage that is assumed because nobody states the cooling stages; it is the weakest.
    pub fn assumed(&self) -> Option<&StageData> {
        self.stages.first().filter(|data| data.assumed)
    }
}

/// A stage and where its figures came from.
#[derive(Debug, Clone)]
pub struct StageData {
    /// The stage.
    pub stage: Stage,
    /// What its cooling needs running.
    pub auxiliaries: Auxiliaries,
    /// Name of its set of typical constants.
    pub constants: String,
    /// Whether that set is the user's and differs from the embedded one.
    pub own_constants: bool,
    /// Keys whose values are typical for the cooling class and not the unit's own.
    pub typical: Vec<&'static str>,
    /// Where its hot-spot gradient comes from.
    pub gradient_from: GradientFrom,
    /// The hot-spot gradient that is typical for its cooling, at its own rating, K.
    pub usual_gradient_k: f64,
    /// Whether the stage is assumed ([`natural`]) and not stated.
    pub assumed: bool,
    /// What the altitude of the unit adds to its top-oil rise; in the nameplate already, K.
    pub altitude_k: f64,
    /// What heat-run reports print of it, as far as stated.
    pub printed: Printed,
}

/// What sets the pressure at the hot spot.
#[derive(Debug, Clone, Copy)]
pub struct Surroundings {
    /// Height above sea level.
    pub altitude: Option<Metres>,
    /// Oil above the hot spot; `None` counts as none, the low-pressure side.
    pub head: Option<Metres>,
    /// Lowest gauge pressure of a gas blanket, Pa.
    pub blanket_pa: f64,
    /// Whether the oil is under a gas blanket of unknown pressure.
    pub blanket_unknown: bool,
}

/// Dissolved gas of the unit.
#[derive(Debug, Clone)]
pub struct Gas {
    /// Total content.
    pub total: GasPercent,
    /// Pressure the gases exert at 25 °C, for the worst-case bound.
    pub pressure: Pascals,
    /// Single gases as symbol and ppm, if reported.
    pub report: Vec<(String, f64)>,
    /// Whether less was stated than oil that breathes can be trusted to hold.
    pub raised: bool,
    /// Why the total is assumed and not measured, if so.
    pub assumed: Option<String>,
    /// Date of the sample.
    pub sampled: Option<NaiveDate>,
    /// What such oil holds when saturated: where no sample says how much gas there is today.
    pub saturated: GasPercent,
    /// Whether air or nitrogen reaches the oil.
    pub breathes: bool,
    /// Whether it is stated for a time to come, by an option of a plan: no sample, and so without an age.
    pub planned: bool,
}

/// A rating in the current path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rating {
    /// Per unit of the transformer's rated current.
    PerUnit(f64),
    /// Stated as unknown, or not stated.
    Unknown,
}

/// Ratings of what is in series with the winding.
#[derive(Debug, Clone, Copy)]
pub struct Accessories {
    /// Bushings.
    pub bushings: Rating,
    /// Tap changer.
    pub tap_changer: Rating,
    /// Cable box, leads and clamps.
    pub cable_box: Rating,
    /// Current transformers.
    pub current_transformers: Rating,
}

/// Oil level.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum OilLevel {
    /// As it should be for the temperature.
    Normal,
    /// Too high for the temperature, or a small conservator.
    High,
    /// Too low for the temperature.
    Low,
}

/// Fault gas in the oil.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FaultGas {
    /// None found.
    None,
    /// Found, and its cause is known and harmless to loading.
    Explained,
    /// Found, cause not known.
    Unexplained,
}

/// What is known of the unit's condition; `None` where nobody stated it.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Condition {
    /// The gas relay's alarm stands.
    pub gas_relay_alarm: Option<bool>,
    /// Fault gas.
    pub fault_gas: Option<FaultGas>,
    /// A history of partial discharge.
    pub partial_discharge: Option<bool>,
    /// Oil level.
    pub oil_level: Option<OilLevel>,
}

impl Condition {
    /// What this one states, and what `other` states where this one is silent.
    #[must_use]
    pub fn or(self, other: Self) -> Self {
        Self {
            gas_relay_alarm: self.gas_relay_alarm.or(other.gas_relay_alarm),
            fault_gas: self.fault_gas.or(other.fault_gas),
            partial_discharge: self.partial_discharge.or(other.partial_discharge),
            oil_level: self.oil_level.or(other.oil_level),
        }
    }
}
