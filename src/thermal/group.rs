//! A few steps of one length, taken by all lanes at once.
//!
//! One loop over the lanes does the whole arithmetic of the group, so that the compiler takes several
//! lanes in one register and each lane's state stays in registers through the group.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

use super::State;
use super::events::Lane;
use super::front::Front;
use super::lags::{Factors, Slope};
use super::lanes::Lanes;
use super::steps::Steps;
use super::watch::{Moment, Watch};

/// Steps in a group.
const LENGTH: usize = 8;

/// What the lanes of a group have in common, step by step, and what came of it.
pub(super) struct Group<const N: usize> {
    /// First breakpoint.
    pub(super) from: usize,
    /// Last breakpoint.
    pub(super) until: usize,
    elapsed_min: f64,
    /// Whether a peak between two breakpoints can matter.
    coarse: bool,
    /// Oil and winding factors of each step; `None`: those of the front hold throughout.
    factors: Option<[[f64; LENGTH]; 2]>,
    ambient: Ambient,
    before: State<Lanes<N>>,
    /// How far each lane went past a switching temperature, K; not below zero: it did.
    past_k: Lanes<N>,
    /// Highest values before the group.
    hot_spot_before_c: Lanes<N>,
    top_oil_before_c: Lanes<N>,
    /// Every step, where somebody watches.
    seen: [Seen<N>; LENGTH],
}

/// All lanes at the end of one step.
#[derive(Debug, Clone, Copy)]
struct Seen<const N: usize> {
    hot_spot_c: Lanes<N>,
    top_oil_c: Lanes<N>,
    stage: [usize; N],
}

/// Ambient of each step: at its start, °C, and its change, K/min; and one standard uncertainty of both.
#[derive(Debug, Clone, Copy)]
struct Ambient {
    start_c: [f64; LENGTH],
    per_min: [f64; LENGTH],
    doubt_k: [f64; LENGTH],
    doubt_per_min: [f64; LENGTH],
    kind: Kind,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Level,
    Ramp,
    Drawn,
}

const LEVEL: u8 = 0;
const RAMP: u8 = 1;
const DRAWN: u8 = 2;

impl<const N: usize> Group<N> {
    pub(super) fn new() -> Self {
        let zero = Lanes::all(0.0);
        let state = State { top_oil_c: zero, gradient_1_k: zero, gradient_2_k: zero };
        let none = [0.0; LENGTH];
        Self {
            from: 0,
            until: 0,
            elapsed_min: 0.0,
            coarse: false,
            factors: None,
            ambient: Ambient {
                start_c: none,
                per_min: none,
                doubt_k: none,
                doubt_per_min: none,
                kind: Kind::Level,
            },
            before: state,
            past_k: zero,
            hot_spot_before_c: zero,
            top_oil_before_c: zero,
            seen: [Seen { hot_spot_c: zero, top_oil_c: zero, stage: [0; N] }; LENGTH],
        }
    }

    /// Begins a group at a breakpoint: as many steps as have the same length and, without a table of
    /// factors, the same load, up to where the cooling is lost.
    pub(super) fn begin(
        &mut self,
        steps: &Steps,
        index: usize,
        table: Option<&[[f64; 2]]>,
        (lost_at_min, fine_min): (f64, f64),
    ) {
        let minutes = &steps.minutes;
        let length = |at: usize| minutes[at + 1] - minutes[at];
        self.elapsed_min = length(index);
        let goes_on = |at: usize| {
            length(at).to_bits() == self.elapsed_min.to_bits()
                && (table.is_some() || steps.load_at[at] == steps.load_at[index])
                && (minutes[at] < lost_at_min || minutes[index] >= lost_at_min)
        };
        let most = (index + LENGTH).min(steps.count());
        let until = (index + 1..most).find(|at| !goes_on(*at)).unwrap_or(most);
        self.coarse = !(self.elapsed_min <= fine_min);
        // A whole group or a single step: the two lengths that there is code for.
        let whole = until - index == LENGTH && !self.coarse;
        let until = if whole { until } else { index + 1 };
        (self.from, self.until) = (index, until);
        self.ambient.copy(steps, index, until);
        self.factors = table.map(|table| {
            let mut factors = [[0.0; LENGTH]; 2];
            for at in index..until {
                let [oil, winding] = table[steps.load_at[at] as usize];
                (factors[0][at - index], factors[1][at - index]) = (oil, winding);
            }
            factors
        });
    }

