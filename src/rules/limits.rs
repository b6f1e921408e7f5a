//! Loading limits: sets of ceilings by size class, from a guide or a local rule.

use super::catalogue::Code;
use crate::input::number::Number;
use crate::input::text::{Line, Name};
use crate::input::{InputError, shown, yaml};
use crate::ranges;
use crate::unit::defaults::{Catalogue, same_name};
use crate::unit::profile::{LoadPu, WindingRiseK};
use crate::unit::{Liquid, Paper, SizeClass};
use schemars::JsonSchema;
use serde::Deserialize;
use std::collections::BTreeMap;

ranges! {
    /// A temperature ceiling of a loading guide.
    CeilingC: "°C", 50.0, 250.0;
    /// A duration.
    DurationMin: "min", 1.0, 100_000.0;
}

/// Overloads shorter than this count as short-time emergencies, min.
/// Source: `iec-60076-7-2005` (from memory).
pub const SHORT_TIME_MIN: f64 = 30.0;

/// Id of the source of figures that a user has put in place of embedded ones.
const USER_PROFILE: &str = "user-profile";

/// A set of loading limits, as in profiles/limits.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LimitSetFile {
    /// Name of the set, the file's own.
    pub limits: Name,
    /// What it is.
    pub title: Line,
    /// The set is only for overloads shorter than this, min.
    pub shorter_than_min: Option<Number<DurationMin>>,
    /// For which units its ceilings hold. A set of your own that leaves it out applies to every unit with mineral oil,
    /// whatever its paper and rise; one in place of an embedded set then holds for what the embedded one holds for.
    pub holds_for: Option<HoldsForFile>,
    /// Ceilings by size class; a class that is left out is not covered by the set.
    pub classes: BTreeMap<SizeClass, CeilingsFile>,
    /// Id in profiles/sources.yaml.
    pub source: Name,
}

/// For which units the ceilings of a set hold.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HoldsForFile {
    /// Guaranteed average winding rise, K, as `rated.average_winding_rise_k` of a unit; without it any.
    pub winding_rise_k: Option<Number<WindingRiseK>>,
    /// Papers; without it any.
    pub papers: Option<Vec<Paper>>,
    /// Liquids; without it mineral oil alone.
    pub liquids: Option<Vec<Liquid>>,
}

impl From<&HoldsForFile> for HoldsFor {
    fn from(file: &HoldsForFile) -> Self {
        Self {
            winding_rise_k: file.winding_rise_k.as_ref().map(|number| number.value),
            papers: file.papers.clone(),
            liquids: file.liquids.clone(),
        }
    }
}

/// For which units the ceilings of a set hold; `None`: the set does not say.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct HoldsFor {
    /// Guaranteed average winding rise, K.
    pub winding_rise_k: Option<f64>,
    /// Papers.
    pub papers: Option<Vec<Paper>>,
    /// Liquids.
    pub liquids: Option<Vec<Liquid>>,
}

/// Ceilings of one size class; what is left out, the guide gives no figure for.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CeilingsFile {
    /// Load, per unit of the rated current.
    pub load_pu: Option<Number<LoadPu>>,
    /// Winding hot spot, °C.
    pub hot_spot_c: Option<Number<CeilingC>>,
    /// Other metal parts, °C.
    pub metal_c: Option<Number<CeilingC>>,
    /// Top oil, °C.
    pub top_oil_c: Option<Number<CeilingC>>,
}

/// The limits that apply to one unit.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitSet {
    /// Name of the set.
    pub name: String,
    /// What it is.
    pub title: String,
    /// Id of its source.
    pub source: String,
    /// Whether it is the user's and differs from the embedded one.
    pub own: bool,
    /// The set is only for overloads shorter than this, min.
    pub shorter_than_min: Option<f64>,
    /// For which units it holds; `None`: its owner does not say.
    pub holds_for: Option<HoldsFor>,
    /// Load ceiling, per unit.
    pub load_pu: Option<f64>,
    /// Hot-spot ceiling, °C.
    pub hot_spot_c: Option<f64>,
    /// Ceiling of other metal parts, °C; not computed, only shown.
    pub metal_c: Option<f64>,
    /// Top-oil ceiling, °C.
    pub top_oil_c: Option<f64>,
}

/// The set to use for an overload if the user names none.
pub fn usual_set(duration_min: f64) -> &'static str {
    if duration_min < SHORT_TIME_MIN {
        "iec-short-time-emergency"
    } else {
        "iec-long-time-emergency"
    }
}

