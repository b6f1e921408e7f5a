//! Loads become currents by their voltage and the tap in service.

use crate::run::{EVENING, T1, T2, altered, check, json, run, scratch, written};
use serde_json::Value;
use std::fs;

const DATED: [&str; 4] = ["--as-of", "2026-10-20", "--format", "json"];

/// Fewest draws: none of the tests depends on how many there are.
const FEW: [&str; 2] = ["--draws", "256"];

/// The answer to a load before, an overload for an hour at 20 °C, and more flags.
fn asked(unit: &str, load: f64, before: f64, more: &[&str]) -> Value {
    let (load, before) = (load.to_string(), before.to_string());
    let own = ["--load", &load, "--for", "1h", "--preload", &before, "--ambient", "20"];
    let ran = check(unit, &[&own[..], &DATED, &FEW, more].concat());
    assert!([0, 3, 4].contains(&ran.code), "{}", ran.stderr);
    json(&ran)
}

fn figure(answer: &Value, pointer: &str) -> f64 {
    answer.pointer(pointer).and_then(Value::as_f64).unwrap()
}

const HOT_SPOT: &str = "/peak/hot_spot_c";
const LOW: &str = "/bubbling/margin_low_k";
const LARGEST: &str = "/largest_load_pu";

/// The same quotients in another order of operations: digits of a double, and of the search for a peak.
const ROUNDING: f64 = 1.0e-9;

/// The same of what draws through the detailed model decide, K and pu: a digit moves the minute at which its parabolas are
/// renewed, which are off by up to some hundredths of a kelvin.
const RENEWED: f64 = 0.005;

#[test]
fn a_twentieth_less_voltage_is_a_twentieth_more_current() {
    let lower = asked(T1, 1.14, 0.665, &["--voltage-pu", "0.95"]);
    let same = asked(T1, 1.14 / 0.95, 0.665 / 0.95, &["--voltage-pu", "1"]);
    for pointer in [HOT_SPOT, LOW, "/asked/load", "/asked/preload_pu", "/largest_load_pu"] {
        let (one, other) = (figure(&lower, pointer), figure(&same, pointer));
        let within = if [LOW, LARGEST].contains(&pointer) {
            RENEWED
        } else {
            ROUNDING * other.abs().max(1.0)
        };
        assert!((one - other).abs() < within, "{pointer}: {one} {other}");
    }
    assert_eq!(lower["asked"]["voltage_pu"], 0.95);
    assert_eq!(lower["asked"]["voltage_std_percent"], 0.0);
}

#[test]
fn less_voltage_is_never_cooler() {
    let mut last = (f64::NEG_INFINITY, f64::INFINITY);
    for voltage in ["1.1", "1.05", "1.0", "0.97", "0.9", "0.8"] {
        let answer = asked(T1, 1.0, 0.6, &["--voltage-pu", voltage]);
        let (hot_spot, low) = (figure(&answer, HOT_SPOT), figure(&answer, LOW));
        assert!(hot_spot > last.0 && low < last.1, "{voltage}: {hot_spot} {low}");
        last = (hot_spot, low);
    }
}

#[test]
fn a_voltage_that_nobody_states_widens_the_margin() {
    for unit in [T1, T2] {
        let (unknown, stated) =
            (asked(unit, 1.1, 0.6, &[]), asked(unit, 1.1, 0.6, &["--voltage-pu", "1"]));
        assert_eq!(unknown.pointer(HOT_SPOT), stated.pointer(HOT_SPOT));
        let p05 = "/bubbling/margin_p05_k";
        let less = figure(&stated, p05) - figure(&unknown, p05);
        assert!(less > 0.02, "{less}");
        assert!(unknown["asked"]["voltage_pu"].is_null() && unknown["asked"]["tap"].is_null());
        assert!(figure(&unknown, "/asked/voltage_std_percent") > 1.7);
        // What the load itself may be off by is another figure.
        let error = "/asked/load_error_percent/at_end";
        assert_eq!(unknown.pointer(error), stated.pointer(error));
    }
    let text = check(T1, &EVENING).stdout;
    assert!(text.contains("voltage not stated: taken as 1 pu"), "{text}");
}

/// The answer to a schedule and a history of these tables.
fn tables(test: &str, schedule: &str, before: &str, more: &[&str]) -> (i32, String, String) {
    let folder = scratch(test);
    let schedule = written(&folder, "schedule.csv", schedule);
    let before = written(&folder, "before.csv", before);
    let own = ["--loading", &schedule, "--history", &before, "--ambient", "20"];
    let ran = check(T1, &[&own[..], &DATED, &FEW, more].concat());
    (ran.code, ran.stdout, ran.stderr)
}

