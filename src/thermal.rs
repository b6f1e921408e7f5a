//! Top-oil and winding hot-spot temperature under a changing load.
//!
//! Two standard forms answer the same question differently: the three-state form
//! of IEC 60076-7 ([`iec`]) and the clause 7 form of IEEE C57.91 ([`ieee`]). Both
//! are computed from one nameplate, and the rules take the hotter.
//!
//! Not modelled: oil viscosity at low temperature, tap position, harmonic losses,
//! solar gain and wind, stray-flux heating of tank and frame, and any ambient
//! correction for altitude.
//!
//! The kernels below work on raw `f64` whose names end in the unit: `_c` for °C,
//! `_k` for a rise in K, `_min` for minutes, `_pu` for load per unit.

pub mod cooling;
pub mod iec;
pub mod ieee;
pub mod schedule;
pub mod start;
pub mod trajectory;

use cooling::Stage;

/// Rated thermal data of one cooling stage, all at that stage's own rating.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nameplate {
    /// Top-oil rise over ambient, K.
    pub top_oil_rise_k: f64,
    /// Hot-spot rise over top oil (hot-spot factor × average gradient), K.
    pub hot_spot_gradient_k: f64,
    /// Load loss divided by no-load loss at the stage's rating.
    pub loss_ratio: f64,
}

/// Ambient temperature inside one interval: a straight line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ramp {
    /// Ambient at the start of the interval, °C.
    pub start_c: f64,
    /// Its change per minute, K/min.
    pub per_min: f64,
}

impl Ramp {
    /// Ambient that stays as it is.
    pub fn level(ambient_c: f64) -> Self {
        Self { start_c: ambient_c, per_min: 0.0 }
    }

    /// Ambient after `elapsed_min`, °C.
    pub fn at(self, elapsed_min: f64) -> f64 {
        self.start_c + self.per_min * elapsed_min
    }
}

/// One of the standard forms of the hot-spot calculation.
///
/// Each form is linear with constant coefficients while load and stage stay
/// as they are, so that an interval of any length has an exact update. Work that
/// does not depend on the interval is done once per load ([`Self::drive`]) and
/// once per interval length ([`Self::decay`]).
pub trait Form {
    /// The state that is continuous across load steps and stage changes.
    type State: Copy;
    /// Ultimate values and time constants under one load in one stage.
    type Drive: Copy;
    /// Exponentials of one interval length.
    type Decay: Copy;

    /// How the form is named in results.
    const NAME: &'static str;

    /// The state reached after a long time at constant load and ambient.
    fn steady(&self, stage: &Stage, load_pu: f64, ambient_c: f64) -> Self::State;
    /// What the state tends to under this load in this stage.
    fn drive(&self, stage: &Stage, load_pu: f64, from: &Self::State) -> Self::Drive;
    /// The factors for an interval of `elapsed_min`.
    fn decay(&self, drive: &Self::Drive, elapsed_min: f64) -> Self::Decay;
    /// The state at the end of an interval of `elapsed_min` with a linear ambient.
    fn advance(
        &self,
        drive: &Self::Drive,
        decay: &Self::Decay,
        state: &Self::State,
        ambient: Ramp,
        elapsed_min: f64,
    ) -> Self::State;
    /// Top-oil temperature, °C.
    fn top_oil_c(&self, state: &Self::State, ambient_c: f64) -> f64;
    /// Winding hot-spot temperature, °C.
    fn hot_spot_c(&self, state: &Self::State, ambient_c: f64) -> f64;
    /// Rate of change of the top oil, K/min.
    fn top_oil_rate(
        &self,
        drive: &Self::Drive,
        state: &Self::State,
        ambient: Ramp,
        elapsed_min: f64,
    ) -> f64;
    /// Rate of change of the hot spot, K/min.
    fn hot_spot_rate(
        &self,
        drive: &Self::Drive,
        state: &Self::State,
        ambient: Ramp,
        elapsed_min: f64,
    ) -> f64;
    /// A state at least as hot as both, now and later under any load: part by part the hotter.
    fn hotter_of(&self, one: &Self::State, other: &Self::State) -> Self::State;
    /// The same state with the oil hotter (or cooler, if negative) by `rise_k`.
    fn shifted(&self, state: &Self::State, rise_k: f64) -> Self::State;
}

/// Ultimate top-oil rise over ambient at a load, K.
///
/// ```text
/// Δθo = [(1 + K²·R)/(1 + R)]^x · Δθor          K load per unit of the stage rating
/// ```
/// # Source       `iec-60076-7-2005` and `ieee-c57-91-2011` clause 7 share this form (second-hand).
/// # Valid        K ≤ 2.5; the rules refuse to decide above it.
/// # Departures   None.
/// # Checked      `tests/published/iec_60354_1991.rs` (74 values of Tables 3 and 17).
pub fn ultimate_top_oil_rise_k(nameplate: &Nameplate, stage_load: f64, exponent: f64) -> f64 {
    let r = nameplate.loss_ratio;
    let loss = (1.0 + stage_load * stage_load * r) / (1.0 + r);
    loss.powf(exponent) * nameplate.top_oil_rise_k
}
