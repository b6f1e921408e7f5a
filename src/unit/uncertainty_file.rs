//! The YAML of uncertainties, as it stands in the profile. Ranges are checked here; what an interval
//! must contain and how large a standard uncertainty may be in `uncertainty.rs`.

use super::profile::{Exponent, WindingTau};
use super::profile::{Factor, GasTotal, GradientK, HeadM, Holding, LossRatio, OilRiseK, OilTau};
use super::spread::CorrelationChoice;
use crate::input::number::{Number, Range};
use crate::loading::forecast_error::{AmbientStdK, LoadStdPercent};
use crate::ranges;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;
use std::borrow::Cow;

ranges! {
    /// Standard uncertainty of anything; what each quantity accepts is narrower.
    Std: "one standard deviation, in the unit of the quantity", 0.0, 1000.0;
    /// Winding exponent, y of IEC 60076-7 and 2m of IEEE C57.91.
    WindingExponent: "", 0.5, 5.0;
    /// Departure of the air pressure from the standard atmosphere.
    WeatherKpa: "kPa above the standard atmosphere", -10.0, 10.0;
    /// Departure of a thermometer from the true top oil.
    ReadingK: "K above the reading", -15.0, 15.0;
    /// Departure of a thermostat that starts and stops cooling.
    ThermostatK: "K above the temperature it is set to", -15.0, 15.0;
    /// Departure of the hot spot from its models.
    HotSpotModelK: "K above the hottest model", -30.0, 30.0;
    /// Standard uncertainty of the inception correlation.
    CorrelationStdK: "K, one standard deviation", 0.0, 10.0;
}

/// How uncertain each quantity is: a standard uncertainty, or an interval with its value inside, at the
/// rated cooling and in the quantity's own unit. What is left out is usual (profiles/uncertainty).
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UncertaintyFile {
    /// Top-oil rise, K.
    pub top_oil_rise_k: Option<SpreadFile<OilRiseK>>,
    /// Hot-spot rise over top oil, K.
    pub hot_spot_gradient_k: Option<SpreadFile<GradientK>>,
    /// Load loss over no-load loss.
    pub loss_ratio: Option<SpreadFile<LossRatio>>,
    /// Oil exponent x; n departs by as much.
    pub oil_exponent: Option<SpreadFile<Exponent>>,
    /// Winding exponent y; 2m departs by as much.
    pub winding_exponent: Option<SpreadFile<WindingExponent>>,
    /// Average-oil time constant τo, min.
    pub oil_time_constant_min: Option<SpreadFile<OilTau>>,
    /// Winding time constant τw, min.
    pub winding_time_constant_min: Option<SpreadFile<WindingTau>>,
    /// Constant k21.
    pub k21: Option<SpreadFile<Factor>>,
    /// Total dissolved gas, % by volume.
    pub gas_percent: Option<SpreadFile<GasTotal>>,
    /// Oil above the hot spot, m.
    pub head_above_hot_spot_m: Option<SpreadFile<HeadM>>,
    /// Air pressure of the weather, kPa above the standard atmosphere: an interval around 0.
    pub weather_kpa: Option<SpreadFile<WeatherKpa>>,
    /// What aged paper still holds.
    pub holding_factor: Option<SpreadFile<Holding>>,
    /// Correlation of the inception temperature, K.
    pub correlation_k: Option<CorrelationFile>,
    /// Measured top oil, K above the reading: an interval around 0.
    pub measured_top_oil_k: Option<SpreadFile<ReadingK>>,
    /// How far above the temperatures at which they are set the thermostats act that start and stop fans or
    /// pumps, K, of all stages alike: an interval around 0.
    pub thermostat_k: Option<SpreadFile<ThermostatK>>,
    /// How far above the hottest model the hot spot is, K: an interval around 0.
    pub hot_spot_model_k: Option<SpreadFile<HotSpotModelK>>,
    /// Forecast of the load, % of it.
    pub load_percent: Option<ForecastFile<LoadStdPercent>>,
    /// Forecast of the ambient, K.
    pub ambient_k: Option<ForecastFile<AmbientStdK>>,
}

/// `std`, or `least` and `most`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "R: Range"))]
pub struct SpreadFile<R> {
    /// Standard uncertainty; 0 is exact.
    pub std: Option<Number<Std>>,
    /// Lower end of an interval.
    pub least: Option<Number<R>>,
    /// Upper end of an interval.
    pub most: Option<Number<R>>,
}

/// `std`, the same at all times, or `at_start` and `after_a_day`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "R: Range"))]
pub struct ForecastFile<R> {
    /// Standard uncertainty at all times.
    pub std: Option<Number<R>>,
    /// Standard uncertainty at the start.
    pub at_start: Option<Number<R>>,
    /// Standard uncertainty a day ahead and later.
    pub after_a_day: Option<Number<R>>,
}

/// How uncertain the correlation of the inception temperature is.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CorrelationFile {
    /// Standard uncertainty, K; 0 is exact.
    pub std: Number<CorrelationStdK>,
    /// Which of both correlations a draw takes; without it the usual one.
    pub choice: Option<CorrelationChoice>,
}

impl<R: Range> JsonSchema for SpreadFile<R> {
    fn schema_name() -> Cow<'static, str> {
        Cow::Owned(format!("SpreadOf{}", R::NAME))
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let (std, end) = (generator.subschema_for::<Number<Std>>(), number::<R>(generator));
        either(&json_schema!({ "std": std, "least": end, "most": end }), ["least", "most"])
    }
}

impl<R: Range> JsonSchema for ForecastFile<R> {
    fn schema_name() -> Cow<'static, str> {
        Cow::Owned(format!("ForecastErrorOf{}", R::NAME))
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let std = number::<R>(generator);
        let keys = json_schema!({ "std": std, "at_start": std, "after_a_day": std });
        either(&keys, ["at_start", "after_a_day"])
    }
}

fn number<R: Range>(generator: &mut SchemaGenerator) -> Schema {
    generator.subschema_for::<Number<R>>()
}

/// Either `std` or both of the other keys.
fn either(keys: &Schema, both: [&str; 2]) -> Schema {
    json_schema!({
        "type": "object",
        "properties": keys,
        "additionalProperties": false,
        "oneOf": [
            { "required": ["std"], "maxProperties": 1 },
            { "required": both, "maxProperties": 2 },
        ],
    })
}
