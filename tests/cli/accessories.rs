//! What is in series with the winding: ratings that nobody knows, and tap changes.

use super::run::{AS_OF, T1, check, json, run, scratch, written};
use serde_json::Value;
use std::fs;
use std::path::Path;

const HOUR: [&str; 6] = ["--for", "1h", "--preload", "0.6", "--ambient", "10"];

/// Keys of the profile with what the dry unit states, and the codes of their findings.
const RATINGS: [(&str, &str); 4] = [
    ("bushings_pu: 1.5", "accessory-bushings"),
    ("tap_changer_pu: 1.4", "accessory-tap-changer"),
    ("cable_box_pu: 1.5", "accessory-cable-box"),
    ("current_transformers_pu: 2.0", "accessory-current-transformers"),
];

/// The dry unit under other accessories.
fn with(folder: &Path, name: &str, accessories: &str) -> String {
    let profile = fs::read_to_string(T1).unwrap();
    let other = |line: &str| match line.strip_prefix("accessories:") {
        Some(_) => accessories.to_owned(),
        None => line.to_owned(),
    };
    let lines: Vec<String> = profile.lines().map(other).collect();
    written(folder, name, lines.join("\n") + "\n")
}

/// One rating unknown, one left out, each in turn, and all of them left out; with the codes that are unknown.
fn unknown(folder: &Path) -> Vec<(String, Vec<&'static str>)> {
    let all: Vec<&str> = RATINGS.iter().map(|(stated, _)| *stated).collect();
    let line = |ratings: &[String]| format!("accessories: {{ {} }}", ratings.join(", "));
    let mut units = Vec::new();
    for (at, (stated, code)) in RATINGS.iter().enumerate() {
        let key = stated.split(':').next().unwrap();
        let mut ratings: Vec<String> = all.iter().map(|rating| (*rating).to_owned()).collect();
        ratings[at] = format!("{key}: unknown");
        units.push((with(folder, &format!("unknown-{key}.yaml"), &line(&ratings)), vec![*code]));
        ratings.remove(at);
        units.push((with(folder, &format!("without-{key}.yaml"), &line(&ratings)), vec![*code]));
    }
    let codes = RATINGS.iter().map(|(_, code)| *code).collect();
    units.push((with(folder, "without.yaml", ""), codes));
    units
}

fn asked(unit: &str, load: &str, more: &[&str]) -> (i32, Value) {
    let load = ["--load", load, "--draws", "0", "--format", "json"];
    let ran = check(unit, &[&HOUR[..], &load, more].concat());
    (ran.code, json(&ran))
}

fn finding<'a>(answer: &'a Value, code: &str) -> &'a Value {
    let all = answer["findings"].as_array().unwrap();
    all.iter().find(|finding| finding["code"] == code).unwrap()
}

#[test]
fn an_unknown_rating_never_lets_more_than_its_1_2_pu_through() {
    let folder = scratch("accessories_unknown");
    let (code, stated) = asked(T1, "1.1", &[]);
    // Otherwise nothing here would show that an unknown rating takes something away.
    assert!(code == 0 && stated["largest_load_pu"].as_f64().unwrap() > 1.3, "{stated}");
    for (unit, codes) in unknown(&folder) {
        let (code, below) = asked(&unit, "1.2", &[]);
        assert_eq!(code, 0, "{unit}");
        let largest = below["largest_load_pu"].as_f64().unwrap();
        // A search ends on the passing side, by a ten-thousandth.
        assert!((1.1998..=1.2).contains(&largest), "{unit}: {largest}");
        let (code, above) = asked(&unit, "1.21", &[]);
        assert_eq!((code, above["verdict"].as_str()), (4, Some("cannot-decide")), "{unit}");
        assert!(above["largest_load_pu"].as_f64().unwrap() <= 1.2, "{unit}");
        for rating in codes {
            let (kept, open) = (finding(&below, rating), finding(&above, rating));
            assert_eq!(
                (&kept["severity"], &open["severity"]),
                (&"caution".into(), &"unknown".into())
            );
            assert_eq!(kept["limit"]["value"], 1.2);
            let words = kept["text"].as_str().unwrap();
            assert!(words.contains("and not as the weakest case"), "{words}");
            assert!(words.contains("matched to the transformer"), "{words}");
            let words = open["text"].as_str().unwrap();
            assert!(words.contains("A signed statement of the rating settles it"), "{words}");
            let remedy = open["what_would_change_it"].as_str().unwrap();
            assert!(remedy.contains("accessories."), "{remedy}");
        }
    }
}