    /// Takes all lanes through the group.
    #[inline(always)]
    pub(super) fn take<W: Watch<N>>(&mut self, front: &mut Front<'_, N>) {
        match (self.until - self.from == 1, self.factors.is_some()) {
            (false, true) => self.take_of::<W, LENGTH, true>(front),
            (false, false) => self.take_of::<W, LENGTH, false>(front),
            (true, true) => self.take_of::<W, 1, true>(front),
            (true, false) => self.take_of::<W, 1, false>(front),
        }
    }

    #[inline(always)]
    fn take_of<W: Watch<N>, const STEPS: usize, const FACTORS: bool>(
        &mut self,
        front: &mut Front<'_, N>,
    ) {
        match (self.ambient.kind, front.switching.any) {
            (Kind::Level, false) => self.go::<W, STEPS, FACTORS, LEVEL, false>(front),
            (Kind::Level, true) => self.go::<W, STEPS, FACTORS, LEVEL, true>(front),
            (Kind::Ramp, false) => self.go::<W, STEPS, FACTORS, RAMP, false>(front),
            (Kind::Ramp, true) => self.go::<W, STEPS, FACTORS, RAMP, true>(front),
            (Kind::Drawn, false) => self.go::<W, STEPS, FACTORS, DRAWN, false>(front),
            (Kind::Drawn, true) => self.go::<W, STEPS, FACTORS, DRAWN, true>(front),
        }
    }

    /// The arithmetic of [`super::lags::Lags::advance`], lane by lane.
    #[inline(always)]
    fn go<
        W: Watch<N>,
        const STEPS: usize,
        const FACTORS: bool,
        const AMBIENT: u8,
        const SWITCHES: bool,
    >(
        &mut self,
        front: &mut Front<'_, N>,
    ) {
        let [oil_factor, winding_factor] = self.factors.unwrap_or([[0.0; LENGTH]; 2]);
        let Ambient { start_c, per_min, doubt_k, doubt_per_min, .. } = self.ambient;
        let (lags, factors, pace, switching) =
            (&front.lags, &front.factors, &front.pace, &front.switching);
        let elapsed_min = self.elapsed_min;
        for i in 0..N {
            let mut top_oil_c = front.state.top_oil_c.0[i];
            let mut gradient_1_k = front.state.gradient_1_k.0[i];
            let mut gradient_2_k = front.state.gradient_2_k.0[i];
            let mut highest_hot_spot_c = front.hot_spot.value_c.0[i];
            let mut highest_top_oil_c = front.top_oil.value_c.0[i];
            let mut past_k = -1.0;
            self.before.top_oil_c.0[i] = top_oil_c;
            self.before.gradient_1_k.0[i] = gradient_1_k;
            self.before.gradient_2_k.0[i] = gradient_2_k;
            self.hot_spot_before_c.0[i] = highest_hot_spot_c;
            self.top_oil_before_c.0[i] = highest_top_oil_c;
            for step in 0..STEPS {
                let (oil, winding) = if FACTORS {
                    (oil_factor[step], winding_factor[step])
                } else {
                    (factors.oil.0[i], factors.winding.0[i])
                };
                // Without a slope the first start is that of all steps.
                let at = if AMBIENT == LEVEL { 0 } else { step };
                let (mut from_c, mut slope) = (start_c[at], per_min[at]);
                if AMBIENT == DRAWN {
                    from_c += front.ambient_error.0[i] * doubt_k[step];
                    slope += front.ambient_error.0[i] * doubt_per_min[step];
                }
                let mut follows_c = from_c + lags.added_rise_k.0[i];
                if AMBIENT != LEVEL {
                    follows_c -= slope * lags.ambient_lag_min.0[i];
                }
                follows_c *= pace.ambient_gain.0[i];
                if AMBIENT != LEVEL {
                    follows_c += slope * elapsed_min;
                }
                top_oil_c =
                    (oil * pace.oil_gain_k.0[i] + follows_c) + top_oil_c * pace.oil_stays.0[i];
                gradient_1_k = winding * pace.gradient_1_gain_k.0[i]
                    + gradient_1_k * pace.gradient_1_stays.0[i];
                gradient_2_k = winding * pace.gradient_2_gain_k.0[i]
                    + gradient_2_k * pace.gradient_2_stays.0[i];
                let hot_spot_c = top_oil_c + gradient_1_k - gradient_2_k;
                highest_hot_spot_c = greater(hot_spot_c, highest_hot_spot_c);
                highest_top_oil_c = greater(top_oil_c, highest_top_oil_c);
                if SWITCHES {
                    past_k = greater(top_oil_c - switching.top_oil_starts_c.0[i], past_k);
                    past_k = greater(switching.top_oil_stops_c.0[i] - top_oil_c, past_k);
                    past_k = greater(hot_spot_c - switching.hot_spot_starts_c.0[i], past_k);
                    past_k = greater(switching.hot_spot_stops_c.0[i] - hot_spot_c, past_k);
                }
                if W::WATCHES {
                    self.seen[step].top_oil_c.0[i] = top_oil_c;
                    self.seen[step].hot_spot_c.0[i] = hot_spot_c;
                }
            }
            front.state.top_oil_c.0[i] = top_oil_c;
            front.state.gradient_1_k.0[i] = gradient_1_k;
            front.state.gradient_2_k.0[i] = gradient_2_k;
            front.hot_spot.value_c.0[i] = highest_hot_spot_c;
            front.top_oil.value_c.0[i] = highest_top_oil_c;
            if SWITCHES {
                self.past_k.0[i] = past_k;
            }
        }
    }

