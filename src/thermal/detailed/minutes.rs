//! Minutes of a course by the parabolas of [`super::near`], as far as they hold.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

use super::super::lanes::{Work, wide};
use super::super::trajectory::Sample;
use super::balance::Heat;
use super::course::{BETWEEN_MIN, Begun, SAME_MIN, Way, higher};
use super::near::Near;
use super::point::{Gone, Point};
use super::step::Taken;

/// The first step, min, the longest, and the shortest.
const STEP_MIN: f64 = 2.0;
const LONGEST_MIN: f64 = 8.0;
const LEAST_MIN: f64 = 0.05;

/// By how much the next step may be longer, and up to which share of what is allowed.
const LONGER: f64 = 1.5;
const OF_ALLOWED: f64 = 0.6;

/// Halvings of a step on the way to the moment at which a stage changes: to a millisecond.
const HALVINGS: usize = 20;

/// Closer to a temperature at which a stage starts or stops, K, one that turns inside of a step is left to the general step:
/// fans that stop for a moment stay away.
const CLOSE_K: f64 = 0.5;

/// All cycles that are left out could move a temperature by no more than this, K, at the rate of the last one.
const CYCLES_K: f64 = 0.01;

/// A temperature that turns inside of a step is by less than this above the end of it, K.
const INSIDE_K: f64 = 1.0;

/// What to do about a step that there is something to be said against.
#[allow(clippy::large_enum_variant, reason = "it is looked at once and gone")]
enum Instead {
    /// Take it, and go on with other parabolas.
    Renew(Near),
    /// Take it again with other parabolas.
    Again(Near),
    /// Take a shorter one.
    Shorter,
    /// Leave it to the general step.
    Leave,
}

/// A step up to where the stage changes, and to which.
struct Change {
    at_min: f64,
    stage: Option<usize>,
    gone: Gone,
}

/// A course on its way through minutes, as wide as the processor has it.
struct Minutes<'w, 'a, E> {
    way: &'w mut Way<'a, E>,
    near: Near,
    from: usize,
}

impl<E: FnMut(Sample)> Work for Minutes<'_, '_, E> {
    /// The last breakpoint that it reached.
    type Answer = usize;

