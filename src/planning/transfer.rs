//! The load that would have to be carried elsewhere, and when.

use super::outage::{Looked, ended};
use super::parts::{HOUR_MIN, Part};
use super::stretch::Load;
use crate::rating::Governs;
use serde::Serialize;

/// A ceiling is found to this, pu, and always on the side that passes.
const CLOSE_PU: f64 = 0.002;

/// Hours of a next trip are looked at again this often at most, until one ceiling is low enough for all.
const ROUNDS: usize = 12;

/// The load that a unit would have to give away for an outage to go from its best start.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Transfer {
    /// The unit.
    pub unit: String,
    /// The next trip after which it is given away; `null`: while the outage runs.
    pub trip: Option<String>,
    /// The start of the outage, RFC 3339.
    pub start: String,
    /// No more than this may the unit carry, pu; `null`: no load at all passes.
    pub at_most_pu: Option<f64>,
    /// The same, MVA.
    pub at_most_mva: Option<f64>,
    /// Most that has to be given away at a time, MVA; all of it where no load passes.
    pub most_mva: f64,
    /// All of it over the outage, MVA·h.
    pub mva_h: f64,
    /// When, in the order of time.
    pub spans: Vec<Span>,
    /// What ends a greater load.
    pub governs: Option<Governs>,
}

/// A time in which load has to be given away without a break.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Span {
    /// From, RFC 3339.
    pub from: String,
    /// Until, RFC 3339.
    pub until: String,
    /// Most at a time, MVA.
    pub most_mva: f64,
}

/// What each unit would have to give away for an outage to go from the start at a place.
pub fn transfers(looked: &Looked<'_>, place: usize, with_next_trip: bool) -> Vec<Transfer> {
    let wanted = |part: &&Part<'_>| part.trip.is_none() || with_next_trip;
    looked
        .parts
        .parts
        .iter()
        .filter(wanted)
        .filter_map(|part| of_part(looked, part, place))
        .collect()
}

/// `None` where the part goes as it is.
fn of_part(looked: &Looked<'_>, part: &Part<'_>, place: usize) -> Option<Transfer> {
    let places = looked.parts.places(part, place);
    let failing: Vec<usize> =
        places.clone().filter(|place| !part.judged[*place].verdict.permits()).collect();
    let worst = *failing.iter().min_by(|a, b| {
        let margin_k =
            |place: usize| part.judged[place].margin_low_k().unwrap_or(f64::NEG_INFINITY);
        margin_k(**a).total_cmp(&margin_k(**b))
    })?;
    let at_most_pu = ceiling(part, worst, &failing);
    let load = Above { looked, part, at_most_pu: at_most_pu.unwrap_or(0.0) };
    let (from_min, until_min) = load.during(place);
    let mva = looked.plan.units[part.unit].mva_of_1_pu;
    let spans = load.spans(from_min, until_min);
    Some(Transfer {
        unit: looked.plan.units[part.unit].name.clone(),
        trip: part.trip.map(|trip| looked.outage.next_trips[trip].name.clone()),
        start: looked.begins(place),
        at_most_pu,
        at_most_mva: at_most_pu.map(|pu| pu * mva),
        most_mva: spans.iter().map(|span| span.most_mva).fold(0.0, f64::max),
        mva_h: load.mva_h(from_min, until_min),
        spans,
        governs: ended(&part.judged[worst]),
    })
}

/// The greatest ceiling on the load with which every one of some starts passes; `None`: none does.
fn ceiling(part: &Part<'_>, worst: usize, failing: &[usize]) -> Option<f64> {
    let passes = |place: usize, pu: f64| part.with_load(place, Load::AtMost(pu)).verdict.permits();
    let mut at_most_pu = largest(part.stretch.greatest_pu(worst), |pu| passes(worst, pu))?;
    for _ in 0..ROUNDS {
        let Some(other) = failing.iter().find(|place| !passes(**place, at_most_pu)) else {
            return Some(at_most_pu);
        };
        at_most_pu = largest(at_most_pu, |pu| passes(*other, pu))?;
    }
    None
}

/// The greatest load up to one that does not pass, from below.
pub fn largest(fails_pu: f64, passes: impl Fn(f64) -> bool) -> Option<f64> {
    let (mut passing, mut failing) = (0.0, fails_pu);
    if !passes(CLOSE_PU) {
        return None;
    }
    while failing - passing > CLOSE_PU {
        let middle = f64::midpoint(passing, failing);
        if passes(middle) {
            passing = middle;
        } else {
            failing = middle;
        }
    }
    Some(passing)
}

/// The load of a part, held against a ceiling.
struct Above<'a> {
    looked: &'a Looked<'a>,
    part: &'a Part<'a>,
    at_most_pu: f64,
}

impl Above<'_> {
    /// From when to when it may be carried; a next trip may come at any hour of the outage.
    fn during(&self, place: usize) -> (f64, f64) {
        let from_min = self.looked.start_min(place);
        (from_min, from_min + self.looked.outage.duration_min)
    }

    fn excess_mva(&self, minute: f64) -> f64 {
        let load = &self.part.stretch.load.load;
        let mva = self.looked.plan.units[self.part.unit].most_mva_of_1_pu;
        (load.at(minute) - self.at_most_pu).max(0.0) * mva
    }

    /// The minutes at which the load changes.
    fn changes(&self, from_min: f64, until_min: f64) -> Vec<f64> {
        let part = self.part.stretch.load.load.part(from_min, until_min);
        let steps = part.steps().iter().map(|step| step.0 + from_min);
        steps.chain([until_min]).collect()
    }

    fn mva_h(&self, from_min: f64, until_min: f64) -> f64 {
        let minutes = self.changes(from_min, until_min);
        let of = |pair: &[f64]| self.excess_mva(pair[0]) * (pair[1] - pair[0]) / HOUR_MIN;
        minutes.windows(2).map(of).sum()
    }

    fn spans(&self, from_min: f64, until_min: f64) -> Vec<Span> {
        let minutes = self.changes(from_min, until_min);
        let mut spans: Vec<(f64, f64, f64)> = Vec::new();
        for pair in minutes.windows(2) {
            let excess_mva = self.excess_mva(pair[0]);
            if !(excess_mva > 0.0) {
                continue;
            }
            match spans.last_mut().filter(|span| span.1 >= pair[0]) {
                Some(span) => *span = (span.0, pair[1], span.2.max(excess_mva)),
                None => spans.push((pair[0], pair[1], excess_mva)),
            }
        }
        let plan = self.looked.plan;
        let span = |(from_min, until_min, most_mva)| Span {
            from: plan.time(from_min),
            until: plan.time(until_min),
            most_mva,
        };
        spans.into_iter().map(span).collect()
    }
}
