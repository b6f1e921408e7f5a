//! Emergency ratings: the largest load for each duration, ambient and preload, and what governs it.
//!
//! Everything here searches over [`crate::assessment`]; no physics of its own. A rating is a load that
//! `check` passes, found at the resolution of its own search, from below.

pub mod answer;
pub mod capability;
pub mod compare;
pub mod facility;
pub mod governs;
pub mod inputs;
pub mod protection;
pub mod question;
pub mod season;
mod starts;
pub mod table;
pub mod water;

use crate::assessment::Tool;
use crate::loading::windings::WindingGoverns;
use crate::rules::finding::Finding;
use capability::Capability;
use compare::Comparison;
use facility::FacilityRating;
use inputs::InputPart;
use protection::{BubblesFirst, Protection};
use season::Seasons;
use serde::{Deserialize, Serialize};
use water::CostOfWater;

/// How ratings are found; named in every export, and changed whenever a change of method may change a rating.
pub const METHODOLOGY: &str = "bubblemargin-rating-1";

/// What every export says.
pub const NOTICE: &str = "Rates the transformer only, within the entered limits. A facility rating is the \
    lowest of all series elements. A calculation aid: it authorises nothing; local operating rules, the \
    maker's limits and licensed people decide.";

/// The ratings of one unit.
///
/// The JSON of `rate` is this structure; figures are unrounded, a `null` means "none" or "not known".
#[derive(Debug, Clone, Serialize)]
pub struct Ratings {
    /// What computed them.
    pub tool: Tool,
    /// How they were found: [`METHODOLOGY`].
    pub methodology: &'static str,
    /// The day for which they are asked and by which the age of the evidence is judged, YYYY-MM-DD.
    pub date: String,
    /// SHA-256 of every input file and option.
    pub inputs_sha256: String,
    /// What it is and what it is not: [`NOTICE`].
    pub notice: &'static str,
    /// What was taken for granted, a sentence each.
    pub assumptions: Vec<String>,
    /// What must be acknowledged of every rating.
    pub cautions: Vec<Finding>,
    /// The unit.
    pub unit: RatedUnit,
    /// What was asked.
    pub asked: Asked,
    /// How wet the paper is and when it bubbles.
    pub paper: Paper,
    /// The ratings: by limit set, preload, ambient, and duration, the shortest first.
    pub cells: Vec<Cell>,
    /// What protection does about them, at the coldest and at the warmest ambient; empty without relays.
    pub protection: Vec<Protection>,
    /// What they were computed from, so that a later table can be compared.
    pub inputs: Vec<InputPart>,
    /// What water costs; `null` unless asked for, or without moisture that counts.
    pub water: Option<CostOfWater>,
    /// Permissible time against load; `null` unless asked for.
    pub capability: Option<Capability>,
    /// Where the ambients come from, if from a history.
    pub seasons: Option<Seasons>,
    /// What changed since an earlier answer, if one was given.
    pub changes: Option<Comparison>,
}

impl Ratings {
    /// Every trip that lies above the temperature at which the paper bubbles, or may: as at the warmest ambient, and
    /// those of other ambients alone.
    pub fn bubbles_first(&self) -> Vec<&BubblesFirst> {
        let mut named: Vec<&BubblesFirst> = Vec::new();
        for first in self.protection.iter().rev().flat_map(|found| &found.first) {
            if !named.iter().any(|own| own.relay == first.relay) {
                named.push(first);
            }
        }
        named
    }
}

/// The unit as far as a rating needs it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RatedUnit {
    /// Its name.
    pub name: String,
    /// Where it stands.
    pub site: Option<String>,
    /// Rated power, MVA.
    pub mva: f64,
    /// Windings with their rated current; empty where the profile states none.
    pub windings: Vec<Winding>,
}

/// A winding.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Winding {
    /// Its name, such as HV.
    pub name: String,
    /// Rated voltage, kV, line to line.
    pub kv: f64,
    /// Rated current, A.
    pub rated_a: f64,
}

/// What was asked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Asked {
    /// Durations, min, the shortest first; a `null` is continuous and stands last.
    pub durations_min: Vec<Option<f64>>,
    /// Ambients, °C, the coldest first.
    pub ambients_c: Vec<f64>,
    /// Preloads, pu, the lowest first.
    pub preloads_pu: Vec<f64>,
    /// The limit sets, in the order of the answer.
    pub limits: Vec<SetUsed>,
    /// The local rules.
    pub local_rules: Option<String>,
    /// Cooling stage counted on, or `automatic`.
    pub cooling: Option<String>,
    /// Margin that is required of the 5 % point, K.
    pub required_margin_k: f64,
    /// Voltage by which preloads were turned into currents, pu of the rated one; `null`: not stated. Ratings are
    /// currents.
    pub voltage_pu: Option<f64>,
    /// How wrong a current may be for a voltage that is not stated, % of it, one standard uncertainty; 0 where it is
    /// known.
    pub voltage_std_percent: f64,
    /// Tap in service; `null`: not stated.
    pub tap: Option<u32>,
    /// `in-proportion` for a unit whose three windings are told apart: each rating is one load for all of them; else
    /// `null`.
    pub windings: Option<WindingGoverns>,
    /// Draws of the uncertainties; 0 is none.
    pub draws: u32,
    /// Seed of the draws.
    pub seed: u32,
    /// The day by which the age of evidence is judged.
    pub as_of: Option<String>,
}