    #[inline(always)]
    fn run(self) -> usize {
        let Self { way, mut near, from } = self;
        let (mut point, mut fresh) = (near.begin(), true);
        let watched = way.stages.len() > 1;
        let mut at = from;
        while at + 1 < way.steps.minutes.len() {
            // Where the general step is in the middle of an interval it goes on from there.
            let begun_min = way.steps.minutes[at].max(way.minute);
            let (mut square, ambient) = way.drive(at);
            let end_min = way.steps.minutes[at + 1];
            let (mut minute, mut most_min) = (begun_min, STEP_MIN);
            while minute < end_min {
                let left_min = end_min - minute;
                let mut ends = left_min <= most_min;
                let mut length_min =
                    if ends { left_min } else { left_min / (left_min / most_min).ceil() };
                let mut gone = near.step(&point, square, ambient, length_min);
                let mut renewed = None;
                if gone.share >= 1.0 || gone.away || gone.kink_k > 0.0 {
                    match way.instead(&near, point, gone, (fresh, length_min)) {
                        Instead::Leave => return way.left_at(at, minute, near.heat(&point)),
                        Instead::Shorter => {
                            most_min = 0.5 * length_min;
                            continue;
                        }
                        Instead::Again(other) => {
                            (near, point, fresh) = (other, other.begin(), true);
                            continue;
                        }
                        Instead::Renew(other) => renewed = Some(other),
                    }
                }
                let step = (square, ambient, length_min);
                let mut next = None;
                if watched
                    && let Some(change) = way.until_change(&near, (&point, minute), step, gone)
                {
                    ends &= change.at_min >= length_min;
                    (gone, length_min, next) = (change.gone, change.at_min, change.stage);
                    // Those are for the end of the whole step.
                    renewed = None;
                }
                let readings_c @ [top_oil_c, hot_spot_c] =
                    [near.top_oil_c(&gone.to), near.hot_spot_c(&gone.to)];
                if watched
                    && next.is_none()
                    && way.is_close(minute, readings_c)
                    && near.turns(&gone, square)
                {
                    return way.left_at(at, minute, near.heat(&point));
                }
                if way.may_peak(readings_c) {
                    way.turn((at, minute), (&near, point), gone, (square, length_min));
                }
                (point, fresh) = (gone.to, false);
                if let Some(other) = renewed {
                    (near, point, fresh) = (other, other.begin(), true);
                }
                minute = if ends { end_min } else { minute + length_min };
                if gone.share < OF_ALLOWED {
                    most_min = (LONGER * most_min).min(LONGEST_MIN);
                }
                higher(&mut way.hot_spot, hot_spot_c, minute);
                higher(&mut way.top_oil, top_oil_c, minute);
                if let Some(stage) = next {
                    way.left_at(at, minute, near.heat(&point));
                    way.begin(stage, minute);
                    if !ends {
                        way.past_cycles(at);
                        minute = way.minute;
                    }
                    let Some(other) = way.rated().near(&way.heat, near.ambient_c(&point), 0.0)
                    else {
                        return if ends { way.seen(at + 1) } else { at };
                    };
                    (near, point, fresh) = (other, other.begin(), true);
                    // The top oil jumps where the bottom oil of two stages differs.
                    higher(&mut way.top_oil, near.top_oil_c(&point), minute);
                    square = way.drive(at).0;
                }
            }
            at += 1;
            (way.heat, way.minute) = (near.heat(&point), end_min);
            let (load_pu, stage) = (way.load_pu(at), way.stage);
            let (top_oil_c, hot_spot_c) = (near.top_oil_c(&point), near.hot_spot_c(&point));
            let ambient_c = way.steps.ambient_c[at];
            (way.each)(Sample { minute, load_pu, ambient_c, top_oil_c, hot_spot_c, stage });
        }
        at
    }
}

