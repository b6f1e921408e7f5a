//! The greatest loads of the same shape that would pass.

mod known;

pub(super) use known::{Allowance, Known};

use super::basis::Basis;
use super::case::{Case, HotSpotMoisture};
use super::evaluation::Evaluation;
use super::hottest_start::Among;
use super::plant::Plant;
use super::spread::{Draws, Ready};
use crate::rules::facts::{Facts, Held, SpreadFacts};
use crate::rules::limits::Quantity;
use crate::rules::verdict::Verdict;
use crate::thermal::schedule::LoadSteps;
use crate::uncertainty::batch::in_chunks;

/// Loads are first tried in this many steps from below, so that a load counts as passing
/// only if every smaller one tried passes too: cooling stages that start by themselves can
/// make a greater load cooler than a smaller one. A dip narrower than a step can be missed, which
/// is why the report says to check the load that is meant.
const COARSE_STEPS: usize = 40;

/// A load is tried so much of [`FINE_PU`] beside where it is expected to end, so that two such trials are enough.
const ASIDE: f64 = 0.45;

/// So many of them are tried at once, on all processors.
const TRIED_AT_ONCE: usize = 8;

/// With so much to spare, K, a coarse step passes from every start: that is more than the detailed model adds to another
/// start beyond what the lag forms do; of hours of life such a share is left then (six kelvin double them). Our choice.
const FAR_K: f64 = 20.0;
const FAR_AGEING: f64 = 0.8;

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

/// Guesses that leave more than this of what lies between the largest load that passed and the least that did not come to no rest.
const SLOWLY: f64 = 0.5;

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

/// One load that was tried.
#[derive(Debug, Clone, Copy)]
struct Trial {
    load_pu: f64,
    passes: bool,
    /// How much more than the margin that the verdict needs is left, or is left to a ceiling of a temperature, K; NaN
    /// where that is not known.
    spare_k: f64,
    /// Whether no other start can change that it passes.
    far: bool,
    /// What the draws took off, or were guessed to.
    spread: Option<SpreadFacts>,
}

impl Trial {
    fn of(
        (load_pu, spread): (f64, Option<SpreadFacts>),
        evaluation: &Evaluation<'_>,
        wanted: Verdict,
    ) -> Self {
        let Facts { required, .. } = &evaluation.facts;
        let required_k = if wanted == Verdict::Go { required.caution_k } else { required.no_go_k };
        let margin_k = evaluation.facts.margin_low_k().map_or(f64::NAN, |k| k - required_k);
        let held = || evaluation.facts.held.iter();
        let left = |held: &Held| held.value.map_or(f64::NAN, |value| held.ceiling.limit - value);
        let lefts_k = held().map(|held| match held.ceiling.quantity {
            Quantity::HotSpot | Quantity::TopOil => left(held),
            Quantity::Ageing | Quantity::Load | Quantity::Duration => f64::INFINITY,
        });
        // A NaN stays.
        let least = |one: f64, other: f64| if one.is_nan() || one < other { one } else { other };
        let spare_k = lefts_k.fold(margin_k, least);
        let ages_far = |held: &Held| {
            held.ceiling.quantity != Quantity::Ageing
                || left(held) >= FAR_AGEING * held.ceiling.limit
        };
        let far = spare_k >= FAR_K && held().all(ages_far);
        Self { load_pu, passes: evaluation.verdict <= wanted, spare_k, far, spread }
    }

    /// Just below or above where a straight line has nothing to spare; `None` where it is not the margin that ends it.
    fn aimed(&self, failing: &Self, fine_pu: f64) -> Option<f64> {
        let share = self.spare_k / (self.spare_k - failing.spare_k);
        if !(self.spare_k >= 0.0 && failing.spare_k < 0.0) {
            return None;
        }
        let at_pu = self.load_pu + share * (failing.load_pu - self.load_pu);
        let aside_pu = ASIDE * fine_pu;
        let below_pu = at_pu - aside_pu;
        let aim_pu = if below_pu > self.load_pu { below_pu } else { at_pu + aside_pu };
        Some(aim_pu).filter(|pu| *pu > self.load_pu && *pu < failing.load_pu)
    }
}

/// The largest load that passed by its own draws, and the least above it that did not.
#[derive(Debug, Clone, Copy, Default)]
struct Between {
    passing: Option<Trial>,
    failing: Option<Trial>,
}

impl Between {
    fn add(&mut self, trial: Trial) {
        let above = |own: Option<Trial>| own.is_none_or(|own| trial.load_pu > own.load_pu);
        let below = |own: Option<Trial>| own.is_none_or(|own| trial.load_pu < own.load_pu);
        if trial.passes && above(self.passing) {
            self.passing = Some(trial);
        }
        if !trial.passes && below(self.failing) {
            self.failing = Some(trial);
        }
        // A load that passes above one that does not was not tried from below.
        if let Self { passing: Some(passing), failing: Some(failing) } = self
            && passing.load_pu > failing.load_pu
        {
            self.passing = None;
        }
    }

    /// Infinite as long as one of them is not known.
    fn width_pu(&self) -> f64 {
        let both = self.passing.zip(self.failing);
        both.map_or(f64::INFINITY, |(passing, failing)| failing.load_pu - passing.load_pu)
    }
}

/// A coarse step that was tried.
#[derive(Debug)]
struct Coarse<'a> {
    evaluation: Evaluation<'a>,
    among: Among,
}

