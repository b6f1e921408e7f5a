//! Many draws of one case through the same kernel as a single run.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

pub use super::hoisted::Common;
pub use super::lags::Lags;
pub use super::lanes::Lanes;
pub use super::steps::{Doubt, Steps};
pub use super::watch::{Moment, OnlyEnd, OnlyHottest, Unwatched, Watch};

use super::cooling::Cooling;
use super::front::{Begin, Front};
use super::group::Group;
use super::hoisted::Hoisted;
use super::prepared::{Imposed, Prepared};
use super::start::Start;
use super::{Form, State};
use pulp::{Simd, WithSimd};
use rayon::prelude::*;
use std::array;

/// One draw as it begins.
#[derive(Debug, Clone, Copy)]
pub struct Member<'a> {
    /// The lags of each stage.
    pub lags: &'a [Lags<f64>],
    /// State and stage.
    pub start: Start,
    /// Error of the load, in standard uncertainties.
    pub load_error: f64,
    /// Error of the ambient, in standard uncertainties.
    pub ambient_error: f64,
    /// How far above the temperatures at which they are set the thermostats of all stages act, K.
    pub thermostat_k: f64,
}

/// What came of one draw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outcome<T> {
    /// Highest hot spot, °C.
    pub hot_spot_c: f64,
    /// Highest top oil, °C.
    pub top_oil_c: f64,
    /// State and stage at the last breakpoint.
    pub end: Start,
    /// What the watch made of it.
    pub seen: T,
}

/// What is imposed on all draws of an ensemble.
#[derive(Debug)]
pub struct Ensemble<'a> {
    steps: &'a Steps,
    cooling: &'a Cooling,
    prepared: Prepared,
}

/// Draws side by side: enough to spread what is done once for all of them, few enough for their
/// states to stay in the fastest memory.
pub const WIDTH: usize = 64;

/// Draws are shared out among the processors in lots of this many; the digits do not depend on it.
const LOT: usize = WIDTH;

impl<'a> Ensemble<'a> {
    /// Prepares an ensemble of one form; `common` says what its draws have in common with the
    /// stages of `cooling`.
    pub fn new<F: Form>(form: &F, steps: &'a Steps, cooling: &'a Cooling, common: Common) -> Self {
        let stages = cooling.stages.iter();
        let hoisted = stages.map(|stage| Hoisted::of(common, form.lags(stage))).collect();
        Self { steps, cooling, prepared: Prepared::new(steps, cooling, hoisted) }
    }

    /// Runs every draw, in the order given and with the same digits on any number of processors.
    ///
    /// `watch` makes what watches the draws of a range, `seen` takes from it what it saw in a lane.
    pub fn run<'m, W: Watch<WIDTH>, T: Send>(
        &self,
        count: usize,
        member: impl Fn(usize) -> Member<'m> + Sync,
        watch: impl Fn(&[usize; WIDTH]) -> W + Sync,
        seen: impl Fn(&W, usize) -> T + Sync,
    ) -> Vec<Outcome<T>> {
        let lots: Vec<usize> = (0..count).step_by(LOT).collect();
        let of_lot = |first: &usize| {
            let until = (first + LOT).min(count);
            pulp::Arch::new().dispatch(Lot {
                ensemble: self,
                first: *first,
                until,
                member: &member,
                watch: &watch,
                seen: &seen,
            })
        };
        let parts: Vec<_> = lots.par_iter().map(of_lot).collect();
        let mut outcomes = Vec::with_capacity(count);
        for part in parts {
            outcomes.extend(part);
        }
        outcomes
    }

    fn imposed(&self) -> Imposed<'_> {
        Imposed { steps: self.steps, cooling: self.cooling, prepared: &self.prepared }
    }
}

/// Some of the draws.
struct Lot<'a, M, V, S> {
    ensemble: &'a Ensemble<'a>,
    first: usize,
    until: usize,
    member: &'a M,
    watch: &'a V,
    seen: &'a S,
}

impl<'m, M, V, S, W, T> WithSimd for Lot<'_, M, V, S>
where
    M: Fn(usize) -> Member<'m>,
    V: Fn(&[usize; WIDTH]) -> W,
    W: Watch<WIDTH>,
    S: Fn(&W, usize) -> T,
{
    type Output = Vec<Outcome<T>>;

    #[inline(always)]
    fn with_simd<R: Simd>(self, registers: R) -> Vec<Outcome<T>> {
        let mut outcomes = Vec::with_capacity(self.until - self.first);
        let (mut reused, mut group) = (None::<Front<'_, WIDTH>>, Group::new::<W>());
        for first in (self.first..self.until).step_by(WIDTH) {
            // Lanes left over repeat the last draw.
            let draws: [usize; WIDTH] = array::from_fn(|i| (first + i).min(self.until - 1));
            let members = draws.map(self.member);
            let front = match &mut reused {
                Some(front) => {
                    front.begin.fill(&members);
                    front.begin();
                    front
                }
                None => reused.insert(Front::new(self.ensemble.imposed(), Begin::of(&members))),
            };
            let mut watch = (self.watch)(&draws);
            front.run(registers, &mut group, &mut watch);
            for i in 0..(self.until - first).min(WIDTH) {
                outcomes.push(Outcome {
                    hot_spot_c: front.hot_spot.value_c.0[i],
                    top_oil_c: front.top_oil.value_c.0[i],
                    end: Start { state: front.state.lane(i).only(), stage: front.stage[i] },
                    seen: (self.seen)(&watch, i),
                });
            }
        }
        outcomes
    }
}

impl Begin<WIDTH> {
    /// Puts draws side by side.
    fn of(members: &[Member<'_>; WIDTH]) -> Self {
        let none = Lanes::all(0.0);
        let mut begin = Self {
            stages: Vec::new(),
            state: State { top_oil_c: none, gradient_1_k: none, gradient_2_k: none },
            stage: [0; WIDTH],
            load_error: none,
            ambient_error: none,
            thermostat_k: none,
        };
        begin.fill(members);
        begin
    }

    /// Puts draws side by side, into the same memory.
    fn fill(&mut self, members: &[Member<'_>; WIDTH]) {
        let first = members[0].lags;
        self.stages.resize_with(first.len(), || Lags::of(&[first[0]; WIDTH]));
        for (i, member) in members.iter().enumerate() {
            self.state.top_oil_c.0[i] = member.start.state.top_oil_c;
            self.state.gradient_1_k.0[i] = member.start.state.gradient_1_k;
            self.state.gradient_2_k.0[i] = member.start.state.gradient_2_k;
            self.stage[i] = member.start.stage;
            for (stage, lags) in self.stages.iter_mut().zip(member.lags) {
                stage.set_lane(i, lags);
            }
            self.load_error.0[i] = member.load_error;
            self.ambient_error.0[i] = member.ambient_error;
            self.thermostat_k.0[i] = member.thermostat_k;
        }
    }
}
