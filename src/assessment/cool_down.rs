//! After the overload: water in the oil while it cools, and when the oil is as it was.
//!
//! Run once, for the load that is asked; the search for the largest load does without.

use super::basis::Basis;
use super::case::{Case, StartFrom};
use super::course::Course;
use super::evaluation::Evaluation;
use super::past::past_moments;
use super::plant::Plant;
use super::search::LargestLoads;
use super::wet_paper::WetPaper;
use crate::moisture::cooldown::{CoolDown, Moment, OilState, Setting, Start, follow};
use crate::moisture::exchange::{Exchange, Masses};
use crate::moisture::strength::strength;
use crate::rules::facts::{CoolDownFacts, OilBeforeFacts};
use crate::rules::finding::Severity;
use crate::thermal::schedule::LoadSteps;
use crate::unit::{Liquid, Unit};
use serde::Serialize;

/// What is followed through the overload is followed at least so long after it, min.
const AT_LEAST_MIN: f64 = 1440.0;
/// The wait is looked for until so long after the end, min.
const WAIT_WITHIN_MIN: f64 = 7.0 * 1440.0;
/// Of a longer history only so much is followed, min; before it the oil is taken to be at rest.
const HISTORY_MIN: f64 = 7.0 * 1440.0;
/// Points that the course keeps.
const POINTS: usize = 60;

/// Water in the oil through the overload and the cool-down.
#[derive(Debug, Clone, Serialize)]
pub struct Cooldown {
    /// Most water in the oil, ppm.
    pub peak_ppm: f64,
    /// When, min.
    pub at_min: f64,
    /// Water in the oil at minute 0, ppm.
    pub ppm_at_start: f64,
    /// Highest relative saturation from minute 0 on, at the top oil, %; `null` where the oil
    /// is colder than the solubility is known for.
    pub peak_saturation_percent: Option<f64>,
    /// When, min.
    pub peak_saturation_at_min: Option<f64>,
    /// Below this oil with the most water gives off free water, °C.
    pub saturates_below_c: Option<f64>,
    /// The same with the water at the end of the course, °C.
    pub saturates_below_at_end_c: Option<f64>,
    /// Lowest ambient from minute 0 on, °C.
    pub lowest_ambient_c: f64,
    /// From the end of the overload until the oil is as it was, min; `null`: longer than computed, or unknown.
    pub wait_min: Option<f64>,
    /// How far it was computed, min.
    pub horizon_min: f64,
    /// Whether the water is only the most that it could be, and nothing was followed over time.
    pub bound_only: bool,
    /// Whether the paper is wetter than the isotherm covers, so that the oil was taken up to saturation.
    pub beyond_isotherm: bool,
    /// Breakdown voltage that was measured in other mineral oil as near saturation; `null` for another liquid and
    /// outside the measured range.
    pub breakdown_kv: Option<BreakdownLine>,
    /// The course, thinned.
    pub course: Vec<CooldownPoint>,
}

/// Breakdown voltage.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct BreakdownLine {
    /// Breakdown voltage, kV.
    pub kv: f64,
    /// Whether it is only known to be no more than that.
    pub at_most: bool,
}

/// The oil at one moment.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct CooldownPoint {
    /// Minute from the start of the overload.
    pub min: f64,
    /// Top oil of the hottest model, °C.
    pub top_oil_c: f64,
    /// Water in the oil, ppm.
    pub ppm: f64,
    /// Relative saturation at the top oil of the cooler form, %.
    pub saturation_percent: Option<f64>,
}

/// The oil at minute 0.
#[derive(Debug, Clone)]
pub struct OilAtStart {
    setting: Setting,
    start: Start,
    /// What an earlier overload left in it; `None` without a history.
    pub before: Option<OilBeforeFacts>,
}

/// At rest at minute 0, or carried through the history. `None` without moisture or thermal data.
pub(super) fn at_start(
    case: &Case,
    plant: Option<&Plant<'_>>,
    paper: &WetPaper<'_>,
) -> Option<OilAtStart> {
    let plant = plant?;
    let setting = Setting {
        water: paper.held()?,
        solubility: case.unit.solubility.constants,
        masses: masses(&case.unit),
    };
    let (hotter_c, cooler_c) = plant.top_oil_at_start_c();
    if let StartFrom::Preload(_) = case.request.start {
        let start = setting.at_rest(hotter_c).map_or(Start::Bound(hotter_c), Start::Followed);
        return Some(OilAtStart { setting, start, before: None });
    }
    let past = recent_top_oil(case, plant);
    let exchange = through_history(&past, &setting);
    let saturation = exchange.as_ref().and_then(|oil| setting.saturation(oil.ppm(), cooler_c));
    let before = Some(OilBeforeFacts {
        followed: exchange.is_some(),
        saturation,
        beyond_isotherm: exchange.as_ref().is_some_and(Exchange::beyond_isotherm),
    });
    let hottest_c = past.iter().map(|(_, oil_c)| *oil_c).fold(hotter_c, f64::max);
    let start = exchange.map_or(Start::Bound(hottest_c), Start::Followed);
    Some(OilAtStart { setting, start, before })
}