#[test]
fn a_column_counts_row_by_row_and_a_current_needs_no_voltage() {
    let before = "minute,load_mva,voltage_pu\n-120,24,1\n-60,24,0.96\n";
    let answer = |test: &str, schedule: &str, before: &str| {
        let (_, out, error) = tables(test, schedule, before, &[]);
        serde_json::from_str::<Value>(&out).unwrap_or_else(|_| panic!("{error}"))
    };
    let by_voltage = answer(
        "current-by-voltage",
        "minute,load_mva,voltage_pu\n0,40,1\n60,40,0.8\n120,24,0.96\n",
        before,
    );
    let currents = answer(
        "current-itself",
        "minute,current_pu\n0,1\n60,1.25\n120,0.625\n",
        "minute,current_pu\n-120,0.6\n-60,0.625\n",
    );
    for pointer in [HOT_SPOT, LOW] {
        let (one, other) = (figure(&by_voltage, pointer), figure(&currents, pointer));
        assert!((one - other).abs() < ROUNDING * other.abs().max(1.0), "{pointer}: {one} {other}");
    }
    assert_eq!(by_voltage["asked"]["voltage_pu"], 0.8);
    assert!(currents["asked"]["voltage_pu"].is_null());
    assert_eq!(currents["asked"]["voltage_std_percent"], 0.0);
    // A history without a voltage leaves the preceding current in doubt.
    let half = answer(
        "current-half",
        "minute,current_pu\n0,1\n60,1.25\n120,0.625\n",
        "minute,load_pu\n-120,0.6\n-60,0.625\n",
    );
    assert!(figure(&half, "/asked/voltage_std_percent") > 1.7);
}

#[test]
fn voltages_that_are_none_are_refused_where_they_stand() {
    let before = "minute,load_pu,voltage_pu\n-60,0.6,1\n";
    for (schedule, before, more, said) in [
        (
            "minute,load_pu,voltage_pu\n0,1.2,0.79\n60,0.6,1\n",
            before,
            &[][..],
            "line 2, column voltage_pu",
        ),
        ("minute,load_pu,voltage_pu\n0,1.2,1\n60,0.6,1.11\n", before, &[], "from 0.8 to 1.1"),
        ("minute,load_pu,voltage_pu\n0,1.2,\n60,0.6,1\n", before, &[], "an empty cell"),
        ("minute,load_pu,voltage_pu\n0,1.2,NaN\n60,0.6,1\n", before, &[], "column voltage_pu"),
        ("minute,current_pu,voltage_pu\n0,1.2,1\n60,0.6,1\n", before, &[], "current_pu beside"),
        ("minute,current_pu,load_mva\n0,1.2,40\n60,0.6,20\n", before, &[], "current_pu beside"),
        ("minute,load_pu,voltage_pu\n0,4.5,0.8\n60,0.6,1\n", before, &[], "at most 5 pu"),
        (
            "minute,load_pu,voltage_pu\n0,1.2,1\n60,0.6,1\n",
            before,
            &["--voltage-pu", "1"],
            "one of the two",
        ),
        ("minute,load_pu,tap\n0,1.2,3\n60,0.6,3\n", before, &[], "taps:"),
        ("minute,load_pu\n0,1.2\n60,0.6\n", before, &["--tap-in-service", "3"], "taps:"),
        ("minute,load_pu\n0,1.2\n60,0.6\n", before, &["--voltage-pu", "110"], "from 0.8 to 1.1"),
        ("minute,load_pu\n0,1.2\n60,0.6\n", before, &["--voltage-pu", "NaN"], "from 0.8 to 1.1"),
    ] {
        let (code, _, error) = tables("current-refused", schedule, before, more);
        assert_eq!(code, 2, "{schedule} {more:?}");
        assert!(error.contains(said), "{said}: {error}");
    }
}

