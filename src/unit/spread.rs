//! How uncertain each quantity of a unit is: plain numbers, in the quantity's own unit and at the rated
//! cooling stage, whether stated or usual.

use crate::loading::forecast_error::ForecastError;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How far a quantity may lie from its value.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Spread {
    /// A standard uncertainty; 0 is exact.
    Std(f64),
    /// Somewhere between two ends, with the value inside or on one of them.
    Interval {
        /// Lower end.
        least: f64,
        /// Upper end; above the lower one.
        most: f64,
    },
}

/// A spread and where it comes from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Uncertain {
    /// How far the quantity may lie from its value.
    pub spread: Spread,
    /// Whether the profile states it; else it is usual.
    pub stated: bool,
}

/// Which of both correlations of the inception temperature a draw takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CorrelationChoice {
    /// The lower of both.
    Lower,
    /// One of both at random; informs, for half of the draws are then above the lower one.
    Either,
}

/// How uncertain each quantity of a unit is. `None` where the profile lacks the value itself.
///
/// A standard uncertainty says nothing of a distribution. Those in per cent of a value are at most a third
/// of it, so that three of them do not reach below zero; whoever draws from it cuts it there, and
/// keeps k21 at 1 and above and the holding factor at 1 and below.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitSpread {
    /// Top-oil rise, K.
    pub top_oil_rise_k: Option<Uncertain>,
    /// Hot-spot rise over top oil, K.
    pub hot_spot_gradient_k: Option<Uncertain>,
    /// Load loss over no-load loss.
    pub loss_ratio: Option<Uncertain>,
    /// Oil exponent x; n departs from its own value by as much.
    pub oil_exponent: Option<Uncertain>,
    /// Winding exponent y; 2m departs from its own value by as much.
    pub winding_exponent: Option<Uncertain>,
    /// Average-oil time constant τo, min.
    pub oil_time_constant_min: Option<Uncertain>,
    /// Winding time constant τw, min.
    pub winding_time_constant_min: Option<Uncertain>,
    /// Constant k21; `None` also where it is 1, an exponential without overshoot, and none is stated.
    pub k21: Option<Uncertain>,
    /// Total dissolved gas, % by volume.
    pub gas_percent: Option<Uncertain>,
    /// Oil above the hot spot, m.
    pub head_above_hot_spot_m: Option<Uncertain>,
    /// Departure of the air pressure from the standard atmosphere, kPa; its value is 0.
    pub weather_kpa: Uncertain,
    /// What aged paper still holds.
    pub holding_factor: Uncertain,
    /// Departure of the inception temperature from the correlation, K; its value is 0.
    pub correlation_k: Uncertain,
    /// Departure of the true top oil from a measured one, K; its value is 0.
    pub measured_top_oil_k: Uncertain,
    /// Which correlation a draw takes.
    pub correlation_choice: CorrelationChoice,
    /// Forecast of the load, % of it.
    pub load_percent: ForecastError,
    /// Forecast of the ambient, K.
    pub ambient_k: ForecastError,
    /// Whether the usual values are the user's and differ from the embedded ones.
    pub own_usual: bool,
}

impl UnitSpread {
    /// Every uncertain quantity as key, unit (empty for a pure number) and spread, always in this order;
    /// not the forecasts, which change with time.
    pub fn all(&self) -> impl Iterator<Item = (&'static str, &'static str, &Uncertain)> {
        let fields = [
            ("top_oil_rise_k", "K", self.top_oil_rise_k.as_ref()),
            ("hot_spot_gradient_k", "K", self.hot_spot_gradient_k.as_ref()),
            ("loss_ratio", "", self.loss_ratio.as_ref()),
            ("oil_exponent", "", self.oil_exponent.as_ref()),
            ("winding_exponent", "", self.winding_exponent.as_ref()),
            ("oil_time_constant_min", "min", self.oil_time_constant_min.as_ref()),
            ("winding_time_constant_min", "min", self.winding_time_constant_min.as_ref()),
            ("k21", "", self.k21.as_ref()),
            ("gas_percent", "% by volume", self.gas_percent.as_ref()),
            ("head_above_hot_spot_m", "m", self.head_above_hot_spot_m.as_ref()),
            ("weather_kpa", "kPa", Some(&self.weather_kpa)),
            ("holding_factor", "", Some(&self.holding_factor)),
            ("correlation_k", "K", Some(&self.correlation_k)),
            ("measured_top_oil_k", "K", Some(&self.measured_top_oil_k)),
        ];
        fields.into_iter().filter_map(|(key, unit, field)| Some((key, unit, field?)))
    }
}
