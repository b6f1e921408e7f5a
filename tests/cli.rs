//! The binary as its users run it: exit codes, first lines, errors, files.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "cli/accessories.rs"]
mod accessories;
#[path = "cli/cooling_data.rs"]
mod cooling_data;
#[path = "cli/current.rs"]
mod current;
#[path = "cli/current_elsewhere.rs"]
mod current_elsewhere;
#[path = "cli/esters.rs"]
mod esters;
#[path = "cli/few_draws.rs"]
mod few_draws;
#[path = "cli/gas.rs"]
mod gas;
#[path = "cli/gradient.rs"]
mod gradient;
#[path = "cli/heat_run.rs"]
mod heat_run;
#[path = "cli/heat_run_block.rs"]
mod heat_run_block;
#[path = "cli/heat_run_refused.rs"]
mod heat_run_refused;
#[path = "cli/hot_spot_paper.rs"]
mod hot_spot_paper;
#[path = "cli/judged_day.rs"]
mod judged_day;
#[path = "cli/keys.rs"]
mod keys;
#[path = "cli/limits_hold.rs"]
mod limits_hold;
#[path = "cli/moisture.rs"]
mod moisture;
#[path = "cli/moisture_traps.rs"]
mod moisture_traps;
#[path = "cli/paper_life.rs"]
mod paper_life;
#[path = "cli/rate.rs"]
mod rate;
#[path = "cli/refusals.rs"]
mod refusals;
#[path = "cli/run.rs"]
mod run;
#[path = "cli/trips.rs"]
mod trips;
#[path = "cli/uncertainty.rs"]
mod uncertainty;
#[path = "cli/why.rs"]
mod why;
#[path = "cli/windings.rs"]
mod windings;

use run::{EVENING, T1, T2, altered, check, json, run, scratch, written};
use std::fs;

#[test]
fn the_dry_unit_may_go() {
    let hour = ["--load", "1.15", "--for", "1h", "--preload", "0.65", "--ambient", "27"];
    let ran = check(T1, &hour);
    assert_eq!(ran.code, 0);
    assert!(ran.stdout.starts_with("(o) GO   margin "), "{}", ran.stdout);
    // The evening's four hours use more than two days of the paper's life with its water.
    let evening = check(T1, &EVENING);
    assert_eq!(evening.code, 0);
    assert!(evening.stdout.starts_with("/!\\ GO WITH CAUTIONS   margin "), "{}", evening.stdout);
    assert!(evening.stdout.contains("[ageing-event]"));
}

#[test]
fn the_wet_unit_may_not_but_a_lower_load_may() {
    let ran = check(T2, &[&EVENING[..], &["--format", "json"]].concat());
    assert_eq!(ran.code, 3);
    let answer = json(&ran);
    assert_eq!(answer["verdict"], "no-go");
    let largest = answer["largest_load_pu"].as_f64().unwrap();
    let load = format!("{}", largest - 0.01);
    let lower =
        check(T2, &["--load", &load, "--for", "90min", "--preload", "0.65", "--ambient", "27"]);
    assert_eq!(lower.code, 0, "{}", lower.stdout);
    assert!(lower.stdout.starts_with("/!\\ GO WITH CAUTIONS   margin "));
}

#[test]
fn every_line_fits_eighty_columns_without_colour() {
    for unit in [T1, T2] {
        let ran = check(unit, &EVENING);
        assert!(!ran.stdout.contains('\u{1b}'));
        for line in ran.stdout.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
    }
}

#[test]
fn every_answer_says_that_it_authorises_nothing() {
    let ran = check(T1, &EVENING);
    assert!(ran.stdout.contains("it authorises nothing"));
    assert!(ran.stdout.contains("within the entered limits; local rules decide"));
}

