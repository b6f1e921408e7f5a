//! How long a load can be held: the longest duration that would pass if it were asked about.
//!
//! What the uncertainty takes off the margin grows with the duration, so a limit that was computed for the
//! asked duration says nothing about a longer one. Every duration is judged anew, with everything that judges
//! the asked one.

use super::basis::Basis;
use super::case::{Case, HotSpotMoisture, Resolution};
use super::course::Course;
use super::evaluation::Evaluation;
use super::limits::{first_hotter, horizon_min};
use super::plant::Plant;
use super::spread::{Draws, Ready};
use crate::loading::load::Loading;
use crate::quantities::Celsius;
use crate::rules::facts::SpreadFacts;
use crate::thermal::cooling::Control;
use crate::thermal::schedule::LoadSteps;

/// Times are found to this below ten hours, min, and to a thousandth part or a minute above; the answer is on
/// the passing side. Our choice: nobody acts within less.
const FINE_MIN: f64 = 0.25;
const FINE_SHARE: f64 = 1.0 / 600.0;
const COARSEST_MIN: f64 = 1.0;

/// Where cooling starts by itself, ambient changes or water is followed, these shares of the way are tried first,
/// from below: a longer overload might pass although a shorter one does not.
const COARSE: [f64; 5] = [1.0 / 32.0, 1.0 / 16.0, 1.0 / 8.0, 1.0 / 4.0, 1.0 / 2.0];

/// Followed by the hour, a peak moves by some ten-thousandths of a kelvin; with so much to spare at the horizon,
/// K, it is not followed by the minute.
const FAR_K: f64 = 0.5;

/// Between two durations of which it is known what the draws take off, a duration is first judged with the more of the two and
/// so much on top, K; what passes then is not computed. Our choice: up to its end an overload is the same however long it
/// goes on, so that by the draws too a shorter one is no hotter but for what comes after it.
const MORE_K: f64 = 3.0;

/// A guess every third time gives way to the middle, so that so many rounds are always enough.
const ROUNDS: usize = 40;

/// How long a load can be held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct HeldOn {
    /// The longest duration that passes, min; `None`: all up to the horizon do.
    pub(super) min: Option<f64>,
    /// Whether the margin to bubbling is what ends it.
    pub(super) by_bubbling: bool,
}

/// The same question about another duration: the load as it is asked up to there, its last step held on where
/// that is longer, then the load that follows. Limit set, start and draws stay.
///
/// A limit set that is only for shorter overloads does not pass longer ones.
pub fn held_for(case: &Case, minutes: f64) -> Case {
    let mut other = case.clone();
    let loading = &case.request.loading;
    let follows_pu = loading.load.at(loading.end_min);
    let load = loading.load.held_after(loading.end_min).followed_by(minutes, follows_pu);
    other.request.loading = Loading { load, end_min: minutes };
    other
}

/// Looks for the longest duration that passes.
///
/// Where the asked one passes, longer ones are tried; where it does not, shorter ones. Up to a minute the course
/// is the same whatever the duration, so that in one cooling stage and one ambient a longer overload never passes
/// where a shorter one fails; elsewhere the first that fails is taken, from below.
///
/// `going_on` is the course with the last load held on, `ceilings_min` when the first ceiling is reached in it.
pub(super) fn held_on(
    (case, basis, plant): (&Case, &Basis<'_>, &Plant<'_>),
    asked: &Evaluation<'_>,
    draws: Option<&Draws>,
    (going_on, ceilings_min): (&Course, f64),
) -> HeldOn {
    let ready = draws.map(|draws| &draws.ready);
    let search =
        Search { case, basis, plant, ready, without: asked.facts.spread, going_on, ceilings_min };
    let end_min = case.request.loading.end_min;
    let asked = Tried::of(end_min, asked);
    if asked.passes {
        return search.between(asked, horizon_min(case), None);
    }
    let least = search.tried(FINE_MIN.min(end_min / 2.0), None);
    if !least.passes {
        return HeldOn { min: Some(0.0), by_bubbling: least.bubbles };
    }
    search.between(least, end_min, Some(asked))
}

