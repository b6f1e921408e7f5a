//! Figures and keys that a reader would change or drop without a word, and figures that look like another unit's.

use crate::run::{AS_OF, Ran, T1, T2, altered, check, json, run, scratch, written};
use std::fs;

const EASY: [&str; 8] = ["--load", "1.1", "--for", "1h", "--preload", "0.6", "--ambient", "20"];
/// An overload whose past a history tells.
const BRIEF: [&str; 8] = ["--load", "1.1", "--for", "1h", "--ambient", "20", "--draws", "0"];
const CONFIRMED: &str = "--units-confirmed";

/// Refused with all of these words, and nothing printed.
fn refused(ran: &Ran, words: &[&str]) {
    assert_eq!(ran.code, 2, "{words:?}: {}", ran.stderr);
    assert!(ran.stdout.is_empty(), "{words:?}");
    for word in words {
        assert!(ran.stderr.contains(word), "{word} in {}", ran.stderr);
    }
}

/// Asked first; answered once the units are confirmed, with another hash than the same without a question.
fn asked(ask: impl Fn(&[&str]) -> Ran, words: &[&str]) {
    refused(&ask(&[]), words);
    refused(&ask(&[]), &[CONFIRMED]);
    let ran = ask(&[CONFIRMED]);
    assert!([0, 3, 4].contains(&ran.code), "{words:?}: {}", ran.stderr);
}

#[test]
fn a_figure_that_is_no_plain_decimal_is_refused_as_it_was_written() {
    let folder = scratch("odd-figures");
    for odd in ["0x28", "0X28", "0o50", "0b101000", "4_0", "1_000", "040", "+0x28", "4_0.0"] {
        let unit = altered(&folder, "mva: 40", &format!("mva: {odd}"));
        refused(
            &check(&unit, &EASY),
            &["line 7, rated.mva", odd, "a number from 0.01 to 2000 (MVA)"],
        );
        refused(&run(&["validate", &unit]), &[]);
    }
    let block = altered(&folder, "top_oil_rise_k: 50", "top_oil_rise_k: &rise 0x32");
    refused(&check(&block, &EASY), &["line 12", "top_oil_rise_k", "0x32", "plain decimal"]);
}

#[test]
fn a_tag_is_refused_wherever_it_stands() {
    let folder = scratch("tags");
    for (from, to, place) in [
        ("mva: 40", "mva: !tag 40", "line 7, rated.mva"),
        ("mva: 40", "mva: !!float 40", "line 7, rated.mva"),
        ("paper: kraft", "paper: !x kraft", "line 8, paper"),
        ("rated: {", "rated: !x {", "line 7, rated"),
    ] {
        let unit = altered(&folder, from, to);
        refused(&check(&unit, &EASY), &[place, "a tag", "the value alone"]);
    }
}

#[test]
fn plain_decimals_in_every_spelling_are_the_same_number() {
    let folder = scratch("plain-figures");
    let answer = |unit: &str| {
        let ran = check(unit, &[&EASY[..], &["--format", "json", "--draws", "0"]].concat());
        json(&ran)["bubbling"]["margin_k"].as_f64().unwrap().to_bits()
    };
    let usual = answer(T1);
    for same in ["+40", "40.", "40.0", "4e1", "4E+1", ".4e2", "400e-1"] {
        assert_eq!(answer(&altered(&folder, "mva: 40", &format!("mva: {same}"))), usual, "{same}");
    }
    for other in ["\"40\"", "~", "0:40", "4,0e1", "40 MVA", ".inf", ".nan"] {
        let unit = altered(&folder, "mva: 40", &format!("mva: {other}"));
        assert_eq!(check(&unit, &EASY).code, 2, "{other}");
    }
}

#[test]
fn a_text_that_looks_like_an_odd_figure_stays_a_text() {
    let folder = scratch("odd-texts");
    let unit = altered(&folder, "unit: fellmoor-t1", "unit: 0x10");
    let ran = check(&unit, &[&EASY[..], &["--format", "json"]].concat());
    assert_eq!(json(&ran)["unit"], "0x10", "{}", ran.stderr);
}

