//! What may be recorded, and what an entry then says.

use super::run::{T1, T2, json, run};
use super::scene::{HEAVY, LIGHT, WEIGHS, asked, faults, fresh};
use bubblemargin::record::entry::{Authorisation, Content};
use bubblemargin::record::store::Store;
use std::path::Path;

const BY: [&str; 2] = ["--authorised-by", "A. Engineer"];

fn entries(path: &Path) -> usize {
    if path.exists() { Store::open_to_read(path).unwrap().list().unwrap().len() } else { 0 }
}

fn last(path: &Path) -> Authorisation {
    let rows = Store::open_to_read(path).unwrap().list().unwrap();
    let last = match rows.last().unwrap().entry().unwrap().content {
        Content::Authorisation(authorisation) => Some(*authorisation),
        Content::AfterEvent(_) => None,
    };
    last.unwrap()
}

/// Asks, and is refused at this flag with exit code 2; nothing is recorded.
fn refused(unit: &str, load: &[&str], path: &Path, flags: &[&str], at: &str) -> (String, String) {
    let before = entries(path);
    let ran = asked(unit, load, path, flags);
    assert_eq!(ran.code, 2, "{flags:?}: {}", ran.stderr);
    assert!(ran.stderr.contains(at), "{flags:?}: {}", ran.stderr);
    assert_eq!(entries(path), before, "{flags:?}");
    (ran.stdout, ran.stderr)
}

#[test]
fn a_go_ahead_needs_a_name() {
    let path = fresh("no-name");
    let (stdout, _) = refused(T1, &LIGHT, &path, &["--decision", "go-ahead"], "--authorised-by");
    assert!(stdout.is_empty() && !path.exists(), "found before any work");
}

#[test]
fn a_go_ahead_needs_every_caution_acknowledged_one_by_one() {
    let path = fresh("cautions");
    let go = [&["--decision", "go-ahead"], &BY[..]].concat();
    let (stdout, stderr) = refused(T2, &LIGHT, &path, &go, "not acknowledged: ");
    assert!(stdout.starts_with("/!\\ GO WITH CAUTIONS"), "the answer is not withheld: {stdout}");
    assert!(stderr.contains("nothing was recorded"));
    let codes = stderr.lines().find_map(|line| line.split_once("not acknowledged: ")).unwrap().1;
    let codes: Vec<&str> = codes.split(", ").collect();
    assert!(codes.len() > 1, "{codes:?}");
    let but_one = [&go[..], &["--acknowledge", codes[0]]].concat();
    refused(T2, &LIGHT, &path, &but_one, &format!("not acknowledged: {}", codes[1..].join(", ")));
    let one_by_one: Vec<&str> =
        codes.iter().flat_map(|code| ["--acknowledge", *code]).chain(go).collect();
    let ran = asked(T2, &LIGHT, &path, &one_by_one);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let entry = last(&path);
    assert!(
        entry.cautions.len() == codes.len() && entry.cautions.iter().all(|one| one.acknowledged)
    );
    assert!(entry.departure.is_none() && entry.in_words.starts_with("AUTHORISED: "));
}

#[test]
fn only_what_was_shown_can_be_acknowledged() {
    let path = fresh("unknown");
    for code in ["all", "bubbling-fault-gas", "no-such-code", "x\u{1b}[2J"] {
        let flags = [&["--acknowledge", code], &BY[..]].concat();
        let ran = asked(T2, &LIGHT, &path, &flags);
        assert_eq!(ran.code, 2, "{code}");
        assert!(
            ran.stderr.contains("--acknowledge") && !ran.stderr.contains('\u{1b}'),
            "{}",
            ran.stderr
        );
    }
    let flags = ["--acknowledge", "no-such-code"];
    let (_, stderr) = refused(T2, &LIGHT, &path, &flags, "a code that weighs in this answer: ");
    assert!(stderr.contains("accessory-cable-box"), "{stderr}");
    let (_, stderr) = refused(T1, &LIGHT, &path, &flags, "--acknowledge");
    assert!(stderr.contains("a code that weighs in this answer: none"), "{stderr}");
}

#[test]
fn a_no_go_is_overridden_only_with_name_reason_and_everything_acknowledged() {
    let path = fresh("override");
    let go = ["--decision", "go-ahead", "--acknowledge", WEIGHS];
    refused(T2, &HEAVY, &path, &go, "--authorised-by");
    refused(T2, &HEAVY, &path, &[&go[..], &BY].concat(), "--reason");
    refused(T2, &HEAVY, &path, &[&go[..], &BY, &["--reason", " \t "]].concat(), "--reason");
    let reason = ["--reason", " A hospital. "];
    let unseen = [&["--decision", "go-ahead"], &BY[..], &reason].concat();
    refused(T2, &HEAVY, &path, &unseen, "not acknowledged: bubbling-margin, ");
    let ran = asked(T2, &HEAVY, &path, &[&go[..], &BY, &reason].concat());
    assert_eq!(ran.code, 3, "the answer stays what it was: {}", ran.stderr);
    let entry = last(&path);
    let answer = json(&super::run::check(T2, &[&HEAVY[..], &["--format", "json"]].concat()));
    let margin_k = (10.0 * answer["bubbling"]["margin_low_k"].as_f64().unwrap()).floor() / 10.0;
    let said = format!(
        "OVERRIDDEN: the answer was NO-GO (margin {margin_k:.1} K, bubbling-margin); A. Engineer authorised the \
         overload all the same, because: A hospital."
    );
    assert!(entry.in_words.starts_with(&said), "{}", entry.in_words);
    let listed = run(&["record", "list", path.to_str().unwrap()]).stdout;
    assert!(listed.contains("authorised, OVERRIDDEN"), "{listed}");
    let shown = run(&["record", "show", path.to_str().unwrap(), "1"]).stdout;
    assert!(shown.contains("OVERRIDDEN: the answer was NO-GO"), "{shown}");
    assert!(faults(&path).is_empty());
}