#[test]
fn the_json_keeps_its_contract() {
    let answer = json(&check(T2, &[&EVENING[..], &["--format", "json"]].concat()));
    for field in [
        "unit",
        "asked",
        "inputs_sha256",
        "verdict",
        "limits",
        "watch",
        "findings",
        "trace",
        "ageing",
    ] {
        assert!(!answer[field].is_null(), "{field}");
    }
    for field in ["name", "version"] {
        assert!(answer["tool"][field].is_string(), "tool.{field}");
    }
    for field in ["hot_spot_c", "hot_spot_at_min", "top_oil_c", "top_oil_at_min"] {
        assert!(answer["peak"][field].is_number(), "peak.{field}");
    }
    assert!(answer["peak"]["governed_by"].is_string());
    let bubbling = [
        "margin_k",
        "margin_low_k",
        "at_min",
        "inception_c",
        "inception_bound_c",
        "counting_moisture_percent",
        "gas_percent",
        "pressure_pa",
    ];
    for field in bubbling {
        assert!(answer["bubbling"][field].is_number(), "bubbling.{field}");
    }
    for field in ["load", "duration_min"] {
        assert!(answer["asked"][field].is_number(), "asked.{field}");
    }
    assert!(answer["ageing"]["hours_used"].is_number());
    assert!(answer["time_to_limit_min"].is_number() && answer["largest_load_pu"].is_number());
    let limit = &answer["limits"][0];
    assert!(
        limit["quantity"].is_string() && limit["limit"].is_number() && limit["source"].is_string()
    );
    assert!(
        limit["value"].is_number()
            && limit["margin"].is_number()
            && limit["reached_at_min"].is_number()
    );
    let finding = &answer["findings"][0];
    for field in ["code", "severity", "source", "text", "what_would_change_it"] {
        assert!(finding[field].is_string(), "findings.{field}");
    }
    for field in ["min", "load_pu", "ambient_c", "top_oil_c", "hot_spot_c", "inception_c"] {
        assert!(answer["trace"][0][field].is_number(), "trace.{field}");
    }
    let go = json(&check(T1, &[&EVENING[..], &["--format", "json"]].concat()));
    for field in ["at_min", "expected_top_oil_c", "stop_above_c"] {
        assert!(go["watch"][0][field].is_number(), "watch.{field}");
    }
}

#[test]
fn the_same_inputs_give_the_same_bytes() {
    let flags = [&EVENING[..], &["--format", "json"]].concat();
    assert_eq!(check(T2, &flags).stdout, check(T2, &flags).stdout);
}

#[test]
fn a_profile_that_lacks_what_is_needed_answers_what_it_can() {
    let folder = scratch("lacking");
    let profile = "unit: bare\nsize_class: medium\nrated: { mva: 40, cooling: ONAF }\npaper: kraft\nliquid: mineral\n";
    let bare = written(&folder, "bare.yaml", profile);
    let ran =
        check(&bare, &["--load", "1.1", "--for", "1h", "--preload", "0.6", "--ambient", "20"]);
    assert_eq!(ran.code, 4);
    assert!(ran.stdout.starts_with("[?] CANNOT DECIDE"));
    for missing in [
        "input-moisture-missing",
        "input-gas-missing",
        "input-altitude-missing",
        "input-thermal-missing",
    ] {
        assert!(ran.stdout.contains(missing), "{missing}");
    }
    let thermal =
        written(&folder, "thermal.yaml", format!("{profile}thermal: {{ constants: onaf }}\n"));
    let ran = check(
        &thermal,
        &[
            "--load",
            "0.7",
            "--for",
            "1h",
            "--preload",
            "0.6",
            "--ambient",
            "20",
            "--format",
            "json",
        ],
    );
    assert_eq!(ran.code, 4);
    assert!(
        json(&ran)["peak"]["hot_spot_c"].as_f64().unwrap() > 60.0,
        "the hot spot is still computed"
    );
}