fn masses(unit: &Unit) -> Option<Masses> {
    Some(Masses {
        oil_kg: unit.oil_kg?,
        paper_kg: unit.insulation.mass_kg?,
        thickness_mm: unit.insulation.thickness_mm?,
    })
}

/// Minute and hottest top oil of the history that is followed.
fn recent_top_oil(case: &Case, plant: &Plant<'_>) -> Vec<(f64, f64)> {
    let excess_k = plant.added_rise_k();
    let moments = past_moments(case, &plant.cooling);
    let recent = moments.iter().filter(|past| past.minute >= -HISTORY_MIN);
    recent.map(|past| (past.minute, past.hottest_top_oil_c + excess_k)).collect()
}

/// At rest at its beginning, which is taken as hot as the history allows.
fn through_history(past: &[(f64, f64)], setting: &Setting) -> Option<Exchange> {
    let (mut reached_min, begin_c) = *past.first()?;
    let mut oil = setting.at_rest(begin_c)?;
    for (minute, top_oil_c) in past {
        let passed_min = minute - reached_min;
        if is_due(passed_min, *minute) {
            oil = oil.after(passed_min * 60.0, *top_oil_c)?;
            reached_min = *minute;
        }
    }
    Some(oil)
}

/// Steps through the history: ten minutes on the last day, before it half an hour.
fn is_due(passed_min: f64, minute: f64) -> bool {
    let step_min = if minute >= -1440.0 { 10.0 } else { 30.0 };
    passed_min >= step_min - 1.0e-6 || minute >= 0.0
}

/// What the oil does after the asked overload.
///
/// The water in the oil at minute 0 is that of the stated start, whose oil is the hottest; what drives more out is the
/// hotter oil of the stated start and of the one that counts, from which fans may come later.
pub(super) fn after(
    case: &Case,
    basis: &Basis<'_>,
    course: Option<&Course>,
) -> Option<CoolDownFacts> {
    let (oil, course) = (basis.oil.as_ref()?, course?);
    let end_min = case.request.loading.end_min;
    let moments = moments(course, end_min);
    let until_min = end_min + AT_LEAST_MIN;
    let found = follow(&oil.setting, &oil.start, &moments, end_min, until_min)?;
    let ambients = course.samples().map(|models| models.iec.ambient_c);
    let lowest_ambient_c = ambients.reduce(f64::min)?;
    // Oil colder than the solubility is known for may be nearer saturation, and weaker, than what was found.
    let saturation = found.nearest_saturation.and_then(|nearest| nearest.saturation);
    let known =
        saturation.filter(|_| case.unit.liquid == Liquid::Mineral && !found.colder_than_known);
    Some(CoolDownFacts { strength: known.and_then(strength), oil: found, lowest_ambient_c })
}