impl<E: FnMut(Sample)> Way<'_, E> {
    /// Notes where the parabolas end.
    #[cold]
    fn left_at(&mut self, at: usize, minute: f64, heat: Heat) -> usize {
        (self.heat, self.minute) = (heat, minute);
        at
    }

    /// Goes on from after a breakpoint as far as the parabolas hold; answers the last breakpoint that it reached.
    pub(super) fn minutes(&mut self, from: usize) -> usize {
        // Only tests ask for shorter steps: they hold this against the general step.
        if self.shorter < 1.0 || !self.stays(from) {
            return from;
        }
        let ambient_c = self.ambient_c(from, self.minute) + self.added_rise_k;
        let near = self.rated().near(&self.heat, ambient_c, 0.0);
        near.map_or(from, |near| wide(Minutes { way: self, near, from }))
    }

    /// Whether the highest temperatures may be inside of the step that ends here.
    #[inline(always)]
    fn may_peak(&self, [top_oil_c, hot_spot_c]: [f64; 2]) -> bool {
        hot_spot_c > self.hot_spot.value_c - INSIDE_K || top_oil_c > self.top_oil.value_c - INSIDE_K
    }

    #[cold]
    fn instead(
        &self,
        near: &Near,
        from: Point,
        gone: Gone,
        (fresh, length_min): (bool, f64),
    ) -> Instead {
        let at = |point: &Point| {
            self.rated().near(&near.heat(point), near.ambient_c(point), near.duct_k(point))
        };
        if gone.share < 1.0 && !gone.away && near.smooth(gone.kink_k) {
            return at(&gone.to).map_or(Instead::Leave, Instead::Renew);
        }
        if gone.away && !fresh && gone.share < 1.0 {
            return at(&from).map_or(Instead::Leave, Instead::Again);
        }
        if length_min > LEAST_MIN { Instead::Shorter } else { Instead::Leave }
    }

    /// Looks for a temperature that turns inside of a step.
    #[cold]
    fn turn(
        &mut self,
        at: (usize, f64),
        (near, from): (&Near, Point),
        gone: Gone,
        (square, length_min): (f64, f64),
    ) {
        let until_rates = near.rates(&gone.to, square);
        let turns = |part: usize| gone.rates[part] > 0.0 && until_rates[part] < 0.0;
        if turns(1) || turns(2) {
            let from = (near.heat(&from), gone.rates);
            let until = (near.heat(&gone.to), until_rates);
            self.peaks(at, &Taken::between(length_min, from, until), length_min);
        }
    }

    /// The square of the load after a breakpoint, per unit of the stage's rating, and how the ambient changes, K/min.
    #[inline(always)]
    fn drive(&self, at: usize) -> (f64, f64) {
        let load = self.load_pu(at) / self.rated().rating_pu;
        (load * load, self.steps.ambient_per_min[at])
    }

    /// The step up to where the stage changes; `None` where it does not.
    #[inline(always)]
    fn until_change(
        &self,
        near: &Near,
        (point, minute): (&Point, f64),
        (square, ambient, length_min): (f64, f64, f64),
        gone: Gone,
    ) -> Option<Change> {
        let stage = |gone: &Gone, at_min: f64| {
            let readings_c = [near.top_oil_c(&gone.to), near.hot_spot_c(&gone.to)];
            // A sum that is a rounding error before a breakpoint is that.
            let next = self.cooling.next((self.stage, 0.0), minute + at_min + SAME_MIN, readings_c);
            next.filter(|stage| *stage < self.stages.len())
        };
        let whole = Change { at_min: length_min, stage: stage(&gone, length_min), gone };
        whole.stage?;
        let step = |at_min: f64| {
            let gone = near.step(point, square, ambient, at_min);
            Change { at_min, stage: stage(&gone, at_min), gone }
        };
        let (mut before_min, mut after) = (0.0, whole);
        for _ in 0..HALVINGS {
            let middle = step(f64::midpoint(before_min, after.at_min));
            if middle.stage.is_some() { after = middle } else { before_min = middle.at_min }
        }
        // Never twice at one moment: top oil jumps where a stage changes.
        let soonest_min = (self.changed_min + BETWEEN_MIN - minute).min(length_min);
        Some(if soonest_min > after.at_min { step(soonest_min) } else { after })
    }

    /// Where a stage begins as it did one cycle before, and nothing changes for some cycles more, they are all the same: goes on
    /// from after them.
    #[cold]
    fn past_cycles(&mut self, at: usize) {
        let now = Begun { at, minute: self.minute, heat: self.heat };
        let Some(last) = self.begun[self.stage].replace(now).filter(|last| last.at == at) else {
            return;
        };
        let cycle_min = now.minute - last.minute;
        let cycles = ((self.steps.minutes[at + 1] - now.minute) / cycle_min).floor();
        let moved = now.heat.parts().into_iter().zip(last.heat.parts());
        let moved_k: f64 = moved.map(|(now, last)| (now - last).abs()).sum();
        // A NaN goes on.
        if self.steps.ambient_per_min[at] == 0.0 && cycles >= 1.0 && moved_k * cycles <= CYCLES_K {
            self.minute += cycles * cycle_min;
            self.changed_min = self.minute;
            self.begun[self.stage] = None;
        }
    }

    /// Whether a stage starts or stops near these temperatures, top oil and hot spot, °C.
    fn is_close(&self, minute: f64, readings_c: [f64; 2]) -> bool {
        let next = |off_k: f64| self.cooling.next((self.stage, off_k), minute, readings_c);
        next(-CLOSE_K).is_some() || next(CLOSE_K).is_some()
    }

    /// Takes the sample of a breakpoint, where no parabolas begin.
    #[cold]
    fn seen(&mut self, at: usize) -> usize {
        self.see(at, self.minute, self.heat);
        at
    }

    /// Whether none of the stages is lost already.
    fn stays(&self, at: usize) -> bool {
        self.stage == 0 || self.cooling.lost_at_min.is_none_or(|lost| self.steps.minutes[at] < lost)
    }
}
