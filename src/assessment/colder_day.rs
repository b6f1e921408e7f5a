//! Whether a colder day leaves less: where fans start by themselves they come later then.

use super::basis::Basis;
use super::case::Case;
use super::evaluation::Evaluation;
use super::plant::Plant;
use crate::rules::facts::ColderDay;
use crate::thermal::schedule::AmbientLine;
use crate::uncertainty::batch::in_chunks;

/// Ambients are looked at so far apart, K, and so far down. Our choice: fans that start half a step sooner or later change
/// the hot spot by less than the margin is known to, and a day is rarely colder than forecast by more.
const APART_K: f64 = 2.5;
const DOWN_TO_K: f64 = 15.0;

/// A margin that falls by less is about the same, K. Our choice.
const LESS_BY_K: f64 = 0.5;

/// A case at the constant ambient, from its own down to another, °C, that leaves the smallest margin with every input at
/// its own value. A hotter ambient leaves less unless fans start by themselves.
pub fn worst_ambient(case: Case, down_to_c: f64) -> Case {
    let basis = Basis::of(&case);
    let Some(own_k) = margin_k(&case, &basis) else { return case };
    let colder_k = case.request.ambient.at(0.0) - down_to_c;
    match worst(&case, &basis, (own_k, colder_k)) {
        Some(worst) => colder(&case, worst.colder_k),
        None => case,
    }
}

/// The colder day that leaves least, if it leaves less than the one asked for.
pub(super) fn colder_day(
    case: &Case,
    basis: &Basis<'_>,
    asked: &Evaluation<'_>,
) -> Option<ColderDay> {
    let own_k = asked.margin_counting_k()?;
    worst(case, basis, (own_k, DOWN_TO_K)).filter(|worst| worst.less_k > LESS_BY_K)
}

fn worst(case: &Case, basis: &Basis<'_>, (own_k, colder_k): (f64, f64)) -> Option<ColderDay> {
    if !basis.plant.as_ref().is_some_and(Plant::is_automatic) {
        return None;
    }
    let steps = (1..).map(|step| f64::from(step) * APART_K);
    let steps = steps.take_while(|by_k| *by_k < colder_k);
    let all = steps.chain(Some(colder_k).filter(|by_k| *by_k > 0.0));
    let all: Vec<f64> = all.collect();
    let found = in_chunks(all.len(), 1, |days| {
        let each = all[days].iter().filter_map(|by_k| {
            let other = colder(case, *by_k);
            let basis = Basis::with_paper(&other, basis.paper.clone());
            let less_k = own_k - margin_k(&other, &basis)?;
            Some(ColderDay { ambient_c: highest_c(&other), colder_k: *by_k, less_k })
        });
        each.collect()
    });
    // A NaN would be the greatest, and hide the others.
    let known = found.into_iter().filter(|day| !day.less_k.is_nan());
    known.max_by(|a, b| a.less_k.total_cmp(&b.less_k)).filter(|worst| worst.less_k > 0.0)
}

/// The margin with every input at its own value, K.
fn margin_k(case: &Case, basis: &Basis<'_>) -> Option<f64> {
    Evaluation::unjudged(case, basis, &case.request.loading.load).margin_counting_k()
}

fn colder(case: &Case, by_k: f64) -> Case {
    let mut other = case.clone();
    let knots = other.request.ambient.knots().iter();
    let knots = knots.map(|(minute, ambient_c)| (*minute, ambient_c - by_k)).collect();
    if let Some(ambient) = AmbientLine::new(knots) {
        other.request.ambient = ambient;
    }
    other
}

/// The highest ambient during the overload, °C.
fn highest_c(case: &Case) -> f64 {
    let (ambient, end_min) = (&case.request.ambient, case.request.loading.end_min);
    let during = ambient.knots().iter().filter(|knot| knot.0 > 0.0 && knot.0 < end_min);
    let ends = [ambient.at(0.0), ambient.at(end_min)];
    during.map(|knot| knot.1).chain(ends).fold(f64::NEG_INFINITY, f64::max)
}