/// Moments at which the oil is followed: close during the overload and while it cools, then ever
/// fewer; after the course everything stays as it is. Each carries the hottest and the coolest oil
/// since the one before, so that no short spike falls between two of them. At the last one the oil is that of the
/// stated start: hotter oil there would make what the oil comes to hold greater, and the wait shorter.
fn moments(course: &Course, end_min: f64) -> Vec<Moment> {
    let during_min = (end_min / 48.0).clamp(10.0, 30.0);
    let step_min = |minute: f64| match minute - end_min {
        after if after <= 0.0 => during_min,
        after if after <= 180.0 => 15.0,
        after if after <= 720.0 => 60.0,
        _ => 180.0,
    };
    let mut moments: Vec<Moment> = Vec::new();
    let (mut since, mut settles_c): (Option<Moment>, Option<f64>) = (None, None);
    let mut stated_c = f64::NEG_INFINITY;
    let (own, stated) = (course.samples(), course.stated().samples());
    for (counts, stated) in own.zip(stated) {
        stated_c = stated_c.max(stated.top_oil_c());
        let (minute, hotter_c) = (stated.minute(), counts.top_oil_c().max(stated.top_oil_c()));
        let cooler_c = stated.coolest_top_oil_c();
        let now = since.map_or(Moment { minute, hotter_c, cooler_c }, |since| Moment {
            minute,
            hotter_c: hotter_c.max(since.hotter_c),
            cooler_c: cooler_c.min(since.cooler_c),
        });
        let is_end = (minute - end_min).abs() < 1.0e-6;
        let due = |last: &Moment| minute - last.minute >= step_min(minute) - 1.0e-6;
        if is_end || moments.last().is_none_or(due) {
            moments.push(now);
            (since, settles_c) = (None, Some(stated_c));
            stated_c = f64::NEG_INFINITY;
        } else {
            since = Some(now);
        }
    }
    if let (Some(last), Some(settles_c)) = (moments.last_mut(), settles_c) {
        last.hotter_c = settles_c;
    }
    while let Some(last) = moments.last().copied()
        && last.minute < end_min + WAIT_WITHIN_MIN
    {
        moments.push(Moment { minute: last.minute + 360.0, ..last });
    }
    moments
}

/// The largest load without cautions must be without those of the cool-down too, which the search did not
/// look at: if it is not, the asked load is named if that is, and otherwise none.
pub(super) fn checked(
    case: &Case,
    basis: &Basis<'_>,
    asked: &Evaluation<'_>,
    largest: LargestLoads,
) -> LargestLoads {
    let Some(load_pu) = largest.without_cautions_pu.filter(|_| asked.facts.cooldown.is_some())
    else {
        return largest;
    };
    let asked_pu = case.greatest_load_pu();
    let scaled = |load_pu: f64| -> LoadSteps {
        let loading = &case.request.loading;
        loading.load.scaled_before(loading.end_min, load_pu / asked_pu)
    };
    let cautions = |evaluation: &Evaluation<'_>| {
        evaluation.findings.iter().any(|finding| finding.severity >= Severity::Caution)
    };
    // The margin was looked at when the load was found; here the oil is.
    let at_largest = Evaluation::of(case, basis, &scaled(load_pu), None).with_cooldown(case, basis);
    let without_cautions_pu = if cautions(&at_largest) {
        Some(asked_pu).filter(|_| asked_pu < load_pu && !cautions(asked))
    } else {
        Some(load_pu)
    };
    LargestLoads { without_cautions_pu, ..largest }
}

/// The same as plain data.
pub(super) fn plain(facts: &CoolDownFacts) -> Cooldown {
    let oil = &facts.oil;
    Cooldown {
        peak_ppm: oil.wettest.ppm,
        at_min: oil.wettest.minute,
        ppm_at_start: oil.course[0].ppm,
        peak_saturation_percent: facts.saturation_percent(),
        peak_saturation_at_min: oil.nearest_saturation.map(|state| state.minute),
        saturates_below_c: oil.saturates_below_c,
        saturates_below_at_end_c: oil.saturates_below_at_end_c,
        lowest_ambient_c: facts.lowest_ambient_c,
        wait_min: oil.wait_min,
        horizon_min: oil.horizon_min,
        bound_only: oil.bound_only,
        beyond_isotherm: oil.beyond_isotherm,
        breakdown_kv: facts
            .strength
            .map(|strength| BreakdownLine { kv: strength.breakdown_kv, at_most: strength.at_most }),
        course: thinned(oil),
    }
}

/// Every so many points, and always the first, the last, the wettest and the one nearest to saturation.
fn thinned(oil: &CoolDown) -> Vec<CooldownPoint> {
    let every = oil.course.len().div_ceil(POINTS - 3).max(1);
    let last = oil.course.len() - 1;
    let kept = |minute: f64, index: usize| {
        let is_at = |state: &OilState| state.minute.to_bits() == minute.to_bits();
        index.is_multiple_of(every)
            || index == last
            || is_at(&oil.wettest)
            || oil.nearest_saturation.as_ref().is_some_and(is_at)
    };
    let points = oil.course.iter().enumerate().filter(|(index, state)| kept(state.minute, *index));
    points
        .map(|(_, state)| CooldownPoint {
            min: state.minute,
            top_oil_c: state.top_oil_c,
            ppm: state.ppm,
            saturation_percent: state.saturation.map(|saturation| saturation * 100.0),
        })
        .collect()
}
