//! Windings with their rated currents, and the other elements of the facility that carry the same current.

use super::facility_file::{AmpereFile, SeriesElementFile, ShortFile, WindingFile};
use super::profile::UnitFile;
use super::validate::{Refuse, value};
use crate::input::InputError;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the transformer is called among the elements of its facility; no element may take the name.
pub const TRANSFORMER: &str = "transformer";

/// A winding of a three-phase unit.
#[derive(Debug, Clone, PartialEq)]
pub struct RatedWinding {
    /// Its name.
    pub name: String,
    /// Rated voltage, kV, line to line.
    pub kv: f64,
    /// Rated current, A, which is 1 pu in this winding.
    pub rated_a: f64,
}

/// Kinds of series elements.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ElementKind {
    /// Overhead line.
    Line,
    /// Cable.
    Cable,
    /// Circuit breaker.
    Breaker,
    /// Isolator.
    Isolator,
    /// Current transformer.
    CurrentTransformer,
    /// Bushing.
    Bushing,
    /// Busbar.
    Busbar,
    /// Anything else.
    Other,
}

/// What an element carries for a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShortLimit {
    /// How long, min.
    pub minutes: f64,
    /// Current, A.
    pub a: f64,
}

/// An element in series with the transformer.
#[derive(Debug, Clone, PartialEq)]
pub struct SeriesElement {
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: ElementKind,
    /// Name of the winding whose current it carries.
    pub winding: String,
    /// Current that it carries for any time, A; `None`: not known.
    pub continuous_a: Option<f64>,
    /// Currents that it carries for a time, the shortest first.
    pub short: Vec<ShortLimit>,
}

impl SeriesElement {
    /// Limit for a load of this duration (min; `None`: continuous), A; `None`: not known.
    ///
    /// What is entered for an hour holds for half an hour as well: the shortest entered duration that
    /// is not below the load's counts, and above them all the continuous limit.
    pub fn limit_a(&self, duration_min: Option<f64>) -> Option<f64> {
        match duration_min {
            Some(minutes) if minutes.is_nan() => None,
            Some(minutes) => {
                let covering = self.short.iter().find(|short| short.minutes >= minutes);
                covering.map(|short| short.a).or(self.continuous_a)
            }
            None => self.continuous_a,
        }
    }
}

/// The windings; none where the profile states none.
pub(super) fn windings(
    refuse: &Refuse<'_>,
    file: &UnitFile,
) -> Result<Vec<RatedWinding>, InputError> {
    let key = "windings";
    let Some(files) = file.windings.as_deref() else { return Ok(Vec::new()) };
    if files.is_empty() {
        return Err(refuse.whole(key, "an empty list", "at least one winding, or no such key"));
    }
    let unit_mva = file.rated.mva.value;
    for (index, winding) in files.iter().enumerate() {
        let same = |other: &WindingFile| other.name.0.eq_ignore_ascii_case(&winding.name.0);
        if files[..index].iter().any(same) {
            let found = format!("two windings named {}", winding.name.0);
            return Err(refuse.at(winding.name.1, key, found, "each name once"));
        }
        // More current than flows would let the export state more amperes than the rating is worth.
        if let Some(mva) = winding.mva.as_ref().filter(|mva| mva.value > unit_mva) {
            let found = format!("{} MVA for {}", mva.value, winding.name.0);
            let accepted = format!("at most the unit's {unit_mva} MVA");
            return Err(refuse.at(mva.line, "windings.mva", found, accepted));
        }
    }
    let rated = |winding: &WindingFile| {
        let mva = value(winding.mva.as_ref()).unwrap_or(unit_mva);
        let rated_a = mva * 1000.0 / (3.0_f64.sqrt() * winding.kv.value);
        RatedWinding { name: winding.name.0.clone(), kv: winding.kv.value, rated_a }
    };
    Ok(files.iter().map(rated).collect())
}

