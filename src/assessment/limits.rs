//! Every limit with its value, its margin and when it would be reached.

use super::case::Case;
use super::course::{Course, sample_minutes};
use super::evaluation::Evaluation;
use super::held_on::HeldOn;
use super::plant::{Plant, rate_of};
use crate::ageing::rate::AgeingRate;
use crate::bubbling::inception::Inception;
use crate::bubbling::{fessler, oommen_lindgren};
use crate::quantities::Celsius;
use crate::rules::facts::Held;
use crate::rules::limits::Quantity;
use crate::thermal::trajectory::{Run, Sample, first_reached};
use serde::Serialize;

/// How far past the end of the overload the first limit is looked for, min.
const LOOK_AHEAD_MIN: f64 = 1440.0;

/// The quantity of the bubbling limit.
const BUBBLING: &str = "bubbling";

/// One limit.
#[derive(Debug, Clone, Serialize)]
pub struct LimitLine {
    /// What is limited: `bubbling`, `hot-spot`, `top-oil`, `load`, `duration`, `ageing` or `metal-parts`.
    pub quantity: &'static str,
    /// Unit of `limit`, `value` and `margin`.
    pub unit: &'static str,
    /// The limit; for `bubbling` the inception temperature less the required margin and less what the
    /// draws take off.
    pub limit: f64,
    /// The greatest value during the overload; `null` if not computed.
    pub value: Option<f64>,
    /// `limit − value`.
    pub margin: Option<f64>,
    /// Id of the source.
    pub source: String,
    /// Minute at which it would be reached if the last load went on; `null` if not
    /// within the horizon. For `bubbling` with what the draws take off by then, and so never later than
    /// `time_to_limit_min` where bubbling is what ends that.
    pub reached_at_min: Option<f64>,
}

/// How far the limits are looked for, min.
pub fn horizon_min(case: &Case) -> f64 {
    case.request.loading.end_min + LOOK_AHEAD_MIN
}

/// The limits in force, the bubbling limit first; `going_on` is the course with the last load held on.
///
/// When the bubbling limit is reached, [`bubbling_reached`] says.
pub(super) fn lines(
    case: &Case,
    going_on: Option<&Course>,
    evaluation: &Evaluation<'_>,
) -> Vec<LimitLine> {
    let mut lines: Vec<LimitLine> = bubbling(evaluation, going_on).into_iter().collect();
    lines.extend(evaluation.facts.held.iter().map(|held| line(case, held, going_on)));
    lines.extend(only_for(case));
    lines.extend(metal_parts(case));
    lines
}

/// Puts right when the bubbling limit is reached: what is taken off the margin grows with the time, which the
/// limit for the asked duration does not know.
///
/// Where bubbling ends the time that the load can be held, it is that time. Where something else ends it earlier,
/// it is the earlier of the time by the asked limit and of the one by which 1 in 20 simulated cases reaches any
/// limit, and no earlier than what passes.
pub(super) fn bubbling_reached(lines: &mut [LimitLine], held: HeldOn, one_in_20_min: Option<f64>) {
    let Some(line) = lines.iter_mut().find(|line| line.quantity == BUBBLING) else { return };
    line.reached_at_min = match held.min {
        None => None,
        Some(min) if held.by_bubbling => Some(min),
        Some(min) => earlier(line.reached_at_min, one_in_20_min).map(|found| found.max(min)),
    };
}

/// When the first ceiling is reached if the last load goes on, min; infinite if none is.
pub(super) fn ceilings_min(lines: &[LimitLine]) -> f64 {
    let ceilings = lines.iter().filter(|line| line.quantity != BUBBLING);
    ceilings.filter_map(|line| line.reached_at_min).fold(f64::INFINITY, f64::min)
}

/// The models with the last load of the overload held for as long as we look.
pub(super) fn going_on(case: &Case, plant: &Plant<'_>) -> Course {
    let loading = &case.request.loading;
    let load = loading.load.held_after(loading.end_min);
    let until_min = horizon_min(case);
    let samples = sample_minutes(case.request.resolution, until_min, until_min);
    plant.course(case, &load, until_min, &samples)
}

/// Beyond the range of the correlations the limit is an upper bound: the real one is lower still.
fn bubbling(evaluation: &Evaluation<'_>, going_on: Option<&Course>) -> Option<LimitLine> {
    let facts = &evaluation.facts;
    let low = &facts.bubbling.low;
    let inception = low.inception().or_else(|| low.ceiling()).map(Celsius::value)?;
    // Where the draws say nothing finite the verdict is not a go, the limit is that without them, and
    // nobody may wait for it: it counts as reached at once.
    let known_k = Some(facts.allowance_k()).filter(|allowance_k| allowance_k.is_finite());
    let allowance_k = known_k.unwrap_or(0.0);
    let limit = inception - facts.required.no_go_k - allowance_k;
    let value = facts.value_of(Quantity::HotSpot);
    let source = match low.known().map(Inception::governed_by) {
        Some(oommen_lindgren::NAME) => "oommen-lindgren-2001",
        Some(fessler::NAME) => "fessler-1989",
        Some(_) | None => "project-choice",
    };
    Some(LimitLine {
        quantity: BUBBLING,
        unit: "°C",
        limit,
        value,
        margin: value.map(|value| limit - value),
        source: source.to_owned(),
        reached_at_min: match known_k {
            Some(_) => from_either(going_on, |course| hot_spot_reaches(course, limit)),
            None => Some(0.0),
        },
    })
}

