//! The clause 7 hot-spot form of IEEE C57.91, with its exact interval update.

use super::cooling::Stage;
use super::{Form, Ramp, ultimate_top_oil_rise_k};

/// Constants of the IEEE form for one cooling stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IeeeConstants {
    /// Oil exponent n.
    pub n: f64,
    /// Winding exponent m (the gradient goes with load to the power 2m).
    pub m: f64,
    /// Top-oil time constant τTO at rated load, min.
    pub oil_time_constant_min: f64,
    /// Winding time constant τw, min.
    pub winding_time_constant_min: f64,
    /// Whether τTO follows the load ([`corrected_time_constant_min`]) or stays at its rated value.
    pub correct_time_constant: bool,
}

/// Rises that carry the memory of the IEEE form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IeeeState {
    /// Top-oil rise over ambient ΔΘTO, K.
    pub top_oil_rise_k: f64,
    /// Hot-spot rise over top oil ΔΘH, K.
    pub gradient_k: f64,
}

/// What the IEEE form tends to under one load in one stage.
#[derive(Debug, Clone, Copy)]
pub struct IeeeDrive {
    oil_rise_k: f64,
    gradient_k: f64,
    oil_tau_min: f64,
    gradient_tau_min: f64,
}

/// Exponentials of one interval length.
#[derive(Debug, Clone, Copy)]
pub struct IeeeDecay {
    oil: f64,
    gradient: f64,
}

/// Hot spot after clause 7 of IEEE C57.91.
///
/// ```text
/// ΔΘTO,U = ΔΘTO,R·[(K²R+1)/(R+1)]^n      ΔΘH,U = ΔΘH,R·K^(2m)
/// ΔΘ(t) = (ΔΘU − ΔΘi)·(1 − e^(−t/τ)) + ΔΘi     for top oil (τTO) and gradient (τw)
/// ```
/// The rise responds with a time constant; ambient is added to it at once.
///
/// # Source       `ieee-c57-91-2011` clause 7 (not read in print; exponents other than 0.8 from memory).
/// # Valid        K ≤ 2.5 per unit of the stage rating; the rules refuse to decide above it.
/// # Departures   Without a measured τTO the profile's IEC value k11·τo is used, so that both forms
/// see the same oil; it is shorter than usual values of τTO and so heats sooner.
/// `added_rise_k` is ours: a measured excess over the model, carried forward.
/// # Checked      `tests/second_opinion.rs` against an independent ODE library to 0.01 K; steady state with
/// n = m = 0.8 `tests/published/iec_60354_1991.rs` (distribution column of Table 3).
#[derive(Debug, Clone, Copy, Default)]
pub struct Ieee {
    /// Measured minus computed top oil, carried forward as an added rise, K, never negative.
    pub added_rise_k: f64,
}

impl Form for Ieee {
    type State = IeeeState;
    type Drive = IeeeDrive;
    type Decay = IeeeDecay;

    const NAME: &'static str = "ieee-c57.91";

    fn steady(&self, stage: &Stage, load_pu: f64, _ambient_c: f64) -> IeeeState {
        IeeeState {
            top_oil_rise_k: oil_rise_k(stage, load_pu) + self.added_rise_k,
            gradient_k: gradient_k(stage, load_pu),
        }
    }

    fn drive(&self, stage: &Stage, load_pu: f64, from: &IeeeState) -> IeeeDrive {
        let c = &stage.ieee;
        let oil_rise_k = oil_rise_k(stage, load_pu);
        let oil_tau_min = if c.correct_time_constant {
            let rated_k = stage.nameplate.top_oil_rise_k;
            let initial_k = from.top_oil_rise_k - self.added_rise_k;
            corrected_time_constant_min(
                c.oil_time_constant_min,
                oil_rise_k / rated_k,
                initial_k / rated_k,
                c.n,
            )
        } else {
            c.oil_time_constant_min
        };
        IeeeDrive {
            oil_rise_k: oil_rise_k + self.added_rise_k,
            gradient_k: gradient_k(stage, load_pu),
            oil_tau_min,
            gradient_tau_min: c.winding_time_constant_min,
        }
    }

    fn decay(&self, drive: &IeeeDrive, elapsed_min: f64) -> IeeeDecay {
        IeeeDecay {
            oil: (-elapsed_min / drive.oil_tau_min).exp(),
            gradient: (-elapsed_min / drive.gradient_tau_min).exp(),
        }
    }

