//! How uncertain the answer is and why, as people read it.

use crate::run::{AS_OF, EVENING, Ran, T1, T2, altered, check, json, scratch};
use std::fs;

const WHY: &str = "What makes this answer uncertain";
const LIST: &str = "Uncertainties (of a forecast: at the end of the overload)\n";

/// Fewest draws: these tests read words.
const FEW: [&str; 2] = ["--draws", "256"];

/// Too little load for anything to happen.
const EASY: [&str; 8] = ["--load", "0.7", "--for", "1h", "--preload", "0.6", "--ambient", "10"];

/// One row of the answer, in one line.
fn row(text: &str, label: &str) -> Option<String> {
    let begins = format!("    {label}  ");
    let mut lines = text.lines().skip_while(|line| !line.starts_with(&begins));
    let first = lines.next()?.trim_start_matches(&begins).trim().to_owned();
    let more = lines.take_while(|line| line.starts_with("          "));
    Some(more.fold(first, |row, line| format!("{row} {}", line.trim())))
}

fn fits(ran: &Ran) {
    for line in ran.stdout.lines() {
        assert!(line.chars().count() <= 80, "{line}");
        let words = line.split(|c: char| !c.is_alphanumeric());
        assert!(!words.into_iter().any(|word| word == "NaN" || word == "inf"), "{line}");
    }
}

#[test]
fn the_answer_says_what_the_margin_is_made_of_and_how_likely_bubbling_is() {
    let ran = check(T2, &EVENING);
    fits(&ran);
    let margin = row(&ran.stdout, "margin to bubbling").unwrap();
    let conservative = "K conservative: 95 % of 4096 simulated cases leave more, ";
    assert!(margin.contains(conservative), "{margin}");
    assert!(margin.contains(" K taken off for their number; "), "{margin}");
    assert!(margin.contains("K with the assessed moisture; "), "{margin}");
    assert!(!margin.contains("best estimate"), "{margin}");
    let chance = row(&ran.stdout, "chance of bubbling").unwrap();
    assert!(chance.starts_with("about 1 in ") || chance.starts_with("more likely"), "{chance}");
    assert!(chance.contains("; of less than the required 10 K: "), "{chance}");
    assert!(!chance.contains('%') && !ran.stdout.contains("standard error"), "{chance}");
    assert!(row(&ran.stdout, "hottest").unwrap().contains(" °C (5 to 95 %: "));
    let times = row(&ran.stdout, "time to a limit").unwrap();
    assert!(times.starts_with("1 case in 20 reaches a limit by ") && times.contains("half by "));
    assert!(times.ends_with(", if the load is held"), "{times}");
    assert!(!ran.stdout.contains(WHY) && !ran.stdout.contains(LIST), "nobody asked why");
}

#[test]
fn what_no_draw_shows_is_not_called_impossible() {
    let ran = check(T1, &[&EASY[..], &FEW].concat());
    fits(&ran);
    let chance = row(&ran.stdout, "chance of bubbling").unwrap();
    assert!(chance.starts_with("fewer than 1 in 50; "), "256 cases show no more: {chance}");
    assert!(!ran.stdout.contains("(0.00 %)"), "{}", ran.stdout);
    assert_eq!(row(&ran.stdout, "time to a limit"), None, "no draw reaches one");
}

#[test]
fn why_shows_every_input_and_the_gravest_first() {
    let ran = check(T2, &[&EVENING[..], &FEW, &["--why"]].concat());
    fits(&ran);
    let from = ran.stdout.find(WHY).unwrap();
    let section = &ran.stdout[from..];
    let (bars, list) = section.split_once(LIST).unwrap();
    let list = list.split("\n\n").next().unwrap();
    let answer = json(&check(T2, &[&EVENING[..], &FEW, &["--why", "--format", "json"]].concat()));
    let inputs = answer["spread"]["inputs"].as_array().unwrap().len();
    assert_eq!(list.lines().count(), inputs + 1, "a heading and every input\n{list}");
    assert!(list.contains("water in the paper") && list.contains("evidence"), "{list}");
    let why = answer["spread"]["why"].as_array().unwrap();
    assert_eq!(why.len(), inputs);
    let large = why.iter().filter(|cause| cause["total"]["probability"].as_f64().unwrap() >= 0.01);
    let drawn = |line: &&str| line.contains('L') && line.contains('H') && line.contains('=');
    assert_eq!(bars.lines().filter(drawn).count(), large.count(), "{bars}");
    assert!(bars.contains("bubbles") && bars.contains("needs 10.0"), "{bars}");
    assert!(bars.contains(" others below 1 % each, together "), "{bars}");
    let shares: Vec<f64> = bars
        .lines()
        .filter(drawn)
        .map(|line| line[23..].split_whitespace().next().unwrap().parse().unwrap())
        .collect();
    assert!(shares.is_sorted_by(|a, b| a >= b), "{shares:?}");
}