fn line(case: &Case, held: &Held, going_on: Option<&Course>) -> LimitLine {
    let ceiling = &held.ceiling;
    let limit = ceiling.limit;
    let mut steps = case.request.loading.load.steps().iter();
    let mut exceeded_min = || steps.find(|step| !(step.1 <= limit)).map(|step| step.0);
    LimitLine {
        quantity: ceiling.quantity.name(),
        unit: ceiling.quantity.unit(),
        limit,
        value: held.value,
        margin: held.value.map(|value| limit - value),
        source: ceiling.source.clone(),
        reached_at_min: match ceiling.quantity {
            Quantity::HotSpot => from_either(going_on, |course| hot_spot_reaches(course, limit)),
            Quantity::TopOil => from_either(going_on, |course| top_oil_reaches(course, limit)),
            Quantity::Load => {
                exceeded_min().filter(|_| held.value.is_some_and(|pu| !(pu <= limit)))
            }
            Quantity::Duration => Some(limit).filter(|limit| *limit <= horizon_min(case)),
            Quantity::Ageing => {
                from_either(going_on, |course| ageing_reaches(course, rate_of(&case.unit), limit))
            }
        },
    }
}

/// A set that is only for shorter overloads ends with them, however cool the unit is.
fn only_for(case: &Case) -> Option<LimitLine> {
    let limit = case.limits.shorter_than_min?;
    let value = case.request.loading.end_min;
    Some(LimitLine {
        quantity: Quantity::Duration.name(),
        unit: Quantity::Duration.unit(),
        limit,
        value: Some(value),
        margin: Some(limit - value),
        source: case.limits.source.clone(),
        reached_at_min: Some(limit).filter(|limit| *limit <= horizon_min(case)),
    })
}

fn metal_parts(case: &Case) -> Option<LimitLine> {
    Some(LimitLine {
        quantity: "metal-parts",
        unit: "°C",
        limit: case.limits.metal_c?,
        value: None,
        margin: None,
        source: case.limits.source.clone(),
        reached_at_min: None,
    })
}

/// From the start that counts or from the one stated, whichever is earlier: the one is hotter in the end, the other at first.
fn from_either(going_on: Option<&Course>, reaches: impl Fn(&Course) -> Option<f64>) -> Option<f64> {
    let course = going_on?;
    earlier(reaches(course), reaches(course.stated()))
}

fn hot_spot_reaches(course: &Course, limit_c: f64) -> Option<f64> {
    let pick = |sample: &Sample| sample.hot_spot_c;
    let reached = |(_, run): (_, &Run)| first_reached(&run.samples, pick, run.hot_spot, limit_c);
    course.runs().filter_map(reached).reduce(f64::min)
}

fn top_oil_reaches(course: &Course, limit_c: f64) -> Option<f64> {
    let pick = |sample: &Sample| sample.top_oil_c;
    let reached = |(_, run): (_, &Run)| first_reached(&run.samples, pick, run.top_oil, limit_c);
    course.runs().filter_map(reached).reduce(f64::min)
}

/// The first minute at which the hottest model is hotter than a limit that changes with time.
pub(super) fn first_hotter(course: &Course, limit_c: impl Fn(f64) -> f64) -> Option<f64> {
    let mut before: Option<(f64, f64)> = None;
    for models in course.samples() {
        let minute = models.minute();
        let over_k = models.hot_spot_c() - limit_c(minute);
        if over_k >= 0.0 {
            let (last_min, last_k) = before.unwrap_or((minute, over_k));
            let share = if over_k > last_k { -last_k / (over_k - last_k) } else { 0.0 };
            return Some(last_min + (minute - last_min) * share);
        }
        before = Some((minute, over_k));
    }
    None
}

fn earlier(one: Option<f64>, other: Option<f64>) -> Option<f64> {
    one.into_iter().chain(other).reduce(f64::min)
}

/// When the normal-life hours used so far pass a ceiling.
fn ageing_reaches(course: &Course, rate: AgeingRate, limit_h: f64) -> Option<f64> {
    let hottest = course.samples().filter_map(|models| models.hottest_at());
    let course: Vec<(f64, Celsius)> = hottest.collect();
    let mut used_h = 0.0;
    for pair in course.windows(2) {
        used_h += rate.hours_used(pair);
        if used_h > limit_h {
            return Some(pair[0].0);
        }
    }
    None
}
