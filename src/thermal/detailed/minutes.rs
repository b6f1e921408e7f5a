//! Minutes of a course by the parabolas of [`super::near`], as far as they hold.

use super::super::cooling::Control;
use super::super::trajectory::Sample;
use super::course::{Way, higher};
use super::near::{Near, Point, Went};
use super::step::Taken;

/// The longest step, min, and the shortest.
const STEP_MIN: f64 = 1.0;
const LEAST_MIN: f64 = 0.05;

/// Closer to a temperature at which a stage starts or stops, K, the general step finds the moment.
const CLOSE_K: f64 = 0.5;

/// Where a course stands between two breakpoints.
struct Stand {
    near: Near,
    point: Point,
    /// Whether the parabolas are those of the state itself.
    fresh: bool,
    minute: f64,
}

impl<E: FnMut(Sample)> Way<'_, E> {
    /// Goes on from a breakpoint as far as the parabolas hold; answers the last breakpoint that it reached.
    pub(super) fn minutes(&mut self, from: usize) -> usize {
        let ambient_c = self.steps.ambient_c[from] + self.added_rise_k;
        // Only tests ask for shorter steps: they hold this against the general step.
        if self.shorter < 1.0 || !self.stays(from, [f64::NAN; 2]) {
            return from;
        }
        let Some(near) = self.rated().near(&self.heat, ambient_c) else { return from };
        let minute = self.steps.minutes[from];
        let mut stand = Stand { point: near.begin(), near, fresh: true, minute };
        let per_rating = 1.0 / self.rated().rating_pu;
        let mut at = from;
        while at + 1 < self.steps.minutes.len() {
            let load = self.load_pu(at) * per_rating;
            if !self.one(&mut stand, at, load * load) {
                break;
            }
            at += 1;
            self.heat = stand.near.heat(&stand.point);
            stand.minute = self.steps.minutes[at];
            let sample = Sample {
                minute: stand.minute,
                load_pu: self.load_pu(at),
                ambient_c: self.steps.ambient_c[at],
                top_oil_c: stand.near.top_oil_c(&stand.point),
                hot_spot_c: self.heat.hot_spot_c,
                stage: self.stage,
            };
            (self.each)(sample);
        }
        at
    }

    /// Steps from one breakpoint to the next, under the square of a load; `false` where they do not get there.
    fn one(&mut self, stand: &mut Stand, at: usize, square: f64) -> bool {
        let ambient = self.steps.ambient_per_min[at];
        let end_min = self.steps.minutes[at + 1];
        let mut most_min = STEP_MIN;
        loop {
            let left_min = end_min - stand.minute;
            let length_min = if left_min <= most_min {
                left_min
            } else {
                left_min / (left_min / most_min).ceil()
            };
            match stand.near.step(&stand.point, square, ambient, length_min) {
                Went::On(to, rates, until_rates) => {
                    let turns = |part: usize| rates[part] > 0.0 && until_rates[part] < 0.0;
                    if turns(1) || turns(2) {
                        let from = (stand.near.heat(&stand.point), rates);
                        let until = (stand.near.heat(&to), until_rates);
                        let taken = Taken::between(length_min, from, until);
                        self.peaks((at, stand.minute), &taken, length_min);
                    }
                    (stand.point, stand.fresh) = (to, false);
                    stand.minute += length_min;
                    let ends = length_min >= left_min;
                    let minute = if ends { end_min } else { stand.minute };
                    let hot_spot_c = stand.near.heat(&to).hot_spot_c;
                    let top_oil_c = stand.near.top_oil_c(&to);
                    if !self.stays(at + usize::from(ends), [top_oil_c, hot_spot_c]) {
                        return false;
                    }
                    higher(&mut self.hot_spot, hot_spot_c, minute);
                    higher(&mut self.top_oil, top_oil_c, minute);
                    if ends {
                        return true;
                    }
                }
                Went::Far if length_min > LEAST_MIN => most_min = 0.5 * length_min,
                Went::Away if !stand.fresh => {
                    let ambient_c = stand.near.ambient_c(&stand.point);
                    let heat = stand.near.heat(&stand.point);
                    let Some(near) = self.rated().near(&heat, ambient_c) else { return false };
                    (stand.point, stand.near, stand.fresh) = (near.begin(), near, true);
                }
                Went::Away if length_min > LEAST_MIN => most_min = 0.5 * length_min,
                Went::Far | Went::Away | Went::Kink => return false,
            }
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
            || [-CLOSE_K, CLOSE_K].into_iter().all(|off_k| {
                self.cooling.next((self.stage, off_k), minute, readings_c).is_none()
            })
    }
}
