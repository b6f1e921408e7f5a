//! Uncertainties as they are stated: in the profile, in CSV columns, by flags and in place of the usual.

use crate::run::{EVENING, T1, T2, altered, check, json, run, scratch, written};
use std::fs;

const EASY: [&str; 8] = ["--load", "1.1", "--for", "2h", "--preload", "0.6", "--ambient", "20"];

/// What `validate` says of the dry unit with these keys under `uncertainty`, on line 3.
fn refused(test: &str, keys: &str) -> (i32, String) {
    let folder = scratch(test);
    let unit =
        altered(&folder, "unit: fellmoor-t1", &format!("unit: fellmoor-t1\nuncertainty: {keys}"));
    let ran = run(&["validate", &unit]);
    (ran.code, ran.stderr)
}

#[test]
fn uncertainties_that_are_none_are_refused_where_they_stand() {
    for (keys, key, accepted) in [
        ("{ top_oil_rise_k: { std: 2, least: 45, most: 55 } }", "top_oil_rise_k", "either std, or"),
        ("{ top_oil_rise_k: { least: 45 } }", "top_oil_rise_k", "either std, or least and most"),
        ("{ top_oil_rise_k: {} }", "top_oil_rise_k", "either std, or least and most"),
        ("{ top_oil_rise_k: { least: 51, most: 55 } }", "top_oil_rise_k", "the value itself, 50 K"),
        ("{ top_oil_rise_k: { least: 50, most: 50 } }", "top_oil_rise_k", "least below most"),
        ("{ top_oil_rise_k: { least: 5, most: 55 } }", "top_oil_rise_k.least", "from 15 to 100"),
        ("{ top_oil_rise_k: { std: -1 } }", "top_oil_rise_k.std", "from 0 to 1000"),
        ("{ top_oil_rise_k: { std: .nan } }", "top_oil_rise_k.std", "from 0 to 1000"),
        ("{ top_oil_rise_k: { std: 1e300 } }", "top_oil_rise_k.std", "from 0 to 1000"),
        ("{ top_oil_rise_k: { std: 2 K } }", "top_oil_rise_k.std", "from 0 to 1000"),
        ("{ top_oil_rise_k: { std: 17 } }", "top_oil_rise_k", "a third of the value"),
        ("{ top_oil_rise_k: 2 }", "top_oil_rise_k", ""),
        ("{ top_oil_rise_k: { sigma: 2 } }", "sigma", "std, least, most"),
        ("{ top_oil_k: { std: 2 } }", "top_oil_k", "top_oil_rise_k"),
        ("{ hot_spot_gradient_k: { std: 8.1 } }", "hot_spot_gradient_k", "from 0 to 8 K"),
        ("{ oil_exponent: { std: 0.11 } }", "oil_exponent", "from 0 to 0.1"),
        ("{ oil_exponent: { least: 0.79, most: 1.2 } }", "oil_exponent", "ends within 0.3"),
        ("{ k21: { std: 0.6 } }", "k21", "half of what k21 exceeds 1 by"),
        ("{ k21: { least: 0.9, most: 2 } }", "k21.least", "from 1 to 4"),
        ("{ gas_percent: { least: 6, most: 9 } }", "gas_percent", "5.5536 % by volume"),
        ("{ head_above_hot_spot_m: { std: 1.1 } }", "head_above_hot_spot_m", "from 0 to 1 m"),
        ("{ weather_kpa: { least: 1, most: 2 } }", "weather_kpa", "the value itself, 0 kPa"),
        ("{ holding_factor: { std: 0.2 } }", "holding_factor", "15 % of the value"),
        ("{ correlation_k: { std: 11 } }", "correlation_k.std", "from 0 to 10"),
        ("{ correlation_k: { std: 4, choice: higher } }", "correlation_k", "lower, either"),
        ("{ correlation_k: { choice: either } }", "correlation_k.std", "which is required"),
        ("{ measured_top_oil_k: { std: 5.1 } }", "measured_top_oil_k", "from 0 to 5 K"),
        ("{ load_percent: { at_start: 2 } }", "load_percent", "either std, or at_start and"),
        ("{ load_percent: { std: 2, after_a_day: 5 } }", "load_percent", "either std, or"),
        ("{ ambient_k: { at_start: 3, after_a_day: 1 } }", "ambient_k", "does not shrink"),
        ("{ ambient_k: { std: 16 } }", "ambient_k.std", "from 0 to 15"),
    ] {
        let (code, error) = refused("uncertain-refused", keys);
        assert_eq!(code, 2, "{keys}");
        let place = error.lines().next().unwrap();
        // Nothing stands on a line where no key stands.
        let at = if keys.contains("{} }") {
            "unit.yaml, uncertainty"
        } else {
            "unit.yaml, line 3, uncertainty"
        };
        assert!(place.contains(at) && place.contains(key), "{error}");
        assert!(error.contains(accepted), "{keys}\n{error}");
    }
}

