//! Identities that stay the same as long as what a rating is for stays the same.
//!
//! Version 5 of RFC 9562: a hash of what identifies the thing. Values, evidence, dates and the tool's
//! version are no part of it, so that tomorrow's limit replaces today's in the receiving model.

use super::limit_set::Seconds;
use crate::rating::{RatedUnit, Winding};
use uuid::Uuid;

/// Name of this tool's identities; never change it, for all of them would change.
const OWN: &str = "urn:x-bubblemargin:operational-limits";

/// Stands between the parts of a name; no text in the document may hold it, so no two names run together.
const BETWEEN: &str = "\u{1f}";

/// Identity of the thing named by these parts.
fn of(parts: &[&str]) -> Uuid {
    let own = Uuid::new_v5(&Uuid::NAMESPACE_URL, OWN.as_bytes());
    Uuid::new_v5(&own, parts.join(BETWEEN).as_bytes())
}

/// The model as a whole; it changes with every value in it, as the header's standard wants it.
pub(super) fn of_model(model: &[u8]) -> Uuid {
    Uuid::new_v5(&of(&["model"]), model)
}

/// A limit type, the same in every document.
pub(super) fn of_type(duration: Seconds) -> Uuid {
    of(&["type", &duration.key()])
}

/// A unit; two of the same name at different sites are two.
pub(super) fn of_unit(unit: &RatedUnit) -> Uuid {
    of(&["unit", &unit.name, site(unit)])
}

/// The end of a winding.
pub(super) fn of_end(unit: &RatedUnit, winding: &Winding) -> Uuid {
    of(&["end", &unit.name, site(unit), &winding.name])
}

/// The terminal of a winding.
pub(super) fn of_terminal(unit: &RatedUnit, winding: &Winding) -> Uuid {
    of(&["terminal", &unit.name, site(unit), &winding.name])
}

/// A limit set, by its conditions: limits, preload, and kind and figure of what stands for the ambient.
pub(super) fn of_set(unit: &RatedUnit, winding: &Winding, conditions: [&str; 4]) -> Uuid {
    let [limits, preload, kind, figure] = conditions;
    of(&["set", &unit.name, site(unit), &winding.name, limits, preload, kind, figure])
}

/// A limit of a set.
pub(super) fn of_limit(set: &Uuid, duration: Seconds) -> Uuid {
    of(&["limit", &set.to_string(), &duration.key()])
}

fn site(unit: &RatedUnit) -> &str {
    unit.site.as_deref().unwrap_or_default()
}
