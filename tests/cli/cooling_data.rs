//! What a profile leaves open about the cooling: stages that nobody states, and rises in thin air.

use crate::run::{AS_OF, Ran, T1, T2, check, json, run, scratch, written};
use serde_json::Value;
use std::fs;

const STAGES: &str = "cooling_stages:
  - { name: ONAN, rating_pu: 0.60, constants: onan, top_oil_rise_k: 48, hot_spot_gradient_k: 17 }
  - { name: ONAF, rating_pu: 1.00, constants: onaf, start_top_oil_c: 60, stop_top_oil_c: 50 }
";

/// The wet unit's profile with some pieces of text replaced, beside the series that it names.
fn altered(test: &str, pieces: &[(&str, &str)]) -> String {
    let folder = scratch(test);
    let series = "fellmoor-t2-probe.csv";
    fs::copy(format!("demo-data/units/{series}"), folder.join(series)).unwrap();
    let mut whole = fs::read_to_string(T2).unwrap();
    for (from, to) in pieces {
        assert!(whole.contains(from), "{from} stands in the profile");
        whole = whole.replace(from, to);
    }
    written(&folder, "unit.yaml", whole)
}

fn without_stages(test: &str) -> String {
    altered(test, &[(STAGES, "")])
}

fn number(ran: &Ran, place: &str) -> Option<f64> {
    json(ran).pointer(place).unwrap().as_f64()
}

fn finding(answer: &Value, code: &str) -> Option<Value> {
    let findings = answer["findings"].as_array().unwrap();
    findings.iter().find(|finding| finding["code"] == code).cloned()
}

fn asked<'a>(load: &'a str, ambient: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let asked = ["--load", load, "--for", "2h", "--preload", "0.5", "--ambient", ambient];
    [&asked[..], &["--format=json"], more].concat()
}

#[test]
fn leaving_out_the_cooling_stages_never_gains_margin() {
    let bare = without_stages("stages-never-gain");
    let mut lower = 0;
    for load in ["0.5", "0.7", "0.9", "1.1"] {
        for ambient in ["-10", "15", "35"] {
            for more in [&[][..], &["--cooling", "ONAF"], &["--cooling-lost-at", "30min"]] {
                // The margin with draws where the question is closest, and without elsewhere: that is quick.
                let draws = if load == "0.7" { "256" } else { "0" };
                let flags = asked(load, ambient, &[more, &["--draws", draws]].concat());
                let (stated, left_out) = (check(T2, &flags), check(&bare, &flags));
                let why = format!("{load} pu at {ambient} °C, {more:?}");
                assert!(left_out.code >= stated.code || stated.code == 4, "{why}");
                for figure in ["/bubbling/margin_k", "/bubbling/margin_low_k"] {
                    // Without a figure there is no margin to rely on.
                    let of = |ran: &Ran| number(ran, figure).unwrap_or(f64::NEG_INFINITY);
                    let (stated_k, left_out_k) = (of(&stated), of(&left_out));
                    assert!(left_out_k <= stated_k, "{why}: {figure} {stated_k} {left_out_k}");
                    lower += i32::from(left_out_k < stated_k - 1.0);
                }
            }
        }
    }
    // 4 loads, 3 ambients, 3 ways of cooling, 2 figures: 72, of which those with the fans confirmed differ little.
    assert!(lower >= 40, "{lower} of 72 are lower by more than 1 K");
}

#[test]
fn the_fans_count_where_they_are_seen_running() {
    let bare = without_stages("stages-confirmed");
    let of =
        |more: &[&str]| check(&bare, &asked("0.9", "20", &[&["--draws", "0"][..], more].concat()));
    let (natural, fans) = (of(&[]), of(&["--cooling", "ONAF"]));
    let margin = |ran: &Ran| number(ran, "/bubbling/margin_k").unwrap();
    assert!(margin(&fans) > margin(&natural) + 10.0, "fans are worth more than 10 K");
    let severity = |ran: &Ran| {
        finding(&json(ran), "thermal-cooling-stages-missing").unwrap()["severity"].clone()
    };
    assert_eq!(severity(&natural), "caution");
    assert_eq!(severity(&fans), "notice", "natural cooling is counted before minute 0 alone");
    let stated = check(T2, &asked("0.9", "20", &["--draws", "0"]));
    assert!(finding(&json(&stated), "thermal-cooling-stages-missing").is_none());
}

#[test]
fn the_assumed_stage_is_drawn_and_one_that_is_stated_is_not() {
    let bare = without_stages("stages-drawn");
    let drawn = |unit: &str| {
        let answer = json(&check(unit, &asked("0.7", "20", &["--draws", "1024"])));
        let inputs = answer["spread"]["inputs"].as_array().unwrap().clone();
        let natural = |name: &str| inputs.iter().any(|input| input["quantity"] == name);
        ["natural-rating", "natural-top-oil-rise", "natural-gradient"].map(natural)
    };
    assert_eq!((drawn(&bare), drawn(T2)), ([true; 3], [false; 3]));
}

