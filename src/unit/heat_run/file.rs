//! The YAML of a heat run: its date, or a block with what the report prints. Ranges are checked here.

use super::super::Liquid;
use super::super::profile::{Exponent, Mva, OilRiseK, WindingRiseK, WindingTau};
use crate::input::number::{FOUND_ACCEPTED, Number};
use crate::input::shown;
use crate::input::text::Date;
use crate::ranges;
use crate::thermal::detailed::Conductor;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;
use serde::de::value::MapAccessDeserializer;
use serde::de::{self, Deserializer, IntoDeserializer, MapAccess, Visitor};
use serde_yaml::Spanned;
use std::borrow::Cow;
use std::fmt;

ranges! {
    /// Ambient of a heat run.
    RunAmbientC: "°C", -10.0, 50.0;
    /// Average-oil or bottom-oil rise as printed.
    LowerOilRiseK: "K", 5.0, 100.0;
    /// Average winding rise as measured.
    MeasuredWindingRiseK: "K", 10.0, 130.0;
    /// Hot-spot rise over ambient.
    HotSpotRiseK: "K", 20.0, 180.0;
    /// A loss that every unit has.
    LossKw: "kW", 0.001, 20_000.0;
    /// A part of the load loss that may be nothing.
    PartKw: "kW", 0.0, 20_000.0;
    /// Temperature that the load loss is stated at.
    LossesAtC: "°C", 0.0, 130.0;
    /// Mass of a part of the unit.
    PartKg: "kg", 5.0, 1_000_000.0;
    /// Height in the winding.
    HeightPu: "per unit of the height of the winding", 0.0, 1.0;
    /// Eddy loss over I²R loss.
    EddyPu: "eddy loss / I²R loss", 0.0, 5.0;
    /// Winding exponent from two loads; half of it is the exponent m.
    TwoLoadsExponent: "", 1.0, 2.5;
}

/// What stands under `heat_run`.
#[derive(Debug, Clone)]
pub enum HeatRunFile {
    /// The date alone.
    Date(Date),
    /// What the report prints.
    Report(Box<ReportFile>),
}

impl HeatRunFile {
    /// Date of the heat run, if stated.
    pub fn date(&self) -> Option<Date> {
        match self {
            Self::Date(date) => Some(*date),
            Self::Report(report) => report.date.as_ref().map(|date| date.value),
        }
    }

    /// The block, if it is one.
    pub fn report(&self) -> Option<&ReportFile> {
        match self {
            Self::Date(_) => None,
            Self::Report(report) => Some(report),
        }
    }
}

/// What the report of a heat run prints, or the maker states beside it; what is left out is typical, and reported.
/// Rises are K over the ambient of the heat run, corrected to the rating.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReportFile {
    /// Date of the heat run. Without it no heat run counts as stated, and the uncertainties are those of guarantees.
    #[schemars(with = "Option<Date>")]
    pub date: Option<Spanned<Date>>,
    /// Liquid that it was made with, as `heat_run_liquid`.
    #[schemars(with = "Option<Liquid>")]
    pub liquid: Option<Spanned<Liquid>>,
    /// Ambient that the rises are counted from, °C.
    pub ambient_c: Option<Number<RunAmbientC>>,
    /// Top-oil rise, K, as `top_oil_rise_k` beside the block.
    pub top_oil_rise_k: Option<Number<OilRiseK>>,
    /// Average-oil rise, K: midway of top and bottom oil.
    pub average_oil_rise_k: Option<Number<LowerOilRiseK>>,
    /// Bottom-oil rise, K: of the oil that enters the windings.
    pub bottom_oil_rise_k: Option<Number<LowerOilRiseK>>,
    /// Average winding rise by resistance, K: of the winding with the greatest gradient over the average oil.
    pub average_winding_rise_k: Option<Number<MeasuredWindingRiseK>>,
    /// Hot-spot rise over ambient, K, from probes in the winding or from the maker: the hottest place of the winding,
    /// not the average of the hottest one.
    pub hot_spot_rise_k: Option<Number<HotSpotRiseK>>,
    /// Guaranteed average winding rise, K, as `average_winding_rise_k` under `rated`.
    pub guaranteed_winding_rise_k: Option<Number<WindingRiseK>>,
    /// Losses.
    pub losses: Option<LossesFile>,
    /// Masses from the rating plate; they belong to the unit and not to a stage.
    pub masses: Option<MassesFile>,
    /// Material of the windings.
    #[schemars(with = "Option<ConductorFile>")]
    pub conductor: Option<Spanned<ConductorFile>>,
    /// Winding time constant from the cooling curve after shutdown, min, as `winding_time_constant_min` beside the block.
    pub winding_time_constant_min: Option<Number<WindingTau>>,
    /// Height of the hot spot, per unit of the height of the winding; 1 is the top.
    pub hot_spot_height_pu: Option<Number<HeightPu>>,
    /// Eddy loss at the hot spot over the I²R loss there.
    pub hot_spot_eddy_pu: Option<Number<EddyPu>>,
    /// Exponents from a second test at another load.
    pub two_loads: Option<TwoLoadsFile>,
}

