//! The header of the model: what made it, from what, and what was taken for granted.

use super::CimError;
use super::document::Document;
use crate::rating::Ratings;
use std::collections::BTreeSet;
use uuid::Uuid;

/// What the model is written to: our own subset, for it is not one of the published profiles.
const PROFILE: &str = "urn:x-bubblemargin:operational-limits:1";

/// Who answers for the identities in it.
const AUTHORITY: &str = "urn:x-bubblemargin";

/// Version of the model's form.
const VERSION: &str = "1";

/// The header.
pub(super) fn write(
    document: &mut Document,
    ratings: &[&Ratings],
    model: &Uuid,
    created: &str,
) -> Result<(), CimError> {
    let about = format!("urn:uuid:{model}");
    let description = description(ratings);
    document.element("md:FullModel", ("rdf:about", &about), |document| {
        document.text("md:Model.created", created)?;
        document.text("md:Model.description", &description)?;
        document.text("md:Model.version", VERSION)?;
        document.text("md:Model.profile", PROFILE)?;
        document.text("md:Model.modelingAuthoritySet", AUTHORITY)
    })
}

/// Notice, tool, method, date and inputs of each unit, assumptions.
fn description(ratings: &[&Ratings]) -> String {
    let mut parts: Vec<String> = Vec::new();
    for notice in distinct(ratings, |ratings| ratings.notice.to_owned()) {
        parts.push(sentence(&notice));
    }
    let made = |ratings: &Ratings| {
        let (tool, methodology) = (&ratings.tool, ratings.methodology);
        let (name, version, day) = (tool.name, tool.version, &ratings.date);
        format!("{name} {version}, methodology {methodology}, evidence judged for {day}")
    };
    for made in distinct(ratings, made) {
        parts.push(format!("Computed by {made}."));
    }
    for ratings in ratings {
        parts.push(format!("{}: inputs SHA-256 {}.", ratings.unit.name, ratings.inputs_sha256));
    }
    parts.extend(assumptions(ratings));
    parts.join(" ")
}

/// Every assumption once, with the units it was made for unless it was for all.
fn assumptions(ratings: &[&Ratings]) -> Vec<String> {
    let mut seen = BTreeSet::new();
    let mut lines = Vec::new();
    for assumption in ratings.iter().flat_map(|ratings| &ratings.assumptions) {
        if !seen.insert(assumption) {
            continue;
        }
        let made = ratings.iter().filter(|ratings| ratings.assumptions.contains(assumption));
        let units: Vec<&str> = made.map(|ratings| ratings.unit.name.as_str()).collect();
        let whose = if units.len() == ratings.len() {
            String::new()
        } else {
            format!(" ({})", units.join(", "))
        };
        lines.push(format!("Assumption{whose}: {}", sentence(assumption)));
    }
    lines
}

/// The text with a full stop.
fn sentence(text: &str) -> String {
    if text.ends_with('.') { text.to_owned() } else { format!("{text}.") }
}

/// What the units have, each once, in their order.
fn distinct(ratings: &[&Ratings], of: impl Fn(&Ratings) -> String) -> Vec<String> {
    let mut all = Vec::new();
    for ratings in ratings {
        let one = of(ratings);
        if !all.contains(&one) {
            all.push(one);
        }
    }
    all
}
