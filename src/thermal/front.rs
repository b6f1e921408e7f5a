//! The moving front of a simulation: `N` draws side by side through the same steps.
//!
//! Every step is an exact update in all lanes at once. A lane in which a stage changes, or in which a
//! peak higher than any before lies between two breakpoints, is taken through that step alone
//! ([`super::events`]). Whether it does is decided by tests that err towards looking.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

use super::State;
use super::cooling::{Control, Cooling, Sensor};
use super::events::Lane;
use super::ieee;
use super::lags::{Decay, Factors, Lags, Slope, Targets};
use super::lanes::Lanes;
use super::steps::{Common, Hoisted, Steps};
use super::trajectory::Peak;
use std::array;

/// What is common to all lanes and all fronts of an ensemble.
#[derive(Clone, Copy)]
pub(super) struct Imposed<'a> {
    pub(super) steps: &'a Steps,
    pub(super) cooling: &'a Cooling,
    /// For each stage.
    pub(super) hoisted: &'a [Hoisted],
}

/// Sees every breakpoint as it is passed.
pub trait Watch<const N: usize> {
    /// Looks at all lanes at one breakpoint.
    fn see(&mut self, moment: &Moment<'_, N>);
}

/// All lanes at one breakpoint.
#[derive(Debug)]
pub struct Moment<'a, const N: usize> {
    /// Index of the breakpoint.
    pub index: usize,
    /// Minute.
    pub minute: f64,
    /// Load from this minute on, per unit, without the error of a draw.
    pub load_pu: f64,
    /// Ambient, °C.
    pub ambient_c: Lanes<N>,
    /// Top oil, °C.
    pub top_oil_c: Lanes<N>,
    /// Hot spot, °C.
    pub hot_spot_c: Lanes<N>,
    /// Cooling stage in service.
    pub stage: &'a [usize; N],
}

/// The draws of one front as they begin.
#[derive(Debug, Clone)]
pub(super) struct Begin<const N: usize> {
    /// The lags of each stage.
    pub(super) stages: Vec<Lags<Lanes<N>>>,
    pub(super) state: State<Lanes<N>>,
    pub(super) stage: [usize; N],
    /// Errors of load and ambient, in standard uncertainties.
    pub(super) load_error: Lanes<N>,
    pub(super) ambient_error: Lanes<N>,
}

/// Peaks of each lane: value, °C, and minute.
#[derive(Debug, Clone, Copy)]
pub(super) struct Peaks<const N: usize> {
    pub(super) value_c: Lanes<N>,
    pub(super) at_min: Lanes<N>,
}

impl<const N: usize> Peaks<N> {
    #[inline(always)]
    fn see(&mut self, value_c: Lanes<N>, minute: f64) {
        let higher = |i: usize| value_c.0[i] > self.value_c.0[i];
        self.at_min = Lanes(array::from_fn(|i| if higher(i) { minute } else { self.at_min.0[i] }));
        self.value_c = value_c.greater(self.value_c);
    }

    pub(super) fn lane(&self, i: usize) -> Peak {
        Peak { value_c: self.value_c.0[i], at_min: self.at_min.0[i] }
    }

    fn set(&mut self, i: usize, peak: Peak) {
        (self.value_c.0[i], self.at_min.0[i]) = (peak.value_c, peak.at_min);
    }
}

/// Which temperatures the stages in service look at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Looks {
    AtNone,
    AtTopOil,
    AtHotSpot,
    AtBoth,
}

/// The moving front.
pub(super) struct Front<'a, const N: usize> {
    imposed: Imposed<'a>,
    begin: &'a Begin<N>,
    pub(super) state: State<Lanes<N>>,
    pub(super) stage: [usize; N],
    /// Stages that were in service in any lane, bit by bit.
    pub(super) used: u64,
    pub(super) hot_spot: Peaks<N>,
    pub(super) top_oil: Peaks<N>,
    lags: Lags<Lanes<N>>,
    targets: Targets<Lanes<N>>,
    per_minute: Decay<Lanes<N>>,
    decay: Decay<Lanes<N>>,
    /// Length of the steps that `decay` is for, min.
    decay_min: f64,
    /// A hot spot or top oil further than this below its highest cannot pass it inside a step, K.
    reach_k: f64,
    load: usize,
    looks: Looks,
    starts_c: Lanes<N>,
    stops_c: Lanes<N>,
    one_stage: bool,
    was_near: bool,
}

