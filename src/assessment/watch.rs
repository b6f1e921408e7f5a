//! The watch card: what the top-oil thermometer should show, and when to stop.

use super::case::Case;
use super::evaluation::Evaluation;
use super::plant::Plant;
use crate::rules::limits::Quantity;
use crate::thermal::Form;
use crate::thermal::ieee::Ieee;
use serde::Serialize;

/// A reading to compare during the overload.
#[derive(Debug, Clone, Serialize)]
pub struct WatchPoint {
    /// Minute from the start of the overload.
    pub at_min: f64,
    /// Top oil that the governing form expects, °C.
    pub expected_top_oil_c: f64,
    /// A reading above this means that a limit will be passed: stop, °C.
    pub stop_above_c: f64,
}

/// A thermometer within this of the expected value agrees with it, K. Our choice, no source.
const AGREES_WITHIN_K: f64 = 3.0;

/// Readings at 5, 15, 30 and 60 minutes, then every hour (further apart in an overload of more
/// than a day), and at the end of the overload.
///
/// A top oil that ends up above the expected one by more than the smallest distance left to any
/// limit uses that distance up. A fault that begins with the overload shows only part of its
/// excess early on, so the stop value opens up with the oil's time constant:
///
/// ```text
/// stop above = expected + min(left, max(3 K, left·(1 − e^(−t/τ))))
/// ```
/// Empty unless the overload may go ahead.
pub fn card(
    case: &Case,
    plant: Option<&Plant<'_>>,
    evaluation: &Evaluation<'_>,
) -> Vec<WatchPoint> {
    let (Some(plant), Some(course)) = (plant, &evaluation.course) else {
        return Vec::new();
    };
    let Some(left_k) = smallest_distance_k(evaluation).filter(|_| evaluation.verdict.permits())
    else {
        return Vec::new();
    };
    let ieee_governs = course.hot_spot().form == Ieee::NAME;
    let governing = if ieee_governs { &course.ieee.samples } else { &course.iec.samples };
    let tau_min = plant.slowest_min();
    let allowed_k = |minute: f64| {
        let shown_by_now = 1.0 - (-minute / tau_min).exp();
        (left_k * shown_by_now).max(AGREES_WITHIN_K).min(left_k)
    };
    let minutes = minutes(case.request.loading.end_min);
    let at = |minute: &f64| governing.iter().find(|sample| (sample.minute - minute).abs() < 1.0e-6);
    minutes
        .iter()
        .filter_map(at)
        .map(|sample| WatchPoint {
            at_min: sample.minute,
            expected_top_oil_c: sample.top_oil_c,
            stop_above_c: sample.top_oil_c + allowed_k(sample.minute),
        })
        .collect()
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
