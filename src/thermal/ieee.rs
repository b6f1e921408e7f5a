//! The clause 7 hot-spot form of IEEE C57.91, with its exact interval update.

use super::cooling::Stage;
use super::lags::{Lags, Targets};
use super::lanes::Lanes;
use super::{Form, State};

/// Constants of the IEEE form for one cooling stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IeeeConstants {
    /// Oil exponent n.
    pub n: f64,
    /// What share of n counts below the rating, where the editions print two exponents: the smaller is the hotter there.
    pub below_rating: f64,
    /// Winding exponent m (the gradient goes with load to the power 2m).
    pub m: f64,
    /// Top-oil time constant τTO at rated load, min.
    pub oil_time_constant_min: f64,
    /// Winding time constant τw, min.
    pub winding_time_constant_min: f64,
    /// Whether τTO follows the load ([`corrected_time_constant_min`]) or stays at its rated value.
    pub correct_time_constant: bool,
}

/// Hot spot after clause 7 of IEEE C57.91.
///
/// ```text
/// ΔΘTO,U = ΔΘTO,R·[(K²R+1)/(R+1)]^n      ΔΘH,U = ΔΘH,R·K^(2m)
/// ΔΘ(t) = (ΔΘU − ΔΘi)·(1 − e^(−t/τ)) + ΔΘi     for top oil (τTO) and gradient (τw)
/// ```
/// The rise responds with a time constant; ambient is added to it at once. The alternative clause 7 of the 2025 edition, second-hand,
/// takes the ambient through the same lag and has n = 0.8 for forced oil that is not directed, where the older text has 0.9. Until the
/// printed text has been read the hotter counts: of the exponents under each load, of the ambients minute by minute, each as a run of
/// its own.
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
    /// Whether the oil feels the ambient with τTO, as the alternative clause 7 has it, or at once.
    pub ambient_lags: bool,
}

impl Ieee {
    /// With the ambient through the oil's lag.
    pub const LAGGED: Self = Self { added_rise_k: 0.0, ambient_lags: true };
}

impl Form for Ieee {
    const NAME: &'static str = "ieee-c57.91";

    fn lags(&self, stage: &Stage) -> Lags<f64> {
        let (c, nameplate) = (&stage.ieee, &stage.nameplate);
        Lags {
            rating_pu: stage.rating_pu,
            loss_ratio: nameplate.loss_ratio,
            oil_exponent: c.n,
            below_rating: c.below_rating,
            winding_exponent: 2.0 * c.m,
            oil_rise_k: nameplate.top_oil_rise_k,
            gradient_1_k: nameplate.hot_spot_gradient_k,
            gradient_2_k: 0.0,
            added_rise_k: self.added_rise_k,
            rated_oil_tau_min: c.oil_time_constant_min,
            oil_tau_min: c.oil_time_constant_min,
            gradient_1_tau_min: c.winding_time_constant_min,
            // There is no second part; any time constant keeps it at zero.
            gradient_2_tau_min: c.winding_time_constant_min,
            ambient_lag_min: if self.ambient_lags { c.oil_time_constant_min } else { 0.0 },
            correction_exponent: if c.correct_time_constant { c.n } else { 0.0 },
        }
    }

    /// The rise is what the form remembers, and the ambient is added to it at once, unless the oil feels it with a lag.
    fn moved(&self, state: &State, from_ambient_c: f64, to_ambient_c: f64) -> State {
        if self.ambient_lags { *state } else { state.shifted(to_ambient_c - from_ambient_c) }
    }
}

/// Lets the oil's time constant follow the load, in the lanes where it does.
pub(super) fn correct<const N: usize>(
    lags: &mut Lags<Lanes<N>>,
    targets: &Targets<Lanes<N>>,
    state: &State<Lanes<N>>,
    ambient_c: Lanes<N>,
) {
    for i in (0..N).filter(|i| lags.correction_exponent.0[*i] > 0.0) {
        let (rated_k, added_k) = (lags.oil_rise_k.0[i], lags.added_rise_k.0[i]);
        let rise_k = state.top_oil_c.0[i] - ambient_c.0[i];
        lags.oil_tau_min.0[i] = corrected_time_constant_min(
            lags.rated_oil_tau_min.0[i],
            (targets.oil_rise_k.0[i] - added_k) / rated_k,
            (rise_k - added_k) / rated_k,
            lags.correction_exponent.0[i],
        );
        if lags.ambient_lag_min.0[i] > 0.0 {
            lags.ambient_lag_min.0[i] = lags.oil_tau_min.0[i];
        }
    }
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