/// One duration.
#[derive(Debug, Clone, Copy)]
struct Tried {
    min: f64,
    passes: bool,
    /// What the hottest hot spot may be for the required margin to be kept, °C; NaN where that is not known.
    limit_c: f64,
    /// How much more than that margin is left, K; NaN where that is not known.
    spare_k: f64,
    /// Whether less than that margin is left.
    bubbles: bool,
    /// What the draws take off the margin, K; NaN where that was not computed.
    takes_off_k: f64,
}

impl Tried {
    fn of(min: f64, evaluation: &Evaluation<'_>) -> Self {
        let facts = &evaluation.facts;
        let spare_k = facts.margin_low_k().map_or(f64::NAN, |k| k - facts.required.no_go_k);
        let hot_spot_c = evaluation.hot_spot_c().unwrap_or(f64::NAN);
        let ceiling = facts.bubbling.low.ceiling().map(Celsius::value);
        let beyond = ceiling.is_some_and(|c| !(c - hot_spot_c >= facts.required.no_go_k));
        Self {
            min,
            passes: evaluation.verdict.permits(),
            limit_c: hot_spot_c + spare_k,
            spare_k,
            bubbles: spare_k < 0.0 || beyond || !facts.allowance_k().is_finite(),
            takes_off_k: facts.allowance_k(),
        }
    }
}

struct Search<'a> {
    case: &'a Case,
    basis: &'a Basis<'a>,
    plant: &'a Plant<'a>,
    ready: Option<&'a Ready>,
    /// What is taken off the margin where there are no draws.
    without: Option<SpreadFacts>,
    going_on: &'a Course,
    ceilings_min: f64,
}