#[test]
fn a_unit_that_needs_pumps_counts_as_its_tank_alone() {
    let unit = altered(
        "stages-pumps",
        &[(STAGES, ""), ("cooling: ONAF", "cooling: ODAF"), ("constants: onaf", "constants: od")],
    );
    let ran = check(&unit, &asked("0.9", "20", &["--draws", "0"]));
    let beyond = finding(&json(&ran), "thermal-load-outside-model").unwrap();
    assert_eq!(beyond["severity"], "unknown", "0.9 pu are three times 0.30 pu");
    assert!(ran.code >= 3);
    let ran = check(&unit, &asked("0.9", "20", &["--draws", "0", "--cooling", "ODAF"]));
    assert!(finding(&json(&ran), "thermal-load-outside-model").is_none());
}

#[test]
fn natural_cooling_needs_no_stages() {
    let unit = altered(
        "stages-natural",
        &[(STAGES, ""), ("cooling: ONAF", "cooling: ONAN"), ("constants: onaf", "constants: onan")],
    );
    let ran = check(&unit, &asked("0.7", "20", &["--draws", "0"]));
    assert!(finding(&json(&ran), "thermal-cooling-stages-missing").is_none());
    assert!(finding(&json(&ran), "thermal-stage-unknown").is_none());
}

#[test]
fn every_command_says_that_the_stages_are_assumed() {
    let bare = without_stages("stages-commands");
    let code = "thermal-cooling-stages-missing";
    let history = written(
        &scratch("stages-commands"),
        "day.csv",
        "minute,load_pu,ambient_c\n0,0.6,15\n720,0.7,15\n1440,0.6,15\n",
    );
    let commands: [&[&str]; 3] = [
        &[
            "check",
            &bare,
            "--load",
            "0.7",
            "--for",
            "2h",
            "--preload",
            "0.5",
            "--ambient",
            "15",
            "--draws",
            "0",
        ],
        &["rate", &bare, "--for", "2h", "--preload", "0.5", "--ambient", "15", "--draws", "0"],
        &["history", &bare, "--history", &history],
    ];
    for command in commands {
        let ran = run(&[command, &AS_OF].concat());
        assert!(ran.stdout.contains(code), "{command:?}: {}{}", ran.stdout, ran.stderr);
    }
}

/// The wet unit at an altitude, with rises that hold for another if stated.
fn at_altitude(test: &str, altitude_m: &str, rises_at_m: Option<&str>) -> String {
    let altitude = format!("altitude_m: {altitude_m},");
    let rises = rises_at_m.map_or_else(String::new, |m| format!("  rises_at_altitude_m: {m}\n"));
    let loss_ratio = format!("  loss_ratio: 6\n{rises}");
    altered(test, &[("altitude_m: 210,", &altitude), ("  loss_ratio: 6\n", &loss_ratio)])
}

#[test]
fn a_unit_in_thin_air_gets_hotter_by_what_the_standard_prints() {
    // Steady at the rating: the top-oil rise itself. 25 h leave less than 0.1 K of the beginning.
    let steady = ["--load", "1.0", "--for", "25h", "--preload", "1.0", "--ambient", "15"];
    let top_oil = |unit: &str, stage: &str, load: &str| {
        let mut flags =
            [&steady[..], &["--cooling", stage, "--format=json", "--draws", "0"]].concat();
        (flags[1], flags[5]) = (load, load);
        number(&check(unit, &flags), "/peak/top_oil_c").unwrap()
    };
    let low = at_altitude("air-low", "210", None);
    let high = at_altitude("air-high", "2500", None);
    let corrected = at_altitude("air-corrected", "2500", Some("2500"));
    for (stage, load, added_k) in [("ONAF", "1.0", 6.0), ("ONAN", "0.6", 3.75)] {
        let found_k = top_oil(&high, stage, load) - top_oil(&low, stage, load);
        assert!((found_k - added_k).abs() < 0.1, "{stage}: {found_k} K");
        let found_k = top_oil(&corrected, stage, load) - top_oil(&low, stage, load);
        assert!(found_k.abs() < 0.1, "{stage} corrected: {found_k} K");
    }
}

#[test]
fn thin_air_is_reported_only_where_it_matters() {
    let of = |test: &str, altitude_m: &str, rises_at_m: Option<&str>| {
        let unit = at_altitude(test, altitude_m, rises_at_m);
        let answer = json(&check(&unit, &asked("1.1", "20", &["--draws", "0"])));
        let found = finding(&answer, "thermal-altitude");
        found.map(|found| {
            assert_eq!(found["severity"], "notice");
            (found["measured"]["value"].as_f64(), found["text"].as_str().unwrap().to_owned())
        })
    };
    assert!(of("air-1000", "1000", None).is_none());
    let (added_k, text) = of("air-2500", "2500", None).unwrap();
    assert!((added_k.unwrap() - 6.0).abs() < 1.0e-9 && text.contains("low level"), "{text}");
    let (added_k, text) = of("air-stated", "2500", Some("2500")).unwrap();
    assert!(added_k.is_none() && text.contains("Nothing is added"), "{text}");
    let refused = run(&["validate", &at_altitude("air-refused", "2500", Some("9000"))]);
    assert_eq!(refused.code, 2);
    assert!(refused.stderr.contains("rises_at_altitude_m"), "{}", refused.stderr);
}

