//! The YAML of usual uncertainties, as it stands in profiles/uncertainty.

use super::profile::GasTotal;
use super::spread::CorrelationChoice;
use super::uncertainty_file::{CorrelationStdK, Std};
use crate::input::number::Number;
use crate::input::text::{Line, Name};
use schemars::JsonSchema;
use serde::Deserialize;

/// Usual uncertainties.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UsualFile {
    /// Name of the set, the file's own: usual.
    pub uncertainty: Name,
    /// What they are for.
    pub applies_to: Line,
    /// Top-oil rise, K or % of the value.
    pub top_oil_rise_k: ByHeatRun,
    /// Hot-spot rise over top oil, K or % of the value.
    pub hot_spot_gradient_k: ByHeatRun,
    /// Load loss over no-load loss, 1 or % of the value.
    pub loss_ratio: ByHeatRun,
    /// Oil exponents x and n, 1.
    pub oil_exponent: UsualStd,
    /// Winding exponents y and 2m, 1.
    pub winding_exponent: UsualStd,
    /// Average-oil time constant, min or % of the value.
    pub oil_time_constant_min: UsualStd,
    /// Winding time constant, min or % of the value.
    pub winding_time_constant_min: UsualStd,
    /// Constant k21, 1; at most half of what it exceeds 1 by is taken.
    pub k21: UsualStd,
    /// Rating of a natural cooling stage that is assumed, 1.
    pub natural_rating_pu: UsualStd,
    /// Dissolved gas as measured, % by volume or % of the value.
    pub gas_percent: UsualStd,
    /// Dissolved gas where it is assumed, % by volume.
    pub gas_percent_assumed: UsualGas,
    /// Oil above the hot spot, m.
    pub head_above_hot_spot_m: UsualStd,
    /// Air pressure of the weather, kPa.
    pub weather_kpa: UsualStd,
    /// What aged paper still holds, 1.
    pub holding_factor: UsualStd,
    /// Correlation of the inception temperature, K.
    pub correlation_k: UsualCorrelation,
    /// Measured top oil, K.
    pub measured_top_oil_k: UsualStd,
    /// Thermostats that start and stop the cooling, K.
    pub thermostat_k: UsualStd,
    /// Models of the hot spot, K; sets from before there was one say nothing of it.
    pub hot_spot_model_k: Option<UsualStd>,
    /// Forecast of the load, % of the load.
    pub load_percent: UsualForecast,
    /// Forecast of the ambient, K.
    pub ambient_k: UsualForecast,
}

/// A standard uncertainty.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UsualStd {
    /// Standard uncertainty.
    pub std: Number<Std>,
    /// Its unit.
    pub unit: Line,
    /// Id in profiles/sources.yaml.
    pub source: Name,
    /// Why as much.
    pub reason: Line,
}

/// Standard uncertainties of what a heat run measures.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ByHeatRun {
    /// Standard uncertainty where the value is from a heat run.
    pub heat_run: Number<Std>,
    /// Standard uncertainty where it is typical, or stated without a heat run.
    pub typical: Number<Std>,
    /// Their unit.
    pub unit: Line,
    /// Id in profiles/sources.yaml.
    pub source: Name,
    /// Why as much.
    pub reason: Line,
}

/// Intervals of gas by the way the oil is kept from the air.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UsualGas {
    /// A conservator that breathes air.
    pub conservator: Ends,
    /// Sealed, or a conservator with a membrane.
    pub sealed: Ends,
    /// Their unit.
    pub unit: Line,
    /// Id in profiles/sources.yaml.
    pub source: Name,
    /// Why as much.
    pub reason: Line,
}

/// Ends of an interval.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ends {
    /// Lower end.
    pub least: Number<GasTotal>,
    /// Upper end.
    pub most: Number<GasTotal>,
}

/// The correlation of the inception temperature.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UsualCorrelation {
    /// Standard uncertainty, K.
    pub std: Number<CorrelationStdK>,
    /// Which correlation a draw takes.
    pub choice: CorrelationChoice,
    /// Its unit.
    pub unit: Line,
    /// Id in profiles/sources.yaml.
    pub source: Name,
    /// Why as much.
    pub reason: Line,
}

/// A forecast error that grows for a day.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UsualForecast {
    /// Standard uncertainty at the start.
    pub at_start: Number<Std>,
    /// Standard uncertainty a day ahead and later.
    pub after_a_day: Number<Std>,
    /// Their unit.
    pub unit: Line,
    /// Id in profiles/sources.yaml.
    pub source: Name,
    /// Why as much.
    pub reason: Line,
}
