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

/// After a lower load the fans start later: the widest range of starts costs most.
#[test]
fn the_hours_are_those_of_the_costlier_start() {
    let of = |more: &[&str]| {
        let asked = ["--load", "1.4", "--for", "30min", "--ambient", "10", "--preload", "0.65"];
        let more = [more, &["--draws", "0", "--format", "json"]].concat();
        let answer = json(&check(T2, &[&asked[..], &more].concat()));
        let hours = answer["ageing"]["hours_with_water"].as_f64().unwrap();
        assert!((measured(&answer) - hours).abs() < 1.0e-9, "the same figure");
        hours
    };
    let (any_lower, stated) = (of(&[]), of(&["--preload-from", "0.65"]));
    assert!(any_lower >= stated, "{any_lower} h, {stated} h from the stated start alone");
}

/// Beyond the wettest column the sets have no figure of their own.
#[test]
fn wetter_paper_costs_more_hours_beyond_the_wettest_column_too() {
    let folder = scratch("paper_life_wet");
    let profile = fs::read_to_string(T1).unwrap();
    let mut before = 0.0;
    for percent in ["3.0", "4.0", "5.0", "6.0"] {
        let wet = profile.replace("percent: 1.0, std", &format!("percent: {percent}, std"));
        assert_ne!(wet, profile);
        let unit = written(&folder, "unit.yaml", wet);
        let flags = ["--load", "1.1", "--for", "1h", "--preload", "0.6", "--ambient", "20"];
        let more = ["--draws", "0", "--format", "json"];
        let answer = json(&check(&unit, &[&flags[..], &more].concat()));
        let hours = answer["ageing"]["hours_with_water"].as_f64().unwrap();
        assert!(hours > before, "{percent} %: {hours} h");
        assert!((measured(&answer) - hours).abs() < 1.0e-9, "the same figure");
        before = hours;
    }
}

#[test]
fn paper_hotter_than_any_ageing_test_is_never_kept() {
    let of = |load: &str| {
        let flags = ["--load", load, "--for", "10min", "--preload", "0.9", "--ambient", "30"];
        json(&check(T1, &[&flags[..], &["--draws", "0", "--format", "json"]].concat()))
    };
    for (load, severity) in [("1.5", "pass"), ("1.65", "caution")] {
        let answer = of(load);
        let hot_spot_c = answer["peak"]["hot_spot_c"].as_f64().unwrap();
        assert_eq!(hot_spot_c > 140.0, severity == "caution", "{hot_spot_c} °C");
        assert!(measured(&answer) < 48.0);
        assert_eq!(event(&answer)["severity"], severity, "{hot_spot_c} °C");
    }
}

#[test]
fn paper_that_is_drier_already_is_not_dried() {
    let profile = fs::read_to_string(T1).unwrap();
    let dry = profile.replace("percent: 1.0, std: 0.2", "percent: 0.5, std: 0.1");
    assert_ne!(dry, profile);
    let unit = written(&scratch("paper_life_dried"), "unit.yaml", dry);
    let flags =
        ["--load", "1.1", "--for", "1h", "--preload", "0.6", "--ambient", "20", "--draws", "0"];
    let words =
        |unit: &str| check(unit, &flags).stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(!words(&unit).contains("if dried to") && words(T1).contains("if dried to"));
}

/// A measured degree of polymerisation that nothing carries on counts for less with each month, and for a year.
#[test]
fn leaving_out_the_usual_hot_spot_gains_nothing_from_an_old_dp() {
    let folder = scratch("paper_life_dp");
    let series = "fellmoor-t2-probe.csv";
    fs::copy(format!("demo-data/units/{series}"), folder.join(series)).unwrap();
    let profile = fs::read_to_string(T2).unwrap();
    let stated = "dp: 520, date: 2026-06-15, usual_hot_spot_c: 68";
    assert!(profile.contains(stated));
    let flags = ["--load", "1.0", "--for", "2h", "--preload", "0.7", "--ambient", "20"];
    let of = |condition: &str| {
        let unit = written(&folder, "unit.yaml", profile.replace(stated, condition));
        json(&check(&unit, &[&flags[..], &["--draws", "0", "--format", "json"]].concat()))
    };
    let margin = |answer: &Value| answer["bubbling"]["margin_low_k"].as_f64().unwrap();
    let nothing = of("");
    let mut lower = 0;
    for date in ["2022-01-15", "2025-10-18", "2025-10-21", "2026-01-15", "2026-10-10"] {
        let bare = of(&format!("dp: 700, date: {date}"));
        for usual_c in ["55", "62", "68", "72"] {
            let with = of(&format!("dp: 700, date: {date}, usual_hot_spot_c: {usual_c}"));
            assert!(margin(&bare) <= margin(&with), "{date} at {usual_c} °C");
            lower += i32::from(margin(&bare) < margin(&with) - 0.1);
        }
        // 366 days before the day that is asked about is 2025-10-19.
        let nothing_known = date < "2025-10-19";
        let all = bare["findings"].as_array().unwrap();
        let weak = all.iter().find(|found| found["code"] == "ageing-mechanical-strength");
        let says =
            |text: &str| weak.is_some_and(|found| found["text"].as_str().unwrap().contains(text));
        assert_eq!(says("Nothing says how aged the paper is"), nothing_known, "{date}: {weak:?}");
        assert!(!nothing_known || (margin(&bare) - margin(&nothing)).abs() < 1.0e-9, "{date}");
    }
    assert!(lower >= 10, "{lower} of 20 are lower by more than 0.1 K");
}
