//! A part of a fleet, computed anywhere, and parts put together again.
//!
//! Units belong to parts by their place in the sorted list of names, so that every machine that has the
//! folder agrees on it without asking another. A part says which units there are in all, and of which
//! inputs its rows come; parts of other inputs are refused.

use super::journal::{digest, line, row};
use super::row::Row;
use super::whole::{Asked, Fleet};
use crate::input::{InputError, json, shown};
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::fmt;
use std::str::FromStr;

/// Most parts that a fleet is cut into.
const MOST_PARTS: usize = 100_000;

/// Which part of how many, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct WhichPart {
    /// This one, from 1.
    pub part: usize,
    /// Of so many.
    pub of: usize,
}

impl WhichPart {
    /// All of it in one.
    pub const WHOLE: Self = Self { part: 1, of: 1 };

    /// Whether the unit at a place in the sorted list of names, from 0, belongs to this part.
    pub fn has(self, place: usize) -> bool {
        place % self.of == self.part - 1
    }
}

impl fmt::Display for WhichPart {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.part, self.of)
    }
}

impl FromStr for WhichPart {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let read = || {
            let (part, of) = text.split_once('/')?;
            Some(Self { part: part.trim().parse().ok()?, of: of.trim().parse().ok()? })
        };
        let inside = |which: &Self| (1..=which.of).contains(&which.part) && which.of <= MOST_PARTS;
        read().filter(inside).ok_or_else(|| {
            format!("a part of so many, from 1/1 to {MOST_PARTS}/{MOST_PARTS}, such as 3/16")
        })
    }
}

/// The first line of a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Head {
    /// Kind and version of the format.
    bubblemargin_fleet_part: u32,
    /// Version of the program.
    version: String,
    /// SHA-256 of what the rows of all units depend on: version, flags, profile files, local rules.
    pub base_sha256: String,
    /// Which part it is.
    which: WhichPart,
    /// What was asked.
    pub asked: Asked,
    /// Names of all units of the fleet, sorted.
    units: Vec<String>,
    /// Units that have recent loads and no profile, sorted.
    pub without_profile: Vec<String>,
}

/// The last line of a part.
#[derive(Debug, Serialize, Deserialize)]
struct End {
    whole: bool,
    rows: usize,
    /// Of everything before.
    sha256: String,
}

/// A part as it is read.
#[derive(Debug)]
struct Part {
    place: String,
    head: Head,
    rows: Vec<Row>,
}

impl Head {
    /// The head of a part of this program.
    pub fn new(
        which: WhichPart,
        base_sha256: String,
        asked: Asked,
        units: Vec<String>,
        mut without_profile: Vec<String>,
    ) -> Self {
        without_profile.sort();
        let version = env!("CARGO_PKG_VERSION").to_owned();
        let bubblemargin_fleet_part = 1;
        Self { bubblemargin_fleet_part, version, base_sha256, which, asked, units, without_profile }
    }
}

/// A part as text: a head, a line for each unit by name, an end.
///
/// # Errors
/// Only if a row cannot be serialised, which plain data always can.
pub fn written(head: &Head, mut rows: Vec<Row>) -> Result<String, serde_json::Error> {
    rows.sort_by(|one, other| one.unit.cmp(&other.unit));
    let mut text = serde_json::to_string(head)? + "\n";
    for row in &rows {
        text.push_str(&line(row)?);
    }
    let end = End { whole: true, rows: rows.len(), sha256: digest(text.as_bytes()) };
    text.push_str(&serde_json::to_string(&end)?);
    Ok(text + "\n")
}

/// Puts the parts of a fleet together, each as the name of its file and its text.
///
/// # Errors
/// [`InputError`]: no part file, a torn or changed one, parts of other inputs, a part or a unit twice or
/// missing.
pub fn merged(files: &[(String, String)]) -> Result<Fleet, InputError> {
    let parts: Result<Vec<Part>, InputError> =
        files.iter().map(|(place, text)| read(place, text)).collect();
    let parts = parts?;
    let Some(first) = parts.first() else {
        return Err(InputError::new("fleet merge", "no parts", "the files of all parts"));
    };
    for part in &parts {
        agree(first, part)?;
    }
    every_part_once(first, &parts)?;
    let Head { asked, base_sha256, units, without_profile, .. } = first.head.clone();
    let rows = every_unit_once(&units, parts)?;
    Ok(Fleet::of(asked, &base_sha256, rows, without_profile))
}

