//! The answer about a unit is that of `check` and of `history`.

use super::run::{run, written};
use super::scene::{ASKED, LOADS, UNITS, demo, empty, json, many, row, some_units};
use std::collections::BTreeSet;
use std::fs;

/// Highest load and ambient of the demo's rows of a unit, as they stand in the file.
fn peaks(unit: &str) -> (f64, f64) {
    let text = fs::read_to_string(LOADS).unwrap();
    let of_it = text.lines().filter_map(|line| line.strip_prefix(&format!("{unit},")));
    let cells = of_it.map(|line| {
        let cells: Vec<f64> = line.split(',').skip(1).map(|cell| cell.parse().unwrap()).collect();
        (cells[0], cells[1])
    });
    cells.fold((0.0, f64::MIN), |peak, own| (peak.0.max(own.0), peak.1.max(own.1)))
}

#[test]
fn every_unit_of_the_demo_gets_the_verdict_of_check() {
    let answer = json(&demo(&["--format", "json"]));
    let (mut verdicts, mut cooler) = (BTreeSet::new(), 0);
    for row in answer["units"].as_array().unwrap() {
        let unit = row["unit"].as_str().unwrap();
        let (peak_pu, ambient_c) = peaks(unit);
        assert_eq!(row["asked"]["preload_pu"], peak_pu, "{unit}");
        // Where fans start by themselves a cooler one of its ambients may leave less.
        let asked_c = row["asked"]["ambient_c"].as_f64().unwrap();
        assert!(asked_c <= ambient_c, "{unit}");
        cooler += usize::from(asked_c < ambient_c);
        let ambient_c = asked_c;
        let (load, before, ambient) =
            ((2.0 * peak_pu).to_string(), peak_pu.to_string(), ambient_c.to_string());
        let least = row["asked"]["preload_from_pu"].as_f64().unwrap();
        assert!(least < peak_pu, "{unit}: the contingency may come at any of its recent loads");
        let least = least.to_string();
        let flags =
            ["--load", &load, "--for", "4h", "--preload", &before, "--preload-from", &least];
        let flags = [&flags[..], &["--preload-varies", "--ambient", &ambient]].concat();
        let profile = format!("{UNITS}/{unit}.yaml");
        let day = ["--format", "json", "--as-of", "2026-10-20", "--draws", "256"];
        let check = json(&run(&[&["check", &profile], &flags[..], &day[..]].concat()));
        assert_eq!(row["verdict"], check["verdict"], "{unit}");
        for key in ["margin_low_k", "margin_counting_k", "margin_k", "probability", "inception_c"] {
            assert_eq!(row[key], check["bubbling"][key], "{unit} {key}");
        }
        assert_eq!(row["required_margin_k"], check["asked"]["required_margin_k"], "{unit}");
        assert_eq!(row["hot_spot_c"], check["peak"]["hot_spot_c"], "{unit}");
        if row["verdict"] != "go" {
            assert_eq!(row["governs"]["code"], check["findings"][0]["code"], "{unit}");
        }
        verdicts.insert(row["verdict"].as_str().unwrap().to_owned());
    }
    assert_eq!(answer["units"].as_array().unwrap().len(), 8);
    println!("{cooler} at a cooler ambient");
    assert!(verdicts.len() >= 3, "the demo shows different verdicts: {verdicts:?}");
}

#[test]
fn the_largest_load_is_that_of_check() {
    let folder = empty("fleet-largest");
    let units = some_units(&folder, &["harrowgill-t2"]);
    let flags = ["--load", "1.1", "--for", "2h", "--preload", "0.6", "--ambient", "20"];
    let day = ["--as-of", "2026-10-20", "--draws", "256", "--format", "json"];
    let fleet = run(&[&["fleet", &units, "--largest"], &flags[..], &day[..]].concat());
    let profile = format!("{UNITS}/harrowgill-t2.yaml");
    let check = json(&run(&[&["check", &profile], &flags[..], &day[..]].concat()));
    let answer = json(&fleet);
    assert_eq!(row(&answer, "harrowgill-t2")["largest_load_pu"], check["largest_load_pu"]);
    assert!(check["largest_load_pu"].is_number());
}

