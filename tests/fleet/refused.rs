//! What is refused is told, and does not stop the rest.

use super::run::{Ran, run, written};
use super::scene::{ASKED, LOADS, UNITS, demo, empty, json, row, some_units};
use std::fmt::Write;
use std::fs;
use std::path::Path;

const TWO: [&str; 2] = ["harrowgill-t1", "withybank-t1"];

fn ask(units: &str, loads: &str) -> Ran {
    run(&[&["fleet", units, "--loads", loads, "--format", "json"], &ASKED[..]].concat())
}

/// Two units with these rows; what is wrong with the first does not touch the second.
fn with_rows(test: &str, rows: &str) -> (String, String) {
    let folder = empty(test);
    let units = some_units(&folder, &TWO);
    let good = "withybank-t1,2026-10-01T00:00:00Z,0.4,12\n";
    let loads = written(&folder, "loads.csv", format!("unit,time,load_pu,ambient_c\n{rows}{good}"));
    let ran = ask(&units, &loads);
    assert_eq!(ran.code, 2, "{}", ran.stderr);
    let answer = json(&ran);
    let (bad, good) = (row(&answer, TWO[0]), row(&answer, TWO[1]));
    assert!(good["margin_low_k"].is_number(), "{good}");
    assert_eq!(bad["verdict"], "refused");
    let words = bad["governs"]["words"].as_str().unwrap().to_owned();
    assert!(ran.stderr.contains("Not computed") && ran.stderr.contains(TWO[0]));
    (words, ran.stdout)
}

#[test]
fn refused_rows_name_file_line_column_and_what_is_accepted() {
    let (words, _) = with_rows(
        "fleet-nan",
        "# c\nharrowgill-t1,2026-10-01T00:00:00Z,0.4,12\nharrowgill-t1,2026-10-01T01:00:00Z,NaN,12\n",
    );
    for part in
        ["loads.csv, line 4", "column load_pu", "found: NaN", "accepted: a number from 0 to 5"]
    {
        assert!(words.contains(part), "{part}: {words}");
    }
    for (cells, part) in [
        ("2026-10-01T00:00:00Z,inf,12", "inf"),
        ("2026-10-01T00:00:00Z,,12", "an empty cell"),
        ("2026-10-01T00:00:00Z,0.4,99", "99"),
        ("yesterday,0.4,12", "RFC 3339"),
        ("2026-10-01T00:00:00Z,0.4", "3 cells where the header has 4"),
        ("2026-10-01T00:00:00Z,40,12", "40"),
    ] {
        let (words, _) = with_rows("fleet-cell", &format!("harrowgill-t1,{cells}\n"));
        assert!(words.contains(part) && words.contains("line 2"), "{part}: {words}");
    }
}

#[test]
fn rows_of_a_unit_in_two_places_are_refused_whatever_the_order() {
    let one = "harrowgill-t1,2026-10-01T00:00:00Z,0.4,12\n";
    let later = "harrowgill-t1,2026-10-01T01:00:00Z,0.4,12\n";
    let other = "withybank-t1,2026-10-01T00:00:00Z,0.4,12\n";
    let folder = empty("fleet-two-places");
    let units = some_units(&folder, &TWO);
    let text = format!("unit,time,load_pu,ambient_c\n{one}{other}{later}");
    let answer = json(&ask(&units, &written(&folder, "loads.csv", text)));
    let own = row(&answer, TWO[0]);
    assert_eq!(own["verdict"], "refused");
    let words = own["governs"]["words"].as_str().unwrap();
    assert!(words.contains("line 4") && words.contains("line 2") && words.contains("together"));
    assert!(row(&answer, TWO[1])["margin_low_k"].is_number());
}

#[test]
fn rows_out_of_order_are_refused() {
    let rows =
        "harrowgill-t1,2026-10-01T02:00:00Z,0.4,12\nharrowgill-t1,2026-10-01T01:00:00Z,0.4,12\n";
    assert!(with_rows("fleet-order", rows).0.contains("ascending"));
}

