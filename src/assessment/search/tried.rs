//! Loads that were tried, and what they leave.

use super::FINE_PU;
use crate::assessment::basis::Basis;
use crate::assessment::case::Case;
use crate::assessment::evaluation::Evaluation;
use crate::assessment::hottest_start::Among;
use crate::rules::facts::{Facts, Held, SpreadFacts};
use crate::rules::limits::Quantity;
use crate::rules::verdict::Verdict;
use crate::thermal::schedule::LoadSteps;

/// A load is tried so much of [`FINE_PU`] beside where it is expected to end, so that two such trials are enough.
const ASIDE: f64 = 0.45;

/// With so much to spare, K, a coarse step passes from every start: that is more than the detailed model adds to another
/// start beyond what the lag forms do; of hours of life such a share is left then (six kelvin double them). Our choice.
const FAR_K: f64 = 20.0;
const FAR_AGEING: f64 = 0.8;

/// Guesses that leave more than this of what lies between the largest load that passed and the least that did not come to no rest.
pub(super) const SLOWLY: f64 = 0.5;

/// One load that was tried.
#[derive(Debug, Clone, Copy)]
pub(super) struct Trial {
    pub(super) load_pu: f64,
    pub(super) passes: bool,
    /// How much more than the margin that the verdict needs is left, or is left to a ceiling of a temperature, K; NaN
    /// where that is not known.
    pub(super) spare_k: f64,
    /// Whether no other start can change that it passes.
    pub(super) far: bool,
    /// What the draws took off, or were guessed to.
    pub(super) spread: Option<SpreadFacts>,
}

impl Trial {
    pub(super) fn of(
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

    /// What the draws took off, K.
    pub(super) fn takes_off_k(&self) -> f64 {
        self.spread.map_or(0.0, |spread| spread.allowance_k)
    }

    /// Whether it is the same load.
    pub(super) fn is(&self, other: &Self) -> bool {
        self.load_pu.to_bits() == other.load_pu.to_bits()
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
pub(super) struct Between {
    pub(super) passing: Option<Trial>,
    pub(super) failing: Option<Trial>,
}

impl Between {
    pub(super) fn add(&mut self, trial: Trial) {
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

    /// The load to try next: what is guessed, or where that gets on slowly, half way; `None` where nothing is known to try.
    pub(super) fn next(&self, guess: Option<f64>, slow: bool) -> Option<f64> {
        let above = |pu: f64| self.passing.is_none_or(|passing| pu > passing.load_pu);
        let below = |pu: f64| self.failing.is_none_or(|failing| pu < failing.load_pu);
        let guess = guess.filter(|pu| above(*pu) && below(*pu));
        let both = self.passing.zip(self.failing);
        let middle = both.map(|(one, other)| f64::midpoint(one.load_pu, other.load_pu));
        if slow { middle.or(guess) } else { guess.or(middle) }
    }

    /// Infinite as long as one of them is not known.
    pub(super) fn width_pu(&self) -> f64 {
        let both = self.passing.zip(self.failing);
        both.map_or(f64::INFINITY, |(passing, failing)| failing.load_pu - passing.load_pu)
    }
}

/// A coarse step that was tried.
#[derive(Debug)]
pub(super) struct Coarse<'a> {
    evaluation: Evaluation<'a>,
    pub(super) among: Among,
}

impl<'a> Coarse<'a> {
    pub(super) fn among(
        (case, basis): (&'a Case, &'a Basis<'a>),
        load: &LoadSteps,
        among: Among,
    ) -> Self {
        let evaluation = Evaluation::unjudged_among(case, basis, load, among);
        // The temperatures over time were judged and are not needed again.
        let evaluation = Evaluation { course: None, hot_spot_percent: Vec::new(), ..evaluation };
        Self { evaluation, among }
    }

    pub(super) fn trial(
        &mut self,
        (load_pu, guess): (f64, Option<SpreadFacts>),
        wanted: Verdict,
    ) -> Trial {
        self.evaluation.verdict_with(guess);
        Trial::of((load_pu, guess), &self.evaluation, wanted)
    }
}

/// Closes in on where loads no longer pass, to so much, pu, and at least [`FINE_PU`]; the answer passes.
pub(super) fn close_in(
    (mut passing, mut failing): (Trial, Trial),
    close_pu: f64,
    tried: impl Fn(f64) -> Trial,
) -> f64 {
    let fine_pu = FINE_PU.max(close_pu);
    let mut aims = true;
    while failing.load_pu - passing.load_pu > fine_pu {
        let width_pu = failing.load_pu - passing.load_pu;
        let aimed = if aims { passing.aimed(&failing, fine_pu) } else { None };
        let middle_pu = f64::midpoint(passing.load_pu, failing.load_pu);
        let trial = tried(aimed.unwrap_or(middle_pu));
        *(if trial.passes { &mut passing } else { &mut failing }) = trial;
        // Where aiming does not help the next is in the middle, so that so many rounds are always enough.
        aims = !aims || failing.load_pu - passing.load_pu <= SLOWLY * width_pu;
    }
    passing.load_pu
}
