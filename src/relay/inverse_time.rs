//! Overcurrent relays with inverse or definite time.

use super::{Side, USUAL_TOLERANCE_PERCENT};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A standard inverse-time curve.
///
/// ```text
/// t = TMS·k/((I/Is)^α − 1)     t and k in s, for I above Is
/// A standard inverse 0.14, 0.02    B very inverse 13.5, 1    C extremely inverse 80, 2
/// ```
/// # Source       `iec-60255-151` curves A, B and C (from memory).
/// # Valid        Above the setting. Real relays start for certain only somewhat above it (1.1 to
/// 1.3 times), and stop following the curve at some 20 times.
/// # Departures   None of both is modelled; reset is at once where the load falls to the setting.
/// # Checked      `tests/published/iec_60255_151/` (six points).
/// # Errors       `None` at or below the setting, and where the multiple is not a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Curve {
    /// Curve A.
    StandardInverse,
    /// Curve B.
    VeryInverse,
    /// Curve C.
    ExtremelyInverse,
}

impl Curve {
    /// k, s, and α.
    pub fn constants(self) -> (f64, f64) {
        match self {
            Self::StandardInverse => (0.14, 0.02),
            Self::VeryInverse => (13.5, 1.0),
            Self::ExtremelyInverse => (80.0, 2.0),
        }
    }

    /// Seconds until it operates at a multiple of the setting, with a time multiplier of 1.
    pub fn seconds(self, multiple: f64) -> Option<f64> {
        let (k, alpha) = self.constants();
        (multiple > 1.0).then(|| k / (multiple.powf(alpha) - 1.0))
    }
}

/// What an overcurrent relay is there for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Purpose {
    /// Faults.
    Fault,
    /// Overload.
    Overload,
}

/// How long an overcurrent relay waits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Timing {
    /// By a curve, times the time multiplier.
    Inverse(Curve, f64),
    /// Always these seconds.
    Definite(f64),
}

/// A temperature without which a relay does not operate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Supervision {
    /// Top oil at or above this, °C.
    TopOil(f64),
    /// The winding indicator at or above this, °C.
    HotSpot(f64),
}

/// An overcurrent relay.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Overcurrent {
    /// What it is there for.
    pub purpose: Purpose,
    /// How long it waits.
    pub timing: Timing,
    /// Current above which it operates, per unit of the unit's rated current.
    pub setting_pu: f64,
    /// How far current and time may be off, %; `None`: [`USUAL_TOLERANCE_PERCENT`].
    pub tolerance_percent: Option<f64>,
    /// The temperature without which it does not operate.
    pub supervised: Option<Supervision>,
}

impl Overcurrent {
    /// Seconds at a constant load until it operates; `None`: never.
    pub fn operates_s(&self, load_pu: f64) -> Option<f64> {
        self.seconds_per_setting(load_pu).map(|seconds| seconds * self.time_setting())
    }

    /// The same for a time multiplier of 1, or a delay of 1 s.
    pub fn seconds_per_setting(&self, load_pu: f64) -> Option<f64> {
        match self.timing {
            Timing::Inverse(curve, _) => curve.seconds(load_pu / self.setting_pu),
            Timing::Definite(_) => (load_pu > self.setting_pu).then_some(1.0),
        }
    }

    /// The time multiplier, or the delay in s.
    pub fn time_setting(&self) -> f64 {
        match self.timing {
            Timing::Inverse(_, multiplier) => multiplier,
            Timing::Definite(delay_s) => delay_s,
        }
    }

    /// The same with current and time off by the tolerance.
    #[must_use]
    pub fn at_the(&self, side: Side) -> Self {
        let factor = self.time_factor(side);
        let timing = match self.timing {
            Timing::Inverse(curve, multiplier) => Timing::Inverse(curve, multiplier * factor),
            Timing::Definite(delay_s) => Timing::Definite(delay_s * factor),
        };
        Self { timing, setting_pu: self.setting_pu / (1.0 + self.off(side)), ..*self }
    }

    /// What its times are multiplied by on one side of the tolerance.
    pub fn time_factor(&self, side: Side) -> f64 {
        1.0 - self.off(side)
    }

    fn off(&self, side: Side) -> f64 {
        side.sign() * self.tolerance_percent.unwrap_or(USUAL_TOLERANCE_PERCENT) / 100.0
    }

    /// What it is, in words.
    pub fn in_words(&self) -> &'static str {
        match (self.purpose, self.timing) {
            (Purpose::Fault, Timing::Inverse(..)) => "fault overcurrent, inverse time",
            (Purpose::Fault, Timing::Definite(_)) => "fault overcurrent, definite time",
            (Purpose::Overload, Timing::Inverse(..)) => "overload overcurrent, inverse time",
            (Purpose::Overload, Timing::Definite(_)) => "overload overcurrent, definite time",
        }
    }
}
