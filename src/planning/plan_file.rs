//! The YAML of a plan, as it stands in the file. Ranges are checked here; contradictions between
//! keys in [`super::read`].

use crate::bubbling::gas::Preservation;
use crate::input::number::Number;
use crate::input::text::{FileName, Line, Name};
use crate::input::time::{Instant, Span};
use crate::ranges;
use crate::unit::evidence_file::PaperPercent;
use crate::unit::profile::{GasTotal, StageFile};
use schemars::JsonSchema;
use serde::Deserialize;

ranges! {
    /// Share of a series.
    Share: "1 = all of the series", 0.0, 10.0;
    /// Constant load beside the series.
    PlusMva: "MVA", 0.0, 10_000.0;
    /// Cost.
    Cost: "in the plan's currency", 0.0, 1.0e12;
}

/// Planned outages.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanFile {
    /// Short name.
    pub plan: Name,
    /// Limit set while an outage runs (default iec-normal-cyclic).
    pub limits: Option<Name>,
    /// Limit set for the next trip (default iec-long-time-emergency).
    pub next_trip_limits: Option<Name>,
    /// Currency of the costs, such as EUR.
    pub currency: Option<Name>,
    /// What there is to carry.
    pub series: Vec<SeriesFile>,
    /// Ambient: a CSV file in the plan's folder or below it, with the columns `time` (RFC 3339), `ambient_c`, and
    /// if wanted `ambient_std_k`. Minute 0 of the plan is its first row.
    pub ambient: FileName,
    /// The units that carry it.
    pub units: Vec<PlannedUnitFile>,
    /// The outages.
    pub outages: Vec<OutageFile>,
    /// What drying and the like would buy, for the unit that is asked about.
    pub options: Option<Vec<OptionFile>>,
}

/// Demand over time.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SeriesFile {
    /// Name, each once.
    pub name: Name,
    /// A CSV file in the plan's folder or below it, with the columns `time` (RFC 3339), `load_mva`, and if wanted
    /// `voltage_pu` and `load_std_percent`. A row holds until the next one.
    pub file: FileName,
}

/// A unit.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlannedUnitFile {
    /// Name, as in its profile; each once.
    pub unit: Name,
    /// Its profile, a file in the plan's folder or below it.
    pub profile: FileName,
    /// What it carries where no outage says otherwise; parts add up, none is no load.
    pub normally: Vec<PartFile>,
}

/// A part of a load: a share of a series, a constant, or both.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PartFile {
    /// Name of a series, with its share.
    pub series: Option<Name>,
    /// Share of the series, 1 = all of it.
    pub share: Option<Number<Share>>,
    /// Constant load, MVA.
    pub plus_mva: Option<Number<PlusMva>>,
}

/// A part of what a unit carries; several for one unit add up.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CarriesFile {
    /// Name of a unit.
    pub unit: Name,
    /// Name of a series, with its share.
    pub series: Option<Name>,
    /// Share of the series, 1 = all of it.
    pub share: Option<Number<Share>>,
    /// Constant load, MVA.
    pub plus_mva: Option<Number<PlusMva>>,
}

/// An outage.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OutageFile {
    /// Name, each once.
    pub name: Line,
    /// Units that are out; empty where what is out lies elsewhere.
    pub out: Vec<Name>,
    /// What every judged unit carries in all while the outage runs. Units that are neither out nor listed carry
    /// their normal load and are not judged.
    pub carries: Vec<CarriesFile>,
    /// Earliest start.
    pub earliest: Instant,
    /// By when it must be over.
    pub latest: Instant,
    /// How long it takes, up to 31 days.
    pub duration: Span,
    /// How long until what is out is back after a trip; required where there is a next trip.
    pub recall: Option<Span>,
    /// What may trip while the outage runs.
    pub next_trip: Option<Vec<NextTripFile>>,
}

/// Something that may trip while an outage runs.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NextTripFile {
    /// Name, each once in its outage.
    pub name: Line,
    /// What every judged unit carries in all from the trip on.
    pub carries: Vec<CarriesFile>,
}

/// Something that may be bought for the unit; it may do several things.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OptionFile {
    /// Name, each once.
    pub name: Line,
    /// Water that the paper is dried to, %.
    pub dries_to_percent: Option<Number<PaperPercent>>,
    /// Total gas that the oil holds in service afterwards, % by volume: oil that breathes takes up air again.
    pub gas_to_percent: Option<Number<GasTotal>>,
    /// How the oil is kept from the air afterwards.
    pub preservation: Option<Preservation>,
    /// A further cooling stage above the strongest of the profile.
    pub cooling_stage: Option<StageFile>,
    /// How long it takes.
    pub takes: Option<Span>,
    /// What it costs, in the plan's currency.
    pub cost: Option<Number<Cost>>,
}
