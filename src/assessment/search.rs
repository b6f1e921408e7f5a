//! The greatest loads of the same shape that would pass.

mod known;

pub(super) use known::{Allowance, Known};

use super::basis::Basis;
use super::case::{Case, HotSpotMoisture};
use super::evaluation::Evaluation;
use super::plant::Plant;
use super::spread::{Draws, Ready};
use crate::rules::facts::SpreadFacts;
use crate::rules::verdict::Verdict;
use crate::thermal::schedule::LoadSteps;
use crate::uncertainty::batch::in_chunks;

/// Loads are first tried in this many steps from below, so that a load counts as passing
/// only if every smaller one tried passes too: cooling stages that start by themselves can
/// make a greater load cooler than a smaller one. A dip narrower than a step can be missed, which
/// is why the report says to check the load that is meant.
const COARSE_STEPS: usize = 40;

/// So many of them are tried at once, on all processors.
const TRIED_AT_ONCE: usize = 8;

/// No load above this is tried, pu: the highest ceiling of any loading guide.
pub(super) const GREATEST_PU: f64 = 2.0;

/// The answer is found to this, pu, and is always on the passing side.
const FINE_PU: f64 = 1.0e-4;

/// A better guess of what the draws take off moves the answer by less than this, pu, as a rule.
const NEAR_PU: f64 = 0.03;

/// So much load per kelvin of what the draws take off is looked at about the last guess, pu/K, and at
/// least and at most so much, pu: a hot spot rises by about a kelvin in a hundredth of load.
const PU_PER_K: f64 = 0.03;
const NEAREST_PU: f64 = 0.004;

/// What the draws take off the margin is known to this, K, when the answer has been found: less than a
/// thousandth of load.
const SETTLED_K: f64 = 0.05;

/// Where a load may end a little low it is looked for by so much less, K, so that the first that is computed
/// passes. Worth about half of how far below the largest a rating may lie.
const AIMED_LOW_K: f64 = 0.1;

/// Guess and answer agree in two or three rounds; more are for shapes whose cooling stages switch.
const ROUNDS: usize = 8;

/// Greatest loads of the case's shape, each as the greatest load in it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LargestLoads {
    /// That would pass, with cautions or without, pu.
    pub with_cautions_pu: Option<f64>,
    /// That would pass without cautions, pu.
    pub without_cautions_pu: Option<f64>,
}

/// Tries loads from below, and then closes in on where each verdict ends.
///
/// What the draws take off the margin changes little with the load. So it is guessed from the loads
/// at which it is known, first the one asked for; at the load that this gives it is computed, from the same
/// draws as for the load asked for, until guess and answer agree.
pub(super) fn largest_loads(
    case: &Case,
    basis: &Basis<'_>,
    asked: &Evaluation<'_>,
    draws: Option<&Draws>,
) -> LargestLoads {
    let asked_pu = case.greatest_load_pu();
    let Some(plant) = basis.plant.as_ref().filter(|_| asked_pu > 0.0) else {
        return LargestLoads::default();
    };
    let known = asked.facts.spread.map(|spread| Allowance::of(asked_pu, spread.allowance_k));
    let ready = draws.map(|draws| &draws.ready);
    let mut search = Search::new((case, basis, plant), ready, Known::of(known));
    LargestLoads {
        with_cautions_pu: search.largest(Verdict::GoWithCautions),
        without_cautions_pu: search.largest(Verdict::Go),
    }
}

/// A search among the loads of one shape.
pub(super) struct Search<'a> {
    case: &'a Case,
    basis: &'a Basis<'a>,
    plant: &'a Plant<'a>,
    asked_pu: f64,
    /// No load above this is wanted, pu.
    at_most_pu: f64,
    /// A load that passes is near enough if the largest lies no more than this above it, pu.
    close_pu: f64,
    /// How many coarse steps are tried at once.
    at_once: usize,
    ready: Option<&'a Ready>,
    /// The coarse step to begin with.
    first_step: usize,
    /// Loads of the coarse steps that were tried, from that one up. Whatever the draws take off the margin, the
    /// temperatures stay the same.
    coarse: Vec<(f64, Evaluation<'a>)>,
    pub(super) known: Known,
}

