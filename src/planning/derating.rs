//! What the unit may carry against the moisture that counts: continuous, in its own daily cycle, in an emergency.

use super::plan::Plan;
use super::templates::Templates;
use crate::assessment::case::{Case, Resolution, StartFrom};
use crate::assessment::planned::Planned;
use crate::assessment::rated::FromStart;
use crate::loading::load::Loading;
use crate::rating::Governs;
use crate::rating::governs::governs;
use crate::rating::question::{ANY_MIN, Ambient, Question};
use crate::rating::table::{GREATEST_PU, cells};
use crate::rules::limits::LimitSet;
use crate::thermal::schedule::{AmbientLine, LoadSteps};
use rayon::iter::{IntoParallelIterator, ParallelIterator};
use serde::Serialize;

/// Moistures of the curve are this far apart, %, and so many.
const STEP_PERCENT: f64 = 0.5;
const STEPS: u32 = 9;

/// Durations of the emergency, min.
const EMERGENCY_MIN: [f64; 2] = [60.0, 240.0];

const DAY_MIN: f64 = 1440.0;

/// Loads against moisture, at one ambient.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Derating {
    /// Ambient, °C, constant.
    pub ambient_c: f64,
    /// Load before an emergency, pu: the greatest that the unit normally carries in the forecast.
    pub preload_pu: f64,
    /// The moisture that counts as the unit stands, %.
    pub counting_percent: f64,
    /// Day whose load is the cycle: that with the greatest load, RFC 3339.
    pub cycle_of: String,
    /// Limit set of the continuous and the cyclic load.
    pub limits: String,
    /// Limit set of an emergency.
    pub emergency_limits: String,
    /// A row for each moisture, the driest first: every half per cent, and the unit's own.
    pub rows: Vec<AtMoisture>,
}

/// What the unit may carry with one moisture.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AtMoisture {
    /// The moisture that would count, %.
    pub moisture_percent: f64,
    /// Carried until its start no longer shows.
    pub continuous: Carries,
    /// The peak of the unit's own daily cycle, day after day.
    pub cyclic: Carries,
    /// From the preload, for each duration, the shortest first.
    pub emergency: Vec<Emergency>,
}

/// A load that may be carried.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Carries {
    /// The largest, pu; `null`: none.
    pub load_pu: Option<f64>,
    /// What ends it.
    pub governs: Governs,
}

/// A load that may be carried for a time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Emergency {
    /// For how long, min.
    pub duration_min: f64,
    /// What may be carried.
    pub carries: Carries,
}

/// The loads of the unit at a place of the plan; `None` without moisture that counts.
pub fn derating(
    plan: &Plan,
    focus: usize,
    templates: &Templates,
    ambient_c: Option<f64>,
) -> Option<Derating> {
    let counting_percent = Planned::of(&templates.while_out).counting_percent()?;
    let normally = &plan.units[focus].normally.load;
    let greatest_pu = normally.greatest_between(0.0, plan.ambient_until_min);
    let asked = Asked {
        templates,
        ambient_c: ambient_c.unwrap_or_else(|| plan.highest_ambient_c()),
        preload_pu: plan.greatest_normal_pu(focus),
        cycle: cycle(plan, normally, greatest_pu),
    };
    let steps = (1..=STEPS).map(|step| f64::from(step) * STEP_PERCENT);
    let mut moistures: Vec<f64> = steps.chain([counting_percent]).collect();
    moistures.sort_by(f64::total_cmp);
    moistures.dedup();
    Some(Derating {
        ambient_c: asked.ambient_c,
        preload_pu: asked.preload_pu,
        counting_percent,
        cycle_of: plan.time(asked.cycle.from_min),
        limits: templates.while_out.limits.name.clone(),
        emergency_limits: templates.after_trip.limits.name.clone(),
        rows: moistures.into_par_iter().map(|percent| asked.at(Some(percent))).collect(),
    })
}

/// What the unit may carry as its templates stand; the same question as a row of [`derating`].
pub fn as_it_stands(
    plan: &Plan,
    focus: usize,
    templates: &Templates,
    (ambient_c, preload_pu): (f64, f64),
    percent: Option<f64>,
) -> AtMoisture {
    let normally = &plan.units[focus].normally.load;
    let greatest_pu = normally.greatest_between(0.0, plan.ambient_until_min);
    let cycle = cycle(plan, normally, greatest_pu);
    Asked { templates, ambient_c, preload_pu, cycle }.at(percent)
}