impl<'a, const N: usize> Front<'a, N> {
    #[inline(always)]
    pub(super) fn new(imposed: Imposed<'a>, begin: &'a Begin<N>) -> Self {
        let minute = imposed.steps.minutes.first().copied().unwrap_or(0.0);
        let peaks = |value_c| Peaks { value_c, at_min: Lanes::all(minute) };
        let lags = Lags::of(&array::from_fn(|i| begin.stages[begin.stage[i]].lane(i)));
        let zero = Lanes::all(0.0);
        let decay = Decay { oil: zero, gradient_1: zero, gradient_2: zero };
        let mut front = Self {
            imposed,
            begin,
            state: begin.state,
            stage: begin.stage,
            used: 0,
            hot_spot: peaks(begin.state.hot_spot_c()),
            top_oil: peaks(begin.state.top_oil_c),
            lags,
            targets: Targets { oil_rise_k: zero, gradient_1_k: zero, gradient_2_k: zero },
            per_minute: decay,
            decay,
            decay_min: f64::NAN,
            reach_k: f64::INFINITY,
            load: 0,
            looks: Looks::AtNone,
            starts_c: zero,
            stops_c: zero,
            one_stage: false,
            was_near: true,
        };
        front.stages_changed();
        front.aim(0);
        front.change_stages(0);
        front
    }

    /// Goes through all steps.
    #[inline(always)]
    pub(super) fn run<W: Watch<N>>(&mut self, watch: &mut W) {
        self.show(0, watch);
        for index in 0..self.imposed.steps.count() {
            self.step(index);
            self.show(index + 1, watch);
        }
    }

    #[inline(always)]
    fn show<W: Watch<N>>(&self, index: usize, watch: &mut W) {
        let steps = self.imposed.steps;
        watch.see(&Moment {
            index,
            minute: steps.minutes[index],
            load_pu: steps.loads[steps.load_at[index] as usize].pu,
            ambient_c: self.ambient_c(index),
            top_oil_c: self.state.top_oil_c,
            hot_spot_c: self.state.hot_spot_c(),
            stage: &self.stage,
        });
    }

    #[inline(always)]
    fn ambient_c(&self, index: usize) -> Lanes<N> {
        let steps = self.imposed.steps;
        let doubt_k = Lanes::all(steps.ambient_doubt_k[index]);
        Lanes::all(steps.ambient_c[index]) + self.begin.ambient_error * doubt_k
    }

    #[inline(always)]
    fn slope(&self, index: usize) -> Slope<Lanes<N>> {
        let steps = self.imposed.steps;
        let per_min = Lanes::all(steps.ambient_per_min[index]);
        if steps.ambient_certain {
            return Slope { start_c: Lanes::all(steps.ambient_c[index]), per_min };
        }
        let doubt = Lanes::all(steps.ambient_doubt_per_min[index]);
        Slope {
            start_c: self.ambient_c(index),
            per_min: per_min + self.begin.ambient_error * doubt,
        }
    }

    #[inline(always)]
    fn step(&mut self, index: usize) {
        let steps = self.imposed.steps;
        let (from_min, until_min) = (steps.minutes[index], steps.minutes[index + 1]);
        if steps.load_at[index] as usize != self.load {
            self.aim(index);
        }
        let lost = self.imposed.cooling.lost_at_min.is_some_and(|lost| from_min >= lost);
        if lost && self.stage != [0; N] {
            self.change_stages(index);
        }
        let elapsed_min = until_min - from_min;
        if elapsed_min.to_bits() != self.decay_min.to_bits() {
            self.pace(index, elapsed_min);
        }
        let ambient = self.slope(index);
        let before = self.state;
        let end = self.lags.advance(&self.targets, &self.decay, &before, ambient, elapsed_min);
        self.state = end;
        let switching = self.switching(&end);
        let rising = self.may_peak_inside(&before, &end, ambient, elapsed_min);
        if switching != 0 || rising != 0 {
            self.alone(index, switching, rising, &before, ambient);
        }
        self.hot_spot.see(self.state.hot_spot_c(), until_min);
        self.top_oil.see(self.state.top_oil_c, until_min);
    }

