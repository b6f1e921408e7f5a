//! The detailed model over a plan: steps, stage changes and peaks.

use super::super::cooling::Cooling;
use super::super::steps::{Doubt, Steps};
use super::super::trajectory::{Peak, Plan, Sample};
use super::balance::Heat;
use super::plate::Rated;
use super::step::{Drive, Taken};

/// The first step after the load or the stage changed, and the longest of all, min.
pub(super) const FIRST_MIN: f64 = 0.5;
const LONGEST_MIN: f64 = 15.0;

/// A step that may be off by more than this, K, is taken again in shorter ones. Our choice: then a course stays within
/// 0.05 K of one with steps a hundred times shorter (`tests/second_opinion/detailed.rs`). Steps follow from the course
/// alone: it has the same digits alone and among others.
const OFF_BY_K: f64 = 0.003;

/// By how much the next step may be longer or shorter than one, and how much of what its error allows it takes.
const SHORTER: f64 = 0.2;
const LONGER: f64 = 3.0;
const OF_ALLOWED: f64 = 0.85;

/// No step is shorter, min: there the printed rules jump, and a shorter one would be off by as much.
const SHORTEST_MIN: f64 = 0.01;

/// Two moments this close are one, min.
pub(super) const SAME_MIN: f64 = 1.0e-9;

/// So long the general step goes on before parabolas are tried again, min; twice as long where they took nothing, up to
/// the longest.
const ALONE_MIN: f64 = 2.0;
const LONGEST_ALONE_MIN: f64 = 30.0;

/// A stage stays for at least so long, min.
pub(super) const BETWEEN_MIN: f64 = 0.1;

/// What the detailed model makes of a plan.
#[derive(Debug, Clone)]
pub struct Course {
    /// A sample at every breakpoint.
    pub samples: Vec<Sample>,
    /// Highest hot spot.
    pub hot_spot: Peak,
    /// Highest top oil.
    pub top_oil: Peak,
    /// State at the last breakpoint.
    pub end: Heat,
    /// Stage in service at the last breakpoint.
    pub end_stage: usize,
    /// For each stage, whether it was in service at any time.
    pub stages_used: Vec<bool>,
}

/// On the way through a plan; `each` takes the samples.
pub(super) struct Way<'a, E> {
    pub(super) cooling: &'a Cooling,
    pub(super) stages: &'a [Rated],
    pub(super) steps: &'a Steps,
    pub(super) added_rise_k: f64,
    /// By what steps are multiplied: 1 but in tests.
    pub(super) shorter: f64,
    pub(super) heat: Heat,
    pub(super) stage: usize,
    pub(super) length_min: f64,
    /// How far it is, min.
    pub(super) minute: f64,
    /// When the stage last changed, min.
    pub(super) changed_min: f64,
    pub(super) hot_spot: Peak,
    pub(super) top_oil: Peak,
    pub(super) stages_used: Vec<bool>,
    /// How each stage last began.
    pub(super) begun: Vec<Option<Begun>>,
    pub(super) each: E,
}

/// How a stage began: after which breakpoint, when, and how hot.
#[derive(Debug, Clone, Copy)]
pub(super) struct Begun {
    pub(super) at: usize,
    pub(super) minute: f64,
    pub(super) heat: Heat,
}

/// Takes a state through a plan; steps are divided by `finer`, which is 1 but in tests.
pub fn through(
    stages: &[Rated],
    plan: &Plan<'_>,
    (heat, stage): (Heat, usize),
    added_rise_k: f64,
    finer: f64,
) -> Course {
    let mut samples = Vec::with_capacity(plan.breakpoints.len());
    let steps = Steps::of(plan, Doubt::NONE);
    let each = |sample| samples.push(sample);
    let mut way = Way::new(plan.cooling, stages, &steps, (heat, stage), each);
    (way.added_rise_k, way.shorter) = (added_rise_k, 1.0 / finer);
    way.go();
    let Way { heat, stage, hot_spot, top_oil, stages_used, .. } = way;
    Course { samples, hot_spot, top_oil, end: heat, end_stage: stage, stages_used }
}