#[test]
fn uncertainties_that_are_possible_are_accepted() {
    for keys in [
        "{}",
        "{ top_oil_rise_k: { std: 0 }, hot_spot_gradient_k: { std: 8 }, k21: { std: 0.5 } }",
        "{ top_oil_rise_k: { least: 50, most: 60 }, gas_percent: { least: 2, most: 5.5536 } }",
        "{ weather_kpa: { least: -3, most: 0 }, holding_factor: { least: 0.7, most: 1 } }",
        "{ correlation_k: { std: 0, choice: either }, load_percent: { std: 0 } }",
        "{ ambient_k: { at_start: 2, after_a_day: 2 }, measured_top_oil_k: { std: 5 } }",
    ] {
        assert_eq!(refused("uncertain-accepted", keys), (0, String::new()), "{keys}");
    }
}

#[test]
fn a_column_of_uncertainties_is_checked_row_by_row() {
    let folder = scratch("uncertain-columns");
    let with = |flag: &str, text: &str| {
        let file = written(&folder, "rows.csv", text);
        let rest: &[&str] = if flag == "--loading" {
            &["--ambient", "20"]
        } else {
            &["--load", "1.1", "--for", "1h"]
        };
        check(T1, &[&["--preload", "0.6", flag, &file], rest].concat())
    };
    for bad in ["-1", "31", "NaN", "", "five"] {
        let ran =
            with("--loading", &format!("minute,load_pu,load_std_percent\n0,1.1,2\n60,0.6,{bad}\n"));
        assert_eq!(ran.code, 2, "{bad}");
        assert!(ran.stderr.contains("line 3, column load_std_percent"), "{}", ran.stderr);
        let ran = with(
            "--ambient-file",
            &format!("minute,ambient_c,ambient_std_k\n0,20,1\n60,20,{bad}\n"),
        );
        assert_eq!(ran.code, 2, "{bad}");
        assert!(ran.stderr.contains("line 3, column ambient_std_k"), "{}", ran.stderr);
    }
    let ran = with("--loading", "minute,load_pu,load_std_percent\n0,1.1,2\n60,0.6,0\n");
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let ran = with("--ambient-file", "minute,ambient_c,ambient_std_k\n0,20,1\n60,20,1.5\n");
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let ran = with("--ambient-file", "minute,ambient_c,load_std_percent\n0,20,1\n60,20,1.5\n");
    assert_eq!(ran.code, 2, "the other table's column");
}

#[test]
fn a_flag_and_a_column_that_both_state_an_uncertainty_are_refused() {
    let folder = scratch("uncertain-both");
    let load = written(&folder, "load.csv", "minute,load_pu,load_std_percent\n0,1.1,2\n60,0.6,2\n");
    let ambient =
        written(&folder, "ambient.csv", "minute,ambient_c,ambient_std_k\n0,20,1\n60,20,1.5\n");
    let flags = ["--loading", &load, "--ambient-file", &ambient, "--preload", "0.6"];
    assert_eq!(check(T1, &flags).code, 0);
    for (flag, column) in [("--load-std", "load_std_percent"), ("--ambient-std", "ambient_std_k")] {
        let ran = check(T1, &[&flags[..], &[flag, "1"]].concat());
        assert_eq!(ran.code, 2);
        assert!(ran.stderr.contains(flag) && ran.stderr.contains(column), "{}", ran.stderr);
    }
}