    /// The lanes in which a stage wants to change at the end of a step, bit by bit.
    #[inline(always)]
    fn switching(&self, end: &State<Lanes<N>>) -> u64 {
        let past = |reading_c: Lanes<N>| {
            let any = (0..N).fold(0, |any, i| {
                any | u64::from(reading_c.0[i] >= self.starts_c.0[i])
                    | u64::from(reading_c.0[i] <= self.stops_c.0[i])
            });
            if any == 0 { 0 } else { u64::MAX }
        };
        match self.looks {
            Looks::AtNone => 0,
            Looks::AtTopOil => past(end.top_oil_c),
            Looks::AtHotSpot => past(end.hot_spot_c()),
            Looks::AtBoth => u64::MAX,
        }
    }

    /// The lanes in which a peak above the highest value so far may lie inside a step.
    #[inline(always)]
    fn may_peak_inside(
        &mut self,
        before: &State<Lanes<N>>,
        end: &State<Lanes<N>>,
        ambient: Slope<Lanes<N>>,
        elapsed_min: f64,
    ) -> u64 {
        let near = self.near(end);
        let looks = near || self.was_near;
        self.was_near = near;
        if !looks {
            return 0;
        }
        let elapsed = Lanes::all(elapsed_min);
        let at_end = Slope { start_c: ambient.start_c + ambient.per_min * elapsed, ..ambient };
        let (lags, rates, targets) = (&self.lags, &self.per_minute, &self.targets);
        let hot_last = lags.hot_spot_rate(rates, targets, end, at_end);
        let oil_last = lags.oil_rate(rates, targets, end, at_end);
        if !hot_last.any_negative() && !oil_last.any_negative() {
            return 0;
        }
        let hot_first = lags.hot_spot_rate(rates, targets, before, ambient);
        let oil_first = lags.oil_rate(rates, targets, before, ambient);
        let most = most_between(before, end, ambient, elapsed_min);
        (0..N).fold(0, |found, i| {
            let turns = |first: &Lanes<N>, last: &Lanes<N>| first.0[i] > 0.0 && last.0[i] < 0.0;
            let hot = turns(&hot_first, &hot_last)
                && most.hot_spot_c.0[i] > self.hot_spot.value_c.0[i];
            let oil =
                turns(&oil_first, &oil_last) && most.top_oil_c.0[i] > self.top_oil.value_c.0[i];
            found | u64::from(hot || oil) << i
        })
    }

    /// Whether any lane is near enough to its highest value to pass it inside a step.
    #[inline(always)]
    fn near(&self, end: &State<Lanes<N>>) -> bool {
        let reach = Lanes::all(self.reach_k);
        let hot = self.hot_spot.value_c - end.hot_spot_c() - reach;
        let oil = self.top_oil.value_c - end.top_oil_c - reach;
        hot.any_negative() || oil.any_negative()
    }

    /// Takes some lanes through a step again, each alone.
    #[inline(never)]
    fn alone(
        &mut self,
        index: usize,
        switching: u64,
        rising: u64,
        before: &State<Lanes<N>>,
        ambient: Slope<Lanes<N>>,
    ) {
        let mut changed = false;
        for i in (0..N).filter(|i| (switching | rising) >> i & 1 == 1) {
            let stages = &self.begin.stages;
            let lags_of = |stage: usize| stages[stage].lane(i);
            let mut lane = self.lane(i, index, &before.lane(i), &ambient.lane(i), &lags_of);
            lane.go_on(self.imposed.steps.minutes[index + 1]);
            changed |= lane.used != 0;
            let found = Found::of(&lane);
            self.put(i, &found);
        }
        if changed {
            self.stages_changed();
        }
    }

