//! What drying, degassing, another preservation or more fans would buy.

use super::derating::{AtMoisture, as_it_stands};
use super::outage::Looked;
use super::parts::{Found, HOUR_MIN, Part, Parts};
use super::plan::{Plan, PlanOption};
use super::stretch::Load;
use super::templates::Templates;
use super::transfer::largest;
use super::windows::{Worst, best, windows};
use crate::ageing::scission::AgeingSet;
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
    /// Life left at the usual hot spot, by the ageing set that gives least as the unit stands, out of those that hold
    /// for both; `null` where a figure is missing.
    pub life: Option<LifeGain>,
    /// What the unit could carry more over the outages with it, in the shape that is planned, each from its best
    /// start, once the option is done, MVA·h.
    pub regained_mva_h: f64,
    /// Cost of one of them; `null` without a cost, or where nothing is regained.
    pub cost_per_mva_h: Option<f64>,
}

/// Life left, years, by one ageing set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LifeGain {
    /// The set.
    pub set: AgeingSet,
    /// As the unit stands, and with the option.
    pub years: Gain<f64>,
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
    /// Starts from which it goes, as if the option were done before the first of them.
    pub go_starts: Gain<usize>,
    /// Windows, the same.
    pub windows: Gain<usize>,
    /// Starts from which it goes in this forecast, of which only those after the option is done gain.
    pub go_starts_in_time: usize,
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

/// What an option buys; `looked` are the outages of the plan as the unit stands.
pub fn bought(
    (plan, looked): (&Plan, &[Looked<'_>]),
    (templates, focus): (&[Templates], usize),
    with: &WithOption<'_>,
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
    let gain = |looked: &Looked<'_>| {
        Asked { was: looked, plan: &other, templates: &changed, focus }.gain(ready_min)
    };
    let outages: Vec<OutageGain> = looked.iter().map(gain).collect();
    let regained_mva_h: f64 = outages.iter().map(|outage| outage.regained_mva_h).sum();
    let worth = |cost: f64| (regained_mva_h > 0.0).then(|| cost / regained_mva_h);
    Bought {
        name: option.name.clone(),
        cost: option.cost,
        ready: option.takes_min.map(|minutes| plan.time(minutes)),
        paper: paper(&changed[focus].while_out),
        carries: carries(plan, focus, own, (&other, &changed[focus])),
        life: life(&own.while_out, &changed[focus].while_out),
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

/// Years left at the usual hot spot.
fn life(before: &Case, after: &Case) -> Option<LifeGain> {
    let figures = |case: &Case| -> Option<Vec<(AgeingSet, f64)>> {
        let percent = Planned::of(case).counting_percent()?;
        let lives = paper_life(&case.unit, case.as_of, &[("counts", percent)]);
        let sets = lives.waters.into_iter().next()?.sets.into_iter();
        let certain = sets.filter_map(|found| {
            Some((found.set, found.remaining.filter(|remaining| !remaining.at_most)?.years))
        });
        Some(certain.collect())
    };
    let after = figures(after)?;
    let pairs = figures(before)?.into_iter().filter_map(|(set, before)| {
        let after = after.iter().find(|after| after.0 == set)?.1;
        Some(LifeGain { set, years: Gain { before, after } })
    });
    pairs.min_by(|a, b| a.years.before.total_cmp(&b.years.before))
}

/// One outage, before and after.
struct Asked<'a> {
    was: &'a Looked<'a>,
    plan: &'a Plan,
    templates: &'a [Templates],
    focus: usize,
}

impl Asked<'_> {
    fn gain(&self, ready_min: f64) -> OutageGain {
        let is = Parts::of(self.plan, self.was.outage, self.templates);
        let (before, after) = (deciding(self.was.parts.found()), deciding(is.found()));
        let done = |place: usize| self.was.start_min(place) >= ready_min;
        let in_time = |place: &usize| if done(*place) { after[*place] } else { before[*place] };
        let count = |starts: &[Worst]| starts.iter().filter(|start| start.permits()).count();
        let (times_planned, regained_mva_h) = self.times(&is, best(&after));
        OutageGain {
            name: self.was.outage.name.clone(),
            go_starts: Gain { before: count(&before), after: count(&after) },
            windows: Gain { before: windows(&before).len(), after: windows(&after).len() },
            go_starts_in_time: (0..after.len()).filter(|at| in_time(at).permits()).count(),
            times_planned,
            regained_mva_h,
        }
    }

    /// The part of the planned load that passes while the outage runs, before and after, and what the
    /// difference is worth.
    fn times(&self, is: &Parts<'_>, place: Option<usize>) -> (Gain<Option<f64>>, f64) {
        let own = |parts: &&Part<'_>| parts.unit == self.focus && parts.trip.is_none();
        let (Some(was), Some(is), Some(place)) =
            (self.was.parts.parts.iter().find(own), is.parts.iter().find(own), place)
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
    let mva = asked.plan.units[part.unit].mva_of_1_pu;
    let load = part.stretch.load.load.part(from_min, from_min + part.stretch.duration_min);
    let minutes = load.steps().iter().map(|step| step.0).chain([part.stretch.duration_min]);
    let minutes: Vec<f64> = minutes.collect();
    let of = |pair: &[f64]| load.at(pair[0]) * (pair[1] - pair[0]) / HOUR_MIN;
    minutes.windows(2).map(of).sum::<f64>() * mva
}
