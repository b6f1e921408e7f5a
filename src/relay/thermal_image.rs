//! Generic first-order thermal image of the load current.

use super::{Side, USUAL_TOLERANCE_PERCENT};
use crate::thermal::schedule::LoadSteps;

/// What every thermal image here is called: makers' implementations differ.
pub const LABEL: &str = "generic first-order";

/// A thermal image: H, the heat that it reckons, 1 (100 %) at k times the base current for ever.
///
/// ```text
/// dH/dt = ((I/(k·I_B))² − H)/τ
/// t = τ·ln[(I² − Ip²)/(I² − (k·I_B)²·level)]     for I above k·I_B·√level, from long at Ip
/// ```
/// # Source       `iec-60255-149` (from memory).
/// # Valid        Any finite current and times above 0; k, base current and τ above 0.
/// # Departures   The trip level is part of the formula; the standard's form has 1. Ambient
/// and top oil do not enter: relays that take them in are not modelled.
/// # Checked      `tests/published/iec_60255_149/` (34.84 min), and against steps of a minute.
/// # Errors       None; currents that are not finite give what is not finite.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThermalImage {
    /// Factor k.
    pub k: f64,
    /// Base current `I_B`, per unit of the unit's rated current.
    pub base_current_pu: f64,
    /// Time constant τ, min.
    pub time_constant_min: f64,
    /// It gives an alarm at this, % of H; `None`: no alarm.
    pub alarm_percent: Option<f64>,
    /// It trips at this, % of H.
    pub trip_percent: f64,
    /// How far its current may be off, %; `None`: [`USUAL_TOLERANCE_PERCENT`].
    pub tolerance_percent: Option<f64>,
}

impl ThermalImage {
    /// H after a long time at a load.
    pub fn steady(&self, load_pu: f64) -> f64 {
        (load_pu / (self.k * self.base_current_pu)).powi(2)
    }

    /// H some minutes later at a constant load.
    pub fn after(&self, heat: f64, load_pu: f64, minutes: f64) -> f64 {
        let steady = self.steady(load_pu);
        steady + (heat - steady) * (-minutes / self.time_constant_min).exp()
    }

    /// Minutes at a constant load until H reaches a level from below; `None` if it never does.
    pub fn minutes_to(&self, level: f64, heat: f64, load_pu: f64) -> Option<f64> {
        if heat >= level {
            return Some(0.0);
        }
        let steady = self.steady(load_pu);
        (steady > level).then(|| self.time_constant_min * ((steady - heat) / (steady - level)).ln())
    }

    /// Minutes at a constant load until it trips, from long at another one; `None`: never.
    pub fn trip_min(&self, before_pu: f64, load_pu: f64) -> Option<f64> {
        self.minutes_to(self.trip_percent / 100.0, self.steady(before_pu), load_pu)
    }

    /// The first minute from minute 0 on at which H reaches a level under a load in steps, from long
    /// at another load; `None`: never.
    pub fn reached_min(&self, level: f64, before_pu: f64, load: &LoadSteps) -> Option<f64> {
        let mut heat = self.steady(before_pu);
        let later = load.steps().iter().map(|step| step.0).filter(|minute| *minute > 0.0);
        let mut from_min = 0.0;
        for until_min in later.chain([f64::INFINITY]) {
            let load_pu = load.at(from_min);
            let reached = self.minutes_to(level, heat, load_pu).map(|after| from_min + after);
            if let Some(minute) = reached.filter(|minute| *minute <= until_min) {
                return Some(minute);
            }
            heat = self.after(heat, load_pu, until_min - from_min);
            from_min = until_min;
        }
        None
    }

    /// The same with the current off by the tolerance.
    #[must_use]
    pub fn at_the(&self, side: Side) -> Self {
        let off = side.sign() * self.tolerance() / 100.0;
        Self { base_current_pu: self.base_current_pu / (1.0 + off), ..*self }
    }

    /// The greatest load at which it never trips, pu.
    pub fn pickup_pu(&self) -> f64 {
        self.k * self.base_current_pu * (self.trip_percent / 100.0).sqrt()
    }

    fn tolerance(&self) -> f64 {
        self.tolerance_percent.unwrap_or(USUAL_TOLERANCE_PERCENT)
    }
}
