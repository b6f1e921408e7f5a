//! The greatest loads of the same shape that would pass.

use super::basis::Basis;
use super::case::Case;
use super::evaluation::Evaluation;
use crate::rules::verdict::Verdict;

/// Loads are first tried in this many steps from below, so that a load counts as passing
/// only if every smaller one tried passes too: cooling stages that start by themselves can
/// make a greater load cooler than a smaller one. A dip narrower than a step can be missed, which
/// is why the report says to check the load that is meant.
const COARSE_STEPS: u32 = 40;

/// No load above this is tried, pu: the highest ceiling of any loading guide.
const GREATEST_PU: f64 = 2.0;

/// The answer is found to this, pu, and is always on the passing side.
const FINE_PU: f64 = 1.0e-4;

/// Greatest loads of the case's shape, each as the greatest load in it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LargestLoads {
    /// That would pass, with cautions or without, pu.
    pub with_cautions_pu: Option<f64>,
    /// That would pass without cautions, pu.
    pub without_cautions_pu: Option<f64>,
}

/// Tries loads from below, and then closes in on where each verdict ends.
pub fn largest_loads(case: &Case, basis: &Basis<'_>) -> LargestLoads {
    let asked_pu = case.greatest_load_pu();
    if basis.plant.is_none() || !(asked_pu > 0.0) {
        return LargestLoads::default();
    }
    let loading = &case.request.loading;
    let verdict = |load_pu: f64| {
        let load = loading.load.scaled_before(loading.end_min, load_pu / asked_pu);
        Evaluation::of(case, basis, &load).verdict
    };
    let tried = verdicts_from_below(verdict);
    let largest = |wanted: Verdict| {
        let failing = tried.iter().position(|(_, verdict)| *verdict > wanted);
        match failing {
            None => tried.last().map(|(load_pu, _)| *load_pu),
            Some(0) => None,
            Some(first) => Some(close_in(tried[first - 1].0, tried[first].0, |load_pu| {
                verdict(load_pu) <= wanted
            })),
        }
    };
    LargestLoads {
        with_cautions_pu: largest(Verdict::GoWithCautions),
        without_cautions_pu: largest(Verdict::Go),
    }
}

/// Verdicts at ascending loads, up to the first that does not pass.
fn verdicts_from_below(verdict: impl Fn(f64) -> Verdict) -> Vec<(f64, Verdict)> {
    let mut tried = Vec::new();
    for step in 1..=COARSE_STEPS {
        let load_pu = f64::from(step) * GREATEST_PU / f64::from(COARSE_STEPS);
        let found = verdict(load_pu);
        tried.push((load_pu, found));
        if !found.permits() {
            break;
        }
    }
    tried
}

fn close_in(mut passing: f64, mut failing: f64, passes: impl Fn(f64) -> bool) -> f64 {
    while failing - passing > FINE_PU {
        let middle = f64::midpoint(passing, failing);
        if passes(middle) {
            passing = middle;
        } else {
            failing = middle;
        }
    }
    passing
}
