//! What happens inside a step of one draw: stages that start and stop, peaks between breakpoints.

use super::cooling::{Control, Cooling, Sensor};
use super::lags::{Factors, Lags, Pace, Rates, Slope, Targets};
use super::lanes::Lanes;
use super::prepared::Imposed;
use super::root::falling_root;
use super::steps::Span;
use super::trajectory::Peak;
use super::{State, ieee};
use std::ops::Range;

/// Stage changes and peaks are located to this, min. It is a tenth of a millisecond,
/// far below the 0.01 K that the results are checked to.
pub(super) const EVENT_TOLERANCE_MIN: f64 = 1.0e-6;

/// Rounds of Newton's method: each doubles the digits, and the first guess is right to a minute in a quarter of an hour.
const NEWTON: usize = 4;

/// One lane, as a draw of its own.
pub(super) struct Lane<'a> {
    /// The lags of each stage.
    pub(super) lags_of: &'a dyn Fn(usize) -> Lags<f64>,
    pub(super) cooling: &'a Cooling,
    /// Index of the load that `factors` are for.
    pub(super) load: Option<usize>,
    pub(super) load_pu: f64,
    pub(super) stage: usize,
    /// How far above the temperatures at which they are set the thermostats act, K.
    pub(super) thermostat_k: f64,
    pub(super) lags: Lags<Lanes<1>>,
    /// What a whole step of some length, min, does under these lags.
    pub(super) pace: Option<(f64, Pace<Lanes<1>>)>,
    pub(super) factors: Factors<1>,
    /// What the state tends to under them and how fast, where it was asked for.
    pub(super) tends: Option<(Rates<Lanes<1>>, Targets<Lanes<1>>)>,
    pub(super) state: State<Lanes<1>>,
    pub(super) ambient: Slope<Lanes<1>>,
    pub(super) minute: f64,
    /// Whether the step is one in which a peak between its ends can matter.
    pub(super) coarse: bool,
    /// Whether the highest top oil is asked for.
    pub(super) top_oil_too: bool,
    /// Highest hot spot so far.
    pub(super) hot_spot: Peak,
    /// Highest top oil so far.
    pub(super) top_oil: Peak,
    /// Whether each stage was in service, bit by bit.
    pub(super) used: u64,
}

/// The temperatures between which a stage stays, °C, the lower and the higher; infinite where none ends it.
#[derive(Clone, Copy)]
struct Stays {
    top_oil_c: (f64, f64),
    hot_spot_c: (f64, f64),
}

impl Stays {
    const ALWAYS: Self = Self {
        top_oil_c: (f64::NEG_INFINITY, f64::INFINITY),
        hot_spot_c: (f64::NEG_INFINITY, f64::INFINITY),
    };

    fn ends(&self, top_oil_c: f64, hot_spot_c: f64) -> bool {
        let outside = |value: f64, (lower, higher): (f64, f64)| value >= higher || value <= lower;
        outside(top_oil_c, self.top_oil_c) || outside(hot_spot_c, self.hot_spot_c)
    }

    /// The temperatures at which the next stage starts, and this one stops.
    fn ends_at(&self) -> [Crossing; 4] {
        let starts = |sensor, point_c| Crossing { sensor, point_c, sign: 1.0 };
        let stops = |sensor, point_c| Crossing { sensor, point_c, sign: -1.0 };
        [
            starts(Sensor::TopOil, self.top_oil_c.1),
            starts(Sensor::Winding, self.hot_spot_c.1),
            stops(Sensor::TopOil, self.top_oil_c.0),
            stops(Sensor::Winding, self.hot_spot_c.0),
        ]
    }
}

/// A temperature at which a stage starts (sign above zero) or stops.
#[derive(Clone, Copy)]
struct Crossing {
    sensor: Sensor,
    point_c: f64,
    sign: f64,
}

/// Which of the two temperatures.
#[derive(Clone, Copy)]
enum Temperature {
    TopOil,
    HotSpot,
}