impl<'a> Search<'a> {
    pub(super) fn new(
        (case, basis, plant): (&'a Case, &'a Basis<'a>, &'a Plant<'a>),
        ready: Option<&'a Ready>,
        known: Known,
    ) -> Self {
        let asked_pu = case.greatest_load_pu();
        let (at_most_pu, close_pu, coarse) = (GREATEST_PU, 0.0, Vec::new());
        let (at_once, first_step) = (TRIED_AT_ONCE, 0);
        Self {
            case,
            basis,
            plant,
            asked_pu,
            at_most_pu,
            close_pu,
            at_once,
            ready,
            first_step,
            coarse,
            known,
        }
    }

    /// The same up to a load, and no closer than so much; for one of many searches side by side.
    ///
    /// It begins at the load before the overload, and further down only if that does not pass: what it is for
    /// is more than the load before, and a load that is less begins hottest.
    pub(super) fn up_to(mut self, at_most_pu: f64, close_pu: f64) -> Self {
        (self.at_most_pu, self.close_pu, self.at_once) = (at_most_pu, close_pu, 1);
        let begins_pu = self.case.load_before_pu().min(at_most_pu);
        self.first_step =
            (1..COARSE_STEPS).take_while(|step| coarse_pu(*step) <= begins_pu).last().unwrap_or(0);
        self
    }

    /// The greatest load with this verdict or a milder one; `None` if there is none.
    pub(super) fn largest(&mut self, wanted: Verdict) -> Option<f64> {
        self.known.spare_k = if self.close_pu > 0.0 { AIMED_LOW_K } else { 0.0 };
        let (mut best, mut last, mut settled): (Option<f64>, _, _) = (None, None, false);
        for _ in 0..ROUNDS {
            // The last round tries all loads from below again, unless what is near is near enough.
            let again = settled && self.close_pu <= 0.0;
            let near = last.filter(|_| !again).and_then(|last| self.near(wanted, last));
            let from_below = near.is_none();
            let Some(found) = near.or_else(|| self.by_guess(wanted)) else {
                if self.known.spare_k > 0.0 {
                    // What little passes here is worth less than what was aimed low.
                    self.known.spare_k = 0.0;
                    continue;
                }
                break;
            };
            let near_enough = self.close_pu > 0.0;
            if near_enough && best.is_some_and(|best| found - best <= self.close_pu) {
                return best;
            }
            let Some(spread) = self.computed(found) else {
                return Some(found);
            };
            let off_k = spread.allowance_k - self.known.guess(found).map_or(0.0, |s| s.allowance_k);
            settled = off_k.abs() <= SETTLED_K;
            self.known.add(found, spread.allowance_k);
            // Never on the failing side, not even by what is settled.
            if self.verdict(found, Some(spread)) <= wanted {
                if settled && (from_below || near_enough) {
                    return Some(found);
                }
                best = Some(best.map_or(found, |best| best.max(found)));
            }
            last = Some((found, off_k));
        }
        self.by_computing(wanted)
    }

    /// The same with every load judged by its own draws: slow, for where what they take off jumps with the load,
    /// as it does where fans start, so that no guess comes to rest.
    fn by_computing(&self, wanted: Verdict) -> Option<f64> {
        // Without draws there is nothing to compute, and where they cannot be made nothing passes.
        self.ready?;
        let passes = |load_pu: f64| self.verdict(load_pu, self.computed(load_pu)) <= wanted;
        let first = if passes(coarse_pu(self.first_step)) { self.first_step } else { 0 };
        let (mut passing, mut failing) = (None, None);
        for step in first..COARSE_STEPS {
            let load_pu = coarse_pu(step).min(self.at_most_pu);
            if !passes(load_pu) {
                failing = Some(load_pu);
                break;
            }
            passing = Some(load_pu);
            if load_pu >= self.at_most_pu {
                break;
            }
        }
        let Some(mut failing) = failing else { return passing };
        let mut passing = passing?;
        while failing - passing > FINE_PU.max(self.close_pu / 4.0) {
            let middle = f64::midpoint(passing, failing);
            if passes(middle) {
                passing = middle;
            } else {
                failing = middle;
            }
        }
        Some(passing)
    }

    /// The largest load that passes with what the draws are guessed to take off.
    fn by_guess(&mut self, wanted: Verdict) -> Option<f64> {
        let found = self.upwards(wanted);
        if found.is_some() || self.first_step == 0 {
            return found;
        }
        self.first_step = 0;
        self.coarse.clear();
        self.upwards(wanted)
    }

    /// The same in coarse steps from the first one up; `None` if that does not pass.
    fn upwards(&mut self, wanted: Verdict) -> Option<f64> {
        let mut passing = None;
        let mut step = self.first_step;
        while coarse_pu(step) < self.at_most_pu {
            let (load_pu, verdict) = self.coarse_verdict(step);
            if verdict > wanted {
                return Some(self.close_in(passing?, load_pu, wanted));
            }
            passing = Some(load_pu);
            step += 1;
        }
        if self.passes(self.at_most_pu, wanted) {
            return Some(self.at_most_pu);
        }
        Some(self.close_in(passing?, self.at_most_pu, wanted))
    }

    fn close_in(&self, mut passing: f64, mut failing: f64, wanted: Verdict) -> f64 {
        while failing - passing > FINE_PU.max(self.close_pu / 4.0) {
            let middle = f64::midpoint(passing, failing);
            if self.passes(middle, wanted) {
                passing = middle;
            } else {
                failing = middle;
            }
        }
        passing
    }

    /// Whether a load passes with what the draws are guessed to take off.
    fn passes(&self, load_pu: f64, wanted: Verdict) -> bool {
        self.verdict(load_pu, self.known.guess(load_pu)) <= wanted
    }

    /// The load of a coarse step, and its verdict with what the draws are guessed to take off.
    fn coarse_verdict(&mut self, step: usize) -> (f64, Verdict) {
        let place = step - self.first_step;
        if self.coarse.len() <= place {
            let next = step..(step + self.at_once).min(COARSE_STEPS);
            let more = in_chunks(next.len(), 1, |at| vec![self.tried(next.start + at.start)]);
            self.coarse.extend(more);
        }
        let guess = self.known.guess(self.coarse[place].0);
        let (load_pu, evaluation) = &mut self.coarse[place];
        (*load_pu, evaluation.verdict_with(guess))
    }

    fn tried(&self, step: usize) -> (f64, Evaluation<'a>) {
        let load_pu = coarse_pu(step);
        let evaluation = Evaluation::of(self.case, self.basis, &self.scaled(load_pu), None);
        // The temperatures over time were judged and are not needed again.
        (load_pu, Evaluation { course: None, hot_spot_percent: Vec::new(), ..evaluation })
    }

    /// The same not far from where it was last found, if it is there; the nearer the less the guess was
    /// off there.
    fn near(&self, wanted: Verdict, (last_pu, off_k): (f64, f64)) -> Option<f64> {
        let within_pu = (off_k.abs() * PU_PER_K).clamp(NEAREST_PU, NEAR_PU);
        let (below, above) = (last_pu - within_pu, (last_pu + within_pu).min(self.at_most_pu));
        if !(below > 0.0 && self.passes(below, wanted)) {
            return None;
        }
        if self.passes(above, wanted) {
            return (above >= self.at_most_pu).then_some(above);
        }
        Some(self.close_in(below, above, wanted))
    }

    fn verdict(&self, load_pu: f64, spread: Option<SpreadFacts>) -> Verdict {
        Evaluation::of(self.case, self.basis, &self.scaled(load_pu), spread).verdict
    }

    fn scaled(&self, load_pu: f64) -> LoadSteps {
        let loading = &self.case.request.loading;
        loading.load.scaled_before(loading.end_min, load_pu / self.asked_pu)
    }

    /// What the draws take off at a load; `None` without draws.
    fn computed(&self, load_pu: f64) -> Option<SpreadFacts> {
        let (case, plant, ready) = (self.case, self.plant, self.ready?);
        let load = self.scaled(load_pu);
        let evaluation = Evaluation::of(case, self.basis, &load, None);
        if case.request.hot_spot != HotSpotMoisture::Bulk {
            // Water that is followed depends on the load.
            let unknown = SpreadFacts { allowance_k: f64::INFINITY, below_zero: None };
            return Some(Ready::again(case, plant, (&load, &evaluation)).unwrap_or(unknown));
        }
        Some(ready.under(case, plant, &load).facts(&evaluation))
    }
}

#[allow(clippy::cast_precision_loss, reason = "some tens of steps")]
fn coarse_pu(step: usize) -> f64 {
    (step + 1) as f64 * GREATEST_PU / COARSE_STEPS as f64
}
