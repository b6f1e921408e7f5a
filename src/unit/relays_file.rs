//! The YAML of relays, as it stands in the profile.

use super::profile::GradientK;
use crate::input::number::Number;
use crate::input::text::{Line, Name};
use crate::ranges;
use crate::relay::Indicator;
use crate::relay::inverse_time::Purpose;
use schemars::JsonSchema;
use serde::Deserialize;

ranges! {
    /// Factor k of a thermal image.
    ImageFactor: "", 0.5, 2.0;
    /// Base current of a thermal image.
    BaseCurrentPu: "per unit of the unit's rated current", 0.1, 3.0;
    /// Time constant of a thermal image or of an indicator's heater.
    RelayTau: "min", 0.5, 1000.0;
    /// Level of a thermal image.
    ImagePercent: "% of the heat at k times the base current", 10.0, 200.0;
    /// Current setting.
    RelaySettingPu: "per unit of the unit's rated current", 0.1, 20.0;
    /// Time multiplier.
    TimeMultiplier: "", 0.01, 20.0;
    /// Delay.
    RelayDelayS: "s", 0.0, 86400.0;
    /// Tolerance of a relay.
    RelayTolerance: "%", 0.0, 20.0;
    /// Contact of a temperature indicator.
    ContactC: "°C", 20.0, 200.0;
    /// Exponent of an indicator's heater.
    HeaterExponent: "", 1.0, 2.5;
    /// Tolerance of an indicator.
    IndicatorTolerance: "K", 0.0, 15.0;
}

/// What a relay does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RelayFunction {
    /// Thermal image, generic first order: `k`, `base_current_pu`, `time_constant_min`.
    ThermalImage,
    /// Overcurrent: `purpose`, `curve`, `setting_pu`, and `time_multiplier` or `delay_s`.
    Overcurrent,
    /// Winding indicator: `alarm_c`, `trip_c`.
    WindingTemperature,
    /// Oil thermometer: `alarm_c`, `trip_c`.
    OilTemperature,
    /// Contact that starts fans or pumps: `indicator`, `start_c`, `stop_c`.
    FanStart,
}

impl RelayFunction {
    /// The function as written in profiles.
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::ThermalImage => "thermal-image",
            Self::Overcurrent => "overcurrent",
            Self::WindingTemperature => "winding-temperature",
            Self::OilTemperature => "oil-temperature",
            Self::FanStart => "fan-start",
        }
    }
}

/// Time curve of an overcurrent relay.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CurveFile {
    /// IEC 60255-151 curve A.
    StandardInverse,
    /// IEC 60255-151 curve B.
    VeryInverse,
    /// IEC 60255-151 curve C.
    ExtremelyInverse,
    /// A fixed delay.
    DefiniteTime,
}

/// A relay or indicator; which keys belong to it depends on its function.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RelayFile {
    /// Name, each once.
    pub name: Line,
    /// What it does.
    pub function: RelayFunction,
    /// Overcurrent: what it is there for.
    pub purpose: Option<Purpose>,
    /// Overcurrent: time curve.
    pub curve: Option<CurveFile>,
    /// Overcurrent: current above which it operates, per unit of the rated current.
    pub setting_pu: Option<Number<RelaySettingPu>>,
    /// Overcurrent with an inverse curve: time multiplier.
    pub time_multiplier: Option<Number<TimeMultiplier>>,
    /// Overcurrent with definite time: delay, s.
    pub delay_s: Option<Number<RelayDelayS>>,
    /// Overcurrent: it operates only with top oil at or above this, °C.
    pub supervised_top_oil_c: Option<Number<ContactC>>,
    /// Overcurrent: it operates only with the winding indicator at or above this, °C.
    pub supervised_hot_spot_c: Option<Number<ContactC>>,
    /// Overcurrent and thermal image: how far it may be off, % (default 5).
    pub tolerance_percent: Option<Number<RelayTolerance>>,
    /// Thermal image: factor k.
    pub k: Option<Number<ImageFactor>>,
    /// Thermal image: base current, per unit of the rated current.
    pub base_current_pu: Option<Number<BaseCurrentPu>>,
    /// Thermal image, or heater of a winding indicator: time constant, min.
    pub time_constant_min: Option<Number<RelayTau>>,
    /// Thermal image: alarm, %.
    pub alarm_percent: Option<Number<ImagePercent>>,
    /// Thermal image: trip, % (default 100).
    pub trip_percent: Option<Number<ImagePercent>>,
    /// Indicators: alarm, °C.
    pub alarm_c: Option<Number<ContactC>>,
    /// Indicators: trip, °C; without it the device only gives an alarm.
    pub trip_c: Option<Number<ContactC>>,
    /// Winding indicator: heater rise at rated current, K; without it the unit's hot-spot gradient, or
    /// that of the average winding, whichever is worse.
    pub gradient_k: Option<Number<GradientK>>,
    /// Winding indicator: exponent of the heater; without it 1.6 or 2, whichever is worse.
    pub exponent: Option<Number<HeaterExponent>>,
    /// Indicators: how far they may be off, K (default 3).
    pub tolerance_k: Option<Number<IndicatorTolerance>>,
    /// Fan start: the indicator that carries the contact.
    pub indicator: Option<Indicator>,
    /// Fan start: it starts them at this reading, °C.
    pub start_c: Option<Number<ContactC>>,
    /// Fan start: it stops them at this reading, °C.
    pub stop_c: Option<Number<ContactC>>,
    /// Fan start: name of the cooling stage; without it the first one that starts by itself.
    pub stage: Option<Name>,
}