impl<'a> Coarse<'a> {
    fn among((case, basis): (&'a Case, &'a Basis<'a>), load: &LoadSteps, among: Among) -> Self {
        let evaluation = Evaluation::unjudged_among(case, basis, load, among);
        // The temperatures over time were judged and are not needed again.
        let evaluation = Evaluation { course: None, hot_spot_percent: Vec::new(), ..evaluation };
        Self { evaluation, among }
    }

    fn trial(&mut self, (load_pu, guess): (f64, Option<SpreadFacts>), wanted: Verdict) -> Trial {
        self.evaluation.verdict_with(guess);
        Trial::of((load_pu, guess), &self.evaluation, wanted)
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
    coarse: Vec<Coarse<'a>>,
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
        let (mut computed, mut last, mut settled) = (Between::default(), None, false);
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
                if self.learns_from_least(wanted) {
                    continue;
                }
                break;
            };
            let near_enough = self.close_pu > 0.0;
            let best_pu = computed.passing.map(|best| best.load_pu);
            if near_enough && best_pu.is_some_and(|best_pu| found - best_pu <= self.close_pu) {
                return best_pu;
            }
            let Some(spread) = self.computed(found) else {
                return Some(found);
            };
            let off_k = spread.allowance_k - self.known.guess(found).map_or(0.0, |s| s.allowance_k);
            settled = off_k.abs() <= SETTLED_K;
            self.known.add(found, spread.allowance_k);
            // Never on the failing side, not even by what is settled.
            let trial = self.trial((found, Some(spread)), wanted);
            let enough = || self.is_near_enough(&trial, wanted);
            let enough = || if near_enough { settled || enough() } else { settled && from_below };
            if trial.passes && enough() {
                return Some(found);
            }
            let before_pu = computed.width_pu();
            computed.add(trial);
            if computed.width_pu() > SLOWLY * before_pu {
                break;
            }
            last = Some((found, off_k));
        }
        self.by_computing(wanted, computed)
    }

    /// What was asked for says too little of small loads where it is guessed not to pass: computes the least, once, and answers
    /// whether that passes.
    fn learns_from_least(&mut self, wanted: Verdict) -> bool {
        let least_pu = coarse_pu(0);
        let new = Some(least_pu).filter(|pu| !self.known.knows(*pu));
        let Some(spread) = new.and_then(|pu| self.computed(pu)) else { return false };
        self.known.add(least_pu, spread.allowance_k);
        self.verdict(least_pu, Some(spread)) <= wanted
    }

    /// The same with every load judged by its own draws, unless it is far from any limit: slow, for where what they take off jumps
    /// with the load, as it does where fans start, so that no guess comes to rest. Loads below one that passed were tried already.
    fn by_computing(&mut self, wanted: Verdict, known: Between) -> Option<f64> {
        // Without draws there is nothing to compute, and where they cannot be made nothing passes.
        self.ready?;
        let tried =
            |search: &Self, load_pu: f64| search.trial((load_pu, search.computed(load_pu)), wanted);
        if known.passing.is_none() && self.first_step > 0 {
            let first_passes = tried(self, coarse_pu(self.first_step)).passes;
            if !first_passes {
                (self.first_step, self.coarse) = (0, Vec::new());
            }
        }
        let Between { mut passing, mut failing } = known;
        let begins_pu = passing.map_or(0.0, |passing| passing.load_pu);
        let ends_pu = failing.map_or(self.at_most_pu, |failing| failing.load_pu);
        for step in self.first_step..COARSE_STEPS {
            let load_pu = coarse_pu(step);
            if load_pu <= begins_pu {
                continue;
            }
            if load_pu >= ends_pu {
                break;
            }
            let guessed = self.coarse_trial(step, wanted);
            let far = Some(guessed).filter(|trial| trial.passes && trial.far);
            let trial = far.unwrap_or_else(|| tried(self, load_pu));
            if !trial.passes {
                failing = Some(trial);
                break;
            }
            passing = Some(trial);
        }
        let last = || tried(self, self.at_most_pu);
        let failing = failing.unwrap_or_else(last);
        if failing.passes {
            return Some(failing.load_pu);
        }
        let tried = |load_pu: f64| tried(self, load_pu);
        let enough = |passing: &Trial| self.is_near_enough(passing, wanted);
        Some(close_in((passing?, failing), self.close_pu, tried, enough))
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
        close_in(ends, self.close_pu / 4.0, tried, |_| false)
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
        self.close_pu > 0.0 && !self.trial((greater_pu, passing.spread), wanted).passes
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
        Some(ready.facts((case, plant), &load, &evaluation))
    }
}

/// Closes in on where loads no longer pass, to so much, pu, and at least [`FINE_PU`], or until one that passes is near enough; the
/// answer passes.
fn close_in(
    (mut passing, mut failing): (Trial, Trial),
    close_pu: f64,
    tried: impl Fn(f64) -> Trial,
    enough: impl Fn(&Trial) -> bool,
) -> f64 {
    let fine_pu = FINE_PU.max(close_pu);
    let mut aims = true;
    while failing.load_pu - passing.load_pu > fine_pu {
        let width_pu = failing.load_pu - passing.load_pu;
        let aimed = if aims { passing.aimed(&failing, fine_pu) } else { None };
        let middle_pu = f64::midpoint(passing.load_pu, failing.load_pu);
        let trial = tried(aimed.unwrap_or(middle_pu));
        *(if trial.passes { &mut passing } else { &mut failing }) = trial;
        if trial.passes && enough(&trial) {
            break;
        }
        // Where aiming does not help the next is in the middle, so that so many rounds are always enough.
        aims = !aims || failing.load_pu - passing.load_pu <= SLOWLY * width_pu;
    }
    passing.load_pu
}

#[allow(clippy::cast_precision_loss, reason = "some tens of steps")]
fn coarse_pu(step: usize) -> f64 {
    (step + 1) as f64 * GREATEST_PU / COARSE_STEPS as f64
}
