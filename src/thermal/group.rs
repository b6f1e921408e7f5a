//! A span of steps of one length, taken by all lanes at once, and what has to be looked at afterwards.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

use super::State;
use super::events::Lane;
use super::front::{Front, Switching};
use super::lags::{Factors, Slope};
use super::lanes::Lanes;
use super::steps::{LONGEST, Span};
use super::stride::{self, Asked, Extremes, FactorsOf, Passed, Seen, Take};
use super::watch::{Moment, Watch};
use pulp::Simd;

/// What came of a span, and how it began.
pub(super) struct Group<const N: usize> {
    pub(super) span: Span,
    before: State<Lanes<N>>,
    /// Highest values before the span.
    hot_spot_before_c: Lanes<N>,
    top_oil_before_c: Lanes<N>,
    passed: Passed<N>,
    /// Stages at the end of each step, where a lane was taken alone.
    stages: Vec<[usize; N]>,
}

impl<const N: usize> Group<N> {
    pub(super) fn new<W: Watch<N>>() -> Self {
        let zero = Lanes::all(0.0);
        let seen = Seen { hot_spot_c: zero, top_oil_c: zero };
        Self {
            span: Span { from: 0, until: 0, level: true, coarse: false },
            before: State { top_oil_c: zero, gradient_1_k: zero, gradient_2_k: zero },
            hot_spot_before_c: zero,
            top_oil_before_c: zero,
            passed: Passed {
                highest_hot_spot_c: zero,
                highest_top_oil_c: zero,
                lowest_hot_spot_c: zero,
                lowest_top_oil_c: zero,
                seen: vec![seen; if W::WATCHES { LONGEST } else { 0 }],
            },
            stages: Vec::new(),
        }
    }

    /// Takes all lanes through the span. `table` has the factors of all loads, if they are the same
    /// in all lanes.
    #[inline(always)]
    pub(super) fn take<S: Simd, W: Watch<N>>(
        &mut self,
        registers: S,
        front: &mut Front<'_, N>,
        table: Option<&[[f64; 2]]>,
    ) {
        let (steps, Span { from, until, level, .. }) = (front.imposed.steps, self.span);
        // Only where a lane may be taken again, a peak be timed, or somebody look.
        if front.switching.any || self.span.coarse || W::WATCHES || N == 1 {
            self.before = front.state;
            self.hot_spot_before_c = front.hot_spot.value_c;
            self.top_oil_before_c = front.top_oil.value_c;
        }
        let drawn = |doubt: &'_ [f64]| if doubt.is_empty() { 0..0 } else { from..until };
        let (factors, factors_at) = match table {
            Some(table) => (FactorsOf::All(table), &steps.load_at[from..until]),
            None => (FactorsOf::Each(&front.rows), &front.row_at[..until - from]),
        };
        let imposed = stride::Span {
            factors_at,
            factors,
            ambient_c: &steps.ambient_c[from..until],
            ambient_per_min: &steps.ambient_per_min[from..until],
            doubt_k: &steps.ambient_doubt_k[drawn(&steps.ambient_doubt_k)],
            doubt_per_min: &steps.ambient_doubt_per_min[drawn(&steps.ambient_doubt_per_min)],
            ambient_error: &front.begin.ambient_error,
        };
        let (state, passed) = (&mut front.state, &mut self.passed);
        let extremes = match (&front.switching, W::TOP_OIL || self.span.coarse) {
            (Switching { any: true, by_hot_spot: true, .. }, _) => Extremes::All,
            (Switching { any: true, by_hot_spot: false, .. }, _) => Extremes::TopOil,
            (_, true) => Extremes::Highest,
            (_, false) => Extremes::HotSpot,
        };
        let asked = Asked { level, extremes };
        let (span, stride) = (&imposed, &front.stride);
        if W::WATCHES {
            registers.vectorize(Take::<N, true> { span, stride, state, passed, asked });
        } else {
            registers.vectorize(Take::<N, false> { span, stride, state, passed, asked });
        }
        raise(&mut front.hot_spot.value_c, &self.passed.highest_hot_spot_c);
        raise(&mut front.top_oil.value_c, &self.passed.highest_top_oil_c);
    }

