//! An outage taken apart: every unit that carries more while it runs, and after each next trip, from every hour.

use super::plan::{Carried, Outage, Plan};
use super::stretch::{Load, Stretch};
use super::templates::Templates;
use super::windows::{Worst, best, windows, worst_ahead, worst_at_each};
use crate::assessment::case::Case;
use crate::assessment::planned::{Judged, Planned};
use crate::assessment::spread::Chance;
use rayon::iter::{IntoParallelRefIterator, ParallelIterator};
use std::collections::BTreeMap;
use std::ops::Range;

/// Starts are an hour apart, min.
pub const HOUR_MIN: f64 = 60.0;

/// So often the best start is looked at where none goes: a start has as many parts as hours. Our choice.
const ROUNDS: usize = 24;

/// One unit that carries more for a time.
#[derive(Debug)]
pub struct Part<'a> {
    /// Index of the unit in the plan.
    pub unit: usize,
    /// Index of the next trip; `None`: while the outage runs.
    pub trip: Option<usize>,
    /// From when and what it carries.
    pub stretch: Stretch<'a>,
    planned: Planned<'a>,
    /// The verdict of every start; of a next trip, of every hour at which it may happen.
    pub judged: Vec<Judged>,
    /// Starts that were looked at with all draws.
    sure: BTreeMap<usize, Sure>,
}

/// A start with all draws, and the probability that its margin falls below 0 K.
type Sure = (Judged, Option<Chance>);

/// All of them.
#[derive(Debug)]
pub struct Parts<'a> {
    /// While the outage runs first, then after each next trip.
    pub parts: Vec<Part<'a>>,
    /// Hours that the outage lasts.
    hours: usize,
}

/// The worst at every start.
#[derive(Debug)]
pub struct Found {
    /// While the outage runs.
    pub as_planned: Vec<Worst>,
    /// The worse of that and of a next trip at any hour of the outage; `None` where none is stated.
    pub with_next_trip: Option<Vec<Worst>>,
}

