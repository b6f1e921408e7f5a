//! The YAML of a unit profile, as it stands in the file. Ranges are checked here;
//! contradictions between keys in [`super::validate`].

use super::evidence_file::{InsulationFile, PaperConditionFile, SolubilityFile, WitnessFile};
use super::facility_file::{SeriesElementFile, WindingFile};
use super::heat_run::Printed;
use super::heat_run::file::{HeatRunFile, ReportFile};
use super::relays_file::RelayFile;
use super::uncertainty_file::UncertaintyFile;
use super::windings_file::WindingLossesFile;
use super::{FaultGas, Liquid, OilLevel, Paper, SizeClass};
use crate::bubbling::gas::{GASES, Preservation};
use crate::input::number::{FOUND_ACCEPTED, Number, Scalar, accepted, inside};
use crate::input::text::{Date, Line, Name};
use crate::ranges;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;
use serde::de::{self, Deserializer};
use std::borrow::Cow;
use std::collections::BTreeMap;

ranges! {
    /// Year of manufacture.
    Year: "year", 1900.0, 2100.0;
    /// Rated power.
    Mva: "MVA", 0.01, 2000.0;
    /// Load or rating per unit of the rated current.
    LoadPu: "per unit, 1 = rated current", 0.0, 5.0;
    /// Rating of a cooling stage.
    StagePu: "per unit of the unit's rating", 0.1, 1.5;
    /// Average winding rise over ambient.
    WindingRiseK: "K", 30.0, 90.0;
    /// Top-oil rise.
    OilRiseK: "K", 15.0, 100.0;
    /// Hot-spot gradient H·gr.
    GradientK: "K", 5.0, 80.0;
    /// Average winding-to-oil gradient gr.
    AverageGradientK: "K", 2.0, 60.0;
    /// Hot-spot factor H.
    HotSpotFactor: "hot-spot over average winding gradient", 1.0, 3.0;
    /// Load loss over no-load loss.
    LossRatio: "load loss / no-load loss", 0.5, 50.0;
    /// Oil or winding exponent.
    Exponent: "", 0.5, 2.5;
    /// Constant k11.
    FactorK11: "", 0.3, 1.5;
    /// Constants k21 and k22.
    Factor: "", 1.0, 4.0;
    /// Oil time constant.
    OilTau: "min", 10.0, 1000.0;
    /// Winding time constant.
    WindingTau: "min", 0.5, 60.0;
    /// Temperature of oil, winding or switching point.
    OilC: "°C", -50.0, 200.0;
    /// Altitude.
    AltitudeM: "m", -430.0, 6000.0;
    /// Oil head above the hot spot.
    HeadM: "m", 0.0, 15.0;
    /// Gauge pressure of the blanket.
    GaugeKpa: "kPa gauge", -30.0, 70.0;
    /// Mass of oil.
    OilKg: "kg", 10.0, 500_000.0;
    /// Total gas.
    GasTotal: "% by volume", 0.0, 50.0;
    /// One gas.
    GasPpm: "ppm by volume", 0.0, 500_000.0;
    /// Number of a tap.
    TapNumber: "", 0.0, 99.0;
    /// Turns of a tap step, signed.
    TapStepPercent: "% of the rated turns", -10.0, 10.0;
    /// What aged paper still holds.
    Holding: "1 = as new paper", 0.3, 1.0;
}