#[test]
fn input_that_is_refused_names_file_line_key_found_and_accepted() {
    let folder = scratch("refused");
    let cases = [
        (
            "top_oil_rise_k: 50",
            "top_oil_rise_k: 50 K",
            "line 12, thermal.top_oil_rise_k",
            "\"50 K\"",
            "15 to 100 (K)",
        ),
        ("loss_ratio: 6", "loss_ratio: .nan", "line 14, thermal.loss_ratio", ".nan", "0.5 to 50"),
        ("paper: kraft", "papr: kraft", "line 8, papr", "unknown key papr", "paper"),
        ("paper: kraft", "paper: cotton", "line 8, paper", "cotton", "kraft, thermally-upgraded"),
        (
            "gas_relay_alarm: false",
            "gas_relay_alarm: no",
            "condition.gas_relay_alarm",
            "no",
            "true or false",
        ),
        ("made: 1987", "made: 1987\nmade: 1988", "made", "the same key twice", "each key once"),
        (
            "stop_top_oil_c: 50",
            "stop_top_oil_c: 65",
            "cooling_stages",
            "stop at 65",
            "a stop below the start",
        ),
        (
            "size_class: medium",
            "size_class: distribution",
            "rated.mva",
            "40 MVA",
            "at most 2.5 MVA",
        ),
        (
            "heat_run: 1987-05-12",
            "heat_run: 12/05/87",
            "thermal.heat_run",
            "12/05/87",
            "YYYY-MM-DD",
        ),
        ("N2: 41500", "N3: 41500", "gas.gases", "N3", "N2"),
        ("constants: onaf\n", "constants: ofwf\n", "thermal.constants", "ofwf", "onaf"),
        ("cooling: ONAF", "cooling: OFAF", "rated.cooling", "OFAF", "ONAN, ONAF"),
    ];
    for (from, to, place, found, accepted) in cases {
        let unit = altered(&folder, from, to);
        let ran = check(&unit, &EVENING);
        assert_eq!(ran.code, 2, "{to}");
        for part in [unit.as_str(), place, found, accepted] {
            assert!(ran.stderr.contains(part), "{to}: {part} in {}", ran.stderr);
        }
        assert!(ran.stdout.is_empty());
    }
}

#[test]
fn yaml_that_is_no_plain_profile_is_refused() {
    let folder = scratch("yaml");
    let whole = fs::read_to_string(T1).unwrap();
    let aliases = format!("a: &a [x, x, x, x, x, x, x, x, x, x]\n{}", bomb());
    let texts: [&[u8]; 8] = [
        b"",
        b"# nothing\n",
        b"- a list\n",
        b"unit: [\n",
        b"\xff\xfe\x00",
        aliases.as_bytes(),
        b"<<: { unit: x }\nsize_class: medium\n",
        &[b"[".repeat(5000), b"]".repeat(5000)].concat(),
    ];
    for text in texts {
        let unit = written(&folder, "odd.yaml", text);
        let ran = check(&unit, &EVENING);
        assert_eq!(ran.code, 2, "{:?}", String::from_utf8_lossy(&text[..text.len().min(40)]));
        assert!(ran.stderr.contains("odd.yaml"));
    }
    let twice = written(&folder, "twice.yaml", format!("{whole}---\n{whole}"));
    assert!(check(&twice, &EVENING).stderr.contains("a second document"));
    let huge = written(&folder, "huge.yaml", format!("{whole}# {}\n", "x".repeat(2 << 20)));
    assert!(check(&huge, &EVENING).stderr.contains("more than 1048576 bytes"));
    assert_eq!(check("demo-data", &EVENING).code, 2);
    assert_eq!(check("no/such/file.yaml", &EVENING).code, 2);
}

/// Aliases of aliases, ten times at each of nine levels.
fn bomb() -> String {
    let level = |(name, below): (char, char)| {
        let aliases = vec![format!("*{below}"); 10].join(", ");
        format!("{name}: &{name} [{aliases}]\n")
    };
    ('b'..='i').zip('a'..='h').map(level).collect()
}

#[test]
fn csv_that_is_no_schedule_is_refused() {
    let folder = scratch("csv");
    let cases = [
        ("", "an empty file"),
        ("minute,load_pu\n", "no rows"),
        ("minute,load_pu\n0,1.2\n", "one row"),
        ("minute,load\n0,1.2\n60,0.6\n", "the column \"load\""),
        ("minute,load_pu\n0,1.2\n60,0.9\n30,0.6\n", "30"),
        ("minute,load_pu\n0,1.2\n60,0.9\n60,0.6\n", "60"),
        ("minute,load_pu\n0,1.2\n60,\n90,0.6\n", "an empty cell"),
        ("minute,load_pu\n0,NaN\n60,0.6\n", "NaN"),
        ("minute,load_pu\n0,inf\n60,0.6\n", "inf"),
        ("minute,load_pu\n0,120\n60,0.6\n", "120"),
        ("minute,load_pu\n0,-1\n60,0.6\n", "-1"),
        ("minute,load_pu\n30,1.2\n60,0.6\n", "30"),
        ("minute,load_pu\n0,1.2,5\n60,0.6\n", "3 cells where the header has 2"),
        ("minute,load_pu,load_mva\n0,1.2,48\n60,0.6,24\n", "both of load_pu and load_mva"),
        ("minute,time,load_pu\n0,x,1.2\n60,y,0.6\n", "the columns"),
        ("minute,until_minute,load_pu\n0,30,1.2\n40,60,1.0\n", "a gap of 10 min"),
        ("minute,until_minute,load_pu\n0,50,1.2\n40,60,1.0\n", "an overlap of 10 min"),
        ("time,load_pu\n2026-07-14 18:00,1.2\n2026-07-14 19:00,0.6\n", "2026-07-14 18:00"),
        (
            "time,load_pu\n2026-07-14T18:00:00+01:00,1.2\n2026-07-14T19:00:00+02:00,0.6\n",
            "2026-07-14T19:00:00+02:00",
        ),
    ];
    for (text, found) in cases {
        let loading = written(&folder, "loading.csv", text);
        let ran = check(T1, &["--loading", &loading, "--preload", "0.6", "--ambient", "20"]);
        assert_eq!(ran.code, 2, "{text}");
        assert!(
            ran.stderr.contains("loading.csv") && ran.stderr.contains(found),
            "{text}: {}",
            ran.stderr
        );
    }
}

