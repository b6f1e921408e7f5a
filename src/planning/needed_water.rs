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

/// The moisture is found to this, %, or until no more than twice so much is left above the required margin, K.
const CLOSE_PERCENT: f64 = 2.0e-4;
const AIM_K: f64 = 0.01;

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
    let driest = ask(DRIEST_PERCENT);
    if !goes(driest.as_ref()) {
        return Some(answer(Needed::NotWater, None, None));
    }
    let wettest = ask(WETTEST_PERCENT);
    if goes(wettest.as_ref()) {
        return Some(answer(Needed::Any, None, wettest));
    }
    let end = |percent: f64, judged: Option<Judged>| End { percent, judged };
    let (percent, judged) =
        closed_in(end(DRIEST_PERCENT, driest), end(WETTEST_PERCENT, wettest), ask);
    Some(answer(Needed::Within, Some(percent), judged))
}

fn goes(judged: Option<&Judged>) -> bool {
    judged.is_some_and(|judged| judged.verdict.permits())
}

/// A moisture and what it comes to.
struct End {
    percent: f64,
    judged: Option<Judged>,
}

impl End {
    /// What is left above the required margin, K; `None` where no margin is known.
    fn spare_k(&self) -> Option<f64> {
        let judged = self.judged.as_ref()?;
        Some(judged.margin_low_k()? - judged.required_k)
    }
}

/// The wettest that goes, from one that does and one that does not: along a line where both margins are known,
/// else half-way.
fn closed_in(
    mut dry: End,
    mut wet: End,
    ask: impl Fn(f64) -> Option<Judged>,
) -> (f64, Option<Judged>) {
    let mut halve = false;
    while wet.percent - dry.percent > CLOSE_PERCENT {
        let (dry_k, wet_k) = (dry.spare_k(), wet.spare_k());
        if dry_k.is_some_and(|spare_k| spare_k < 2.0 * AIM_K) {
            break;
        }
        let width = wet.percent - dry.percent;
        let line = dry_k.zip(wet_k).filter(|_| !halve);
        let share = line.map_or(0.5, |(dry_k, wet_k)| (dry_k - AIM_K) / (dry_k - wet_k));
        let percent = dry.percent + width * share.clamp(0.01, 0.99);
        let judged = ask(percent);
        let tried = End { percent, judged };
        if goes(tried.judged.as_ref()) {
            dry = tried;
        } else {
            wet = tried;
        }
        // A line that hardly narrows is given up for a step.
        halve = !halve && wet.percent - dry.percent > 0.5 * width;
    }
    (dry.percent, dry.judged)
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
