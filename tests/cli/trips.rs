//! The stated trips against the temperature at which the paper may bubble: 158 °C of the dry unit.

use super::run::{Ran, T1, T2, check, json, scratch, written};
use serde_json::Value;
use std::fs;

const ASKED: [&str; 9] =
    ["--load", "0.9", "--for", "1h", "--preload", "0.6", "--ambient", "20", "--format=json"];

const WINDING: &str = "  - { name: winding indicator, function: winding-temperature, alarm_c: 110, trip_c: 125, gradient_k: 24 }\n";
const OIL: &str =
    "  - { name: oil thermometer, function: oil-temperature, alarm_c: 90, trip_c: 105 }\n";

/// The dry unit with other relays in place of its indicators.
fn with(test: &str, relays: &str) -> Ran {
    let whole = fs::read_to_string(T1).unwrap();
    assert!(whole.contains(WINDING) && whole.contains(OIL));
    let text = whole.replace(WINDING, "").replace(OIL, relays);
    check(&written(&scratch(test), "unit.yaml", text), &ASKED)
}

fn finding(ran: &Ran) -> Value {
    let answer = json(ran);
    let all = answer["findings"].as_array().unwrap();
    let own: Vec<&Value> =
        all.iter().filter(|finding| finding["code"] == "relay-trip-above-bubbling").collect();
    assert_eq!(own.len(), 1, "said once");
    own[0].clone()
}

#[test]
fn a_trip_above_the_temperature_of_bubbling_is_named_with_both_temperatures() {
    let relay = WINDING.replace("trip_c: 125", "trip_c: 165");
    let ran = with("trip-high", &relay);
    assert_eq!(json(&ran)["verdict"], "go-with-cautions");
    let found = finding(&ran);
    assert_eq!(found["severity"], "caution");
    let text = found["text"].as_str().unwrap();
    let bubbles_c = found["measured"]["value"].as_f64().unwrap();
    assert!(bubbles_c > 140.0 && bubbles_c < 165.0, "{bubbles_c}");
    let named =
        format!("({:.0} °C) before the winding indicator trips (165 °C)", bubbles_c.floor());
    assert!(text.contains(&named), "{text}");
    assert_eq!(found["limit"]["value"], 165.0);
    // One trip that acts in time does not make up for one that does not.
    let both = format!("{WINDING}{}", relay.replace("winding indicator", "second indicator"));
    assert!(
        finding(&with("trip-two", &both))["text"].as_str().unwrap().contains("second indicator")
    );
}

#[test]
fn a_trip_below_it_is_kept_and_named() {
    let found = finding(&with("trip-low", &format!("{WINDING}{OIL}")));
    assert_eq!(found["severity"], "pass");
    assert_eq!(found["limit"]["value"], 125.0);
    let text = found["text"].as_str().unwrap();
    assert!(text.contains("the winding indicator trips (125 °C)"), "{text}");
    assert!(!text.contains("oil thermometer"), "an oil trip tells nothing of the hot spot: {text}");
    // Of the wet unit the same trip stands above.
    let wet = finding(&check(T2, &ASKED));
    assert_eq!(wet["severity"], "caution");
    assert!(wet["text"].as_str().unwrap().contains("before the winding indicator trips (125 °C)"));
}

#[test]
fn what_an_indicator_may_read_low_is_counted() {
    let at = |keys: &str| WINDING.replace("trip_c: 125, gradient_k: 24", keys);
    let severity = |test: &str, keys: &str| finding(&with(test, &at(keys)))["severity"].clone();
    let bubbles_c = finding(&with("trip-where", WINDING))["measured"]["value"].as_f64().unwrap();
    // 3 K of tolerance where none is stated; 2 K below is within it and 4 K below is not.
    let below = |k: f64, rest: &str| format!("trip_c: {:.1}{rest}", bubbles_c - k);
    assert_eq!(severity("trip-off-2", &below(2.0, ", gradient_k: 24")), "caution");
    assert_eq!(severity("trip-off-4", &below(4.0, ", gradient_k: 24")), "pass");
    assert_eq!(severity("trip-off-1", &below(2.0, ", gradient_k: 24, tolerance_k: 1")), "pass");
    // A heater that is set to 19 K lacks 5 K of the hot spot's 24; one that is not stated may lack as much.
    assert_eq!(severity("trip-gr", &below(7.0, ", gradient_k: 19")), "caution");
    assert_eq!(severity("trip-no-gr", &below(7.0, "")), "caution");
    assert_eq!(severity("trip-far", &below(10.0, "")), "pass");
    let said = finding(&with("trip-said", &at(&below(2.0, ", gradient_k: 24"))));
    assert!(said["text"].as_str().unwrap().contains("it may read 3 K low"), "{said}");
}

