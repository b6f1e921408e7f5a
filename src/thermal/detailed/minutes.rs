//! Minutes of a course by the parabolas of [`super::near`], as far as they hold.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

use super::super::cooling::Control;
use super::super::lanes::{Work, wide};
use super::super::trajectory::Sample;
use super::course::{Way, higher};
use super::near::Near;
use super::point::{Gone, Point};
use super::step::Taken;

/// The longest step, min, and the shortest.
const STEP_MIN: f64 = 2.0;
const LEAST_MIN: f64 = 0.05;

/// Closer to a temperature at which a stage starts or stops, K, the general step finds the moment.
const CLOSE_K: f64 = 0.5;

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
        let (per_rating, watched) = (1.0 / way.rated().rating_pu, way.stages.len() > 1);
        let mut at = from;
        while at + 1 < way.steps.minutes.len() {
            let load = way.load_pu(at) * per_rating;
            let (square, ambient) = (load * load, way.steps.ambient_per_min[at]);
            let end_min = way.steps.minutes[at + 1];
            let (mut minute, mut most_min) = (way.steps.minutes[at], STEP_MIN);
            while minute < end_min {
                let left_min = end_min - minute;
                let ends = left_min <= most_min;
                let length_min =
                    if ends { left_min } else { left_min / (left_min / most_min).ceil() };
                let gone = near.step(&point, square, ambient, length_min);
                let mut renewed = None;
                if gone.far || gone.away || gone.kink_k > 0.0 {
                    match way.instead(&near, point, gone, (fresh, length_min)) {
                        Instead::Leave => return at,
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
                let readings_c @ [top_oil_c, hot_spot_c] =
                    [near.top_oil_c(&gone.to), near.hot_spot_c(&gone.to)];
                if watched && !way.stays(at + usize::from(ends), readings_c) {
                    return at;
                }
                if way.may_peak(readings_c) {
                    way.turn((at, minute), (&near, point), gone, (square, length_min));
                }
                (point, fresh) = (gone.to, false);
                if let Some(other) = renewed {
                    (near, point, fresh) = (other, other.begin(), true);
                }
                minute = if ends { end_min } else { minute + length_min };
                higher(&mut way.hot_spot, hot_spot_c, minute);
                higher(&mut way.top_oil, top_oil_c, minute);
            }
            at += 1;
            way.heat = near.heat(&point);
            let (load_pu, stage) = (way.load_pu(at), way.stage);
            let (top_oil_c, hot_spot_c) = (near.top_oil_c(&point), near.hot_spot_c(&point));
            let ambient_c = way.steps.ambient_c[at];
            (way.each)(Sample { minute, load_pu, ambient_c, top_oil_c, hot_spot_c, stage });
        }
        at
    }
}

impl<E: FnMut(Sample)> Way<'_, E> {
    /// Goes on from a breakpoint as far as the parabolas hold; answers the last breakpoint that it reached.
    pub(super) fn minutes(&mut self, from: usize) -> usize {
        // Only tests ask for shorter steps: they hold this against the general step.
        if self.shorter < 1.0 || !self.stays(from, [f64::NAN; 2]) {
            return from;
        }
        let ambient_c = self.steps.ambient_c[from] + self.added_rise_k;
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
        if !gone.far && !gone.away && near.smooth(gone.kink_k) {
            return at(&gone.to).map_or(Instead::Leave, Instead::Renew);
        }
        if gone.away && !fresh && !gone.far {
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

    /// Whether no stage starts or stops near these temperatures, top oil and hot spot, °C, and none is lost up to a
    /// breakpoint.
    fn stays(&self, at: usize, readings_c: [f64; 2]) -> bool {
        if self.stages.len() < 2 {
            return true;
        }
        let minute = self.steps.minutes[at];
        if self.cooling.lost_at_min.is_some_and(|lost| minute >= lost) {
            return self.stage == 0;
        }
        self.cooling.control != Control::Automatic
            || [-CLOSE_K, CLOSE_K]
                .into_iter()
                .all(|off_k| self.cooling.next((self.stage, off_k), minute, readings_c).is_none())
    }
}