#[test]
fn local_rules_and_limit_sets_are_those_of_check() {
    let folder = empty("fleet-rules");
    let units = some_units(&folder, &["harrowgill-t1"]);
    let flags = ["--load", "1.2", "--for", "2h", "--preload", "0.6", "--ambient", "20"];
    let rules = ["--rules", "profiles/rules/example.yaml", "--limits", "iec-normal-cyclic"];
    let day = ["--as-of", "2026-10-20", "--draws", "256", "--format", "json"];
    let all = [&flags[..], &rules[..], &day[..]].concat();
    let answer = json(&run(&[&["fleet", units.as_str()], &all[..]].concat()));
    let profile = format!("{UNITS}/harrowgill-t1.yaml");
    let check = json(&run(&[&["check", profile.as_str()], &all[..]].concat()));
    let own = row(&answer, "harrowgill-t1");
    assert_eq!(own["verdict"], check["verdict"]);
    assert_eq!(own["required_margin_k"], check["asked"]["required_margin_k"]);
    assert_eq!(own["asked"]["limits"], "iec-normal-cyclic");
}

/// Between samples an hour apart straight lines are drawn, where `history` draws them between minutes: what
/// that shifts is some minutes of each crossing, and crossings are hours apart.
const HOURS_OFF: f64 = 0.05;

/// Samples an hour apart instead of a minute: the updates are exact and peaks within a step are
/// located, so that only a fan that starts or stops within a step can differ. 0.1 K leaves room for that.
#[test]
fn recent_loads_are_gone_through_as_history_does() {
    let folder = empty("fleet-history");
    // Half as much again, so that there are hours with less margin than required.
    let text: String =
        fs::read_to_string(LOADS).unwrap().lines().fold(String::new(), |all, line| {
            let cells: Vec<&str> = line.split(',').collect();
            let line = match cells.get(2).and_then(|load| load.parse::<f64>().ok()) {
                Some(load) => format!("{},{},{:.3},{}", cells[0], cells[1], 1.5 * load, cells[3]),
                None => line.to_owned(),
            };
            all + &line + "\n"
        });
    let loads = written(&folder, "loads.csv", &text);
    let flags = ["--loads", &loads, "--format", "json", "--load", "1.2", "--for", "1h"];
    let day = ["--as-of", "2026-10-20", "--draws", "0"];
    let answer = json(&run(&[&["fleet", UNITS], &flags[..], &day[..]].concat()));
    for unit in ["harrowgill-t2", "coldwath-t2"] {
        let rows = text.lines().filter_map(|line| line.strip_prefix(&format!("{unit},")));
        let rows: Vec<&str> = ["time,load_pu,ambient_c"].into_iter().chain(rows).collect();
        let file = written(&folder, "history.csv", rows.join("\n"));
        let profile = format!("{UNITS}/{unit}.yaml");
        let flags = ["--history", &file, "--as-of", "2026-10-20", "--format", "json"];
        let history = json(&run(&[&["history", &profile], &flags[..]].concat()));
        let recent = &row(&answer, unit)["recent"];
        let close = |found: &serde_json::Value, wanted: &serde_json::Value, within: f64| {
            let (found, wanted) = (found.as_f64().unwrap(), wanted.as_f64().unwrap());
            assert!((found - wanted).abs() <= within, "{unit}: {found} {wanted}");
        };
        close(&recent["hot_spot_c"], &history["hot_spot"]["value"], 0.1);
        close(&recent["least_margin_k"], &history["bubbling"]["margin_k"], 0.1);
        let hours = &history["bubbling"]["hours_below_required"];
        close(&recent["hours_below_required"], hours, HOURS_OFF * hours.as_f64().unwrap());
        assert_eq!(recent["rows"], history["span"]["rows"]);
        assert_eq!(recent["gaps"], history["span"]["gaps"]["count"]);
        assert_eq!(recent["peak_pu"], history["greatest_load"]["value"]);
    }
    assert_eq!(row(&answer, "coldwath-t2")["recent"]["gaps"], 1);
}

