//! The standard contingency: what is asked of every unit.

use super::recent::RecentLoads;
use crate::assessment::case::{Case, Request, Sampling, StartFrom};
use crate::input::InputError;
use crate::loading::ambient::STD_COLUMN as AMBIENT_STD;
use crate::loading::current::{InService, LoadBase};
use crate::loading::load::{Proposal, STD_COLUMN as LOAD_STD};
use crate::rules::limits::LimitSet;
use crate::rules::local_file::LocalRules;
use crate::thermal::schedule::AmbientLine;
use crate::unit::{SizeClass, Unit};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

/// Greatest load that is asked for, pu: that of every load in a file or flag.
const GREATEST_PU: f64 = 5.0;

/// What is asked of every unit.
#[derive(Debug, Clone)]
pub struct Contingency {
    /// The load.
    pub load: ContingencyLoad,
    /// How long, min.
    pub duration_min: f64,
    /// Ambient, °C; `None`: the highest of the unit's recent loads.
    pub ambient_c: Option<f64>,
    /// Load before, pu, of units without recent loads.
    pub preload_pu: Option<f64>,
    /// The limit set for each size class, or why there is none.
    pub limits: Limits,
    /// The local operating rules, if any.
    pub local: Option<LocalRules>,
    /// The day for which the age of evidence is judged.
    pub as_of: Option<NaiveDate>,
    /// How the uncertainties are sampled.
    pub sampling: Sampling,
    /// What the heat map varies, if there is to be one.
    pub heat: Heat,
    /// Whether to look for the largest load too.
    pub largest: bool,
}

/// The limit set for each size class, or why there is none.
pub type Limits = Vec<(SizeClass, Result<LimitSet, InputError>)>;

/// The load of the contingency.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ContingencyLoad {
    /// The same for every unit, pu.
    PerUnit(f64),
    /// So many times the unit's own highest recent load.
    TimesPeak(f64),
}

/// What a heat map varies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Heat {
    /// There is none.
    None,
    /// The ambient.
    Ambient,
    /// The load.
    Load,
}

impl Heat {
    /// The values along it: °C from 0 to 40 by 5, or pu from 0.8 to 1.6 by 0.1.
    pub fn values(self) -> Vec<f64> {
        match self {
            Self::None => Vec::new(),
            Self::Ambient => (0..=8).map(|step| 5.0 * f64::from(step)).collect(),
            Self::Load => (8..=16).map(|step| f64::from(step) / 10.0).collect(),
        }
    }
}

/// Why a contingency cannot be asked of a unit.
#[derive(Debug, Clone, PartialEq)]
pub enum NotAsked {
    /// Something is not known: it cannot be decided.
    Lacking(Lacking),
    /// The input contradicts itself or is out of range.
    Refused(InputError),
}

/// What is not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lacking {
    /// Recent loads, or a load before the contingency.
    LoadBefore,
    /// A recent load above 0, from which the contingency would follow.
    Peak,
    /// The ambient.
    Ambient,
}

impl Lacking {
    /// What is missing, and what would change it.
    pub fn in_words(self) -> (&'static str, &'static str) {
        match self {
            Self::LoadBefore => (
                "The load before is not known: no recent loads of this unit.",
                "Add its rows to the recent loads, or state --preload.",
            ),
            Self::Peak => (
                "Its recent peak is not known, or 0, so that no multiple of it is a load.",
                "Add its rows to the recent loads, or ask with --load.",
            ),
            Self::Ambient => (
                "The ambient is not known: its recent loads have none.",
                "State --ambient, or add the column ambient_c to the recent loads.",
            ),
        }
    }
}

impl Contingency {
    /// The question about one unit, the same that `check` would be asked.
    ///
    /// # Errors
    /// [`NotAsked`] if something is not known, or the input is refused.
    pub fn case(
        &self,
        unit: Unit,
        recent: Option<&RecentLoads>,
        inputs_sha256: String,
    ) -> Result<Case, NotAsked> {
        let lacking = |what| NotAsked::Lacking(what);
        let peak_pu = recent.map(|recent| recent.peak_pu);
        // No tap is stated: the worst one counts. Recent loads are currents already.
        let base = LoadBase::of(&unit, &InService::default()).map_err(NotAsked::Refused)?;
        let stated =
            |flag: &str, load_pu: f64| base.current(flag, load_pu).map_err(NotAsked::Refused);
        let stated_pu = self.preload_pu.map(|load_pu| stated("--preload", load_pu)).transpose()?;
        let before_pu = recent.map(|recent| recent.greatest_pu).or(stated_pu);
        let preload_pu = before_pu.ok_or_else(|| lacking(Lacking::LoadBefore))?;
        let load_pu = match self.load {
            ContingencyLoad::PerUnit(load_pu) => stated("--load", load_pu)?,
            ContingencyLoad::TimesPeak(_) => self.load_pu(peak_pu)?,
        };
        let own_ambient_c = recent.and_then(|recent| recent.highest_ambient_c);
        let ambient_c =
            self.ambient_c.or(own_ambient_c).ok_or_else(|| lacking(Lacking::Ambient))?;
        let refused = NotAsked::Refused;
        // A load above the rating belongs to an overload and cannot be what follows one.
        let follows_pu = preload_pu.min(1.0);
        let loading = Proposal::constant(load_pu, self.duration_min)
            .and_then(|proposal| proposal.followed_by(Some(follows_pu), preload_pu))
            .map_err(refused)?;
        let (load, ambient) = (&unit.spread.load_percent, &unit.spread.ambient_k);
        let request = Request {
            loading,
            start: StartFrom::Preload(preload_pu),
            // The contingency may come at any of the recent loads.
            preload_from_pu: recent.map_or(0.0, |recent| recent.least_pu),
            // … and right after a change from one of them to another.
            preload_varies: recent.is_some(),
            ambient: AmbientLine::constant(ambient_c),
            load_error: load
                .unless_stated(("--load-std", None), (LOAD_STD, None))
                .map_err(refused)?,
            ambient_error: ambient
                .unless_stated(("--ambient-std", None), (AMBIENT_STD, None))
                .map_err(refused)?,
            ..Request::of(&unit, self.sampling)
        };
        let limits = self.limits_of(unit.size_class).map_err(refused)?;
        let (local, as_of) = (self.local.clone(), self.as_of);
        Ok(Case { unit, request, limits, local, as_of, inputs_sha256, water_as_percent: None })
    }

    fn load_pu(&self, peak_pu: Option<f64>) -> Result<f64, NotAsked> {
        let load_pu = match (self.load, peak_pu) {
            (ContingencyLoad::PerUnit(load_pu), _) => load_pu,
            (ContingencyLoad::TimesPeak(times), Some(peak_pu)) if peak_pu > 0.0 => times * peak_pu,
            (ContingencyLoad::TimesPeak(_), _) => return Err(NotAsked::Lacking(Lacking::Peak)),
        };
        if load_pu <= GREATEST_PU {
            return Ok(load_pu);
        }
        let accepted = format!("a load up to {GREATEST_PU} pu; are the recent loads in MVA?");
        let refused = InputError::new("--times-peak", format!("{load_pu} pu"), accepted);
        Err(NotAsked::Refused(refused))
    }

    fn limits_of(&self, class: SizeClass) -> Result<LimitSet, InputError> {
        let found = self.limits.iter().find(|(own, _)| *own == class);
        found.map_or_else(
            || Err(InputError::new("--limits", class.name(), "a size class with limits")),
            |(_, set)| set.clone(),
        )
    }
}