#[test]
fn cells_and_flags_take_plain_decimals_alone() {
    let folder = scratch("odd-cells");
    for odd in ["0x1", "1_0", "0o1", "1,1", "!t 1"] {
        let text = format!("minute,load_pu\n0,{odd}\n60,0.6\n");
        let loading = written(&folder, "loading.csv", text);
        let ran = check(
            T1,
            &["--loading", &loading, "--preload", "0.6", "--ambient", "20", "--draws", "0"],
        );
        assert_eq!(ran.code, 2, "{odd}");
        let flags = ["--load", odd, "--for", "1h", "--preload", "0.6", "--ambient", "20"];
        assert_eq!(check(T1, &flags).code, 2, "{odd}");
    }
}

#[test]
fn an_earlier_answer_with_a_key_twice_is_refused_with_its_path_and_line() {
    let folder = scratch("key-twice");
    let rate =
        [&["rate", T2, "--for", "1h", "--ambient", "20", "--draws", "0"], &AS_OF[..]].concat();
    let whole = run(&[&rate[..], &["--format", "json"]].concat()).stdout;
    let compare = |text: String| {
        let old = written(&folder, "old.json", text);
        run(&[&rate[..], &["--compare", &old]].concat())
    };
    assert_eq!(compare(whole.clone()).code, 0);
    let once = "\"methodology\":";
    let line = whole.lines().position(|line| line.contains(once)).unwrap() + 2;
    let first = whole.replacen(once, "\"methodology\": \"another\",\n  \"methodology\":", 1);
    refused(
        &compare(first),
        &["old.json", &format!("line {line}, methodology"), "the same key twice"],
    );
    // A key that nobody looks at, deep inside, is no better.
    let deep =
        whole.replacen("\"tool\": {", "\"tool\": { \"x\": [{ \"y\": 1, \"\\u0079\": 2 }],", 1);
    assert_ne!(deep, whole);
    refused(&compare(deep), &["tool.x[0].y", "each key once"]);
}

#[test]
fn loads_in_mva_that_look_like_per_unit_are_asked_about() {
    let folder = scratch("like-pu");
    let write = |name: &str, rows: &str| written(&folder, name, format!("minute,load_mva\n{rows}"));
    let loading = write("loading.csv", "0,1.25\n90,1.15\n180,0.9\n");
    let around = ["--preload", "0.6", "--ambient", "20", "--draws", "0"];
    let ask = |more: &[&str]| check(T1, &[&["--loading", &loading], &around[..], more].concat());
    let words = ["loading.csv, line 2, column load_mva", "at most 1.25 MVA", "40 MVA", "per unit?"];
    asked(ask, &words);
    let history = write("history.csv", "-180,0.7\n-120,0.9\n-60,0.8\n0,0.8\n");
    let flags = [&BRIEF[..], &["--history", &history]].concat();
    asked(|more| check(T1, &[&flags[..], more].concat()), &["history.csv", "at most 0.9 MVA"]);
    let long = ["history", T1, "--history", &history, "--ambient", "20", AS_OF[0], AS_OF[1]];
    asked(|more| run(&[&long[..], more].concat()), &["history.csv", "column load_mva", "0.9 MVA"]);
    // Idle, and as much as an overload is: nothing to ask.
    for rows in ["-180,0\n-120,0\n-60,0\n0,0\n", "-180,14\n-120,16\n-60,15\n0,15\n"] {
        let history = write("plain.csv", rows);
        let flags = [&BRIEF[..], &["--history", &history]].concat();
        assert!([0, 3].contains(&check(T1, &flags).code), "{rows}");
    }
}