/// A transformer.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UnitFile {
    /// Short name.
    pub unit: Name,
    /// Where it stands.
    pub site: Option<Line>,
    /// Serial number.
    pub serial: Option<Line>,
    /// Year of manufacture.
    pub made: Option<Number<Year>>,
    /// Last drying of the insulation; evidence from before it does not count.
    pub dried: Option<Date>,
    /// Size class of the loading guides: distribution up to 2.5 MVA, medium up to 100 MVA, large above.
    pub size_class: SizeClass,
    /// Rated power and cooling.
    pub rated: RatedFile,
    /// Winding paper.
    pub paper: Paper,
    /// Insulating liquid.
    pub liquid: Liquid,
    /// Thermal data at the rated cooling.
    pub thermal: Option<ThermalFile>,
    /// Cooling stages, weakest first. Without them a unit with natural cooling has one stage, the rated one; one with
    /// fans or pumps counts as cooled by nature alone, with a typical rating and typical rises, unless the rated
    /// stage is named with `--cooling`.
    pub cooling_stages: Option<Vec<StageFile>>,
    /// Oil: preservation, altitude, head.
    pub oil: Option<OilFile>,
    /// Gas-in-oil report.
    pub gas: Option<GasFile>,
    /// Evidence of moisture in the paper.
    pub moisture: Option<Vec<WitnessFile>>,
    /// Paper and pressboard, for what moves between them and the oil.
    pub insulation: Option<InsulationFile>,
    /// Condition of the paper.
    pub paper_condition: Option<PaperConditionFile>,
    /// What aged paper still holds at the same vapour pressure, 1 = as new; without it it follows from
    /// `paper_condition`, and is taken low where that says nothing.
    pub holding_factor: Option<Number<Holding>>,
    /// Ratings in the current path.
    pub accessories: Option<AccessoriesFile>,
    /// Taps, for the current of the tapped winding; without a tap in service the worst one counts.
    pub taps: Option<TapsFile>,
    /// Windings of the three-phase unit, for currents in A and loads of each winding.
    pub windings: Option<Vec<WindingFile>>,
    /// Load losses of three windings, for loads stated winding by winding.
    pub winding_losses: Option<WindingLossesFile>,
    /// Other elements of the facility that carry the same current; the facility rating is the lowest.
    pub series_elements: Option<Vec<SeriesElementFile>>,
    /// Present condition.
    pub condition: Option<ConditionFile>,
    /// Relays and indicators, for `rate`.
    pub relays: Option<Vec<RelayFile>>,
    /// How uncertain the figures are; what is left out is usual.
    pub uncertainty: Option<UncertaintyFile>,
}

/// Taps of the winding that has them, each for the full power of the unit.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TapsFile {
    /// First tap.
    pub from: Number<TapNumber>,
    /// Last tap.
    pub to: Number<TapNumber>,
    /// Tap of the rated voltage.
    pub rated: Number<TapNumber>,
    /// Turns added by each tap upwards, % of those on the rated tap; negative where they fall.
    pub step_percent: Number<TapStepPercent>,
    /// Tap for whose currents the rises hold; without it the rated one. A heat run is mostly made on the tap with the
    /// greatest current: name it.
    pub rises_at: Option<Number<TapNumber>>,
}

/// Rated power and cooling.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RatedFile {
    /// Rated power, MVA.
    pub mva: Number<Mva>,
    /// Rated cooling, as the name of a cooling stage or of a set of constants (ONAN, ONAF, OF, OD …).
    pub cooling: Name,
    /// Guaranteed average winding rise over ambient at this rating, K, as on the rating plate: 55 or 65, say. Limit
    /// sets that hold for one rise need it.
    pub average_winding_rise_k: Option<Number<WindingRiseK>>,
}

