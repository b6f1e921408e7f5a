//! The three-state hot-spot form of IEC 60076-7, with its exact interval update.

use super::cooling::Stage;
use super::{Form, Ramp, ultimate_top_oil_rise_k};

/// Constants of the IEC form for one cooling stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IecConstants {
    /// Oil exponent x.
    pub x: f64,
    /// Winding exponent y.
    pub y: f64,
    /// Oil constant k11.
    pub k11: f64,
    /// Winding constant k21.
    pub k21: f64,
    /// Winding constant k22.
    pub k22: f64,
    /// Average-oil time constant τo, min.
    pub oil_time_constant_min: f64,
    /// Winding time constant τw, min.
    pub winding_time_constant_min: f64,
}

/// Temperatures that carry the memory of the IEC form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IecState {
    /// Top oil θo, °C.
    pub top_oil_c: f64,
    /// Fast part of the hot-spot gradient Δθh1, K.
    pub gradient_1_k: f64,
    /// Slow part of the hot-spot gradient Δθh2, K, subtracted.
    pub gradient_2_k: f64,
}

/// What the IEC form tends to under one load in one stage.
#[derive(Debug, Clone, Copy)]
pub struct IecDrive {
    oil_rise_k: f64,
    gradient_1_k: f64,
    gradient_2_k: f64,
    oil_tau_min: f64,
    gradient_1_tau_min: f64,
    gradient_2_tau_min: f64,
}

/// Exponentials of one interval length.
#[derive(Debug, Clone, Copy)]
pub struct IecDecay {
    oil: f64,
    gradient_1: f64,
    gradient_2: f64,
}

/// Hot spot after IEC 60076-7.
///
/// ```text
/// top oil      k11·τo · dθo/dt = [(1+K²R)/(1+R)]^x · Δθor − (θo − θa)
/// gradient 1   k22·τw · dΔθh1/dt = k21·K^y·Δθhr − Δθh1
/// gradient 2   (τo/k22) · dΔθh2/dt = (k21−1)·K^y·Δθhr − Δθh2
/// hot spot     θh = θo + Δθh1 − Δθh2
/// ```
/// # Source       `iec-60076-7-2005`, differential form (not read in print; recomputed).
/// # Valid        K ≤ 2.5 per unit of the stage rating; the rules refuse to decide above it.
/// # Departures   The three linear equations are solved exactly over each interval instead of by
/// differences. With the standard's own example the two differ by up to 3.7 K in hot
/// spot during a jump to 1.7 pu; [`difference_step`] keeps the printed form.
/// `added_rise_k` is ours: a measured excess over the model, carried forward.
/// # Checked      `tests/published/iec_60354_1991.rs`, `tests/published/iec_60076_7.rs`, and
/// `tests/second_opinion.rs` against an independent ODE library to 0.01 K.
#[derive(Debug, Clone, Copy, Default)]
pub struct Iec {
    /// Measured minus computed top oil, carried forward as an added rise, K, never negative.
    pub added_rise_k: f64,
}

impl Form for Iec {
    type State = IecState;
    type Drive = IecDrive;
    type Decay = IecDecay;

    const NAME: &'static str = "iec-60076-7";

    fn steady(&self, stage: &Stage, load_pu: f64, ambient_c: f64) -> IecState {
        let ultimate = ultimate(stage, load_pu, self.added_rise_k);
        IecState {
            top_oil_c: ambient_c + ultimate.oil_rise_k,
            gradient_1_k: ultimate.gradient_1_k,
            gradient_2_k: ultimate.gradient_2_k,
        }
    }

    fn drive(&self, stage: &Stage, load_pu: f64, _from: &IecState) -> IecDrive {
        ultimate(stage, load_pu, self.added_rise_k)
    }

    fn decay(&self, drive: &IecDrive, elapsed_min: f64) -> IecDecay {
        IecDecay {
            oil: (-elapsed_min / drive.oil_tau_min).exp(),
            gradient_1: (-elapsed_min / drive.gradient_1_tau_min).exp(),
            gradient_2: (-elapsed_min / drive.gradient_2_tau_min).exp(),
        }
    }

