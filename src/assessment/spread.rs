//! How uncertain the answer is: every uncertain input drawn together, every draw taken through the
//! whole chain.
//!
//! The draws are scrambled Sobol points with a fixed seed. What of a draw does not depend on the load
//! is made ready once (`drawn`); then any load can be tried (`propagation`).

mod answer;
mod by_hour;
mod drawn;
pub mod inputs;
mod over_time;
mod propagation;
mod readings;
mod ready;
pub mod why;

pub use answer::{Band, Chance, InputLine, SamplingUsed, Spread};
pub(super) use by_hour::ByHour;
pub use over_time::{BandAt, OverTime};
pub(super) use readings::Readings;
pub(super) use ready::{Ready, Under, WhichWorst, Worst};

use super::basis::Basis;
use super::case::{Case, DEFAULT_DRAWS, HotSpotMoisture, LEAST_DRAWS};
use super::course::sample_minutes;
use super::evaluation::Evaluation;
use super::limits::horizon_min;
use super::plant::Plant;
use crate::rules::facts::SpreadFacts;
use crate::rules::limits::Quantity as Limited;
use answer::band;
use by_hour::Shares;
use propagation::{Stops, hottest, times};

/// Independent scramblings, from whose scatter the standard errors come.
pub const REPLICATES: u32 = 16;

/// One draw in so many is followed over time for a picture, the first of each replicate.
const PICTURED: usize = 8;

/// One draw in so many is followed until it reaches a limit, the first of each replicate.
const TIMED: usize = 4;

/// Share of the draws that may be worse than the value reported as the 5 % point.
const LOW: f64 = 0.05;

/// With the usual number of draws, the number is doubled until the probabilities are as certain as
/// this, or a stated number of times.
const CERTAIN: f64 = 0.005;
const DOUBLED_AT_MOST: u32 = 2;

/// The draws of a case, and what they make of the load asked for.
#[derive(Debug)]
pub(super) struct Draws {
    /// The draws, ready for any load.
    pub(super) ready: Ready,
    /// What they make of the load asked for.
    pub(super) asked: Under,
}

impl Draws {
    fn made(
        case: &Case,
        plant: &Plant<'_>,
        evaluation: &Evaluation<'_>,
        draws: u32,
    ) -> Option<Self> {
        let ready = Ready::of(case, plant, evaluation, draws)?;
        let asked = ready.under(case, plant, &case.request.loading.load);
        Some(Self { ready, asked })
    }
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
    if let Some(plant) = basis.plant.as_ref().filter(|_| case.request.sampling.why) {
        spread.why = draws.why(case, plant);
    }
    if let Some(plant) = basis.plant.as_ref().filter(|_| case.request.sampling.over_time) {
        spread.over_time = draws.over_time(case, plant);
    }
    let below_zero = Some(spread.below_zero.probability);
    let p05_k = spread.margin_p05_k.unwrap_or(f64::NEG_INFINITY);
    let facts = SpreadFacts { allowance_k: allowance_k(&evaluation, p05_k), below_zero };
    (evaluation.with_spread(facts), Some(draws), Some(spread))
}

/// By how much the 5 % point of the margin lies below the margin with the moisture that counts, K.
fn allowance_k(evaluation: &Evaluation<'_>, p05_k: f64) -> f64 {
    evaluation.margin_counting_k().map_or(0.0, |counting_k| (counting_k - p05_k).max(0.0))
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

/// Whether draws that began with the usual number are to be doubled for the `doubled`-th time.
pub(super) fn to_be_doubled(draws: &Ready, doubled: u32, standard_error: f64) -> bool {
    let began_with = draws.points.draws() >> doubled;
    let usual = began_with == DEFAULT_DRAWS as usize;
    usual && doubled < DOUBLED_AT_MOST && !(standard_error < CERTAIN)
}

/// Spreads the answer; with the usual number of draws as many as its probabilities need.
fn spread(case: &Case, basis: &Basis<'_>, evaluation: &Evaluation<'_>) -> Option<(Draws, Spread)> {
    let plant = basis.plant.as_ref()?;
    let mut draws = Draws::made(case, plant, evaluation, draws_asked(case, plant)?)?;
    let mut spread = draws.spread(evaluation)?;
    let mut doubled = 0;
    while to_be_doubled(&draws.ready, doubled, spread.standard_error()) {
        doubled += 1;
        draws = Draws::made(case, plant, evaluation, DEFAULT_DRAWS << doubled)?;
        spread = draws.spread(evaluation)?;
    }
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
        let (inputs, some) = (&self.ready.inputs, self.ready.one_in(TIMED));
        let times = times(case, plant, inputs, &some, stops(evaluation), horizon_min(case));
        let certain_min = certain_min(case, evaluation);
        let times: Vec<f64> = times.into_iter().map(|at_min| at_min.min(certain_min)).collect();
        band(&times).unwrap_or(Band::UNKNOWN)
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
        let some = self.ready.one_in(TIMED);
        let until_min = plant.until_min(case);
        let hot_c = hottest(case, plant, &self.ready.inputs, &some, &load, until_min);
        Some(Shares::of(self.ready.drawn.inception_c.clone()).share_below(&hot_c, 0.0))
    }

    /// How uncertain the hot spot is over time under the load asked for.
    fn over_time(&self, case: &Case, plant: &Plant<'_>) -> Option<OverTime> {
        let (inputs, some) = (&self.ready.inputs, self.ready.one_in(PICTURED));
        over_time::over_time(case, plant, inputs, &some, &case.request.loading.load)
    }

    /// All but how long the draws take to reach a limit, which no verdict waits for.
    fn spread(&self, evaluation: &Evaluation<'_>) -> Option<Spread> {
        let Ready { inputs, points, seed, .. } = &self.ready;
        let Under { spreads: found, taken_back_k } = &self.asked;
        let required_k = evaluation.facts.required.no_go_k;
        let chance = |below_k: f64| self.asked.below(points, below_k).map(Chance::from);
        let beyond = found.margin_k.iter().filter(|k| !k.is_finite()).count();
        #[allow(clippy::cast_precision_loss, reason = "some thousands of draws")]
        let beyond_range_share = beyond as f64 / points.draws() as f64;
        let margin_k = band(&found.margin_k)?;
        Some(Spread {
            margin_p05_k: margin_k.p05.map(|p05_k| p05_k - taken_back_k),
            taken_back_k: *taken_back_k,
            sampling: SamplingUsed {
                method: "scrambled Sobol",
                draws: points.draws(),
                replicates: points.replicates(),
                seed: *seed,
            },
            below_zero: chance(0.0)?,
            below_required: chance(required_k)?,
            margin_k,
            hot_spot_c: band(&found.hot_spot_c)?,
            time_to_limit_min: Band::UNKNOWN,
            beyond_range_share,
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
