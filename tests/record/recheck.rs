//! Recorded go-aheads asked again: those that no longer hold are listed with their reasons, and what cannot be asked
//! again never counts as holding.

use super::run::{Ran, T1, json, run, scratch, written};
use super::scene::{LIGHT, WHATEVER_DAY, asked, attacked, fresh, scene};
use bubblemargin::record::draft::Draft;
use bubblemargin::record::entry::{Authorisation, Content, InputText, When};
use bubblemargin::record::store::Store;
use serde_json::json as value;
use std::fs;
use std::path::{Path, PathBuf};

/// Rules under which the dry unit's light load does not pass.
const STRICT: &str = "rules: stricter\nissued_by: nobody (invented)\nceilings: { load_pu: 0.75 }\n";

fn recheck(path: &Path, flags: &[&str]) -> Ran {
    let ran = run(&[&["record", "recheck", path.to_str().unwrap()], flags].concat());
    for line in ran.stdout.lines().filter(|_| !flags.contains(&"json")) {
        assert!(line.chars().count() <= 80 && line == line.trim_end(), "{line}");
    }
    ran
}

/// The words alone, whatever the line breaks.
fn words(ran: &Ran) -> String {
    ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A record with one entry of the scene, changed before it was written.
fn remade(test: &str, entry: i64, change: impl FnOnce(&mut Authorisation)) -> PathBuf {
    let row = Store::open_to_read(&scene(&format!("{test}-from"))).unwrap().read_number(entry);
    let entry = row.unwrap().entry().unwrap();
    let own = match entry.content {
        Content::Authorisation(own) => Some(own),
        Content::AfterEvent(_) => None,
    };
    let mut own = own.unwrap();
    change(&mut own);
    let path = fresh(test);
    let draft = Draft {
        written: When {
            utc: "2026-10-20T17:00:00Z".to_owned(),
            local: "2026-10-20T18:00:00+01:00".to_owned(),
        },
        content: Content::Authorisation(own),
    };
    Store::open(&path).unwrap().append(&draft).unwrap();
    path
}

/// A refused answer as an earlier version might have given it: a go.
fn as_a_go(own: &mut Authorisation) {
    own.departure = None;
    own.assessment["verdict"] = value!("go");
    own.assessment["bubbling"]["margin_low_k"] = value!(14.5);
    own.assessment["findings"] = value!([]);
}

/// A record of one go-ahead for a unit whose profile stands in a folder of its own.
fn own_profile(test: &str) -> (PathBuf, PathBuf) {
    let path = fresh(test);
    let folder = scratch(&format!("record-{test}-units"));
    let unit = written(&folder, "unit.yaml", fs::read_to_string(T1).unwrap());
    let by = ["--decision", "go-ahead", "--authorised-by", "A. Engineer"];
    let ran = asked(&unit, &LIGHT, &path, &[&by[..], &WHATEVER_DAY].concat());
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    (path, folder)
}

/// A gas relay alarm stands since.
fn alarmed(folder: &Path) {
    let text = fs::read_to_string(T1).unwrap();
    let alarm = text.replace("gas_relay_alarm: false", "gas_relay_alarm: true");
    assert_ne!(text, alarm);
    written(folder, "unit.yaml", alarm);
}

#[test]
fn what_this_version_answers_as_before_still_holds() {
    let ran = recheck(&scene("recheck"), &[]);
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    let text = words(&ran);
    // Entry 2 is a go-ahead and entry 3 one against the answer; a question and a refusal are neither.
    assert!(
        text.starts_with(
            "None of 2 go-aheads is known to have fallen; 1 was given against the answer"
        ),
        "{text}"
    );
    assert!(text.contains("Hold as before entry 2"), "{text}");
    assert!(text.contains("Given against the answer, and still against it 3 "), "{text}");
    let found = json(&recheck(&scene("recheck"), &["--format", "json"]));
    let numbers: Vec<i64> = found["go_aheads"]
        .as_array()
        .unwrap()
        .iter()
        .map(|own| own["entry"].as_i64().unwrap())
        .collect();
    assert_eq!(numbers, [2, 3]);
    for own in found["go_aheads"].as_array().unwrap() {
        assert_eq!(own["then"], own["now"], "the same version says the same to the last digit");
    }
}

#[test]
fn a_go_that_this_version_refuses_no_longer_holds_and_says_why() {
    let path = remade("recheck-fallen", 3, as_a_go);
    let ran = recheck(&path, &[]);
    assert_eq!(ran.code, 3, "{}{}", ran.stdout, ran.stderr);
    let text = words(&ran);
    assert!(text.starts_with("1 of 1 go-ahead no longer holds"), "{text}");
    assert!(text.contains("No longer hold: NO-GO now 1 20261020-170000-fellmoor-t2"), "{text}");
    assert!(
        text.contains("fellmoor-t2: 1.30 pu for 2 h, evidence judged for 2026-10-20"),
        "{text}"
    );
    assert!(text.contains("then: GO, margin 14.5 K now: NO-GO, margin "), "{text}");
    assert!(text.contains("STOP ") && text.contains("[bubbling-margin]"), "{text}");
    let found = json(&recheck(&path, &["--format", "json"]));
    let own = &found["go_aheads"][0];
    assert_eq!(
        (own["outcome"].as_str(), own["then"]["verdict"].as_str()),
        (Some("no-go"), Some("go"))
    );
    assert_eq!(own["new_findings"][0]["severity"], "stop");
}

#[test]
fn a_go_with_less_margin_is_listed_and_holds() {
    let path = remade("recheck-less", 2, |own| {
        let low_k = own.assessment["bubbling"]["margin_low_k"].as_f64().unwrap();
        own.assessment["bubbling"]["margin_low_k"] = value!(low_k + 5.0);
    });
    let ran = recheck(&path, &[]);
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    assert!(words(&ran).contains("1 holds with less margin or more cautions"), "{}", ran.stdout);
}

#[test]
fn the_texts_of_the_record_count_and_not_the_files_of_today() {
    let (path, folder) = own_profile("recheck-kept");
    alarmed(&folder);
    let ran = recheck(&path, &[]);
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    assert!(words(&ran).starts_with("The go-ahead still holds"), "{}", ran.stdout);
    fs::remove_file(folder.join("unit.yaml")).unwrap();
    assert_eq!(recheck(&path, &[]).code, 0);
}

#[test]
fn the_profiles_of_today_can_stand_in_the_place_of_those_recorded() {
    let (path, folder) = own_profile("recheck-units");
    let units = ["--units", folder.to_str().unwrap()];
    let same = recheck(&path, &units);
    assert_eq!(same.code, 0, "{}{}", same.stdout, same.stderr);
    assert!(!words(&same).contains("changed since"), "{}", same.stdout);
    alarmed(&folder);
    let ran = recheck(&path, &units);
    assert_eq!(ran.code, 3, "{}{}", ran.stdout, ran.stderr);
    assert!(words(&ran).contains("The profile has changed since. STOP "), "{}", ran.stdout);
    written(&folder, "unit.yaml", "unit: fellmoor-t1\nmva: wet\n");
    let broken = recheck(&path, &units);
    assert_eq!(broken.code, 4, "{}{}", broken.stdout, broken.stderr);
    assert!(words(&broken).contains("This version refuses the question"), "{}", broken.stdout);
}

#[test]
fn local_rules_and_the_day_of_today_can_stand_in_the_place_of_those_recorded() {
    let (path, folder) = own_profile("recheck-rules");
    let rules = written(&folder, "rules.yml", STRICT);
    let ran = recheck(&path, &["--rules", &rules]);
    assert_eq!(ran.code, 3, "{}{}", ran.stdout, ran.stderr);
    assert!(words(&ran).contains("The local rules have changed since."), "{}", ran.stdout);
    // Twenty years later no evidence counts any more.
    let ran = recheck(&path, &["--as-of", "2046-10-20"]);
    assert_eq!(ran.code, 4, "{}{}", ran.stdout, ran.stderr);
    assert!(words(&ran).contains("1 of 1 go-ahead no longer holds"), "{}", ran.stdout);
    let missing = recheck(&path, &["--rules", "no-such-rules.yaml"]);
    assert_eq!((missing.code, missing.stdout.as_str()), (2, ""));
}

#[test]
fn an_entry_without_texts_cannot_be_rechecked_unless_the_files_are_named() {
    let path = remade("recheck-textless", 2, |own| own.inputs.clear());
    let ran = recheck(&path, &[]);
    assert_eq!(ran.code, 4, "{}{}", ran.stdout, ran.stderr);
    let text = words(&ran);
    assert!(
        text.starts_with("None of 1 go-ahead is known to have fallen; 1 cannot be rechecked"),
        "{text}"
    );
    assert!(
        text.contains("The record does not hold the text of the profile; --units names"),
        "{text}"
    );
    let ran = recheck(&path, &["--units", "demo-data/units"]);
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    let text = words(&ran);
    let note = "entry 1. Of its profile no text was recorded: that of --units stands for it.";
    assert!(text.contains(note), "{text}");
}

#[test]
fn what_cannot_be_asked_again_never_counts_as_holding() {
    type Change = fn(&mut Authorisation);
    let changes: [(&str, Change, &str); 6] = [
        (
            "flag",
            |own| own.question.command.push("--faster".to_owned()),
            "does not accept the recorded command",
        ),
        (
            "other",
            |own| own.question.command[1] = "validate".to_owned(),
            "does not accept the recorded command",
        ),
        ("day", |own| own.question.as_of = None, "for which day it was asked"),
        ("text", |own| own.inputs[0].text.push('\n'), "is not that of its hash"),
        ("load", |own| own.question.steps[0].1 = 0.5, "reads another load"),
        (
            "file",
            |own| own.inputs.push(InputText::new("history", "gone.csv", "minute,load_pu\n")),
            "read gone.csv then, and does not now",
        ),
    ];
    for (test, change, why) in changes {
        let ran = recheck(&remade(&format!("recheck-not-{test}"), 2, change), &[]);
        assert_eq!(ran.code, 4, "{test}: {}{}", ran.stdout, ran.stderr);
        let text = words(&ran);
        assert!(text.contains("1 cannot be rechecked") && text.contains(why), "{test}: {text}");
        assert!(!text.contains("Hold as before"), "{test}: {text}");
    }
}

#[test]
fn a_file_that_the_command_names_and_the_record_lacks_is_not_read_from_disk() {
    let path = remade("recheck-outside", 2, |own| {
        own.question.command.extend(["--rules", "profiles/rules/example.yaml"].map(str::to_owned));
    });
    let ran = recheck(&path, &[]);
    assert_eq!(ran.code, 4, "{}{}", ran.stdout, ran.stderr);
    assert!(words(&ran).contains("a file whose text was not kept"), "{}", ran.stdout);
}

#[test]
fn the_servers_own_words_are_understood() {
    let path = remade("recheck-server", 2, |own| {
        own.question.command[2] = "fellmoor-t1.yaml".to_owned();
        own.inputs.push(InputText::new("rules", "rules/of-the-server.yaml", STRICT));
    });
    let ran = recheck(&path, &[]);
    assert_eq!(ran.code, 3, "the server's rules count: {}{}", ran.stdout, ran.stderr);
}

#[test]
fn a_damaged_record_is_said_and_its_altered_entries_are_not_relied_on() {
    let path = scene("recheck-damaged");
    attacked(&path, |connection| {
        let sql =
            "UPDATE entry SET body = replace(body, 'A. Engineer', 'B. Engineer') WHERE seq = 2";
        assert_eq!(connection.execute(sql, []).unwrap(), 1);
    });
    let ran = recheck(&path, &[]);
    assert_eq!(ran.code, 3, "{}{}", ran.stdout, ran.stderr);
    let text = words(&ran);
    assert!(text.starts_with("Record damaged or altered. None of 2 go-aheads is known"), "{text}");
    assert!(text.contains("Record damaged or altered entry 2 ("), "{text}");
    assert!(text.contains("It does not match its hash: it is not what was written."), "{text}");
    // The override stands beside it, unharmed.
    assert!(text.contains("still against it 3 "), "{text}");
}

#[test]
fn nothing_but_a_record_is_refused_and_an_empty_one_has_no_go_ahead() {
    assert_eq!(recheck(Path::new("Cargo.toml"), &[]).code, 2);
    let path = fresh("recheck-empty");
    drop(Store::open(&path).unwrap());
    let ran = recheck(&path, &[]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(words(&ran).starts_with("The record has no go-ahead"), "{}", ran.stdout);
    let no_folder = recheck(&path, &["--units", "Cargo.toml"]);
    assert_eq!(no_folder.code, 2, "{}", no_folder.stdout);
}

#[test]
fn an_override_of_an_answer_that_got_graver_has_fallen() {
    let path = remade("recheck-graver", 3, |own| {
        let low_k = own.assessment["bubbling"]["margin_low_k"].as_f64().unwrap();
        own.assessment["bubbling"]["margin_low_k"] = value!(low_k + 5.0);
    });
    let ran = recheck(&path, &[]);
    assert_eq!(ran.code, 3, "{}{}", ran.stdout, ran.stderr);
    assert!(words(&ran).starts_with("1 of 1 go-ahead no longer holds"), "{}", ran.stdout);
    // A stop that was none then weighs as well, whatever the margin.
    let path = remade("recheck-graver-stop", 3, |own| {
        let findings = own.assessment["findings"].as_array_mut().unwrap();
        findings.retain(|own| own["code"] != "bubbling-margin");
    });
    let ran = recheck(&path, &[]);
    assert_eq!(ran.code, 3, "{}{}", ran.stdout, ran.stderr);
}

#[test]
fn a_recorded_duration_is_not_asked_about_again() {
    let path = remade("recheck-15h", 2, |own| {
        let lasts = own.question.command.iter().position(|word| word == "2h").unwrap();
        "15h".clone_into(&mut own.question.command[lasts]);
        own.question.end_min = 900.0;
        for step in &mut own.question.steps {
            if (step.0 - 120.0).abs() < 1.0e-6 {
                step.0 = 900.0;
            }
        }
    });
    let ran = recheck(&path, &[]);
    let text = words(&ran);
    assert!(!text.contains("cannot be rechecked"), "{text}");
    assert!(text.contains("still holds") || text.contains("holds with less"), "{text}");
}
