//! One lane of a front on its own, where a stage changes or a peak lies inside a step.

use super::super::State;
use super::super::events::Lane;
use super::super::group::Group;
use super::super::lags::{Factors, Lags, Slope};
use super::super::lanes::Lanes;
use super::super::trajectory::Peak;
use super::Front;

impl<'a, const N: usize> Front<'a, N> {
    /// Takes some lanes through a span again, each alone; `top_oil_too` if the highest top oil is asked for.
    #[inline(never)]
    pub(super) fn take_alone(&mut self, lanes: u64, top_oil_too: bool, group: &mut Group<N>) {
        let mut changed = false;
        for i in (0..N).filter(|i| lanes >> i & 1 == 1) {
            let stages = &self.begin.stages;
            let lags_of = |stage: usize| stages[stage].lane(i);
            let (before, [hot_spot_c, top_oil_c]) = group.before(i);
            let mut lane =
                self.lane(i, (group.span.from, self.imposed.prepared.corrected), &before, &lags_of);
            (lane.hot_spot.value_c, lane.top_oil.value_c) = (hot_spot_c, top_oil_c);
            lane.top_oil_too = top_oil_too;
            let errors = (self.begin.load_error.0[i], self.begin.ambient_error.0[i]);
            lane.take(self.imposed, group.span, errors, |index, lane| group.note(index, i, lane));
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
            thermostat_k: self.begin.thermostat_k.0[i],
            lags: Lags::of(&[self.lags.lane(i)]),
            pace: None,
            factors: self.rows[self.row].lane(i),
            tends: None,
            top_oil_too: true,
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
        let row = &mut self.rows[self.row];
        row.oil.0[i] = found.factors.oil.0[0];
        row.winding.0[i] = found.factors.winding.0[0];
        if found.used != 0 {
            self.stage[i] = found.stage;
            self.used |= found.used;
            self.lags.set_lane(i, &found.lags);
        }
    }

    /// Changes the stage of every lane that wants to at a breakpoint.
    #[inline(never)]
    pub(super) fn change_stages(&mut self, index: usize) {
        let (cooling, minute) = (self.imposed.cooling, self.imposed.steps.minutes[index]);
        let hot_spot_c = self.state.hot_spot_c();
        let mut changed = false;
        for i in 0..N {
            let readings_c = [self.state.top_oil_c.0[i], hot_spot_c.0[i]];
            let stage = (self.stage[i], self.begin.thermostat_k.0[i]);
            if cooling.next(stage, minute, readings_c).is_none() {
                continue;
            }
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
