//! Losses of three windings, as they stand in the profile.

use super::profile::Mva;
use crate::input::number::Number;
use crate::input::text::Name;
use crate::ranges;
use schemars::JsonSchema;
use serde::Deserialize;

ranges! {
    /// Load loss.
    LoadLossKw: "kW", 0.01, 20_000.0;
}

/// Load losses of a unit with three windings, such as one with a tertiary or with two secondaries, for loads stated
/// winding by winding. All of them at one reference temperature, that of the heat run.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WindingLossesFile {
    /// Load loss of each pair of windings: three of them.
    pub pairs: Vec<PairLossFile>,
    /// Load loss that the top-oil rise holds for, kW, as in the heat run. Without it the least load loss with which
    /// the rated power can pass through the unit.
    pub rises_at_kw: Option<Number<LoadLossKw>>,
}

/// The load loss of a pair of windings, with nothing in the third one.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PairLossFile {
    /// Name of one winding.
    pub from: Name,
    /// Name of the other.
    pub to: Name,
    /// Load loss, kW.
    pub kw: Number<LoadLossKw>,
    /// Power for which it is stated, MVA.
    pub mva: Number<Mva>,
}