impl Search<'_> {
    /// Judges a duration with all draws, unless it fails without them too.
    fn tried(&self, min: f64, resolution: Option<Resolution>) -> Tried {
        self.tried_with(min, resolution, f64::NAN)
    }

    /// The same, unless it passes if the draws take off so much, K; NaN: that is not known.
    fn tried_with(&self, min: f64, resolution: Option<Resolution>, guess_k: f64) -> Tried {
        if self.case.limits.shorter_than_min.is_some_and(|most_min| !(min < most_min)) {
            // Refused when it is asked: the limit set is not for so long.
            let unknown = f64::NAN;
            return Tried {
                min,
                passes: false,
                limit_c: unknown,
                spare_k: unknown,
                bubbles: false,
                takes_off_k: unknown,
            };
        }
        let mut case = held_for(self.case, min);
        case.request.resolution = resolution.unwrap_or(case.request.resolution);
        let load = &case.request.loading.load;
        let mut evaluation = Evaluation::unjudged(&case, self.basis, load);
        if self.ready.is_some() && !evaluation.verdict_with(None).permits() {
            // What the draws would take off is not known here.
            let unknown = f64::NAN;
            return Tried { limit_c: unknown, takes_off_k: unknown, ..Tried::of(min, &evaluation) };
        }
        let guess = SpreadFacts { allowance_k: guess_k, below_zero: None };
        if guess_k.is_finite() && evaluation.verdict_with(Some(guess)).permits() {
            return Tried { takes_off_k: f64::NAN, ..Tried::of(min, &evaluation) };
        }
        let spread = self.spread(&case, load, &evaluation);
        evaluation.verdict_with(spread);
        Tried::of(min, &evaluation)
    }

    fn spread(
        &self,
        case: &Case,
        load: &LoadSteps,
        evaluation: &Evaluation<'_>,
    ) -> Option<SpreadFacts> {
        let Some(ready) = self.ready else { return self.without };
        if case.request.hot_spot == HotSpotMoisture::Bulk {
            return Some(ready.facts((case, self.plant), load, evaluation));
        }
        // Water that is followed depends on the load.
        let unknown = SpreadFacts { allowance_k: f64::INFINITY, below_zero: None };
        Some(Ready::again(case, self.plant, (load, evaluation)).unwrap_or(unknown))
    }

    /// Whether a longer overload surely is no easier.
    fn is_steady(&self) -> bool {
        let request = &self.case.request;
        let cooling = &self.plant.cooling;
        matches!(cooling.control, Control::Fixed(_))
            && cooling.lost_at_min.is_none()
            && request.ambient.knots().len() == 1
            && request.hot_spot == HotSpotMoisture::Bulk
    }

    /// From a duration that passes to another; `until` is what is known of that one.
    fn between(&self, from: Tried, until_min: f64, until: Option<Tried>) -> HeldOn {
        let steady = self.is_steady();
        if steady && until.is_none() {
            let far = self.tried(until_min, Some(Resolution::Hours));
            if far.passes && far.spare_k >= FAR_K {
                return HeldOn { min: None, by_bubbling: false };
            }
        }
        let coarse = if steady { &[][..] } else { &COARSE[..] };
        let last = until.unwrap_or_else(|| self.tried(until_min, None));
        // Water that is followed is another one for every duration.
        let bulk = self.case.request.hot_spot == HotSpotMoisture::Bulk;
        let known = bulk && !(from.takes_off_k + last.takes_off_k).is_nan();
        let guess_k =
            if known { from.takes_off_k.max(last.takes_off_k) + MORE_K } else { f64::NAN };
        let mut passed = vec![from];
        for share in coarse {
            let min = from.min + (until_min - from.min) * share;
            let tried = self.tried_with(min, None, guess_k);
            if !tried.passes {
                return self.below(passed, tried);
            }
            passed.push(tried);
        }
        if last.passes {
            return HeldOn { min: None, by_bubbling: false };
        }
        self.below(passed, last)
    }

    /// Closes in between a duration that fails and the last before it that passes with all draws.
    fn below(&self, mut passed: Vec<Tried>, mut failing: Tried) -> HeldOn {
        while let Some(passing) = passed.pop() {
            let guessed = passing.takes_off_k.is_nan() && self.ready.is_some();
            let passing =
                if guessed && !passed.is_empty() { self.tried(passing.min, None) } else { passing };
            if passing.passes {
                return self.close_in(passing, failing);
            }
            failing = passing;
        }
        HeldOn { min: Some(0.0), by_bubbling: failing.bubbles }
    }

    fn close_in(&self, mut passing: Tried, mut failing: Tried) -> HeldOn {
        for round in 0..ROUNDS {
            let fine_min = (passing.min * FINE_SHARE).clamp(FINE_MIN, COARSEST_MIN);
            if failing.min - passing.min <= fine_min {
                break;
            }
            let middle_min = f64::midpoint(passing.min, failing.min);
            let aim_min = if round % 3 == 2 {
                middle_min
            } else {
                self.aimed(&passing, &failing, fine_min).unwrap_or(middle_min)
            };
            let tried = self.tried(aim_min, None);
            *(if tried.passes { &mut passing } else { &mut failing }) = tried;
        }
        HeldOn { min: Some(passing.min), by_bubbling: failing.bubbles }
    }

    /// A duration close to where the course passes what it may by the two that are known: just below it, or
    /// just above it where that was tried.
    fn aimed(&self, passing: &Tried, failing: &Tried, fine_min: f64) -> Option<f64> {
        let limit_c = |min: f64| {
            let line_c = passing.limit_c
                + (failing.limit_c - passing.limit_c) * (min - passing.min)
                    / (failing.min - passing.min);
            if line_c.is_finite() { line_c } else { passing.limit_c }
        };
        let hotter_min = first_hotter(self.going_on, limit_c).unwrap_or(f64::INFINITY);
        let at_min = hotter_min.min(self.ceilings_min);
        let aside_min = 0.45 * fine_min;
        let below_min = at_min - aside_min;
        let aim_min = if below_min > passing.min { below_min } else { at_min + aside_min };
        let inside = aim_min > passing.min && aim_min < failing.min;
        inside.then_some(aim_min)
    }
}
