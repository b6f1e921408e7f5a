//! What both standard forms are made of: first-order lags.
//!
//! A load sets three targets, for the top oil and for two parts of the gradient, and the state
//! tends to each of them with a time constant of its own. While load and stage stay as they are
//! an interval of any length has an exact update. The forms differ only in their constants
//! ([`super::Form::lags`]), so there is one kernel for both, for a single run and for many draws.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

use super::State;
use super::lanes::Lanes;
use std::array;

/// The lags that one form makes of one stage; rises at the stage's rating.
#[derive(Debug, Clone, Copy)]
pub struct Lags<T> {
    /// Rating of the stage per unit of the transformer's rating.
    pub rating_pu: T,
    /// Load loss over no-load loss at the stage's rating.
    pub loss_ratio: T,
    /// Exponent of the losses, x or n.
    pub oil_exponent: T,
    /// By what it is multiplied below the rating, no more than 1.
    pub below_rating: T,
    /// Exponent of the load, y or 2m.
    pub winding_exponent: T,
    /// Top-oil rise over ambient, K.
    pub oil_rise_k: T,
    /// First part of the hot-spot gradient, K.
    pub gradient_1_k: T,
    /// Second part of it, K, subtracted; zero in a form that has none.
    pub gradient_2_k: T,
    /// A measured excess over the model, carried forward as an added rise, K.
    pub added_rise_k: T,
    /// Time constant of the top oil as rated, min.
    pub rated_oil_tau_min: T,
    /// The one in force: the same, unless it follows the load.
    pub oil_tau_min: T,
    /// Time constant of the first part, min.
    pub gradient_1_tau_min: T,
    /// Time constant of the second part, min.
    pub gradient_2_tau_min: T,
    /// How long the top oil lags a steadily rising ambient, min: its time constant, or zero.
    pub ambient_lag_min: T,
    /// Exponent n by which the oil's time constant follows the load; zero if it does not.
    pub correction_exponent: T,
}

/// What the state tends to under one load.
#[allow(clippy::struct_field_names, reason = "a raw number has its unit in its name")]
#[derive(Debug, Clone, Copy)]
pub(super) struct Targets<T> {
    pub(super) oil_rise_k: T,
    pub(super) gradient_1_k: T,
    pub(super) gradient_2_k: T,
}

/// What an interval of one length does to each of the lags: the share of the state that stays, and
/// what the rated rises and the ambient add to it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pace<T> {
    pub(super) oil_stays: T,
    pub(super) gradient_1_stays: T,
    pub(super) gradient_2_stays: T,
    pub(super) ambient_gain: T,
    pub(super) oil_gain_k: T,
    pub(super) gradient_1_gain_k: T,
    pub(super) gradient_2_gain_k: T,
}

/// The same for many intervals of one length, with the state in units of the oil's gain: what a load
/// adds to the oil is then its factor itself, and the hot spot a sum.
///
/// ```text
/// oil(t)/G       = oil(0)/G·stays + factor + added + start·ambient + slope·ambient_slope
/// gradient(t)/G  = gradient(0)/G·stays + winding factor·share
/// hot spot/G     = oil + first gradient − second gradient
/// ```
#[derive(Debug, Clone, Copy)]
pub(super) struct Stride<T> {
    pub(super) stays: State<T>,
    /// The oil's gain, K, and its reciprocal, 1/K.
    pub(super) unit_k: T,
    pub(super) per_k: T,
    pub(super) share_1: T,
    pub(super) share_2: T,
    pub(super) ambient: T,
    pub(super) ambient_slope: T,
    pub(super) added: T,
}

/// A gain of nothing is taken as this, K, so that it can be divided by: far below a rounding error
/// of any temperature.
const LEAST_GAIN_K: f64 = 1.0e-15;

/// Reciprocal time constants, 1/min.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rates<T> {
    oil: T,
    gradient_1: T,
    gradient_2: T,
}

/// Ambient at the start of an interval, °C, and its change, K/min.
#[derive(Debug, Clone, Copy)]
pub(super) struct Slope<T> {
    pub(super) start_c: T,
    pub(super) per_min: T,
}

impl<const N: usize> Factors<N> {
    pub(super) fn lane(&self, index: usize) -> Factors<1> {
        Factors { oil: Lanes([self.oil.0[index]]), winding: Lanes([self.winding.0[index]]) }
    }
}

/// Hands every field of [`Lags`] to a macro.
macro_rules! with_fields {
    ($macro:ident, $($given:tt)*) => {
        $macro!(
            [rating_pu loss_ratio oil_exponent below_rating winding_exponent oil_rise_k gradient_1_k gradient_2_k
             added_rise_k rated_oil_tau_min oil_tau_min gradient_1_tau_min gradient_2_tau_min
             ambient_lag_min correction_exponent]
            $($given)*
        )
    };
}

macro_rules! side_by_side {
    ([$($field:ident)*] $draws:ident) => {
        Lags { $($field: Lanes(array::from_fn(|i| $draws[i].$field))),* }
    };
}