    /// The lanes in which something happens inside the group that it does not see, bit by bit.
    #[inline(always)]
    pub(super) fn lanes_to_take_alone(&self, front: &Front<'_, N>) -> u64 {
        let mut lanes = 0;
        if front.switching.any {
            lanes |= (0..N).fold(0, |lanes, i| lanes | u64::from(self.past_k.0[i] >= 0.0) << i);
        }
        if self.coarse {
            lanes |= self.may_peak_inside(front);
        }
        lanes
    }

    /// The lanes in which a peak above the highest value so far may lie inside a coarse step: the
    /// rate changes sign, and a bound passes that value. Each part of the state moves one way inside
    /// a step, except the oil with an ambient that ramps.
    #[inline(always)]
    fn may_peak_inside(&self, front: &Front<'_, N>) -> u64 {
        let ramp_k = self.ambient.greatest_ramp_k(self.elapsed_min, &front.ambient_error);
        let (before, end) = (&self.before, &front.state);
        // One loop without branches: long after the overload no lane comes near its peak.
        let mut passes_k = Lanes::<N>::all(0.0);
        for i in 0..N {
            let top_oil_c = greater(before.top_oil_c.0[i], end.top_oil_c.0[i]) + ramp_k.0[i];
            let gradient_1_k = greater(before.gradient_1_k.0[i], end.gradient_1_k.0[i]);
            let gradient_2_k = -greater(-before.gradient_2_k.0[i], -end.gradient_2_k.0[i]);
            let hot_k = top_oil_c + gradient_1_k - gradient_2_k - self.hot_spot_before_c.0[i];
            passes_k.0[i] = greater(hot_k, top_oil_c - self.top_oil_before_c.0[i]);
        }
        if passes_k.0.iter().fold(f64::NEG_INFINITY, |most, k| greater(*k, most)) > 0.0 {
            self.turning(front, &passes_k)
        } else {
            0
        }
    }

    /// The lanes among those in which a peak could pass in which a rate changes sign.
    #[inline(never)]
    fn turning(&self, front: &Front<'_, N>, passes_k: &Lanes<N>) -> u64 {
        let (before, end, elapsed) = (&self.before, &front.state, Lanes::all(self.elapsed_min));
        let ambient = self.ambient.slope(0, &front.ambient_error);
        let later = Slope { start_c: ambient.start_c + ambient.per_min * elapsed, ..ambient };
        let factors = match self.factors {
            None => front.factors,
            Some([oil, winding]) => {
                Factors { oil: Lanes::all(oil[0]), winding: Lanes::all(winding[0]) }
            }
        };
        let targets = front.lags.targets(factors);
        let (lags, rates) = (&front.lags, &front.lags.rates());
        let hot_first = lags.hot_spot_rate(rates, &targets, before, ambient);
        let hot_last = lags.hot_spot_rate(rates, &targets, end, later);
        let oil_first = lags.oil_rate(rates, &targets, before, ambient);
        let oil_last = lags.oil_rate(rates, &targets, end, later);
        (0..N).filter(|i| passes_k.0[*i] > 0.0).fold(0, |found, i| {
            let turns = |first: &Lanes<N>, last: &Lanes<N>| first.0[i] > 0.0 && last.0[i] < 0.0;
            let either = turns(&hot_first, &hot_last) || turns(&oil_first, &oil_last);
            found | u64::from(either) << i
        })
    }

    /// A lane at the beginning of the group: its state, and its highest hot spot and top oil, °C.
    pub(super) fn before(&self, i: usize) -> (State<Lanes<1>>, [f64; 2]) {
        (self.before.lane(i), [self.hot_spot_before_c.0[i], self.top_oil_before_c.0[i]])
    }