#[test]
fn flags_of_uncertainty_are_checked_and_belong_to_the_inputs() {
    for bad in [
        ["--load-std", "-1"],
        ["--load-std", "nan"],
        ["--load-std", "31"],
        ["--ambient-std", "-0.1"],
        ["--ambient-std", "1e9"],
        ["--draws", "255"],
        ["--draws", "-1"],
        ["--draws", "1048577"],
        ["--draws", "1e4"],
        ["--seed", "-1"],
        ["--seed", "4294967296"],
        ["--seed", "1.5"],
    ] {
        assert_eq!(check(T1, &[&EASY[..], &bad].concat()).code, 2, "{bad:?}");
    }
    let hash = |more: &[&str]| {
        let ran = check(T1, &[&EASY[..], more, &["--format", "json"]].concat());
        assert_eq!(ran.code, 0, "{}", ran.stderr);
        json(&ran)["inputs_sha256"].as_str().unwrap().to_owned()
    };
    let plain = hash(&[]);
    assert_eq!(plain, hash(&["--draws", "4096", "--seed", "1"]), "as by default");
    assert_eq!(plain, hash(&["--draws", "4000"]), "rounded up to a power of two");
    for other in [
        &["--load-std", "2"][..],
        &["--ambient-std", "2"],
        &["--draws", "0"],
        &["--draws", "8192"],
        &["--seed", "2"],
    ] {
        assert_ne!(plain, hash(other), "{other:?}");
    }
    assert_eq!(plain, hash(&["--why"]), "it changes no figure");
}

#[test]
fn usual_uncertainties_of_the_users_own_are_read_and_checked() {
    let folder = scratch("own-uncertainty");
    fs::create_dir_all(folder.join("uncertainty")).unwrap();
    let usual = fs::read_to_string("profiles/uncertainty/usual.yaml").unwrap();
    let own = |text: &str| written(&folder, "uncertainty/usual.yaml", text);
    let with = [&EVENING[..], &["--profiles", folder.to_str().unwrap()]].concat();
    let path = own(&usual.replace("heat_run: 2\n", "heat_run: 3\n"));
    assert_eq!(check(T1, &with).code, 0);
    let ran = run(&["validate", &path]);
    assert!(ran.code == 0 && ran.stdout.contains("valid usual uncertainties"), "{}", ran.stdout);
    for (from, to, found) in [
        ("unit: kPa", "unit: mbar", "weather_kpa.unit"),
        ("std: 0.03", "std: 0.3", "oil_exponent"),
        ("std: 0.03", "std: -0.03", "oil_exponent"),
        ("weather_kpa:", "weather_mbar:", "weather_mbar"),
        ("after_a_day: 5", "after_a_day: 50", "load_percent"),
        ("source: project-choice", "", "source"),
    ] {
        own(&usual.replacen(from, to, 1));
        let ran = check(T1, &with);
        assert_eq!(ran.code, 2, "{to}");
        let place = ran.stderr.lines().find(|line| line.contains("usual.yaml")).unwrap_or("");
        assert!(place.contains("line ") && place.contains(found), "{}", ran.stderr);
    }
    own(&usual);
    let other = written(&folder, "uncertainty/other.yaml", &usual);
    let ran = check(T1, &with);
    fs::remove_file(other).unwrap();
    assert!(ran.code == 2 && ran.stderr.contains("would be ignored"), "{}", ran.stderr);
}