    /// The lanes in which something happens inside the span that was not seen, bit by bit.
    #[inline(always)]
    pub(super) fn lanes_to_take_alone<W: Watch<N>>(&self, front: &Front<'_, N>) -> u64 {
        let mut lanes = 0;
        if front.switching.any && self.any_switches(front) {
            lanes |= (0..N).fold(0, |lanes, i| lanes | u64::from(self.switches(front, i)) << i);
        }
        if self.span.coarse && W::PEAKS {
            lanes |= self.may_peak_inside::<W>(front);
        }
        lanes
    }

    #[inline(always)]
    fn any_switches(&self, front: &Front<'_, N>) -> bool {
        (0..N).fold(0, |any, i| any | u64::from(self.switches(front, i))) != 0
    }

    /// Whether a lane reached a temperature at which its stage changes.
    #[allow(clippy::needless_bitwise_bool, reason = "without branches, several lanes at once")]
    #[inline(always)]
    fn switches(&self, front: &Front<'_, N>, i: usize) -> bool {
        let (passed, switching) = (&self.passed, &front.switching);
        (passed.highest_top_oil_c.0[i] >= switching.top_oil_starts_c.0[i])
            | (passed.lowest_top_oil_c.0[i] <= switching.top_oil_stops_c.0[i])
            | (passed.highest_hot_spot_c.0[i] >= switching.hot_spot_starts_c.0[i])
            | (passed.lowest_hot_spot_c.0[i] <= switching.hot_spot_stops_c.0[i])
    }

    /// The lanes in which a peak above the highest value so far may lie inside a coarse step: a bound
    /// passes that value and, in a single step, the rate changes sign. Under one load each part of the
    /// state moves one way, except the oil, which is bound by its values at the breakpoints and by how far
    /// the ambient moves between two of them.
    #[inline(always)]
    fn may_peak_inside<W: Watch<N>>(&self, front: &Front<'_, N>) -> u64 {
        let (steps, Span { from, until, .. }) = (front.imposed.steps, self.span);
        let elapsed_min = steps.minutes[from + 1] - steps.minutes[from];
        let steepest = |per_min: &[f64]| {
            let own = per_min.get(from..until).unwrap_or_default();
            own.iter().fold(0.0, |most, slope| greater(slope.abs(), most)) * elapsed_min
        };
        let ramp_k = steepest(&steps.ambient_per_min);
        let doubt_k = steepest(&steps.ambient_doubt_per_min);
        let (before, end) = (&self.before, &front.state);
        // One loop without branches: long after the overload no lane comes near its peak.
        let mut passes_k = Lanes::<N>::all(0.0);
        for i in 0..N {
            let top_oil_c = greater(before.top_oil_c.0[i], self.passed.highest_top_oil_c.0[i])
                + (ramp_k + front.begin.ambient_error.0[i].abs() * doubt_k);
            let gradient_1_k = greater(before.gradient_1_k.0[i], end.gradient_1_k.0[i]);
            let gradient_2_k = -greater(-before.gradient_2_k.0[i], -end.gradient_2_k.0[i]);
            let hot_k = top_oil_c + gradient_1_k - gradient_2_k - self.hot_spot_before_c.0[i];
            let oil_k = top_oil_c - self.top_oil_before_c.0[i];
            passes_k.0[i] = if W::TOP_OIL { greater(hot_k, oil_k) } else { hot_k };
        }
        if passes_k.0.iter().fold(0, |any, passes_k| any | u64::from(*passes_k > 0.0)) == 0 {
            return 0;
        }
        if until - from > 1 {
            return (0..N).fold(0, |lanes, i| lanes | u64::from(passes_k.0[i] > 0.0) << i);
        }
        self.turning(front, &passes_k)
    }

