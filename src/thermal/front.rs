//! The moving front of a simulation: `N` draws side by side through the same steps.
//!
//! Steps are taken in groups, all lanes at once ([`super::group`]). A lane in which a stage changes goes
//! through its group again alone ([`super::events`]). How steps are grouped does not depend on the
//! lanes, so a draw has the same digits alone and among others.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

use super::State;
use super::cooling::{Control, Cooling, Sensor};
use super::events::Lane;
use super::group::Group;
use super::ieee;
use super::lags::{Factors, Lags, Pace, Slope};
use super::lanes::{Lanes, exp, ln};
use super::steps::{Common, Hoisted, Steps};
use super::trajectory::Peak;
use super::watch::{Moment, Watch};
use std::array;

/// What is common to all lanes and all fronts of an ensemble.
#[derive(Clone, Copy)]
pub(super) struct Imposed<'a> {
    pub(super) steps: &'a Steps,
    pub(super) cooling: &'a Cooling,
    /// For each stage.
    pub(super) hoisted: &'a [Hoisted],
    /// In steps of no more than this, min, peaks are taken at their ends.
    pub(super) fine_min: f64,
}

/// Steps are fine up to this share of the shortest time constant.
///
/// There a peak between two breakpoints is higher than the higher of them by at most
///
/// ```text
/// Δt²/8·|θ″| ≤ Δt²/(4·τ)·r        τ the shortest time constant, r how fast the slower parts move
/// ```
/// because at a peak the fast part moves against the slower ones as fast as they do. Steps of a minute
/// with τ = 14 min and oil rising by a kelvin a minute, much for any overload, give 0.02 K.
const FINE_SHARE: f64 = 0.1;

impl<'a> Imposed<'a> {
    pub(super) fn new(steps: &'a Steps, cooling: &'a Cooling, hoisted: &'a [Hoisted]) -> Self {
        let shortest = |hoisted: &Hoisted| hoisted.shortest_min();
        let shortest_min = hoisted.iter().map(shortest).fold(f64::INFINITY, f64::min);
        Self { steps, cooling, hoisted, fine_min: FINE_SHARE * shortest_min }
    }
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
    pub(super) fn lane(&self, i: usize) -> Peak {
        Peak { value_c: self.value_c.0[i], at_min: self.at_min.0[i] }
    }

    fn set(&mut self, i: usize, peak: Peak) {
        (self.value_c.0[i], self.at_min.0[i]) = (peak.value_c, peak.at_min);
    }
}

/// The temperatures at which a lane's stage would change; infinite where none would.
#[derive(Debug, Clone, Copy)]
pub(super) struct Switching<const N: usize> {
    pub(super) top_oil_starts_c: Lanes<N>,
    pub(super) top_oil_stops_c: Lanes<N>,
    pub(super) hot_spot_starts_c: Lanes<N>,
    pub(super) hot_spot_stops_c: Lanes<N>,
    /// Whether any of them is finite in any lane.
    pub(super) any: bool,
}

/// The moving front.
pub(super) struct Front<'a, const N: usize> {
    pub(super) imposed: Imposed<'a>,
    begin: &'a Begin<N>,
    pub(super) stage: [usize; N],
    /// Stages that were in service in any lane, bit by bit.
    pub(super) used: u64,
    pub(super) state: State<Lanes<N>>,
    pub(super) hot_spot: Peaks<N>,
    pub(super) top_oil: Peaks<N>,
    pub(super) lags: Lags<Lanes<N>>,
    pub(super) factors: Factors<N>,
    pub(super) pace: Pace<Lanes<N>>,
    /// Length of the steps that `pace` is for, min.
    pace_min: f64,
    pub(super) switching: Switching<N>,
    pub(super) ambient_error: Lanes<N>,
    /// Index of the load that `factors` are for.
    load: usize,
    one_stage: bool,
}

impl<'a, const N: usize> Front<'a, N> {
    pub(super) fn new(imposed: Imposed<'a>, begin: &'a Begin<N>) -> Self {
        let minute = imposed.steps.minutes.first().copied().unwrap_or(0.0);
        let peaks = |value_c| Peaks { value_c, at_min: Lanes::all(minute) };
        let lags = Lags::of(&array::from_fn(|i| begin.stages[begin.stage[i]].lane(i)));
        let (zero, never) = (Lanes::all(0.0), Lanes::all(f64::INFINITY));
        let mut front = Self {
            imposed,
            begin,
            stage: begin.stage,
            used: 0,
            state: begin.state,
            hot_spot: peaks(begin.state.hot_spot_c()),
            top_oil: peaks(begin.state.top_oil_c),
            lags,
            factors: Factors { oil: zero, winding: zero },
            pace: lags.pace(0.0),
            pace_min: f64::NAN,
            switching: Switching {
                top_oil_starts_c: never,
                top_oil_stops_c: never,
                hot_spot_starts_c: never,
                hot_spot_stops_c: never,
                any: false,
            },
            ambient_error: begin.ambient_error,
            load: usize::MAX,
            one_stage: false,
        };
        front.stages_changed();
        front.aim(0);
        if imposed.cooling.control == Control::Automatic || imposed.cooling.lost_at_min.is_some() {
            front.change_stages(0);
        }
        front
    }