impl<'a, E: FnMut(Sample)> Way<'a, E> {
    pub(super) fn new(
        cooling: &'a Cooling,
        stages: &'a [Rated],
        steps: &'a Steps,
        (heat, stage): (Heat, usize),
        each: E,
    ) -> Self {
        let none = Peak { value_c: f64::NEG_INFINITY, at_min: 0.0 };
        Self {
            cooling,
            stages,
            steps,
            added_rise_k: 0.0,
            shorter: 1.0,
            heat,
            stage,
            length_min: FIRST_MIN,
            minute: steps.minutes[0],
            changed_min: f64::NEG_INFINITY,
            hot_spot: none,
            top_oil: none,
            stages_used: vec![false; stages.len()],
            begun: vec![None; stages.len()],
            each,
        }
    }

    /// From the first breakpoint to the last.
    pub(super) fn go(&mut self) {
        let count = self.steps.minutes.len();
        self.switch(self.steps.minutes[0]);
        self.see(0, self.steps.minutes[0], self.heat);
        let (mut from, mut alone_min) = (0, ALONE_MIN);
        while from + 1 < count {
            let begun_min = self.minute;
            from = self.minutes(from);
            if self.minute > begun_min {
                (self.length_min, alone_min) = (FIRST_MIN, ALONE_MIN);
            }
            if from + 1 == count {
                return;
            }
            let until = self.together(from, alone_min);
            let reached = self.between((from, until), self.minute + alone_min);
            if reached > from && self.load_pu(reached).to_bits() != self.load_pu(from).to_bits() {
                self.length_min = FIRST_MIN;
            }
            from = reached;
            alone_min = (2.0 * alone_min).min(LONGEST_ALONE_MIN);
        }
    }

    pub(super) fn load_pu(&self, at: usize) -> f64 {
        self.steps.loads[self.steps.load_at[at] as usize].pu
    }

    /// The last breakpoint up to which load and slope of the ambient stay as they are.
    fn together(&self, from: usize, within_min: f64) -> usize {
        let slope = self.steps.ambient_per_min[from];
        let lost_min = self.cooling.lost_at_min.unwrap_or(f64::INFINITY);
        let soon_min = self.minute + within_min;
        let goes_on = |at: &usize| {
            self.steps.minutes[*at] < soon_min
                && self.load_pu(*at).to_bits() == self.load_pu(from).to_bits()
                && (self.steps.ambient_per_min[*at] - slope).abs() < 1.0e-12
                && !(self.steps.minutes[*at] >= lost_min && self.steps.minutes[from] < lost_min)
        };
        (from + 1..self.steps.ambient_per_min.len()).take_while(goes_on).count() + from + 1
    }

    pub(super) fn rated(&self) -> &Rated {
        &self.stages[self.stage]
    }

    pub(super) fn ambient_c(&self, from: usize, minute: f64) -> f64 {
        let slope = self.steps.ambient_per_min.get(from).copied().unwrap_or(0.0);
        self.steps.ambient_c[from] + slope * (minute - self.steps.minutes[from])
    }

