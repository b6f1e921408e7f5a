//! Top-oil and winding hot-spot temperature under a changing load.
//!
//! Three models answer the same question differently: the three-state form of IEC
//! 60076-7 ([`iec`]) and the clause 7 form of IEEE C57.91 ([`ieee`]), which are lags,
//! and the detailed model of the current guide ([`detailed`]). All are computed from
//! one nameplate, and the rules take the hottest.
//!
//! Not modelled: tap position, harmonic losses,
//! solar gain and wind, and stray-flux heating of tank and frame.
//!
//! The kernels below work on raw `f64` whose names end in the unit: `_c` for °C,
//! `_k` for a rise in K, `_min` for minutes, `_pu` for load per unit.

mod ahead;
mod aim;
pub mod altitude;
pub mod cooling;
pub mod detailed;
pub mod ensemble;
mod events;
mod front;
mod group;
mod hoisted;
pub mod iec;
pub mod ieee;
pub mod lags;
pub mod lanes;
mod prepared;
mod root;
pub mod schedule;
pub mod series;
pub mod start;
pub mod steps;
mod stride;
pub mod trajectory;
pub mod watch;

use cooling::Stage;
use lags::Lags;
use lanes::Lanes;
use trajectory::{Plan, Run, simulate};

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

/// Temperatures that carry the memory of either form; continuous across load steps and stage changes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct State<T = f64> {
    /// Top oil, °C.
    pub top_oil_c: T,
    /// First part of the hot-spot gradient, K.
    pub gradient_1_k: T,
    /// Second part of it, K, subtracted; zero in a form that has none.
    pub gradient_2_k: T,
}

/// One of the standard forms of the hot-spot calculation: what it makes of a cooling stage.
pub trait Form: Copy + Sync {
    /// How the form is named in results.
    const NAME: &'static str;

    /// The lags of a stage.
    fn lags(&self, stage: &Stage) -> Lags<f64>;

    /// A state when the ambient at that moment turns out to be another one.
    fn moved(&self, state: &State, from_ambient_c: f64, to_ambient_c: f64) -> State;

    /// The state reached after a long time at constant load and ambient.
    fn steady(&self, stage: &Stage, load_pu: f64, ambient_c: f64) -> State {
        let lags = Lags::of(&[self.lags(stage)]);
        lags.steady(Lanes([load_pu]), Lanes([ambient_c])).only()
    }
}

/// One of the models of the envelope: it knows where a load leads in the end, and takes a state through a plan.
pub trait Model: Copy + Sync {
    /// How the model is named in results.
    const NAME: &'static str;

    /// The state reached after a long time at constant load and ambient.
    fn steady_state(&self, stage: &Stage, load_pu: f64, ambient_c: f64) -> State;

    /// A steady state above oil that is so much cooler that one reading of it is less by so much, K. In the lag forms what is
    /// above the oil stays as it is; by the detailed model it is the more the cooler the oil.
    fn cooled(
        &self,
        _stage: &Stage,
        (_load_pu, _ambient_c): (f64, f64),
        (state, by_k): (&State, f64),
        _reading_c: impl Fn(&State) -> f64,
    ) -> State {
        state.shifted(-by_k)
    }

    /// A state when the ambient at that moment turns out to be another one.
    fn with_ambient(&self, state: &State, from_ambient_c: f64, to_ambient_c: f64) -> State;

    /// Runs it over a plan from a starting state and stage.
    fn run(&self, plan: &Plan<'_>, start: State, stage: usize) -> Run;
}

impl<F: Form> Model for F {
    const NAME: &'static str = F::NAME;

    fn steady_state(&self, stage: &Stage, load_pu: f64, ambient_c: f64) -> State {
        self.steady(stage, load_pu, ambient_c)
    }

    fn with_ambient(&self, state: &State, from_c: f64, to_c: f64) -> State {
        self.moved(state, from_c, to_c)
    }

    fn run(&self, plan: &Plan<'_>, start: State, stage: usize) -> Run {
        simulate(self, plan, start, stage)
    }
}

impl State {
    /// Winding hot spot, °C.
    pub fn hot_spot_c(&self) -> f64 {
        self.top_oil_c + self.gradient_1_k - self.gradient_2_k
    }

    /// A state at least as hot as both, now and later under any load: part by part the hotter. The
    /// second gradient is subtracted, so the smaller one is the hotter.
    #[must_use]
    pub fn hotter_of(&self, other: &Self) -> Self {
        Self {
            top_oil_c: self.top_oil_c.max(other.top_oil_c),
            gradient_1_k: self.gradient_1_k.max(other.gradient_1_k),
            gradient_2_k: self.gradient_2_k.min(other.gradient_2_k),
        }
    }

    /// The same state with the oil hotter (or cooler, if negative) by `rise_k`.
    #[must_use]
    pub fn shifted(&self, rise_k: f64) -> Self {
        Self { top_oil_c: self.top_oil_c + rise_k, ..*self }
    }
}

#[allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]
impl<const N: usize> State<Lanes<N>> {
    #[inline(always)]
    fn hot_spot_c(&self) -> Lanes<N> {
        self.top_oil_c + self.gradient_1_k - self.gradient_2_k
    }

    fn of(states: &[State; N]) -> Self {
        let each = |part: fn(&State) -> f64| Lanes(std::array::from_fn(|i| part(&states[i])));
        Self {
            top_oil_c: each(|state| state.top_oil_c),
            gradient_1_k: each(|state| state.gradient_1_k),
            gradient_2_k: each(|state| state.gradient_2_k),
        }
    }

    fn lane(&self, index: usize) -> State<Lanes<1>> {
        let one = |lanes: Lanes<N>| Lanes([lanes.0[index]]);
        State {
            top_oil_c: one(self.top_oil_c),
            gradient_1_k: one(self.gradient_1_k),
            gradient_2_k: one(self.gradient_2_k),
        }
    }

    fn set_lane(&mut self, index: usize, state: &State<Lanes<1>>) {
        self.top_oil_c.0[index] = state.top_oil_c.0[0];
        self.gradient_1_k.0[index] = state.gradient_1_k.0[0];
        self.gradient_2_k.0[index] = state.gradient_2_k.0[0];
    }
}

impl State<Lanes<1>> {
    fn only(&self) -> State {
        State {
            top_oil_c: self.top_oil_c.0[0],
            gradient_1_k: self.gradient_1_k.0[0],
            gradient_2_k: self.gradient_2_k.0[0],
        }
    }
}
