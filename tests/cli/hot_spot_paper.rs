//! Where the moisture counts: as wet as the bulk, or drier by what a load history has dried.

use crate::moisture::{findings, under};
use crate::run::{EVENING, Ran, T2, altered, check, json, scratch, written};
use serde_json::Value;
use std::sync::OnceLock;

const AFTERNOON: &str = "demo-data/history/afternoon.csv";

/// The evening with a load history instead of a preload.
fn after(history: &str, more: &[&str]) -> Ran {
    let evening = &EVENING[..4];
    let day = ["--as-of", "2026-10-20", "--format", "json", "--history", history];
    check(wet(), &[evening, &day, more].concat())
}

/// The dry unit with paper that is assessed at 3.3 %: wetter paper is beyond the isotherm where the oil is hot.
fn wet() -> &'static str {
    static UNIT: OnceLock<String> = OnceLock::new();
    let folder = || scratch("hot-spot-unit");
    UNIT.get_or_init(|| altered(&folder(), "percent: 1.0, std: 0.2", "percent: 3.0, std: 0.2"))
}

fn number(ran: &Ran, pointer: &str) -> Option<f64> {
    json(ran).pointer(pointer).and_then(Value::as_f64)
}

#[test]
fn the_bulk_counts_unless_a_credit_is_asked_for() {
    let ran = after(AFTERNOON, &[]);
    let (counts, there) = (
        number(&ran, "/bubbling/counting_moisture_percent").unwrap(),
        number(&ran, "/bubbling/hot_spot_moisture_percent").unwrap(),
    );
    assert!((counts - there).abs() < f64::EPSILON);
    assert!(number(&ran, "/bubbling/hot_spot_credit_k").is_none());
}

/// The credit lies between nothing and what full equilibrium would give, and it is a caution.
#[test]
fn a_history_earns_a_credit_of_stated_size() {
    let (bulk, credited) =
        (after(AFTERNOON, &[]), after(AFTERNOON, &["--hot-spot-moisture", "equilibrated"]));
    let margin = |ran: &Ran| number(ran, "/bubbling/margin_low_k").unwrap();
    let credit_k = number(&credited, "/bubbling/hot_spot_credit_k").unwrap();
    let counting = |ran: &Ran| number(ran, "/bubbling/margin_counting_k").unwrap();
    // The sum of two differences of the same four temperatures.
    assert!((counting(&credited) - counting(&bulk) - credit_k).abs() < 1.0e-9);
    assert!(margin(&credited) > margin(&bulk), "the draws take off about as much with it");
    assert!(
        credit_k > 0.0 && credit_k < 30.0,
        "3 % is worth some 30 K at full equilibrium: {credit_k}"
    );
    assert_eq!(findings(&credited, "moisture-hot-spot-credit")[0].0, "caution");
    let best = number(&credited, "/bubbling/margin_k").unwrap();
    assert!(margin(&credited) <= best + 1.0e-9, "never better than the best estimate");
}

#[test]
fn a_cold_unit_earns_no_credit_and_a_longer_hot_one_earns_more() {
    let folder = scratch("hot-spot-history");
    let history = |name: &str, load: &str, hours: i32| {
        let rows: Vec<String> =
            (0..=hours).rev().map(|hour| format!("{},{load},25\n", -60 * hour)).collect();
        written(&folder, name, format!("minute,load_pu,ambient_c\n{}", rows.concat()))
    };
    let credit_k = |history: &str| {
        let ran = after(history, &["--hot-spot-moisture", "equilibrated"]);
        number(&ran, "/bubbling/hot_spot_credit_k").unwrap()
    };
    let idle = credit_k(&history("idle.csv", "0.05", 24));
    let (short, long) =
        (credit_k(&history("short.csv", "0.7", 4)), credit_k(&history("long.csv", "0.7", 48)));
    assert!(idle.abs() < 1.0e-9, "{idle}");
    assert!(short < long, "{short} {long}");
}

#[test]
fn a_credit_that_cannot_be_computed_is_refused_and_said() {
    let folder = scratch("hot-spot-refused");
    let mode = ["--hot-spot-moisture", "equilibrated"];
    let without_history = check(T2, &[&EVENING[..], &mode, &["--format", "json"]].concat());
    let unit = altered(&folder, ", winding_paper_mm: 0.6", "");
    let flags = [&EVENING[..4], &["--history", AFTERNOON, "--format", "json"], &mode].concat();
    let without_thickness = check(&unit, &flags);
    for (ran, why) in [(without_history, "no load history"), (without_thickness, "winding paper")] {
        let refused = findings(&ran, "moisture-hot-spot-credit-refused");
        assert!(refused[0].1.contains(why), "{}", refused[0].1);
        assert!(number(&ran, "/bubbling/hot_spot_credit_k").is_none());
    }
}

/// Drying during the overload informs; a local rule can let it count, by name and reason only.
#[test]
fn drying_during_the_overload_raises_no_verdict_unless_a_local_rule_lets_it() {
    let folder = scratch("hot-spot-drying");
    let flags = ["--hot-spot-moisture", "over-time"];
    let (bulk, informed) = (after(AFTERNOON, &[]), after(AFTERNOON, &flags));
    for key in ["/bubbling/margin_low_k", "/bubbling/inception_c", "/largest_load_pu"] {
        assert_eq!(number(&bulk, key), number(&informed, key), "{key}");
    }
    assert_eq!(bulk.code, informed.code);
    let drying = number(&informed, "/bubbling/margin_with_drying_k").unwrap();
    assert!(drying > number(&informed, "/bubbling/margin_low_k").unwrap());
    let rules = written(
        &folder,
        "rules.yaml",
        "rules: test\nissued_by: nobody\nmoisture: { allow_drying_credit: true, decided: { by: A. Nother, why: trial } }\n",
    );
    let allowed = after(AFTERNOON, &[&flags[..], &["--rules", &rules]].concat());
    let counted = number(&allowed, "/bubbling/margin_low_k").unwrap();
    assert!(counted > number(&bulk, "/bubbling/margin_low_k").unwrap());
    assert!(counted <= drying + 1.0e-9, "not more than the smallest margin with drying");
    let nobody = under(&folder, T2, "{ allow_drying_credit: true }");
    assert_eq!(nobody.code, 2);
}

/// Water at the hot spot over time is in the trace, and only where it is followed.
#[test]
fn the_trace_tells_the_water_at_the_hot_spot() {
    let trace =
        |mode: &str| json(&after(AFTERNOON, &["--hot-spot-moisture", mode]))["trace"].clone();
    let waters = |trace: &Value| -> Vec<Option<f64>> {
        let rows = trace.as_array().unwrap().iter();
        rows.map(|row| row["hot_spot_moisture_percent"].as_f64()).collect()
    };
    assert!(waters(&trace("bulk")).iter().all(Option::is_none));
    let followed = waters(&trace("over-time"));
    assert!(
        followed.iter().all(|water| water.is_some_and(|percent| (0.5..=3.34).contains(&percent)))
    );
    assert!(followed[120] < followed[0], "two hours of overload have dried it");
}
