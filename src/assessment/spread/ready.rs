//! Draws ready for any load from one start, and what they take off the margin under it.

use super::drawn::Drawn;
use super::inputs::Inputs;
use super::propagation::{Spreads, margins};
use super::{LOW, REPLICATES, allowance_k};
use crate::assessment::case::Case;
use crate::assessment::evaluation::Evaluation;
use crate::assessment::plant::Plant;
use crate::rules::facts::SpreadFacts;
use crate::thermal::schedule::LoadSteps;
use crate::uncertainty::estimate::{Estimate, probability};
use crate::uncertainty::points::Points;

/// One in so many draws is among the worst, several times as many as lie below the 5 % point.
const WORST: usize = 8;

/// Draws ready for any load from one start: neither load nor duration nor limits change them.
#[derive(Debug)]
pub(in crate::assessment) struct Ready {
    pub(super) inputs: Inputs,
    pub(super) points: Points,
    pub(super) seed: u32,
    pub(super) drawn: Drawn,
    /// The one draw with every input at its median.
    middle: Drawn,
}

/// What the draws make of one load.
#[derive(Debug)]
pub(in crate::assessment) struct Under {
    pub(super) spreads: Spreads,
    /// What is taken back, K ([`Ready::taken_back_k`]).
    pub(super) taken_back_k: f64,
}

/// The worst draws of some load, which are almost the same for a load that is not far from it.
#[derive(Debug)]
pub(in crate::assessment) struct Worst {
    drawn: Drawn,
    which: WhichWorst,
}

/// Which draws were the worst under some load, for another start with the same draws.
#[derive(Debug, Clone)]
pub(in crate::assessment) struct WhichWorst {
    draws: Vec<usize>,
    of: usize,
    taken_back_k: f64,
}

impl Ready {
    /// `None` where there is no margin to spread.
    pub(in crate::assessment) fn of(
        case: &Case,
        plant: &Plant<'_>,
        evaluation: &Evaluation<'_>,
        draws: u32,
    ) -> Option<Self> {
        let seed = case.request.sampling.seed;
        let inputs = Inputs::of(case, &evaluation.facts)?;
        let columns = u32::try_from(inputs.columns()).ok()?;
        let points = Points::new(seed, REPLICATES, draws / REPLICATES, columns).ok()?;
        let drawn = Drawn::of(case, plant, &inputs, &points);
        let middle = Drawn::from_values(case, plant, &inputs, &[inputs.medians()]);
        Some(Self { inputs, points, seed, drawn, middle })
    }