#[test]
fn ambient_and_history_must_cover_what_they_are_for() {
    let folder = scratch("cover");
    let flags = ["--load", "1.1", "--for", "4h", "--preload", "0.6"];
    for (text, found) in [
        ("minute,ambient_c\n0,20\n120,19\n", "the last row at minute 120"),
        ("minute,ambient_c\n30,20\n300,19\n", "gap of 270 min"),
        ("minute,ambient_c\n30,20\n200,19\n300,18\n", "the first row at minute 30"),
        ("minute,ambient_c\n0,95\n150,90\n300,90\n", "95"),
        (
            "time,ambient_c\n2026-07-14T18:00:00Z,20\n2026-07-14T20:00:00Z,20\n",
            "clock times without a start",
        ),
    ] {
        let ambient = written(&folder, "ambient.csv", text);
        let ran = check(T1, &[&flags[..], &["--ambient-file", &ambient]].concat());
        assert_eq!(ran.code, 2, "{text}");
        assert!(ran.stderr.contains(found), "{text}: {}", ran.stderr);
    }
    for (text, found) in [
        ("minute,load_pu\n-60,0.6\n5,0.6\n", "minute 5"),
        ("minute,load_pu\n-600,0.6\n-240,0.6\n", "gap of 360 min"),
        ("minute,load_pu\n-400,0.6\n-240,0.6\n", "gap of 240 min before the overload"),
    ] {
        let history = written(&folder, "history.csv", text);
        let ran =
            check(T1, &["--load", "1.1", "--for", "4h", "--history", &history, "--ambient", "20"]);
        assert_eq!(ran.code, 2, "{text}");
        assert!(ran.stderr.contains(found), "{text}: {}", ran.stderr);
    }
}

#[test]
fn clock_times_and_minutes_tell_the_same_story() {
    let folder = scratch("clock");
    let loading = written(
        &folder,
        "loading.csv",
        "time,load_mva\n2026-07-14T18:00:00+01:00,50\n2026-07-14T19:30:00+01:00,46\n2026-07-14T21:00:00+01:00,40\n2026-07-14T22:00:00+01:00,28\n",
    );
    let ambient = written(
        &folder,
        "ambient.csv",
        "time,ambient_c\n2026-07-14T16:00:00Z,28\n2026-07-14T17:00:00Z,27\n2026-07-14T18:00:00Z,26\n2026-07-14T19:00:00Z,24.5\n\
         2026-07-14T20:00:00Z,23\n2026-07-14T21:00:00Z,22\n2026-07-14T22:00:00Z,21\n2026-07-14T23:00:00Z,20.5\n",
    );
    let by_clock = json(&check(
        T2,
        &[
            "--loading",
            &loading,
            "--ambient-file",
            &ambient,
            "--preload",
            "0.65",
            "--format",
            "json",
        ],
    ));
    let by_minutes = json(&check(T2, &[&EVENING[..], &["--format", "json"]].concat()));
    assert_eq!(by_clock["trace"], by_minutes["trace"]);
    assert_ne!(by_clock["inputs_sha256"], by_minutes["inputs_sha256"]);
}

