//! Many starts of one unit under one limit set, as a plan asks for them: each judged as `check` would.
//!
//! The temperatures from every start are computed and every rule is asked. Only the draws are not taken
//! from every start: what they take off the margin is bounded from some starts looked at with all of
//! them ([`Learnt`]), and where the bounds leave the answer open they are taken after all.

mod learnt;
pub mod warm_start;

use super::basis::Basis;
use super::case::{Case, StartFrom};
use super::evaluation::Evaluation;
use super::rated::Ending;
use super::spread::{self, Chance, draws_asked};
use super::wet_paper::WetPaper;
use crate::loading::forecast_error::ForecastError;
use crate::loading::load::Loading;
use crate::rules::facts::SpreadFacts;
use crate::rules::verdict::Verdict;
use crate::thermal::schedule::AmbientLine;
use learnt::Learnt;
use rayon::iter::{IntoParallelIterator, ParallelIterator};

/// Where draws were asked for and cannot be made.
const UNKNOWN: SpreadFacts = SpreadFacts { allowance_k: f64::INFINITY, below_zero: None };

/// One start: what differs from one to the next. Minute 0 is the start.
#[derive(Debug, Clone)]
pub struct Start {
    /// The steady load before, pu.
    pub preload_pu: f64,
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
    /// Whether all draws were taken; else `allowance_k` is an estimate whose error changes no verdict.
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
    learnt: Option<Learnt>,
}

impl<'a> Planned<'a> {
    /// Prepares a unit; `samples` are some of the starts, spread over all of them.
    ///
    /// Load, start, ambient and their errors in `template` do not matter.
    pub fn of(template: &'a Case, samples: &[Start]) -> Self {
        let local = template.local.as_ref().map(|local| &local.moisture);
        let paper = WetPaper::of(&template.unit, local, template.as_of);
        let paper = paper.as_if(template.water_as_percent);
        let mut planned = Self { template, paper, learnt: None };
        if template.request.sampling.draws > 0 {
            planned.learnt = Learnt::of(&planned, samples);
        }
        planned
    }

    /// The moisture that counts, %; `None` if none does.
    pub fn counting_percent(&self) -> Option<f64> {
        self.paper.facts.counting.map(|counting| counting.upper.value())
    }

    /// Judges every start, in their order and with the same digits on any number of processors.
    pub fn judged(&self, count: usize, start: impl Fn(usize) -> Start + Sync) -> Vec<Judged> {
        let of = |case: &mut Case, at: usize| {
            put(case, start(at));
            self.judge(case)
        };
        (0..count).into_par_iter().map_init(|| self.template.clone(), of).collect()
    }

    /// Judges one start with all draws; with the probability that the margin falls below 0 K.
    pub fn surely(&self, start: Start) -> (Judged, Option<Chance>) {
        let case = self.case(start);
        let basis = Basis::with_paper(&case, self.paper.clone());
        let evaluation = Evaluation::of(&case, &basis, &case.request.loading.load, None);
        let (evaluation, _, spread) = spread::judged(&case, &basis, evaluation);
        let chance = spread.map(|spread| spread.below_zero);
        (judged(&evaluation, true), chance)
    }

    /// The case of a start, as `check` would be asked.
    pub fn case(&self, start: Start) -> Case {
        let mut case = self.template.clone();
        put(&mut case, start);
        case
    }

    fn judge(&self, case: &Case) -> Judged {
        let basis = Basis::with_paper(case, self.paper.clone());
        let load = &case.request.loading.load;
        let mut evaluation = Evaluation::of(case, &basis, load, None);
        let asked = basis.plant.as_ref().filter(|plant| draws_asked(case, plant).is_some());
        let (Some(plant), Some(_)) = (asked, evaluation.margin_counting_k()) else {
            return judged(&evaluation, true);
        };
        let Some(learnt) = &self.learnt else {
            evaluation.verdict_with(Some(UNKNOWN));
            return judged(&evaluation, true);
        };
        let hot_spot_c = evaluation.hot_spot_c();
        if settled(&mut evaluation, learnt.bounds(hot_spot_c)) {
            evaluation.verdict_with(learnt.estimate(hot_spot_c));
            return judged(&evaluation, false);
        }
        let few = learnt.few.bounds(case, plant, &evaluation);
        if settled(&mut evaluation, few) {
            return judged(&evaluation, false);
        }
        let (evaluation, _, _) = spread::judged(case, &basis, evaluation);
        judged(&evaluation, true)
    }
}

/// Whether the least and the most that the draws may take off lead to the same answer; the evaluation is
/// left with the most.
fn settled(evaluation: &mut Evaluation<'_>, [least, most]: [SpreadFacts; 2]) -> bool {
    let with_least = evaluation.verdict_with(Some(least));
    let with_most = evaluation.verdict_with(Some(most));
    with_least == with_most || (with_least.permits() && with_most.permits())
}

fn put(case: &mut Case, start: Start) {
    let request = &mut case.request;
    request.loading = start.loading;
    request.start = StartFrom::Preload(start.preload_pu);
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
