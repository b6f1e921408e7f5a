//! What is known of the draws before a search, and what it learns of them.

use super::FINE_PU;
use crate::rules::facts::SpreadFacts;

/// A guess lies so much above what is known, K, and beyond all known loads no further from the last than so much. The first is for
/// rounding alone: a load that is tried lies below where it is guessed to end, and where loads leave about the same (the hottest is where
/// they begin) more would forbid them all.
const SPARE_K: f64 = 0.001;
const MOST_OFF_K: f64 = 2.0;

/// Two loads nearer than this say nothing of how the allowance goes on beyond them, pu.
const APART_PU: f64 = 0.01;

/// What differs by less than this, K, between two loads does not jump between them. Our choice: half of what fans that start later
/// do to a hot spot is more.
const STEADY_K: f64 = 0.5;

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
    /// Whether that was of another case, from which it may differ a little.
    pub(in crate::assessment) of_another: bool,
}

impl Known {
    pub(in crate::assessment) fn of(allowance: Option<Allowance>) -> Self {
        Self { allowances: allowance.into_iter().collect(), ..Self::default() }
    }

    /// What the draws take off at a load as far as it is known, K.
    pub(in crate::assessment) fn at(&self, load_pu: f64) -> Option<f64> {
        Some(self.guess(load_pu)?.allowance_k - SPARE_K)
            .filter(|allowance_k| allowance_k.is_finite())
    }

    /// What is guessed of it: in straight lines through the loads at which it is known, and a hair more, so
    /// that what is found by it passes when it is computed.
    pub(in crate::assessment) fn guess(&self, load_pu: f64) -> Option<SpreadFacts> {
        let known = &self.allowances;
        let after = known.partition_point(|known| known.load_pu <= load_pu);
        let nearest = known.get(after.clamp(1, known.len().max(1)) - 1)?;
        let between = after > 0 && after < known.len();
        let other = if between { known.get(after) } else { Self::far_from(nearest, known) };
        let nearest_k = nearest.takes_off_k;
        let line_k = other.filter(|_| nearest_k.is_finite()).map(|other| {
            let share = (load_pu - nearest.load_pu) / (other.load_pu - nearest.load_pu);
            nearest_k + (other.takes_off_k - nearest_k) * share
        });
        let allowance_k = match line_k.filter(|k| !k.is_nan()) {
            None => nearest_k,
            Some(line_k) if between && line_k.is_finite() => line_k.max(0.0),
            Some(line_k) => line_k.clamp(nearest_k - MOST_OFF_K, nearest_k + MOST_OFF_K).max(0.0),
        };
        Some(SpreadFacts { allowance_k: allowance_k + SPARE_K, below_zero: None })
    }

    /// The next known load that is far enough from the first or last one to say how the allowance goes on beyond it.
    fn far_from<'k>(end: &Allowance, known: &'k [Allowance]) -> Option<&'k Allowance> {
        let apart_pu = |other: &Allowance| (other.load_pu - end.load_pu).abs();
        let far = known.iter().filter(|other| apart_pu(other) >= APART_PU);
        far.min_by(|one, other| apart_pu(one).total_cmp(&apart_pu(other)))
    }

    /// Whether it is about the same at two loads around one, or was computed there.
    pub(in crate::assessment) fn is_steady_at(&self, load_pu: f64) -> bool {
        let same_pu = FINE_PU / 2.0;
        let at = self.allowances.partition_point(|known| known.load_pu < load_pu - same_pu);
        let (before, after) = self.allowances.split_at(at);
        let here = after.first().is_some_and(|after| after.load_pu - load_pu <= same_pu);
        let around = before.last().zip(after.first());
        let stays = around
            .is_some_and(|(one, other)| (one.takes_off_k - other.takes_off_k).abs() < STEADY_K);
        !self.of_another && (here || stays)
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
