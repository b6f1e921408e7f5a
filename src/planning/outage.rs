//! What becomes of one planned outage: when it may begin, and where nothing goes, what would have to give.

use super::needed_water::{NeededWater, needed_water};
use super::parts::{HOUR_MIN, Parts};
use super::plan::{Outage, Plan};
use super::templates::Templates;
use super::transfer::{Transfer, transfers};
use super::windows::{Window, Worst, best, windows};
use crate::assessment::planned::Judged;
use crate::rating::{Governs, governs::governs};
use crate::rules::verdict::Verdict;
use serde::Serialize;

/// What becomes of one planned outage.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OutageAnswer {
    /// Its name.
    pub name: String,
    /// The units that are out.
    pub out: Vec<String>,
    /// The units that carry more.
    pub carriers: Vec<String>,
    /// How long it lasts, min.
    pub duration_min: f64,
    /// Earliest start, RFC 3339.
    pub earliest: String,
    /// By when it must be over, RFC 3339.
    pub latest: String,
    /// How long until what is out is back after a trip, min.
    pub recall_min: Option<f64>,
    /// Starts that were looked at, an hour apart.
    pub starts: usize,
    /// As it is planned, with nothing else tripping.
    pub as_planned: CaseAnswer,
    /// The same where the next trip may come at any hour of it; `null` where none is stated.
    pub with_next_trip: Option<CaseAnswer>,
    /// How wet the paper of the unit that is asked about may be for it to go anywhere; `null` where that unit
    /// carries nothing in it.
    pub water: Option<NeededWater>,
}

/// The windows of one case.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CaseAnswer {
    /// Starts from which it goes.
    pub go_starts: usize,
    /// Starts in a row from which it goes, in the order of time.
    pub windows: Vec<WindowAnswer>,
    /// The start with the greatest margin, whether it goes or not; `null` without a start.
    pub best: Option<StartAnswer>,
    /// Where there is no window: what would have to be carried elsewhere, from the best start on.
    pub transfers: Vec<Transfer>,
    /// Every start.
    pub each: Vec<HourAnswer>,
}

/// Starts in a row from which an outage goes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WindowAnswer {
    /// The first start, RFC 3339.
    pub first: String,
    /// The last start, RFC 3339.
    pub last: String,
    /// How many starts.
    pub starts: usize,
    /// The start with the smallest margin.
    pub worst: StartAnswer,
    /// The start with the greatest margin.
    pub best: HourAnswer,
}

/// One start in full: of the unit and the case with the smallest margin.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StartAnswer {
    /// The start of the outage, RFC 3339.
    pub start: String,
    /// Its end, RFC 3339.
    pub end: String,
    /// The verdict; a go with cautions stands for every go.
    pub verdict: Verdict,
    /// The unit that decides.
    pub unit: String,
    /// The next trip that decides, and when it happens, RFC 3339; `null`: while nothing else trips.
    pub trip: Option<TripAt>,
    /// The margin that decides, K; all draws were taken.
    pub margin_low_k: Option<f64>,
    /// Margin with the moisture that counts, K.
    pub margin_counting_k: Option<f64>,
    /// Margin that is required, K.
    pub required_k: f64,
    /// Probability that the margin falls below 0 K; `null` without draws.
    pub probability: Option<f64>,
    /// Its standard error.
    pub probability_standard_error: Option<f64>,
    /// The hottest hot spot, °C.
    pub hot_spot_c: Option<f64>,
    /// The worst hour: when it is hottest, RFC 3339.
    pub worst_hour: Option<String>,
    /// Load before, at which a steady state is at least as hot as the forecast leaves the unit, pu.
    pub preload_pu: f64,
    /// The least load before that counts too where fans start by themselves, pu: from a lower one they start later.
    pub preload_from_pu: f64,
    /// What keeps it from going ahead; `null` if it goes.
    pub governs: Option<Governs>,
}

/// A trip.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TripAt {
    /// What trips.
    pub name: String,
    /// When, RFC 3339.
    pub at: String,
}

/// One start in short.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HourAnswer {
    /// The start of the outage, RFC 3339.
    pub start: String,
    /// The verdict.
    pub verdict: Verdict,
    /// The margin that decides, K; `null` where it is not known.
    pub margin_low_k: Option<f64>,
    /// Whether all draws were taken; else the margin is an estimate whose error changes no verdict.
    pub all_draws: bool,
    /// The unit that decides.
    pub unit: String,
    /// What keeps it from going ahead; `null` if it goes.
    pub governs: Option<&'static str>,
}

/// An outage of a plan, taken apart and looked at.
#[derive(Debug)]
pub struct Looked<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// The outage.
    pub outage: &'a Outage,
    /// Every part of it.
    pub parts: Parts<'a>,
}

