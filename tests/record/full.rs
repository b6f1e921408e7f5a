//! A disk that is full: the answer is given, the failure is said, and the record stays whole.

use super::run::{T1, run};
use super::scene::{LIGHT, asked, faults, fresh};
use bubblemargin::record::store::Store;
use std::process::Command;

/// Asks under a limit on the size of files, in blocks of 512 bytes.
fn limited(path: &str, blocks: u32) -> std::process::Output {
    let tool = assert_cmd::cargo::cargo_bin("bubblemargin");
    let tool = tool.to_str().unwrap();
    // Ignoring the signal makes a write fail as it would on a full disk.
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
    let asked = [&["-c", &script, tool, "check", T1, "--as-of", "2026-10-20"], &LIGHT[..]].concat();
    let asked = [&asked[..], &["--record", path, "--format", "json"]].concat();
    Command::new("sh").args(asked).env("NO_COLOR", "1").output().unwrap()
}

#[test]
fn a_full_disk_fails_cleanly_and_what_was_acknowledged_is_there() {
    let path = fresh("full");
    let name = path.to_str().unwrap();
    let mut acknowledged = Vec::new();
    let failed = loop {
        let output = limited(name, 1200);
        if !output.status.success() {
            break output;
        }
        let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        acknowledged.push(answer["record"]["id"].as_str().unwrap().to_owned());
        assert!(acknowledged.len() < 99, "the limit does not bind");
    };
    assert!(acknowledged.len() > 1, "{}", String::from_utf8_lossy(&failed.stderr));
    assert_eq!(failed.status.code(), Some(1));
    let words = String::from_utf8_lossy(&failed.stderr);
    assert!(words.contains("nothing was recorded"), "{words}");
    let answer: serde_json::Value = serde_json::from_slice(&failed.stdout).unwrap();
    assert!(answer["verdict"] == "go" && answer.get("record").is_none(), "the answer is given");
    assert!(faults(&path).is_empty());
    let rows = Store::open_to_read(&path).unwrap().list().unwrap();
    assert_eq!(rows.into_iter().map(|row| row.id).collect::<Vec<_>>(), acknowledged);
    let ran = asked(T1, &LIGHT, &path, &[]);
    assert_eq!(ran.code, 0, "with room again it goes on: {}", ran.stderr);
    assert_eq!(run(&["record", "verify", name]).code, 0);
}

#[test]
fn a_record_that_cannot_even_begin_leaves_nothing_behind() {
    let path = fresh("full-begin");
    let failed = limited(path.to_str().unwrap(), 8);
    assert_eq!(failed.status.code(), Some(1), "{}", String::from_utf8_lossy(&failed.stderr));
    assert!(!failed.stdout.is_empty(), "the answer is given");
    assert_eq!(std::fs::read_dir(path.parent().unwrap()).unwrap().count(), 0);
}