#[test]
fn flags_in_the_wrong_unit_or_combination_are_usage_errors() {
    let wrong: [&[&str]; 10] = [
        &["--load", "130", "--for", "2h", "--preload", "0.6", "--ambient", "20"],
        &["--load", "nan", "--for", "2h", "--preload", "0.6", "--ambient", "20"],
        &["--load", "1.1", "--for", "2", "--preload", "0.6", "--ambient", "20"],
        &["--load", "1.1", "--for", "0min", "--preload", "0.6", "--ambient", "20"],
        &["--load", "1.1", "--preload", "0.6", "--ambient", "20"],
        &["--load", "1.1", "--for", "2h", "--ambient", "20"],
        &["--load", "1.1", "--for", "2h", "--preload", "0.6"],
        &["--load", "1.1", "--for", "2h", "--preload", "0.6", "--ambient", "95"],
        &[
            "--load",
            "1.1",
            "--for",
            "2h",
            "--preload",
            "0.6",
            "--ambient",
            "20",
            "--cooling",
            "OFAF",
        ],
        &[
            "--load",
            "1.1",
            "--for",
            "2h",
            "--preload",
            "0.6",
            "--ambient",
            "20",
            "--limits",
            "iec-short-time-emergency",
        ],
    ];
    for flags in wrong {
        let ran = check(T1, flags);
        assert_eq!(ran.code, 2, "{flags:?}");
        assert!(ran.stdout.is_empty() && ran.stderr.starts_with("error: "), "{flags:?}");
    }
}

#[test]
fn local_rules_tighten_and_never_loosen() {
    let folder = scratch("rules");
    let flags = ["--load", "1.1", "--for", "2h", "--preload", "0.6", "--ambient", "20"];
    assert_eq!(check(T1, &flags).code, 0);
    let with = |text: &str| {
        check(T1, &[&flags[..], &["--rules", &written(&folder, "rules.yaml", text)]].concat())
    };
    let head = "rules: test\nissued_by: nobody\n";
    assert_eq!(with(head).code, 0);
    assert_eq!(with(&format!("{head}ceilings: {{ load_pu: 1.05 }}\n")).code, 3);
    assert_eq!(with(&format!("{head}ceilings: {{ duration_min: 60 }}\n")).code, 3);
    assert_eq!(with(&format!("{head}bubbling: {{ no_go_margin_k: 90 }}\n")).code, 3);
    assert_eq!(with(&format!("{head}forbid_when: [top-oil-not-measured]\n")).code, 3);
    let looser = with(&format!("{head}bubbling: {{ no_go_margin_k: 5 }}\n"));
    assert_eq!(looser.code, 2);
    assert!(looser.stderr.contains("may only tighten"));
    assert_eq!(with(&format!("{head}texts: {{ no-such-code: hello }}\n")).code, 2);
    let words = with(&format!(
        "{head}texts: {{ accessory-tap-moves: Ask first. }}\ncautions: [ Ring the desk. ]\n"
    ));
    assert!(
        words.stdout.contains("Local rule: Ask first.")
            && words.stdout.contains("GO WITH CAUTIONS")
    );
    let example = check(T1, &[&flags[..], &["--rules", "profiles/rules/example.yaml"]].concat());
    assert_eq!(example.code, 0, "{}", example.stdout);
}

#[test]
fn a_local_rule_about_what_nobody_stated_cannot_be_decided() {
    let folder = scratch("unstated");
    let unit = altered(&folder, "gas_relay_alarm: false, ", "");
    let rules = written(
        &folder,
        "rules.yaml",
        "rules: test\nissued_by: nobody\nforbid_when: [gas-relay-alarm]\n",
    );
    let flags =
        ["--load", "1.0", "--for", "1h", "--preload", "0.6", "--ambient", "20", "--rules", &rules];
    assert_eq!(check(&unit, &flags).code, 4);
    let stated = |value: &str| check(&unit, &[&flags[..], &["--condition", value]].concat()).code;
    assert_eq!(stated("gas_relay_alarm=false"), 0);
    assert_eq!(stated("gas_relay_alarm=true"), 3);
    assert_eq!(stated("gas_relay_alarm=perhaps"), 2);
}