    /// The same draws where the water that counts depends on the load, for the load of an evaluation.
    pub(in crate::assessment) fn again(
        &self,
        case: &Case,
        plant: &Plant<'_>,
        (load, evaluation): (&LoadSteps, &Evaluation<'_>),
    ) -> Option<SpreadFacts> {
        let ready = Self::of(case, plant, evaluation, self.draws())?;
        Some(ready.under(case, plant, load).facts(evaluation))
    }

    /// How many there are.
    pub(in crate::assessment) fn draws(&self) -> u32 {
        self.points.replicates() * self.points.each()
    }

    /// One draw in so many, the first of each replicate.
    pub(super) fn one_in(&self, many: usize) -> Drawn {
        let each = self.points.each() as usize;
        let kept = (each / many).max(1);
        let some: Vec<usize> = (0..self.drawn.count()).filter(|draw| draw % each < kept).collect();
        self.drawn.only(&some)
    }

    /// Takes all draws through a load.
    pub(in crate::assessment) fn under(
        &self,
        case: &Case,
        plant: &Plant<'_>,
        load: &LoadSteps,
    ) -> Under {
        let spreads = margins(case, plant, &self.inputs, &self.drawn, load);
        let mut margin_k = spreads.margin_k.clone();
        let p50_k = ranked(&mut margin_k, middle_rank(self.drawn.count()));
        let taken_back_k = p50_k.map_or(0.0, |p50_k| self.taken_back_k(case, plant, load, p50_k));
        Under { spreads, taken_back_k }
    }

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

    /// The worst draws under a load.
    pub(in crate::assessment) fn worst(&self, under: &Under) -> Worst {
        let margin_k = &under.spreads.margin_k;
        let (draws, of) = (worst_of(margin_k), margin_k.len());
        let which = WhichWorst { draws, of, taken_back_k: under.taken_back_k };
        Worst { drawn: self.drawn.only(&which.draws), which }
    }

    /// How uncertain the margin of an evaluation is, from the worst draws of another load.
    pub(in crate::assessment) fn facts_of_worst(
        &self,
        case: &Case,
        plant: &Plant<'_>,
        (load, evaluation): (&LoadSteps, &Evaluation<'_>),
        worst: &Worst,
    ) -> SpreadFacts {
        let mut margin_k = margins(case, plant, &self.inputs, &worst.drawn, load).margin_k;
        // The order statistic of all draws that stands among the worst of them.
        let p05_k = ranked(&mut margin_k, low_rank(worst.which.of));
        facts(evaluation, p05_k, worst.which.taken_back_k)
    }

    /// The same draws from this start; `None` if they are not of the same points.
    pub(in crate::assessment) fn worst_as(&self, which: &WhichWorst) -> Option<Worst> {
        let same = which.of == self.drawn.count();
        same.then(|| Worst { drawn: self.drawn.only(&which.draws), which: which.clone() })
    }

    /// How certain the shares of draws below 0 K and below a required margin are: the greater standard
    /// error.
    pub(in crate::assessment) fn standard_error(&self, under: &Under, required_k: f64) -> f64 {
        let error = |below_k: f64| {
            under.below(&self.points, below_k).map_or(f64::INFINITY, |found| found.standard_error)
        };
        error(0.0).max(error(required_k))
    }
}

impl Worst {
    /// Which draws they are.
    pub(in crate::assessment) fn which(&self) -> &WhichWorst {
        &self.which
    }
}

impl Under {
    /// Share of the draws whose margin is below so much.
    pub(super) fn below(&self, points: &Points, below_k: f64) -> Option<Estimate> {
        // Written so that a NaN counts as below.
        let failed: Vec<bool> = self.spreads.margin_k.iter().map(|k| !(*k >= below_k)).collect();
        probability(points, &failed).ok()
    }

    /// How uncertain the margin of the evaluation of the same load is.
    pub(in crate::assessment) fn facts(&self, evaluation: &Evaluation<'_>) -> SpreadFacts {
        let mut margin_k = self.spreads.margin_k.clone();
        let p05_k = ranked(&mut margin_k, low_rank(self.spreads.margin_k.len()));
        facts(evaluation, p05_k, self.taken_back_k)
    }
}

fn facts(evaluation: &Evaluation<'_>, p05_k: Option<f64>, taken_back_k: f64) -> SpreadFacts {
    let p05_k = p05_k.unwrap_or(f64::NEG_INFINITY) - taken_back_k;
    SpreadFacts { allowance_k: allowance_k(evaluation, p05_k), below_zero: None }
}

/// The draws with the lowest margins, in no order.
fn worst_of(margin_k: &[f64]) -> Vec<usize> {
    let mut draws: Vec<usize> = (0..margin_k.len()).collect();
    let some = (margin_k.len() / WORST).max(1);
    let worse = |a: &usize, b: &usize| margin_k[*a].total_cmp(&margin_k[*b]);
    if some < draws.len() {
        draws.select_nth_unstable_by(some, worse);
        draws.truncate(some);
    }
    draws
}

fn middle_rank(of: usize) -> usize {
    of.saturating_sub(1) / 2
}

/// The value at a rank, the lowest being 0.
fn ranked(values: &mut [f64], rank: usize) -> Option<f64> {
    (rank < values.len()).then(|| *values.select_nth_unstable_by(rank, f64::total_cmp).1)
}

/// Rank of the 5 % point among so many, as [`crate::uncertainty::estimate::quantile`] takes it.
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