    /// The lanes among those in which a peak could pass in which a rate changes sign.
    #[inline(never)]
    fn turning(&self, front: &Front<'_, N>, passes_k: &Lanes<N>) -> u64 {
        let (steps, at) = (front.imposed.steps, self.span.from);
        let elapsed = Lanes::all(steps.minutes[at + 1] - steps.minutes[at]);
        let (before, end) = (&self.before, &front.state);
        let ambient = steps.slope_of_each(at, &front.begin.ambient_error);
        let later = Slope { start_c: ambient.start_c + ambient.per_min * elapsed, ..ambient };
        let factors = match front.table() {
            None => front.rows[front.row],
            Some(table) => {
                let [oil, winding] = table[steps.load_at[at] as usize];
                Factors { oil: Lanes::all(oil), winding: Lanes::all(winding) }
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

    /// A lane at the beginning of the span: its state, and its highest hot spot and top oil, °C.
    pub(super) fn before(&self, i: usize) -> (State<Lanes<1>>, [f64; 2]) {
        (self.before.lane(i), [self.hot_spot_before_c.0[i], self.top_oil_before_c.0[i]])
    }

    /// Makes room for the stages of lanes that are taken alone, if somebody looks.
    pub(super) fn in_stages(&mut self, stage: &[usize; N]) {
        if self.passed.seen.is_empty() {
            return;
        }
        self.stages.resize(self.span.until - self.span.from, *stage);
    }

    /// Notes a lane that was taken alone at the end of one of the steps.
    pub(super) fn note(&mut self, index: usize, i: usize, lane: &Lane<'_>) {
        let at = index - self.span.from;
        if let Some(stages) = self.stages.get_mut(at) {
            stages[i] = lane.stage;
        }
        if let Some(seen) = self.passed.seen.get_mut(at) {
            seen.top_oil_c.0[i] = lane.state.top_oil_c.0[0];
            seen.hot_spot_c.0[i] = lane.state.hot_spot_c().0[0];
        }
    }

    /// When a single run was hottest in the span, if it was never so hot before.
    ///
    /// Only a single run is asked, and a single run is watched.
    #[inline(always)]
    pub(super) fn time_peaks<W: Watch<N>>(&self, front: &mut Front<'_, N>) {
        if N != 1 || !W::WATCHES {
            return;
        }
        let first = |highest: f64, value: fn(&Seen<N>) -> f64| {
            let at = self.passed.seen.iter().position(|seen| value(seen) >= highest);
            at.map(|at| front.imposed.steps.minutes[self.span.from + 1 + at])
        };
        let (hot_spot, top_oil) = (front.hot_spot.lane(0), front.top_oil.lane(0));
        if hot_spot.value_c > self.hot_spot_before_c.0[0]
            && let Some(minute) = first(hot_spot.value_c, |seen| seen.hot_spot_c.0[0])
        {
            front.hot_spot.at_min.0[0] = minute;
        }
        if top_oil.value_c > self.top_oil_before_c.0[0]
            && let Some(minute) = first(top_oil.value_c, |seen| seen.top_oil_c.0[0])
        {
            front.top_oil.at_min.0[0] = minute;
        }
    }

    /// Shows every step of the span to who wants to see it.
    #[inline(always)]
    pub(super) fn show<W: Watch<N>>(&mut self, front: &Front<'_, N>, watch: &mut W) {
        if W::WATCHES && (!self.stages.is_empty() || self.wanted(watch)) {
            let count = self.span.until - self.span.from;
            let mut before = [&self.before.hot_spot_c(), &self.before.top_oil_c];
            for (at, seen) in self.passed.seen[..count].iter().enumerate() {
                watch.see(&Moment {
                    index: self.span.from + 1 + at,
                    top_oil_c: &seen.top_oil_c,
                    hot_spot_c: &seen.hot_spot_c,
                    before: Some(before),
                    stage: self.stages.get(at).unwrap_or(&front.stage),
                    steps: front.imposed.steps,
                    ambient_error: &front.begin.ambient_error,
                });
                before = [&seen.hot_spot_c, &seen.top_oil_c];
            }
        }
        self.stages.clear();
    }

    #[inline(always)]
    fn wanted<W: Watch<N>>(&self, watch: &W) -> bool {
        watch.wants(&self.passed.highest_hot_spot_c, &self.passed.highest_top_oil_c)
    }
}

/// Lane by lane the greater of the two.
#[inline(always)]
fn raise<const N: usize>(highest: &mut Lanes<N>, value: &Lanes<N>) {
    for (highest, value) in highest.0.iter_mut().zip(&value.0) {
        // Stored in any case: a store under a mask is slow.
        *highest = greater(*value, *highest);
    }
}

#[inline(always)]
fn greater(one: f64, other: f64) -> f64 {
    if one > other { one } else { other }
}
