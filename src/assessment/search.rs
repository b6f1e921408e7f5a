//! The greatest load of the same shape that would pass.

use super::case::Case;
use super::evaluation::{Evaluation, Plant};
use crate::rules::verdict::Verdict;

/// Loads are first tried in steps of this, pu, from below, so that a load counts as passing
/// only if every smaller one tried passes too: cooling stages that start by themselves can
/// make a greater load cooler than a smaller one.
const COARSE_PU: f64 = 0.05;

/// No load above this is tried, pu: the highest ceiling of any loading guide.
const GREATEST_PU: f64 = 2.0;

/// The answer is found to this, pu, and is always on the passing side.
const FINE_PU: f64 = 1.0e-5;

/// Greatest load of the case's shape, as the greatest load in it, with a verdict no worse
/// than `wanted`; `None` if not even the smallest tried passes.
pub fn largest_load_pu(case: &Case, plant: Option<&Plant<'_>>, wanted: Verdict) -> Option<f64> {
    let asked_pu = case.greatest_load_pu();
    if plant.is_none() || !(asked_pu > 0.0) {
        return None;
    }
    let loading = &case.request.loading;
    let passes = |load_pu: f64| {
        let load = loading.load.scaled_before(loading.end_min, load_pu / asked_pu);
        Evaluation::of(case, plant, &load).verdict <= wanted
    };
    let mut passing = None;
    let mut tried = COARSE_PU;
    while tried <= GREATEST_PU + FINE_PU {
        if !passes(tried) {
            return passing.map(|from| refine(from, tried, passes));
        }
        passing = Some(tried);
        tried += COARSE_PU;
    }
    passing
}

fn refine(mut passing: f64, mut failing: f64, passes: impl Fn(f64) -> bool) -> f64 {
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
