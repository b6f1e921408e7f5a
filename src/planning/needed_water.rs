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

/// The first step away from a likely moisture, %.
const FIRST_STEP_PERCENT: f64 = 0.02;

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
    let planned = Planned::of(&own.while_out);
    let counting_percent = planned.counting_percent()?;
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
    let ask = |percent: f64| End { percent, judged: ask(percent) };
    let first = likely(&planned, &ask(counting_percent)).unwrap_or(counting_percent);
    Some(match bracket(first, &ask) {
        Bracket::Between(ends) => {
            let [dry, wet] = *ends;
            let found = closed_in(dry, wet, ask);
            answer(Needed::Within, Some(found.percent), found.judged)
        }
        Bracket::Wettest(judged) => answer(Needed::Any, None, *judged),
        Bracket::None => answer(Needed::NotWater, None, None),
    })
}

/// Where the search ends on both sides.
enum Bracket {
    /// A moisture that goes, and one that does not.
    Between(Box<[End; 2]>),
    /// Even the wettest goes.
    Wettest(Box<Option<Judged>>),
    /// Not even the driest goes.
    None,
}

/// Steps from a likely moisture outwards until the answer changes, ever greater ones.
fn bracket(first: f64, ask: &impl Fn(f64) -> End) -> Bracket {
    let mut step = FIRST_STEP_PERCENT;
    let mut last = ask(first.clamp(DRIEST_PERCENT, WETTEST_PERCENT));
    let wetter = goes(last.judged.as_ref());
    loop {
        let end = if wetter { WETTEST_PERCENT } else { DRIEST_PERCENT };
        if (last.percent - end).abs() < CLOSE_PERCENT {
            return if wetter { Bracket::Wettest(Box::new(last.judged)) } else { Bracket::None };
        }
        let percent = if wetter { last.percent + step } else { last.percent - step };
        let next = ask(percent.clamp(DRIEST_PERCENT, WETTEST_PERCENT));
        match (wetter, goes(next.judged.as_ref())) {
            (true, false) => return Bracket::Between(Box::new([last, next])),
            (false, true) => return Bracket::Between(Box::new([next, last])),
            (true, true) | (false, false) => last = next,
        }
        step *= 4.0;
    }
}

/// Where the inception temperature lies by the spare margin lower than now, if it is known.
fn likely(planned: &Planned<'_>, now: &End) -> Option<f64> {
    let wanted_c = planned.inception_c(now.percent)? - now.spare_k()? + AIM_K;
    let (mut dry, mut wet) = (DRIEST_PERCENT, WETTEST_PERCENT);
    while wet - dry > CLOSE_PERCENT {
        let middle = f64::midpoint(dry, wet);
        let holds = planned.inception_c(middle).is_some_and(|c| c >= wanted_c);
        if holds {
            dry = middle;
        } else {
            wet = middle;
        }
    }
    Some(dry)
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
fn closed_in(mut dry: End, mut wet: End, ask: impl Fn(f64) -> End) -> End {
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
        let tried = ask(percent);
        if goes(tried.judged.as_ref()) {
            dry = tried;
        } else {
            wet = tried;
        }
        // A line that hardly narrows is given up for a step.
        halve = !halve && wet.percent - dry.percent > 0.5 * width;
    }
    dry
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