#[test]
fn an_accessory_below_the_load_is_a_no_go_and_an_unknown_one_is_named() {
    let folder = scratch("accessory");
    let flags = ["--load", "1.1", "--for", "1h", "--preload", "0.6", "--ambient", "20"];
    let low = check(&altered(&folder, "bushings_pu: 1.5", "bushings_pu: 1.05"), &flags);
    assert_eq!(low.code, 3);
    assert!(low.stdout.contains("accessory-bushings"));
    let unknown = check(&altered(&folder, "bushings_pu: 1.5", "bushings_pu: unknown"), &flags);
    assert_eq!(unknown.code, 0);
    assert!(unknown.stdout.contains("The rating of the bushings is unknown"));
}

#[test]
fn a_witness_in_oil_is_not_left_out_quietly() {
    let folder = scratch("witness");
    let flags = ["--load", "0.9", "--for", "1h", "--preload", "0.6", "--ambient", "20"];
    let json_flags = [&flags[..], &["--format", "json"]].concat();
    let counting = |unit: &str| {
        let answer = json(&check(unit, &json_flags));
        answer["bubbling"]["counting_moisture_percent"].as_f64().unwrap()
    };
    let oil = "  - { method: oil-sample, ppm: 24, oil_c: 58, date: 2026-09-03 }\ninsulation:";
    let beside = altered(&folder, "insulation:", oil);
    let ran = check(&beside, &flags);
    assert_eq!(ran.code, 0);
    assert!(ran.stdout.contains("moisture-contradiction") && !ran.stdout.starts_with("(o) GO"));
    assert!(counting(&beside) > counting(T1) + 1.0, "the wet side counts");
    let aside =
        oil.replace("2026-09-03 }", "2026-09-03, set_aside: { by: A. Nother, why: taken cold } }");
    let aside = altered(&folder, "insulation:", &aside);
    let ran = check(&aside, &flags);
    assert_eq!(ran.code, 0);
    assert!(ran.stdout.contains("A. Nother") && !ran.stdout.starts_with("(o) GO"));
    assert!((counting(&aside) - counting(T1)).abs() < f64::EPSILON);
}

#[test]
fn cooling_can_be_stated_and_can_be_lost() {
    let flags = [
        "--load",
        "1.1",
        "--for",
        "3h",
        "--preload",
        "0.55",
        "--ambient",
        "25",
        "--format",
        "json",
    ];
    let hot_spot = |more: &[&str]| {
        let ran = check(T1, &[&flags[..], more].concat());
        json(&ran)["peak"]["hot_spot_c"].as_f64().unwrap()
    };
    let with_fans = hot_spot(&["--cooling", "ONAF"]);
    let lost_late = hot_spot(&["--cooling", "ONAF", "--cooling-lost-at", "2h"]);
    let lost_early = hot_spot(&["--cooling", "ONAF", "--cooling-lost-at", "30min"]);
    let without = hot_spot(&["--cooling", "ONAN"]);
    assert!(with_fans < lost_late && lost_late < lost_early && lost_early < without);
}

#[test]
fn a_hotter_reading_than_computed_is_carried_forward() {
    let flags = [
        "--load",
        "1.1",
        "--for",
        "2h",
        "--preload",
        "0.65",
        "--ambient",
        "25",
        "--format",
        "json",
    ];
    let measured =
        |value: f64| json(&check(T1, &[&flags[..], &["--top-oil", &value.to_string()]].concat()));
    // The hottest that the controls of the fans explain.
    let computed = measured(90.0)["start"]["computed_top_oil_c"].as_f64().unwrap();
    let agreeing = measured(computed);
    let hotter = measured(computed + 8.0);
    let rise = hotter["start"]["measured_minus_computed_k"].as_f64().unwrap();
    assert!((rise - 8.0).abs() < 1.0e-9, "{rise}");
    let hot_spot = |answer: &serde_json::Value| answer["peak"]["hot_spot_c"].as_f64().unwrap();
    assert!(hot_spot(&hotter) - hot_spot(&agreeing) > 5.0);
    let in_the_cycle = measured(computed - 4.0);
    assert_eq!(in_the_cycle["start"]["measured_minus_computed_k"], 0.0, "a cycle is no excess");
    assert_eq!(in_the_cycle["start"]["added_rise_k"], serde_json::json!([0.0, 0.0, 0.0]));
    let unmeasured = json(&check(T1, &flags));
    let doubted = measured(20.0);
    assert!(hot_spot(&doubted) >= hot_spot(&unmeasured), "no credit for a cool reading");
    assert!(
        doubted["bubbling"]["margin_low_k"].as_f64()
            <= unmeasured["bubbling"]["margin_low_k"].as_f64()
    );
}

