//! Water in the oil after the overload, through the binary on the invented units.
//!
//! Ranges, not digits: nobody measured these units. What bounds them stands beside each.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "cli/run.rs"]
#[allow(dead_code, reason = "shared with the tests of the command line")]
mod run;

use run::{AS_OF, T1, T2, check, json, scratch, written};
use serde_json::Value;
use std::fmt::Write as _;
use std::fs;

const SHORT: [&str; 8] = ["--load", "1.05", "--for", "2h", "--preload", "0.65", "--ambient", "25"];

/// The water in the oil is not drawn.
fn answer(unit: &str, flags: &[&str]) -> Value {
    json(&check(unit, &[flags, &AS_OF, &["--format", "json", "--draws", "0"]].concat()))
}

fn severity<'a>(answer: &'a Value, code: &str) -> Option<&'a str> {
    let all = answer["findings"].as_array().unwrap();
    all.iter().find(|finding| finding["code"] == code)?["severity"].as_str()
}

fn number(answer: &Value, field: &str) -> f64 {
    answer["cooldown"][field].as_f64().unwrap()
}

/// The dry unit with paper that is assessed at 3.3 %.
fn wet(test: &str) -> String {
    let profile = fs::read_to_string(T1).unwrap();
    let wetter = profile.replace("percent: 1.0, std: 0.2", "percent: 3.0, std: 0.2");
    assert_ne!(wetter, profile);
    written(&scratch(&format!("cooldown_{test}")), "unit.yaml", wetter)
}

#[test]
fn the_wet_unit_gives_its_oil_water_and_takes_it_back() {
    let answer = answer(&wet("gives"), &SHORT);
    // 3.3 % at 60 °C: about 40 ppm by the isotherm. At 77 °C it would be 105 ppm, had it time.
    assert!((35.0..50.0).contains(&number(&answer, "ppm_at_start")));
    assert!((60.0..105.0).contains(&number(&answer, "peak_ppm")));
    // The oil lags behind its temperature, so that it is wettest when it is hottest or soon after.
    assert!((100.0..=150.0).contains(&number(&answer, "at_min")));
    assert!(number(&answer, "peak_saturation_at_min") > 120.0);
    assert!((18.0..50.0).contains(&number(&answer, "peak_saturation_percent")));
    // By the solubility 60 ppm saturate oil at 20 °C and 105 ppm at 36 °C.
    assert!((20.0..36.0).contains(&number(&answer, "saturates_below_c")));
    // Oil cools within its time constant of hours; the paper gives back for hours, not for weeks.
    assert!((30.0..1440.0).contains(&number(&answer, "wait_min")));
    // Far from saturation no published test says anything of its strength.
    assert!(answer["cooldown"]["breakdown_kv"].is_null());
    assert_eq!(severity(&answer, "cooldown-oil-strength"), None);
    assert!(answer["cooldown"]["course"].as_array().unwrap().len() <= 60);
    assert_eq!(severity(&answer, "cooldown-free-water"), Some("caution"));
    assert_eq!(severity(&answer, "cooldown-saturation"), Some("pass"));
    assert_eq!(severity(&answer, "cooldown-wait"), Some("notice"));
    assert_eq!(severity(&answer, "cooldown-second-overload"), None);
}

#[test]
fn the_dry_unit_stays_a_plain_go() {
    // Not the evening's four hours, which use much of the paper's life with its water.
    let load = ["--load", "1.1", "--for", "90min", "--preload", "0.65", "--ambient", "20"];
    let drawn = ["--format", "json", "--draws", "256"];
    let answer = json(&check(T1, &[&load[..], &AS_OF, &drawn].concat()));
    assert_eq!(answer["verdict"], "go");
    assert_eq!(severity(&answer, "cooldown-saturation"), Some("pass"));
    let largest = answer["largest_load_without_cautions_pu"].as_f64().unwrap();
    assert!(largest > 1.1, "more than is asked: {largest}");
    // A third of the wet unit's water, and a hotter overload.
    assert!((15.0..60.0).contains(&number(&answer, "peak_ppm")));
}

fn words(answer: &Value, code: &str) -> String {
    let all = answer["findings"].as_array().unwrap();
    let found = all.iter().find(|finding| finding["code"] == code).unwrap();
    found["text"].as_str().unwrap().to_owned()
}

/// A night after a long overload that brings the oil of paper at 3.3 % near saturation.
const COLD_NIGHT: [&str; 8] = ["--load", "1.2", "--for", "3h", "--preload", "0.5", "--after", "0"];