/// The series elements; none where the profile states none.
pub(super) fn series_elements(
    refuse: &Refuse<'_>,
    file: &UnitFile,
    windings: &[RatedWinding],
) -> Result<Vec<SeriesElement>, InputError> {
    let key = "series_elements";
    let Some(files) = file.series_elements.as_deref() else { return Ok(Vec::new()) };
    if files.is_empty() {
        return Err(refuse.whole(key, "an empty list", "at least one element, or no such key"));
    }
    for (index, element) in files.iter().enumerate() {
        let (name, line) = (&element.name.0, element.name.1);
        let same = |other: &SeriesElementFile| other.name.0.to_lowercase() == name.to_lowercase();
        if files[..index].iter().any(same) {
            let found = format!("two elements named {name}");
            return Err(refuse.at(line, key, found, "each name once"));
        }
        if name.trim().to_lowercase() == TRANSFORMER {
            let accepted = "another name: this one stands for the unit itself";
            return Err(refuse.at(line, "series_elements.name", name, accepted));
        }
    }
    files.iter().map(|element| series_element(refuse, element, windings)).collect()
}

fn series_element(
    refuse: &Refuse<'_>,
    file: &SeriesElementFile,
    windings: &[RatedWinding],
) -> Result<SeriesElement, InputError> {
    if !windings.iter().any(|winding| winding.name == file.winding.0) {
        let names: Vec<&str> = windings.iter().map(|winding| winding.name.as_str()).collect();
        let accepted = if names.is_empty() {
            "the name of a winding, and the key windings that states them".to_owned()
        } else {
            format!("the name of a winding: {}", names.join(", "))
        };
        let key = "series_elements.winding";
        return Err(refuse.at(file.winding.1, key, &file.winding.0, accepted));
    }
    let continuous_a = match file.continuous_a {
        AmpereFile::Amperes(a) => Some(a),
        AmpereFile::Unknown => None,
    };
    Ok(SeriesElement {
        name: file.name.0.clone(),
        kind: file.kind,
        winding: file.winding.0.clone(),
        continuous_a,
        short: short_limits(refuse, file, continuous_a)?,
    })
}

/// The limits for a time, the shortest first; a longer time never has the greater current.
fn short_limits(
    refuse: &Refuse<'_>,
    file: &SeriesElementFile,
    continuous_a: Option<f64>,
) -> Result<Vec<ShortLimit>, InputError> {
    let key = "series_elements.for";
    let Some(files) = file.short.as_deref() else { return Ok(Vec::new()) };
    if files.is_empty() {
        let accepted = "at least one entry, or no such key";
        return Err(refuse.at(file.name.1, key, "an empty list", accepted));
    }
    let mut sorted: Vec<&ShortFile> = files.iter().collect();
    sorted.sort_by(|one, other| one.minutes.value.total_cmp(&other.minutes.value));
    for pair in sorted.windows(2) {
        let [shorter, longer] = pair else { continue };
        let (minutes, line) = (longer.minutes.value, longer.minutes.line);
        if minutes <= shorter.minutes.value {
            let found = format!("two entries for {minutes} min");
            return Err(refuse.at(line, key, found, "each duration once"));
        }
        if longer.a.value > shorter.a.value {
            let less = format!("{} A for {} min", shorter.a.value, shorter.minutes.value);
            let found = format!("{less} and {} A for {minutes} min", longer.a.value);
            let accepted = "no less current for a shorter time than for a longer one";
            return Err(refuse.at(shorter.a.line, key, found, accepted));
        }
    }
    if let (Some(last), Some(continuous)) = (sorted.last(), continuous_a)
        && last.a.value < continuous
    {
        let (minutes, a) = (last.minutes.value, last.a.value);
        let found = format!("{a} A for {minutes} min and {continuous} A for any time");
        let accepted = "no less current for a time than the continuous one";
        return Err(refuse.at(last.a.line, key, found, accepted));
    }
    let limit = |file: &&ShortFile| ShortLimit { minutes: file.minutes.value, a: file.a.value };
    Ok(sorted.iter().map(limit).collect())
}