#[test]
fn what_is_missing_is_told_and_what_to_do_next() {
    let answer = json(&demo(&["--format", "json"]));
    let without_moisture = row(&answer, "stanebeck-t2");
    assert_eq!(without_moisture["governs"]["what"], "unknown");
    let codes: Vec<&str> = without_moisture["missing"]
        .as_array()
        .unwrap()
        .iter()
        .map(|missing| missing["code"].as_str().unwrap())
        .collect();
    assert!(codes.contains(&"input-moisture-missing"), "{codes:?}");
    assert!(without_moisture["next"]["words"].as_str().unwrap().contains("moisture"));
    assert!(row(&answer, "harrowgill-t2")["next"]["gain_k"].as_f64().unwrap() > 0.0);
    assert_eq!(row(&answer, "thornmere-t1")["governs"]["what"], "condition");
    let ratings = &row(&answer, "withybank-t1")["missing"];
    assert_eq!(ratings[0]["code"], "accessory-tap-changer");
    assert_eq!(ratings[1]["code"], "accessory-cable-box");
    // Twice its peak is above what an unknown rating counts as.
    assert_eq!((ratings.as_array().unwrap().len(), &ratings[0]["needed"]), (2, &true.into()));
    assert_eq!(row(&answer, "withybank-t1")["verdict"], "cannot-decide");
    assert_eq!(row(&answer, "withybank-t1")["governs"]["what"], "accessory");
    // A margin that is ample is not worth measuring more closely.
    assert!(row(&answer, "coldwath-t2")["next"].is_null());
}

#[test]
fn a_unit_without_what_the_question_needs_is_not_decided() {
    let folder = empty("fleet-undecided");
    let units = some_units(&folder, &["harrowgill-t1"]);
    let ask = |flags: &[&str]| {
        let day = ["--for", "2h", "--as-of", "2026-10-20", "--draws", "0", "--format", "json"];
        let ran = run(&[&["fleet", &units], flags, &day[..]].concat());
        let answer = json(&ran);
        let standing = row(&answer, "harrowgill-t1")["verdict"].as_str().unwrap().to_owned();
        let words = row(&answer, "harrowgill-t1")["governs"]["words"].as_str().unwrap().to_owned();
        (ran.code, standing, words)
    };
    let undecided = |flags: &[&str], words: &str| {
        let found = ask(flags);
        assert_eq!((found.0, found.1.as_str()), (4, "cannot-decide"), "{found:?}");
        assert!(found.2.contains(words), "{found:?}");
    };
    undecided(&["--load", "1.1", "--ambient", "20"], "load before");
    undecided(&["--load", "1.1", "--preload", "0.5"], "ambient");
    let loads = |rows: &str| written(&folder, "loads.csv", format!("unit,minute,load_pu\n{rows}"));
    let idle = loads("harrowgill-t1,0,0\nharrowgill-t1,60,0\n");
    undecided(&["--times-peak", "2", "--loads", &idle, "--ambient", "20"], "peak");
    let own = loads("harrowgill-t1,0,0.4\n");
    undecided(&["--times-peak", "2", "--loads", &own], "ambient");
    assert_eq!(ask(&["--times-peak", "2", "--loads", &own, "--ambient", "20"]).0, 0);
    assert_eq!(ask(&["--load", "1.0", "--preload", "0.5", "--ambient", "20"]).0, 0);
}

#[test]
fn loads_may_stand_in_a_folder_and_in_mva() {
    let folder = empty("fleet-folder-of-loads");
    let units = some_units(&folder, &["harrowgill-t1", "harrowgill-t2"]);
    let long = "unit,time,load_mva,ambient_c\n\
                harrowgill-t2,2026-10-01T00:00:00Z,20,11\nharrowgill-t2,2026-10-01T01:00:00Z,24,12\n\
                harrowgill-t1,2026-10-01T00:00:00Z,18,14\n";
    let long = written(&folder, "loads.csv", long);
    let own = folder.join("loads");
    fs::create_dir_all(&own).unwrap();
    written(
        &own,
        "harrowgill-t2.csv",
        "time,load_pu,ambient_c\n2026-10-01T00:00:00Z,0.5,11\n2026-10-01T01:00:00Z,0.6,12\n",
    );
    written(&own, "harrowgill-t1.csv", "time,load_pu,ambient_c\n2026-10-01T00:00:00Z,0.45,14\n");
    let ask = |loads: &str| {
        let ran =
            run(&[&["fleet", &units, "--loads", loads, "--format", "csv"], &ASKED[..]].concat());
        // The hashes differ, for the files do.
        let without_hash =
            ran.stdout.lines().skip(2).map(|line| line.rsplitn(3, ',').nth(2).unwrap().to_owned());
        without_hash.collect::<Vec<String>>()
    };
    assert_eq!(ask(&long), ask(own.to_str().unwrap()));
    assert_eq!(ask(&long).len(), 2);
}

