//! An earlier answer of `rate`, read back from its JSON.

use super::Place;
use crate::input::number::{Range, accepted, inside};
use crate::input::{InputError, json, shown};
use crate::loading::{AmbientC, LONGEST_OVERLOAD_MIN};
use crate::ranges;
use crate::rating::inputs::InputPart;
use crate::rating::{Limiting, METHODOLOGY};
use crate::unit::profile::LoadPu;
use serde::{Deserialize, Deserializer};
use std::collections::BTreeSet;

ranges! {
    /// Duration of a rating.
    RatedMin: "min", 1.0e-3, LONGEST_OVERLOAD_MIN;
    /// Minute of a forecast, about a century either way.
    ForecastMin: "min", -5.0e7, 5.0e7;
}

/// What every refusal accepts.
const WHOLE: &str = "the JSON that `rate` wrote earlier for this unit";

/// An earlier answer, as far as a comparison needs it. Keys that are not named here are not looked at.
#[derive(Debug, Clone, Deserialize)]
pub struct OldRatings {
    /// What computed it.
    pub tool: OldTool,
    /// How: the same as today's.
    pub methodology: String,
    /// The day for which it was asked; before that was written, the day of the computation.
    pub date: String,
    /// SHA-256 of every input file and option.
    pub inputs_sha256: String,
    /// The unit.
    pub unit: OldUnit,
    /// The ratings.
    pub cells: Vec<OldCell>,
    /// What they were computed from.
    pub inputs: Vec<InputPart>,
}

/// What computed an earlier answer.
#[derive(Debug, Clone, Deserialize)]
pub struct OldTool {
    /// Its version.
    pub version: String,
}

/// The unit of an earlier answer.
#[derive(Debug, Clone, Deserialize)]
pub struct OldUnit {
    /// Its name.
    pub name: String,
}

/// A rating of an earlier answer.
#[derive(Debug, Clone, Deserialize)]
pub struct OldCell {
    /// Where it stands in the table.
    #[serde(flatten)]
    pub place: Place,
    /// The largest load, pu.
    #[serde(deserialize_with = "stated")]
    pub load_pu: Option<f64>,
    /// What ends it.
    pub governs: OldGoverns,
    /// The rating with what is in series; `None` where the profile named nothing in series.
    #[serde(default)]
    pub facility: Option<OldFacility>,
}

/// An earlier facility rating.
#[derive(Debug, Clone, Deserialize)]
pub struct OldFacility {
    /// The largest load, pu.
    #[serde(deserialize_with = "stated")]
    pub load_pu: Option<f64>,
}

/// A number or `null`. A key that is not there is refused: nobody may read it as "no rating".
///
/// # Errors
/// What the deserializer refuses.
pub fn stated<'de, D: Deserializer<'de>>(from: D) -> Result<Option<f64>, D::Error> {
    Option::deserialize(from)
}

/// What ended an earlier rating.
#[derive(Debug, Clone, Deserialize)]
pub struct OldGoverns {
    /// What it is.
    pub what: Limiting,
    /// Code of the finding.
    pub code: Option<String>,
}

impl OldRatings {
    /// Reads the JSON that `rate` wrote for the unit of this name.
    ///
    /// # Errors
    /// [`InputError`]: no such JSON, another methodology, another unit, a number out of its range, the same
    /// rating, input or key twice, an input whose text is not that of its hash.
    pub fn read(place: &str, text: &str, unit: &str) -> Result<Self, InputError> {
        let other = |found: &str, wanted: String, key: &str| {
            let found = format!("\"{}\"", shown(found));
            Err(InputError::new(place, found, wanted).at_key(key))
        };
        // A file of another methodology may be built otherwise: say the cause, not the consequence.
        if let Ok(Header { methodology: Some(own) }) = json::own(text)
            && own != METHODOLOGY
        {
            let wanted = format!("\"{METHODOLOGY}\", the method of this program");
            return other(&own, wanted, "methodology");
        }
        let old: Self = json::read(place, text, WHOLE)?;
        if old.unit.name != unit {
            return other(
                &old.unit.name,
                format!("ratings of the same unit, \"{}\"", shown(unit)),
                "unit.name",
            );
        }
        old.check(place)?;
        Ok(old)
    }

    fn check(&self, place: &str) -> Result<(), InputError> {
        let at = |key: String, (found, wanted): (String, String)| {
            InputError::new(place, found, wanted).at_key(key)
        };
        let mut seen = BTreeSet::new();
        for (index, cell) in self.cells.iter().enumerate() {
            cell.check().map_err(|(key, why)| at(format!("cells[{index}].{key}"), why))?;
            if !seen.insert(cell.place.key()) {
                let why = ("the same rating a second time".to_owned(), "each once".to_owned());
                return Err(at(format!("cells[{index}]"), why));
            }
        }
        if self.cells.is_empty() {
            return Err(at("cells".to_owned(), ("no ratings".to_owned(), WHOLE.to_owned())));
        }
        let mut names = BTreeSet::new();
        for (index, part) in self.inputs.iter().enumerate() {
            let key = || format!("inputs[{index}] ({})", shown(&part.name));
            if !names.insert(part.name.as_str()) {
                let why = ("the same name a second time".to_owned(), "each once".to_owned());
                return Err(at(key(), why));
            }
            if !part.is_sound() {
                let why = "the SHA-256 of the text beside it, in hexadecimal".to_owned();
                return Err(at(key(), (shown(&part.sha256), why)));
            }
        }
        Ok(())
    }
}

/// What tells one kind of file from another.
#[derive(Deserialize)]
struct Header {
    methodology: Option<String>,
}

/// What is wrong with a number: its key, what was found and what is accepted.
type Wrong = (&'static str, (String, String));

impl OldCell {
    fn check(&self) -> Result<(), Wrong> {
        let place = &self.place;
        within::<LoadPu>("preload_pu", Some(place.preload_pu))?;
        within::<AmbientC>("ambient_c", Some(place.ambient_c))?;
        within::<ForecastMin>("from_min", place.from_min)?;
        within::<RatedMin>("duration_min", place.duration_min)?;
        within::<LoadPu>("load_pu", self.load_pu)?;
        within::<LoadPu>("facility.load_pu", self.facility.as_ref().and_then(|own| own.load_pu))
    }
}

/// NaN is not within any range.
fn within<R: Range>(key: &'static str, value: Option<f64>) -> Result<(), Wrong> {
    match value {
        Some(value) if !inside::<R>(value) => Err((key, (value.to_string(), accepted::<R>()))),
        _ => Ok(()),
    }
}