#[test]
fn an_answer_can_be_written_to_a_file() {
    let folder = scratch("out");
    let path = folder.join("answer.json");
    fs::write(&path, "old").unwrap();
    let out = path.to_str().unwrap();
    let ran = check(T1, &[&EVENING[..], &["--format", "json", "--out", out]].concat());
    assert_eq!((ran.code, ran.stdout.as_str()), (0, ""));
    assert!(fs::read_to_string(&path).unwrap().contains("\"verdict\": \"go-with-cautions\""));
    fs::write(&path, "old").unwrap();
    let refused = check("no/such.yaml", &[&EVENING[..], &["--out", out]].concat());
    assert_eq!(refused.code, 2);
    assert_eq!(fs::read_to_string(&path).unwrap(), "old", "an error loses nothing");
    assert_eq!(
        check(T1, &[&EVENING[..], &["--out", "no/such/folder/answer.txt"]].concat()).code,
        2
    );
    let left = fs::read_dir(&folder).unwrap().count();
    assert_eq!(left, 1, "no half-written file stays behind");
}

#[test]
fn every_profile_and_demo_file_is_valid() {
    for folder in ["profiles", "demo-data"] {
        let ran = run(&["validate", folder]);
        assert_eq!(ran.code, 0, "{}", ran.stdout);
        assert!(ran.stdout.lines().all(|line| line.starts_with("valid ")));
    }
    let folder = scratch("validate");
    written(&folder, "a.yaml", fs::read_to_string(T1).unwrap());
    written(&folder, "b.yaml", "unit: x\n");
    let ran = run(&["validate", folder.to_str().unwrap()]);
    assert_eq!(ran.code, 2);
    assert!(ran.stdout.contains("valid unit profile") && ran.stdout.contains("not valid: "));
}

#[test]
fn schemas_are_json_schemas_with_ranges() {
    for kind in ["unit", "rules", "limits", "cooling", "uncertainty"] {
        let ran = run(&["schema", kind]);
        let schema: serde_json::Value = serde_json::from_str(&ran.stdout).unwrap();
        assert!(schema["$schema"].is_string() && schema["properties"].is_object());
        assert_eq!(schema["additionalProperties"], false);
    }
    let unit = json(&run(&["schema", "unit"]));
    assert!(unit.to_string().contains("\"maximum\":100.0"));
    let spread = &unit["$defs"]["SpreadOfOilRiseK"];
    assert_eq!(spread["oneOf"].as_array().unwrap().len(), 2, "a std or an interval: {spread}");
    assert_eq!(spread["additionalProperties"], false);
}

#[test]
fn every_code_can_be_explained() {
    let list = run(&["explain", "--list"]).stdout;
    assert!(list.lines().count() > 40);
    for code in list.lines() {
        let ran = run(&["explain", code]);
        assert_eq!(ran.code, 0);
        assert!(ran.stdout.starts_with(code) && ran.stdout.contains("would change it"));
    }
    let wrong = run(&["explain", "bubbling-nonsense"]);
    assert_eq!(wrong.code, 2);
    assert!(wrong.stderr.contains("bubbling-margin"));
}

#[test]
fn completions_and_man_pages_are_generated() {
    assert!(run(&["completions", "bash"]).stdout.contains("bubblemargin"));
    let folder = scratch("man");
    assert_eq!(run(&["manual", folder.to_str().unwrap()]).code, 0);
    assert!(fs::read_to_string(folder.join("bubblemargin-check.1")).unwrap().contains("cooling"));
}

#[test]
fn own_profiles_can_replace_the_embedded_ones() {
    let folder = scratch("profiles");
    fs::create_dir_all(folder.join("limits")).unwrap();
    let strict = fs::read_to_string("profiles/limits/iec-long-time-emergency.yaml")
        .unwrap()
        .replace("hot_spot_c: 140", "hot_spot_c: 100");
    written(&folder, "limits/iec-long-time-emergency.yaml", strict);
    let flags = [&EVENING[..], &["--profiles", folder.to_str().unwrap()]].concat();
    assert_eq!(check(T1, &flags).code, 3);
    assert_eq!(check(T1, &[&EVENING[..], &["--profiles", "no/such"]].concat()).code, 2);
}
