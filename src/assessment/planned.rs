//! Many starts of one unit under one limit set, as a plan asks for them: each judged as `check` would.
//!
//! The temperatures from every start are computed and every rule is asked. Only what the draws take off the
//! margin is estimated, for all starts at once ([`Planned::taken_off`]); [`Planned::surely`] takes all draws.

pub mod warm_start;

use super::basis::Basis;
use super::case::{Case, StartFrom};
use super::evaluation::Evaluation;
use super::rated::Ending;
use super::spread::{self, ByHour, Chance, draws_asked};
use super::wet_paper::WetPaper;
use crate::loading::forecast_error::ForecastError;
use crate::loading::load::Loading;
use crate::rules::facts::SpreadFacts;
use crate::rules::verdict::Verdict;
use crate::thermal::schedule::AmbientLine;
use rayon::iter::{IntoParallelIterator, ParallelIterator};

/// Where draws were asked for and cannot be made.
const UNKNOWN: SpreadFacts = SpreadFacts { allowance_k: f64::INFINITY, below_zero: None };

/// An estimate of what the draws take off lies so much above what was found, K: the draws of the hot spot are
/// few. Seen against 8192 draws on the demo; see `tests/plan/brute_force.rs`.
const SPARE_K: f64 = 0.3;

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

    /// What the draws take off the margin within so many hours from each hour of a long load on.
    ///
    /// `whole` is that load from the first hour on, and ends with the last one. It is a little more than what
    /// all draws take off, as a rule ([`SPARE_K`]); infinite where they cannot be made.
    pub fn taken_off(&self, whole: Start, hours: usize) -> Vec<SpreadFacts> {
        let case = self.case(whole);
        let basis = Basis::with_paper(&case, self.paper.clone());
        let load = &case.request.loading.load;
        let evaluation = Evaluation::of(&case, &basis, load, None);
        let draws = case.request.sampling.draws;
        let plant = basis.plant.as_ref().filter(|_| draws > 0);
        let by_hour = plant.and_then(|plant| ByHour::of(&case, plant, &evaluation, draws));
        let spare = |k: f64| SpreadFacts { allowance_k: k + SPARE_K, below_zero: None };
        by_hour.map_or_else(Vec::new, |found| {
            found.taken_off_k(hours).into_iter().map(spare).collect()
        })
    }

    /// The moisture that counts, %; `None` if none does.
    pub fn counting_percent(&self) -> Option<f64> {
        self.paper.facts.counting.map(|counting| counting.upper.value())
    }

    /// Judges every start, in their order and with the same digits on any number of processors.
    ///
    /// `taken_off` is what the draws take off the margin of each; where there is none though draws are asked
    /// for, it is not known.
    pub fn judged(
        &self,
        count: usize,
        start: impl Fn(usize) -> Start + Sync,
        taken_off: &[SpreadFacts],
    ) -> Vec<Judged> {
        let of = |case: &mut Case, at: usize| {
            put(case, start(at));
            self.judge(case, taken_off.get(at).copied())
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

    fn judge(&self, case: &Case, taken_off: Option<SpreadFacts>) -> Judged {
        let basis = Basis::with_paper(case, self.paper.clone());
        let load = &case.request.loading.load;
        let mut evaluation = Evaluation::of(case, &basis, load, None);
        let asked = basis.plant.as_ref().filter(|plant| draws_asked(case, plant).is_some());
        if asked.is_none() || evaluation.margin_counting_k().is_none() {
            return judged(&evaluation, true);
        }
        evaluation.verdict_with(Some(taken_off.unwrap_or(UNKNOWN)));
        judged(&evaluation, false)
    }
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