#[test]
fn a_small_unit_may_carry_few_mva_without_a_question() {
    let folder = scratch("small-unit");
    let small = altered(&folder, "mva: 40", "mva: 3.15");
    let ask = |peak: &str| {
        let loading = written(&folder, "l.csv", format!("minute,load_mva\n0,{peak}\n60,1.4\n"));
        check(
            &small,
            &["--loading", &loading, "--preload", "0.6", "--ambient", "20", "--draws", "0"],
        )
    };
    assert!([0, 3, 4].contains(&ask("2.9").code), "{}", ask("2.9").stderr);
    // Between half of its rating and nine tenths of it all figures are per unit as well.
    let smaller = altered(&folder, "mva: 40", "mva: 2.5");
    let loading = written(&folder, "smaller.csv", "minute,load_mva\n0,1.3\n60,0.9\n");
    let flags = ["--loading", &loading, "--preload", "0.6", "--ambient", "20", "--draws", "0"];
    let words = ["at most 1.3 MVA", "2.5 MVA", "per unit?"];
    asked(|more| check(&smaller, &[&flags[..], more].concat()), &words);
    let loading = written(&folder, "smaller.csv", "minute,load_mva\n0,2.4\n60,0.9\n");
    let flags = ["--loading", &loading, "--preload", "0.6", "--ambient", "20", "--draws", "0"];
    assert!([0, 3, 4].contains(&check(&smaller, &flags).code));
    assert_eq!(altered(&folder, "mva: 40", "mva: 3.15"), small);
    refused(&ask("1.45"), &["per unit?", "3.15 MVA"]);
}

#[test]
fn mva_above_three_times_the_rating_are_asked_about() {
    let folder = scratch("far-above");
    let loading = written(&folder, "loading.csv", "minute,load_mva\n0,48\n30,121\n60,36\n");
    let flags = ["--loading", &loading, "--preload", "0.6", "--ambient", "20", "--draws", "0"];
    let words = ["loading.csv, line 3, column load_mva", "121 MVA", "three times", "40 MVA"];
    asked(|more| check(T1, &[&flags[..], more].concat()), &words);
    let five = written(&folder, "five.csv", "minute,load_mva\n0,201\n60,36\n");
    let beyond = ["--loading", &five, "--preload", "0.6", "--ambient", "20", CONFIRMED];
    refused(&check(T1, &beyond), &["five times the rating"]);
}

#[test]
fn minutes_that_look_like_hours_are_asked_about() {
    let folder = scratch("like-hours");
    let loading = written(&folder, "loading.csv", "minute,load_pu\n0,1.3\n2,1.2\n4,0.6\n");
    let flags = ["--loading", &loading, "--preload", "0.6", "--ambient", "20", "--draws", "0"];
    let words = ["loading.csv, line 2, column minute", "minutes from 0 to 4", "hours?"];
    asked(|more| check(T1, &[&flags[..], more].concat()), &words);
    let rows: Vec<String> = (-24..=0).map(|hour| format!("{hour},0.6\n")).collect();
    let rows = rows.concat();
    let history = written(&folder, "history.csv", format!("minute,load_pu\n{rows}"));
    let flags = [&BRIEF[..], &["--history", &history]].concat();
    asked(|more| check(T1, &[&flags[..], more].concat()), &["history.csv", "from -24 to 0"]);
    let long = ["history", T1, "--history", &history, "--ambient", "20", AS_OF[0], AS_OF[1]];
    asked(|more| run(&[&long[..], more].concat()), &["history.csv, column minute", "hours?"]);
    // Shifts of a day, and hourly rows beyond a day.
    let hourly = (0..36).map(|hour| format!("{hour},0.95")).collect::<Vec<_>>().join("\n");
    for (rows, span) in [
        ("0,1.3\n8,1.2\n16,0.6\n", "from 0 to 16"),
        ("0,1.3\n7,0.6\n", "from 0 to 7"),
        (hourly.as_str(), "from 0 to 35"),
    ] {
        let loading = written(&folder, "shifts.csv", format!("minute,load_pu\n{rows}"));
        let flags = ["--loading", &loading, "--preload", "0.6", "--ambient", "20", "--draws", "0"];
        asked(|more| check(T1, &[&flags[..], more].concat()), &["column minute", span, "hours?"]);
    }
    // Ten minutes apart, tenths of an hour, a step of a quarter of an hour: minutes.
    for rows in ["0,1.3\n10,1.2\n20,0.6\n", "0,1.3\n6,1.2\n12,1.1\n18,0.6\n", "0,1.3\n15,0.6\n"] {
        let loading = written(&folder, "plain.csv", format!("minute,load_pu\n{rows}"));
        let ran = check(
            T1,
            &["--loading", &loading, "--preload", "0.6", "--ambient", "20", "--draws", "0"],
        );
        assert!([0, 3].contains(&ran.code), "{rows}: {}", ran.stderr);
    }
}