#[test]
fn a_history_of_any_length_takes_the_voltage_too() {
    let folder = scratch("current-history");
    let hottest = |name: &str, table: &str, more: &[&str]| {
        let table = written(&folder, name, table);
        let own = ["history", T1, "--history", &table, "--ambient", "20"];
        let ran = run(&[&own[..], &DATED, more].concat());
        (ran.code, serde_json::from_str::<Value>(&ran.stdout).ok(), ran.stderr)
    };
    let value = |found: (i32, Option<Value>, String)| {
        figure(&found.1.unwrap_or_else(|| panic!("{}", found.2)), "/hot_spot/value")
    };
    let plain = "minute,load_pu\n0,0.8\n60,1\n120,0.8\n180,0.8\n";
    let column =
        "minute,load_pu,voltage_pu\n0,0.76,0.95\n60,0.95,0.95\n120,0.76,0.95\n180,0.76,0.95\n";
    let flag = "minute,load_pu\n0,0.76\n60,0.95\n120,0.76\n180,0.76\n";
    let as_stated = value(hottest("plain.csv", plain, &[]));
    for found in
        [hottest("column.csv", column, &[]), hottest("flag.csv", flag, &["--voltage-pu", "0.95"])]
    {
        assert!((value(found) - as_stated).abs() < 1.0e-6);
    }
    let (code, _, error) = hottest("both.csv", column, &["--voltage-pu", "0.95"]);
    assert!(code == 2 && error.contains("one of the two"), "{error}");
}

#[test]
fn a_tap_with_fewer_turns_is_hotter_and_an_unknown_one_is_the_worst() {
    let folder = scratch("current-taps");
    let taps = "unit: fellmoor-t1\ntaps: { from: 1, to: 19, rated: 10, step_percent: 1.25 }";
    let unit = altered(&folder, "unit: fellmoor-t1", taps);
    let of = |more: &[&str]| asked(&unit, 1.0, 0.6, &[&["--voltage-pu", "1"], more].concat());
    let hot = |tap: &str| figure(&of(&["--tap-in-service", tap]), HOT_SPOT);
    let without = figure(&asked(T1, 1.0, 0.6, &["--voltage-pu", "1"]), HOT_SPOT);
    assert!((hot("10") - without).abs() < ROUNDING * without);
    assert!((hot("19") - without).abs() < ROUNDING * without);
    assert!(hot("1") > hot("5") && hot("5") > without + 1.0);
    let unknown = of(&[]);
    assert!((figure(&unknown, HOT_SPOT) - hot("1")).abs() < ROUNDING * without);
    assert!(unknown["asked"]["tap"].is_null());
    assert_eq!(of(&["--tap-in-service", "5"])["asked"]["tap"], 5);
    let beyond = check(
        &unit,
        &[
            "--load",
            "1",
            "--for",
            "1h",
            "--preload",
            "0.6",
            "--ambient",
            "20",
            "--tap-in-service",
            "20",
        ],
    );
    assert!(beyond.code == 2 && beyond.stderr.contains("1 to 19"), "{}", beyond.stderr);
    for (keys, said) in [
        ("{ from: 1, to: 19, rated: 20, step_percent: 1.25 }", "taps.rated"),
        ("{ from: 19, to: 1, rated: 10, step_percent: 1.25 }", "taps.to"),
        ("{ from: 1, to: 19, rated: 9.5, step_percent: 1.25 }", "a whole number"),
        ("{ from: 1, to: 19, rated: 10, step_percent: 10 }", "turns on tap"),
        ("{ from: 1, to: 19, step_percent: 1.25 }", "rated"),
    ] {
        let text = format!("unit: fellmoor-t1\ntaps: {keys}");
        let unit = altered(&folder, "unit: fellmoor-t1", &text);
        let ran = run(&["validate", &unit]);
        assert!(ran.code == 2 && ran.stderr.contains(said), "{keys}: {}", ran.stderr);
    }
}

#[test]
fn the_voltage_belongs_to_the_question_that_is_recorded_and_asked_again() {
    let folder = scratch("current-record");
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    let store = folder.join("record.db");
    let store = store.to_str().unwrap();
    let own = ["check", T1, "--load", "1.05", "--for", "1h", "--preload", "0.6", "--ambient", "20"];
    let more = ["--voltage-pu", "0.96", "--as-of", "2026-10-20", "--record", store, FEW[0], FEW[1]];
    let ran = run(&[&own[..], &more].concat());
    assert!(ran.code != 2, "{}", ran.stderr);
    let shown = run(&["record", "show", store, "1"]).stdout;
    assert!(shown.contains("--voltage-pu 0.96"), "{shown}");
    let again = run(&["record", "recheck", store]);
    assert_eq!(again.code, 0, "{}{}", again.stdout, again.stderr);
    let hash = |more: &[&str]| asked(T1, 1.05, 0.6, more)["inputs_sha256"].clone();
    assert_ne!(hash(&[]), hash(&["--voltage-pu", "1"]));
    fs::remove_dir_all(&folder).unwrap();
}
