//! Temperatures over time: exact updates between breakpoints, stage changes and peaks located inside them.

use super::cooling::Cooling;
use super::schedule::{AmbientLine, LoadSteps};
use super::{Form, Ramp};

/// Stage changes and peaks are located to this, min. It is a tenth of a millisecond,
/// far below the 0.01 K that the results are checked to.
const EVENT_TOLERANCE_MIN: f64 = 1.0e-6;

/// What is imposed on the transformer between the first and the last breakpoint.
#[derive(Debug, Clone, Copy)]
pub struct Plan<'a> {
    /// Stages and how they are controlled.
    pub cooling: &'a Cooling,
    /// Load over time.
    pub load: &'a LoadSteps,
    /// Ambient over time.
    pub ambient: &'a AmbientLine,
    /// Minutes at which anything changes or is sampled ([`super::schedule::breakpoints`]).
    pub breakpoints: &'a [f64],
}

/// Temperatures at one instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Minute from the start of the overload.
    pub minute: f64,
    /// Load from this minute on, per unit.
    pub load_pu: f64,
    /// Ambient, °C.
    pub ambient_c: f64,
    /// Top oil, °C.
    pub top_oil_c: f64,
    /// Winding hot spot, °C.
    pub hot_spot_c: f64,
    /// Index of the cooling stage in service.
    pub stage: usize,
}

/// The highest value of a temperature and when it is reached first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// The temperature, °C.
    pub value_c: f64,
    /// When, min.
    pub at_min: f64,
}

/// One form's answer to one plan.
#[derive(Debug, Clone)]
pub struct Run<S> {
    /// A sample at every breakpoint.
    pub samples: Vec<Sample>,
    /// Highest hot spot.
    pub hot_spot: Peak,
    /// Highest top oil.
    pub top_oil: Peak,
    /// State at the last breakpoint.
    pub end: S,
    /// Stage in service at the last breakpoint.
    pub end_stage: usize,
    /// For each stage, whether it was in service at any time.
    pub stages_used: Vec<bool>,
}

/// Runs one form over a plan from a starting state and stage.
///
/// # Departures   A rise above a switching temperature that begins and ends between two
/// breakpoints is not seen; during the overload they are a minute apart.
pub fn simulate<F: Form>(
    form: &F,
    plan: &Plan<'_>,
    start: F::State,
    stage: usize,
) -> Run<F::State> {
    let first = plan.breakpoints.first().copied().unwrap_or(0.0);
    let mut walk = Walk::new(form, plan, first, start, stage);
    walk.change_stage();
    walk.sample();
    for pair in plan.breakpoints.windows(2) {
        walk.interval(pair[0], pair[1]);
    }
    walk.finish()
}

/// The moving front of a simulation.
struct Walk<'a, F: Form> {
    form: &'a F,
    plan: &'a Plan<'a>,
    minute: f64,
    load_pu: f64,
    ambient: Ramp,
    stage: usize,
    state: F::State,
    drive: F::Drive,
    decay: Option<(u64, F::Decay)>,
    samples: Vec<Sample>,
    hot_spot: Peak,
    top_oil: Peak,
    stages_used: Vec<bool>,
    load_cursor: usize,
    ambient_cursor: usize,
}

impl<'a, F: Form> Walk<'a, F> {
    fn new(form: &'a F, plan: &'a Plan<'a>, minute: f64, state: F::State, stage: usize) -> Self {
        let (mut load_cursor, mut ambient_cursor) = (0, 0);
        let load_pu = plan.load.at_or_after(&mut load_cursor, minute);
        let ambient = Ramp::level(plan.ambient.at_or_after(&mut ambient_cursor, minute));
        let peak = |value_c| Peak { value_c, at_min: minute };
        Self {
            load_cursor,
            ambient_cursor,
            form,
            plan,
            minute,
            load_pu,
            ambient,
            stage,
            state,
            drive: form.drive(&plan.cooling.stages[stage], load_pu, &state),
            decay: None,
            samples: Vec::with_capacity(plan.breakpoints.len()),
            hot_spot: peak(form.hot_spot_c(&state, ambient.start_c)),
            top_oil: peak(form.top_oil_c(&state, ambient.start_c)),
            stages_used: plan.cooling.stages.iter().enumerate().map(|(i, _)| i == stage).collect(),
        }
    }

    fn interval(&mut self, from_min: f64, until_min: f64) {
        let load_pu = self.plan.load.at_or_after(&mut self.load_cursor, from_min);
        self.load_changes_to(load_pu);
        let start_c = self.ambient.start_c;
        let end_c = self.plan.ambient.at_or_after(&mut self.ambient_cursor, until_min);
        let per_min = (end_c - start_c) / (until_min - from_min);
        self.minute = from_min;
        self.ambient = Ramp { start_c, per_min };
        self.change_stage();
        // Each pass ends the interval or changes the stage; hysteresis makes the passes few,
        // and the bound keeps a profile with absurd settings from going on for ever.
        for _ in 0..64 {
            let left_min = until_min - self.minute;
            let end = self.state_after(left_min);
            let switch = self.next_stage(&end, left_min);
            let step_min =
                if switch.is_some() { self.switching_moment(left_min) } else { left_min };
            self.step(step_min);
            if switch.is_none() || until_min - self.minute < EVENT_TOLERANCE_MIN {
                break;
            }
            self.change_stage();
        }
        let left_min = until_min - self.minute;
        if left_min > 0.0 {
            self.step(left_min);
        }
        // Sums of steps carry rounding; the breakpoint itself does not.
        self.minute = until_min;
        self.ambient.start_c = end_c;
        self.sample();
    }