#[test]
fn free_water_is_announced_where_the_saturation_passes_and_not_beside_a_third_of_it() {
    let kept = answer(&wet("no_free_water"), &SHORT);
    assert_eq!(severity(&kept, "cooldown-saturation"), Some("pass"));
    assert_eq!(severity(&kept, "cooldown-free-water"), Some("caution"), "wet paper all the same");
    assert!(!words(&kept, "cooldown-free-water").contains("free water"));
    let hot = ["--load", "1.25", "--for", "4h", "--preload", "0.65", "--ambient", "27"];
    let passed = answer(T2, &hot);
    assert!(number(&passed, "peak_saturation_percent") > 100.0);
    assert!(words(&passed, "cooldown-free-water").contains("expect free water"));
    assert!(words(&passed, "cooldown-saturation").contains("above saturation: free water"));
    let cold = answer(&wet("cold_free_water"), &[&COLD_NIGHT[..], &["--ambient", "-30"]].concat());
    let said = words(&cold, "cooldown-free-water");
    let nearest = cold["cooldown"]["peak_saturation_percent"].as_f64();
    // Colder than 0 °C the saturation is not known: it either passed before or nobody can tell.
    let passes = nearest.is_some_and(|percent| percent > 100.0);
    let expected =
        if passes { "expect free water" } else { "cannot be excluded: saturation not computed" };
    assert!(said.contains(expected), "{said}");
}

#[test]
fn a_strength_is_given_for_mineral_oil_alone_and_by_its_saturation() {
    let folder = scratch("cooldown_strength");
    let profile = fs::read_to_string(T1).unwrap();
    let (mut given, mut none) = (0, 0);
    for percent in ["3.0", "3.6", "4.2"] {
        let wet =
            profile.replace("percent: 1.0, std: 0.2", &format!("percent: {percent}, std: 0.2"));
        let ester = wet.replace("liquid: mineral", "liquid: natural-ester");
        assert!(wet != profile && ester != wet);
        let unit = written(&folder, "mineral.yaml", wet);
        let ester = written(&folder, "ester.yaml", ester);
        for ambient in ["30", "15", "5"] {
            let flags = [&COLD_NIGHT[..], &["--ambient", ambient]].concat();
            assert!(answer(&ester, &flags)["cooldown"]["breakdown_kv"].is_null());
            let mineral = answer(&unit, &flags);
            let saturation = number(&mineral, "peak_saturation_percent");
            let kv = mineral["cooldown"]["breakdown_kv"]["kv"].as_f64();
            // The points: 23.4 to 69 ppm, of the 55 ppm that saturate mineral oil at 20 °C.
            if let Some(kv) = kv {
                assert!((42.0..126.0).contains(&saturation), "{kv} kV at {saturation} %");
                assert!((18.4..=42.3).contains(&kv), "{kv} kV at {saturation} %");
                given += 1;
            } else {
                assert!(!(43.0..125.0).contains(&saturation), "none at {saturation} %");
                none += 1;
            }
        }
    }
    assert!(given > 0 && none > 0, "{given} with a figure, {none} without");
}

#[test]
fn the_saturation_temperature_is_that_of_the_peak() {
    let answer = answer(T2, &SHORT);
    // Mineral oil: T = 1567/(7.0895 − log10 ppm) − 273, written again.
    let expected_c = 1567.0 / (7.0895 - number(&answer, "peak_ppm").log10()) - 273.0;
    assert!((number(&answer, "saturates_below_c") - expected_c).abs() < 1.0e-6);
    assert!(number(&answer, "saturates_below_at_end_c") < expected_c);
}

#[test]
fn without_the_insulation_there_is_a_bound_and_a_notice() {
    let known = answer(T2, &SHORT);
    let folder = scratch("without_the_insulation");
    let probe = fs::read_to_string("demo-data/units/fellmoor-t2-probe.csv").unwrap();
    written(&folder, "fellmoor-t2-probe.csv", probe);
    let profile = fs::read_to_string(T2).unwrap();
    let lines = profile.lines().filter(|line| !line.starts_with("insulation:"));
    let unit = written(&folder, "unit.yaml", lines.collect::<Vec<_>>().join("\n"));
    let bound = answer(&unit, &SHORT);
    assert_eq!(bound["cooldown"]["bound_only"], true);
    assert!(bound["cooldown"]["wait_min"].is_null());
    assert!(number(&bound, "peak_ppm") >= number(&known, "peak_ppm"));
    assert_eq!(severity(&bound, "cooldown-saturation"), Some("notice"));
    assert_eq!(severity(&bound, "cooldown-wait"), Some("notice"));
}

/// A day at 0.6 pu, five hours at `heavy_pu` that end an hour before minute 0, then nothing.
fn history(heavy_pu: f64) -> String {
    let mut rows = String::from("# Invented.\nminute,load_pu,ambient_c\n");
    for minute in (-1440..-60).step_by(60) {
        let load_pu = if minute < -360 { 0.6 } else { heavy_pu };
        writeln!(rows, "{minute},{load_pu},-5").unwrap();
    }
    rows + "-60,0,-10\n-30,0,-10\n"
}

