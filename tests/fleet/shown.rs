//! Which units are shown, in which order, and how.

use super::run::{run, written};
use super::scene::{ASKED, UNITS, demo, empty, json, some_units};
use serde_json::Value;
use std::fs;
use std::path::Path;

fn names(flags: &[&str]) -> Vec<String> {
    let answer = json(&demo(&[&["--format", "json"], flags].concat()));
    let rows = answer["units"].as_array().unwrap();
    rows.iter().map(|row| row["unit"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn units_are_ranked_the_worst_first() {
    let answer = json(&demo(&["--format", "json"]));
    let order = ["no-go", "cannot-decide", "refused", "failed", "go-with-cautions", "go"];
    let key = |row: &Value| {
        let standing = order.iter().position(|own| row["verdict"] == *own).unwrap();
        (standing, row["margin_low_k"].as_f64().unwrap_or(f64::NEG_INFINITY))
    };
    let keys: Vec<(usize, f64)> = answer["units"].as_array().unwrap().iter().map(key).collect();
    assert!(keys.is_sorted(), "{keys:?}");
    let ranks: Vec<u64> = answer["units"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| row["rank"].as_u64().unwrap())
        .collect();
    assert_eq!(ranks, (1..=8).collect::<Vec<u64>>());
}

#[test]
fn filters_choose_what_is_shown_and_change_nothing_else() {
    let all = names(&[]);
    let whole = json(&demo(&["--format", "json"]));
    let some = json(&demo(&["--format", "json", "--verdict", "no-go"]));
    assert_eq!(whole["counts"], some["counts"]);
    assert_eq!(whole["inputs_sha256"], some["inputs_sha256"]);
    let no_go: Vec<&Value> =
        whole["units"].as_array().unwrap().iter().filter(|row| row["verdict"] == "no-go").collect();
    assert_eq!(some["units"].as_array().unwrap().iter().collect::<Vec<_>>(), no_go);
    assert!(!no_go.is_empty() && no_go.len() < all.len());
    assert_eq!(names(&["--site", "harrowgill", "--site", "STANEBECK"]).len(), 4);
    assert_eq!(names(&["--size-class", "distribution"]).len(), 0);
    assert_eq!(names(&["--size-class", "medium,large"]), all);
    assert_eq!(names(&["--top", "3"]), all[..3]);
    assert_eq!(names(&["--governs", "unknown"]).len(), 2);
    assert_eq!(names(&["--governs", "input-moisture-missing"]), ["stanebeck-t2"]);
    // A margin that is not known may be below any.
    let below = names(&["--margin-below", "-500"]);
    assert!(below.contains(&"stanebeck-t2".to_owned()) && below.len() < all.len(), "{below:?}");
}

#[test]
fn exit_codes_say_the_worst() {
    let folder = empty("fleet-codes");
    let ask = |units: &[&str]| {
        let own = some_units(&empty("fleet-codes"), units);
        let flags = [
            "--load",
            "0.9",
            "--preload",
            "0.5",
            "--ambient",
            "10",
            "--for",
            "1h",
            "--draws",
            "256",
            "--as-of",
            "2026-10-20",
        ];
        run(&[&["fleet", own.as_str()], &flags[..]].concat()).code
    };
    drop(folder);
    assert_eq!(ask(&["harrowgill-t1"]), 0);
    assert_eq!(ask(&["harrowgill-t1", "stanebeck-t2"]), 4);
    assert_eq!(ask(&["harrowgill-t1", "stanebeck-t2", "thornmere-t1"]), 3);
}

#[test]
fn the_text_keeps_within_80_columns() {
    let ran = demo(&["--largest"]);
    for line in ran.stdout.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    for part in ["NO-GO", "CANNOT DECIDE", "harrowgill-t2", "Recent loads", "local rules decide"] {
        assert!(ran.stdout.contains(part) || part == "{part}");
    }
}

#[test]
fn the_page_stands_alone_and_escapes_what_it_is_given() {
    let folder = empty("fleet-page");
    let units = some_units(&folder, &["harrowgill-t1"]);
    let text = fs::read_to_string(format!("{UNITS}/harrowgill-t1.yaml")).unwrap();
    let text = text.replace(
        "site: Harrowgill 132/33 kV (invented)",
        "site: <script>alert(1)</script> & \"x\"",
    );
    written(Path::new(&units), "harrowgill-t1.yaml", text);
    let flags = [
        "--load",
        "1.2",
        "--preload",
        "0.5",
        "--ambient",
        "20",
        "--for",
        "2h",
        "--draws",
        "256",
        "--format",
        "html",
    ];
    let page = run(&[&["fleet", &units], &flags[..]].concat()).stdout;
    assert!(
        !page.contains("<script") && page.contains("&#60;script") || page.contains("&lt;script")
    );
    for outside in ["http:", "https:", "src=", "@import", "<link"] {
        assert!(!page.contains(outside), "{outside}");
    }
    assert!(page.contains("Margin by ambient") && page.starts_with("<!DOCTYPE html>"));
    // The shape and the word stand beside every colour.
    let cells = page.matches("<td class=\"").count();
    let words =
        page.matches("aria-label=\"GO").count() + page.matches("aria-label=\"NO-GO").count();
    assert!(cells > 8 && words == 9, "{cells} {words}");
}

#[test]
fn csv_has_a_row_for_each_unit_and_reads_back() {
    let ran = demo(&["--format", "csv", "--heat", "load"]);
    let mut reader =
        csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(ran.stdout.as_bytes());
    let header = reader.headers().unwrap().clone();
    assert_eq!(header.len(), 43 + 18);
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 8);
    assert!(!ran.stdout.contains("NaN") && !ran.stdout.contains("inf,"));
    let answer = json(&demo(&["--format", "json"]));
    let margin = header.iter().position(|name| name == "margin_low_k").unwrap();
    for (row, own) in rows.iter().zip(answer["units"].as_array().unwrap()) {
        assert_eq!(row[1], *own["unit"].as_str().unwrap());
        assert_eq!(row[margin].parse::<f64>().ok(), own["margin_low_k"].as_f64());
    }
    assert_eq!(ASKED.len(), 8);
}
