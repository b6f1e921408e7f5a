//! Few of the draws for one start after another: all that were among the worst from any of some starts.

use super::drawn::Drawn;
use super::inputs::{Inputs, Values};
use super::propagation::margins;
use super::ready::{Ready, Under, facts, low_rank, ranked, worst_of};
use crate::assessment::case::Case;
use crate::assessment::evaluation::Evaluation;
use crate::assessment::plant::Plant;
use crate::rules::facts::SpreadFacts;

/// Few of the draws, and what has to be known of the others.
#[derive(Debug)]
pub(in crate::assessment) struct Few {
    inputs: Inputs,
    values: Vec<Values>,
    /// How many draws there are in all.
    of: usize,
    most_taken_back_k: f64,
}

impl Few {
    /// The draws that were among the worst from any of the starts looked at. The draws are the same from each.
    pub(in crate::assessment) fn of(ready: &Ready, found: &[Under]) -> Self {
        let worst = found.iter().flat_map(|under| worst_of(&under.spreads.margin_k));
        let mut draws: Vec<usize> = worst.collect();
        draws.sort_unstable();
        draws.dedup();
        let values = |draw: usize| ready.inputs.values(&ready.points.rows(draw..draw + 1));
        Self {
            inputs: ready.inputs.clone(),
            values: draws.into_iter().map(values).collect(),
            of: ready.points.draws(),
            most_taken_back_k: found.iter().map(|under| under.taken_back_k).fold(0.0, f64::max),
        }
    }

    /// The least and the most that all draws may take off the margin of an evaluation.
    pub(in crate::assessment) fn bounds(
        &self,
        case: &Case,
        plant: &Plant<'_>,
        evaluation: &Evaluation<'_>,
    ) -> [SpreadFacts; 2] {
        let drawn = Drawn::from_values(case, plant, &self.inputs, &self.values);
        let load = &case.request.loading.load;
        let mut margin_k = margins(case, plant, &self.inputs, &drawn, load).margin_k;
        let p05_k = ranked(&mut margin_k, low_rank(self.of));
        [0.0, self.most_taken_back_k].map(|taken_back_k| facts(evaluation, p05_k, taken_back_k))
    }
}
