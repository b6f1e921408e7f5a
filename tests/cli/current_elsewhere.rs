//! The voltage by which loads become currents, in ratings and plans.

use crate::run::{AS_OF, Ran, T1, json, run, scratch, written};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

const FEW: [&str; 2] = ["--draws", "256"];

#[test]
fn ratings_name_the_voltage_or_that_it_is_not_known() {
    let rate = |more: &[&str]| {
        let own = ["rate", T1, "--for", "1h", "--ambient", "20", "--limits", "iec-normal-cyclic"];
        run(&[&own[..], &AS_OF, &FEW, more].concat())
    };
    let unknown = rate(&[]);
    assert!(unknown.stdout.contains("voltage not stated: taken as 1 pu"), "{}", unknown.stdout);
    let stated = rate(&["--voltage-pu", "0.95"]);
    assert!(stated.stdout.contains("currents at 0.950 pu voltage"), "{}", stated.stdout);
    let asked =
        |more: &[&str]| json(&rate(&[&["--format", "json"], more].concat()))["asked"].clone();
    let (unknown, stated) = (asked(&[]), asked(&["--voltage-pu", "0.95"]));
    assert!(unknown["voltage_pu"].is_null() && unknown["tap"].is_null());
    assert!(unknown["voltage_std_percent"].as_f64() > Some(1.7));
    assert_eq!(stated["voltage_pu"], 0.95);
    assert_eq!(stated["voltage_std_percent"], 0.0);
}

/// A plan of one unit that carries a town for six hours, with these rows of a series (MVA and more cells).
fn plan(folder: &Path, columns: &str, row: &str, plus: &str) -> PathBuf {
    let hours = |column: &str, cells: &str| {
        let hour = |at: u32| format!("2026-11-{:02}T{:02}:00:00Z,{cells}\n", 1 + at / 24, at % 24);
        format!("time,{column}\n{}", (0..=48).map(hour).collect::<String>())
    };
    fs::copy(T1, folder.join("t1.yaml")).unwrap();
    written(folder, "town.csv", hours(columns, row));
    written(folder, "ambient.csv", hours("ambient_c", "20"));
    let carries = format!("[ {{ unit: fellmoor-t1, series: town, share: 1{plus} }} ]");
    let text = format!(
        "plan: small\nseries: [ {{ name: town, file: town.csv }} ]\nambient: ambient.csv\nunits:\n  \
         - {{ unit: fellmoor-t1, profile: t1.yaml, normally: [ {{ series: town, share: 0.5 }} ] }}\n\
         outages:\n  - {{ name: one, out: [], carries: {carries}, earliest: 2026-11-01T06:00:00Z, \
         latest: 2026-11-01T18:00:00Z, duration: 6h }}\n"
    );
    written(folder, "plan.yaml", text).into()
}

fn planned(plan: &Path, more: &[&str]) -> Ran {
    let own = ["plan", T1, "--outages", plan.to_str().unwrap()];
    run(&[&own[..], &AS_OF, &FEW, more].concat())
}

fn answer(plan: &Path, more: &[&str]) -> Value {
    let ran = planned(plan, &[&["--format", "json"], more].concat());
    serde_json::from_str(&ran.stdout).unwrap()
}

fn least_margin(answer: &Value) -> f64 {
    let best = answer.pointer("/outages/0/as_planned/best/margin_low_k");
    best.and_then(Value::as_f64).unwrap()
}

#[test]
fn a_plan_takes_the_voltage_of_each_row_of_its_loads() {
    let folder = scratch("current-plan");
    let bare = plan(&folder, "load_mva", "38", "");
    let by_flag = answer(&bare, &["--voltage-pu", "0.95"]);
    let unknown = answer(&bare, &[]);
    let text = planned(&bare, &[]).stdout;
    assert!(text.contains("voltage not stated: taken as 1 pu"), "{text}");
    let rows = plan(&folder, "load_mva,voltage_pu", "38,0.95", "");
    let by_row = answer(&rows, &[]);
    let text = planned(&rows, &[]).stdout;
    assert!(text.contains("currents at 0.950 pu voltage"), "{text}");
    assert_eq!(by_row["asked"]["voltage_pu"], 0.95);
    assert_eq!(by_row["asked"]["voltage_std_percent"], 0.0);
    // The same quotient in another order of operations.
    assert!((least_margin(&by_row) - least_margin(&by_flag)).abs() < 1.0e-6);
    assert!(least_margin(&by_row) < least_margin(&unknown) - 1.0);
    let both = planned(&rows, &["--voltage-pu", "1"]);
    assert!(both.code == 2 && both.stderr.contains("one of the two"), "{}", both.stderr);
}

#[test]
fn a_constant_load_without_a_voltage_leaves_that_of_the_plan_in_doubt() {
    let folder = scratch("current-plan-constant");
    let answer = answer(&plan(&folder, "load_mva,voltage_pu", "30,0.97", ", plus_mva: 1"), &[]);
    assert!(answer["asked"]["voltage_std_percent"].as_f64() > Some(1.7));
    assert_eq!(answer["asked"]["voltage_pu"], 0.97);
}

#[test]
fn a_voltage_of_a_plan_that_is_none_is_refused_in_its_cell() {
    let folder = scratch("current-plan-refused");
    for cells in ["38,0.5", "38,", "38,NaN", "38,110"] {
        let ran = planned(&plan(&folder, "load_mva,voltage_pu", cells, ""), &[]);
        assert_eq!(ran.code, 2, "{cells}");
        assert!(ran.stderr.contains("column voltage_pu"), "{cells}: {}", ran.stderr);
    }
    let ran = planned(&plan(&folder, "load_mva,load_pu_TV", "38,0.5", ""), &[]);
    assert!(ran.code == 2 && ran.stderr.contains("voltage_pu"), "{}", ran.stderr);
}