    fn advance(
        &self,
        drive: &IeeeDrive,
        decay: &IeeeDecay,
        state: &IeeeState,
        _ambient: Ramp,
        _elapsed_min: f64,
    ) -> IeeeState {
        IeeeState {
            top_oil_rise_k: drive.oil_rise_k
                + (state.top_oil_rise_k - drive.oil_rise_k) * decay.oil,
            gradient_k: drive.gradient_k + (state.gradient_k - drive.gradient_k) * decay.gradient,
        }
    }

    fn top_oil_c(&self, state: &IeeeState, ambient_c: f64) -> f64 {
        ambient_c + state.top_oil_rise_k
    }

    fn hot_spot_c(&self, state: &IeeeState, ambient_c: f64) -> f64 {
        ambient_c + state.top_oil_rise_k + state.gradient_k
    }

    fn top_oil_rate(
        &self,
        drive: &IeeeDrive,
        state: &IeeeState,
        ambient: Ramp,
        _elapsed_min: f64,
    ) -> f64 {
        ambient.per_min + (drive.oil_rise_k - state.top_oil_rise_k) / drive.oil_tau_min
    }

    fn hot_spot_rate(
        &self,
        drive: &IeeeDrive,
        state: &IeeeState,
        ambient: Ramp,
        elapsed_min: f64,
    ) -> f64 {
        self.top_oil_rate(drive, state, ambient, elapsed_min)
            + (drive.gradient_k - state.gradient_k) / drive.gradient_tau_min
    }

    fn hotter_of(&self, one: &IeeeState, other: &IeeeState) -> IeeeState {
        IeeeState {
            top_oil_rise_k: one.top_oil_rise_k.max(other.top_oil_rise_k),
            gradient_k: one.gradient_k.max(other.gradient_k),
        }
    }

    fn shifted(&self, state: &IeeeState, rise_k: f64) -> IeeeState {
        IeeeState { top_oil_rise_k: state.top_oil_rise_k + rise_k, ..*state }
    }
}

fn oil_rise_k(stage: &Stage, load_pu: f64) -> f64 {
    ultimate_top_oil_rise_k(&stage.nameplate, load_pu / stage.rating_pu, stage.ieee.n)
}

fn gradient_k(stage: &Stage, load_pu: f64) -> f64 {
    (load_pu / stage.rating_pu).powf(2.0 * stage.ieee.m) * stage.nameplate.hot_spot_gradient_k
}

/// Top-oil time constant corrected for the load, min.
///
/// ```text
/// τTO = τTO,R·(u − i)/(u^(1/n) − i^(1/n)),  u = ΔΘTO,U/ΔΘTO,R, i = ΔΘTO,i/ΔΘTO,R
/// ```
/// # Source       `ieee-c57-91-2011` clause 7 (from memory).
/// # Valid        u > 0; a negative i counts as 0.
/// # Departures   At u = i the quotient is replaced by its limit n·u^(1 − 1/n). Off unless the profile asks:
/// the tables of the 1981 guide are reproduced only without it.
/// # Checked      Not checked against published numbers.
pub fn corrected_time_constant_min(rated_min: f64, ultimate: f64, initial: f64, n: f64) -> f64 {
    let initial = initial.max(0.0);
    let power = 1.0 / n;
    let difference = ultimate - initial;
    // Below this the quotient loses more digits than the limit is wrong by.
    if difference.abs() < 1.0e-6 {
        return rated_min * n * ultimate.powf(1.0 - power);
    }
    rated_min * difference / (ultimate.powf(power) - initial.powf(power))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_corrected_time_constant_is_continuous_and_falls_with_load() {
        let near = corrected_time_constant_min(150.0, 1.2, 1.2 - 2.0e-6, 0.8);
        let at = corrected_time_constant_min(150.0, 1.2, 1.2, 0.8);
        // The limit and the quotient differ by the half step, about 1e-6.
        assert_relative_eq!(near, at, max_relative = 1.0e-5);
        assert!(corrected_time_constant_min(150.0, 2.0, 1.0, 0.8) < at);
        assert_relative_eq!(
            corrected_time_constant_min(150.0, 1.7, 0.4, 1.0),
            150.0,
            max_relative = 1.0e-12
        );
    }
}
