//! The command as its users run it.

use crate::run::{T2, json, run, scratch};
use std::fs;

const PLAN: &str = "demo-data/outages.yaml";
const ASKED: [&str; 7] = ["plan", T2, "--outages", PLAN, "--as-of", "2026-10-20", "--draws=0"];

#[test]
fn the_demo_says_when_each_outage_goes_in_eighty_columns() {
    let ran = run(&ASKED);
    // One of the four has no window.
    assert_eq!(ran.code, 3, "{}", ran.stderr);
    assert!(ran.stdout.contains("T1 tap-changer overhaul"), "{}", ran.stdout);
    assert!(ran.stdout.contains("evidence judged for 2026-10-20"), "{}", ran.stdout);
    // A time of a transfer that is left out would be a load that stays on the unit.
    assert!(ran.stdout.contains("MVA may stay"), "{}", ran.stdout);
    assert!(!ran.stdout.contains(" times more"), "{}", ran.stdout);
    for line in ran.stdout.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn the_json_has_every_start_and_no_rounding() {
    let ran = run(&[&ASKED[..], &["--format", "json"]].concat());
    let answer = json(&ran);
    for outage in answer["outages"].as_array().unwrap() {
        let each = outage["as_planned"]["each"].as_array().unwrap();
        assert_eq!(each.len() as u64, outage["starts"].as_u64().unwrap());
        let go = each.iter().filter(|hour| hour["governs"].is_null()).count();
        assert_eq!(go as u64, outage["as_planned"]["go_starts"].as_u64().unwrap());
    }
    assert!(answer["derating"].is_null() && answer["bought"].as_array().unwrap().is_empty());
}

#[test]
fn a_unit_that_is_not_in_the_plan_is_refused() {
    let folder = scratch("plan-other-unit");
    let other = fs::read_to_string("demo-data/units/fellmoor-t1.yaml").unwrap();
    let path = folder.join("other.yaml");
    fs::write(&path, other.replace("unit: fellmoor-t1", "unit: fellmoor-t9")).unwrap();
    let ran = run(&["plan", path.to_str().unwrap(), "--outages", PLAN]);
    assert_eq!(ran.code, 2);
    assert!(ran.stderr.contains("fellmoor-t9"), "{}", ran.stderr);
}

#[test]
fn without_moisture_no_outage_of_that_unit_is_decided_unless_it_is_too_hot_anyway() {
    let folder = scratch("plan-no-moisture");
    let dry = fs::read_to_string(T2).unwrap();
    let from = dry.find("moisture:").unwrap();
    let until = dry.find("insulation:").unwrap();
    let path = folder.join("unit.yaml");
    fs::write(&path, format!("{}{}", &dry[..from], &dry[until..])).unwrap();
    let asked = [&["plan", path.to_str().unwrap()], &ASKED[2..], &["--format", "json"]].concat();
    let ran = run(&asked);
    // The fourth outage is too hot for any paper.
    assert_eq!(ran.code, 3, "{}", ran.stderr);
    let answer = json(&ran);
    let outages = answer["outages"].as_array().unwrap();
    let best = |outage: &serde_json::Value, case: &str| {
        let case = &outage[case];
        assert!(case["go_starts"] == 0, "{case}");
        case["best"]["verdict"].as_str().unwrap().to_owned()
    };
    assert_eq!(best(&outages[0], "with_next_trip"), "cannot-decide");
    assert_eq!(best(&outages[2], "as_planned"), "cannot-decide");
    assert_eq!(best(&outages[3], "as_planned"), "no-go");
    assert!(outages[1]["as_planned"]["go_starts"].as_u64().unwrap() > 0, "the other unit carries");
}

#[test]
fn standing_orders_need_no_plan_and_a_plan_needs_its_outages() {
    let alone = run(&["plan", T2, "--show", "orders", "--as-of", "2026-10-20", "--draws=0"]);
    assert_eq!(alone.code, 0, "{}", alone.stderr);
    assert!(alone.stdout.starts_with("STANDING ORDERS for fellmoor-t2"), "{}", alone.stdout);
    let without = run(&["plan", T2]);
    assert_eq!(without.code, 2);
    assert!(without.stderr.contains("--outages"), "{}", without.stderr);
}

#[test]
fn all_of_it_fits_eighty_columns() {
    let ran = run(&[&ASKED[..], &["--show", "all"]].concat());
    for part in ["Derating against moisture", "What it would buy", "STANDING ORDERS"] {
        assert!(ran.stdout.contains(part), "{part}");
    }
    for line in ran.stdout.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}
