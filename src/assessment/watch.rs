//! The watch card: what the top-oil thermometer should show, and when to stop.

use super::basis::Basis;
use super::case::{Case, HotSpotMoisture};
use super::evaluation::Evaluation;
use super::plant::Plant;
use super::spread::{Draws, Readings, Ready};
use crate::rules::limits::Quantity;
use crate::thermal::schedule::LoadSteps;
use serde::Serialize;

/// A reading to compare during the overload.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WatchPoint {
    /// Minute from the start of the overload.
    pub at_min: f64,
    /// Top oil that the governing model expects, °C.
    pub expected_top_oil_c: f64,
    /// A reading above this means that a limit may be passed: stop, whole °C.
    pub stop_above_c: f64,
}

/// Whether the thermometer can guard the overload.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WatchGuard {
    /// Whether normal oil, read too high by as much as the thermometer may be off, stays within every stop value.
    pub guarded: bool,
    /// Greatest load of the same shape for which it does, pu, to a hundredth; `null` where none of those looked
    /// at does.
    pub guarded_up_to_pu: Option<f64>,
    /// How far the thermometer may be off, K.
    pub tolerance_k: f64,
}

/// How far an oil thermometer in service may be off, K. Our choice, no source: the same as for the devices
/// of `rate`.
pub const AGREES_WITHIN_K: f64 = 3.0;

/// Loads for the guard are looked for in steps of this, pu.
const STEP_PU: f64 = 0.01;

/// No further below the load asked for, in those steps.
const MOST_STEPS: u32 = 64;

/// Readings are looked for no further from the expected one, K.
const FAR_K: f64 = 60.0;

