//! The thermal image against its trip time, and its steps against its closed form.

use super::printed::{Printed, assert_within, rows};
use bubblemargin::relay::thermal_image::ThermalImage;
use bubblemargin::thermal::schedule::LoadSteps;
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Row {
    load_pu: f64,
    before_pu: f64,
    k: f64,
    tau_min: f64,
    trip_min: Printed,
}

fn image(k: f64, time_constant_min: f64) -> ThermalImage {
    ThermalImage {
        k,
        base_current_pu: 1.0,
        time_constant_min,
        alarm_percent: None,
        trip_percent: 100.0,
        tolerance_percent: Some(0.0),
    }
}

#[test]
fn trips_when_the_formula_says() {
    let table: Vec<Row> = rows(include_str!("iec_60255_149/trip.csv"));
    assert_eq!(table.len(), 1, "rows");
    for row in table {
        let relay = image(row.k, row.tau_min);
        let trip_min = relay.trip_min(row.before_pu, row.load_pu).unwrap();
        assert_within(row.trip_min.half_unit(), trip_min, row.trip_min.number(), "trip");
    }
}

#[test]
fn steps_of_a_minute_agree_with_the_closed_form() {
    let relay = image(1.05, 60.0);
    let trip_min = relay.trip_min(0.8, 1.3).unwrap();
    let (mut heat, mut minute) = (relay.steady(0.8), 0.0);
    while minute + 1.0 < trip_min {
        heat = relay.after(heat, 1.3, 1.0);
        minute += 1.0;
    }
    assert!(heat < 1.0, "not yet");
    // Some dozens of steps, each with a rounding of 1e-16.
    assert_within(1.0e-13, relay.after(heat, 1.3, trip_min - minute), 1.0, "H at the trip");
    // And by small explicit differences, an error of half a step times the rate of change: 1e-5.
    let (mut heat, step_min) = (relay.steady(0.8), trip_min / 1.0e6);
    for _ in 0..1_000_000 {
        heat += step_min / 60.0 * ((1.3_f64 / 1.05).powi(2) - heat);
    }
    assert_within(1.0e-5, heat, 1.0, "H by differences");
}

#[test]
fn follows_a_load_that_drops_back_in_time() {
    let relay = image(1.05, 60.0);
    let course = |until_min: f64| LoadSteps::new(vec![(0.0, 1.3), (until_min, 0.8)]).unwrap();
    assert!(relay.reached_min(1.0, 0.8, &course(34.8)).is_none(), "let through");
    let trip_min = relay.reached_min(1.0, 0.8, &course(34.9)).unwrap();
    assert_within(0.005, trip_min, 34.84, "tripped before the drop-back");
    // A second overload after ten minutes at 0.8 trips sooner than the first would have.
    let twice = vec![(0.0, 1.3), (30.0, 0.8), (40.0, 1.3)];
    let second_min = relay.reached_min(1.0, 0.8, &LoadSteps::new(twice).unwrap()).unwrap();
    assert!(second_min > 40.0 && second_min - 40.0 < 34.0, "{second_min}");
    assert!(relay.trip_min(0.8, relay.pickup_pu() * 0.999_999).is_none(), "never below pick-up");
}