impl Lane<'_> {
    /// Takes the steps of a span; `errors` of load and ambient in standard uncertainties. `each` looks at the
    /// lane at the end of each step.
    pub(super) fn take(
        &mut self,
        imposed: Imposed<'_>,
        span: Span,
        errors: (f64, f64),
        mut each: impl FnMut(usize, &Self),
    ) {
        self.coarse = span.coarse;
        let mut index = span.from;
        while index < span.until {
            if !span.coarse {
                index = self.quiet_steps(imposed, index..span.until, errors, &mut each);
            }
            if index < span.until {
                self.impose(imposed, index, errors);
                self.go_on(imposed.steps.minutes[index + 1]);
                each(index, self);
                index += 1;
            }
        }
    }

    /// Takes fine steps up to the first in which the stage changes; gives the index of that.
    fn quiet_steps(
        &mut self,
        imposed: Imposed<'_>,
        steps: Range<usize>,
        errors: (f64, f64),
        mut each: impl FnMut(usize, &Self),
    ) -> usize {
        let stays = self.stays();
        let lost_at_min = self.cooling.lost_at_min.filter(|_| self.stage > 0);
        for index in steps.clone() {
            self.impose(imposed, index, errors);
            let until_min = imposed.steps.minutes[index + 1];
            let end = self.after_step(until_min - self.minute);
            let (top_oil_c, hot_spot_c) = (end.top_oil_c.0[0], end.hot_spot_c().0[0]);
            if stays.ends(top_oil_c, hot_spot_c) || lost_at_min.is_some_and(|at| until_min >= at) {
                return index;
            }
            (self.state, self.minute) = (end, until_min);
            for (highest, value_c) in
                [(&mut self.hot_spot, hot_spot_c), (&mut self.top_oil, top_oil_c)]
            {
                if value_c > highest.value_c {
                    *highest = Peak { value_c, at_min: until_min };
                }
            }
            each(index, self);
        }
        steps.end
    }

    /// Sets what holds over a step.
    fn impose(&mut self, imposed: Imposed<'_>, index: usize, errors: (f64, f64)) {
        let steps = imposed.steps;
        self.ambient = steps.slope(index, errors.1);
        let load = steps.load_at[index] as usize;
        if self.load != Some(load) {
            self.load = Some(load);
            self.load_pu = steps.loads[load].drawn_pu(errors.0);
            self.aim();
        }
    }

    /// The temperatures between which the stage stays, as [`Cooling::next`] has it before cooling is lost.
    fn stays(&self) -> Stays {
        let mut stays = Stays::ALWAYS;
        let lost = self.cooling.lost_at_min.is_some_and(|at| self.minute >= at);
        if lost || self.cooling.control != Control::Automatic {
            return stays;
        }
        let above = self.cooling.switching(self.stage + 1, self.thermostat_k);
        match above.map(|above| (above.sensor, above.start_c)) {
            Some((Sensor::TopOil, start_c)) => stays.top_oil_c.1 = start_c,
            Some((Sensor::Winding, start_c)) => stays.hot_spot_c.1 = start_c,
            None => {}
        }
        let own = self.cooling.switching(self.stage, self.thermostat_k);
        let own = own.filter(|_| self.stage > 0);
        match own.map(|own| (own.sensor, own.stop_c)) {
            Some((Sensor::TopOil, stop_c)) => stays.top_oil_c.0 = stop_c,
            Some((Sensor::Winding, stop_c)) => stays.hot_spot_c.0 = stop_c,
            None => {}
        }
        stays
    }

    /// Goes on to the end of a step, through every stage change.
    fn go_on(&mut self, until_min: f64) {
        // Each pass ends the step or changes the stage; hysteresis makes the passes few,
        // and the bound keeps a profile with absurd settings from going on for ever.
        for _ in 0..64 {
            let left_min = until_min - self.minute;
            let end = self.after_step(left_min);
            if self.next_stage(&end).is_none() {
                self.part(left_min, end);
                break;
            }
            let step_min = self.switching_moment(left_min);
            self.part(step_min, self.after(step_min));
            if until_min - self.minute < EVENT_TOLERANCE_MIN {
                break;
            }
            self.change_stage();
        }
        let left_min = until_min - self.minute;
        if left_min > 0.0 {
            self.part(left_min, self.after(left_min));
        }
        // Sums of steps carry rounding; the breakpoint itself does not.
        self.minute = until_min;
        self.change_stage();
    }

    /// The same as [`Self::after`], for a length that most steps have: what it does is kept.
    fn after_step(&mut self, elapsed_min: f64) -> State<Lanes<1>> {
        let kept = self.pace.filter(|(kept_min, _)| kept_min.to_bits() == elapsed_min.to_bits());
        let (_, pace) = kept.unwrap_or_else(|| (elapsed_min, self.lags.pace(elapsed_min)));
        self.pace = Some((elapsed_min, pace));
        self.lags.advance(&self.factors, &pace, &self.state, self.ambient, elapsed_min)
    }

    fn after(&self, elapsed_min: f64) -> State<Lanes<1>> {
        let pace = self.lags.pace(elapsed_min);
        self.lags.advance(&self.factors, &pace, &self.state, self.ambient, elapsed_min)
    }

    /// Cooling is lost at a breakpoint, so inside a step only temperatures decide.
    fn next_stage(&self, state: &State<Lanes<1>>) -> Option<usize> {
        let readings_c = [state.top_oil_c.0[0], state.hot_spot_c().0[0]];
        self.cooling.next((self.stage, self.thermostat_k), self.minute, readings_c)
    }

    /// Goes through every stage that wants to follow at once.
    pub(super) fn change_stage(&mut self) {
        for _ in 0..self.cooling.stages.len() {
            let state = self.state;
            let Some(next) = self.next_stage(&state) else {
                return;
            };
            self.stage = next;
            self.used |= 1 << next.min(63);
            self.lags = Lags::of(&[(self.lags_of)(next)]);
            self.aim();
        }
    }

    /// Sets the factors, and the time constant where it follows the load.
    fn aim(&mut self) {
        self.factors = self.lags.factors(Lanes([self.load_pu]));
        let targets = self.lags.targets(self.factors);
        ieee::correct(&mut self.lags, &targets, &self.state, self.ambient.start_c);
        (self.pace, self.tends) = (None, None);
    }

    /// The first moment inside the next `left_min` at which the stage wants to change.
    fn switching_moment(&self, left_min: f64) -> f64 {
        if let Some(crossing) = self.crossing(left_min) {
            return self
                .oil_crosses(crossing, left_min)
                .unwrap_or_else(|| falling_root(left_min, |at| -self.past(crossing, at)).1);
        }
        let wants = |at: f64| self.next_stage(&self.after(at)).is_some();
        let (mut before, mut after) = (0.0, left_min);
        while after - before > EVENT_TOLERANCE_MIN {
            let middle = before + (after - before) / 2.0;
            if wants(middle) {
                after = middle;
            } else {
                before = middle;
            }
        }
        after
    }

    /// When the oil gets past a point in the next `left_min`, at most [`EVENT_TOLERANCE_MIN`] late; `None` where it is the winding
    /// that is read, or the moment is not found so quickly.
    ///
    /// ```text
    /// a + b·t + c·e^(−t/τ) = point      at b = 0: t = −τ·ln((point − a)/c)
    /// ```
    fn oil_crosses(&self, crossing: Crossing, left_min: f64) -> Option<f64> {
        if crossing.sensor != Sensor::TopOil {
            return None;
        }
        let course = self.lags.oil_course(&self.factors, &self.state, self.ambient);
        let [a_c, b, c_k] = course.map(|lanes| lanes.0[0]);
        let (tau_min, off_k) = (self.lags.oil_tau_min.0[0], crossing.point_c - a_c);
        let least_min = EVENT_TOLERANCE_MIN / 2.0;
        let (mut at_min, mut moves_min) = (-tau_min * Lanes([off_k / c_k]).ln().0[0], 0.0);
        if b != 0.0 {
            // From where the straight line at the beginning leads: over one step the oil is nearly that.
            (at_min, moves_min) = ((off_k - c_k) / (b - c_k / tau_min), f64::INFINITY);
            for _ in 0..NEWTON {
                let left_k = c_k * Lanes([-at_min / tau_min]).exp().0[0];
                moves_min = (b * at_min + left_k - off_k) / (b - left_k / tau_min);
                at_min -= moves_min;
                if moves_min.abs() < least_min {
                    break;
                }
            }
        }
        let late_min = at_min + least_min;
        // Written so that a NaN is refused.
        let inside = late_min > 0.0 && late_min <= left_min && moves_min.abs() < least_min;
        (inside && self.past(crossing, late_min) >= 0.0).then_some(late_min)
    }

    /// The switching point that the end of the step is past; `None` where the step begins past it.
    fn crossing(&self, left_min: f64) -> Option<Crossing> {
        let inside = |crossing: &Crossing| {
            crossing.point_c.is_finite()
                && self.past(*crossing, 0.0) < 0.0
                && self.past(*crossing, left_min) >= 0.0
        };
        self.stays().ends_at().into_iter().find(inside)
    }

    /// How far the lane is past a switching point after a part of the step, K; below zero before it.
    fn past(&self, crossing: Crossing, elapsed_min: f64) -> f64 {
        let reading_c = match crossing.sensor {
            Sensor::TopOil => {
                self.lags.advance_oil(&self.factors, &self.state, self.ambient, elapsed_min)
            }
            Sensor::Winding => self.after(elapsed_min).hot_spot_c(),
        };
        crossing.sign * (reading_c.0[0] - crossing.point_c)
    }

    /// Goes on by a part of a step, to its end.
    fn part(&mut self, elapsed_min: f64, end: State<Lanes<1>>) {
        self.see(&end, elapsed_min, Temperature::HotSpot);
        if self.top_oil_too {
            self.see(&end, elapsed_min, Temperature::TopOil);
        }
        self.state = end;
        self.minute += elapsed_min;
        self.ambient.start_c = self.ambient.start_c + self.ambient.per_min * Lanes([elapsed_min]);
    }

    /// Keeps the highest value inside a step: at its end, or where the rate changes sign.
    fn see(&mut self, end: &State<Lanes<1>>, elapsed_min: f64, which: Temperature) {
        let (mut state, mut at) = (*end, elapsed_min);
        if self.coarse {
            self.tends = Some(self.tends.unwrap_or_else(|| self.tendency()));
        }
        if self.coarse
            && self.rate(&self.state, 0.0, which) > 0.0
            && self.rate(end, elapsed_min, which) < 0.0
        {
            at = falling_root(elapsed_min, |at| self.rate(&self.after(at), at, which)).0;
            state = self.after(at);
        }
        let (value_c, highest) = match which {
            Temperature::TopOil => (state.top_oil_c.0[0], &mut self.top_oil),
            Temperature::HotSpot => (state.hot_spot_c().0[0], &mut self.hot_spot),
        };
        if value_c > highest.value_c {
            *highest = Peak { value_c, at_min: self.minute + at };
        }
    }

    fn rate(&self, state: &State<Lanes<1>>, elapsed_min: f64, which: Temperature) -> f64 {
        let start_c = self.ambient.start_c + self.ambient.per_min * Lanes([elapsed_min]);
        let ambient = Slope { start_c, ..self.ambient };
        let (rates, targets) = self.tends.unwrap_or_else(|| self.tendency());
        let rate = match which {
            Temperature::TopOil => self.lags.oil_rate(&rates, &targets, state, ambient),
            Temperature::HotSpot => self.lags.hot_spot_rate(&rates, &targets, state, ambient),
        };
        rate.0[0]
    }

    fn tendency(&self) -> (Rates<Lanes<1>>, Targets<Lanes<1>>) {
        (self.lags.rates(), self.lags.targets(self.factors))
    }
}
