//! Few draws go through the detailed model: what is imposed on them, and the starts they are taken from.

use crate::run::{T1, T2, check, json};

/// How far the same load told in other steps may be off, K: a course takes other steps then, each off by less than half of this.
const SAME_K: f64 = 0.1;

/// How far a start may lie below all that it is allowed to be, K: what few draws miss (`tests/times/starts.rs`).
const MISSED_K: f64 = 0.5;

fn margin_k(asked: &[&str]) -> f64 {
    margin_of_k(T1, asked)
}

fn margin_of_k(unit: &str, asked: &[&str]) -> f64 {
    let ran = check(unit, &[asked, &["--format=json"]].concat());
    assert!([0, 3].contains(&ran.code), "{asked:?}: {}", ran.stderr);
    json(&ran)["bubbling"]["margin_low_k"].as_f64().unwrap()
}

#[test]
fn a_load_told_in_one_step_has_the_margin_of_the_same_load_told_in_many() {
    let minutes = 2880;
    let rest = ["--preload", "0.4", "--preload-from", "0.4", "--ambient", "10"];
    let rest = [&rest[..], &["--cooling", "ONAN", "--after", "0.4"]].concat();
    let whole = margin_k(&[&["--load", "0.97", "--for", "2880min"], &rest[..]].concat());
    let rows: Vec<String> = (0..minutes).step_by(15).map(|at| format!("{at},0.97")).collect();
    let rows = rows.join("\n");
    let file = crate::run::scratch("few-draws-steps").join("steps.csv");
    std::fs::write(&file, format!("minute,load_pu\n{rows}\n{minutes},0.97\n")).unwrap();
    let file = file.to_str().unwrap();
    let cut = margin_k(&[&["--loading", file], &rest[..8]].concat());
    assert!((whole - cut).abs() < SAME_K, "{whole} {cut}");
}

#[test]
fn no_load_before_that_is_allowed_leaves_less_than_is_said_at_any_length() {
    for minutes in ["90min", "91min", "100min", "120min"] {
        let asked = ["--load", "1.3", "--for", minutes, "--ambient", "25", "--after", "0.6"];
        let from = |before: &[&str]| margin_k(&[&asked[..], before].concat());
        let said_k = from(&["--preload", "1.0"]);
        for before in ["0", "0.2", "0.4", "0.6", "0.8", "1.0"] {
            let one_k = from(&["--preload", before, "--preload-from", before]);
            assert!(said_k <= one_k + MISSED_K, "{minutes} from {before}: {said_k} {one_k}");
        }
    }
}

/// Among few draws another start once seemed the worse one by more than they can tell, and the stated one was not looked at.
#[test]
fn the_stated_load_before_is_looked_at_under_a_long_load_whatever_others_leave() {
    let asked = ["--load", "0.45", "--for", "1440min", "--ambient", "22", "--preload", "0.72"];
    let said_k = margin_of_k(T2, &asked);
    let stated_k = margin_of_k(T2, &[&asked[..], &["--preload-from", "0.72"]].concat());
    assert!(said_k <= stated_k + 0.05, "{said_k} {stated_k}");
}

/// In a night that gets colder and a day that gets warmer the oil that lags is the cooler one later: the ambient at once counts too, in
/// every draw. By the ambient at once alone 37.87 K are left (computed by a version that had only that), by the lag alone 0.18 K more.
#[test]
fn a_day_that_gets_warmer_after_a_colder_night_leaves_no_more_than_by_the_ambient_at_once() {
    let night = [(0, 22), (120, 15), (240, 12), (360, 13), (480, 16), (600, 24), (720, 30)];
    let day = [(900, 32), (1080, 28), (1260, 25), (1440, 25), (1560, 25), (1740, 25), (1920, 25)];
    let later = [(2100, 25), (2280, 25), (2460, 25), (2640, 25), (2760, 25)];
    let rows = night.iter().chain(&day).chain(&later);
    let rows: Vec<String> = rows.map(|(minute, c)| format!("{minute},{c}")).collect();
    let file = crate::run::scratch("few-draws-night").join("night.csv");
    std::fs::write(&file, format!("minute,ambient_c\n{}\n", rows.join("\n"))).unwrap();
    let load = ["--load", "1.05", "--for", "120min", "--after", "1.0", "--preload", "0.8"];
    let left_k = margin_k(&[&load[..], &["--ambient-file", file.to_str().unwrap()]].concat());
    assert!(left_k < 37.9, "{left_k}");
}

/// From loads before at which the fans wait the hot spot has a hump between the ends, which was once passed over: 11.0 K were said to be
/// left at 1.03 pu and 7.7 K at 0.99 pu.
#[test]
fn a_greater_short_load_leaves_no_more_where_the_fans_of_some_loads_before_wait() {
    let left_k = |load: &str| {
        let asked = ["--load", load, "--for", "15min", "--preload", "0.7", "--ambient", "20"];
        margin_of_k(T2, &asked)
    };
    let (at_less_k, at_more_k) = (left_k("0.99"), left_k("1.03"));
    assert!(at_more_k < at_less_k, "{at_less_k} {at_more_k}");
}

/// Of the loads before under which the fans come and go the cooler oil counts too, up to whatever load is asked: 10.3 K and 4.7 K were said
/// to be left from up to 0.7 pu, and 4.4 K and -1.7 K from 0.65 pu alone. At 1.2 pu from up to 1.0 pu it was 8 K.
#[test]
fn up_to_a_load_before_leaves_no_more_than_from_those_under_which_the_fans_come_and_go() {
    let cases = [(T2, "0.96", "0.7"), (T2, "1.03", "0.7"), (T2, "1.2", "1.0"), (T1, "1.0", "0.7")];
    for (unit, load, up_to) in cases {
        let asked = ["--load", load, "--for", "15min", "--ambient", "20"];
        let from = |before: &[&str]| margin_of_k(unit, &[&asked[..], before].concat());
        let said_k = from(&["--preload", up_to]);
        let alone_k = from(&["--preload", "0.65", "--preload-from", "0.65"]);
        assert!(said_k <= alone_k + MISSED_K, "{load} from up to {up_to}: {said_k} {alone_k}");
    }
}

/// Just above those loads it is not known that they do not.
#[test]
fn just_above_the_loads_under_which_the_fans_come_and_go_nothing_jumps() {
    let asked = ["--load", "0.96", "--for", "15min", "--ambient", "20"];
    let from = |before: &str| {
        margin_of_k(T2, &[&asked[..], &["--preload", before, "--preload-from", before]].concat())
    };
    let (under_k, above_k) = (from("0.66"), from("0.67"));
    assert!((under_k - above_k).abs() < 1.0, "{under_k} {above_k}");
}