    fn load_changes_to(&mut self, load_pu: f64) {
        if load_pu.to_bits() != self.load_pu.to_bits() {
            self.load_pu = load_pu;
            self.aim();
        }
    }

    fn aim(&mut self) {
        let stage = &self.plan.cooling.stages[self.stage];
        self.drive = self.form.drive(stage, self.load_pu, &self.state);
        self.decay = None;
    }

    fn state_after(&mut self, elapsed_min: f64) -> F::State {
        let bits = elapsed_min.to_bits();
        let decay = match self.decay {
            Some((known, decay)) if known == bits => decay,
            _ => {
                let decay = self.form.decay(&self.drive, elapsed_min);
                self.decay = Some((bits, decay));
                decay
            }
        };
        self.form.advance(&self.drive, &decay, &self.state, self.ambient, elapsed_min)
    }

    fn next_stage(&self, state: &F::State, elapsed_min: f64) -> Option<usize> {
        let ambient_c = self.ambient.at(elapsed_min);
        let top_oil_c = self.form.top_oil_c(state, ambient_c);
        let hot_spot_c = self.form.hot_spot_c(state, ambient_c);
        // Cooling is lost at a breakpoint, so inside an interval only temperatures decide.
        self.plan.cooling.next(self.stage, self.minute, top_oil_c, hot_spot_c)
    }

    fn change_stage(&mut self) {
        for _ in 0..self.plan.cooling.stages.len() {
            let state = self.state;
            let Some(next) = self.next_stage(&state, 0.0) else {
                return;
            };
            self.stage = next;
            self.stages_used[next] = true;
            self.aim();
        }
    }

    /// The first moment inside the next `left_min` at which a stage wants to change.
    fn switching_moment(&mut self, left_min: f64) -> f64 {
        let (mut before, mut after) = (0.0, left_min);
        while after - before > EVENT_TOLERANCE_MIN {
            let middle = before + (after - before) / 2.0;
            let state = self.state_after(middle);
            if self.next_stage(&state, middle).is_some() {
                after = middle;
            } else {
                before = middle;
            }
        }
        after
    }

    fn step(&mut self, elapsed_min: f64) {
        let end = self.state_after(elapsed_min);
        let hot = self.highest(&end, elapsed_min, F::hot_spot_rate, F::hot_spot_c);
        let oil = self.highest(&end, elapsed_min, F::top_oil_rate, F::top_oil_c);
        self.hot_spot = higher(self.hot_spot, hot);
        self.top_oil = higher(self.top_oil, oil);
        self.state = end;
        self.minute += elapsed_min;
        self.ambient.start_c = self.ambient.at(elapsed_min);
    }

    /// The highest value inside a step: at its end, or where the rate changes sign.
    fn highest(
        &mut self,
        end: &F::State,
        elapsed_min: f64,
        rate: impl Fn(&F, &F::Drive, &F::State, Ramp, f64) -> f64,
        value: impl Fn(&F, &F::State, f64) -> f64,
    ) -> Peak {
        let rises_first = rate(self.form, &self.drive, &self.state, self.ambient, 0.0) > 0.0;
        let falls_last = rate(self.form, &self.drive, end, self.ambient, elapsed_min) < 0.0;
        let (mut state, mut at) = (*end, elapsed_min);
        if rises_first && falls_last {
            let (mut before, mut after) = (0.0, elapsed_min);
            while after - before > EVENT_TOLERANCE_MIN {
                at = before + (after - before) / 2.0;
                state = self.state_after(at);
                if rate(self.form, &self.drive, &state, self.ambient, at) > 0.0 {
                    before = at;
                } else {
                    after = at;
                }
            }
        }
        Peak { value_c: value(self.form, &state, self.ambient.at(at)), at_min: self.minute + at }
    }

    fn sample(&mut self) {
        let ambient_c = self.ambient.start_c;
        self.samples.push(Sample {
            minute: self.minute,
            load_pu: self.plan.load.at_or_after(&mut self.load_cursor, self.minute),
            ambient_c,
            top_oil_c: self.form.top_oil_c(&self.state, ambient_c),
            hot_spot_c: self.form.hot_spot_c(&self.state, ambient_c),
            stage: self.stage,
        });
    }

    fn finish(self) -> Run<F::State> {
        Run {
            samples: self.samples,
            hot_spot: self.hot_spot,
            top_oil: self.top_oil,
            end: self.state,
            end_stage: self.stage,
            stages_used: self.stages_used,
        }
    }
}

fn higher(known: Peak, new: Peak) -> Peak {
    if new.value_c > known.value_c { new } else { known }
}

/// The first minute at which a temperature reaches `limit_c`, or `None` if it never does.
///
/// Between samples the temperature is taken as a straight line; the peak, which was located
/// exactly, counts as a sample of its own.
pub fn first_reached(
    samples: &[Sample],
    value: impl Fn(&Sample) -> f64,
    peak: Peak,
    limit_c: f64,
) -> Option<f64> {
    if peak.value_c < limit_c {
        return None;
    }
    let mut before: Option<(f64, f64)> = None;
    for sample in samples {
        let point = (sample.minute, value(sample));
        if let Some(last) = before
            && last.0 < peak.at_min
            && peak.at_min < point.0
            && peak.value_c >= limit_c
        {
            return Some(crossing(last, (peak.at_min, peak.value_c), limit_c));
        }
        if point.1 >= limit_c {
            return Some(before.map_or(point.0, |last| crossing(last, point, limit_c)));
        }
        before = Some(point);
    }
    Some(peak.at_min)
}

fn crossing(from: (f64, f64), to: (f64, f64), limit: f64) -> f64 {
    from.0 + (to.0 - from.0) * (limit - from.1) / (to.1 - from.1)
}
