//! Many starts of one unit under one limit set, as a plan asks for them: each judged as `check` would.
//!
//! The temperatures from every start are computed and every rule is asked. Only the 5 % point of the
//! margin is estimated, from what the starts share; [`Planned::surely`] takes all draws.

pub mod warm_start;

use super::basis::Basis;
use super::case::{Case, StartFrom};
use super::evaluation::Evaluation;
use super::rated::Ending;
use super::spread::{self, ByHour, Chance, GUARD_K, draws_asked};
use super::wet_paper::WetPaper;
use crate::loading::forecast_error::ForecastError;
use crate::loading::load::Loading;
use crate::quantities::MoisturePercent;
use crate::rules::facts::SpreadFacts;
use crate::rules::verdict::Verdict;
use crate::thermal::schedule::AmbientLine;
use rayon::iter::{IntoParallelIterator, ParallelIterator};

/// An estimate of the 5 % point lies so much below what was found, K, beside the guard: the draws of the hot spot are few.
/// Seen against 8192 draws on the demo; see `tests/plan/brute_force.rs`.
const SPARE_K: f64 = 0.3;

/// The draws of a past that comes and goes spread more than those of a steady load, K at the 5 % point. Our choice: 0.4 K
/// was seen against `check --history` on the demo.
const PAST_SPREADS_K: f64 = 0.5;

/// One start: what differs from one to the next. Minute 0 is the start.
#[derive(Debug, Clone)]
pub struct Start {
    /// The steady load before, pu.
    pub preload_pu: f64,
    /// The least that it may have been, pu ([`warm_start`]).
    pub preload_from_pu: f64,
    /// The load from the start on.
    pub loading: Loading,
    /// The ambient from the start on.
    pub ambient: AmbientLine,
    /// Last minute of the forecast, from the start.
    pub forecast_until_min: Option<f64>,
    /// How wrong the load may be, % of it.
    pub load_error: ForecastError,
    /// How wrong the ambient may be, K.
    pub ambient_error: ForecastError,
}

/// What came of one start.
#[derive(Debug, Clone)]
pub struct Judged {
    /// As `check` would find it; the mildest that is told apart is a go with cautions, because what the
    /// oil does afterwards is not followed.
    pub verdict: Verdict,
    /// Margin with the moisture that counts, K; `None` without one.
    pub margin_counting_k: Option<f64>,
    /// What the draws take off it, K; 0 without draws, infinite where they cannot be made.
    pub allowance_k: f64,
    /// Whether all draws were taken; else `allowance_k` is an estimate.
    pub all_draws: bool,
    /// Margin that is required of it, K.
    pub required_k: f64,
    /// Hottest hot spot, °C, and when, min from the start; `None` without thermal data.
    pub hot_spot: Option<(f64, f64)>,
    /// What keeps it from going ahead.
    pub ended_by: Option<Ending>,
}

impl Judged {
    /// The margin that decides, K; `None` where it is not known.
    pub fn margin_low_k(&self) -> Option<f64> {
        Some(self.margin_counting_k? - self.allowance_k).filter(|margin_k| margin_k.is_finite())
    }
}

/// One unit under one limit set, ready for any start.
#[derive(Debug)]
pub struct Planned<'a> {
    template: &'a Case,
    paper: WetPaper<'a>,
}

impl<'a> Planned<'a> {
    /// Prepares a unit. Load, start, ambient and their errors in `template` do not matter.
    pub fn of(template: &'a Case) -> Self {
        let local = template.local.as_ref().map(|local| &local.moisture);
        let paper = WetPaper::of(&template.unit, local, template.as_of);
        let paper = paper.as_if(template.water_as_percent);
        Self { template, paper }
    }

    /// The moisture that counts, %; `None` if none does.
    pub fn counting_percent(&self) -> Option<f64> {
        self.paper.facts.counting.map(|counting| counting.upper.value())
    }

    /// The inception temperature if this much water counted, °C; `None` outside the range of the correlations.
    pub fn inception_c(&self, percent: f64) -> Option<f64> {
        let water = MoisturePercent::new(percent).ok();
        self.paper.reading(water).known().map(|found| found.working().value())
    }