impl<'a> Parts<'a> {
    /// Judges every part of an outage from every full hour.
    pub fn of(plan: &'a Plan, outage: &'a Outage, templates: &'a [Templates]) -> Self {
        let first_min = (outage.earliest_min / HOUR_MIN).ceil() * HOUR_MIN;
        let starts_min = hours(first_min, outage.latest_min - outage.duration_min);
        let trips_min = hours(first_min, outage.latest_min);
        let mut parts = Vec::new();
        for carried in &outage.carries {
            let normally = &plan.units[carried.unit].normally;
            let template = &templates[carried.unit].while_out;
            let loads = (normally, carried, normally);
            let times = (starts_min.clone(), outage.duration_min);
            parts.push(Part::of((plan, template), None, loads, times));
        }
        let recall_min = outage.recall_min.unwrap_or(outage.duration_min);
        for (trip, next) in outage.next_trips.iter().enumerate() {
            for carried in &next.carries {
                let normally = &plan.units[carried.unit].normally;
                let own = outage.carries.iter().find(|own| own.unit == carried.unit);
                let template = &templates[carried.unit].after_trip;
                let loads = (own.unwrap_or(normally), carried, normally);
                let times = (trips_min.clone(), recall_min);
                parts.push(Part::of((plan, template), Some(trip), loads, times));
            }
        }
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most a month of hours"
        )]
        let hours = (outage.duration_min / HOUR_MIN).ceil() as usize;
        let mut all = Self { parts, hours };
        all.settle();
        all
    }

    /// The worst at every start.
    pub fn found(&self) -> Found {
        let of = |during: bool| {
            let wanted = |(_, part): &(usize, &Part<'a>)| part.trip.is_none() == during;
            let own = self.parts.iter().enumerate().filter(wanted);
            let own: Vec<_> = own.map(|(at, part)| (at, part.judged.as_slice())).collect();
            worst_at_each(&own)
        };
        let as_planned = of(true).unwrap_or_default();
        let with_next_trip = of(false).map(|hours| {
            let ahead = worst_ahead(&hours, self.hours);
            as_planned.iter().zip(ahead).map(|(during, trip)| during.or(trip)).collect()
        });
        Found { as_planned, with_next_trip }
    }

    /// The places of a part that an outage from a start looks at: the start itself, or every hour of a trip.
    pub fn places(&self, part: &Part<'_>, place: usize) -> Range<usize> {
        let until = if part.trip.is_none() { place + 1 } else { place + self.hours };
        place.min(part.judged.len())..until.min(part.judged.len())
    }

    /// Takes all draws at the worst start of every window, until every one of them goes, and where there is no window at the
    /// best start, until its worst is sure. A start that does not go with all draws is a no-go, whatever was estimated; each
    /// round looks at new starts, so that it ends.
    fn settle(&mut self) {
        for round in 0.. {
            let found = self.found();
            let lists = [Some(&found.as_planned), found.with_next_trip.as_ref()];
            let worst = lists.into_iter().flatten().flat_map(|starts| {
                let windows = windows(starts);
                let best = best(starts).filter(|_| windows.is_empty() && round < ROUNDS);
                let worst = windows.into_iter().map(|window| window.worst).chain(best);
                worst.map(|place| starts[place]).collect::<Vec<_>>()
            });
            let open = |worst: &Worst| {
                let part = &self.parts[worst.stretch];
                let known = part.judged[worst.place].all_draws;
                !known && !part.sure.contains_key(&worst.place)
            };
            let mut open: Vec<(usize, usize)> =
                worst.filter(open).map(|worst| (worst.stretch, worst.place)).collect();
            open.sort_unstable();
            open.dedup();
            if open.is_empty() {
                return;
            }
            let surely = |(part, place): &(usize, usize)| self.parts[*part].with_all_draws(*place);
            let sure: Vec<Sure> = open.par_iter().map(surely).collect();
            for ((part, place), sure) in open.into_iter().zip(sure) {
                let part = &mut self.parts[part];
                let estimated = part.judged[place].verdict.permits();
                if !(sure.0.verdict.permits() && estimated) {
                    part.judged[place] = sure.0.clone();
                }
                part.sure.insert(place, sure);
            }
        }
    }
}

impl<'a> Part<'a> {
    fn of(
        (plan, template): (&'a Plan, &'a Case),
        trip: Option<usize>,
        (before, load, after): (&Carried, &'a Carried, &'a Carried),
        (starts_min, duration_min): (Vec<f64>, f64),
    ) -> Self {
        let loads = (before, load, after);
        let stretch = Stretch::of((plan, template), loads, starts_min, duration_min);
        let planned = Planned::of(template);
        let judged = stretch.judged(&planned);
        Self { unit: load.unit, trip, stretch, planned, judged, sure: BTreeMap::new() }
    }

    /// One start with all draws, and the probability that its margin falls below 0 K.
    ///
    /// What was estimated to be a no-go stays one where a start was looked at no further.
    pub fn surely(&self, place: usize) -> (Judged, Option<Chance>) {
        if let Some(known) = self.sure.get(&place) {
            return known.clone();
        }
        let (sure, chance) = self.with_all_draws(place);
        let estimated = &self.judged[place];
        if sure.verdict.permits() && !estimated.verdict.permits() {
            return (estimated.clone(), None);
        }
        (sure, chance)
    }

    fn with_all_draws(&self, place: usize) -> Sure {
        self.planned.surely(self.stretch.start(place, Load::Planned))
    }

    /// The same with another load.
    pub fn with_load(&self, place: usize, load: Load) -> Judged {
        self.planned.surely(self.stretch.start(place, load)).0
    }
}

/// The full hours from one minute to another.
fn hours(first_min: f64, last_min: f64) -> Vec<f64> {
    let mut minutes = Vec::new();
    let mut minute = first_min;
    // Time stamps are read to a millisecond.
    while minute <= last_min + 1.0e-6 {
        minutes.push(minute);
        minute += HOUR_MIN;
    }
    minutes
}
