//! Temperature indicators with contacts: top oil, and top oil with a heater that the current drives.
//!
//! A winding indicator is not a measurement of the winding. Its heater is set once, for one load, and
//! at other loads shows what its exponent and its lag make of the current.

use super::Side;

/// How far an indicator may be off where nothing is stated, K. Common practice, no source.
pub const USUAL_TOLERANCE_K: f64 = 3.0;

/// Exponents of the heater where none is stated; both ends are taken. Common practice, no source.
pub const USUAL_EXPONENTS: [f64; 2] = [1.6, 2.0];

/// Time constants of the heater where none is stated, min; both ends are taken. Those of windings
/// run from 4 to 10 min; none at all is the quick end. Common practice, no source.
pub const USUAL_TIME_CONSTANTS_MIN: [f64; 2] = [0.0, 10.0];

/// Hot spot over average winding gradient: where no gradient is stated the heater may have been set to
/// either. Source: `iec-60076-7-2005` (from memory), H of power transformers.
pub const HOT_SPOT_FACTOR: f64 = 1.3;

/// A winding-temperature indicator.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct WindingIndicator {
    /// Alarm, °C; `None`: no alarm.
    pub alarm_c: Option<f64>,
    /// Trip, °C; `None`: it only gives an alarm.
    pub trip_c: Option<f64>,
    /// Heater rise at rated current, K; `None`: the unit's hot-spot gradient, or that of the average winding.
    pub gradient_k: Option<f64>,
    /// Exponent of the heater; `None`: both of [`USUAL_EXPONENTS`].
    pub exponent: Option<f64>,
    /// Time constant of the heater, min; `None`: both of [`USUAL_TIME_CONSTANTS_MIN`].
    pub time_constant_min: Option<f64>,
    /// How far it may be off, K; `None`: [`USUAL_TOLERANCE_K`].
    pub tolerance_k: Option<f64>,
}

/// A top-oil thermometer with contacts.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct OilIndicator {
    /// Alarm, °C; `None`: no alarm.
    pub alarm_c: Option<f64>,
    /// Trip, °C; `None`: it only gives an alarm.
    pub trip_c: Option<f64>,
    /// How far it may be off, K; `None`: [`USUAL_TOLERANCE_K`].
    pub tolerance_k: Option<f64>,
}

/// A heater: its rise over top oil follows the current with one lag.
///
/// ```text
/// dΔ/dt = (g·K^p − Δ)/τ       indicated = top oil + Δ
/// ```
/// # Source       `common-practice`.
/// # Valid        Load K not below 0; a time constant of 0 follows at once.
/// # Departures   Ambient at the indicator, the lag of its bulb and of the oil pocket are not modelled.
/// # Checked      Not checked against published numbers.
/// # Errors       None.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heater {
    /// Rise g at rated current, K.
    pub gradient_k: f64,
    /// Exponent p.
    pub exponent: f64,
    /// Time constant τ, min.
    pub time_constant_min: f64,
}

impl Heater {
    /// Rise after a long time at a load, K.
    pub fn steady_k(&self, load_pu: f64) -> f64 {
        self.gradient_k * load_pu.powf(self.exponent)
    }

    /// Rise some minutes later at a constant load, K.
    pub fn after_k(&self, rise_k: f64, load_pu: f64, minutes: f64) -> f64 {
        let steady_k = self.steady_k(load_pu);
        if self.time_constant_min > 0.0 {
            steady_k + (rise_k - steady_k) * (-minutes / self.time_constant_min).exp()
        } else {
            steady_k
        }
    }
}

impl WindingIndicator {
    /// Every heater that it may have, on the pessimistic side of a question.
    pub fn heaters(&self, hot_spot_gradient_k: f64, side: Side) -> Vec<Heater> {
        let usual_k = match side {
            Side::Early => hot_spot_gradient_k,
            Side::Late => hot_spot_gradient_k / HOT_SPOT_FACTOR,
        };
        let gradient_k = self.gradient_k.unwrap_or(usual_k);
        let either = |stated: Option<f64>, usual: [f64; 2]| {
            stated.map_or_else(|| usual.to_vec(), |stated| vec![stated])
        };
        let exponents = either(self.exponent, USUAL_EXPONENTS);
        let lags = either(self.time_constant_min, USUAL_TIME_CONSTANTS_MIN);
        let heater = |exponent: f64, time_constant_min: f64| Heater {
            gradient_k,
            exponent,
            time_constant_min,
        };
        let with = |exponent: f64| lags.iter().map(move |lag_min| heater(exponent, *lag_min));
        exponents.iter().copied().flat_map(with).collect()
    }

    /// What its reading may be off on one side, K.
    pub fn off_k(&self, side: Side) -> f64 {
        side.sign() * self.tolerance_k.unwrap_or(USUAL_TOLERANCE_K)
    }

    /// What of it is taken and not stated.
    pub fn assumed(&self) -> Vec<&'static str> {
        let stated = [
            ("gradient_k", self.gradient_k),
            ("exponent", self.exponent),
            ("time_constant_min", self.time_constant_min),
            ("tolerance_k", self.tolerance_k),
        ];
        stated.iter().filter(|(_, figure)| figure.is_none()).map(|(key, _)| *key).collect()
    }
}

impl OilIndicator {
    /// What its reading may be off on one side, K.
    pub fn off_k(&self, side: Side) -> f64 {
        side.sign() * self.tolerance_k.unwrap_or(USUAL_TOLERANCE_K)
    }
}