    /// Judges every start, in their order and with the same digits on any number of processors.
    ///
    /// The starts are an hour apart and last so many hours; `whole` is their load from the first start to the
    /// end of the last one, without a break.
    pub fn judged(
        &self,
        (count, hours): (usize, usize),
        start: impl Fn(usize) -> Start + Sync,
        whole: Start,
    ) -> Vec<Judged> {
        let by_hour = self.by_hour(whole, hours);
        let of = |case: &mut Case, at: usize| {
            put(case, start(at));
            self.judge(case, (by_hour.as_ref(), at))
        };
        (0..count).into_par_iter().map_init(|| self.template.clone(), of).collect()
    }

    /// `None` without draws, or where they cannot be made.
    fn by_hour(&self, whole: Start, hours: usize) -> Option<ByHour> {
        if self.template.request.sampling.draws == 0 {
            return None;
        }
        let case = self.case(whole);
        let basis = Basis::with_paper(&case, self.paper.clone());
        let evaluation = Evaluation::of(&case, &basis, &case.request.loading.load, None);
        ByHour::of(&case, basis.plant.as_ref()?, &evaluation, hours)
    }

    /// Judges one start with all draws; with the probability that the margin falls below 0 K.
    pub fn surely(&self, start: Start) -> (Judged, Option<Chance>) {
        let case = self.case(start);
        let basis = Basis::with_paper(&case, self.paper.clone());
        let evaluation = Evaluation::of(&case, &basis, &case.request.loading.load, None);
        let (mut evaluation, _, spread) = spread::judged(&case, &basis, evaluation);
        if let Some(found) = evaluation.facts.spread {
            let allowance_k = found.allowance_k + PAST_SPREADS_K;
            evaluation.verdict_with(Some(SpreadFacts { allowance_k, ..found }));
        }
        let chance = spread.map(|spread| spread.below_zero);
        (judged(&evaluation, true), chance)
    }

    /// The case of a start, as `check` would be asked.
    pub fn case(&self, start: Start) -> Case {
        let mut case = self.template.clone();
        put(&mut case, start);
        case
    }

    fn judge(&self, case: &Case, (by_hour, hour): (Option<&ByHour>, usize)) -> Judged {
        let basis = Basis::with_paper(case, self.paper.clone());
        let mut evaluation = Evaluation::unjudged(case, &basis, &case.request.loading.load);
        let asked = basis.plant.as_ref().filter(|plant| draws_asked(case, plant).is_some());
        let (Some(counting_k), Some(plant)) = (evaluation.margin_counting_k(), asked) else {
            evaluation.verdict_with(None);
            return judged(&evaluation, true);
        };
        // Draws that were asked for and cannot be made must not make the answer milder.
        let p05_k = by_hour.map_or(f64::NEG_INFINITY, |by_hour| {
            by_hour.margin_p05_k(case, plant, (&evaluation, hour))
                - SPARE_K
                - GUARD_K
                - PAST_SPREADS_K
        });
        let allowance_k = (counting_k - p05_k).max(0.0);
        evaluation.verdict_with(Some(SpreadFacts { allowance_k, below_zero: None }));
        judged(&evaluation, false)
    }
}

fn put(case: &mut Case, start: Start) {
    let request = &mut case.request;
    request.loading = start.loading;
    request.start = StartFrom::Preload(start.preload_pu);
    request.preload_from_pu = start.preload_from_pu;
    // The load of a plan comes and goes.
    request.preload_varies = true;
    request.ambient = start.ambient;
    request.forecast_until_min = start.forecast_until_min;
    request.load_error = start.load_error;
    request.ambient_error = start.ambient_error;
}

fn judged(evaluation: &Evaluation<'_>, all_draws: bool) -> Judged {
    let thermal = evaluation.facts.thermal.as_ref();
    Judged {
        verdict: evaluation.verdict.max(Verdict::GoWithCautions),
        margin_counting_k: evaluation.margin_counting_k(),
        allowance_k: evaluation.facts.allowance_k(),
        all_draws,
        required_k: evaluation.facts.required.no_go_k,
        hot_spot: thermal.map(|thermal| (thermal.hot_spot.value_c, thermal.hot_spot.at_min)),
        ended_by: Ending::of(&evaluation.facts, &evaluation.findings),
    }
}