    fn advance(
        &self,
        drive: &IecDrive,
        decay: &IecDecay,
        state: &IecState,
        ambient: Ramp,
        elapsed_min: f64,
    ) -> IecState {
        // Exact response to a linear ambient: the oil lags the ramp by one time constant.
        let lag_k = ambient.per_min * drive.oil_tau_min;
        let start_target_c = ambient.start_c + drive.oil_rise_k - lag_k;
        let end_target_c = start_target_c + ambient.per_min * elapsed_min;
        let toward = |target: f64, from: f64, decay: f64| target + (from - target) * decay;
        IecState {
            top_oil_c: end_target_c + (state.top_oil_c - start_target_c) * decay.oil,
            gradient_1_k: toward(drive.gradient_1_k, state.gradient_1_k, decay.gradient_1),
            gradient_2_k: toward(drive.gradient_2_k, state.gradient_2_k, decay.gradient_2),
        }
    }

    fn top_oil_c(&self, state: &IecState, _ambient_c: f64) -> f64 {
        state.top_oil_c
    }

    fn hot_spot_c(&self, state: &IecState, _ambient_c: f64) -> f64 {
        state.top_oil_c + state.gradient_1_k - state.gradient_2_k
    }

    fn top_oil_rate(
        &self,
        drive: &IecDrive,
        state: &IecState,
        ambient: Ramp,
        elapsed_min: f64,
    ) -> f64 {
        (drive.oil_rise_k + ambient.at(elapsed_min) - state.top_oil_c) / drive.oil_tau_min
    }

    fn hot_spot_rate(
        &self,
        drive: &IecDrive,
        state: &IecState,
        ambient: Ramp,
        elapsed_min: f64,
    ) -> f64 {
        self.top_oil_rate(drive, state, ambient, elapsed_min)
            + (drive.gradient_1_k - state.gradient_1_k) / drive.gradient_1_tau_min
            - (drive.gradient_2_k - state.gradient_2_k) / drive.gradient_2_tau_min
    }

    /// The second gradient is subtracted, so the smaller one is the hotter.
    fn hotter_of(&self, one: &IecState, other: &IecState) -> IecState {
        IecState {
            top_oil_c: one.top_oil_c.max(other.top_oil_c),
            gradient_1_k: one.gradient_1_k.max(other.gradient_1_k),
            gradient_2_k: one.gradient_2_k.min(other.gradient_2_k),
        }
    }

    fn shifted(&self, state: &IecState, rise_k: f64) -> IecState {
        IecState { top_oil_c: state.top_oil_c + rise_k, ..*state }
    }
}

/// Ultimate rises and time constants under one load.
fn ultimate(stage: &Stage, load_pu: f64, added_rise_k: f64) -> IecDrive {
    let c = &stage.iec;
    let load = load_pu / stage.rating_pu;
    let gradient_k = load.powf(c.y) * stage.nameplate.hot_spot_gradient_k;
    IecDrive {
        oil_rise_k: ultimate_top_oil_rise_k(&stage.nameplate, load, c.x) + added_rise_k,
        gradient_1_k: c.k21 * gradient_k,
        gradient_2_k: (c.k21 - 1.0) * gradient_k,
        oil_tau_min: c.k11 * c.oil_time_constant_min,
        gradient_1_tau_min: c.k22 * c.winding_time_constant_min,
        gradient_2_tau_min: c.oil_time_constant_min / c.k22,
    }
}

/// One step of the explicit difference form printed in the standard.
///
/// Only here to reproduce the standard's example; [`Iec`] is used for every answer.
///
/// # Source       `iec-60076-7-2005` difference equations (second-hand).
/// # Valid        `step_min` ≤ τw/2, the standard's own condition; not checked here.
/// # Departures   None.
/// # Checked      `tests/published/iec_60076_7.rs` (first state; and convergence to the exact form).
pub fn difference_step(
    stage: &Stage,
    state: &IecState,
    load_pu: f64,
    ambient_c: f64,
    step_min: f64,
) -> IecState {
    let drive = ultimate(stage, load_pu, 0.0);
    let oil_error_k = drive.oil_rise_k - (state.top_oil_c - ambient_c);
    IecState {
        top_oil_c: state.top_oil_c + step_min / drive.oil_tau_min * oil_error_k,
        gradient_1_k: state.gradient_1_k
            + step_min / drive.gradient_1_tau_min * (drive.gradient_1_k - state.gradient_1_k),
        gradient_2_k: state.gradient_2_k
            + step_min / drive.gradient_2_tau_min * (drive.gradient_2_k - state.gradient_2_k),
    }
}