#[test]
fn what_cannot_be_decided_is_overridden_like_a_no_go() {
    let path = fresh("cannot-decide");
    let folder = path.parent().unwrap();
    let whole = std::fs::read_to_string(T1).unwrap();
    let without: String = whole
        .lines()
        .filter(|line| !line.contains("method:"))
        .fold(String::new(), |all, line| all + line + "\n");
    let unit =
        super::run::written(folder, "unknown.yaml", without.replace("moisture:", "moisture: []"));
    let ran = asked(&unit, &LIGHT, &path, &[&["--decision", "go-ahead"], &BY[..]].concat());
    assert_eq!(ran.code, 2, "{}", ran.stderr);
    assert!(ran.stdout.starts_with("[?] CANNOT DECIDE"), "{}", ran.stdout);
    assert!(ran.stderr.contains("--reason"), "{}", ran.stderr);
}

#[test]
fn refusing_a_go_needs_name_and_reason_and_refusing_a_no_go_neither() {
    let path = fresh("refusals");
    refused(T1, &LIGHT, &path, &["--decision", "refused"], "--authorised-by");
    refused(T1, &LIGHT, &path, &[&["--decision", "refused"], &BY[..]].concat(), "--reason");
    let reason = ["--decision", "refused", "--reason", "A smell of oil."];
    assert_eq!(asked(T1, &LIGHT, &path, &[&reason[..], &BY].concat()).code, 0);
    assert!(last(&path).in_words.starts_with("REFUSED: the answer was GO (margin "));
    assert_eq!(asked(T2, &HEAVY, &path, &["--decision", "refused"]).code, 3);
    assert!(last(&path).in_words.starts_with("REFUSED: the answer was NO-GO (margin "));
}

#[test]
fn an_entry_holds_the_full_case() {
    let path = fresh("full-case");
    let flags = [
        "--asked-by",
        "J. Shift",
        "--received-by",
        "Fellmoor field",
        "--repeat-back",
        "1.3 for two hours",
        "--top-oil-by",
        "pocket thermometer, J. Shift",
        "--tap",
        "9",
        "--start",
        "2026-10-20T18:00:00+01:00",
        "--required-end",
        "2026-10-20T20:00:00+01:00",
        "--top-oil",
        "48",
    ];
    let ran = asked(T2, &HEAVY, &path, &[&flags[..], &["--format", "json"]].concat());
    let mut answer = json(&ran);
    let record = answer.as_object_mut().unwrap().remove("record").unwrap();
    let row = Store::open_to_read(&path).unwrap().read(record["id"].as_str().unwrap()).unwrap();
    assert_eq!(
        (record["entry"].as_i64(), record["hash"].as_str()),
        (Some(row.seq), Some(&*row.hash))
    );
    let entry = last(&path);
    assert_eq!(entry.assessment, answer, "the whole answer, as others get it");
    assert_eq!(entry.unit.serial.as_deref(), Some("FM-4002"));
    let unit = &entry.inputs[0];
    assert_eq!((unit.part.as_str(), unit.name.as_str()), ("unit", T2));
    assert_eq!(unit.text, std::fs::read_to_string(T2).unwrap());
    assert!(entry.inputs.iter().any(|file| file.name.ends_with("fellmoor-t2-probe.csv")));
    let question = &entry.question;
    assert_eq!(question.steps, [(0.0, 1.3), (120.0, 0.65)]);
    assert_eq!(question.start.as_deref(), Some("2026-10-20T18:00:00+01:00"));
    assert_eq!(question.required_end.as_deref(), Some("2026-10-20T20:00:00+01:00"));
    assert_eq!(question.tap.as_deref(), Some("9"));
    // What is kept asks the same again.
    let again: Vec<&str> = question.command[1..].iter().map(String::as_str).collect();
    let again = json(&run(&again));
    assert_eq!(again, answer);
    assert_eq!(entries(&path), 1, "and records nothing");
}

#[test]
fn an_answer_that_is_not_recorded_is_as_it_was() {
    let plain = asked(T2, &HEAVY, &fresh("plain"), &["--format", "json"]);
    let without = super::run::check(T2, &[&HEAVY[..], &["--format", "json"]].concat());
    assert_eq!(plain.code, without.code);
    let head = without.stdout.trim_end().trim_end_matches('}').trim_end();
    assert!(plain.stdout.starts_with(head), "the same text, and one key more");
    let lone = super::run::check(T2, &[&HEAVY[..], &["--reason", "x"]].concat());
    assert_eq!(lone.code, 2, "what belongs to a record needs one");
}
