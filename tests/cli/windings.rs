//! A load for each of three windings: what it counts as, and what is said of it.

use crate::run::{AS_OF, T1, check, json, run, scratch, written};
use serde_json::Value;
use std::fs;
use std::path::Path;

const FEW: [&str; 2] = ["--draws", "256"];

/// Pair losses in kW, and what the heat run was made with.
const LOSSES: &str = "winding_losses:\n  pairs:\n    - { from: HV, to: LV, kw: 200, mva: 40 }\n    \
                      - { from: HV, to: TV, kw: 50, mva: 13 }\n    \
                      - { from: LV, to: TV, kw: 45, mva: 13 }\n  rises_at_kw: 200\n";

/// The star of these by hand, each at the rating of its winding, kW.
fn star_kw() -> [f64; 3] {
    let (hv_tv, lv_tv) = (50.0 * (40.0_f64 / 13.0).powi(2), 45.0 * (40.0_f64 / 13.0).powi(2));
    let tv = (hv_tv + lv_tv - 200.0) / 2.0;
    [hv_tv - tv, lv_tv - tv, tv * (13.0_f64 / 40.0).powi(2)]
}

/// The same quotients in another order of operations.
const ROUNDING: f64 = 1.0e-9;

/// The dry unit with a tertiary of 13 MVA, and more text at its end.
fn with_tertiary(folder: &Path, name: &str, more: &str) -> String {
    let tertiary = "  - { name: LV, kv: 33 }\n  - { name: TV, kv: 11, mva: 13 }\n";
    let whole = fs::read_to_string(T1).unwrap();
    let whole = whole.replace("  - { name: LV, kv: 33 }\n", tertiary);
    assert!(whole.contains("TV"), "the profile has windings");
    written(folder, name, whole + more)
}

fn unit(test: &str) -> String {
    with_tertiary(&scratch(test), "unit.yaml", LOSSES)
}

fn asked(unit: &str, loads: &[&str], more: &[&str]) -> Value {
    let own = ["--for", "1h", "--preload", "0.6", "--ambient", "20", "--format", "json"];
    let draws: &[&str] = if more.contains(&FEW[0]) { &[] } else { &FEW };
    let ran = check(unit, &[&own[..], draws, loads, more].concat());
    assert!([0, 3, 4].contains(&ran.code), "{}", ran.stderr);
    json(&ran)
}

fn by_winding(unit: &str, loads: [f64; 3], more: &[&str]) -> Value {
    let named = ["HV", "LV", "TV"].into_iter().zip(loads);
    let flags: Vec<String> =
        named.map(|(name, pu)| format!("--winding-load={name}={pu}")).collect();
    let flags: Vec<&str> = flags.iter().map(String::as_str).collect();
    asked(unit, &flags, more)
}

fn figure(answer: &Value, pointer: &str) -> f64 {
    let found = answer.pointer(pointer).and_then(Value::as_f64);
    found.unwrap()
}

const HOT_SPOT: &str = "/peak/hot_spot_c";
const LOAD: &str = "/asked/load";

fn codes(answer: &Value) -> Vec<&str> {
    let findings = answer["findings"].as_array().unwrap();
    findings.iter().map(|finding| finding["code"].as_str().unwrap()).collect()
}

#[test]
fn the_losses_of_all_count_where_they_are_more_than_the_winding_nearest_its_rating() {
    let unit = unit("windings-losses");
    let [hv, lv, tv] = star_kw();
    let answer = by_winding(&unit, [1.1, 0.95, 1.0], &[]);
    let counts = ((hv * 1.21 + lv * 0.9025 + tv) / 200.0_f64).sqrt();
    assert!((1.12..1.14).contains(&counts), "{counts}");
    assert!((figure(&answer, LOAD) - counts).abs() < ROUNDING);
    let windings = &answer["asked"]["windings"];
    assert_eq!((&windings["governs"], &windings["nearest"]), (&"losses".into(), &"HV".into()));
    assert_eq!(windings["loads"][1]["load_pu"], 0.95);
    let same = asked(&unit, &["--load", &counts.to_string()], &[]);
    assert!((figure(&answer, HOT_SPOT) - figure(&same, HOT_SPOT)).abs() < 1.0e-6);
    assert_ne!(answer["inputs_sha256"], same["inputs_sha256"]);
}

