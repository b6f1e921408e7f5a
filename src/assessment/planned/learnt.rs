//! What the draws take off the margin, learnt from some starts that all of them were taken from.

use super::{Planned, Start};
use crate::assessment::basis::Basis;
use crate::assessment::evaluation::Evaluation;
use crate::assessment::spread::{Few, Ready, Under, draws_asked};
use crate::rules::facts::SpreadFacts;
use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

/// So many starts nearest in hot spot say what to expect of another one.
const NEAREST: usize = 6;

/// What is expected may be off by what these differ by, and by this, K.
const SPARE_K: f64 = 0.3;

/// Nothing is expected of a hot spot so far from all that were looked at, K.
const KNOWN_WITHIN_K: f64 = 2.0;

/// What was learnt.
#[derive(Debug)]
pub(super) struct Learnt {
    /// Hottest hot spot, °C, and what the draws take off the margin, K; the coolest first.
    seen: Vec<(f64, f64)>,
    pub(super) few: Few,
}

/// One start with all draws.
struct Looked {
    hot_spot_c: f64,
    takes_off_k: f64,
    ready: Ready,
    under: Under,
}

impl Learnt {
    /// `None` where there is no margin to spread, or no start to learn from.
    pub(super) fn of(planned: &Planned<'_>, samples: &[Start]) -> Option<Self> {
        let looked: Vec<Option<Looked>> =
            samples.par_iter().map(|start| look(planned, start)).collect();
        let mut seen = Vec::with_capacity(looked.len());
        let (mut first, mut unders) = (None, Vec::with_capacity(looked.len()));
        for looked in looked {
            let Looked { hot_spot_c, takes_off_k, ready, under } = looked?;
            seen.push((hot_spot_c, takes_off_k));
            unders.push(under);
            first.get_or_insert(ready);
        }
        seen.sort_by(|a, b| a.0.total_cmp(&b.0));
        Some(Self { seen, few: Few::of(&first?, &unders) })
    }

    /// The least and the most that the draws may take off at this hottest hot spot.
    pub(super) fn bounds(&self, hot_spot_c: Option<f64>) -> [SpreadFacts; 2] {
        let near = hot_spot_c.map_or(&[][..], |hot_spot_c| self.nearest(hot_spot_c));
        let known = hot_spot_c.is_some_and(|hot_spot_c| {
            near.iter().any(|seen| (seen.0 - hot_spot_c).abs() <= KNOWN_WITHIN_K)
        });
        if !known {
            return [facts(0.0), facts(f64::INFINITY)];
        }
        let least = near.iter().map(|seen| seen.1).fold(f64::INFINITY, f64::min);
        let most = near.iter().map(|seen| seen.1).fold(0.0, f64::max);
        let spare_k = SPARE_K + if most.is_finite() { most - least } else { 0.0 };
        [facts((least - spare_k).max(0.0)), facts(most + spare_k)]
    }

    /// What is expected at this hottest hot spot: the most of the nearest two.
    pub(super) fn estimate(&self, hot_spot_c: Option<f64>) -> Option<SpreadFacts> {
        let hot_spot_c = hot_spot_c?;
        let after = self.seen.partition_point(|seen| seen.0 < hot_spot_c);
        let around = &self.seen[after.saturating_sub(1)..(after + 1).min(self.seen.len())];
        Some(facts(around.iter().map(|seen| seen.1).fold(0.0, f64::max)))
    }

    fn nearest(&self, hot_spot_c: f64) -> &[(f64, f64)] {
        let after = self.seen.partition_point(|seen| seen.0 < hot_spot_c);
        let from = after.saturating_sub(NEAREST / 2).min(self.seen.len().saturating_sub(NEAREST));
        &self.seen[from..(from + NEAREST).min(self.seen.len())]
    }
}

fn facts(allowance_k: f64) -> SpreadFacts {
    SpreadFacts { allowance_k, below_zero: None }
}

/// Takes all draws from a start.
fn look(planned: &Planned<'_>, start: &Start) -> Option<Looked> {
    let case = planned.case(start.clone());
    let basis = Basis::with_paper(&case, planned.paper.clone());
    let plant = basis.plant.as_ref()?;
    let load = &case.request.loading.load;
    let evaluation = Evaluation::of(&case, &basis, load, None);
    let ready = Ready::of(&case, plant, &evaluation, draws_asked(&case, plant)?)?;
    let under = ready.under(&case, plant, load);
    let takes_off_k = under.facts(&evaluation).allowance_k;
    Some(Looked { hot_spot_c: evaluation.hot_spot_c()?, takes_off_k, ready, under })
}
