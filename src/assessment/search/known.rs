//! What is known of the draws before a search, and what it learns of them.

use super::FINE_PU;
use crate::rules::facts::SpreadFacts;

/// A guess lies so much above what is known, K, and no further from the nearest known than so much.
const SPARE_K: f64 = 0.02;
const MOST_OFF_K: f64 = 2.0;

/// Two loads nearer than this say nothing of how the allowance goes on beyond them, pu.
const APART_PU: f64 = 0.01;

/// What the draws take off the margin at a load.
#[derive(Debug, Clone, Copy)]
pub(in crate::assessment) struct Allowance {
    load_pu: f64,
    takes_off_k: f64,
}

impl Allowance {
    pub(in crate::assessment) fn of(load_pu: f64, allowance_k: f64) -> Self {
        Self { load_pu, takes_off_k: allowance_k }
    }
}

/// What is known of the draws before a search, or after it.
#[derive(Debug, Default)]
pub(in crate::assessment) struct Known {
    /// By load, ascending.
    pub(in crate::assessment) allowances: Vec<Allowance>,
    /// What a guess lies above what is known, K, beside [`SPARE_K`].
    pub(in crate::assessment) spare_k: f64,
    /// Whether that was of another case, from which it may differ a little.
    pub(in crate::assessment) of_another: bool,
}

impl Known {
    pub(in crate::assessment) fn of(allowance: Option<Allowance>) -> Self {
        Self { allowances: allowance.into_iter().collect(), ..Self::default() }
    }

    /// What the draws take off at a load as far as it is known, K.
    pub(in crate::assessment) fn at(&self, load_pu: f64) -> Option<f64> {
        Some(self.guess(load_pu)?.allowance_k - SPARE_K - self.spare_k)
            .filter(|allowance_k| allowance_k.is_finite())
    }

    /// What is guessed of it: in straight lines through the loads at which it is known, and a hair more, so
    /// that what is found by it passes when it is computed.
    pub(in crate::assessment) fn guess(&self, load_pu: f64) -> Option<SpreadFacts> {
        let known = &self.allowances;
        let after = known.partition_point(|known| known.load_pu <= load_pu);
        let nearest_k = known.get(after.clamp(1, known.len().max(1)) - 1)?.takes_off_k;
        let first = after.saturating_sub(1).min(known.len().saturating_sub(2));
        let allowance_k = match (known.get(first), known.get(first + 1)) {
            (Some(below), Some(above))
                if nearest_k.is_finite()
                    && (above.load_pu - below.load_pu >= APART_PU
                        || (below.load_pu..=above.load_pu).contains(&load_pu)) =>
            {
                let share = (load_pu - below.load_pu) / (above.load_pu - below.load_pu);
                let line_k = below.takes_off_k + (above.takes_off_k - below.takes_off_k) * share;
                line_k.clamp(nearest_k - MOST_OFF_K, nearest_k + MOST_OFF_K).max(0.0)
            }
            _ => nearest_k,
        };
        Some(SpreadFacts { allowance_k: allowance_k + SPARE_K + self.spare_k, below_zero: None })
    }

    /// Adds what was computed.
    pub(in crate::assessment) fn add(&mut self, load_pu: f64, allowance_k: f64) {
        if std::mem::take(&mut self.of_another) {
            self.allowances.clear();
        }
        self.allowances.retain(|known| (known.load_pu - load_pu).abs() > FINE_PU / 2.0);
        self.allowances.push(Allowance::of(load_pu, allowance_k));
        self.allowances.sort_by(|a, b| a.load_pu.total_cmp(&b.load_pu));
    }
}
