//! The watch card: what the top-oil thermometer should show, and when to stop.

use super::case::Case;
use super::evaluation::Evaluation;
use super::plant::Plant;
use crate::rules::limits::Quantity;
use crate::thermal::Form;
use crate::thermal::ieee::Ieee;
use crate::thermal::trajectory::Sample;
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

/// Readings at 5, 15, 30 and 60 minutes, then every hour, and at the end of the overload.
///
/// A top oil that reads higher than expected by more than the smallest distance left to any
/// limit would, carried forward as an added rise, use that distance up. Empty unless the
/// overload may go ahead.
pub fn card(
    case: &Case,
    plant: Option<&Plant<'_>>,
    evaluation: &Evaluation<'_>,
) -> Vec<WatchPoint> {
    let (Some(_), Some(course)) = (plant, &evaluation.course) else {
        return Vec::new();
    };
    let Some(left_k) = smallest_distance_k(evaluation).filter(|_| evaluation.verdict.permits())
    else {
        return Vec::new();
    };
    let governing: &[Sample] = if course.hot_spot().form == Ieee::NAME {
        &course.ieee.samples
    } else {
        &course.iec.samples
    };
    let minutes = minutes(case.request.loading.end_min);
    let readings = minutes.iter().filter_map(|minute| {
        governing.iter().find(|sample| (sample.minute - minute).abs() < 1.0e-6)
    });
    readings
        .map(|sample| WatchPoint {
            at_min: sample.minute,
            expected_top_oil_c: sample.top_oil_c,
            stop_above_c: sample.top_oil_c + left_k,
        })
        .collect()
}

/// The smallest distance left to bubbling (less the required margin), hot-spot or top-oil limits, K.
fn smallest_distance_k(evaluation: &Evaluation<'_>) -> Option<f64> {
    let facts = &evaluation.facts;
    let bubbling = evaluation.margin_low_k()? - facts.required.no_go_k;
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
    let mut hour = 120.0;
    while hour < end_min && minutes.len() < 48 {
        minutes.push(hour);
        hour += 60.0;
    }
    minutes.push(end_min);
    minutes
}