/// Without draws nothing uncertain is taken off the margin: no command may call it conservative or give a plain go.
#[test]
fn without_draws_no_answer_is_conservative_or_a_plain_go() {
    let load = ["--load", "1.12", "--for", "4h", "--preload", "0.7", "--ambient", "20"];
    let none = ["--draws", "0", "--as-of", "2026-10-20"];
    let outages = ["--outages", "demo-data/outages.yaml"];
    let loads = ["--loads", "demo-data/fleet/loads.csv", "--times-peak", "1.1", "--for", "2h"];
    let few = ["--for", "1h,4h", "--ambient", "20"];
    for (command, of, flags) in [
        ("check", T2, &load[..]),
        ("check", T1, &load[..]),
        ("rate", T2, &few[..]),
        ("plan", T2, &outages[..]),
        ("fleet", "demo-data/fleet/units", &loads[..]),
    ] {
        let asked = [&[command, of], flags, &none[..]].concat();
        let text = run(&asked).stdout;
        assert!(text.contains("simulated"), "{command} {of}: {text}");
        assert!(!text.contains("onservative"), "{command} {of}: {text}");
        if command == "check" {
            let first = text.lines().next().unwrap();
            assert!(first.contains("margin at most "), "{first}");
        }
        if command == "plan" {
            // A plan takes long, and its text names the code.
            assert!(text.contains("bubbling-not-drawn"), "{text}");
            continue;
        }
        let answer = run(&[&asked[..], &["--format", "json"]].concat()).stdout;
        assert!(answer.contains("\"bubbling-not-drawn\""), "{command} {of}");
        assert!(!answer.contains("\"verdict\": \"go\""), "{command} {of}");
    }
    // 12.9 K of the wet unit, where 95 % of cases leave less than the required 10 K.
    let drawn = json(&check(T2, &[&load[..], &["--format", "json"]].concat()));
    assert_eq!(drawn["verdict"], "no-go");
    let codes = drawn["findings"].to_string();
    assert!(!codes.contains("bubbling-not-drawn"), "{codes}");
    let page = run(&[&["check", T2], &load[..], &none[..], &["--format", "html"]].concat()).stdout;
    assert!(page.contains("bubbling-not-drawn"), "the page says so too");
}

#[test]
fn another_seed_is_named_with_a_caution_that_a_go_ahead_must_acknowledge() {
    let asked = |flags: &[&str]| json(&check(T1, &[&EASY[..], &["--format=json"], flags].concat()));
    let seed = |answer: &serde_json::Value| {
        let findings = answer["findings"].as_array().unwrap().clone();
        findings.into_iter().find(|finding| finding["code"] == "input-seed")
    };
    let other = asked(&["--seed", "7"]);
    let found = seed(&other).unwrap();
    assert_eq!(
        (&found["severity"], &other["verdict"]),
        (&"caution".into(), &"go-with-cautions".into())
    );
    assert!(found["text"].as_str().unwrap().contains("seed 7 instead of the usual 1"), "{found}");
    assert!(seed(&asked(&["--seed", "1"])).is_none());
    assert!(seed(&asked(&["--draws", "0", "--seed", "7"])).is_none(), "no seed is used");
    let record = scratch("uncertain-seed").join("record.db");
    let _ = fs::remove_file(&record);
    let record = record.to_str().unwrap();
    let decided =
        ["--seed", "7", "--record", record, "--decision", "go-ahead", "--authorised-by", "A"];
    let ran = check(T1, &[&EASY[..], &decided].concat());
    assert_eq!(ran.code, 2);
    assert!(ran.stderr.contains("input-seed"), "{}", ran.stderr);
    let ran = check(
        T1,
        &[&EASY[..], &decided, &["--acknowledge", "input-seed,input-judged-for-another-day"]]
            .concat(),
    );
    assert_eq!(ran.code, 0, "{}", ran.stderr);
}

/// Where fans start within the loads that are tried, what the simulated cases take off jumps; the search then found
/// nothing, although the load that was asked about passes.
#[test]
fn a_load_that_passes_has_a_largest_load_at_or_above_it_where_fans_start_on_the_way() {
    for load_pu in ["0.6", "0.88"] {
        let flags = ["--load", load_pu, "--for", "4h", "--preload", "0.7", "--ambient", "0"];
        let limits = ["--limits", "iec-normal-cyclic", "--format", "json"];
        let answer = json(&check(T2, &[&flags[..], &limits].concat()));
        assert_eq!(answer["verdict"], "go-with-cautions", "{load_pu}");
        let largest_pu = answer["largest_load_pu"].as_f64().unwrap();
        assert!(largest_pu >= load_pu.parse().unwrap(), "{load_pu}: {largest_pu}");
    }
}