#[test]
fn loads_in_the_wrong_unit_are_told_by_what_would_follow() {
    let rows = "harrowgill-t1,2026-10-01T02:00:00Z,4.0,12\n";
    assert!(with_rows("fleet-mva", rows).0.contains("MVA"));
}

#[test]
fn a_refused_profile_is_a_row_and_does_not_stop_the_rest() {
    let folder = empty("fleet-bad-profile");
    let units = some_units(&folder, &TWO);
    let text = fs::read_to_string(format!("{UNITS}/{}.yaml", TWO[0])).unwrap();
    written(
        Path::new(&units),
        "bad.yaml",
        text.replace("made: 1994", "made: 1994\nmade_by: x").replace(TWO[0], "bad"),
    );
    written(Path::new(&units), "nameless.yaml", "site: nowhere\n");
    written(Path::new(&units), "huge.yaml", "#".repeat((1 << 20) + 1));
    written(Path::new(&units), "binary.yaml", [0xff, 0xfe, 0x00]);
    let ran = ask(&units, LOADS);
    assert_eq!(ran.code, 2);
    let answer = json(&ran);
    for (unit, part) in [
        ("bad", "bad.yaml, line"),
        ("nameless.yaml", "unit"),
        ("huge.yaml", "bytes"),
        ("binary.yaml", "UTF-8"),
    ] {
        let words = row(&answer, unit)["governs"]["words"].as_str().unwrap();
        assert!(words.contains(part) && !words.contains(folder.to_str().unwrap()), "{words}");
    }
    for unit in TWO {
        assert!(row(&answer, unit)["margin_low_k"].is_number());
    }
    assert_eq!(answer["counts"]["refused"], 4);
}

#[test]
fn one_name_in_two_profiles_is_refused_and_names_both() {
    let folder = empty("fleet-twice");
    let units = some_units(&folder, &TWO);
    fs::copy(format!("{units}/{}.yaml", TWO[0]), format!("{units}/again.yaml")).unwrap();
    let answer = json(&ask(&units, LOADS));
    let own = row(&answer, TWO[0]);
    assert_eq!(own["verdict"], "refused");
    let words = own["governs"]["words"].as_str().unwrap();
    assert!(words.contains("again.yaml") && words.contains("harrowgill-t1.yaml"), "{words}");
    assert_eq!(answer["counts"]["units"], 2);
}

#[test]
fn units_with_loads_and_no_profile_are_told_and_keep_it_from_being_all_right() {
    let folder = empty("fleet-strays");
    let units = some_units(&folder, &["coldwath-t2"]);
    let ran = ask(&units, LOADS);
    let answer = json(&ran);
    assert_eq!(answer["without_profile"].as_array().unwrap().len(), 7);
    assert_eq!(row(&answer, "coldwath-t2")["verdict"], "go");
    assert_eq!(ran.code, 4);
}

#[test]
fn a_unit_without_rows_is_not_decided() {
    let folder = empty("fleet-no-rows");
    let units = some_units(&folder, &TWO);
    let loads = written(
        &folder,
        "loads.csv",
        "unit,time,load_pu,ambient_c\nwithybank-t1,2026-10-01T00:00:00Z,0.4,12\n",
    );
    let ran = ask(&units, &loads);
    let answer = json(&ran);
    assert_eq!((ran.code, &row(&answer, TWO[0])["verdict"]), (4, &"cannot-decide".into()));
}