    /// Goes through all steps.
    #[inline(always)]
    pub(super) fn run<W: Watch<N>>(&mut self, group: &mut Group<N>, watch: &mut W) {
        self.show(0, watch);
        let mut index = 0;
        while index < self.imposed.steps.count() {
            self.prepare(index, group);
            group.in_stages::<W>(&self.stage);
            group.take::<W>(self);
            let lanes = group.lanes_to_take_alone(self);
            if lanes == 0 {
                group.time_peaks::<W>(self);
            } else {
                self.take_alone(lanes, group);
            }
            group.show(self, watch);
            index = group.until;
        }
    }

    fn show<W: Watch<N>>(&self, index: usize, watch: &mut W) {
        watch.see(&Moment {
            index,
            top_oil_c: &self.state.top_oil_c,
            hot_spot_c: &self.state.hot_spot_c(),
            stage: &self.stage,
            steps: self.imposed.steps,
            ambient_error: &self.begin.ambient_error,
        });
    }

    /// Sets what holds over the next group of steps, and how many there are.
    #[inline(always)]
    fn prepare(&mut self, index: usize, group: &mut Group<N>) {
        let steps = self.imposed.steps;
        let lost_at_min = self.imposed.cooling.lost_at_min.unwrap_or(f64::INFINITY);
        if steps.minutes[index] >= lost_at_min && self.stage != [0; N] {
            self.change_stages(index);
        }
        let table = self.table();
        group.begin(steps, index, table, (lost_at_min, self.imposed.fine_min));
        if table.is_none() && steps.load_at[index] as usize != self.load {
            self.aim(index);
        }
        let elapsed_min = steps.minutes[index + 1] - steps.minutes[index];
        if elapsed_min.to_bits() != self.pace_min.to_bits() {
            self.pace_min = elapsed_min;
            self.pace = self.lags.pace(elapsed_min);
        }
    }