#[test]
fn hours_that_look_like_minutes_are_asked_about() {
    let around = ["--preload", "0.6", "--ambient", "20", "--draws", "0"];
    for (flags, flag, found, instead) in [
        (&["--load", "1.05", "--for", "90h"][..], "--for", "90 h", "90min"),
        (&["--step", "1.05:45h"], "--step", "45 h", "45min"),
        (
            &["--load", "1.05", "--for", "2h", "--cooling-lost-at", "30h"],
            "--cooling-lost-at",
            "30 h",
            "30min",
        ),
    ] {
        asked(|more| check(T1, &[flags, &around, more].concat()), &[flag, found, instead]);
    }
    // After the overload no loss counts during it.
    let lost = |at: &str, more: &[&str]| {
        let flags = ["--load", "1.05", "--for", "4h", "--cooling-lost-at", at];
        check(T1, &[&flags[..], &around, more].concat())
    };
    let words = ["--cooling-lost-at", "20 h, after the end of the overload at 4 h", "20min?"];
    asked(|more| lost("20h", more), &words);
    assert!([0, 3].contains(&lost("4h", &[]).code));
    for plain in ["12h", "14h", "16h", "24h", "36h", "48h", "90min"] {
        let ran = check(T1, &[&["--load", "1.05", "--for", plain], &around[..]].concat());
        assert!([0, 3].contains(&ran.code), "{plain}: {}", ran.stderr);
    }
    let fleet = ["fleet", "demo-data/units", "--load", "1.0", "--for", "30h", "--preload", "0.6"];
    let fleet = [&fleet[..], &["--ambient", "20", "--draws", "0"], &AS_OF].concat();
    asked(|more| run(&[&fleet[..], more].concat()), &["--for", "30 h", "30min"]);
}

#[test]
fn a_confirmation_is_hashed_and_changes_no_figure() {
    let answer = |more: &[&str]| {
        json(&check(T1, &[&EASY[..], &["--format", "json", "--draws", "0"], more].concat()))
    };
    let (without, with) = (answer(&[]), answer(&[CONFIRMED]));
    assert_ne!(without["inputs_sha256"], with["inputs_sha256"]);
    assert_eq!(without["bubbling"], with["bubbling"]);
    assert_eq!(without["findings"], with["findings"]);
}

#[test]
fn the_recent_loads_of_a_fleet_are_asked_about_unit_by_unit() {
    let folder = scratch("fleet-units");
    let loads = |t1: &str| {
        let rows = format!("fellmoor-t1,0,{t1}\nfellmoor-t1,60,{t1}\nfellmoor-t2,0,20\n");
        written(&folder, "loads.csv", format!("unit,minute,load_mva\n{rows}"))
    };
    let ask = |t1: &str, more: &[&str]| {
        let loads = loads(t1);
        let flags = ["fleet", "demo-data/units", "--loads", &loads, "--load", "1.0", "--for", "1h"];
        let rest = ["--ambient", "20", "--draws", "0", "--format", "json", AS_OF[0], AS_OF[1]];
        run(&[&flags[..], &rest, more].concat())
    };
    let standing = |ran: &Ran| {
        let answer = json(ran);
        let rows = answer["units"].as_array().unwrap();
        let row = rows.iter().find(|row| row["unit"] == "fellmoor-t1").unwrap();
        row.to_string()
    };
    for (mva, word) in [("0.8", "per unit?"), ("130", "three times")] {
        let ran = ask(mva, &[]);
        assert_eq!(ran.code, 2, "{mva}");
        assert!(standing(&ran).contains("refused") && standing(&ran).contains(word), "{mva}");
        let confirmed = ask(mva, &[CONFIRMED]);
        assert_ne!(confirmed.code, 2, "{mva}: {}", confirmed.stderr);
    }
    assert_ne!(ask("20", &[]).code, 2);
}