#[test]
fn a_written_report_says_why_and_has_the_same_inputs() {
    let folder = scratch("why-written");
    let file = folder.join("report.txt");
    let out = ["--out", file.to_str().unwrap()];
    let flags = [&EVENING[..], &FEW].concat();
    assert_eq!(check(T2, &[&flags[..], &out].concat()).code, 3);
    let written = fs::read_to_string(&file).unwrap();
    assert!(written.contains(WHY) && written.contains(LIST), "{written}");
    let asked = check(T2, &[&flags[..], &["--why"]].concat());
    assert_eq!(written, asked.stdout, "what --why prints");
    let last = |text: &str| text.lines().last().unwrap().to_owned();
    assert_eq!(last(&written), last(&check(T2, &flags).stdout), "the same hash of the inputs");
    let as_json = [&flags[..], &out, &["--format", "json"]].concat();
    assert_eq!(check(T2, &as_json).code, 3);
    let answer: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(&file).unwrap()).unwrap();
    assert!(!answer["spread"]["why"].as_array().unwrap().is_empty());
}

#[test]
fn without_draws_nothing_is_said_of_them_but_that_there_are_none() {
    let folder = scratch("why-none");
    let file = folder.join("report.txt");
    let flags = [&EVENING[..], &["--draws", "0"]].concat();
    let ran = check(T2, &flags);
    fits(&ran);
    assert!(ran.stdout.contains("bubbling-not-drawn"), "{}", ran.stdout);
    for words in ["5 % point", "chance of bubbling", "5 to 95 %", "conservative", WHY, LIST] {
        assert!(!ran.stdout.contains(words), "{words}\n{}", ran.stdout);
    }
    assert_eq!(check(T2, &[&flags[..], &["--out", file.to_str().unwrap()]].concat()).code, 3);
    assert_eq!(fs::read_to_string(&file).unwrap(), ran.stdout);
    let asked = check(T2, &[&flags[..], &["--why"]].concat());
    assert!(asked.stdout.contains("Not known: no draws were made."), "{}", asked.stdout);
}

/// Water that counts just inside 6 %, where the correlations end, and aged paper that may hold less: more
/// than one draw in twenty lies beyond.
#[test]
fn draws_beyond_the_correlations_leave_the_margin_and_its_causes_unknown() {
    let folder = scratch("why-beyond");
    let holding = "uncertainty: { holding_factor: { std: 0.1 } }";
    let moisture = "moisture:\n  - { method: dielectric-response, percent:";
    let wet = format!("{holding}\n{moisture} 4.9, std: 0.6");
    let unit = altered(&folder, &format!("{moisture} 1.0, std: 0.2"), &wet);
    let flags = [&EASY[..], &FEW, &AS_OF, &["--why"]].concat();
    let ran = check(&unit, &flags);
    fits(&ran);
    let margin = row(&ran.stdout, "margin to bubbling").unwrap();
    let unknown = "not known: more than 5 % of 256 simulated cases lie beyond the range of the correlations; ";
    assert!(margin.starts_with(unknown), "{margin}");
    let first = ran.stdout.lines().next().unwrap();
    assert!(first.contains("margin unknown   time unknown"), "{first}");
    assert!(!ran.stdout.contains("stop here"), "nobody knows where");
    assert!(ran.stdout.contains("The shares of the inputs are not known: "), "{}", ran.stdout);
    let answer = json(&check(&unit, &[&flags[..], &["--format", "json"]].concat()));
    assert!(answer["bubbling"]["margin_counting_k"].is_number());
    assert!(answer["bubbling"]["margin_low_k"].is_null());
    assert!(answer["spread"]["why"].as_array().unwrap().is_empty());
}

#[test]
fn a_forecast_error_is_listed_as_it_is_stated() {
    let flags = [&EVENING[..], &FEW, &["--why", "--load-std", "2", "--ambient-std", "0"]].concat();
    let ran = check(T2, &flags);
    let line = ran.stdout.lines().find(|line| line.contains("% of the load")).unwrap();
    // 1.645 standard uncertainties of 2 %.
    assert!(line.contains("-3.29") && line.contains("3.29") && line.contains("stated"), "{line}");
    assert!(!ran.stdout.contains("\n   ambient forecast"), "it is exact");
}
