//! The greatest loads of the same shape that would pass.

mod known;
mod tried;

pub(super) use known::{Allowance, Known};

use super::basis::Basis;
use super::case::{Case, HotSpotMoisture};
use super::evaluation::Evaluation;
use super::hottest_start::Among;
use super::plant::Plant;
use super::spread::{Draws, Ready};
use crate::rules::facts::SpreadFacts;
use crate::rules::verdict::Verdict;
use crate::thermal::schedule::LoadSteps;
use crate::uncertainty::batch::in_chunks;
use tried::{Between, Coarse, SLOWLY, Trial, close_in};

/// Loads are first tried in this many steps from below, so that a load counts as passing
/// only if every smaller one tried passes too: cooling stages that start by themselves can
/// make a greater load cooler than a smaller one. A dip narrower than a step can be missed, which
/// is why the report says to check the load that is meant.
const COARSE_STEPS: usize = 40;

/// So many of them are tried at once, on all processors.
const TRIED_AT_ONCE: usize = 8;

/// No load above this is tried, pu: the highest ceiling of any loading guide.
pub(super) const GREATEST_PU: f64 = 2.0;

/// No load is told from another closer than this, pu.
const FINE_PU: f64 = 1.0e-4;

/// The answer may lie so far below the largest load that passes, pu: a fifth of what is printed; without draws a quarter of that. It
/// is always on the passing side.
pub(super) const CLOSE_PU: f64 = 0.002;

/// A better guess of what the draws take off moves the answer by less than this, pu, as a rule.
const NEAR_PU: f64 = 0.03;

/// So much load per kelvin of what the draws take off is looked at about the last guess, pu/K, and at
/// least and at most so much, pu: a hot spot rises by about a kelvin in a hundredth of load.
const PU_PER_K: f64 = 0.03;
const NEAREST_PU: f64 = 0.004;

/// What draws take off jumps by less than this, K, from a load that passed by its own draws to a smaller one, where fans start later.
/// Our choice: the most seen is 3.6 K.
const JUMPS_K: f64 = 5.0;

/// Guess and answer agree in two or three rounds; more are for shapes whose cooling stages switch, and every other one halves
/// what is left.
const ROUNDS: usize = 32;

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
    let by_its_own = asked.facts.spread.and_then(|_| Computed::of(asked_pu, asked));
    search.margins.extend(by_its_own);
    // The load that is asked may lie between what is found and the last that passes.
    let mut largest = |wanted: Verdict| {
        let found_pu = search.largest(wanted)?;
        let passes = asked.verdict <= wanted && asked_pu - found_pu <= CLOSE_PU;
        Some(if passes { found_pu.max(asked_pu) } else { found_pu })
    };
    LargestLoads {
        with_cautions_pu: largest(Verdict::GoWithCautions),
        without_cautions_pu: largest(Verdict::Go),
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
    /// A load that passes is near enough if the largest lies no more than this above it, pu; not 0.
    close_pu: f64,
    /// How many coarse steps are tried at once.
    at_once: usize,
    ready: Option<&'a Ready>,
    /// The coarse step to begin with.
    first_step: usize,
    /// Loads of the coarse steps that were tried, from that one up. Whatever the draws take off the margin, the
    /// temperatures stay the same.
    coarse: Vec<Coarse<'a>>,
    pub(super) known: Known,
    /// Whether guesses closed in slowly: what the draws take off may jump with the load.
    jumps: bool,
    /// What loads leave that were computed.
    margins: Vec<Computed>,
}