macro_rules! one_lane {
    ([$($field:ident)*] $lags:ident $index:ident) => {
        Lags { $($field: $lags.$field.0[$index]),* }
    };
}

macro_rules! into_lane {
    ([$($field:ident)*] $lags:ident $index:ident $draw:ident) => {
        $( $lags.$field.0[$index] = $draw.$field; )*
    };
}

impl<const N: usize> Lags<Lanes<N>> {
    /// Takes one draw into each lane.
    pub(super) fn of(draws: &[Lags<f64>; N]) -> Self {
        with_fields!(side_by_side, draws)
    }

    /// The draw in one lane.
    pub(super) fn lane(&self, index: usize) -> Lags<f64> {
        with_fields!(one_lane, self index)
    }

    /// Puts a draw into one lane.
    pub(super) fn set_lane(&mut self, index: usize, draw: &Lags<f64>) {
        with_fields!(into_lane, self index draw);
    }

    /// What both rises are multiplied by at a load per unit of the unit's rating.
    ///
    /// ```text
    /// oil      [(1 + K²·R)/(1 + R)]^x        K load per unit of the stage rating
    /// winding  K^y
    /// ```
    /// # Source       `iec-60076-7-2005` and `ieee-c57-91-2011` clause 7 share this form (second-hand).
    /// # Valid        K ≤ 2.5; the rules refuse to decide above it.
    /// # Departures   None.
    /// # Checked      `tests/published/iec_60354_1991.rs` (74 values of Tables 3 and 17).
    #[inline(always)]
    pub(super) fn factors(&self, load_pu: Lanes<N>) -> Factors<N> {
        self.factors_of(self.logarithms(load_pu))
    }

    /// The part of [`Self::factors`] that does not depend on the exponents.
    #[inline(always)]
    pub(super) fn logarithms(&self, load_pu: Lanes<N>) -> Factors<N> {
        let one = Lanes::all(1.0);
        // Reciprocals, because one draw needs them once for many loads.
        let load = load_pu * (one / self.rating_pu);
        let loss = (one + load * load * self.loss_ratio) * (one / (one + self.loss_ratio));
        Factors { oil: self.of_losses(loss), winding: load.ln() }
    }

    /// The logarithm of the losses over those at the rating; nearer to that where a smaller exponent counts below it.
    #[inline(always)]
    pub(super) fn of_losses(&self, loss: Lanes<N>) -> Lanes<N> {
        let logarithm = loss.ln();
        logarithm.greater(logarithm * self.below_rating)
    }

    /// The rest of [`Self::factors`].
    #[inline(always)]
    pub(super) fn factors_of(&self, logarithms: Factors<N>) -> Factors<N> {
        Factors {
            oil: (self.oil_exponent * logarithms.oil).exp(),
            winding: (self.winding_exponent * logarithms.winding).exp(),
        }
    }

    /// What the state tends to.
    #[inline(always)]
    pub(super) fn targets(&self, factors: Factors<N>) -> Targets<Lanes<N>> {
        Targets {
            oil_rise_k: factors.oil * self.oil_rise_k + self.added_rise_k,
            gradient_1_k: factors.winding * self.gradient_1_k,
            gradient_2_k: factors.winding * self.gradient_2_k,
        }
    }

    /// What an interval of this length does.
    #[inline(always)]
    pub(super) fn pace(&self, elapsed_min: f64) -> Pace<Lanes<N>> {
        let stays = |tau_min: Lanes<N>| (Lanes::all(-elapsed_min) / tau_min).exp();
        let gone = |stays: Lanes<N>| Lanes::all(1.0) - stays;
        let oil_stays = stays(self.oil_tau_min);
        let gradient_1_stays = stays(self.gradient_1_tau_min);
        let gradient_2_stays = stays(self.gradient_2_tau_min);
        Pace {
            oil_stays,
            gradient_1_stays,
            gradient_2_stays,
            ambient_gain: gone(oil_stays),
            oil_gain_k: self.oil_rise_k * gone(oil_stays),
            gradient_1_gain_k: self.gradient_1_k * gone(gradient_1_stays),
            gradient_2_gain_k: self.gradient_2_k * gone(gradient_2_stays),
        }
    }

    /// What many intervals of this length do.
    #[inline(always)]
    pub(super) fn stride(&self, elapsed_min: f64) -> Stride<Lanes<N>> {
        let pace = self.pace(elapsed_min);
        let unit_k =
            pace.oil_gain_k.map(|gain| if gain.abs() < LEAST_GAIN_K { LEAST_GAIN_K } else { gain });
        let per_k = Lanes::all(1.0) / unit_k;
        let ambient = pace.ambient_gain * per_k;
        Stride {
            stays: State {
                top_oil_c: pace.oil_stays,
                gradient_1_k: pace.gradient_1_stays,
                gradient_2_k: pace.gradient_2_stays,
            },
            unit_k,
            per_k,
            share_1: pace.gradient_1_gain_k * per_k,
            share_2: pace.gradient_2_gain_k * per_k,
            ambient,
            ambient_slope: Lanes::all(elapsed_min) * per_k - self.ambient_lag_min * ambient,
            added: self.added_rise_k * ambient,
        }
    }