#[test]
fn a_statement_of_the_rating_settles_it_on_either_side() {
    let folder = scratch("accessories_stated");
    let stated = |pu: &str| {
        let ratings = ["bushings_pu: 1.5", "tap_changer_pu: 1.4", "current_transformers_pu: 2.0"];
        let line = format!("accessories: {{ {}, cable_box_pu: {pu} }}", ratings.join(", "));
        with(&folder, &format!("stated-{pu}.yaml"), &line)
    };
    assert_eq!(asked(&stated("1.3"), "1.25", &[]).0, 0);
    assert_eq!(asked(&stated("unknown"), "1.25", &[]).0, 4);
    assert_eq!(asked(&stated("1.1"), "1.15", &[]).0, 3);
}

#[test]
fn ratings_end_where_an_unknown_accessory_does_and_say_so() {
    let folder = scratch("accessories_rated");
    let (unit, _) = unknown(&folder).swap_remove(4);
    let flags = ["--for", "30min", "--ambient", "10", "--preload", "0.6", "--draws", "0"];
    let limits = ["--limits", "iec-long-time-emergency", "--format", "json"];
    let rated = json(&run(&[&["rate", &unit], &flags[..], &limits, &AS_OF].concat()));
    let cells = rated["cells"].as_array().unwrap();
    assert_eq!(cells.len(), 1);
    assert!((1.197..=1.2).contains(&cells[0]["load_pu"].as_f64().unwrap()), "{}", cells[0]);
    let governs = &cells[0]["governs"];
    assert_eq!(governs["what"], "accessory");
    assert_eq!(governs["code"], "accessory-cable-box");
    assert!(governs["words"].as_str().unwrap().contains("cable box"), "{governs}");
}

#[test]
fn a_fleet_cannot_decide_above_an_unknown_rating_and_names_it() {
    let folder = scratch("accessories_fleet");
    for left in fs::read_dir(&folder).unwrap() {
        fs::remove_file(left.unwrap().path()).unwrap();
    }
    with(
        &folder,
        "unit.yaml",
        "accessories: { bushings_pu: 1.5, tap_changer_pu: 1.5, cable_box_pu: unknown, current_transformers_pu: 1.5 }",
    );
    let flags = ["--load", "1.25", "--for", "1h", "--preload", "0.6", "--ambient", "10"];
    let ran = run(&[
        &["fleet", folder.to_str().unwrap()],
        &flags[..],
        &["--draws", "0", "--format", "json"],
        &AS_OF,
    ]
    .concat());
    let answer = json(&ran);
    let row = &answer["units"][0];
    assert_eq!(row["verdict"], "cannot-decide", "{answer}");
    assert_eq!(row["governs"]["what"], "accessory");
    assert_eq!(row["missing"][0]["code"], "accessory-cable-box");
    assert_eq!(row["missing"][0]["needed"], true);
    assert!(row["next"]["words"].as_str().unwrap().contains("accessories.cable_box_pu"), "{row}");
}

#[test]
fn taps_may_be_changed_within_the_rating_and_not_above_it() {
    let folder = scratch("accessories_taps");
    let taps = |pu: &str, load: &str| {
        let line = format!(
            "accessories: {{ bushings_pu: 2, tap_changer_pu: {pu}, cable_box_pu: 2, current_transformers_pu: 2 }}"
        );
        let unit = with(&folder, &format!("taps-{pu}.yaml"), &line);
        let (_, answer) = asked(&unit, load, &[]);
        let found = finding(&answer, "accessory-tap-moves");
        let [severity, text] =
            ["severity", "text"].map(|key| found[key].as_str().unwrap().to_owned());
        (severity, text)
    };
    let (severity, text) = taps("1.4", "1.2");
    assert!(severity == "notice" && text.contains("by the local rule"), "{text}");
    assert!(!text.contains("Do not change taps"), "{text}");
    let (severity, text) = taps("1.1", "1.2");
    assert!(severity == "caution" && text.contains("Do not change taps while"), "{text}");
    let (severity, text) = taps("unknown", "1.1");
    assert!(severity == "caution" && text.contains("rating is unknown"), "{text}");
    assert_eq!(taps("unknown", "0.95").0, "notice");
}