impl<'a> Looked<'a> {
    /// Judges every part of an outage from every start.
    pub fn of(plan: &'a Plan, outage: &'a Outage, templates: &'a [Templates]) -> Self {
        Self { plan, outage, parts: Parts::of(plan, outage, templates) }
    }
}

/// Answers an outage; `focus` is the unit that is asked about.
pub fn answer(looked: &Looked<'_>, templates: &[Templates], focus: usize) -> OutageAnswer {
    let Looked { plan, outage, .. } = looked;
    let found = looked.parts.found();
    let names = |units: &mut dyn Iterator<Item = usize>| -> Vec<String> {
        units.map(|unit| plan.units[unit].name.clone()).collect()
    };
    let strictest = found.with_next_trip.as_ref().unwrap_or(&found.as_planned);
    OutageAnswer {
        name: outage.name.clone(),
        out: names(&mut outage.out.iter().copied()),
        carriers: names(&mut outage.carries.iter().map(|carried| carried.unit)),
        duration_min: outage.duration_min,
        earliest: plan.time(outage.earliest_min),
        latest: plan.time(outage.latest_min),
        recall_min: outage.recall_min,
        starts: found.as_planned.len(),
        as_planned: looked.case(&found.as_planned, false),
        with_next_trip: found.with_next_trip.as_ref().map(|starts| looked.case(starts, true)),
        water: needed_water(looked, templates, focus, strictest),
    }
}

impl Looked<'_> {
    fn case(&self, starts: &[Worst], with_next_trip: bool) -> CaseAnswer {
        let found = windows(starts);
        let best = best(starts);
        CaseAnswer {
            go_starts: starts.iter().filter(|start| start.permits()).count(),
            transfers: match best.filter(|_| found.is_empty()) {
                Some(best) => transfers(self, best, with_next_trip),
                None => Vec::new(),
            },
            windows: found.iter().map(|window| self.window(starts, window)).collect(),
            best: best.map(|best| self.start(best, &starts[best])),
            each: (0..starts.len()).map(|at| self.hour(at, &starts[at])).collect(),
        }
    }

    fn window(&self, starts: &[Worst], window: &Window) -> WindowAnswer {
        WindowAnswer {
            first: self.begins(window.first),
            last: self.begins(window.last),
            starts: window.last - window.first + 1,
            worst: self.start(window.worst, &starts[window.worst]),
            best: self.hour(window.best, &starts[window.best]),
        }
    }

    /// The start of the outage at a place, in the plan's minutes.
    pub fn start_min(&self, place: usize) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "hours within two years")]
        let hours = place as f64;
        (self.outage.earliest_min / HOUR_MIN).ceil() * HOUR_MIN + hours * HOUR_MIN
    }

    /// The same as RFC 3339.
    pub fn begins(&self, place: usize) -> String {
        self.plan.time(self.start_min(place))
    }

    fn start(&self, place: usize, worst: &Worst) -> StartAnswer {
        let part = &self.parts.parts[worst.stretch];
        let (judged, chance) = part.surely(worst.place);
        let from_min = part.stretch.starts_min[worst.place];
        let trip = part.trip.map(|trip| TripAt {
            name: self.outage.next_trips[trip].name.clone(),
            at: self.plan.time(from_min),
        });
        StartAnswer {
            start: self.begins(place),
            end: self.plan.time(self.start_min(place) + self.outage.duration_min),
            verdict: judged.verdict,
            unit: self.plan.units[part.unit].name.clone(),
            trip,
            margin_low_k: judged.margin_low_k(),
            margin_counting_k: judged.margin_counting_k,
            required_k: judged.required_k,
            probability: chance.map(|chance| chance.probability),
            probability_standard_error: chance.map(|chance| chance.standard_error),
            hot_spot_c: judged.hot_spot.map(|hottest| hottest.0),
            worst_hour: judged.hot_spot.map(|hottest| self.plan.time(from_min + hottest.1)),
            preload_pu: part.stretch.preload_pu(worst.place),
            preload_from_pu: part.stretch.preload_from_pu(worst.place),
            governs: ended(&judged),
        }
    }

    fn hour(&self, place: usize, worst: &Worst) -> HourAnswer {
        let part = &self.parts.parts[worst.stretch];
        let judged = &part.judged[worst.place];
        HourAnswer {
            start: self.begins(place),
            verdict: worst.verdict,
            margin_low_k: worst.margin_low_k,
            all_draws: judged.all_draws,
            unit: self.plan.units[part.unit].name.clone(),
            governs: ended(judged).map(|governs| governs.what.name()),
        }
    }
}

/// What keeps a start from going ahead; `None` if it goes.
pub fn ended(judged: &Judged) -> Option<Governs> {
    judged.ended_by.as_ref().map(|ending| governs(Some(ending), false))
}