#[test]
fn the_heat_map_agrees_with_the_answer_at_the_ambient_that_was_asked() {
    let flags = ["--format", "json", "--ambient", "20", "--heat", "ambient"];
    let answer = json(&demo(&flags));
    let mut compared = 0;
    for row in answer["units"].as_array().unwrap() {
        let cells = row["heat"].as_array().unwrap();
        assert_eq!(cells.len(), 9);
        let at = cells.iter().find(|cell| cell["at"] == 20.0).unwrap();
        assert_eq!(at["margin_low_k"], row["margin_low_k"], "{}", row["unit"]);
        compared += usize::from(row["margin_low_k"].is_number());
    }
    assert!(compared >= 5, "{compared}");
}

/// A load that is a multiple of another one can differ in its last digit, and a margin with it.
const LAST_DIGITS_K: f64 = 1.0e-9;

#[test]
fn every_cell_of_the_heat_map_is_what_check_says_there() {
    let folder = empty("fleet-heat");
    let units = some_units(&folder, &["stanebeck-t1"]);
    let profile = format!("{UNITS}/stanebeck-t1.yaml");
    let asked = ["--for", "4h", "--preload", "0.6", "--draws", "0", "--as-of", "2026-10-20"];
    let asked = [&asked[..], &["--format", "json"]].concat();
    let mut verdicts = BTreeSet::new();
    for heat in ["ambient", "load"] {
        let flags = ["--load", "1.2", "--ambient", "20", "--heat", heat];
        let answer = json(&run(&[&["fleet", &units], &flags[..], &asked[..]].concat()));
        for cell in row(&answer, "stanebeck-t1")["heat"].as_array().unwrap() {
            let at = cell["at"].to_string();
            let (load, ambient) = if heat == "load" { (&*at, "20") } else { ("1.2", &*at) };
            let flags = ["--load", load, "--ambient", ambient];
            let check = json(&run(&[&["check", &profile], &flags[..], &asked[..]].concat()));
            assert_eq!(cell["verdict"], check["verdict"], "{heat} {at}");
            let margin = |value: &serde_json::Value| value.as_f64().unwrap();
            let off = margin(&cell["margin_low_k"]) - margin(&check["bubbling"]["margin_low_k"]);
            assert!(off.abs() < LAST_DIGITS_K, "{heat} {at}: {off}");
            verdicts.insert(check["verdict"].as_str().unwrap().to_owned());
        }
    }
    assert!(verdicts.len() >= 2, "{verdicts:?}");
}

#[test]
fn the_answer_is_the_same_on_any_number_of_threads_and_wherever_the_folder_is() {
    let folder = empty("fleet-threads");
    let (units, loads) = many(&folder, 20);
    let ask = |units: &str, loads: &str, threads: &str| {
        let output = assert_cmd::Command::cargo_bin("bubblemargin")
            .unwrap()
            .args(["fleet", units, "--loads", loads, "--format", "html"])
            .args(ASKED)
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .unwrap();
        output.stdout
    };
    let one = ask(&units, &loads, "1");
    assert!(one.len() > 10_000);
    for threads in ["2", "7"] {
        assert!(ask(&units, &loads, threads) == one, "{threads} threads");
    }
    let other = empty("fleet-threads-elsewhere");
    let (units, loads) = many(&other, 20);
    assert!(ask(&units, &loads, "2") == one, "elsewhere");
}