#[test]
fn a_unit_with_fans_by_its_class_has_them_whatever_its_constants() {
    let code = "thermal-cooling-stages-missing";
    for (test, constants) in [("class-onan", "onan"), ("class-restricted", "onan-restricted")] {
        let set = format!("  constants: {constants}\n");
        let unit = altered(test, &[(STAGES, ""), ("  constants: onaf\n", &set)]);
        let answer = json(&check(&unit, &asked("0.7", "20", &["--draws", "0"])));
        let found = finding(&answer, code).unwrap();
        assert_eq!(found["severity"], "caution", "{constants}");
        assert!(found["text"].as_str().unwrap().contains("ONAN at 0.60 pu"), "{found}");
        // Confirmed, the answer rests on the fans and says so.
        let ran = check(&unit, &asked("0.7", "20", &["--draws", "0", "--cooling", "ONAF"]));
        assert!(finding(&json(&ran), "thermal-cooling-in-service").is_some());
    }
}

#[test]
fn a_weakest_stage_that_needs_fans_or_pumps_must_be_confirmed() {
    let code = "thermal-weakest-stage-forced";
    let onaf = "cooling_stages:\n  - { name: ONAF, rating_pu: 1.00, constants: onaf }\n";
    let ofaf = onaf.replace("ONAF", "OFAF").replace("onaf", "of");
    let with_fans = altered("forced-fans", &[(STAGES, onaf)]);
    let with_pumps = altered(
        "forced-pumps",
        &[(STAGES, &ofaf), ("cooling: ONAF", "cooling: OFAF"), ("  constants: onaf\n", "")],
    );
    for (unit, name, needs) in [(with_fans, "ONAF", "fans"), (with_pumps, "OFAF", "pumps")] {
        let of = |more: &[&str]| {
            let flags = asked("0.7", "20", &[&["--draws", "0"][..], more].concat());
            finding(&json(&check(&unit, &flags)), code)
        };
        let found = of(&[]).unwrap();
        assert_eq!(found["severity"], "caution");
        let text = found["text"].as_str().unwrap();
        assert!(text.contains(&format!("{name}, needs {needs},")), "{text}");
        assert!(of(&["--cooling", name]).is_none(), "{name} is confirmed");
        let rate = ["rate", &unit, "--for", "2h", "--preload", "0.5", "--ambient", "15"];
        let ran = run(&[&rate[..], &["--draws", "0"], &AS_OF].concat());
        assert!(ran.stdout.contains(code), "{}{}", ran.stdout, ran.stderr);
    }
    let stated = check(T2, &asked("0.7", "20", &["--draws", "0"]));
    assert!(finding(&json(&stated), code).is_none());
}

/// Four letters that end as a class with water does.
#[test]
fn a_stage_whose_name_is_no_class_is_not_cooled_by_water() {
    let unit = altered(
        "air-down",
        &[
            ("cooling: ONAF", "cooling: DOWN"),
            ("name: ONAF", "name: DOWN"),
            ("altitude_m: 210,", "altitude_m: 2500,"),
        ],
    );
    let ran = check(&unit, &asked("1.1", "20", &["--draws", "0", "--cooling", "DOWN"]));
    let found = finding(&json(&ran), "thermal-altitude").unwrap();
    assert_eq!(found["measured"]["value"], 6.0, "{found}");
}

/// After a lower load the fans start later, or not at all: the stages of both courses are in service.
#[test]
fn typical_rises_count_in_every_stage_that_the_possible_starts_come_to() {
    let typical = altered("typical-t2", &[("  top_oil_rise_k: 52\n", "")]);
    let of = |preload: &str| {
        let flags = ["--load", "0.79", "--for", "1h", "--preload", preload, "--ambient", "20"];
        let more = ["--draws", "0", "--format=json"];
        let answer = json(&check(&typical, &[&flags[..], &more].concat()));
        let rises = finding(&answer, "thermal-typical-values").unwrap();
        assert_eq!(rises["severity"], "caution", "{preload}");
        finding(&answer, "bubbling-margin").unwrap()["limit"]["value"].as_f64().unwrap()
    };
    let (low, high) = (of("0.5"), of("0.65"));
    assert!(low >= high, "{low} K is required from 0.5 pu, {high} K from 0.65 pu");
    let whole = fs::read_to_string(T1).unwrap();
    let rise = "  top_oil_rise_k: 50\n";
    assert!(whole.contains(rise));
    let unit = written(&scratch("typical-t1"), "unit.yaml", whole.replace(rise, ""));
    let flags = ["--load", "0.75", "--for", "1h", "--preload", "0.5", "--ambient", "20"];
    let ran = check(&unit, &[&flags[..], &["--draws", "256"]].concat());
    assert!(ran.stdout.contains("GO WITH CAUTIONS"), "{}", ran.stdout);
    assert!(ran.stdout.contains("thermal-typical-values"), "{}", ran.stdout);
}
