//! One complete question: the unit, what is proposed, and the rules it is held against.

use crate::loading::current::InService;
use crate::loading::forecast_error::ForecastError;
use crate::loading::history::History;
use crate::loading::load::Loading;
use crate::rules::limits::LimitSet;
use crate::rules::local_file::LocalRules;
use crate::thermal::schedule::{AmbientLine, LoadSteps};
use crate::unit::{Condition, Unit};
use chrono::NaiveDate;

/// One complete question.
#[derive(Debug, Clone)]
pub struct Case {
    /// The transformer.
    pub unit: Unit,
    /// What is proposed.
    pub request: Request,
    /// The loading limits.
    pub limits: LimitSet,
    /// The local operating rules, if any.
    pub local: Option<LocalRules>,
    /// The day for which it is asked; `None`: the age of evidence is not judged.
    pub as_of: Option<NaiveDate>,
    /// SHA-256 of every input, in hexadecimal.
    pub inputs_sha256: String,
    /// What if the moisture that counts were this, %: the evidence is scaled to it ([`WetPaper::as_if`]).
    /// For the cost of water alone; what is judged as the unit stands has `None`.
    ///
    /// [`WetPaper::as_if`]: super::wet_paper::WetPaper::as_if
    pub water_as_percent: Option<f64>,
}

/// What is proposed.
#[derive(Debug, Clone)]
pub struct Request {
    /// The load.
    pub loading: Loading,
    /// Where the state at minute 0 comes from.
    pub start: StartFrom,
    /// The least steady load that it may have carried before, pu, where `start` is a preload: that is the greatest.
    /// Every start between the two counts.
    pub preload_from_pu: f64,
    /// Whether the load before may have changed between the two up to minute 0, and was not steady at one of them.
    pub preload_varies: bool,
    /// Ambient.
    pub ambient: AmbientLine,
    /// Last minute of the ambient forecast; `None` for a constant ambient.
    pub forecast_until_min: Option<f64>,
    /// Measured top oil at minute 0, °C.
    pub top_oil_c: Option<f64>,
    /// Index of the cooling stage in service, if the operator states it.
    pub stage: Option<usize>,
    /// Minute at which forced cooling is lost.
    pub cooling_lost_at_min: Option<f64>,
    /// Condition as the operator states it; it wins over the profile.
    pub condition: Condition,
    /// How wet the paper at the hot spot is taken to be.
    pub hot_spot: HotSpotMoisture,
    /// Water to which the paper might be dried, for the life used then, %.
    pub dried_to_percent: f64,
    /// Voltage and tap by which loads were turned into currents.
    pub in_service: InService,
    /// How wrong the load may be, % of it, for its voltage too.
    pub load_error: ForecastError,
    /// How wrong the ambient may be, K.
    pub ambient_error: ForecastError,
    /// How the uncertainties are sampled.
    pub sampling: Sampling,
    /// How closely the course is followed.
    pub resolution: Resolution,
}

/// Water to which paper might be dried where nobody says how far, %. Our choice: what drying in
/// service reaches (common practice, no source).
pub const DRIED_TO_PERCENT: f64 = 1.0;

/// The end of a load that does not matter, min.
const ANY_MIN: f64 = 1440.0;

impl Request {
    /// What is proposed to a unit where nothing is said: the rated load from no load at 0 °C, stages that start by
    /// themselves, paper as wet as the bulk, errors as the profile states them. A question puts its own in.
    pub fn of(unit: &Unit, sampling: Sampling) -> Self {
        Self {
            loading: Loading { load: LoadSteps::constant(1.0), end_min: ANY_MIN },
            start: StartFrom::Preload(0.0),
            preload_from_pu: 0.0,
            preload_varies: false,
            ambient: AmbientLine::constant(0.0),
            forecast_until_min: None,
            top_oil_c: None,
            stage: None,
            cooling_lost_at_min: None,
            condition: Condition::default(),
            hot_spot: HotSpotMoisture::Bulk,
            dried_to_percent: DRIED_TO_PERCENT,
            in_service: InService::default(),
            load_error: unit.spread.load_percent.clone(),
            ambient_error: unit.spread.ambient_k.clone(),
            sampling,
            resolution: Resolution::Minutes,
        }
    }
}

/// How closely a course is followed. Updates are exact and peaks are located whatever the step; close
/// steps are for the reader, and for stages that start and stop within minutes of each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Resolution {
    /// Every minute of the overload and of the hour after it.
    #[default]
    Minutes,
    /// Every hour: for plans of weeks, of which thousands are looked at.
    Hours,
}

/// Draws where nobody states how many: enough on the demo for two standard errors of the 5 % point of the margin to
/// lie below the guard; where they do not the draws are doubled ([`super::spread::GUARD_K`]). So many of the inception
/// temperature, and a quarter of it of the hot spot.
pub const DEFAULT_DRAWS: u32 = 4096;

/// Fewest draws accepted, other than none: sixteen replicates of sixteen.
pub const LEAST_DRAWS: u32 = 256;

/// Most draws accepted.
pub const MOST_DRAWS: u32 = 1 << 20;

/// How the uncertainties are sampled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sampling {
    /// Number of draws, a power of two from [`LEAST_DRAWS`]; 0 is none.
    pub draws: u32,
    /// Where the draws begin: the same seed, the same draws.
    pub seed: u32,
    /// Whether to say which uncertainty matters most.
    pub why: bool,
    /// Whether to say how uncertain the hot spot is over time.
    pub over_time: bool,
}

impl Default for Sampling {
    fn default() -> Self {
        Self { draws: DEFAULT_DRAWS, seed: 1, why: false, over_time: false }
    }
}

/// How wet the paper at the hot spot is taken to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HotSpotMoisture {
    /// As wet as the counting moisture.
    #[default]
    Bulk,
    /// Drier, as far as the load history dried it.
    Equilibrated,
    /// Followed through the overload, to inform.
    OverTime,
}

/// Where the state at minute 0 comes from.
#[derive(Debug, Clone)]
pub enum StartFrom {
    /// The steady state at this load, pu, or at a lower one ([`Request::preload_from_pu`]).
    Preload(f64),
    /// A load history.
    History(History),
}

impl Case {
    /// The condition of the unit: what the operator states, else what the profile states.
    pub fn condition(&self) -> Condition {
        self.request.condition.or(self.unit.condition)
    }

    /// What the operator states otherwise than the profile.
    pub fn restated(&self) -> Vec<&'static str> {
        let (now, profile) = (&self.request.condition, &self.unit.condition);
        let differs = [
            ("gas_relay_alarm", differ(now.gas_relay_alarm, profile.gas_relay_alarm)),
            ("fault_gas", differ(now.fault_gas, profile.fault_gas)),
            ("partial_discharge", differ(now.partial_discharge, profile.partial_discharge)),
            ("oil_level", differ(now.oil_level, profile.oil_level)),
        ];
        differs.iter().filter(|(_, differs)| *differs).map(|(key, _)| *key).collect()
    }

    /// The load at minute 0, before the overload, pu.
    pub fn load_before_pu(&self) -> f64 {
        match &self.request.start {
            StartFrom::Preload(load_pu) => *load_pu,
            StartFrom::History(history) => history.load.at(0.0),
        }
    }

    /// Greatest load before the end of the overload, pu.
    pub fn greatest_load_pu(&self) -> f64 {
        let loading = &self.request.loading;
        loading.load.greatest_between(0.0, loading.end_min)
    }
}

fn differ<T: PartialEq + Copy>(now: Option<T>, profile: Option<T>) -> bool {
    now.is_some() && profile.is_some() && now != profile
}