/// Thermal data; what is left out is taken from the set of typical constants, and reported.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ThermalFile {
    /// Set of typical constants, a file name in profiles/cooling.
    pub constants: Option<Name>,
    /// Top-oil rise over ambient at the rating, K.
    pub top_oil_rise_k: Option<Number<OilRiseK>>,
    /// Hot-spot rise over top oil at the rating, K: H × gr, the hot-spot factor times the average winding
    /// gradient. Heat-run reports print gr, which is less: it goes into `average_gradient_k`.
    pub hot_spot_gradient_k: Option<Number<GradientK>>,
    /// Average winding-to-oil gradient gr at the rating, K, as heat-run reports print it. It is multiplied by
    /// `hot_spot_factor` and takes the place of `hot_spot_gradient_k`.
    pub average_gradient_k: Option<Number<AverageGradientK>>,
    /// Hot-spot factor H by which `average_gradient_k` is multiplied, from the maker or the report; without it a
    /// typical one for the size class, which is reported.
    pub hot_spot_factor: Option<Number<HotSpotFactor>>,
    /// Load loss over no-load loss at the rating.
    pub loss_ratio: Option<Number<LossRatio>>,
    /// Heat run that the figures above come from: its date, or a block with what the report prints, from which the
    /// figures follow that are left out above.
    pub heat_run: Option<HeatRunFile>,
    /// Liquid that the heat run was made with. A unit with an ester needs it: many were filled with mineral oil when they
    /// were tested.
    pub heat_run_liquid: Option<Liquid>,
    /// Altitude that the rises above and those of the cooling stages hold for, m: of the heat run, or the one that they are
    /// corrected to. Without it low level (0): above 1000 m, `oil.altitude_m`, the top-oil rise is raised.
    pub rises_at_altitude_m: Option<Number<AltitudeM>>,
    /// Oil exponent x of IEC 60076-7.
    pub x: Option<Number<Exponent>>,
    /// Winding exponent y of IEC 60076-7.
    pub y: Option<Number<Exponent>>,
    /// k11 of IEC 60076-7.
    pub k11: Option<Number<FactorK11>>,
    /// k21 of IEC 60076-7.
    pub k21: Option<Number<Factor>>,
    /// k22 of IEC 60076-7.
    pub k22: Option<Number<Factor>>,
    /// Average-oil time constant τo of IEC 60076-7, min.
    pub oil_time_constant_min: Option<Number<OilTau>>,
    /// Winding time constant τw, min, of both forms.
    pub winding_time_constant_min: Option<Number<WindingTau>>,
    /// Oil exponent n of IEEE C57.91.
    pub n: Option<Number<Exponent>>,
    /// Winding exponent m of IEEE C57.91.
    pub m: Option<Number<Exponent>>,
    /// Top-oil time constant of IEEE C57.91, min; without it k11·τo.
    pub ieee_oil_time_constant_min: Option<Number<OilTau>>,
    /// Whether the IEEE top-oil time constant follows the load (default false).
    pub ieee_correct_time_constant: Option<bool>,
}

/// A cooling stage.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StageFile {
    /// Name, such as ONAN.
    pub name: Name,
    /// Rating of the stage per unit of the unit's rating.
    pub rating_pu: Number<StagePu>,
    /// Set of typical constants, a file name in profiles/cooling; without it the stage's own name.
    pub constants: Option<Name>,
    /// Top-oil rise at the stage's rating, K.
    pub top_oil_rise_k: Option<Number<OilRiseK>>,
    /// Hot-spot rise over top oil at the stage's rating, K: H × gr, not the gr of a heat-run report.
    pub hot_spot_gradient_k: Option<Number<GradientK>>,
    /// Average winding-to-oil gradient gr at the stage's rating, K, as heat-run reports print it; in place of
    /// `hot_spot_gradient_k`.
    pub average_gradient_k: Option<Number<AverageGradientK>>,
    /// Hot-spot factor H of the stage; without it that of the unit, else a typical one, which is reported.
    pub hot_spot_factor: Option<Number<HotSpotFactor>>,
    /// What the heat-run report prints of this stage; figures that are left out above follow from it.
    pub heat_run: Option<Box<ReportFile>>,
    /// Top oil that starts the stage, °C.
    pub start_top_oil_c: Option<Number<OilC>>,
    /// Top oil that stops the stage, °C.
    pub stop_top_oil_c: Option<Number<OilC>>,
    /// Winding indicator that starts the stage, °C.
    pub start_winding_c: Option<Number<OilC>>,
    /// Winding indicator that stops the stage, °C.
    pub stop_winding_c: Option<Number<OilC>>,
    /// Whether nobody stated the stage and it is assumed; no key of a profile.
    #[serde(skip)]
    pub assumed: bool,
    /// What is known of it from heat runs, once it is checked; no key of a profile.
    #[serde(skip)]
    pub printed: Printed,
}

