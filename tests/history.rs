//! Long histories: what the command answers and refuses, that pieces make no difference, and that
//! a year stays in bounded memory.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "history/memory.rs"]
mod memory;
#[path = "history/pieces.rs"]
mod pieces;
#[path = "history/refused.rs"]
mod refused;
#[path = "cli/run.rs"]
#[allow(dead_code, reason = "what other tests of the command line use as well")]
mod run;
#[path = "history/unknown.rs"]
mod unknown;

use run::{AS_OF, Ran, T1, T2, altered, check, json, run, scratch, written};
use std::fmt::Write;
use std::fs;

/// Runs `history` for the day of the demo.
fn history(unit: &str, file: &str, flags: &[&str]) -> Ran {
    run(&[&["history", unit, "--history", file], flags, &AS_OF].concat())
}

/// Daily cycles of load and ambient at `step_min`, from minute `from` to `until`, the last day the
/// hottest one.
fn cycles(from: i32, until: i32, step_min: i32) -> Vec<(i32, f64, f64)> {
    let row = |index: i32| {
        let minute = from + index * step_min;
        let angle = f64::from(minute) * std::f64::consts::TAU / 1440.0;
        let last_day = if until - minute < 1440 { 0.35 } else { 0.0 };
        (minute, 0.6 + last_day + 0.2 * angle.sin(), 18.0 + 6.0 * (angle - 0.5).sin())
    };
    (0..=(until - from) / step_min).map(row).collect()
}

fn csv(rows: &[(i32, f64, f64)]) -> String {
    let mut text = "minute,load_pu,ambient_c\n".to_owned();
    for (minute, load_pu, ambient_c) in rows {
        writeln!(text, "{minute},{load_pu},{ambient_c}").unwrap();
    }
    text
}

/// The numeric columns of a trajectory.
fn trajectory(path: &str) -> Vec<Vec<f64>> {
    let text = fs::read_to_string(path).unwrap();
    let rows = text.lines().skip(1);
    rows.map(|row| row.split(',').map(|cell| cell.parse().unwrap()).collect()).collect()
}

#[test]
fn the_answer_says_when_it_was_hottest_and_how_near_to_bubbling() {
    let folder = scratch("history-answer");
    let file = written(&folder, "history.csv", csv(&cycles(0, 4 * 1440, 10)));
    let ran = history(T2, &file, &[]);
    assert_eq!((ran.code, ran.stderr.as_str()), (0, ""), "no bar where nobody watches");
    assert!(ran.stdout.starts_with("smallest margin "), "{}", ran.stdout);
    for word in
        ["hottest", "greatest load", "governs", "paper life used", "day 4", "authorises nothing"]
    {
        assert!(ran.stdout.contains(word), "{word}: {}", ran.stdout);
    }
    for verdict in ["GO", "NO-GO", "CANNOT DECIDE"] {
        assert!(!ran.stdout.contains(verdict), "{verdict} is for proposals");
    }
    assert!(ran.stdout.lines().all(|line| line.chars().count() <= 80), "{}", ran.stdout);
    let answer = json(&history(T2, &file, &["--format", "json"]));
    let number = |pointer: &str| answer.pointer(pointer).unwrap().as_f64().unwrap();
    // Differences of doubles around 100.
    let margin_k = number("/bubbling/inception_c") - number("/hot_spot/value");
    assert!((number("/bubbling/margin_k") - margin_k).abs() < 1.0e-9);
    assert!(number("/hot_spot/at/min") > 3.0 * 1440.0, "the last day is the hottest");
    assert!((number("/span/known_hours") - 96.0).abs() < 1.0e-9);
    assert_eq!(answer["parts"].as_array().unwrap().len(), 4, "the last row is no day");
}

