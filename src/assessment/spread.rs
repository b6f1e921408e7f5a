//! How uncertain the answer is: every uncertain input drawn together, every draw taken through the
//! whole chain.
//!
//! The draws are scrambled Sobol points with a fixed seed. What of a draw does not depend on the load
//! is made ready once (`drawn`); then any load can be tried (`propagation`).

mod answer;
mod drawn;
pub mod inputs;
mod propagation;
pub mod why;

pub use answer::{Band, Chance, InputLine, SamplingUsed, Spread};

use super::basis::Basis;
use super::case::{Case, DEFAULT_DRAWS, LEAST_DRAWS, Sampling};
use super::course::sample_minutes;
use super::evaluation::Evaluation;
use super::limits::horizon_min;
use super::plant::Plant;
use crate::rules::facts::SpreadFacts;
use crate::rules::limits::Quantity as Limited;
use crate::thermal::schedule::LoadSteps;
use crate::uncertainty::estimate::{probability, quantile};
use crate::uncertainty::points::Points;
use answer::band;
use drawn::Drawn;
use inputs::Inputs;
use propagation::{Spreads, Stops, margins, times};

/// Independent scramblings, from whose scatter the standard errors come.
pub const REPLICATES: u32 = 16;

/// One draw in so many is followed until it reaches a limit, the first of each replicate.
const TIMED: usize = 4;

/// Share of the draws that may be worse than the value reported as the 5 % point.
const LOW: f64 = 0.05;

/// One in so many draws is among the worst, several times as many as lie below the 5 % point.
const WORST: usize = 8;

/// The worst draws of some load, which are almost the same for a load that is not far from it.
#[derive(Debug)]
pub(super) struct Worst {
    drawn: Drawn,
    of: usize,
}

/// Rank of the 5 % point among so many, as [`quantile`] takes it.
fn low_rank(of: usize) -> usize {
    #[allow(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "some thousands of draws, and a floor of what is not negative"
    )]
    let rank = (LOW * of.saturating_sub(1) as f64).floor() as usize;
    rank
}

/// With the usual number of draws, the number is doubled until the probabilities are as certain as
/// this, or a stated number of times.
const CERTAIN: f64 = 0.005;
const DOUBLED_AT_MOST: u32 = 2;

/// The draws of a case, ready for any load.
#[derive(Debug)]
pub(super) struct Draws {
    inputs: Inputs,
    points: Points,
    seed: u32,
    drawn: Drawn,
    /// The one draw with every input at its median.
    middle: Drawn,
    /// What came of each draw under the load asked for.
    asked: Spreads,
    /// What is taken back there, K ([`Self::taken_back_k`]).
    taken_back_k: f64,
}

impl Draws {
    /// `None` if none are asked for, or where there is no margin to spread.
    pub(super) fn of(case: &Case, plant: &Plant<'_>, evaluation: &Evaluation<'_>) -> Option<Self> {
        let Sampling { draws, seed, .. } = case.request.sampling;
        if draws == 0 {
            return None;
        }
        let draws = if draws == DEFAULT_DRAWS { usual_draws(case, plant) } else { draws };
        Self::made(case, plant, evaluation, draws, seed)
    }

    fn made(
        case: &Case,
        plant: &Plant<'_>,
        evaluation: &Evaluation<'_>,
        draws: u32,
        seed: u32,
    ) -> Option<Self> {
        let inputs = Inputs::of(case, &evaluation.facts)?;
        let columns = u32::try_from(inputs.columns()).ok()?;
        let points = Points::new(seed, REPLICATES, draws / REPLICATES, columns).ok()?;
        let drawn = Drawn::of(case, plant, &inputs, &points);
        let load = &case.request.loading.load;
        let asked = margins(case, plant, &inputs, &drawn, load);
        let middle = Drawn::from_values(case, plant, &inputs, &[inputs.medians()]);
        let mut draws =
            Self { inputs, points, seed, drawn, middle, asked, taken_back_k: f64::INFINITY };
        let p50_k = quantile(&draws.asked.margin_k, 0.5).ok()?;
        draws.taken_back_k = draws.taken_back_k(case, plant, load, p50_k);
        Some(draws)
    }

    /// The same draws of another load, where the water that counts depends on the load.
    pub(super) fn again(
        &self,
        case: &Case,
        plant: &Plant<'_>,
        evaluation: &Evaluation<'_>,
    ) -> Option<Self> {
        let draws = self.points.replicates() * self.points.each();
        Self::made(case, plant, evaluation, draws, self.seed)
    }

    /// The worst draws of the load asked for.
    pub(super) fn worst(&self) -> Worst {
        let margin_k = &self.asked.margin_k;
        let mut worst_first: Vec<usize> = (0..margin_k.len()).collect();
        let some = (margin_k.len() / WORST).max(1);
        let worse = |a: &usize, b: &usize| margin_k[*a].total_cmp(&margin_k[*b]);
        if some < worst_first.len() {
            worst_first.select_nth_unstable_by(some, worse);
            worst_first.truncate(some);
        }
        Worst { drawn: self.drawn.only(&worst_first), of: margin_k.len() }
    }