#[test]
fn a_plan_whose_forecast_is_per_unit_is_asked_about() {
    let folder = scratch("plan-units");
    let demo = fs::read_to_string("demo-data/outages.yaml").unwrap();
    for folder_name in ["units", "loading", "ambient"] {
        let own = folder.join(folder_name);
        fs::create_dir_all(&own).unwrap();
        for file in fs::read_dir(format!("demo-data/{folder_name}")).unwrap() {
            let file = file.unwrap();
            fs::copy(file.path(), own.join(file.file_name())).unwrap();
        }
    }
    let plan = written(&folder, "outages.yaml", demo);
    let ask = |more: &[&str]| {
        run(&[&["plan", T2, "--outages", &plan, "--draws", "0"], &AS_OF[..], more].concat())
    };
    assert_ne!(ask(&[]).code, 2);
    let whole = fs::read_to_string("demo-data/loading/fellmoor-winter.csv").unwrap();
    let scaled = |by: f64| {
        let row = |line: &str| match line
            .split_once(',')
            .and_then(|(time, mva)| Some(format!("{time},{:.3}\n", by * mva.parse::<f64>().ok()?)))
        {
            Some(row) => row,
            None => format!("{line}\n"),
        };
        let text: String = whole.lines().map(row).collect();
        written(&folder.join("loading"), "fellmoor-winter.csv", text);
    };
    scaled(1.0 / 40.0);
    refused(&ask(&[]), &["outages.yaml, units.normally", "a unit of 40 MVA", "per unit?"]);
    assert_ne!(ask(&[CONFIRMED]).code, 2);
    scaled(2.8);
    refused(&ask(&[]), &["three times its rating of 40 MVA"]);
}

#[test]
fn work_of_minutes_in_a_plan_is_asked_about() {
    let folder = scratch("plan-work");
    let demo = fs::read_to_string("demo-data/outages.yaml").unwrap();
    for folder_name in ["units", "loading", "ambient"] {
        let own = folder.join(folder_name);
        fs::create_dir_all(&own).unwrap();
        for file in fs::read_dir(format!("demo-data/{folder_name}")).unwrap() {
            let file = file.unwrap();
            fs::copy(file.path(), own.join(file.file_name())).unwrap();
        }
    }
    for (was, is, key, found) in [
        ("takes: 9 months", "takes: 9m", "options.takes", "9 min for on-line drying"),
        ("recall: 8h", "recall: 8m", "outages.recall", "8 min for T1 tap-changer overhaul"),
        (
            "duration: 5 days",
            "duration: 5m",
            "outages.duration",
            "5 min for T1 tap-changer overhaul",
        ),
    ] {
        assert!(demo.contains(was));
        let plan = written(&folder, "outages.yaml", demo.replacen(was, is, 1));
        let ran = run(&[&["plan", T2, "--outages", &plan, "--draws", "0"], &AS_OF[..]].concat());
        refused(&ran, &["outages.yaml", key, found, "9 months", CONFIRMED]);
    }
}

#[test]
fn a_local_rule_without_its_figure_is_refused() {
    let folder = scratch("empty-rules");
    for (rule, line, key) in [
        ("moisture:\n  at_least_percent: ~\n", "line 4", "moisture.at_least_percent"),
        (
            "moisture:\n  at_least_percent:\n  oldest_months: 18\n",
            "line 4",
            "moisture.at_least_percent",
        ),
        (
            "moisture:\n  oldest_months: 18\n  at_least_percent: ~\n",
            "line 5",
            "moisture.at_least_percent",
        ),
        ("ceilings: { load_pu: 1.2, hot_spot_c: ~ }\n", "line 3", "ceilings.hot_spot_c"),
        ("forbid_when:\ncautions: [ x ]\n", "line 3", "forbid_when"),
        ("bubbling:\n", "line 3", "bubbling"),
        ("bubbling: null\n", "line 3", "bubbling"),
        ("ceilings: { load_pu: , hot_spot_c: 130 }\n", "line 3", "ceilings.load_pu"),
        ("texts: ~\n", "line 3", "texts"),
    ] {
        let text = format!("rules: test\nissued_by: nobody\n{rule}");
        let rules = written(&folder, "rules.yaml", text);
        let ran = check(T1, &[&EASY[..], &["--draws", "0", "--rules", &rules]].concat());
        refused(&ran, &["rules.yaml", line, key, "nothing", "left out"]);
    }
    let rules = written(&folder, "rules.yaml", "rules: test\nissued_by: nobody\nforbid_when: []\n");
    assert_eq!(check(T1, &[&EASY[..], &["--draws", "0", "--rules", &rules]].concat()).code, 0);
}
