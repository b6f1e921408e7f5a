//! The life of the paper that an overload uses: figures that may be held against each other, and the caution.

use super::run::{AS_OF, EVENING, T1, T2, check, json, run, scratch, written};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;

fn hours(costs: &Value) -> BTreeMap<String, f64> {
    let all = costs.as_array().unwrap().iter();
    all.map(|cost| (cost["set"].as_str().unwrap().to_owned(), cost["hours"].as_f64().unwrap()))
        .collect()
}

fn event(answer: &Value) -> &Value {
    let all = answer["findings"].as_array().unwrap();
    all.iter().find(|finding| finding["code"] == "ageing-event").unwrap()
}

fn measured(answer: &Value) -> f64 {
    event(answer)["measured"]["value"].as_f64().unwrap()
}

#[test]
fn by_no_law_does_wet_paper_use_fewer_hours_than_dry() {
    let mut compared = 0;
    for (unit, load) in [(T1, "1.0"), (T1, "1.3"), (T2, "0.8"), (T2, "1.1"), (T2, "1.4")] {
        let flags = ["--load", load, "--for", "4h", "--preload", "0.6", "--ambient", "25"];
        let more = ["--draws", "0", "--format", "json", "--dried-to", "0.6"];
        let answer = json(&check(unit, &[&flags[..], &more].concat()));
        let ageing = &answer["ageing"];
        let [dry, wet, dried] = ["if_dry", "with_water", "if_dried"].map(|key| hours(&ageing[key]));
        assert_eq!(dry.len(), wet.len());
        for (set, wet_h) in &wet {
            assert!(dry[set] <= dried[set] && dried[set] <= *wet_h, "{unit} {load} {set}");
            compared += 1;
        }
        let counted = measured(&answer);
        assert!(counted >= ageing["hours_used"].as_f64().unwrap(), "{unit} {load}");
        assert!(counted >= ageing["hours_with_water"].as_f64().unwrap(), "{unit} {load}");
        assert!(dry.values().all(|dry_h| counted >= *dry_h), "{unit} {load}");
    }
    assert_eq!(compared, 15, "three sets each");
}

#[test]
fn the_caution_looks_at_what_the_water_makes_of_it() {
    let answer = json(&check(T1, &[&EVENING[..], &["--draws", "0", "--format", "json"]].concat()));
    // Dry it would be kept.
    assert!(answer["ageing"]["hours_used"].as_f64().unwrap() < 48.0);
    let wet = hours(&answer["ageing"]["with_water"]);
    let shown = [wet["iec-without-air"], wet["emsley-stevens"]];
    assert!(shown.iter().all(|wet_h| *wet_h > 48.0), "{shown:?}");
    assert_eq!(event(&answer)["severity"], "caution");
    let most = shown.iter().copied().fold(0.0, f64::max);
    assert!((measured(&answer) - most).abs() < 1.0e-9, "rounding only");
}

#[test]
fn the_guides_rate_stands_apart_from_what_water_does() {
    for unit in [T1, T2] {
        let ran = check(unit, &[&EVENING[..], &["--draws", "0"]].concat());
        let words = ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            words
                .contains("h of normal life by the guide's rate for dry paper; by chain scission ")
        );
        assert!(words.contains(" h dry, ") && !words.contains("if dry;"), "{words}");
    }
    let flags = ["--history", "demo-data/history/afternoon.csv"];
    let ran = run(&[&["history", T2], &flags[..], &AS_OF].concat());
    let words = ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("h of normal life by the guide's rate for dry paper"), "{words}");
    assert!(words.contains("; by chain scission ") && words.contains(" h dry, "), "{words}");
}

#[test]
fn without_moisture_the_hours_are_for_dry_paper_and_say_so() {
    let folder = scratch("paper_life_dry");
    let profile = fs::read_to_string(T1).unwrap();
    let (before, after) = profile.split_once("moisture:").unwrap();
    let (_, after) = after.split_once("insulation:").unwrap();
    let unit = written(&folder, "unit.yaml", format!("{before}insulation:{after}"));
    let answer =
        json(&check(&unit, &[&EVENING[..], &["--draws", "0", "--format", "json"]].concat()));
    assert!(answer["ageing"]["hours_with_water"].is_null());
    assert!(event(&answer)["text"].as_str().unwrap().contains("if dry"));
    let dry = answer["ageing"]["hours_used"].as_f64().unwrap();
    assert!((measured(&answer) - dry).abs() < 1.0e-9, "the same figure");
}