/// A limit set as it was used.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SetUsed {
    /// Its name.
    pub name: String,
    /// What it is.
    pub title: String,
    /// Id of its source.
    pub source: String,
}

/// How wet the paper is and when it bubbles.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Paper {
    /// Moisture that counts, %.
    pub counting_moisture_percent: Option<f64>,
    /// Best estimate of moisture, %.
    pub best_moisture_percent: Option<f64>,
    /// Total dissolved gas, % by volume.
    pub gas_percent: Option<f64>,
    /// Inception temperature with the moisture that counts, °C.
    pub inception_c: Option<f64>,
    /// The same with the best estimate, °C.
    pub inception_best_c: Option<f64>,
}

/// One rating.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cell {
    /// Name of the limit set.
    pub limits: String,
    /// Steady load before, and after, pu.
    pub preload_pu: f64,
    /// Ambient, °C; with a forecast that at the start.
    pub ambient_c: f64,
    /// Minute of the forecast at which the load begins; `null` for a constant ambient.
    pub from_min: Option<f64>,
    /// Duration, min; `null`: continuous, until the state no longer shows where it began.
    pub duration_min: Option<f64>,
    /// The largest load, pu; `null`: none.
    pub load_pu: Option<f64>,
    /// What ends it; where it is held down, what ends it there.
    pub governs: Governs,
    /// The colder, less loaded or shorter case of the table in which no more than this load passes; `null`
    /// where its own is the lowest.
    pub held_by: Option<HeldBy>,
    /// What the draws take off the margin there, K; `null` without draws, or without a load.
    pub allowance_k: Option<f64>,
    /// The lowest of this and of the series elements; `null` where the profile states none.
    pub facility: Option<FacilityRating>,
}

/// Where a rating is held down.
///
/// A rating is read as one for up to its preload, ambient and duration. Where fans start by themselves the
/// models can allow less from a colder or less loaded start, at which they do not run yet; then that holds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HeldBy {
    /// Preload, pu.
    pub preload_pu: f64,
    /// Ambient, °C.
    pub ambient_c: f64,
    /// Duration, min; `null`: continuous.
    pub duration_min: Option<f64>,
}

/// What ends a rating: the gravest finding a hair above it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Governs {
    /// What it is.
    pub what: Limiting,
    /// Code of the finding, for `explain`; `null` where no finding ends it.
    pub code: Option<&'static str>,
    /// The finding in words.
    pub words: String,
}

/// Kinds of what ends a rating.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Limiting {
    /// The margin to bubbling.
    Bubbling,
    /// The hot-spot limit.
    HotSpot,
    /// The top-oil limit.
    TopOil,
    /// The load ceiling of the guide or of a local rule.
    LoadCeiling,
    /// Bushings, tap changer, cable box or current transformers: their rating, or what an unknown one counts as.
    Accessory,
    /// Paper life.
    Ageing,
    /// A local rule on how long an overload may last.
    Duration,
    /// The load is beyond what the thermal model is meant for.
    ModelRange,
    /// A condition of the unit or a local rule forbids any load.
    Condition,
    /// Something that nobody stated or that lies outside the range of the formulas.
    Unknown,
    /// Nothing, up to the greatest load that is tried.
    Nothing,
}

impl Limiting {
    /// All kinds.
    pub const ALL: [Self; 11] = [
        Self::Bubbling,
        Self::HotSpot,
        Self::TopOil,
        Self::LoadCeiling,
        Self::Accessory,
        Self::Ageing,
        Self::Duration,
        Self::ModelRange,
        Self::Condition,
        Self::Unknown,
        Self::Nothing,
    ];

    /// Name in results.
    pub fn name(self) -> &'static str {
        match self {
            Self::Bubbling => "bubbling",
            Self::HotSpot => "hot-spot",
            Self::TopOil => "top-oil",
            Self::LoadCeiling => "load-ceiling",
            Self::Accessory => "accessory",
            Self::Ageing => "ageing",
            Self::Duration => "duration",
            Self::ModelRange => "model-range",
            Self::Condition => "condition",
            Self::Unknown => "unknown",
            Self::Nothing => "nothing",
        }
    }
}