    /// Reciprocal time constants.
    pub(super) fn rates(&self) -> Rates<Lanes<N>> {
        let one = Lanes::all(1.0);
        Rates {
            oil: one / self.oil_tau_min,
            gradient_1: one / self.gradient_1_tau_min,
            gradient_2: one / self.gradient_2_tau_min,
        }
    }

    /// Rate of change of the top oil, K/min; `ambient` at the moment of `state`.
    pub(super) fn oil_rate(
        &self,
        rates: &Rates<Lanes<N>>,
        targets: &Targets<Lanes<N>>,
        state: &State<Lanes<N>>,
        ambient: Slope<Lanes<N>>,
    ) -> Lanes<N> {
        let heading_c =
            ambient.start_c + (targets.oil_rise_k - ambient.per_min * self.ambient_lag_min);
        (heading_c - state.top_oil_c) * rates.oil + ambient.per_min
    }

    /// Rate of change of the hot spot, K/min; `ambient` at the moment of `state`.
    pub(super) fn hot_spot_rate(
        &self,
        rates: &Rates<Lanes<N>>,
        targets: &Targets<Lanes<N>>,
        state: &State<Lanes<N>>,
        ambient: Slope<Lanes<N>>,
    ) -> Lanes<N> {
        self.oil_rate(rates, targets, state, ambient)
            + (targets.gradient_1_k - state.gradient_1_k) * rates.gradient_1
            - (targets.gradient_2_k - state.gradient_2_k) * rates.gradient_2
    }

    /// The state reached after a long time at constant load and ambient.
    #[inline(always)]
    pub(super) fn steady(&self, load_pu: Lanes<N>, ambient_c: Lanes<N>) -> State<Lanes<N>> {
        let targets = self.targets(self.factors(load_pu));
        State {
            top_oil_c: ambient_c + targets.oil_rise_k,
            gradient_1_k: targets.gradient_1_k,
            gradient_2_k: targets.gradient_2_k,
        }
    }

    /// The state at the end of an interval in which the ambient is a straight line, exactly.
    ///
    /// ```text
    /// x(t) = target(t) + (x(0) − target(0))·e^(−t/τ)      target(0) = ambient − slope·lag + rise
    ///      = x(0)·stays + target(0)·(1 − stays) + slope·t
    /// ```
    pub(super) fn advance(
        &self,
        factors: &Factors<N>,
        pace: &Pace<Lanes<N>>,
        state: &State<Lanes<N>>,
        ambient: Slope<Lanes<N>>,
        elapsed_min: f64,
    ) -> State<Lanes<N>> {
        let oil = (pace.oil_stays, pace.oil_gain_k, pace.ambient_gain);
        State {
            top_oil_c: self.oil_after(factors, oil, state, ambient, elapsed_min),
            gradient_1_k: factors.winding * pace.gradient_1_gain_k
                + state.gradient_1_k * pace.gradient_1_stays,
            gradient_2_k: factors.winding * pace.gradient_2_gain_k
                + state.gradient_2_k * pace.gradient_2_stays,
        }
    }

    /// The top oil alone at the end of such an interval, °C.
    pub(super) fn advance_oil(
        &self,
        factors: &Factors<N>,
        state: &State<Lanes<N>>,
        ambient: Slope<Lanes<N>>,
        elapsed_min: f64,
    ) -> Lanes<N> {
        let stays = (Lanes::all(-elapsed_min) / self.oil_tau_min).exp();
        let gone = Lanes::all(1.0) - stays;
        self.oil_after(factors, (stays, self.oil_rise_k * gone, gone), state, ambient, elapsed_min)
    }

    /// The top oil after some minutes as `a + b·t + c·e^(−t/τ)`: a in °C, b in K/min, c in K.
    pub(super) fn oil_course(
        &self,
        factors: &Factors<N>,
        state: &State<Lanes<N>>,
        ambient: Slope<Lanes<N>>,
    ) -> [Lanes<N>; 3] {
        let base_c = (ambient.start_c + self.added_rise_k) - ambient.per_min * self.ambient_lag_min;
        let tends_c = factors.oil * self.oil_rise_k + base_c;
        [tends_c, ambient.per_min, state.top_oil_c - tends_c]
    }

    fn oil_after(
        &self,
        factors: &Factors<N>,
        (stays, gain_k, ambient_gain): (Lanes<N>, Lanes<N>, Lanes<N>),
        state: &State<Lanes<N>>,
        ambient: Slope<Lanes<N>>,
        elapsed_min: f64,
    ) -> Lanes<N> {
        let base_c = (ambient.start_c + self.added_rise_k) - ambient.per_min * self.ambient_lag_min;
        let follows_c = base_c * ambient_gain + ambient.per_min * Lanes::all(elapsed_min);
        (factors.oil * gain_k + follows_c) + state.top_oil_c * stays
    }
}

/// Factors of the rises, or their logarithms.
#[derive(Debug, Clone, Copy)]
pub(super) struct Factors<const N: usize> {
    pub(super) oil: Lanes<N>,
    pub(super) winding: Lanes<N>,
}