#[test]
fn the_winding_nearest_its_rating_counts_where_that_is_more() {
    let unit = unit("windings-nearest");
    let answer = by_winding(&unit, [0.9, 1.2, 0.2], &[]);
    assert!((figure(&answer, LOAD) - 1.2).abs() < ROUNDING);
    assert_eq!(answer["asked"]["windings"]["governs"], "winding");
    assert_eq!(answer["asked"]["windings"]["nearest"], "LV");
    // One voltage for all windings.
    let lower = by_winding(&unit, [0.9, 1.2, 0.2], &["--voltage-pu", "0.96"]);
    assert!((figure(&lower, LOAD) - 1.25).abs() < ROUNDING);
    let flags =
        ["--winding-load", "HV=0.9", "--winding-load", "LV=1.2", "--winding-load", "TV=0.2"];
    let own = ["--for", "1h", "--preload", "0.6", "--ambient", "20"];
    let text = check(&unit, &[&own[..], &FEW, &flags].concat()).stdout;
    assert!(text.contains("windings: HV 0.90, LV 1.20, TV 0.20 pu of their ratings"), "{text}");
    assert!(text.contains("counted as 1.20 pu,\n    LV is nearest its rating"), "{text}");
}

#[test]
fn a_winding_without_a_load_counts_at_its_rating_or_as_the_others_and_is_named() {
    let unit = unit("windings-unstated");
    for (stated, counts) in [(0.8, 1.0), (1.2, 1.2)] {
        let (hv, lv) =
            (format!("--winding-load=HV={stated}"), format!("--winding-load=LV={stated}"));
        let answer = asked(&unit, &[&hv, &lv], &[]);
        let tertiary = &answer["asked"]["windings"]["loads"][2];
        assert_eq!((&tertiary["load_pu"], &tertiary["stated"]), (&counts.into(), &false.into()));
        assert!(codes(&answer).contains(&"input-winding-load-missing"), "{:?}", codes(&answer));
        assert_ne!(answer["verdict"], "go");
        let known = by_winding(&unit, [stated, stated, stated.min(0.8)], &[]);
        assert!(!codes(&known).contains(&"input-winding-load-missing"));
        assert!(figure(&answer, HOT_SPOT) > figure(&known, HOT_SPOT));
    }
}

#[test]
fn more_load_in_any_winding_is_never_cooler_even_with_a_negative_loss_of_the_star() {
    let folder = scratch("windings-more");
    // HV: (100 + 150 - 300) / 2 = -25 kW at 40 MVA.
    let negative = "winding_losses:\n  pairs:\n    - { from: HV, to: LV, kw: 100, mva: 40 }\n    \
                    - { from: HV, to: TV, kw: 15.84375, mva: 13 }\n    \
                    - { from: LV, to: TV, kw: 31.6875, mva: 13 }\n";
    let mut more = 0;
    for (name, losses) in [("star.yaml", LOSSES), ("negative.yaml", negative)] {
        let unit = with_tertiary(&folder, name, losses);
        let counted = |loads: [f64; 3]| figure(&by_winding(&unit, loads, &["--draws", "0"]), LOAD);
        for base in [[0.9, 0.9, 0.5], [0.7, 1.1, 1.0], [1.0, 0.6, 1.2]] {
            let least = counted(base);
            for at in 0..3 {
                let mut loads = base;
                loads[at] += 0.2;
                let found = counted(loads);
                assert!(found >= least - ROUNDING, "{name} {base:?} {at}");
                more += usize::from(found > least + 0.01);
            }
        }
    }
    assert!(more >= 9, "{more} of 18 were warmer");
}

