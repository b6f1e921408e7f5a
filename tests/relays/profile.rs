//! What the key `relays` accepts and refuses.

use crate::question::Question;
use crate::scene::RELAYS;
use bubblemargin::input::InputError;
use bubblemargin::relay::Function;
use bubblemargin::relay::inverse_time::{Curve, Purpose, Supervision, Timing};
use bubblemargin::unit::Unit;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::profile::UnitFile;
use bubblemargin::unit::validate::read_unit;

fn read(relays: &str) -> Result<Unit, InputError> {
    let profile = format!("{}{relays}", Question::easy().profile());
    read_unit("unit.yaml", &profile, &Catalogue::embedded())
}

/// The error for one relay, which must be located.
fn refused(relay: &str) -> InputError {
    let error = read(&format!("relays:\n  - {{ {relay} }}\n")).unwrap_err();
    let line = Question::easy().profile().lines().count() + 2;
    assert_eq!((error.place.as_str(), error.line), ("unit.yaml", Some(line)), "{error}");
    assert!(error.key.as_ref().is_some_and(|key| key.starts_with("relays")), "{error}");
    error
}

#[test]
fn none_stated_is_an_empty_list() {
    assert!(read("").unwrap().relays.is_empty());
    assert!(read("relays: []\n").unwrap().relays.is_empty());
}

#[test]
fn every_function_is_read() {
    let relays = read(RELAYS).unwrap().relays;
    assert_eq!(relays.len(), 6);
    let Function::ThermalImage(image) = &relays[0].function else { unreachable!("an image") };
    assert!(image.trip_percent > 99.9 && image.alarm_percent == Some(90.0));
    let Function::Overcurrent(backup) = &relays[1].function else { unreachable!("overcurrent") };
    assert_eq!(backup.timing, Timing::Inverse(Curve::StandardInverse, 0.4));
    assert_eq!(backup.purpose, Purpose::Fault);
    let Function::Overcurrent(overload) = &relays[2].function else { unreachable!("overcurrent") };
    assert_eq!(overload.timing, Timing::Definite(1800.0));
    assert_eq!(overload.supervised, Some(Supervision::HotSpot(140.0)));
}

#[test]
fn contradictions_are_refused_where_they_stand() {
    let image =
        "name: a, function: thermal-image, k: 1.05, base_current_pu: 1, time_constant_min: 60";
    let current = "name: a, function: overcurrent, purpose: fault, setting_pu: 2";
    let winding = "name: a, function: winding-temperature";
    let fan = "name: a, function: fan-start, indicator: oil";
    for (relay, found) in [
        (format!("{image}, alarm_percent: 100"), "alarm at 100 % and trip at 100 %"),
        (format!("{image}, alarm_percent: 90, trip_percent: 80"), "alarm at 90 %"),
        (format!("{image}, curve: very-inverse"), "curve for a (thermal-image)"),
        (format!("{current}, curve: very-inverse"), "no time_multiplier"),
        (format!("{current}, curve: definite-time"), "no delay_s"),
        (format!("{current}, time_multiplier: 1"), "no curve"),
        (format!("{current}, curve: definite-time, time_multiplier: 1"), "no delay_s"),
        (
            format!("{current}, curve: definite-time, delay_s: 1, time_multiplier: 1"),
            "a time multi",
        ),
        (
            format!("{current}, curve: very-inverse, delay_s: 1, time_multiplier: 1"),
            "a delay as well",
        ),
        (
            format!(
                "{current}, curve: definite-time, delay_s: 1, supervised_top_oil_c: 100, supervised_hot_spot_c: 140"
            ),
            "supervision by top oil as well",
        ),
        (winding.to_owned(), "no alarm_c"),
        (format!("{winding}, alarm_c: 130, trip_c: 125"), "alarm at 130 °C and trip at 125 °C"),
        (format!("{winding}, trip_c: 125, delay_s: 3"), "delay_s for a (winding-temperature)"),
        (
            "name: a, function: oil-temperature, trip_c: 95, exponent: 2".to_owned(),
            "exponent for a",
        ),
        (format!("{fan}, start_c: 60"), "no stop_c"),
        (format!("{fan}, start_c: 60, stop_c: 60"), "start at 60 °C and stop at 60 °C"),
        (format!("{fan}, start_c: 60, stop_c: 50, stage: ODAF"), "ODAF"),
        (format!("{fan}, start_c: 60, stop_c: 50, stage: ONAN"), "ONAN"),
    ] {
        let error = refused(&relay);
        assert!(error.found.contains(found), "{relay}\n{error}");
    }
}

#[test]
fn strange_values_are_refused() {
    let winding = "name: a, function: winding-temperature";
    for relay in [
        format!("{winding}, trip_c: .nan"),
        format!("{winding}, trip_c: .inf"),
        format!("{winding}, trip_c: 1e300"),
        format!("{winding}, trip_c: 125 C"),
        format!("{winding}, trip_c: -5"),
        format!("{winding}, trip_c: 125, tolerance_k: -1"),
        format!("{winding}, trip_c: 125, colour: red"),
        "name: a, function: guess".to_owned(),
        "function: fan-start".to_owned(),
        "name: a".to_owned(),
        "name: \"\", function: oil-temperature, trip_c: 95".to_owned(),
        "name: a, function: thermal-image, k: 0, base_current_pu: 1, time_constant_min: 60"
            .to_owned(),
    ] {
        refused(&relay);
    }
    let oil = "{ name: a, function: oil-temperature, trip_c: 95 }";
    let twice = read(&format!("relays:\n  - {oil}\n  - {oil}\n")).unwrap_err();
    assert!(twice.found.contains("two relays named a"));
    assert!(read("relays: none\n").is_err() && read("relays: { a: 1 }\n").is_err());
}

#[test]
fn the_schema_knows_the_keys() {
    let schema = serde_json::to_string(&schemars::schema_for!(UnitFile)).unwrap();
    for key in ["relays", "supervised_hot_spot_c", "thermal-image", "time_multiplier", "stop_c"] {
        assert!(schema.contains(&format!("\"{key}\"")), "{key}");
    }
}