impl LimitSet {
    /// The set of this name for a size class and duration.
    ///
    /// # Errors
    /// [`InputError`]: no such set, not for this class, or not for so long an overload.
    pub fn named(
        name: &str,
        class: SizeClass,
        duration_min: f64,
        catalogue: &Catalogue,
    ) -> Result<Self, InputError> {
        let set = Self::of_class(name, class, catalogue)?;
        match set.shorter_than_min {
            Some(longest_min) if !(duration_min < longest_min) => {
                let found = format!("{name} for an overload of {duration_min} min");
                let accepted =
                    format!("an overload shorter than {longest_min} min, or another set");
                Err(InputError::new("--limits", found, accepted))
            }
            _ => Ok(set),
        }
    }

    /// The set of this name for a size class, whatever the duration.
    ///
    /// # Errors
    /// [`InputError`]: no such set, or not for this class.
    pub fn of_class(
        name: &str,
        class: SizeClass,
        catalogue: &Catalogue,
    ) -> Result<Self, InputError> {
        let path = format!("limits/{name}.yaml");
        let Some(text) = catalogue.text(&path) else {
            let accepted = format!("one of {}", catalogue.names("limits").join(", "));
            return Err(InputError::new("--limits", shown(name), accepted));
        };
        let file: LimitSetFile = yaml::read(&path, text)?;
        same_name(&path, name, &file.limits)?;
        let own = catalogue.is_own(&path);
        let Some(ceilings) = file.classes.get(&class) else {
            let found = format!("{name} for size class {}", class.name());
            let covered: Vec<&str> = file.classes.keys().map(|class| class.name()).collect();
            return Err(InputError::new(
                "--limits",
                found,
                format!("a set for this class (this one: {})", covered.join(", ")),
            ));
        };
        let value = |number: &Option<Number<CeilingC>>| number.as_ref().map(|number| number.value);
        Ok(Self {
            name: file.limits.0,
            title: file.title.0,
            // Figures that a user has put in place of the guide's are no longer the guide's.
            source: if own { USER_PROFILE.to_owned() } else { file.source.0 },
            own,
            shorter_than_min: file.shorter_than_min.as_ref().map(|number| number.value),
            holds_for: holds_for(&path, file.holds_for.as_ref(), own)?,
            load_pu: ceilings.load_pu.as_ref().map(|number| number.value),
            hot_spot_c: value(&ceilings.hot_spot_c),
            metal_c: value(&ceilings.metal_c),
            top_oil_c: value(&ceilings.top_oil_c),
        })
    }
}

/// For which units a set holds. What an embedded set holds for is not lost where a file of the user's with the same
/// name leaves it out: older copies do (our choice).
fn holds_for(
    path: &str,
    stated: Option<&HoldsForFile>,
    own: bool,
) -> Result<Option<HoldsFor>, InputError> {
    if stated.is_some() || !own {
        return Ok(stated.map(HoldsFor::from));
    }
    let embedded = Catalogue::embedded();
    let Some(text) = embedded.text(path) else { return Ok(None) };
    let file: LimitSetFile = yaml::read(path, text)?;
    Ok(file.holds_for.as_ref().map(HoldsFor::from))
}

/// What a ceiling is a ceiling of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// Winding hot spot.
    HotSpot,
    /// Top oil.
    TopOil,
    /// Load.
    Load,
    /// Duration of the overload.
    Duration,
    /// Normal-life hours used.
    Ageing,
}

impl Quantity {
    /// Name in results.
    pub fn name(self) -> &'static str {
        match self {
            Self::HotSpot => "hot-spot",
            Self::TopOil => "top-oil",
            Self::Load => "load",
            Self::Duration => "duration",
            Self::Ageing => "ageing",
        }
    }

    /// The quantity in words.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::HotSpot => "hot spot",
            Self::TopOil => "top oil",
            Self::Load => "load",
            Self::Duration => "duration",
            Self::Ageing => "ageing",
        }
    }

    /// Unit in results.
    pub fn unit(self) -> &'static str {
        match self {
            Self::HotSpot | Self::TopOil => "°C",
            Self::Load => "pu",
            Self::Duration => "min",
            Self::Ageing => "h",
        }
    }
}

/// One ceiling with its source and the code of the finding it makes.
#[derive(Debug, Clone, PartialEq)]
pub struct Ceiling {
    /// What it limits.
    pub quantity: Quantity,
    /// The ceiling, in the quantity's unit.
    pub limit: f64,
    /// Id of its source, or the name of the local rules.
    pub source: String,
    /// Code of its finding.
    pub code: Code,
}

/// The ceilings of a limit set.
pub fn ceilings(set: &LimitSet) -> Vec<Ceiling> {
    let of = |quantity, limit: Option<f64>, code| {
        limit.map(|limit| Ceiling { quantity, limit, source: set.source.clone(), code })
    };
    [
        of(Quantity::HotSpot, set.hot_spot_c, Code::HotSpotLimit),
        of(Quantity::TopOil, set.top_oil_c, Code::TopOilLimit),
        of(Quantity::Load, set.load_pu, Code::LoadCeiling),
    ]
    .into_iter()
    .flatten()
    .collect()
}
