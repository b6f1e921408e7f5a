//! Runs the binary and keeps scratch files for the tests of the command line.

use assert_cmd::Command;
use std::fs;
use std::path::{Path, PathBuf};

pub(crate) const T1: &str = "demo-data/units/fellmoor-t1.yaml";
pub(crate) const T2: &str = "demo-data/units/fellmoor-t2.yaml";
/// The day on which the demo is asked about: its evidence is fresh, whatever today's date.
pub(crate) const AS_OF: [&str; 2] = ["--as-of", "2026-10-20"];
pub(crate) const EVENING: [&str; 8] = [
    "--loading",
    "demo-data/loading/evening-transfer.csv",
    "--ambient-file",
    "demo-data/ambient/warm-evening.csv",
    "--preload",
    "0.65",
    AS_OF[0],
    AS_OF[1],
];

/// What a run printed and how it ended.
pub(crate) struct Ran {
    pub(crate) code: i32,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

pub(crate) fn run(arguments: &[&str]) -> Ran {
    let output = Command::cargo_bin("bubblemargin")
        .unwrap()
        .args(arguments)
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    Ran {
        code: output.status.code().unwrap(),
        stdout: String::from_utf8(output.stdout).unwrap(),
        stderr: String::from_utf8(output.stderr).unwrap(),
    }
}

/// Runs `check` for the day of the demo, unless the flags state one.
pub(crate) fn check(unit: &str, flags: &[&str]) -> Ran {
    let day: &[&str] = if flags.contains(&AS_OF[0]) { &[] } else { &AS_OF };
    run(&[&["check", unit], flags, day].concat())
}

pub(crate) fn json(ran: &Ran) -> serde_json::Value {
    serde_json::from_str(&ran.stdout).unwrap()
}

/// A scratch folder of one test.
pub(crate) fn scratch(test: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(test);
    fs::create_dir_all(&folder).unwrap();
    folder
}

pub(crate) fn written(folder: &Path, name: &str, text: impl AsRef<[u8]>) -> String {
    let path = folder.join(name);
    fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

/// The dry unit's profile with one piece of text replaced.
pub(crate) fn altered(folder: &Path, from: &str, to: &str) -> String {
    let whole = fs::read_to_string(T1).unwrap();
    assert!(whole.contains(from), "{from} stands in the profile");
    written(folder, "unit.yaml", whole.replace(from, to))
}