    fn lane<'b>(
        &self,
        i: usize,
        index: usize,
        state: &State<Lanes<1>>,
        ambient: &Slope<Lanes<1>>,
        lags_of: &'b dyn Fn(usize) -> Lags<f64>,
    ) -> Lane<'b>
    where
        'a: 'b,
    {
        Lane {
            lags_of,
            cooling: self.imposed.cooling,
            load_pu: self.load_pu(index).0[i],
            stage: self.stage[i],
            lags: Lags::of(&[self.lags.lane(i)]),
            targets: self.targets.lane(i),
            state: *state,
            ambient: *ambient,
            minute: self.imposed.steps.minutes[index],
            hot_spot: self.hot_spot.lane(i),
            top_oil: self.top_oil.lane(i),
            used: 0,
        }
    }

    fn put(&mut self, i: usize, found: &Found) {
        self.state.set_lane(i, &found.state);
        self.hot_spot.set(i, found.hot_spot);
        self.top_oil.set(i, found.top_oil);
        if found.used != 0 {
            self.stage[i] = found.stage;
            self.used |= found.used;
            self.lags.set_lane(i, &found.lags);
            self.targets.set_lane(i, &found.targets);
        }
    }

    /// Changes the stage of every lane that wants to at a breakpoint.
    #[inline(never)]
    fn change_stages(&mut self, index: usize) {
        let mut changed = false;
        for i in 0..N {
            let stages = &self.begin.stages;
            let lags_of = |stage: usize| stages[stage].lane(i);
            let level = Slope { start_c: self.ambient_c(index), per_min: Lanes::all(0.0) };
            let mut lane = self.lane(i, index, &self.state.lane(i), &level.lane(i), &lags_of);
            lane.change_stage();
            changed |= lane.used != 0;
            let found = Found::of(&lane);
            self.put(i, &found);
        }
        if changed {
            self.stages_changed();
        }
    }

    /// Sets everything that depends on which stages are in service.
    fn stages_changed(&mut self) {
        let cooling = self.imposed.cooling;
        self.one_stage = self.stage.iter().all(|stage| *stage == self.stage[0]);
        self.used |= self.stage.iter().fold(0, |used, stage| used | 1 << (*stage).min(63));
        self.decay_min = f64::NAN;
        if cooling.control != Control::Automatic {
            self.looks = Looks::AtNone;
            return;
        }
        let above = |i: usize| cooling.stages.get(self.stage[i] + 1).and_then(|s| s.switching);
        let own = |i: usize| {
            let stage = self.stage[i];
            cooling.stages[stage].switching.filter(|_| stage > 0)
        };
        self.starts_c = Lanes(array::from_fn(|i| above(i).map_or(f64::INFINITY, |s| s.start_c)));
        self.stops_c = Lanes(array::from_fn(|i| own(i).map_or(f64::NEG_INFINITY, |s| s.stop_c)));
        let sensors = (0..N).flat_map(|i| [above(i), own(i)]).flatten().map(|s| s.sensor);
        self.looks = sensors.fold(Looks::AtNone, |known, sensor| match (known, sensor) {
            (Looks::AtNone | Looks::AtTopOil, Sensor::TopOil) => Looks::AtTopOil,
            (Looks::AtNone | Looks::AtHotSpot, Sensor::Winding) => Looks::AtHotSpot,
            _ => Looks::AtBoth,
        });
    }

    /// The load of each draw, per unit.
    #[inline(always)]
    fn load_pu(&self, index: usize) -> Lanes<N> {
        let steps = self.imposed.steps;
        let load = steps.loads[steps.load_at[index] as usize];
        let drawn = Lanes::all(1.0) + self.begin.load_error * Lanes::all(load.doubt);
        // An error may be larger than the load; less than none is none.
        (Lanes::all(load.pu) * drawn).map(|pu| if pu < 0.0 { 0.0 } else { pu })
    }

    /// Sets the targets for the load at a breakpoint.
    #[inline(always)]
    fn aim(&mut self, index: usize) {
        self.load = self.imposed.steps.load_at[index] as usize;
        let factors = self.factors(index);
        self.targets = self.lags.targets(factors);
        if self.lags.correction_exponent.0[0] > 0.0 {
            let start_c = self.ambient_c(index);
            ieee::correct(&mut self.lags, &self.targets, &self.state, start_c);
            self.decay_min = f64::NAN;
        }
    }

    #[inline(always)]
    fn factors(&self, index: usize) -> Factors<N> {
        let Imposed { steps, hoisted, .. } = self.imposed;
        let common = hoisted[0].common();
        if common == Common::Nothing {
            return self.lags.factors(self.load_pu(index));
        }
        let found = if self.one_stage {
            let [oil, winding] = hoisted[self.stage[0]].table(steps)[self.load];
            Factors { oil: Lanes::all(oil), winding: Lanes::all(winding) }
        } else {
            let of = |i: usize| hoisted[self.stage[i]].table(steps)[self.load];
            Factors {
                oil: Lanes(array::from_fn(|i| of(i)[0])),
                winding: Lanes(array::from_fn(|i| of(i)[1])),
            }
        };
        if common == Common::Factors { found } else { self.lags.factors_of(found) }
    }

    /// Sets what depends on the length of the step.
    #[inline(always)]
    fn pace(&mut self, index: usize, elapsed_min: f64) {
        self.decay_min = elapsed_min;
        self.decay = self.lags.decay(elapsed_min);
        self.per_minute = self.lags.per_minute();
        self.reach_k = self.reach_k(index);
    }

    /// The most by which the parts of any lane can move in a step of this length, K: what is left of
    /// their greatest distance to a target, with the ambient's whole range on top.
    fn reach_k(&self, index: usize) -> f64 {
        let steps = self.imposed.steps;
        let greatest = steps.greatest();
        let one = Lanes::all(1.0);
        let load = Lanes::all(greatest.pu) * (one + Lanes::all(6.0 * greatest.doubt));
        let most = self.lags.targets(self.lags.factors(load));
        let moves = |now: Lanes<N>, most: Lanes<N>, decay: Lanes<N>| now.greater(most) * (one - decay);
        let rise_k = self.state.top_oil_c - self.ambient_c(index);
        let range_k = Lanes::all(steps.ambient_range_k());
        let sum = moves(rise_k + range_k, most.oil_rise_k + range_k, self.decay.oil)
            + moves(self.state.gradient_1_k, most.gradient_1_k, self.decay.gradient_1)
            + moves(self.state.gradient_2_k, most.gradient_2_k, self.decay.gradient_2);
        sum.0.into_iter().fold(0.0, f64::max) + steps.ambient_range_k()
    }
}

