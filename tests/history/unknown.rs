//! What cannot be known of a history is said, and the rest is shown.

use super::run::{T2, altered, json, scratch, written};
use super::{csv, cycles, history};
use std::fs;

#[test]
fn what_is_not_known_is_exit_code_four_and_the_rest_is_shown() {
    let folder = scratch("history-unknown");
    let rows = csv(&cycles(0, 1440, 15));
    let file = written(&folder, "history.csv", &rows);
    let bare = written(&folder, "bare.csv", "minute,load_pu\n0,0.7\n60,0.9\n");
    let ran = history(T2, &bare, &["--format", "json"]);
    let answer = json(&ran);
    assert_eq!(ran.code, 4, "no ambient");
    assert!(answer["hot_spot"].is_null() && answer["greatest_load"]["value"] == 0.9);
    assert_eq!(history(T2, &bare, &[]).code, 4);
    // Without moisture evidence temperatures are known and the margin is not.
    let whole = fs::read_to_string(T2).unwrap();
    let evidence = |line: &&str| !line.starts_with("moisture:") && !line.contains("method:");
    let kept: Vec<&str> = whole.lines().filter(evidence).collect();
    let dry = written(&folder, "unit.yaml", kept.join("\n"));
    let ran = history(&dry, &file, &["--format", "json"]);
    let answer = json(&ran);
    assert_eq!(ran.code, 4, "{}", ran.stdout);
    assert!(answer["hot_spot"]["value"].is_number() && answer["bubbling"]["margin_k"].is_null());
    assert!(answer["bubbling"]["hours_below_zero"].is_null(), "unknown is not zero");
    // Wetter than the correlations: below the edge, and no figure for the margin.
    let wet = written(
        &folder,
        "wet.yaml",
        fs::read_to_string(T2)
            .unwrap()
            .replace("percent: 3.3, std: 0.4", "percent: 7.5, std: 0.4")
            .replace("series: fellmoor-t2-probe.csv", "rs_percent: 20, oil_c: 50"),
    );
    let ran = history(&wet, &file, &[]);
    assert_eq!(ran.code, 4);
    assert!(ran.stdout.starts_with("margin below "), "{}", ran.stdout);
    // A load beyond the model.
    let heavy = written(
        &folder,
        "heavy.csv",
        "minute,load_pu,ambient_c\n0,0.5,20\n60,4.5,20\n61,0.5,20\n62,0.5,20\n",
    );
    let ran = history(T2, &heavy, &[]);
    assert!(ran.code == 4 && ran.stdout.contains("thermal-load-outside-model"), "{}", ran.stdout);
}

/// Before the paper was dried or the oil degassed there was more water or gas than counts today.
#[test]
fn a_history_from_before_a_treatment_has_no_answer() {
    let folder = scratch("history-treated");
    let unit = altered(&folder, "paper: kraft", "paper: kraft\ndried: 2025-06-01");
    let from = |day: &str| {
        let rows =
            format!("time,load_pu,ambient_c\n{day}T00:00:00Z,0.6,20\n{day}T02:00:00Z,0.6,20\n");
        written(&folder, "history.csv", rows)
    };
    let ran = history(&unit, &from("2025-05-30"), &[]);
    assert!(ran.code == 4 && ran.stdout.contains("history-before-treatment"), "{}", ran.stdout);
    assert!(ran.stdout.starts_with("margin not known, "), "{}", ran.stdout);
    assert!(!history(&unit, &from("2025-06-02"), &[]).stdout.contains("history-before-treatment"));
    let minutes =
        written(&folder, "minutes.csv", "minute,load_pu,ambient_c\n0,0.6,20\n60,0.6,20\n");
    assert_eq!(history(&unit, &minutes, &[]).code, 4, "nobody knows when it was");
    let start = ["--start", "2025-06-02T00:00:00Z"];
    assert!(!history(&unit, &minutes, &start).stdout.contains("history-before-treatment"));
}