/// Readings at 5, 15, 30 and 60 minutes, then every hour (further apart in an overload of more
/// than a day), and at the end of the overload.
///
/// A stop value is the highest whole degree up to which the cases that agree with the reading within the
/// thermometer's tolerance keep, in their 5 % point less what the verdict takes off, the required margin, and in
/// their median the ceiling of the hot spot; and no higher than the ceiling of the top oil. Where too few cases
/// agree, those of the nearest reading below decide, and what they have to spare is used up by a fault that begins
/// with the overload, of which only a part shows by then:
///
/// ```text
/// stop above = last reading that enough agree with + left·(1 − e^(−t/τ))
/// ```
/// Empty unless the overload may go ahead. Our choice, no source.
pub(super) fn card(
    case: &Case,
    plant: Option<&Plant<'_>>,
    (load, evaluation): (&LoadSteps, &Evaluation<'_>),
    draws: Option<&Draws>,
) -> Vec<WatchPoint> {
    let ready = draws.map(|draws| &draws.ready);
    plant.map_or_else(Vec::new, |plant| card_of((case, plant), (load, evaluation), ready))
}

fn card_of(
    (case, plant): (&Case, &Plant<'_>),
    (load, evaluation): (&LoadSteps, &Evaluation<'_>),
    ready: Option<&Ready>,
) -> Vec<WatchPoint> {
    let Some(course) = evaluation.course.as_ref().filter(|_| evaluation.verdict.permits()) else {
        return Vec::new();
    };
    let Some(left_k) = smallest_distance_k(evaluation) else { return Vec::new() };
    let minutes = minutes(case.request.loading.end_min);
    let readings = ready.map(|ready| Readings::of((case, plant, ready), load, (&minutes, course)));
    let governing = course.governing();
    let stop = Stop { evaluation, left_k, tau_min: plant.slowest_min() };
    let point = |(place, minute): (usize, &f64)| {
        let sample =
            governing.samples.iter().find(|sample| (sample.minute - minute).abs() < 1.0e-6)?;
        let expected_c = sample.top_oil_c;
        let stop_c = match &readings {
            Some(readings) => stop.agreeing(readings, place, (*minute, expected_c)),
            None => expected_c + stop.opened_k(*minute),
        };
        Some(WatchPoint {
            at_min: sample.minute,
            expected_top_oil_c: expected_c,
            stop_above_c: stop_c.min(ceiling_c(evaluation, Quantity::TopOil)).floor(),
        })
    };
    minutes.iter().enumerate().filter_map(point).collect()
}

/// When to stop under one load.
struct Stop<'a> {
    evaluation: &'a Evaluation<'a>,
    left_k: f64,
    tau_min: f64,
}

impl Stop<'_> {
    /// Without draws: a top oil that ends up above the expected one by more than the smallest distance left to any
    /// limit uses that distance up. A fault that begins with the overload shows only part of its excess early on:
    ///
    /// ```text
    /// min(left, max(3 K, left·(1 − e^(−t/τ))))
    /// ```
    fn opened_k(&self, minute: f64) -> f64 {
        (self.left_k * self.shown_by(minute)).max(AGREES_WITHIN_K).min(self.left_k)
    }

    /// Part of the excess of a fault that begins with the overload.
    fn shown_by(&self, minute: f64) -> f64 {
        1.0 - (-minute / self.tau_min).exp()
    }

    /// With draws, °C: by the cases that agree.
    fn agreeing(&self, readings: &Readings, place: usize, at: (f64, f64)) -> f64 {
        let (minute, expected_c) = at;
        let spare_k = |reading_c: f64| self.spare_k(readings, place, reading_c);
        let mut reading_c = expected_c.floor();
        while !spare_k(reading_c).is_some_and(|k| k >= 0.0) {
            if reading_c < expected_c - FAR_K {
                return reading_c;
            }
            reading_c -= 1.0;
        }
        let mut kept_k = spare_k(reading_c).unwrap_or(0.0);
        while reading_c < expected_c + FAR_K {
            match spare_k(reading_c + 1.0) {
                Some(k) if k >= 0.0 => kept_k = k,
                Some(_) => return reading_c,
                None => return reading_c + kept_k * self.shown_by(minute),
            }
            reading_c += 1.0;
        }
        reading_c
    }

    /// What the cases that agree with a reading leave to the nearest limit, K; `None` where too few agree.
    fn spare_k(&self, readings: &Readings, place: usize, reading_c: f64) -> Option<f64> {
        let agreeing = readings.agreeing(place, reading_c, AGREES_WITHIN_K)?;
        let facts = &self.evaluation.facts;
        // All that the verdict takes off the 5 % point of all cases is taken off that of some of them too.
        let bubbling_k = facts.margin_low_k()? - facts.required.no_go_k + agreeing.above_all_k;
        let hot_spot_k = ceiling_c(self.evaluation, Quantity::HotSpot) - agreeing.hot_spot_c;
        Some(if hot_spot_k < bubbling_k { hot_spot_k } else { bubbling_k })
    }
}

/// The lowest ceiling of a quantity, those of local rules included, °C; infinite without one.
fn ceiling_c(evaluation: &Evaluation<'_>, quantity: Quantity) -> f64 {
    let held = evaluation.facts.held.iter().filter(|held| held.ceiling.quantity == quantity);
    held.map(|held| held.ceiling.limit).fold(f64::INFINITY, f64::min)
}

/// Whether the thermometer can guard the overload of a card, and up to which load it can.
pub(super) fn guard(
    case: &Case,
    basis: &Basis<'_>,
    card: &[WatchPoint],
    draws: Option<&Draws>,
) -> Option<WatchGuard> {
    let plant = basis.plant.as_ref().filter(|_| !card.is_empty())?;
    let guarded = is_guarded(card);
    let asked_pu = case.greatest_load_pu();
    let guarded_up_to_pu = if guarded {
        Some(asked_pu)
    } else {
        let ready = draws.map(|draws| &draws.ready);
        let at = |load_pu: f64| {
            let loading = &case.request.loading;
            let load = loading.load.scaled_before(loading.end_min, load_pu / asked_pu);
            is_guarded(&card_at((case, basis, plant), &load, ready))
        };
        lower_load_pu(asked_pu, at)
    };
    Some(WatchGuard { guarded, guarded_up_to_pu, tolerance_k: AGREES_WITHIN_K })
}

/// A thermometer is read in whole degrees, and one that is not above the stop value stops nothing.
fn is_guarded(card: &[WatchPoint]) -> bool {
    let fits = |point: &WatchPoint| {
        (point.expected_top_oil_c + AGREES_WITHIN_K).floor() <= point.stop_above_c
    };
    !card.is_empty() && card.iter().all(fits)
}

fn card_at(
    (case, basis, plant): (&Case, &Basis<'_>, &Plant<'_>),
    load: &LoadSteps,
    ready: Option<&Ready>,
) -> Vec<WatchPoint> {
    let mut evaluation = Evaluation::unjudged(case, basis, load);
    let spread = match ready {
        None => None,
        Some(ready) if case.request.hot_spot == HotSpotMoisture::Bulk => {
            Some(ready.facts((case, plant), load, &evaluation))
        }
        Some(_) => match Ready::again(case, plant, (load, &evaluation)) {
            Some(spread) => Some(spread),
            None => return Vec::new(),
        },
    };
    evaluation.verdict_with(spread);
    card_of((case, plant), (load, &evaluation), ready)
}

/// The greatest load in whole steps below another at which something holds, found in strides that double and
/// then halve.
fn lower_load_pu(asked_pu: f64, holds: impl Fn(f64) -> bool) -> Option<f64> {
    let top = (asked_pu / STEP_PU - 1.0e-9).floor();
    let at = |steps: u32| (top - f64::from(steps)) * STEP_PU;
    let (mut above, mut stride) = (None, 1_u32);
    let mut below = 0;
    while below <= MOST_STEPS && at(below) > 0.0 {
        if holds(at(below)) {
            let Some(mut failing) = above else { return Some(at(below)) };
            while below - failing > 1 {
                let middle = u32::midpoint(below, failing);
                if holds(at(middle)) { below = middle } else { failing = middle }
            }
            return Some(at(below));
        }
        above = Some(below);
        below += stride;
        stride *= 2;
    }
    None
}

/// The smallest distance left to bubbling (less the required margin), hot-spot or top-oil limits, K.
fn smallest_distance_k(evaluation: &Evaluation<'_>) -> Option<f64> {
    let facts = &evaluation.facts;
    let bubbling = facts.margin_low_k()? - facts.required.no_go_k;
    let temperatures = facts
        .held
        .iter()
        .filter(|held| matches!(held.ceiling.quantity, Quantity::HotSpot | Quantity::TopOil));
    let distances =
        temperatures.filter_map(|held| held.value.map(|value| held.ceiling.limit - value));
    Some(distances.fold(bubbling, f64::min))
}

fn minutes(end_min: f64) -> Vec<f64> {
    let mut minutes: Vec<f64> =
        [5.0, 15.0, 30.0, 60.0].into_iter().filter(|minute| *minute < end_min).collect();
    // A card of more rows than this is not read; the rows of a long overload stand further apart.
    let apart_min = 60.0 * (end_min / 60.0 / 24.0).ceil().max(1.0);
    let mut minute = 60.0 + apart_min;
    while minute < end_min {
        minutes.push(minute);
        minute += apart_min;
    }
    minutes.push(end_min);
    minutes
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::Cell;

    #[test]
    fn the_lower_load_is_the_greatest_whole_step_that_holds() {
        for (limit_pu, expected) in [(1.1699, Some(1.16)), (0.905, Some(0.90)), (0.30, None)] {
            let asked = Cell::new(0);
            let found = lower_load_pu(1.173, |pu| {
                asked.set(asked.get() + 1);
                pu <= limit_pu
            });
            let near = |one: Option<f64>, other: Option<f64>| match (one, other) {
                (Some(one), Some(other)) => (one - other).abs() < 1.0e-9,
                (one, other) => one.is_none() && other.is_none(),
            };
            assert!(near(found, expected), "{limit_pu}: {found:?}");
            assert!(asked.get() < 14, "{} loads asked", asked.get());
        }
        assert!(lower_load_pu(1.173, |_| true).is_some_and(|pu| (pu - 1.17).abs() < 1.0e-9));
    }

    #[test]
    fn a_card_guards_while_normal_oil_read_too_high_stops_nothing() {
        let point =
            |stop_above_c| WatchPoint { at_min: 5.0, expected_top_oil_c: 70.4, stop_above_c };
        assert!(is_guarded(&[point(73.0)]) && is_guarded(&[point(80.0)]));
        assert!(!is_guarded(&[point(72.0)]) && !is_guarded(&[point(80.0), point(71.0)]));
        assert!(!is_guarded(&[]));
    }
}
