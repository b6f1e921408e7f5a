//! How uncertain the answer is: every uncertain input drawn together, every draw taken through the
//! whole chain.
//!
//! The draws are scrambled Sobol points with a fixed seed. What of a draw does not depend on the load
//! is made ready once (`drawn`); then any load can be tried (`propagation`), and its hot spots are held against every
//! draw of the inception temperature (`pairs`).

mod answer;
mod by_hour;
mod drawn;
pub mod drawn_water;
mod few;
mod few_courses;
mod guard;
pub mod inputs;
mod lift;
mod other_starts;
mod over_time;
mod pairs;
mod propagation;
mod readings;
mod ready;
pub mod why;

pub use answer::{Band, Chance, InputLine, SamplingUsed, Spread};
pub(super) use by_hour::ByHour;
pub use guard::GUARD_K;
pub use over_time::{BandAt, OverTime};
pub(super) use readings::Readings;
pub(super) use ready::{Ready, Under};

use super::basis::Basis;
use super::case::{Case, DEFAULT_DRAWS, HotSpotMoisture, LEAST_DRAWS};
use super::course::sample_minutes;
use super::evaluation::Evaluation;
use super::limits::horizon_min;
use super::plant::Plant;
use super::possible::WhichStart;
use crate::rules::facts::SpreadFacts;
use crate::rules::limits::Quantity as Limited;
use answer::band;
use few_courses::Stops;

/// Independent scramblings, from whose scatter the standard errors come.
pub const REPLICATES: u32 = 16;

/// Share of the draws that may be worse than the value reported as the 5 % point.
const LOW: f64 = 0.05;

/// The draws of a case, and what they make of the load asked for.
#[derive(Debug)]
pub(super) struct Draws {
    /// The draws, ready for any load.
    pub(super) ready: Ready,
    /// What they make of the load asked for.
    pub(super) asked: Under,
}

/// How many draws a case begins with; `None`: none are asked for.
pub(super) fn draws_asked(case: &Case, plant: &Plant<'_>) -> Option<u32> {
    match case.request.sampling.draws {
        0 => None,
        DEFAULT_DRAWS => Some(usual_draws(case, plant)),
        draws => Some(draws),
    }
}

/// Judges an evaluation with the uncertainty of its margin; gives the draws too, for other loads.
pub(super) fn judged<'a>(
    case: &Case,
    basis: &Basis<'_>,
    evaluation: Evaluation<'a>,
) -> (Evaluation<'a>, Option<Draws>, Option<Spread>) {
    let Some((draws, mut spread)) = spread(case, basis, &evaluation) else {
        let wanted = case.request.sampling.draws > 0 && evaluation.margin_counting_k().is_some();
        // Draws that were asked for and cannot be made must not make the answer milder.
        let unknown = SpreadFacts { allowance_k: f64::INFINITY, below_zero: None };
        let evaluation = if wanted { evaluation.with_spread(unknown) } else { evaluation };
        return (evaluation, None, None);
    };
    let with_course = basis.plant.as_ref().zip(evaluation.course.as_ref());
    if let Some((plant, course)) = with_course.filter(|_| case.request.sampling.why) {
        spread.why = draws.why((case, plant), course);
    }
    if let Some(plant) = basis.plant.as_ref().filter(|_| case.request.sampling.over_time) {
        spread.over_time = draws.over_time(case, plant);
    }
    let below_zero = Some(spread.below_zero.probability);
    let facts = SpreadFacts { below_zero, ..draws.asked.facts(&evaluation) };
    (evaluation.with_spread(facts), Some(draws), Some(spread))
}

/// By how much the 5 % point of the margin, less its guard, lies below the margin with the moisture that counts, K.
fn allowance_k(evaluation: &Evaluation<'_>, surely_k: f64) -> f64 {
    evaluation.margin_counting_k().map_or(0.0, |counting_k| (counting_k - surely_k).max(0.0))
}

/// Steps of a schedule that the usual number of draws is meant for: a day and a half of minutes.
const USUAL_STEPS: usize = 2048;

/// For longer schedules fewer draws, so that the wait stays what it is; the result says how many.
fn usual_draws(case: &Case, plant: &Plant<'_>) -> u32 {
    let request = &case.request;
    let (end_min, until_min) = (request.loading.end_min, plant.until_min(case));
    let samples = sample_minutes(request.resolution, end_min, until_min).len();
    let steps = samples + request.loading.load.steps().len() + request.ambient.knots().len();
    let halvings = (steps / USUAL_STEPS).checked_ilog2().map_or(0, |halvings| halvings + 1);
    (DEFAULT_DRAWS >> halvings.min(8)).max(LEAST_DRAWS)
}

/// Draws from the start of a case, and what they make of its load.
fn spread(case: &Case, basis: &Basis<'_>, evaluation: &Evaluation<'_>) -> Option<(Draws, Spread)> {
    let plant = basis.plant.as_ref()?;
    let ready = Ready::of(case, plant, evaluation)?;
    let course = evaluation.course.as_ref()?;
    let asked = ready.under((case, plant), &case.request.loading.load, course);
    let draws = Draws { ready, asked };
    let spread = draws.spread(evaluation)?;
    Some((draws, spread))
}