#[test]
fn without_a_trip_by_winding_temperature_that_is_a_note() {
    for (test, relays) in [
        ("trip-none", ""),
        ("trip-oil-only", OIL),
        ("trip-alarm-only", "  - { name: w, function: winding-temperature, alarm_c: 110 }\n"),
    ] {
        let ran = with(test, relays);
        let found = finding(&ran);
        assert_eq!((&found["severity"], ran.code), (&Value::from("notice"), 0), "{test}");
        let text = found["text"].as_str().unwrap();
        assert!(text.contains("No trip by winding temperature is stated"), "{text}");
        assert_eq!(json(&ran)["verdict"], "go", "{test}: no headline");
    }
    // Of the wet unit too, though its paper bubbles below 140 °C.
    let wet = fs::read_to_string(T2).unwrap();
    let (from, until) = (wet.find("relays:").unwrap(), wet.find("windings:").unwrap());
    let wet = format!("{}{}", &wet[..from], &wet[until..]);
    let folder = scratch("trip-wet-none");
    fs::copy("demo-data/units/fellmoor-t2-probe.csv", folder.join("fellmoor-t2-probe.csv"))
        .unwrap();
    assert_eq!(finding(&check(&written(&folder, "unit.yaml", wet), &ASKED))["severity"], "notice");
}

#[test]
fn other_trips_by_temperature_can_be_too_high_and_never_low_enough() {
    let released = |c: u32| {
        format!(
            "  - {{ name: overload, function: overcurrent, purpose: overload, curve: definite-time, setting_pu: 1.2, delay_s: 60, supervised_hot_spot_c: {c} }}\n"
        )
    };
    for (test, relays, severity) in [
        ("trip-oil-high", OIL.replace("trip_c: 105", "trip_c: 170"), "caution"),
        ("trip-released-high", released(165), "caution"),
        ("trip-released-low", released(120), "notice"),
        ("trip-both", format!("{WINDING}{}", released(165)), "caution"),
    ] {
        assert_eq!(finding(&with(test, &relays))["severity"], severity, "{test}");
    }
}

/// For the verdict the paper may bubble from as far below the inception as the draws take off the margin.
#[test]
fn what_is_uncertain_of_the_margin_is_taken_off_before_a_trip_is_kept() {
    let folder = scratch("trip-uncertain");
    let series = "fellmoor-t2-probe.csv";
    fs::copy(format!("demo-data/units/{series}"), folder.join(series)).unwrap();
    let whole = fs::read_to_string(T2).unwrap().replace("trip_c: 105", "trip_c: 100");
    let flags = ["--load", "0.75", "--for", "1h", "--preload", "0.7", "--ambient", "30"];
    let of = |trip_c: &str, draws: &str| {
        let own = format!("alarm_c: 90, trip_c: {trip_c}");
        let text = whole.replace("alarm_c: 110, trip_c: 125", &own);
        assert_ne!(text, whole);
        let unit = written(&folder, "unit.yaml", text);
        finding(&check(&unit, &[&flags[..], &["--format=json", "--draws", draws]].concat()))
    };
    let (kept, above) = (of("100", "1024"), of("110", "1024"));
    assert_eq!((&kept["severity"], &above["severity"]), (&"pass".into(), &"caution".into()));
    let at = |found: &Value| found["measured"]["value"].as_f64().unwrap();
    assert!(at(&above) < at(&of("110", "0")) - 1.0, "some kelvin are uncertain");
}