    /// How uncertain the margin of an evaluation is, from all draws or from the worst of another load.
    pub(super) fn facts(
        &self,
        case: &Case,
        plant: &Plant<'_>,
        (load, evaluation): (&LoadSteps, &Evaluation<'_>),
        worst: Option<&Worst>,
    ) -> SpreadFacts {
        let (drawn, of) = worst.map_or((&self.drawn, self.drawn.count()), |w| (&w.drawn, w.of));
        let mut margin_k = margins(case, plant, &self.inputs, drawn, load).margin_k;
        let count = margin_k.len();
        let mut ranked = |rank: usize| {
            (rank < count).then(|| *margin_k.select_nth_unstable_by(rank, f64::total_cmp).1)
        };
        // The order statistic of all draws that stands among the worst of them.
        let p05_k = ranked(low_rank(of)).unwrap_or(f64::NEG_INFINITY);
        let taken_back_k = if worst.is_some() {
            self.taken_back_k
        } else {
            let p50_k = ranked(of.saturating_sub(1) / 2);
            p50_k.map_or(0.0, |p50_k| self.taken_back_k(case, plant, load, p50_k))
        };
        SpreadFacts { allowance_k: allowance_k(evaluation, p05_k - taken_back_k), below_zero: None }
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
    let samples = sample_minutes(request.loading.end_min, plant.until_min(case)).len();
    let steps = samples + request.loading.load.steps().len() + request.ambient.knots().len();
    let halvings = (steps / USUAL_STEPS).checked_ilog2().map_or(0, |halvings| halvings + 1);
    (DEFAULT_DRAWS >> halvings.min(8)).max(LEAST_DRAWS)
}

/// Spreads the answer; with the usual number of draws as many as its probabilities need.
fn spread(case: &Case, basis: &Basis<'_>, evaluation: &Evaluation<'_>) -> Option<(Draws, Spread)> {
    let plant = basis.plant.as_ref()?;
    let mut draws = Draws::of(case, plant, evaluation)?;
    let usual = draws.points.draws() == DEFAULT_DRAWS as usize;
    let mut spread = draws.spread(evaluation)?;
    for doubled in 1..=DOUBLED_AT_MOST {
        let error = spread.below_zero.standard_error.max(spread.below_required.standard_error);
        if !usual || error < CERTAIN {
            break;
        }
        draws = Draws::made(case, plant, evaluation, DEFAULT_DRAWS << doubled, draws.seed)?;
        spread = draws.spread(evaluation)?;
    }
    Some((draws, spread))
}

impl Draws {
    /// By how much the median of the margin lies above the margin with every input at its median, K;
    /// never negative.
    ///
    /// Doubt may not improve the answer. It can move the margin the good way: where a hotter draw starts
    /// the fans earlier, or where doubt about the rise explains part of a measured excess away. Taken
    /// off the 5 % point, that gain is gone, and more doubt does not raise it.
    fn taken_back_k(&self, case: &Case, plant: &Plant<'_>, load: &LoadSteps, p50_k: f64) -> f64 {
        let middle_k = margins(case, plant, &self.inputs, &self.middle, load).margin_k;
        let gain_k = middle_k.first().map_or(0.0, |middle_k| p50_k - middle_k);
        // Beyond the range of the correlations neither is a number, and nothing is gained.
        if gain_k > 0.0 && gain_k.is_finite() { gain_k } else { 0.0 }
    }

    /// How long the draws take to reach a limit, min, if the last load goes on.
    pub(super) fn time_to_limit_min(
        &self,
        case: &Case,
        plant: &Plant<'_>,
        evaluation: &Evaluation<'_>,
    ) -> Band {
        let Self { inputs, points, drawn, .. } = self;
        let stops = stops(evaluation);
        let each = points.each() as usize;
        let some: Vec<usize> =
            (0..drawn.count()).filter(|draw| draw % each < each / TIMED).collect();
        let times = times(case, plant, inputs, &drawn.only(&some), stops, horizon_min(case));
        let certain_min = certain_min(case, evaluation);
        let times: Vec<f64> = times.into_iter().map(|at_min| at_min.min(certain_min)).collect();
        band(&times).unwrap_or(Band::UNKNOWN)
    }

    /// All but how long the draws take to reach a limit, which no verdict waits for.
    fn spread(&self, evaluation: &Evaluation<'_>) -> Option<Spread> {
        let Self { inputs, points, asked: found, .. } = self;
        let required_k = evaluation.facts.required.no_go_k;
        let chance = |below_k: f64| -> Option<Chance> {
            // Written so that a NaN counts as below.
            let failed: Vec<bool> = found.margin_k.iter().map(|k| !(*k >= below_k)).collect();
            probability(points, &failed).ok().map(Chance::from)
        };
        let beyond = found.margin_k.iter().filter(|k| !k.is_finite()).count();
        #[allow(clippy::cast_precision_loss, reason = "some thousands of draws")]
        let beyond_range_share = beyond as f64 / points.draws() as f64;
        let margin_k = band(&found.margin_k)?;
        Some(Spread {
            margin_p05_k: margin_k.p05.map(|p05_k| p05_k - self.taken_back_k),
            taken_back_k: self.taken_back_k,
            sampling: SamplingUsed {
                method: "scrambled Sobol",
                draws: points.draws(),
                replicates: points.replicates(),
                seed: self.seed,
            },
            below_zero: chance(0.0)?,
            below_required: chance(required_k)?,
            margin_k,
            hot_spot_c: band(&found.hot_spot_c)?,
            time_to_limit_min: Band::UNKNOWN,
            beyond_range_share,
            inputs: inputs.uncertain.iter().map(InputLine::of).collect(),
            why: Vec::new(),
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