    /// Takes some lanes through a group again, each alone.
    #[inline(never)]
    fn take_alone(&mut self, lanes: u64, group: &mut Group<N>) {
        let mut changed = false;
        for i in (0..N).filter(|i| lanes >> i & 1 == 1) {
            let stages = &self.begin.stages;
            let lags_of = |stage: usize| stages[stage].lane(i);
            let (before, [hot_spot_c, top_oil_c]) = group.before(i);
            let mut lane = self.lane(i, (group.from, group.aimed()), &before, &lags_of);
            (lane.hot_spot.value_c, lane.top_oil.value_c) = (hot_spot_c, top_oil_c);
            for index in group.from..group.until {
                let errors = (self.begin.load_error.0[i], self.begin.ambient_error.0[i]);
                lane.step(self.imposed, index, errors);
                group.note(index, i, &lane);
            }
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
        (index, aimed): (usize, bool),
        state: &State<Lanes<1>>,
        lags_of: &'b dyn Fn(usize) -> Lags<f64>,
    ) -> Lane<'b>
    where
        'a: 'b,
    {
        let ambient_c = self.ambient_c(index).0[i];
        Lane {
            lags_of,
            cooling: self.imposed.cooling,
            load: aimed.then_some(self.load),
            load_pu: self.load_pu(index).0[i],
            stage: self.stage[i],
            lags: Lags::of(&[self.lags.lane(i)]),
            factors: self.factors.lane(i),
            state: *state,
            ambient: Slope { start_c: Lanes([ambient_c]), per_min: Lanes([0.0]) },
            minute: self.imposed.steps.minutes[index],
            coarse: false,
            hot_spot: self.hot_spot.lane(i),
            top_oil: self.top_oil.lane(i),
            used: 0,
        }
    }

    fn put(&mut self, i: usize, found: &Found) {
        self.state.set_lane(i, &found.state);
        self.hot_spot.set(i, found.hot_spot);
        self.top_oil.set(i, found.top_oil);
        self.factors.oil.0[i] = found.factors.oil.0[0];
        self.factors.winding.0[i] = found.factors.winding.0[0];
        if found.used != 0 {
            self.stage[i] = found.stage;
            self.used |= found.used;
            self.lags.set_lane(i, &found.lags);
        }
    }

    /// Changes the stage of every lane that wants to at a breakpoint.
    #[inline(never)]
    fn change_stages(&mut self, index: usize) {
        let mut changed = false;
        for i in 0..N {
            let stages = &self.begin.stages;
            let lags_of = |stage: usize| stages[stage].lane(i);
            let mut lane = self.lane(i, (index, true), &self.state.lane(i), &lags_of);
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
        self.pace_min = f64::NAN;
        if cooling.control != Control::Automatic {
            return;
        }
        let above = |i: usize| cooling.stages.get(self.stage[i] + 1).and_then(|s| s.switching);
        let own = |i: usize| {
            let stage = self.stage[i];
            cooling.stages[stage].switching.filter(|_| stage > 0)
        };
        let starts = |sensor: Sensor| {
            let of = |i: usize| above(i).filter(|s| s.sensor == sensor);
            Lanes(array::from_fn(|i| of(i).map_or(f64::INFINITY, |s| s.start_c)))
        };
        let stops = |sensor: Sensor| {
            let of = |i: usize| own(i).filter(|s| s.sensor == sensor);
            Lanes(array::from_fn(|i| of(i).map_or(f64::NEG_INFINITY, |s| s.stop_c)))
        };
        self.switching = Switching {
            top_oil_starts_c: starts(Sensor::TopOil),
            top_oil_stops_c: stops(Sensor::TopOil),
            hot_spot_starts_c: starts(Sensor::Winding),
            hot_spot_stops_c: stops(Sensor::Winding),
            any: (0..N).any(|i| above(i).is_some() || own(i).is_some()),
        };
    }

    pub(super) fn ambient_c(&self, index: usize) -> Lanes<N> {
        self.imposed.steps.drawn_ambient_c(index, &self.begin.ambient_error)
    }

    /// The load of each draw, per unit.
    fn load_pu(&self, index: usize) -> Lanes<N> {
        let steps = self.imposed.steps;
        let load = steps.loads[steps.load_at[index] as usize];
        self.begin.load_error.map(|error| load.drawn_pu(error))
    }

    /// Sets the factors for the load at a breakpoint.
    #[inline(always)]
    fn aim(&mut self, index: usize) {
        self.load = self.imposed.steps.load_at[index] as usize;
        match self.imposed.hoisted[0].common() {
            Common::Nothing => self.aim_at_loads(index),
            Common::Factors => self.aim_at_factors(),
            Common::Logarithms => self.aim_at_logarithms(),
        }
        if self.lags.correction_exponent.0[0] > 0.0 {
            let start_c = self.ambient_c(index);
            let targets = self.lags.targets(self.factors);
            ieee::correct(&mut self.lags, &targets, &self.state, start_c);
            self.pace_min = f64::NAN;
        }
    }

    /// The factors of every load, where they are the same in all lanes and no time constant
    /// follows the load.
    fn table(&self) -> Option<&'a [[f64; 2]]> {
        let Imposed { steps, hoisted, .. } = self.imposed;
        let corrected = self.lags.correction_exponent.0[0] > 0.0;
        let shared = self.one_stage && hoisted[0].common() == Common::Factors && !corrected;
        shared.then(|| hoisted[self.stage[0]].table(steps))
    }

    /// The entry of the load aimed at in the table of a lane's stage.
    fn hoisted(&self, i: usize) -> [f64; 2] {
        self.imposed.hoisted[self.stage[i]].table(self.imposed.steps)[self.load]
    }

    fn aim_at_factors(&mut self) {
        for i in 0..N {
            [self.factors.oil.0[i], self.factors.winding.0[i]] = self.hoisted(i);
        }
    }

    /// One loop, so that the exponentials of several lanes are computed at once.
    #[inline(always)]
    fn aim_at_logarithms(&mut self) {
        if self.one_stage {
            let [oil, winding] = self.hoisted(0);
            for i in 0..N {
                self.aim_at_powers(i, oil, winding);
            }
        } else {
            for i in 0..N {
                let [oil, winding] = self.hoisted(i);
                self.aim_at_powers(i, oil, winding);
            }
        }
    }

    #[inline(always)]
    fn aim_at_powers(&mut self, i: usize, oil_logarithm: f64, winding_logarithm: f64) {
        self.factors.oil.0[i] = exp(self.lags.oil_exponent.0[i] * oil_logarithm);
        self.factors.winding.0[i] = exp(self.lags.winding_exponent.0[i] * winding_logarithm);
    }

    #[inline(always)]
    fn aim_at_loads(&mut self, index: usize) {
        let load = self.imposed.steps.loads[self.imposed.steps.load_at[index] as usize];
        for i in 0..N {
            let load_pu = load.drawn_pu(self.begin.load_error.0[i]) / self.lags.rating_pu.0[i];
            let ratio = self.lags.loss_ratio.0[i];
            let loss = (1.0 + load_pu * load_pu * ratio) / (1.0 + ratio);
            self.aim_at_powers(i, ln(loss), ln(load_pu));
        }
    }
}

/// What came of a lane on its own.
struct Found {
    state: State<Lanes<1>>,
    stage: usize,
    used: u64,
    lags: Lags<f64>,
    factors: Factors<1>,
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
            factors: lane.factors,
            hot_spot: lane.hot_spot,
            top_oil: lane.top_oil,
        }
    }
}