/// In one stage: where fans cycle `check` takes the hottest of the cycle at minute 0.
#[test]
fn the_last_day_is_what_check_computes_after_the_same_history() {
    let folder = scratch("history-check");
    let rows = cycles(-5 * 1440, 1440, 5);
    let whole = written(&folder, "whole.csv", csv(&rows));
    let out = folder.join("trajectory.csv").to_str().unwrap().to_owned();
    let stage = ["--cooling", "ONAN"];
    let flags = ["--trajectory", &out, "--format", "json"];
    let answer = json(&history(T2, &whole, &[&flags[..], &stage].concat()));
    let (before, after): (Vec<_>, Vec<_>) = rows.into_iter().partition(|row| row.0 < 0);
    let history_file = written(&folder, "before.csv", csv(&before));
    let mut loading = "minute,load_pu\n".to_owned();
    let mut ambient = "minute,ambient_c\n-5,17.0\n".to_owned();
    for (minute, load_pu, ambient_c) in &after {
        writeln!(loading, "{minute},{load_pu}").unwrap();
        writeln!(ambient, "{minute},{ambient_c}").unwrap();
    }
    let loading = written(&folder, "loading.csv", loading);
    let ambient = written(&folder, "ambient.csv", ambient);
    let asked = [
        "--loading",
        &loading,
        "--ambient-file",
        &ambient,
        "--history",
        &history_file,
        "--format",
        "json",
        "--draws",
        "0",
    ];
    let checked = json(&check(T2, &[&asked[..], &stage].concat()));
    let written_c = trajectory(&out);
    let mut compared = 0;
    for point in checked["trace"].as_array().unwrap() {
        let minute = point["min"].as_f64().unwrap();
        let row = written_c.iter().find(|row| (row[0] - minute).abs() < 1.0e-6);
        let Some(row) = row.filter(|_| minute < 1440.0) else { continue };
        compared += 1;
        for (column, key) in [(3, "top_oil_c"), (4, "hot_spot_c")] {
            // Three decimals are written; five days leave nothing of another beginning. The detailed model's steps
            // follow the rows of the one and the minutes of the other: each is off by no more than 0.05 K.
            let apart = (row[column] - point[key].as_f64().unwrap()).abs();
            assert!(apart < 0.02, "{key} at {minute} min: {apart} K");
        }
    }
    assert!(compared >= 1440, "{compared} minutes compared");
    // A history draws nothing: its margin is that with the moisture that counts.
    let both = [&checked["bubbling"]["margin_counting_k"], &answer["bubbling"]["margin_k"]]
        .map(serde_json::Value::as_f64);
    // As the hot spots above.
    assert!((both[0].unwrap() - both[1].unwrap()).abs() < 0.02, "{both:?}");
    assert_eq!(answer["bubbling"]["required_margin_k"], checked["asked"]["required_margin_k"]);
}

/// The rule that widens the margin stands in two places; this holds them together.
#[test]
fn typical_data_widen_the_required_margin_as_in_check() {
    let folder = scratch("history-typical");
    let whole = fs::read_to_string(T1).unwrap();
    let heat_run = whole.lines().find(|line| line.trim().starts_with("heat_run:")).unwrap();
    let unit = altered(&folder, heat_run, "");
    let file = written(&folder, "history.csv", csv(&cycles(0, 1440, 30)));
    let answer = json(&history(&unit, &file, &["--format", "json"]));
    let flags =
        ["--load", "1.1", "--for", "1h", "--preload", "0.6", "--ambient", "20", "--format", "json"];
    let checked = json(&check(&unit, &flags));
    assert_eq!(answer["bubbling"]["required_margin_k"], checked["asked"]["required_margin_k"]);
    assert_eq!(answer["bubbling"]["required_margin_k"], 15.0);
}

#[test]
fn thinning_keeps_every_peak() {
    let folder = scratch("history-thinned");
    let file = written(&folder, "history.csv", csv(&cycles(-1440, 1440, 7)));
    let out = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let (all, thin) = (out("all.csv"), out("thin.csv"));
    assert_eq!(history(T2, &file, &["--trajectory", &all]).code, 0);
    assert_eq!(history(T2, &file, &["--trajectory", &thin, "--every", "45min"]).code, 0);
    let (all, thin) = (trajectory(&all), trajectory(&thin));
    let span = |row: &[f64]| (row[0] / 45.0).floor();
    assert!(all.len() > 40 * thin.len() && thin.len() == 64, "{} and {}", all.len(), thin.len());
    for row in &thin {
        let of_span = all.iter().filter(|other| (span(other) - span(row)).abs() < 0.5);
        let hottest = of_span.map(|other| other[4]).fold(f64::MIN, f64::max);
        // Both are the same three decimals.
        assert!((row[4] - hottest).abs() < 1.0e-9, "minute {}", row[0]);
    }
}