#[test]
fn columns_count_row_by_row_in_both_units_and_before_the_overload_too() {
    let folder = scratch("windings-columns");
    let unit = with_tertiary(&folder, "unit.yaml", LOSSES);
    let ran = |schedule: &str, before: &str, more: &[&str]| {
        let schedule = written(&folder, "schedule.csv", schedule);
        let before = written(&folder, "before.csv", before);
        let own = ["--loading", &schedule, "--history", &before, "--ambient", "20"];
        check(&unit, &[&own[..], &["--format", "json"], &FEW, more].concat())
    };
    let answer = |schedule: &str, before: &str| {
        let ran = ran(schedule, before, &[]);
        serde_json::from_str::<Value>(&ran.stdout).unwrap_or_else(|_| panic!("{}", ran.stderr))
    };
    let pu = "minute,load_pu_HV,load_pu_LV,load_pu_TV,voltage_pu\n0,0.9,0.8,1,1\n60,0.9,1.14,0.2,0.95\n120,0.6,0.6,0.1,1\n";
    let mva = "minute,load_mva_HV,load_mva_LV,load_mva_TV,voltage_pu\n0,36,32,13,1\n60,36,45.6,2.6,0.95\n120,24,24,1.3,1\n";
    let before = "minute,load_pu_HV,load_pu_LV,load_mva_TV,voltage_pu\n-60,0.6,0.5,6.5,1\n";
    let (one, other) = (answer(pu, before), answer(mva, before));
    for pointer in [HOT_SPOT, LOAD] {
        assert!((figure(&one, pointer) - figure(&other, pointer)).abs() < 1.0e-6, "{pointer}");
    }
    // The row that counts for most: 1.14 pu at 0.95 pu voltage.
    assert!((figure(&one, LOAD) - 1.2).abs() < ROUNDING);
    assert!((figure(&one, "/asked/windings/loads/1/load_pu") - 1.2).abs() < ROUNDING);
    assert!(!codes(&one).contains(&"input-winding-load-missing"));
    let part = answer(pu, "minute,load_pu_HV,load_pu_LV\n-60,0.6,0.5\n");
    assert_eq!(part["asked"]["windings"]["not_stated"][0], "TV");
    assert!(codes(&part).contains(&"input-winding-load-missing"));
    assert!(figure(&part, HOT_SPOT) >= figure(&one, HOT_SPOT));
    for (schedule, said) in [
        ("minute,load_pu,load_pu_TV\n0,1.2,1\n60,0.6,1\n", "one load for all windings"),
        ("minute,load_pu_TV,load_mva_TV\n0,1.2,1\n60,0.6,1\n", "one of the two for each winding"),
        ("minute,load_pu_XX\n0,1.2\n60,0.6\n", "load_pu_XX"),
        ("minute,load_pu_HV,load_pu_LV,load_pu_TV\n0,1.2,,1\n60,0.6,0,0\n", "column load_pu_LV"),
        ("minute,load_pu_HV,load_pu_LV,load_pu_TV\n0,1.2,NaN,1\n60,0.6,0,0\n", "column load_pu_LV"),
        ("minute,load_pu_HV,load_pu_LV,load_pu_TV\n0,4.9,4.9,4.9\n60,0.6,0,0\n", "at most 5 pu"),
        ("minute,load_mva_HV,load_mva_LV,load_mva_TV\n0,1.1,1,1\n60,0.6,0.5,0.1\n", "per unit?"),
        ("minute,load_mva_HV,load_mva_LV,load_mva_TV\n0,44,40,1\n60,24,20,0.4\n", "load_pu_TV"),
    ] {
        let ran = ran(schedule, before, &[]);
        assert!(ran.code == 2 && ran.stderr.contains(said), "{said}: {}", ran.stderr);
    }
}

#[test]
fn one_load_for_all_windings_is_what_it_was_and_is_said_to_be_in_proportion() {
    let folder = scratch("windings-proportion");
    let unit = with_tertiary(&folder, "unit.yaml", LOSSES);
    let without = with_tertiary(&folder, "without.yaml", "");
    let load = ["--load", "1.1"];
    let (one, other) = (asked(&unit, &load, &[]), asked(&without, &load, &[]));
    assert_eq!(one.pointer(HOT_SPOT), other.pointer(HOT_SPOT));
    assert_eq!(one["asked"]["windings"]["governs"], "in-proportion");
    assert!(codes(&one).contains(&"input-windings-in-proportion"));
    assert!(other["asked"]["windings"].is_null());
    let rate = |unit: &str, more: &[&str]| {
        let own = ["rate", unit, "--for", "1h", "--ambient", "20", "--limits", "iec-normal-cyclic"];
        run(&[&own[..], &AS_OF, &FEW, more].concat())
    };
    let said = "one load for all windings, in proportion";
    assert!(rate(&unit, &[]).stdout.contains(said) && !rate(&without, &[]).stdout.contains(said));
    let rated = json(&rate(&unit, &["--format", "json"]));
    assert_eq!(rated["asked"]["windings"], "in-proportion");
    assert!(rated["assumptions"].to_string().contains("more than its share"));
}

#[test]
fn flags_that_name_no_winding_are_refused() {
    let folder = scratch("windings-flags");
    let unit = with_tertiary(&folder, "unit.yaml", LOSSES);
    let without = with_tertiary(&folder, "without.yaml", "");
    let own = ["--preload", "0.6", "--ambient", "20"];
    for (unit, flags, said) in [
        (&without, &["--winding-load=HV=1", "--for=1h"][..], "winding_losses"),
        (&unit, &["--winding-load=XX=1", "--for=1h"], "HV, LV, TV"),
        (&unit, &["--winding-load=HV=1", "--winding-load=HV=1", "--for=1h"], "each winding once"),
        (&unit, &["--winding-load=HV", "--for=1h"], "NAME=PU"),
        (&unit, &["--winding-load=HV=NaN", "--for=1h"], "per unit"),
        (&unit, &["--winding-load=HV=6", "--for=1h"], "per unit"),
        (&unit, &["--winding-load=HV=1", "--load=1", "--for=1h"], "cannot be used with"),
        (&unit, &["--winding-load=HV=1"], "--for"),
        (&unit, &["--for=1h"], "--load"),
    ] {
        let ran = check(unit, &[&own[..], flags].concat());
        assert!(ran.code == 2 && ran.stderr.contains(said), "{flags:?}: {}", ran.stderr);
    }
}

