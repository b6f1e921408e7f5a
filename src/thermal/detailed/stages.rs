//! When a stage of a course starts or stops.

use super::super::trajectory::Sample;
use super::balance::Heat;
use super::course::{FIRST_MIN, Way, higher};
use super::step::Taken;

/// Halvings on the way to the moment at which a stage changes: to far below a second.
const HALVINGS: usize = 40;

impl<E: FnMut(Sample)> Way<'_, E> {
    pub(super) fn readings(&self, from: usize, minute: f64, heat: &Heat) -> [f64; 2] {
        let ambient_c = self.ambient_c(from, minute) + self.added_rise_k;
        [self.rated().oil(heat.oil_c, ambient_c).0, heat.hot_spot_c]
    }

    fn next_stage(&self, from: usize, minute: f64, heat: &Heat) -> Option<usize> {
        let readings = self.readings(from, minute, heat);
        let next = self.cooling.next((self.stage, 0.0), minute, readings);
        next.filter(|stage| *stage < self.stages.len())
    }

    /// When inside of a step the stage changes, min from its beginning.
    pub(super) fn change(&self, (from, minute): (usize, f64), taken: &Taken) -> Option<f64> {
        let changes =
            |at_min: f64| self.next_stage(from, minute + at_min, &taken.at(at_min)).is_some();
        // Where a temperature turns inside of the step it may have been past the control's for a while.
        let turns = taken.level(1).chain(taken.level(2));
        let first = turns.chain([taken.length_min]).filter(|at_min| changes(*at_min));
        let late = first.fold(f64::INFINITY, f64::min);
        if !late.is_finite() {
            return None;
        }
        let (mut before, mut after) = (0.0, late);
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(before, after);
            if changes(middle) { after = middle } else { before = middle }
        }
        Some(after)
    }

    /// Changes the stage where its controls, or a loss of cooling, ask for it.
    pub(super) fn switch(&mut self, minute: f64) {
        let at = self.steps.minutes.partition_point(|known| *known <= minute).saturating_sub(1);
        let at = at.min(self.steps.ambient_per_min.len().saturating_sub(1));
        self.stages_used[self.stage] = true;
        if let Some(stage) = self.next_stage(at, minute, &self.heat) {
            self.begin(stage, minute);
            // The top oil jumps where the bottom oil of two stages differs.
            let [top_oil_c, hot_spot_c] = self.readings(at, minute, &self.heat);
            higher(&mut self.top_oil, top_oil_c, minute);
            higher(&mut self.hot_spot, hot_spot_c, minute);
        }
    }

    /// Changes it to another one.
    pub(super) fn begin(&mut self, stage: usize, minute: f64) {
        (self.stage, self.changed_min, self.length_min) = (stage, minute, FIRST_MIN);
        self.stages_used[stage] = true;
    }
}
