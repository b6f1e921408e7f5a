//! What drying, degassing, another preservation or more fans would buy.

use super::derating::{AtMoisture, as_it_stands};
use super::outage::{Looked, OutageAnswer};
use super::parts::{Found, HOUR_MIN, Part, Parts};
use super::plan::{Outage, Plan, PlanOption};
use super::stretch::Load;
use super::templates::Templates;
use super::transfer::largest;
use super::windows::{Worst, windows};
use crate::assessment::case::Case;
use crate::assessment::paper_life::paper_life;
use crate::assessment::planned::Planned;
use crate::rating::Paper;
use crate::rating::answer::paper;
use crate::unit::Unit;
use serde::Serialize;

/// No load of a shape is tried above so many times the planned one.
const MOST_TIMES: f64 = 3.0;

/// What one option buys.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bought {
    /// The option.
    pub name: String,
    /// What it costs, in the plan's currency.
    pub cost: Option<f64>,
    /// When it is done, RFC 3339, if it begins with the forecasts; until then the unit counts as it stands.
    pub ready: Option<String>,
    /// How wet the paper is then and when it bubbles.
    pub paper: Paper,
    /// What each outage gains.
    pub outages: Vec<OutageGain>,
    /// What the unit may carry as it stands, and with the option.
    pub carries: Gain<AtMoisture>,
    /// Life left at the usual hot spot, years, by the ageing set that gives least; `null` where a figure is missing.
    pub life_years: Gain<Option<f64>>,
    /// What the unit could carry more over the outages with it, in the shape that is planned, each from its best
    /// start, once the option is done, MVA·h.
    pub regained_mva_h: f64,
    /// Cost of one of them; `null` without a cost, or where nothing is regained.
    pub cost_per_mva_h: Option<f64>,
}

/// Before and after.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Gain<T> {
    /// As the unit stands.
    pub before: T,
    /// With the option.
    pub after: T,
}

/// What an outage gains.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OutageGain {
    /// The outage.
    pub name: String,
    /// Starts from which it goes.
    pub go_starts: Gain<usize>,
    /// Windows.
    pub windows: Gain<usize>,
    /// Starts from which it goes once the option is done, of those from then on: before and after.
    pub once_done: Gain<usize>,
    /// The load of the shape that is planned which passes from its best start, as a part of it; `null` where the unit
    /// carries nothing in it.
    pub times_planned: Gain<Option<f64>>,
    /// What that is worth, MVA·h.
    pub regained_mva_h: f64,
}

/// The unit with an option, and the question it is for.
#[derive(Debug)]
pub struct WithOption<'a> {
    /// The option.
    pub option: &'a PlanOption,
    /// The unit as the option leaves it, all but drying.
    pub unit: &'a Unit,
}

/// What an option buys; `before` are the outages as the unit stands.
pub fn bought(
    plan: &Plan,
    (templates, focus): (&[Templates], usize),
    with: &WithOption<'_>,
    before: &[OutageAnswer],
) -> Bought {
    let option = with.option;
    let own = &templates[focus];
    let mut changed = templates.to_vec();
    changed[focus] = Templates {
        while_out: improved(&own.while_out, with),
        after_trip: improved(&own.after_trip, with),
    };
    let mut other = plan.clone();
    other.units[focus].unit = with.unit.clone();
    let ready_min = option.takes_min.unwrap_or(0.0);
    let gain = |(at, outage): (usize, &Outage)| {
        let asked = Asked { plan: (plan, &other), outage, templates: (templates, &changed), focus };
        asked.gain(&before[at], ready_min)
    };
    let outages: Vec<OutageGain> = plan.outages.iter().enumerate().map(gain).collect();
    let regained_mva_h: f64 = outages.iter().map(|outage| outage.regained_mva_h).sum();
    let worth = |cost: f64| (regained_mva_h > 0.0).then(|| cost / regained_mva_h);
    Bought {
        name: option.name.clone(),
        cost: option.cost,
        ready: option.takes_min.map(|minutes| plan.time(minutes)),
        paper: paper(&changed[focus].while_out),
        carries: carries(plan, focus, own, (&other, &changed[focus])),
        life_years: Gain { before: life(&own.while_out), after: life(&changed[focus].while_out) },
        outages,
        regained_mva_h,
        cost_per_mva_h: option.cost.and_then(worth),
    }
}