#[test]
fn a_gap_is_unknown_and_what_follows_begins_hot() {
    let folder = scratch("history-gap");
    // Hot, then a gap, then a low load that would be cool after the gap.
    let rows =
        "minute,load_pu,ambient_c\n0,1.1,30\n120,1.1,30\n240,1.1,30\n1000,0.3,10\n1060,0.3,10\n";
    let file = written(&folder, "history.csv", rows);
    let out = folder.join("trajectory.csv").to_str().unwrap().to_owned();
    let ran = history(T2, &file, &["--format", "json", "--trajectory", &out]);
    let answer = json(&ran);
    let number = |pointer: &str| answer.pointer(pointer).unwrap().as_f64().unwrap();
    assert_eq!(answer["span"]["gaps"]["count"], 1);
    assert!((number("/span/gaps/hours") - 760.0 / 60.0).abs() < 1.0e-9);
    assert!((number("/span/gaps/longest/after/min") - 240.0).abs() < 1.0e-9);
    assert!((number("/span/known_hours") - 5.0).abs() < 1.0e-9);
    let counted =
        ["iec", "ieee", "detailed"].map(|model| number(&format!("/governing/{model}_hours")));
    let counted: f64 = counted.iter().sum();
    assert!((counted - 5.0).abs() < 1.0e-9, "nothing is counted inside the gap");
    let rows = trajectory(&out);
    let at = |minute: f64| rows.iter().find(|row| (row[0] - minute).abs() < 1.0e-6).unwrap();
    assert!(!rows.iter().any(|row| row[0] > 240.0 && row[0] < 1000.0));
    // All keep the oil of before, though one reckons in rises. Top oil of the detailed model jumps by what top and bottom
    // differ by in the stage that starts at once.
    assert!(at(1000.0)[3] >= at(240.0)[3] - 0.1, "{:?} {:?}", at(240.0), at(1000.0));
    assert!(at(1000.0)[4] >= at(240.0)[4] - 1.0e-3, "and of the winding");
    assert!(at(1000.0)[4] <= at(240.0)[4] + 2.0, "but no winding that was never so hot");
    let codes = answer["findings"].to_string();
    assert!(codes.contains("history-gaps"), "{codes}");
    // The other way round the hottest settled state of the new load counts.
    let rows = "minute,load_pu,ambient_c\n0,0.1,5\n60,0.1,5\n1000,1.1,30\n1060,1.1,30\n";
    let cold = written(&folder, "cold.csv", rows);
    let answer = json(&history(T2, &cold, &["--format", "json"]));
    let alone =
        written(&folder, "alone.csv", "minute,load_pu,ambient_c\n1000,1.1,30\n1060,1.1,30\n");
    let alone = json(&history(T2, &alone, &["--format", "json"]));
    let hot = |answer: &serde_json::Value| answer["hot_spot"]["value"].as_f64().unwrap();
    assert!(hot(&answer) >= hot(&alone) - 1.0e-9);
}

#[test]
fn what_may_have_bubbled_is_said_plainly_and_is_no_verdict() {
    let folder = scratch("history-bubbled");
    let file =
        written(&folder, "history.csv", "minute,load_pu\n0,0.7\n600,1.4\n750,0.7\n900,0.7\n");
    let ran = history(T2, &file, &["--ambient", "30"]);
    assert_eq!(ran.code, 0, "computed");
    assert!(ran.stdout.starts_with("smallest margin -"), "{}", ran.stdout);
    let words = ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains("the paper may have bubbled") && words.contains("specialists"),
        "{words}"
    );
    assert!(words.contains("thermal-history-ambient"), "one ambient for all of it is a caution");
    let hours = json(&history(T2, &file, &["--ambient", "30", "--format", "json"]));
    let below = |key: &str| hours["bubbling"][key].as_f64().unwrap();
    assert!(below("hours_below_zero") > 0.0);
    assert!(below("hours_below_required") > below("hours_below_zero"));
}

#[test]
fn months_have_the_names_of_the_calendar_and_the_clock_of_the_file() {
    let folder = scratch("history-months");
    let file = written(&folder, "history.csv", csv(&cycles(0, 70 * 1440, 60)));
    let start = ["--start", "2025-01-20T00:00:00+01:00", "--format", "json"];
    let answer = json(&history(T2, &file, &start));
    let names: Vec<&str> = answer["parts"]
        .as_array()
        .unwrap()
        .iter()
        .map(|part| part["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["2025-01", "2025-02", "2025-03"]);
    let sum = |key: &str| -> f64 {
        answer["parts"].as_array().unwrap().iter().map(|part| part[key].as_f64().unwrap()).sum()
    };
    // Sums in another order.
    assert!((sum("hours") - 70.0 * 24.0).abs() < 1.0e-6);
    let used = answer["paper"]["hours"].as_f64().unwrap();
    assert!((sum("life_hours") / used - 1.0).abs() < 1.0e-9);
    assert!(answer["span"]["from"]["time"] == "2025-01-20T00:00:00+01:00");
}