    /// Steps on the way from one breakpoint to another, through a load that does not change, until a stage changes or a
    /// minute is passed; answers the last breakpoint that it reached.
    fn between(&mut self, (from, until): (usize, usize), enough_min: f64) -> usize {
        let end_min = self.steps.minutes[until];
        let mut next = from + 1;
        while self.minute < end_min - SAME_MIN {
            let (minute, left_min) = (self.minute, end_min - self.minute);
            let length_min = (self.length_min * self.shorter).min(left_min);
            // No last step that is much shorter than the others.
            let length_min = if length_min < left_min && 2.0 * length_min > left_min {
                0.5 * left_min
            } else {
                length_min
            };
            let drive = Drive {
                load: self.load_pu(from) / self.rated().rating_pu,
                ambient_c: self.ambient_c(from, minute) + self.added_rise_k,
                per_min: self.steps.ambient_per_min[from],
            };
            let (taken, allowed_min) = self.within(&drive, length_min);
            let (length_min, heat, changes) = match self.change((from, minute), &taken) {
                Some(at_min) => {
                    // Never twice at one moment: top oil jumps where a stage changes.
                    let soonest_min = self.changed_min + BETWEEN_MIN - minute;
                    let at_min = at_min.max(soonest_min).min(taken.length_min);
                    (at_min, taken.at(at_min), true)
                }
                None => (taken.length_min, taken.until, false),
            };
            self.peaks((from, minute), &taken, length_min);
            while next < until && self.steps.minutes[next] <= minute + length_min {
                let seen = taken.at(self.steps.minutes[next] - minute);
                self.see(next, self.steps.minutes[next], seen);
                next += 1;
            }
            self.heat = heat;
            self.minute =
                if changes || length_min < left_min { minute + length_min } else { end_min };
            self.length_min = allowed_min;
            if changes {
                self.switch(self.minute);
            }
            if self.minute < end_min - SAME_MIN && (changes || self.minute >= enough_min) {
                return next - 1;
            }
        }
        self.minute = end_min;
        self.switch(end_min);
        self.see(until, end_min, self.heat);
        until
    }

    /// A step of this length, or a shorter one where that is off by too much; and how long the next one may be.
    fn within(&self, drive: &Drive, mut length_min: f64) -> (Taken, f64) {
        loop {
            let taken = self.rated().step(&self.heat, drive, length_min);
            // The error goes with the third power of the length.
            let allowed = OF_ALLOWED * (OFF_BY_K / taken.error_k).cbrt();
            let next_min = length_min * allowed.clamp(SHORTER, LONGER) / self.shorter;
            // Written so that a NaN ends it.
            if !(taken.error_k > OFF_BY_K) || length_min <= SHORTEST_MIN {
                return (taken, next_min.clamp(SHORTEST_MIN, LONGEST_MIN));
            }
            length_min = (length_min * allowed.max(SHORTER)).max(SHORTEST_MIN);
        }
    }

    pub(super) fn peaks(&mut self, (from, minute): (usize, f64), taken: &Taken, length_min: f64) {
        for at_min in taken.level(1).filter(|at_min| *at_min < length_min) {
            higher(&mut self.hot_spot, taken.at(at_min).hot_spot_c, minute + at_min);
        }
        for at_min in taken.level(2).filter(|at_min| *at_min < length_min) {
            let [top_oil_c, _] = self.readings(from, minute + at_min, &taken.at(at_min));
            higher(&mut self.top_oil, top_oil_c, minute + at_min);
        }
        let heat = taken.at(length_min);
        let [top_oil_c, hot_spot_c] = self.readings(from, minute + length_min, &heat);
        higher(&mut self.hot_spot, hot_spot_c, minute + length_min);
        higher(&mut self.top_oil, top_oil_c, minute + length_min);
    }

    pub(super) fn see(&mut self, at: usize, minute: f64, heat: Heat) {
        let segment = at.min(self.steps.ambient_per_min.len().saturating_sub(1));
        let [top_oil_c, hot_spot_c] = self.readings(segment, minute, &heat);
        higher(&mut self.hot_spot, hot_spot_c, minute);
        higher(&mut self.top_oil, top_oil_c, minute);
        let load_pu = self.load_pu(at);
        (self.each)(Sample {
            minute,
            load_pu,
            ambient_c: self.steps.ambient_c[at],
            top_oil_c,
            hot_spot_c,
            stage: self.stage,
        });
    }
}

/// Written so that a NaN stays.
pub(super) fn higher(peak: &mut Peak, value_c: f64, at_min: f64) {
    if !(value_c <= peak.value_c) && !peak.value_c.is_nan() {
        *peak = Peak { value_c, at_min };
    }
}