fn read(place: &str, text: &str) -> Result<Part, InputError> {
    let refused = |line: usize, found: &str, accepted: &str| {
        InputError::new(place, shown(found), accepted).at_line(line)
    };
    let first = text.lines().next().unwrap_or("");
    let accepted = "a part of a fleet, as written by --format part";
    let head = json::read::<Head>(place, first, accepted).map_err(|error| match error.key {
        Some(_) => error,
        None => refused(1, first, accepted),
    })?;
    let (own, version) = (env!("CARGO_PKG_VERSION"), &head.version);
    if head.bubblemargin_fleet_part != 1 || version != own {
        return Err(refused(1, &format!("version {version}"), &format!("a part of version {own}")));
    }
    if head.which.of == 0 || !(1..=head.which.of).contains(&head.which.part) {
        return Err(refused(1, &format!("part {}", head.which), "a part such as 3/16"));
    }
    let torn = "a whole part: its last line says how many units it holds and what they hash to";
    let lines = text.lines().count();
    let before = text.trim_end_matches('\n').rfind('\n').map_or(0, |at| at + 1);
    let last = &text[before..];
    let Ok(end) = json::own::<End>(last) else {
        return Err(refused(lines, "no last line of a part (a torn file?)", torn));
    };
    let inside = &text[first.len() + 1..before];
    let rows: Vec<Row> = inside.lines().filter_map(row).collect();
    if rows.len() != end.rows || !end.whole || digest(&text.as_bytes()[..before]) != end.sha256 {
        return Err(refused(lines, "other content than was written", torn));
    }
    Ok(Part { place: place.to_owned(), head, rows })
}

/// All parts must come of the same inputs and the same list of units.
fn agree(first: &Part, part: &Part) -> Result<(), InputError> {
    let (one, other) = (&first.head, &part.head);
    let differs = [
        ("inputs", one.base_sha256 != other.base_sha256 || one.asked != other.asked),
        ("units in the folder", one.units != other.units),
        ("units with loads and without a profile", one.without_profile != other.without_profile),
        ("number of parts", one.which.of != other.which.of),
    ];
    match differs.iter().find(|(_, differs)| *differs) {
        None => Ok(()),
        Some((what, _)) => {
            let found = format!("other {what} than in {}", first.place);
            let accepted = "parts of one fleet: same version, flags, profiles, rules and units";
            Err(InputError::new(&part.place, found, accepted))
        }
    }
}

fn every_part_once(first: &Part, parts: &[Part]) -> Result<(), InputError> {
    let mut places: HashMap<usize, &str> = HashMap::new();
    for Part { place, head, .. } in parts {
        if let Some(other) = places.insert(head.which.part, place) {
            let found = format!("part {}, as in {other}", head.which);
            return Err(InputError::new(place, found, "each part once"));
        }
    }
    let of = first.head.which.of;
    let missing: Vec<String> =
        (1..=of).filter(|part| !places.contains_key(part)).map(|part| part.to_string()).collect();
    if missing.is_empty() {
        return Ok(());
    }
    let found = format!("no part {} of {of}", shown(&missing.join(", ")));
    Err(InputError::new("fleet merge", found, "every part"))
}

/// A row for each unit of the list, in the part that it belongs to.
fn every_unit_once(units: &[String], parts: Vec<Part>) -> Result<Vec<Row>, InputError> {
    let place_of: HashMap<&str, usize> =
        units.iter().enumerate().map(|(place, unit)| (unit.as_str(), place)).collect();
    let mut found: Vec<Option<Row>> = vec![None; units.len()];
    for Part { place, head, rows } in parts {
        let which = head.which;
        for row in rows {
            let own = place_of.get(row.unit.as_str()).copied().filter(|own| which.has(*own));
            let refused = |found: String, accepted: &str| InputError::new(&place, found, accepted);
            let Some(own) = own else {
                let unit = format!("the unit {}", shown(&row.unit));
                return Err(refused(unit, &format!("units of part {which}")));
            };
            if found[own].is_some() {
                return Err(refused(format!("the unit {} twice", row.unit), "each unit once"));
            }
            found[own] = Some(row);
        }
    }
    let all: Option<Vec<Row>> = found.iter().cloned().collect();
    all.ok_or_else(|| {
        let missing = units.iter().zip(&found).filter(|(_, row)| row.is_none());
        let names: Vec<&str> = missing.map(|(unit, _)| unit.as_str()).collect();
        let found = format!("no row of {}", shown(&names.join(", ")));
        InputError::new("fleet merge", found, "a row of every unit")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_is_written_as_one_of_so_many() {
        assert_eq!("3/16".parse(), Ok(WhichPart { part: 3, of: 16 }));
        for wrong in ["0/16", "17/16", "3", "3/0", "a/b", "-1/2", "", "1/100001"] {
            assert!(wrong.parse::<WhichPart>().is_err(), "{wrong}");
        }
    }

    #[test]
    fn every_place_belongs_to_one_part() {
        for place in 0..50 {
            let has = |part: &usize| WhichPart { part: *part, of: 7 }.has(place);
            assert_eq!((1..=7).filter(has).count(), 1);
        }
    }
}
