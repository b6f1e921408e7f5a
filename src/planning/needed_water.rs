//! How wet the paper may be for an outage to go: the search the other way round.

use super::outage::{Looked, ended};
use super::parts::Part;
use super::stretch::Load;
use super::templates::Templates;
use super::windows::Worst;
use crate::assessment::case::Case;
use crate::assessment::planned::{Judged, Planned};
use crate::rating::Limiting;
use serde::Serialize;

/// Moistures between which it is looked for, %: the range of the correlations.
const DRIEST_PERCENT: f64 = 0.3;
const WETTEST_PERCENT: f64 = 6.0;

/// The moisture is found to this, %: a few thousandths of a kelvin of margin.
const CLOSE_PERCENT: f64 = 2.0e-4;

/// How wet the paper of a unit may be for an outage to go from its best start.
///
/// What counts is the moisture that counts; best estimate and bound are scaled by the same factor. Another
/// start may let it be a hair wetter where the draws weigh differently there.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NeededWater {
    /// The unit.
    pub unit: String,
    /// The start that it was looked for at, RFC 3339.
    pub start: String,
    /// What came of the search.
    pub found: Needed,
    /// The wettest that the paper may be, as moisture that counts, %; `null` unless it lies within the range.
    pub at_most_percent: Option<f64>,
    /// The moisture that counts as the unit stands, %.
    pub counting_percent: f64,
    /// The margin that decides with that much water, K.
    pub margin_low_k: Option<f64>,
    /// The margin that is required, K.
    pub required_k: Option<f64>,
}

/// What came of the search.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Needed {
    /// Up to the moisture found it goes, and no wetter.
    Within,
    /// It goes at any moisture within the range of the correlations.
    Any,
    /// It does not go with the driest paper within the range either; something else ends it.
    NotWater,
}

/// `None` where the unit carries nothing in the outage, or no moisture counts.
pub fn needed_water(
    looked: &Looked<'_>,
    templates: &[Templates],
    focus: usize,
    starts: &[Worst],
) -> Option<NeededWater> {
    let carries = looked.parts.parts.iter().any(|part| part.unit == focus);
    if !carries {
        return None;
    }
    let place = promising(looked, focus, starts)?;
    let own = &templates[focus];
    let counting_percent = Planned::of(&own.while_out).counting_percent()?;
    let ask = |percent: f64| worst_with(looked, own, focus, place, percent);
    let answer = |found: Needed, percent: Option<f64>, judged: Option<Judged>| NeededWater {
        unit: looked.plan.units[focus].name.clone(),
        start: looked.begins(place),
        found,
        at_most_percent: percent,
        counting_percent,
        margin_low_k: judged.as_ref().and_then(Judged::margin_low_k),
        required_k: judged.map(|judged| judged.required_k),
    };
    let goes = |judged: &Option<Judged>| judged.as_ref().is_some_and(|j| j.verdict.permits());
    if !goes(&ask(DRIEST_PERCENT)) {
        return Some(answer(Needed::NotWater, None, None));
    }
    let wettest = ask(WETTEST_PERCENT);
    if goes(&wettest) {
        return Some(answer(Needed::Any, None, wettest));
    }
    let (mut dry, mut wet) = (DRIEST_PERCENT, WETTEST_PERCENT);
    while wet - dry > CLOSE_PERCENT {
        let middle = f64::midpoint(dry, wet);
        if goes(&ask(middle)) {
            dry = middle;
        } else {
            wet = middle;
        }
    }
    Some(answer(Needed::Within, Some(dry), ask(dry)))
}

/// The start with the greatest margin among those that only bubbling of the unit keeps from going; if there
/// is none, the best of all.
fn promising(looked: &Looked<'_>, focus: usize, starts: &[Worst]) -> Option<usize> {
    let only_bubbling = |place: usize| {
        looked.parts.parts.iter().all(|part| {
            looked.parts.places(part, place).all(|at| {
                let judged = &part.judged[at];
                let bubbles = ended(judged).is_some_and(|end| end.what == Limiting::Bubbling);
                judged.verdict.permits() || (part.unit == focus && bubbles)
            })
        })
    };
    let better =
        |best: usize, at: usize| if starts[at].is_better_than(&starts[best]) { at } else { best };
    let all = 0..starts.len();
    all.clone().filter(|place| only_bubbling(*place)).reduce(better).or_else(|| all.reduce(better))
}

/// The worst that the unit meets from a start, with that much water in its paper.
fn worst_with(
    looked: &Looked<'_>,
    templates: &Templates,
    focus: usize,
    place: usize,
    percent: f64,
) -> Option<Judged> {
    let with_water = |case: &Case| Case { water_as_percent: Some(percent), ..case.clone() };
    let (while_out, after_trip) =
        (with_water(&templates.while_out), with_water(&templates.after_trip));
    let own = looked.parts.parts.iter().filter(|part| part.unit == focus);
    let judged = own.filter_map(|part| {
        let template = if part.trip.is_none() { &while_out } else { &after_trip };
        let at = worst_place(looked, part, place)?;
        Some(Planned::of(template).surely(part.stretch.start(at, Load::Planned)).0)
    });
    let spare_k =
        |judged: &Judged| judged.margin_low_k().map(|margin_k| margin_k - judged.required_k);
    judged.reduce(|worst, other| {
        let worse = other.verdict > worst.verdict
            || (other.verdict == worst.verdict && !(spare_k(&other) >= spare_k(&worst)));
        if worse { other } else { worst }
    })
}

/// The hour with the smallest margin within an outage from a start.
fn worst_place(looked: &Looked<'_>, part: &Part<'_>, place: usize) -> Option<usize> {
    let margin_k = |at: &usize| part.judged[*at].margin_low_k().unwrap_or(f64::NEG_INFINITY);
    looked.parts.places(part, place).min_by(|a, b| margin_k(a).total_cmp(&margin_k(b)))
}