/// The oil and what is above it.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OilFile {
    /// How the oil is kept from the air.
    pub preservation: Option<Preservation>,
    /// Height above sea level, m.
    pub altitude_m: Option<Number<AltitudeM>>,
    /// Height of oil above the hot spot, m; without it none is counted, the low-pressure side.
    pub head_above_hot_spot_m: Option<Number<HeadM>>,
    /// Lowest gauge pressure of the gas blanket, kPa.
    pub blanket_lowest_gauge_kpa: Option<Number<GaugeKpa>>,
    /// Mass of oil, kg.
    pub mass_kg: Option<Number<OilKg>>,
    /// Last treatment of the oil (drying, degassing, reclaiming); for three months after it the oil says
    /// nothing of the paper.
    pub treated: Option<Date>,
    /// Whether the tap changer shares this oil, or its gases reach it: its sparks make acetylene, so that more of it
    /// is typical.
    pub shared_with_tap_changer: Option<bool>,
    /// Solubility of water measured in this oil; without it that of the new liquid.
    pub water_solubility: Option<SolubilityFile>,
}

/// A gas-in-oil report: a total, or single gases with nitrogen and oxygen among them.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GasFile {
    /// Date of the sample; a sample without one counts on the gassy side only, as an old one does.
    pub sampled: Option<Date>,
    /// Total dissolved gas, % by volume.
    pub total_percent: Option<Number<GasTotal>>,
    /// Single gases in ppm by volume, by chemical symbol.
    #[schemars(schema_with = "gases_schema")]
    pub gases: Option<BTreeMap<String, Number<GasPpm>>>,
}

/// The symbols accepted, so that an editor completes them.
fn gases_schema(generator: &mut SchemaGenerator) -> Schema {
    let ppm = generator.subschema_for::<Number<GasPpm>>();
    let symbols: serde_json::Map<String, serde_json::Value> =
        GASES.iter().map(|(symbol, _)| ((*symbol).to_owned(), ppm.clone().to_value())).collect();
    json_schema!({ "type": ["object", "null"], "properties": symbols, "additionalProperties": false })
}

/// Ratings in the current path, per unit of the rated current, or `unknown`. Unknown or missing counts as 1.2 pu: up
/// to it a caution, above it nothing is decided. A figure is the signed statement of whoever signs the profile.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AccessoriesFile {
    /// Bushings.
    pub bushings_pu: Option<RatingFile>,
    /// Tap changer.
    pub tap_changer_pu: Option<RatingFile>,
    /// Cable box, leads and clamps.
    pub cable_box_pu: Option<RatingFile>,
    /// Current transformers.
    pub current_transformers_pu: Option<RatingFile>,
}

/// A rating per unit, or the word `unknown`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RatingFile {
    /// Per unit of the rated current.
    PerUnit(f64),
    /// Not known.
    Unknown,
}

impl<'de> Deserialize<'de> for RatingFile {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let found = Scalar::deserialize(deserializer)?;
        match found {
            Scalar::Number(rating) if inside::<LoadPu>(rating) => Ok(Self::PerUnit(rating)),
            Scalar::Text(ref word) if word == "unknown" => Ok(Self::Unknown),
            Scalar::Number(_) | Scalar::Text(_) | Scalar::Other(_) => {
                let (found, accepted) = (found.in_words(), accepted::<LoadPu>());
                Err(de::Error::custom(format!(
                    "{found}{FOUND_ACCEPTED}{accepted}, or the word unknown"
                )))
            }
        }
    }
}

impl JsonSchema for RatingFile {
    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed("Rating")
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "a rating per unit of the rated current, or the word unknown",
            "anyOf": [ { "type": "number", "minimum": 0.0, "maximum": 5.0 }, { "const": "unknown" } ],
        })
    }
}

/// Present condition; what is left out is reported as not stated.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ConditionFile {
    /// Whether the gas relay's alarm stands.
    pub gas_relay_alarm: Option<bool>,
    /// Fault gas in the oil.
    pub fault_gas: Option<FaultGas>,
    /// Whether there is a history of partial discharge.
    pub partial_discharge: Option<bool>,
    /// Oil level for the temperature.
    pub oil_level: Option<OilLevel>,
}