/// A case with the unit as the option leaves it. Drying never makes the paper wetter.
fn improved(template: &Case, with: &WithOption<'_>) -> Case {
    let mut case = template.clone();
    case.unit = with.unit.clone();
    let counting = Planned::of(template).counting_percent();
    let dried = with.option.dries_to_percent.zip(counting);
    case.water_as_percent =
        dried.map(|(percent, counting)| percent.min(counting)).or(template.water_as_percent);
    case
}

fn carries(
    plan: &Plan,
    focus: usize,
    own: &Templates,
    (other, changed): (&Plan, &Templates),
) -> Gain<AtMoisture> {
    let at = (plan.highest_ambient_c(), plan.greatest_normal_pu(focus));
    Gain {
        before: as_it_stands(plan, focus, own, at, None),
        after: as_it_stands(other, focus, changed, at, None),
    }
}

/// Years left at the usual hot spot, by the set that gives least.
fn life(case: &Case) -> Option<f64> {
    let percent = Planned::of(case).counting_percent()?;
    let lives = paper_life(&case.unit, case.as_of, &[("counts", percent)]);
    let sets = lives.waters.first()?.sets.iter();
    sets.filter_map(|set| Some(set.remaining?.years)).reduce(f64::min)
}

/// One outage, before and after.
struct Asked<'a> {
    plan: (&'a Plan, &'a Plan),
    outage: &'a Outage,
    templates: (&'a [Templates], &'a [Templates]),
    focus: usize,
}

impl Asked<'_> {
    fn gain(&self, before: &OutageAnswer, ready_min: f64) -> OutageGain {
        let was = Parts::of(self.plan.0, self.outage, self.templates.0);
        let is = Parts::of(self.plan.1, self.outage, self.templates.1);
        let (found_before, found_after) = (deciding(was.found()), deciding(is.found()));
        let looked = Looked { plan: self.plan.0, outage: self.outage, parts: was };
        let done = |place: usize| looked.start_min(place) >= ready_min;
        let with: Vec<Worst> = (0..found_before.len())
            .map(|place| if done(place) { found_after[place] } else { found_before[place] })
            .collect();
        let count = |starts: &[Worst], from: bool| {
            let own = starts.iter().enumerate().filter(|(place, _)| !from || done(*place));
            own.filter(|(_, start)| start.permits()).count()
        };
        let place = super::windows::best(&found_after);
        let (times_planned, regained_mva_h) = self.times(&looked.parts, &is, place);
        OutageGain {
            name: before.name.clone(),
            go_starts: Gain { before: count(&found_before, false), after: count(&with, false) },
            windows: Gain { before: windows(&found_before).len(), after: windows(&with).len() },
            once_done: Gain {
                before: count(&found_before, true),
                after: count(&found_after, true),
            },
            times_planned,
            regained_mva_h,
        }
    }

    /// The part of the planned load that passes while the outage runs, before and after, and what the
    /// difference is worth.
    fn times(
        &self,
        was: &Parts<'_>,
        is: &Parts<'_>,
        place: Option<usize>,
    ) -> (Gain<Option<f64>>, f64) {
        let own = |parts: &&Part<'_>| parts.unit == self.focus && parts.trip.is_none();
        let (Some(was), Some(is), Some(place)) =
            (was.parts.iter().find(own), is.parts.iter().find(own), place)
        else {
            return (Gain { before: None, after: None }, 0.0);
        };
        let passes = |part: &Part<'_>, times: f64| {
            part.with_load(place, Load::Times(times)).verdict.permits()
        };
        let before = largest(MOST_TIMES, |times| passes(was, times));
        let after = largest(MOST_TIMES, |times| passes(is, times));
        let more = after.unwrap_or(0.0) - before.unwrap_or(0.0);
        (Gain { before, after }, (more * planned_mva_h(self, was, place)).max(0.0))
    }
}

/// The case that decides: with the next trip where one is stated.
fn deciding(found: Found) -> Vec<Worst> {
    found.with_next_trip.unwrap_or(found.as_planned)
}

/// The planned load over the outage, MVA·h.
fn planned_mva_h(asked: &Asked<'_>, part: &Part<'_>, place: usize) -> f64 {
    let from_min = part.stretch.starts_min[place];
    let mva = asked.plan.0.units[part.unit].unit.rated_mva;
    let load = part.stretch.load.load.part(from_min, from_min + part.stretch.duration_min);
    let minutes = load.steps().iter().map(|step| step.0).chain([part.stretch.duration_min]);
    let minutes: Vec<f64> = minutes.collect();
    let of = |pair: &[f64]| load.at(pair[0]) * (pair[1] - pair[0]) / HOUR_MIN;
    minutes.windows(2).map(of).sum::<f64>() * mva
}
