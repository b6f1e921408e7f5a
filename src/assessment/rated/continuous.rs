//! The largest load that can be carried for ever: the start itself depends on it.

use super::super::case::{Case, DEFAULT_DRAWS};
use super::super::evaluation::Evaluation;
use super::super::search::{GREATEST_PU, largest_below};
use super::super::spread::{Ready, to_be_doubled};
use super::{Draws, Ending, FromStart, Largest, SMALL_PU, UNKNOWN, WANTED};
use crate::rules::facts::SpreadFacts;

/// Guess and answer of what the draws take off agree within this, K.
const SETTLED_K: f64 = 0.05;

/// They agree after two or three rounds.
const ROUNDS: usize = 8;

/// The largest load that passes when it is carried from the state that it leads to itself.
///
/// `case_of` gives the case of a load: carried from it, for as long as is looked at. `guess_k` is what the
/// draws may take off, K.
pub fn largest_continuous(
    case_of: &(dyn Fn(f64) -> Option<Case> + Sync),
    at_most_pu: f64,
    guess_k: Option<f64>,
) -> Largest {
    let mut guess = guess_k.map(spread);
    let mut last = None;
    for _ in 0..ROUNDS {
        let passes = |load_pu: f64| passes(case_of, load_pu, guess);
        let Some(load_pu) = largest_below(at_most_pu, passes) else { break };
        let Some(case) = case_of(load_pu) else { break };
        let Some(found) = computed(&case) else {
            return largest(case_of, Some(load_pu), at_most_pu, guess);
        };
        let off_k = found.allowance_k - guess.map_or(f64::INFINITY, |guess| guess.allowance_k);
        last = Some(found);
        guess = last;
        if off_k.abs() <= SETTLED_K && self::passes(case_of, load_pu, guess) {
            return largest(case_of, Some(load_pu), at_most_pu, guess);
        }
    }
    largest(case_of, None, at_most_pu, last)
}

fn spread(allowance_k: f64) -> SpreadFacts {
    SpreadFacts { allowance_k, below_zero: None }
}

fn passes(
    case_of: &(dyn Fn(f64) -> Option<Case> + Sync),
    load_pu: f64,
    spread: Option<SpreadFacts>,
) -> bool {
    case_of(load_pu).is_some_and(|case| {
        let start = FromStart::without_draws(&case);
        start.evaluation(&case, spread).verdict <= WANTED
    })
}

/// What all draws take off; `None` without draws.
fn computed(case: &Case) -> Option<SpreadFacts> {
    let start = FromStart::of(case);
    let (plant, ready) = match (&start.basis.plant, &start.draws) {
        (Some(plant), Draws::Ready(ready)) => (plant, ready),
        (_, Draws::Impossible) => return Some(UNKNOWN),
        (None, Draws::Ready(_)) | (_, Draws::None) => return None,
    };
    let load = &case.request.loading.load;
    let evaluation = Evaluation::of(case, &start.basis, load, None);
    let required_k = evaluation.facts.required.no_go_k;
    let mut under = ready.under(case, plant, load);
    let mut error = ready.standard_error(&under, required_k);
    let (mut doubled, mut more): (u32, Option<Ready>) = (0, None);
    while to_be_doubled(more.as_ref().unwrap_or(ready), doubled, error) {
        doubled += 1;
        let ready = Ready::of(case, plant, &evaluation, DEFAULT_DRAWS << doubled)?;
        under = ready.under(case, plant, load);
        error = ready.standard_error(&under, required_k);
        more = Some(ready);
    }
    Some(under.facts(&evaluation))
}

fn largest(
    case_of: &dyn Fn(f64) -> Option<Case>,
    load_pu: Option<f64>,
    at_most_pu: f64,
    spread: Option<SpreadFacts>,
) -> Largest {
    let tried = match load_pu {
        Some(load_pu) if load_pu >= at_most_pu.min(GREATEST_PU) => Vec::new(),
        Some(load_pu) => super::ABOVE.iter().map(|factor| load_pu * factor).collect(),
        None => vec![SMALL_PU],
    };
    let ended_by = tried.into_iter().find_map(|load_pu| {
        let case = case_of(load_pu)?;
        let start = FromStart::without_draws(&case);
        let evaluation = start.evaluation(&case, spread);
        Ending::of(&evaluation.facts, &evaluation.findings)
    });
    let allowance_k = spread.map(|spread| spread.allowance_k).filter(|_| load_pu.is_some());
    Largest { load_pu, allowance_k: allowance_k.filter(|k| k.is_finite()), ended_by }
}