    /// Whether all its steps are under the load that the front has aimed at.
    pub(super) fn aimed(&self) -> bool {
        self.factors.is_none()
    }

    /// Notes a lane that was taken alone at the end of one of the steps.
    pub(super) fn note(&mut self, index: usize, i: usize, lane: &Lane<'_>) {
        let seen = &mut self.seen[index - self.from];
        seen.top_oil_c.0[i] = lane.state.top_oil_c.0[0];
        seen.hot_spot_c.0[i] = lane.state.hot_spot_c().0[0];
        seen.stage[i] = lane.stage;
    }

    /// When a single run was hottest in the group, if it was never so hot before.
    ///
    /// Only a single run is asked, and a single run is watched.
    #[inline(always)]
    pub(super) fn time_peaks<W: Watch<N>>(&self, front: &mut Front<'_, N>) {
        if N != 1 || !W::WATCHES {
            return;
        }
        let [mut hot_spot_c, mut top_oil_c] =
            [self.hot_spot_before_c.0[0], self.top_oil_before_c.0[0]];
        for (seen, index) in self.seen.iter().zip(self.from + 1..=self.until) {
            let minute = front.imposed.steps.minutes[index];
            if seen.hot_spot_c.0[0] > hot_spot_c {
                (hot_spot_c, front.hot_spot.at_min.0[0]) = (seen.hot_spot_c.0[0], minute);
            }
            if seen.top_oil_c.0[0] > top_oil_c {
                (top_oil_c, front.top_oil.at_min.0[0]) = (seen.top_oil_c.0[0], minute);
            }
        }
    }

    /// Sets the stages of all lanes before the group is taken.
    #[inline(always)]
    pub(super) fn in_stages<W: Watch<N>>(&mut self, stage: &[usize; N]) {
        if W::WATCHES {
            for seen in &mut self.seen {
                seen.stage = *stage;
            }
        }
    }

    /// Shows every step of the group.
    #[inline(always)]
    pub(super) fn show<W: Watch<N>>(&self, front: &Front<'_, N>, watch: &mut W) {
        if !W::WATCHES {
            return;
        }
        for (seen, index) in self.seen.iter().zip(self.from + 1..=self.until) {
            watch.see(&Moment {
                index,
                top_oil_c: &seen.top_oil_c,
                hot_spot_c: &seen.hot_spot_c,
                stage: &seen.stage,
                steps: front.imposed.steps,
                ambient_error: &front.ambient_error,
            });
        }
    }
}

impl Ambient {
    fn copy(&mut self, steps: &Steps, from: usize, until: usize) {
        let length = until - from;
        self.start_c[..length].copy_from_slice(&steps.ambient_c[from..until]);
        self.per_min[..length].copy_from_slice(&steps.ambient_per_min[from..until]);
        let level = self.per_min[..length].iter().all(|per_min| *per_min == 0.0);
        self.kind = match (steps.ambient_doubt_k.is_empty(), level) {
            (true, true) => Kind::Level,
            (true, false) => Kind::Ramp,
            (false, _) => Kind::Drawn,
        };
        if self.kind == Kind::Drawn {
            self.doubt_k[..length].copy_from_slice(&steps.ambient_doubt_k[from..until]);
            let doubt_per_min = &steps.ambient_doubt_per_min[from..until];
            self.doubt_per_min[..length].copy_from_slice(doubt_per_min);
        } else {
            (self.doubt_k, self.doubt_per_min) = ([0.0; LENGTH], [0.0; LENGTH]);
        }
    }

    /// By how much the ambient of each lane changes in the first step, K.
    #[inline(always)]
    fn greatest_ramp_k<const N: usize>(&self, elapsed_min: f64, error: &Lanes<N>) -> Lanes<N> {
        let per_min = |error: f64| self.per_min[0] + error * self.doubt_per_min[0];
        error.map(|error| (per_min(error) * elapsed_min).abs())
    }

    fn slope<const N: usize>(&self, step: usize, error: &Lanes<N>) -> Slope<Lanes<N>> {
        let drawn = |value: f64, doubt: f64| Lanes::all(value) + *error * Lanes::all(doubt);
        Slope {
            start_c: drawn(self.start_c[step], self.doubt_k[step]),
            per_min: drawn(self.per_min[step], self.doubt_per_min[step]),
        }
    }
}

#[inline(always)]
fn greater(one: f64, other: f64) -> f64 {
    if one > other { one } else { other }
}
