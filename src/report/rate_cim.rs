//! Ratings as operational limits of the common information model, in RDF/XML.
//!
//! One `OperationalLimitSet` for each unit, limit set, preload and ambient (or hour of a forecast), one
//! `OperationalLimitType` for each duration, one `CurrentLimit` for each rating, in A of the chosen
//! winding. A set hangs on a `Terminal` of a `PowerTransformer` that stands for the unit until the
//! receiving model puts its own in its place. Sources: `iec-61970-301` and `iec-61970-552`.
//!
//! No published profile is claimed: `normalValue` and `value` stand together, as no single one has them.

mod document;
mod header;
mod identity;
mod limit_set;
mod unit;

use crate::input::{InputError, shown};
use crate::rating::{Ratings, Winding};
use document::Document;
use limit_set::LimitSet;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// Why ratings were not written as operational limits.
#[derive(Debug, thiserror::Error)]
pub enum CimError {
    /// The units or the choice of the winding do not allow it.
    #[error(transparent)]
    Input(#[from] InputError),
    /// A text holds a character that may not stand in the file, which could disguise what it says.
    #[error(
        "{property} of the export: found a control character in \"{found}\", accepted: printable text"
    )]
    Text {
        /// The property that was to hold it.
        property: &'static str,
        /// The text, made harmless.
        found: String,
    },
    /// A preload, ambient, duration or load that is no number, or no duration.
    #[error("{set}: found {found} for the {quantity}, accepted: a number{more}")]
    NotANumber {
        /// The limit set it belongs to.
        set: String,
        /// What it is.
        quantity: &'static str,
        /// What was found.
        found: f64,
        /// What else is wanted of it.
        more: &'static str,
    },
    /// Two ratings for the same conditions and duration.
    #[error("{set}: found two ratings for {duration}, accepted: one")]
    Twice {
        /// The limit set.
        set: String,
        /// The duration, in words.
        duration: String,
    },
    /// More current for a longer time than for a shorter one: one of the two is wrong.
    #[error(
        "{set}: found {longer} for the longer time and {shorter} for the shorter, accepted: ratings \
         that do not rise with the duration"
    )]
    NotMonotone {
        /// The limit set.
        set: String,
        /// The rating for the longer time, in words.
        longer: String,
        /// The rating for the shorter time, in words.
        shorter: String,
    },
    /// The XML could not be written.
    #[error("the export could not be written: {0}")]
    Write(#[from] std::io::Error),
}

/// The ratings as RDF/XML, in A of the chosen winding (or of the only one), created at a time written
/// as ISO 8601.
///
/// Values are rounded down to 0.1 A. Identities follow from what a rating is for and not from its value
/// (`identity.rs`); that of the model as a whole follows from the values.
///
/// # Errors
/// [`CimError`]: no ratings or two for the same unit, no such winding, a text with control characters, a
/// condition that is no number, two ratings for the same conditions, ratings that rise with the duration.
pub fn rdf_xml(
    ratings: &[&Ratings],
    winding: Option<&str>,
    created: &str,
) -> Result<String, CimError> {
    let units = rated_units(ratings, winding)?;
    let mut model = Document::fragment();
    write_model(&mut model, &units)?;
    let model_id = identity::of_model(model.bytes());
    let mut whole = Document::start()?;
    header::write(&mut whole, ratings, &model_id, created)?;
    write_model(&mut whole, &units)?;
    whole.finish()
}

/// A unit with the winding whose current is written, and its limits.
struct Rated<'a> {
    ratings: &'a Ratings,
    winding: &'a Winding,
    sets: Vec<LimitSet<'a>>,
}

fn rated_units<'a>(
    ratings: &[&'a Ratings],
    winding: Option<&str>,
) -> Result<Vec<Rated<'a>>, CimError> {
    if ratings.is_empty() {
        return Err(InputError::new("ratings", "no rated unit", "at least one").into());
    }
    let mut seen = BTreeSet::new();
    let mut units = Vec::new();
    for ratings in ratings {
        let unit = &ratings.unit;
        if !seen.insert((&unit.name, &unit.site)) {
            let found = format!("two units named {}", shown(&unit.name));
            let accepted = "each name once at a site: identities rest on both";
            return Err(InputError::new("ratings", found, accepted).into());
        }
        let winding = chosen(ratings, winding)?;
        units.push(Rated { ratings, winding, sets: limit_set::all(ratings, winding)? });
    }
    Ok(units)
}

/// The winding of that name, or the only one.
fn chosen<'a>(ratings: &'a Ratings, winding: Option<&str>) -> Result<&'a Winding, InputError> {
    let (unit, windings) = (&ratings.unit, &ratings.unit.windings);
    let refuse = |found: &str, accepted: String| {
        Err(InputError::new(&shown(&unit.name), found, accepted).at_key("winding"))
    };
    let names: Vec<String> = windings.iter().map(|winding| shown(&winding.name)).collect();
    let found = match (winding, windings.as_slice()) {
        (_, []) => {
            let accepted = "a profile with the key windings, for limits in A";
            return refuse("no windings in the profile", accepted.to_owned());
        }
        (None, [only]) => only,
        (None, _) => {
            return refuse("no choice of a winding", format!("one of {}", names.join(", ")));
        }
        (Some(name), _) => match windings.iter().find(|winding| winding.name == name) {
            Some(found) => found,
            None => return refuse(&shown(name), format!("one of {}", names.join(", "))),
        },
    };
    if !(found.rated_a > 0.0 && found.rated_a.is_finite()) {
        let rated = format!("{} A rated in {}", found.rated_a, shown(&found.name));
        return refuse(&rated, "a rated current above 0 A".to_owned());
    }
    Ok(found)
}

/// Everything but the header: the types, then each unit with its limits.
fn write_model(document: &mut Document, units: &[Rated<'_>]) -> Result<(), CimError> {
    let sets = units.iter().flat_map(|unit| &unit.sets);
    let types: BTreeMap<limit_set::Seconds, Uuid> = sets
        .flat_map(|set| &set.limits)
        .map(|limit| (limit.duration, identity::of_type(limit.duration)))
        .collect();
    for (duration, id) in &types {
        limit_set::write_type(document, *duration, id)?;
    }
    for unit in units {
        unit::write(document, unit)?;
        for set in &unit.sets {
            set.write(document, unit)?;
        }
    }
    Ok(())
}