/// A bound on the temperatures inside a step.
struct Most<const N: usize> {
    hot_spot_c: Lanes<N>,
    top_oil_c: Lanes<N>,
}

/// Each part moves one way inside a step, except the oil with an ambient that ramps.
#[inline(always)]
fn most_between<const N: usize>(
    before: &State<Lanes<N>>,
    end: &State<Lanes<N>>,
    ambient: Slope<Lanes<N>>,
    elapsed_min: f64,
) -> Most<N> {
    let ramp = ambient.per_min.map(f64::abs) * Lanes::all(elapsed_min);
    let top_oil_c = before.top_oil_c.greater(end.top_oil_c) + ramp;
    let gradient_1_k = before.gradient_1_k.greater(end.gradient_1_k);
    let gradient_2_k = before.gradient_2_k.smaller(end.gradient_2_k);
    Most { hot_spot_c: top_oil_c + gradient_1_k - gradient_2_k, top_oil_c }
}

/// What came of a lane on its own.
struct Found {
    state: State<Lanes<1>>,
    stage: usize,
    used: u64,
    lags: Lags<f64>,
    targets: Targets<Lanes<1>>,
    hot_spot: Peak,
    top_oil: Peak,
}

impl Found {
    fn of(lane: &Lane<'_>) -> Self {
        Self {
            state: lane.state,
            stage: lane.stage,
            used: lane.used,
            lags: lane.lags.lane(0),
            targets: lane.targets,
            hot_spot: lane.hot_spot,
            top_oil: lane.top_oil,
        }
    }
}