impl<'a> Search<'a> {
    pub(super) fn new(
        (case, basis, plant): (&'a Case, &'a Basis<'a>, &'a Plant<'a>),
        ready: Option<&'a Ready>,
        known: Known,
    ) -> Self {
        let asked_pu = case.greatest_load_pu();
        let (at_most_pu, close_pu, coarse) = (GREATEST_PU, CLOSE_PU, Vec::new());
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
            jumps: false,
            margins: Vec::new(),
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
        let (mut between, mut last, mut slow) = (Between::default(), None, false);
        let mut further_down = 1;
        for _ in 0..ROUNDS {
            let near = last.and_then(|last| self.near(wanted, last));
            let guess = near.or_else(|| self.by_guess(wanted));
            let best = between.passing.map(|best| best.load_pu);
            let more_pu = guess.zip(best).map(|(guess, best)| guess - best);
            let little_more = more_pu.is_some_and(|more_pu| more_pu <= self.close_pu);
            if best.is_some() && (little_more || between.width_pu() <= self.close_pu) {
                if self.passes_from_below(best?, wanted, &mut between) {
                    return best;
                }
                continue;
            }
            if self.ready.is_none() {
                // Without draws what is guessed is all that there is.
                return guess;
            }
            let aimed = guess.map(|guess| self.aimed_low(guess));
            if let Some(guess_pu) = guess
                && self.surely_passes(guess_pu, wanted, &between)
                && self.passes_from_below(guess_pu, wanted, &mut between)
                && self.surely_passes(guess_pu, wanted, &between)
            {
                return guess;
            }
            let next_pu = match (between.next(aimed, slow), best) {
                (Some(next_pu), _) => next_pu,
                (None, Some(best_pu)) => f64::midpoint(best_pu, self.at_most_pu),
                (None, None) => match self.smaller(wanted, (&between, &mut further_down)) {
                    Some(next_pu) => next_pu,
                    None => break,
                },
            };
            let off_k = self.known.guess(next_pu).map_or(0.0, |spread| spread.allowance_k);
            let (width_pu, trial) = (between.width_pu(), self.computed(next_pu, wanted));
            let off_k = trial.takes_off_k() - off_k;
            between.add(trial);
            let slow_again = slow;
            slow = between.width_pu() > SLOWLY * width_pu;
            self.jumps |= slow && slow_again;
            let is_best = between.passing.is_some_and(|best| best.is(&trial));
            let enough = is_best && self.is_near_enough(&trial, wanted);
            if enough && self.passes_from_below(next_pu, wanted, &mut between) {
                return Some(next_pu);
            }
            last = Some((next_pu, off_k));
        }
        let best_pu = between.passing?.load_pu;
        self.passes_from_below(best_pu, wanted, &mut between).then_some(best_pu)
    }

    /// A load a little below one that is guessed to be the largest, so that it passes when it is computed; a coarse step where one lies
    /// between: ceilings are round figures.
    fn aimed_low(&self, guess_pu: f64) -> f64 {
        let up_to_the_end = guess_pu >= self.at_most_pu;
        let low_pu = if up_to_the_end { guess_pu } else { guess_pu - self.close_pu / 2.0 };
        let mut round = (0..COARSE_STEPS).map(coarse_pu);
        round.find(|pu| *pu > low_pu && *pu <= guess_pu).unwrap_or(low_pu)
    }

    /// Whether all coarse steps below a load pass; those that are guessed not to are computed, and where guesses close in slowly those
    /// too that pass by little where it is not known that what the draws take off stays as it is.
    fn passes_from_below(&mut self, load_pu: f64, wanted: Verdict, between: &mut Between) -> bool {
        if self.first_step > 0 && load_pu <= coarse_pu(self.first_step) {
            self.first_step = 0;
            self.coarse.clear();
        }
        let steps = self.first_step..COARSE_STEPS;
        for step in steps.take_while(|step| coarse_pu(*step) < load_pu) {
            let guessed = self.coarse_trial(step, wanted);
            let surely = guessed.far
                || guessed.spare_k >= JUMPS_K
                || !self.jumps
                || self.known.is_steady_at(coarse_pu(step));
            if guessed.passes && surely {
                continue;
            }
            let trial = self.computed(coarse_pu(step), wanted);
            between.add(trial);
            if !trial.passes {
                return false;
            }
        }
        true
    }

    /// Whether a greater load passed by its own draws, and this one passes with so much to spare, with as much taken off as there or
    /// as is guessed, that it needs no draws of its own.
    fn surely_passes(&self, load_pu: f64, wanted: Verdict, between: &Between) -> bool {
        let required_k = |own: &Computed| own.required_k[usize::from(wanted == Verdict::Go)];
        let passed = |own: &&Computed| own.load_pu >= load_pu && own.margin_k >= required_k(own);
        let below = between.failing.is_none_or(|failing| load_pu < failing.load_pu);
        let greater = self.margins.iter().filter(|_| below).find(passed);
        let Some((greater, guess)) = greater.zip(self.known.guess(load_pu)) else { return false };
        let allowance_k = guess.allowance_k.max(greater.takes_off_k);
        let spread = Some(SpreadFacts { allowance_k, ..guess });
        self.trial((load_pu, spread), wanted).spare_k >= JUMPS_K
    }

    /// A load to try where what is known says that none passes: further and further below the least that was computed. `None` where
    /// the smallest was, or would not pass if nothing at all were taken off.
    fn smaller(
        &self,
        wanted: Verdict,
        (between, further_down): (&Between, &mut usize),
    ) -> Option<f64> {
        let least_pu = between.failing.map_or(self.at_most_pu, |failing| failing.load_pu);
        let below = (0..COARSE_STEPS).take_while(|step| coarse_pu(*step) < least_pu).last()?;
        let nothing = SpreadFacts { allowance_k: 0.0, below_zero: None };
        if *further_down == 1 && !self.trial((coarse_pu(0), Some(nothing)), wanted).passes {
            return None;
        }
        let step = below.saturating_sub(*further_down);
        *further_down *= 2;
        Some(coarse_pu(step))
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
        let guessed = |search: &Self, load_pu: f64| {
            search.trial((load_pu, search.known.guess(load_pu)), wanted)
        };
        let mut passing: Option<Trial> = None;
        let mut step = self.first_step;
        while coarse_pu(step) < self.at_most_pu {
            let trial = self.coarse_trial(step, wanted);
            if !trial.passes {
                return Some(self.close_in((passing?, trial), |pu| guessed(self, pu)));
            }
            passing = Some(trial);
            step += 1;
        }
        let last = guessed(self, self.at_most_pu);
        if last.passes {
            return Some(self.at_most_pu);
        }
        Some(self.close_in((passing?, last), |pu| guessed(self, pu)))
    }

    /// Closes in on where loads no longer pass with what is guessed; the answer passes.
    fn close_in(&self, ends: (Trial, Trial), tried: impl Fn(f64) -> Trial) -> f64 {
        close_in(ends, self.close_pu / 4.0, tried)
    }

    /// One load with what the draws take off.
    fn trial(&self, (load_pu, spread): (f64, Option<SpreadFacts>), wanted: Verdict) -> Trial {
        let evaluation = Evaluation::of(self.case, self.basis, &self.scaled(load_pu), spread);
        Trial::of((load_pu, spread), &evaluation, wanted)
    }

    /// Whether the largest load lies so little above one that passes by its own draws that it is near enough: a load that is just
    /// so much greater does not pass with as much taken off.
    fn is_near_enough(&self, passing: &Trial, wanted: Verdict) -> bool {
        let greater_pu = passing.load_pu + self.close_pu;
        !self.trial((greater_pu, passing.spread), wanted).passes
    }

    /// A coarse step with what the draws are guessed to take off; with all starts unless it passes by far.
    fn coarse_trial(&mut self, step: usize, wanted: Verdict) -> Trial {
        let place = step - self.first_step;
        if self.coarse.len() <= place {
            let next = step..(step + self.at_once).min(COARSE_STEPS);
            let more = in_chunks(next.len(), 1, |at| {
                let load = self.scaled(coarse_pu(next.start + at.start));
                vec![Coarse::among((self.case, self.basis), &load, Among::Ends)]
            });
            self.coarse.extend(more);
        }
        let load_pu = coarse_pu(step);
        let guess = self.known.guess(load_pu);
        let trial = self.coarse[place].trial((load_pu, guess), wanted);
        if self.coarse[place].among == Among::All || !trial.passes || trial.far {
            return trial;
        }
        let load = self.scaled(load_pu);
        self.coarse[place] = Coarse::among((self.case, self.basis), &load, Among::All);
        self.coarse[place].trial((load_pu, guess), wanted)
    }

    /// The same not far from where it was last found, if it is there; the nearer the less the guess was
    /// off there.
    fn near(&self, wanted: Verdict, (last_pu, off_k): (f64, f64)) -> Option<f64> {
        let within_pu = (off_k.abs() * PU_PER_K).clamp(NEAREST_PU, NEAR_PU);
        let (below_pu, above_pu) =
            (last_pu - within_pu, (last_pu + within_pu).min(self.at_most_pu));
        let tried = |load_pu: f64| self.trial((load_pu, self.known.guess(load_pu)), wanted);
        let below = Some(below_pu).filter(|pu| *pu > 0.0).map(tried)?;
        if !below.passes {
            return None;
        }
        let above = tried(above_pu);
        if above.passes {
            return (above_pu >= self.at_most_pu).then_some(above_pu);
        }
        Some(self.close_in((below, above), tried))
    }

    fn scaled(&self, load_pu: f64) -> LoadSteps {
        let loading = &self.case.request.loading;
        loading.load.scaled_before(loading.end_min, load_pu / self.asked_pu)
    }

    /// One load with what its own draws take off.
    fn computed(&mut self, load_pu: f64, wanted: Verdict) -> Trial {
        let (case, plant) = (self.case, self.plant);
        let load = self.scaled(load_pu);
        let mut evaluation = Evaluation::unjudged(case, self.basis, &load);
        let unknown = SpreadFacts { allowance_k: f64::INFINITY, below_zero: None };
        let spread = match self.ready {
            None => unknown,
            Some(ready) if case.request.hot_spot == HotSpotMoisture::Bulk => {
                ready.facts((case, plant), &load, &evaluation)
            }
            // Water that is followed depends on the load.
            Some(_) => Ready::again(case, plant, (&load, &evaluation)).unwrap_or(unknown),
        };
        evaluation.verdict_with(Some(spread));
        self.known.add(load_pu, spread.allowance_k);
        self.margins.extend(Computed::of(load_pu, &evaluation));
        Trial::of((load_pu, Some(spread)), &evaluation, wanted)
    }
}

/// What a load leaves by its own draws.
#[derive(Debug, Clone, Copy)]
struct Computed {
    load_pu: f64,
    margin_k: f64,
    takes_off_k: f64,
    /// What has to be left, with cautions and without.
    required_k: [f64; 2],
}

impl Computed {
    fn of(load_pu: f64, evaluation: &Evaluation<'_>) -> Option<Self> {
        let required = &evaluation.facts.required;
        let required_k = [required.no_go_k, required.caution_k];
        let (margin_k, takes_off_k) =
            (evaluation.facts.margin_low_k()?, evaluation.facts.allowance_k());
        Some(Self { load_pu, margin_k, takes_off_k, required_k })
    }
}

#[allow(clippy::cast_precision_loss, reason = "some tens of steps")]
fn coarse_pu(step: usize) -> f64 {
    (step + 1) as f64 * GREATEST_PU / COARSE_STEPS as f64
}