impl Draws {
    /// How long the draws take to reach a limit, min, if the last load goes on.
    pub(super) fn time_to_limit_min(
        &self,
        case: &Case,
        plant: &Plant<'_>,
        evaluation: &Evaluation<'_>,
    ) -> Band {
        let loading = &case.request.loading;
        let load = loading.load.held_after(loading.end_min);
        // The error of the last load goes on with it.
        let mut held = case.clone();
        held.request.load_error = case.request.load_error.held_after(loading.end_min);
        let asked = (&load, horizon_min(case));
        let from = |which| {
            let few = &self.ready.started(which).few;
            few.courses((&held, plant), &self.ready.inputs, asked)
        };
        // The start that counts gets hotter in the end, the stated one may at first.
        let other = (self.asked.which != WhichStart::Stated).then(|| from(self.asked.which));
        let highest = from(WhichStart::Stated).highest(other.as_ref());
        let against = (&self.ready.inceptions, stops(evaluation));
        highest.reached_min(against, certain_min(case, evaluation))
    }

    /// Probability that the margin falls below 0 K at any time with the load scaled to a greatest one.
    pub(super) fn bubbles_at(&self, case: &Case, plant: &Plant<'_>, load_pu: f64) -> Option<f64> {
        if case.request.hot_spot != HotSpotMoisture::Bulk {
            // The draws are for the water at the load asked for.
            return None;
        }
        let loading = &case.request.loading;
        let factor = load_pu / case.greatest_load_pu();
        let load = loading.load.scaled_before(loading.end_min, factor);
        let known = self.ready.bubbles(case, plant, &load);
        if known.is_some() {
            return known;
        }
        let course = plant.run(case, &load);
        Some(self.ready.below(&self.ready.under((case, plant), &load, &course), 0.0).value)
    }

    /// How uncertain the hot spot is over time under the load asked for.
    fn over_time(&self, case: &Case, plant: &Plant<'_>) -> Option<OverTime> {
        let few = &self.ready.started(self.asked.which).few;
        let asked = (&case.request.loading.load, plant.until_min(case));
        let courses = few.courses((case, plant), &self.ready.inputs, asked);
        over_time::over_time(&courses, &self.ready.inceptions)
    }

    /// All but how long the draws take to reach a limit, which no verdict waits for.
    fn spread(&self, evaluation: &Evaluation<'_>) -> Option<Spread> {
        let Ready { inputs, points, inceptions, seed, .. } = &self.ready;
        let asked = &self.asked;
        let chance = |below_k: f64| Chance::from(self.ready.below(asked, below_k));
        let finite = |k: f64| k.is_finite().then_some(k);
        let high_k = inceptions.margin_k(&asked.hot_spot_c, 1.0 - LOW);
        Some(Spread {
            margin_p05_k: finite(asked.margin_p05_k()),
            margin_p05_standard_error_k: finite(asked.error.standard_error_k),
            guard_k: finite(asked.error.guard_k()),
            taken_back_k: asked.taken_back_k,
            sampling: SamplingUsed {
                method: "scrambled Sobol",
                draws: inceptions.ascending_c().len(),
                thermal_draws: points.draws(),
                replicates: points.replicates(),
                seed: *seed,
            },
            below_zero: chance(0.0),
            below_required: chance(evaluation.facts.required.no_go_k),
            margin_k: Band {
                p05: finite(asked.p05_k),
                p50: finite(asked.p50_k),
                p95: finite(high_k),
            },
            hot_spot_c: band(&asked.hot_spot_c)?,
            time_to_limit_min: Band::UNKNOWN,
            beyond_range_share: self.ready.below(asked, f64::MIN).value,
            inputs: inputs.uncertain.iter().map(InputLine::of).collect(),
            why: Vec::new(),
            over_time: None,
        })
    }
}

/// The temperature ceilings in force.
fn stops(evaluation: &Evaluation<'_>) -> Stops {
    let lowest = |quantity: Limited| {
        let held = evaluation.facts.held.iter();
        let own = held.filter(|held| held.ceiling.quantity == quantity);
        own.map(|held| held.ceiling.limit).fold(f64::INFINITY, f64::min)
    };
    let required_k = evaluation.facts.required.no_go_k;
    Stops { required_k, hot_spot_c: lowest(Limited::HotSpot), top_oil_c: lowest(Limited::TopOil) }
}

/// When a limit is reached about which there is no doubt: a load above its ceiling, a duration, min.
fn certain_min(case: &Case, evaluation: &Evaluation<'_>) -> f64 {
    let reached = evaluation.facts.held.iter().filter_map(|held| match held.ceiling.quantity {
        Limited::Load => held.value.filter(|value| *value > held.ceiling.limit).map(|_| 0.0),
        Limited::Duration => Some(held.ceiling.limit).filter(|limit| *limit <= horizon_min(case)),
        Limited::HotSpot | Limited::TopOil | Limited::Ageing => None,
    });
    reached.fold(f64::INFINITY, f64::min)
}