#[test]
fn losses_and_gradients_that_contradict_each_other_are_refused() {
    let folder = scratch("windings-profile");
    let pair =
        |from: &str, to: &str| format!("    - {{ from: {from}, to: {to}, kw: 50, mva: 13 }}\n");
    let losses = |pairs: &[(&str, &str)], more: &str| {
        let pairs: String = pairs.iter().map(|(from, to)| pair(from, to)).collect();
        format!("winding_losses:\n  pairs:\n{pairs}{more}")
    };
    let all = [("HV", "LV"), ("HV", "TV"), ("LV", "TV")];
    // A tertiary that loses more from one side than both pairs together can hold: LV -2318 kW of its own.
    let nothing = LOSSES.replace("kw: 200, mva", "kw: 1, mva").replace("kw: 50,", "kw: 500,");
    let nothing = nothing.replace("kw: 45,", "kw: 10,");
    for (more, said) in [
        (losses(&all[..2], ""), "three pairs: LV to TV, HV to TV, HV to LV"),
        (losses(&[all[0], all[1], ("TV", "HV")], ""), "each pair once"),
        (losses(&[all[0], all[1], ("TV", "TV")], ""), "TV to itself"),
        (losses(&[all[0], all[1], ("TV", "XX")], ""), "HV, LV, TV"),
        (losses(&all, "  rises_at_kw: 1000\n"), "with all windings at their ratings"),
        (nothing, "kW in all windings together"),
    ] {
        let ran = run(&["validate", &with_tertiary(&folder, "unit.yaml", &more)]);
        assert!(ran.code == 2 && ran.stderr.contains(said), "{said}: {}", ran.stderr);
    }
    let two = written(&folder, "two.yaml", fs::read_to_string(T1).unwrap() + LOSSES);
    let ran = run(&["validate", &two]);
    assert!(ran.code == 2 && ran.stderr.contains("three windings"), "{}", ran.stderr);
    let whole = fs::read_to_string(with_tertiary(&folder, "unit.yaml", LOSSES)).unwrap();
    for (own, said) in [
        ("hot_spot_gradient_k: 24", None),
        ("hot_spot_gradient_k: 20", None),
        ("average_gradient_k: 18, hot_spot_factor: 1.3", None),
        ("hot_spot_gradient_k: 27", Some("27.0 K for TV")),
        ("average_gradient_k: 21, hot_spot_factor: 1.3", Some("27.3 K for TV")),
        ("hot_spot_factor: 1.3", Some("windings.hot_spot_factor")),
    ] {
        let text = whole.replace("kv: 11, mva: 13", &format!("kv: 11, mva: 13, {own}"));
        let ran = run(&["validate", &written(&folder, "gradient.yaml", text)]);
        match said {
            None => assert_eq!(ran.code, 0, "{own}: {}", ran.stderr),
            Some(said) => assert!(ran.code == 2 && ran.stderr.contains(said), "{}", ran.stderr),
        }
    }
}

#[test]
fn loads_of_windings_are_recorded_and_asked_again() {
    let folder = scratch("windings-record");
    let unit = with_tertiary(&folder, "unit.yaml", LOSSES);
    let store = folder.join("record.db");
    let _ = fs::remove_file(&store);
    let store = store.to_str().unwrap();
    let own = ["check", &unit, "--winding-load", "HV=1.05", "--winding-load", "LV=0.9"];
    let more = ["--winding-load", "TV=0.8", "--for", "1h", "--preload", "0.6", "--ambient", "20"];
    let record = ["--as-of", "2026-10-20", "--record", store];
    let ran = run(&[&own[..], &more, &record, &FEW].concat());
    assert!(ran.code != 2, "{}", ran.stderr);
    let shown = run(&["record", "show", store, "1"]).stdout;
    assert!(shown.contains("--winding-load HV=1.05"), "{shown}");
    let again = run(&["record", "recheck", store]);
    assert_eq!(again.code, 0, "{}{}", again.stdout, again.stderr);
}
