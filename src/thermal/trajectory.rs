//! Temperatures over time: exact updates between breakpoints, stage changes and peaks located inside them.

use super::cooling::Cooling;
use super::front::{Begin, Front};
use super::hoisted::{Common, Hoisted};
use super::lags::Lags;
use super::lanes::Lanes;
use super::prepared::{Imposed, Prepared};
use super::schedule::{AmbientLine, LoadSteps};
use super::start::Start;
use super::steps::{Doubt, Steps};
use super::watch::{Moment, OnlyHottest, Watch};
use super::{Form, State};

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
pub struct Run {
    /// A sample at every breakpoint.
    pub samples: Vec<Sample>,
    /// Highest hot spot.
    pub hot_spot: Peak,
    /// Highest top oil.
    pub top_oil: Peak,
    /// State at the last breakpoint.
    pub end: State,
    /// Stage in service at the last breakpoint.
    pub end_stage: usize,
    /// For each stage, whether it was in service at any time.
    pub stages_used: Vec<bool>,
}

/// Runs one form over a plan from a starting state and stage.
///
/// # Departures   A rise above a switching temperature that begins and ends between two
/// breakpoints is not seen; during the overload they are a minute apart.
pub fn simulate<F: Form>(form: &F, plan: &Plan<'_>, start: State, stage: usize) -> Run {
    let steps = Steps::of(plan, Doubt::NONE);
    let lags: Vec<Lags<f64>> = plan.cooling.stages.iter().map(|stage| form.lags(stage)).collect();
    let hoisted = lags.iter().map(|lags| Hoisted::of(Common::Factors, *lags)).collect();
    let begin = Begin {
        stages: lags.iter().map(|lags| Lags::of(&[*lags])).collect(),
        state: State::of(&[start]),
        stage: [stage],
        load_error: Lanes([0.0]),
        ambient_error: Lanes([0.0]),
        thermostat_k: Lanes([0.0]),
    };
    let prepared = &Prepared::new(&steps, plan.cooling, hoisted);
    let imposed = Imposed { steps: &steps, cooling: plan.cooling, prepared };
    let mut front = Front::new(imposed, begin);
    let mut samples = Samples(Vec::with_capacity(plan.breakpoints.len()));
    front.run_alone(&mut samples);
    Run {
        samples: samples.0,
        hot_spot: front.hot_spot.lane(0),
        top_oil: front.top_oil.lane(0),
        end: front.state.lane(0).only(),
        end_stage: front.stage[0],
        stages_used: (0..lags.len()).map(|stage| front.used >> stage.min(63) & 1 == 1).collect(),
    }
}

/// One form over one plan from many starts, of each of which only the hottest hot spot is asked for.
#[derive(Debug)]
pub struct FromStarts<'a> {
    steps: &'a Steps,
    cooling: &'a Cooling,
    prepared: Prepared,
}

impl<'a> FromStarts<'a> {
    /// Prepares what all starts have in common.
    pub fn new<F: Form>(form: &F, steps: &'a Steps, cooling: &'a Cooling) -> Self {
        let lags = cooling.stages.iter().map(|stage| form.lags(stage));
        let hoisted = lags.map(|lags| Hoisted::of(Common::Factors, lags)).collect();
        Self { steps, cooling, prepared: Prepared::new(steps, cooling, hoisted) }
    }

    /// The hottest hot spot from a state and stage, °C; the form may carry an added rise of its own.
    pub fn hottest_c<F: Form>(&self, form: &F, Start { state, stage }: Start) -> f64 {
        let begin = Begin {
            stages: self.cooling.stages.iter().map(|own| Lags::of(&[form.lags(own)])).collect(),
            state: State::of(&[state]),
            stage: [stage],
            load_error: Lanes([0.0]),
            ambient_error: Lanes([0.0]),
            thermostat_k: Lanes([0.0]),
        };
        let (steps, cooling, prepared) = (self.steps, self.cooling, &self.prepared);
        let mut front = Front::new(Imposed { steps, cooling, prepared }, begin);
        front.run_alone(&mut OnlyHottest);
        front.hot_spot.lane(0).value_c
    }
}

/// Keeps a sample at every breakpoint.
struct Samples(Vec<Sample>);

impl Watch<1> for Samples {
    fn see(&mut self, moment: &Moment<'_, 1>) {
        self.0.push(Sample {
            minute: moment.minute(),
            load_pu: moment.load_pu(),
            ambient_c: moment.ambient_c().0[0],
            top_oil_c: moment.top_oil_c.0[0],
            hot_spot_c: moment.hot_spot_c.0[0],
            stage: moment.stage[0],
        });
    }
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