#[test]
fn an_earlier_overload_of_a_wet_unit_shows() {
    let folder = scratch("an_earlier_overload");
    let profile = fs::read_to_string(T1).unwrap();
    let wetter = profile.replace("percent: 1.0, std: 0.2", "percent: 4.2, std: 0.2");
    assert_ne!(wetter, profile);
    let unit = written(&folder, "unit.yaml", wetter);
    let after = |heavy_pu: f64| {
        let history = written(&folder, &format!("history-{heavy_pu}.csv"), history(heavy_pu));
        let flags = ["--load", "0.9", "--for", "1h", "--history", &history, "--ambient", "-10"];
        answer(&unit, &flags)
    };
    let heavy = after(1.3);
    assert_eq!(severity(&heavy, "cooldown-second-overload"), Some("stop"));
    assert_eq!(heavy["verdict"], "no-go");
    assert!(heavy["largest_load_pu"].is_null(), "no load passes before the wait is over");
    assert_eq!(severity(&after(0.6), "cooldown-second-overload"), Some("pass"));
}

#[test]
fn a_cold_night_after_it_brings_the_oil_near_saturation() {
    let unit = wet("cold");
    let cold = |ambient: &str| {
        let flags = ["--load", "1.2", "--for", "3h", "--preload", "0.5", "--after", "0"];
        answer(&unit, &[&flags[..], &["--ambient", ambient]].concat())
    };
    let (night, day) = (cold("-20"), cold("25"));
    assert!(number(&night, "peak_saturation_percent") > number(&day, "peak_saturation_percent"));
    assert_eq!(severity(&night, "cooldown-saturation"), Some("caution"));
}

/// A spike wets the oil as much in a week's schedule as in an afternoon's, wherever it stands.
#[test]
fn a_spike_is_seen_in_a_schedule_of_any_length() {
    let folder = scratch("cooldown-spike");
    let peak = |rows: &str| {
        let schedule = written(&folder, "schedule.csv", format!("minute,load_pu\n{rows}"));
        let flags = ["--loading", &schedule, "--preload", "0.7", "--ambient", "22"];
        number(&answer(T2, &flags), "peak_ppm")
    };
    let short = peak("0,0.75\n420,1.35\n480,0.6\n");
    for begin in [420, 450, 500, 545, 600] {
        let long = peak(&format!("0,0.75\n{begin},1.35\n{},0.75\n10079,0.6\n", begin + 60));
        // Longer steps hold the hottest oil for longer: more water, never much less. A tenth is
        // what the step in which the spike ends can take away.
        assert!(long > 0.9 * short, "{begin}: {long} ppm, {short} ppm in the short schedule");
        assert!(long < 1.5 * short, "{begin}: {long} ppm, {short} ppm in the short schedule");
    }
}

/// Neither an earlier overload nor a start that is taken hot makes the wait look shorter.
#[test]
fn a_hot_or_wet_start_never_shortens_the_wait() {
    let folder = scratch("cooldown-wait");
    let wait_min = |flags: &[&str]| {
        let asked = ["--load", "1.1", "--for", "1h", "--after", "0.5", "--ambient", "22"];
        let answer = answer(T1, &[&asked, flags].concat());
        answer["cooldown"]["wait_min"].as_f64().unwrap_or(f64::INFINITY)
    };
    let history = |name: &str, recent: &str| {
        let rows: String = (1..=72).rev().fold(String::new(), |mut rows, hour| {
            let load = if hour <= 3 { recent } else { "0.5" };
            writeln!(rows, "{},{load}", -60 * hour).unwrap();
            rows
        });
        written(&folder, name, format!("minute,load_pu\n{rows}"))
    };
    let (rested, loaded) = (history("rested.csv", "0.5"), history("loaded.csv", "1.2"));
    let after = |history: &str| wait_min(&["--history", history]);
    assert!(after(&loaded) >= after(&rested), "{} {}", after(&loaded), after(&rested));
    let before = |preload: &str| wait_min(&["--preload", preload]);
    assert!(before("1.0") >= before("0.5"), "{} {}", before("1.0"), before("0.5"));
}

/// After a lower load the fans start later, and the oil gets hotter than from the stated start.
#[test]
fn the_wait_is_that_of_the_hotter_oil_of_all_starts() {
    let mut longer = 0;
    for (load, time) in [("1.1", "1h"), ("1.2", "1h"), ("1.0", "2h"), ("0.9", "2h")] {
        let of = |more: &[&str]| {
            let asked = ["--load", load, "--for", time, "--ambient", "0"];
            let answer = answer(T2, &[&asked[..], &["--preload", "0.65"], more].concat());
            let wait_min = answer["cooldown"]["wait_min"].as_f64().unwrap_or(f64::INFINITY);
            (wait_min, number(&answer, "peak_ppm"))
        };
        let (any_lower, stated) = (of(&[]), of(&["--preload-from", "0.65"]));
        assert!(any_lower.0 >= stated.0 && any_lower.1 >= stated.1, "{load} pu for {time}");
        longer += i32::from(any_lower.0 > stated.0);
    }
    assert!(longer >= 2, "{longer} of 4 are longer");
}