/// Losses as the report prints them.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LossesFile {
    /// No-load loss, kW.
    pub no_load_kw: Option<Number<LossKw>>,
    /// Load loss, kW: I²R, winding eddy and other stray loss together.
    pub load_kw: Option<Number<LossKw>>,
    /// I²R loss of the windings, kW.
    pub i2r_kw: Option<Number<LossKw>>,
    /// Eddy loss of the windings, kW.
    pub winding_eddy_kw: Option<Number<PartKw>>,
    /// Stray loss outside of the windings, kW.
    pub stray_kw: Option<Number<PartKw>>,
    /// Temperature that the load loss is stated at, °C.
    pub at_c: Option<Number<LossesAtC>>,
    /// Power that the load loss is stated at, MVA; without it the rated power. A stage other than the rated one needs it.
    pub base_mva: Option<Number<Mva>>,
}

/// Masses from the rating plate.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MassesFile {
    /// Active part: core and windings, kg.
    pub active_kg: Option<Number<PartKg>>,
    /// Tank and fittings, kg.
    pub tank_kg: Option<Number<PartKg>>,
    /// Oil, kg, as `mass_kg` under `oil`.
    pub oil_kg: Option<Number<PartKg>>,
    /// Conductor of the windings, kg; a part of the active part.
    pub winding_kg: Option<Number<PartKg>>,
}

/// Exponents from tests at two loads.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TwoLoadsFile {
    /// Of the top-oil rise with the total losses: x of IEC 60076-7 and n of IEEE C57.91.
    pub oil_exponent: Option<Number<Exponent>>,
    /// Of the winding gradient with the current: y of IEC 60076-7, twice m of IEEE C57.91.
    pub winding_exponent: Option<Number<TwoLoadsExponent>>,
}

/// Material of the windings, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ConductorFile {
    /// Copper.
    Copper,
    /// Aluminium.
    Aluminium,
}

impl From<ConductorFile> for Conductor {
    fn from(file: ConductorFile) -> Self {
        match file {
            ConductorFile::Copper => Self::Copper,
            ConductorFile::Aluminium => Self::Aluminium,
        }
    }
}

impl<'de> Deserialize<'de> for HeatRunFile {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(DateOrReport)
    }
}

const ACCEPTED: &str = "a date as YYYY-MM-DD, or a block with what the report prints";

struct DateOrReport;

impl<'de> Visitor<'de> for DateOrReport {
    type Value = HeatRunFile;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(ACCEPTED)
    }
    fn visit_str<E: de::Error>(self, text: &str) -> Result<HeatRunFile, E> {
        let date = Date::deserialize(IntoDeserializer::<E>::into_deserializer(text));
        date.map(HeatRunFile::Date).map_err(|_not_a_date: E| neither(&shown(text)))
    }
    fn visit_i64<E: de::Error>(self, number: i64) -> Result<HeatRunFile, E> {
        Err(neither(&number.to_string()))
    }
    fn visit_u64<E: de::Error>(self, number: u64) -> Result<HeatRunFile, E> {
        Err(neither(&number.to_string()))
    }
    fn visit_f64<E: de::Error>(self, number: f64) -> Result<HeatRunFile, E> {
        Err(neither(&number.to_string()))
    }
    fn visit_bool<E: de::Error>(self, word: bool) -> Result<HeatRunFile, E> {
        Err(neither(&word.to_string()))
    }
    fn visit_seq<A: de::SeqAccess<'de>>(self, _: A) -> Result<HeatRunFile, A::Error> {
        Err(neither("a list"))
    }
    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<HeatRunFile, A::Error> {
        let report = ReportFile::deserialize(MapAccessDeserializer::new(map))?;
        Ok(HeatRunFile::Report(Box::new(report)))
    }
}

/// What is no date and no block, in the words that [`crate::input::yaml`] takes apart.
fn neither<E: de::Error>(found: &str) -> E {
    E::custom(format!("{found}{FOUND_ACCEPTED}{ACCEPTED}"))
}

impl JsonSchema for HeatRunFile {
    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed("HeatRun")
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let (date, report) =
            (generator.subschema_for::<Date>(), generator.subschema_for::<ReportFile>());
        json_schema!({ "description": ACCEPTED, "anyOf": [date, report] })
    }
}
