//! A run that is killed on the way goes on where it stood, and ends in the same bytes.

use super::run::run;
use super::scene::{ASKED, empty, json, many, row};
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

fn arguments<'a>(units: &'a str, loads: &'a str, journal: &'a str) -> Vec<&'a str> {
    [&["fleet", units, "--loads", loads, "--journal", journal, "--format", "json"], &ASKED[..]]
        .concat()
}

fn lines(journal: &Path) -> usize {
    fs::read(journal).map_or(0, |bytes| bytes.split(|byte| *byte == b'\n').count() - 1)
}

#[test]
fn a_run_killed_midway_goes_on_and_ends_in_the_same_bytes() {
    let folder = empty("fleet-killed");
    let (units, loads) = many(&folder, 120);
    let journal = folder.join("journal");
    let (path, other) = (journal.to_str().unwrap(), folder.join("whole"));
    let whole = run(&arguments(&units, &loads, other.to_str().unwrap()));
    let mut child = Command::new(assert_cmd::cargo::cargo_bin("bubblemargin"))
        .args(arguments(&units, &loads, path))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let began = Instant::now();
    // A head and some units, so that it is under way.
    while lines(&journal) < 10 && child.try_wait().unwrap().is_none() {
        assert!(began.elapsed() < Duration::from_mins(2), "nothing came");
    }
    child.kill().unwrap();
    child.wait().unwrap();
    let kept = lines(&journal);
    assert!((10..121).contains(&kept), "{kept} lines: it was killed midway");
    let resumed = run(&arguments(&units, &loads, path));
    assert!(resumed.stdout == whole.stdout && resumed.code == whole.code);
    assert_eq!(lines(&journal), 121, "each unit was finished once");
    let again = run(&arguments(&units, &loads, path));
    assert!(again.stdout == whole.stdout);
    assert_eq!(lines(&journal), 121, "nothing was computed again");
}

#[test]
fn a_torn_line_is_computed_again_and_a_changed_unit_too() {
    let folder = empty("fleet-torn");
    let (units, loads) = many(&folder, 6);
    let journal = folder.join("journal");
    let path = journal.to_str().unwrap();
    let whole = run(&arguments(&units, &loads, path));
    let bytes = fs::read(&journal).unwrap();
    fs::write(&journal, &bytes[..bytes.len() - 7]).unwrap();
    assert!(run(&arguments(&units, &loads, path)).stdout == whole.stdout);
    assert_eq!(lines(&journal), 7);
    let profile = format!("{units}/unit-000.yaml");
    let text = fs::read_to_string(&profile).unwrap();
    fs::write(&profile, text.replace("percent: 1.0, std: 0.2", "percent: 3.9, std: 0.2")).unwrap();
    let changed = run(&arguments(&units, &loads, path));
    assert_eq!(lines(&journal), 8, "only the changed unit was computed again");
    let (before, after) = (json(&whole), json(&changed));
    assert_ne!(row(&before, "unit-000"), row(&after, "unit-000"));
    let text = fs::read_to_string(&loads).unwrap();
    fs::write(
        &loads,
        text.replace("unit-003,2026-10-01T05:00:00Z,", "unit-003,2026-10-01T05:00:01Z,"),
    )
    .unwrap();
    run(&arguments(&units, &loads, path));
    assert_eq!(lines(&journal), 9, "and the one whose rows changed");
    let hotter = [&arguments(&units, &loads, path)[..], &["--ambient", "30"]].concat();
    run(&hotter);
    assert_eq!(lines(&journal), 15, "another question is another answer for all");
}

#[test]
fn a_journal_line_that_was_edited_is_not_believed() {
    let folder = empty("fleet-edited");
    let (units, loads) = many(&folder, 3);
    let journal = folder.join("journal");
    let path = journal.to_str().unwrap();
    let whole = run(&arguments(&units, &loads, path));
    let text = fs::read_to_string(&journal).unwrap();
    let edited = text.replace("\"verdict\":\"no-go\"", "\"verdict\":\"go\"");
    assert_ne!(text, edited);
    fs::write(&journal, edited).unwrap();
    assert!(run(&arguments(&units, &loads, path)).stdout == whole.stdout);
}

#[test]
fn another_file_is_not_taken_for_a_journal() {
    let folder = empty("fleet-no-journal");
    let (units, loads) = many(&folder, 2);
    let before = fs::read(&loads).unwrap();
    let ran = run(&arguments(&units, &loads, &loads));
    assert_eq!(ran.code, 2);
    assert!(ran.stderr.contains("--journal"), "{}", ran.stderr);
    assert_eq!(fs::read(&loads).unwrap(), before);
    assert_eq!(run(&arguments(&units, &loads, folder.to_str().unwrap())).code, 2);
}