#[test]
fn nothing_to_go_on_is_refused_as_a_whole() {
    let folder = empty("fleet-nothing");
    let units = some_units(&folder, &TWO);
    let none = folder.join("none");
    fs::create_dir_all(&none).unwrap();
    let none = none.to_str().unwrap();
    let refused = |arguments: &[&str], part: &str| {
        let ran = run(&[&["fleet"], arguments].concat());
        assert_eq!(ran.code, 2, "{arguments:?} {}", ran.stdout);
        assert!(ran.stderr.contains(part), "{arguments:?} {}", ran.stderr);
        assert!(ran.stdout.is_empty());
    };
    let asked = ["--load", "1.1", "--for", "2h", "--draws", "0"];
    refused(&[&[none], &asked[..]].concat(), "no profiles");
    refused(&[&["nowhere"], &asked[..]].concat(), "no folder");
    refused(&[&[units.as_str(), "--loads", "nowhere.csv"], &asked[..]].concat(), "nowhere.csv");
    for (text, part) in [
        ("", "an empty file"),
        ("unit,time,load_pu\n", "no row"),
        ("time,load_pu\n2026-10-01T00:00:00Z,1\n", "unit as the first"),
        ("unit,time\n,2026-10-01T00:00:00Z\n", "an empty cell"),
    ] {
        let loads = written(&folder, "bad.csv", text);
        refused(&[&[units.as_str(), "--loads", &loads], &asked[..]].concat(), part);
    }
    let endless =
        written(&folder, "bad.csv", format!("unit,time,load_pu\n{}", "x".repeat(1 << 21)));
    refused(&[&[units.as_str(), "--loads", &endless], &asked[..]].concat(), "end of a row");
}

#[test]
fn flags_that_contradict_each_other_are_refused() {
    let refused = |flags: &[&str], part: &str| {
        let ran = run(&[&["fleet", UNITS], flags].concat());
        assert_eq!(ran.code, 2, "{flags:?}");
        assert!(ran.stderr.contains(part), "{flags:?} {}", ran.stderr);
    };
    let part = ["--part", "1/2"];
    let asked = ["--load", "1.1", "--for", "2h"];
    refused(&[&asked[..], &["--times-peak", "2"]].concat(), "--times-peak");
    refused(&["--for", "2h"], "--load");
    refused(&["--load", "1.1"], "--for");
    refused(&["--times-peak", "2", "--for", "2h"], "--loads");
    refused(&[&asked[..], &part].concat(), "--format part");
    refused(&[&asked[..], &part, &["--format", "part", "--top", "3"]].concat(), "--top");
    refused(&[&asked[..], &["--part", "3/2", "--format", "part"]].concat(), "3/16");
    refused(&[&asked[..], &["--governs", "weather"]].concat(), "bubbling");
    refused(&[&asked[..], &["--verdict", "maybe"]].concat(), "no-go");
    refused(&[&asked[..], &["--margin-below", "NaN"]].concat(), "-1000");
    refused(&[&asked[..], &["--limits", "none-such"]].concat(), "one of");
    refused(&["--load", "1.1", "--for", "8h", "--limits", "iec-short-time-emergency"], "shorter");
    refused(&["--load", "nan", "--for", "2h"], "number");
    refused(&["--times-peak", "-2", "--for", "2h", "--loads", LOADS], "above 0");
}

#[test]
fn a_year_of_minutes_of_one_unit_fits_and_more_than_64_mib_is_refused() {
    let folder = empty("fleet-huge");
    let units = some_units(&folder, &TWO);
    let mut text = "unit,minute,load_pu,ambient_c\n".to_owned();
    let mut minute = 0;
    while text.len() <= 64 << 20 {
        writeln!(text, "harrowgill-t1,{minute},0.4000,12.0000").unwrap();
        minute += 1;
    }
    assert!(minute > 525_600);
    text.push_str("withybank-t1,0,0.4,12\n");
    let loads = written(&folder, "loads.csv", text);
    let answer = json(&ask(&units, &loads));
    let words = row(&answer, TWO[0])["governs"]["words"].as_str().unwrap();
    assert!(words.contains("67108864 bytes"), "{words}");
    assert!(row(&answer, TWO[1])["margin_low_k"].is_number());
    fs::remove_file(loads).unwrap();
}

#[test]
fn the_demo_has_nothing_that_is_refused() {
    assert_eq!(demo(&[]).code, 3);
    assert!(!demo(&[]).stdout.contains("REFUSED"));
}
