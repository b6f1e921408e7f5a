//! A fleet as JSON: every figure as it is, unrounded.

use super::json::pretty;
use crate::assessment::Tool;
use crate::fleet::row::Row;
use crate::fleet::whole::{Asked, Counts, Fleet};
use serde::Serialize;

/// The JSON of `fleet`.
#[derive(Serialize)]
struct Shown<'a> {
    tool: Tool,
    asked: &'a Asked,
    inputs_sha256: &'a str,
    notice: &'static str,
    /// Of all units, shown or not.
    counts: Counts,
    units: Vec<Ranked<'a>>,
    without_profile: &'a [String],
}

/// A row and its rank among all units, from 1.
#[derive(Serialize)]
struct Ranked<'a> {
    rank: usize,
    #[serde(flatten)]
    row: &'a Row,
}

/// The whole answer.
///
/// # Errors
/// Only if it cannot be serialised, which plain data always can.
pub fn rendered(fleet: &Fleet, shown: &[usize]) -> Result<String, serde_json::Error> {
    let ranked = |rank: &usize| Some(Ranked { rank: rank + 1, row: fleet.ranked.get(*rank)? });
    pretty(&Shown {
        tool: Tool::this(),
        asked: &fleet.asked,
        inputs_sha256: &fleet.inputs_sha256,
        notice: super::fleet_words::NOTICE,
        counts: fleet.counts(),
        units: shown.iter().filter_map(ranked).collect(),
        without_profile: &fleet.without_profile,
    })
}