/// One day of load.
struct Cycle {
    from_min: f64,
    /// From the start of the day on, with the greatest load 1.
    shape: LoadSteps,
}

/// The day with the greatest load.
fn cycle(plan: &Plan, load: &LoadSteps, greatest_pu: f64) -> Cycle {
    let until_min = plan.ambient_until_min;
    let mut from_min = 0.0;
    while from_min + DAY_MIN < until_min
        && load.greatest_between(from_min, from_min + DAY_MIN) < greatest_pu
    {
        from_min += DAY_MIN;
    }
    let day = load.part(from_min, from_min + DAY_MIN);
    let factor = if greatest_pu > 0.0 { 1.0 / greatest_pu } else { 1.0 };
    Cycle { from_min, shape: day.scaled_before(f64::INFINITY, factor) }
}

struct Asked<'a> {
    templates: &'a Templates,
    ambient_c: f64,
    preload_pu: f64,
    cycle: Cycle,
}

impl Asked<'_> {
    fn at(&self, percent: Option<f64>) -> AtMoisture {
        let normal = with_water(&self.templates.while_out, percent);
        let emergency = with_water(&self.templates.after_trip, percent);
        let continuous = self.table(&normal, vec![None]).pop();
        let durations = EMERGENCY_MIN.iter().copied().map(Some).collect();
        let in_emergency = EMERGENCY_MIN.iter().zip(self.table(&emergency, durations));
        AtMoisture {
            moisture_percent: percent
                .or_else(|| Planned::of(&normal).counting_percent())
                .unwrap_or(0.0),
            continuous: continuous.unwrap_or_else(none),
            cyclic: self.cyclic(&normal),
            emergency: in_emergency
                .map(|(duration_min, carries)| Emergency { duration_min: *duration_min, carries })
                .collect(),
        }
    }

    fn table(&self, template: &Case, durations_min: Vec<Option<f64>>) -> Vec<Carries> {
        let question = Question {
            template: template.clone(),
            durations_min,
            ambients: vec![Ambient::constant(self.ambient_c)],
            preloads_pu: vec![self.preload_pu],
            sets: vec![LimitSet { shorter_than_min: None, ..template.limits.clone() }],
        };
        let carries =
            |cell: crate::rating::Cell| Carries { load_pu: cell.load_pu, governs: cell.governs };
        cells(&question).into_iter().map(carries).collect()
    }

    /// The cycle day after day, from the load at its start, until that no longer shows.
    fn cyclic(&self, template: &Case) -> Carries {
        let mut case = template.clone();
        let begins_pu = self.cycle.shape.at(0.0);
        case.request.ambient = AmbientLine::constant(self.ambient_c);
        case.request.start = StartFrom::Preload(begins_pu.min(self.preload_pu));
        case.request.resolution = Resolution::Hours;
        let constant = LoadSteps::new(vec![(0.0, 1.0), (ANY_MIN, 0.0)]);
        let Some(load) = constant else { return none() };
        case.request.loading = Loading { load, end_min: ANY_MIN };
        let mut start = FromStart::of(&case);
        let days = (start.settled_after_min() / DAY_MIN).ceil();
        let Some(loading) = self.days(days) else { return none() };
        let with_cycle = Case {
            request: crate::assessment::case::Request { loading, ..case.request.clone() },
            ..case.clone()
        };
        let largest = start.largest(&with_cycle, GREATEST_PU);
        let ends = governs(largest.ended_by.as_ref(), largest.load_pu.is_some());
        Carries { load_pu: largest.load_pu, governs: ends }
    }

    fn days(&self, days: f64) -> Option<Loading> {
        let mut steps = Vec::new();
        let mut day_min = 0.0;
        while day_min < days * DAY_MIN {
            let day = self.cycle.shape.steps().iter();
            steps.extend(day.map(|step| (step.0 + day_min, step.1)));
            day_min += DAY_MIN;
        }
        steps.push((day_min, 0.0));
        Some(Loading { load: LoadSteps::new(steps)?, end_min: day_min })
    }
}

/// The case with this moisture; ratings are followed minute by minute.
fn with_water(template: &Case, percent: Option<f64>) -> Case {
    let mut case = template.clone();
    case.water_as_percent = percent.or(template.water_as_percent);
    case.request.resolution = Resolution::Minutes;
    case
}

/// No load was found.
fn none() -> Carries {
    Carries { load_pu: None, governs: governs(None, false) }
}
