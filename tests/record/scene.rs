//! A record with a little of everything, and ways to get at it.

use super::run::{Ran, T1, T2, check, run, scratch};
use bubblemargin::record::store::Store;
use rusqlite::Connection;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// A load that the dry unit carries without cautions and the wet one with some.
pub(crate) const LIGHT: [&str; 10] =
    ["--load", "0.80", "--for", "2h", "--preload", "0.65", "--ambient", "25", "--draws", "256"];

/// A load that the wet unit may not carry.
pub(crate) const HEAVY: [&str; 10] =
    ["--load", "1.3", "--for", "2h", "--preload", "0.65", "--ambient", "25", "--draws", "256"];

/// What weighs when the wet unit is asked to carry [`HEAVY`].
pub(crate) const WEIGHS: &str = "bubbling-margin,relay-trip-above-bubbling,moisture-contradiction,thermal-resistance-not-counted,ageing-event,accessory-cable-box,cooldown-free-water,cooldown-saturation,input-judged-for-another-day";

/// The demo's day is hardly ever the day on which a test runs; acknowledged, it does not matter.
pub(crate) const WHATEVER_DAY: [&str; 2] = ["--acknowledge", "input-judged-for-another-day"];

/// A path in a folder of this test, where nothing stands.
pub(crate) fn fresh(test: &str) -> PathBuf {
    let folder = scratch(&format!("record-{test}"));
    let path = folder.join("record.db");
    for ending in ["", "-wal", "-shm"] {
        let _ = fs::remove_file(folder.join(format!("record.db{ending}")));
    }
    path
}

pub(crate) fn asked(unit: &str, load: &[&str], path: &Path, flags: &[&str]) -> Ran {
    check(unit, &[load, &["--record", path.to_str().unwrap()], flags].concat())
}

/// Five entries: a question, a go-ahead, an override, a refusal and what came of the override.
fn made() -> PathBuf {
    let path = fresh("scene");
    let ran = asked(T1, &LIGHT, &path, &["--asked-by", "J. Shift"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let by = ["--authorised-by", "A. Engineer"];
    let ran =
        asked(T1, &LIGHT, &path, &[&["--decision", "go-ahead"], &WHATEVER_DAY[..], &by].concat());
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let overridden = ["--decision", "go-ahead", "--acknowledge", WEIGHS, "--reason", "A hospital."];
    let ran = asked(T2, &HEAVY, &path, &[&overridden[..], &by[..]].concat());
    assert_eq!(ran.code, 3, "{}", ran.stderr);
    let ran = asked(T2, &HEAVY, &path, &[&["--decision", "refused"], &by[..]].concat());
    assert_eq!(ran.code, 3, "{}", ran.stderr);
    let after = ["--by", "J. Shift", "--peak-top-oil", "88.5", "--oil-sample", "2026-10-21"];
    let ran = run(&[&["record", "after", path.to_str().unwrap(), "3"], &after[..]].concat());
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    path
}

/// How many entries the scene has.
pub(crate) const ENTRIES: i64 = 5;

/// A copy of the scene for one test.
pub(crate) fn scene(test: &str) -> PathBuf {
    static SCENE: OnceLock<PathBuf> = OnceLock::new();
    let path = fresh(test);
    fs::copy(SCENE.get_or_init(made), &path).unwrap();
    path
}

/// What verifying says is not as it was written.
pub(crate) fn faults(path: &Path) -> Vec<String> {
    let found = Store::open_to_read(path).unwrap().verify(&[]).unwrap();
    found.faults.iter().map(ToString::to_string).collect()
}

/// Changes a record as somebody would who can write to the file: without the triggers, which are put back.
pub(crate) fn attacked(path: &Path, attack: impl FnOnce(&Connection)) {
    let connection = Connection::open(path).unwrap();
    let mut statement =
        connection.prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").unwrap();
    let triggers = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?))).unwrap();
    let triggers: Vec<(String, String)> = triggers.map(Result::unwrap).collect();
    drop(statement);
    assert!(triggers.len() > 3);
    for (name, _) in &triggers {
        connection.execute_batch(&format!("DROP TRIGGER {name}")).unwrap();
    }
    attack(&connection);
    for (_, sql) in &triggers {
        connection.execute_batch(sql).unwrap();
    }
    connection.close().unwrap();
}

/// The evening of the demo, with draws.
pub(crate) const EVENING_RECORDED: [&str; 6] = [
    "--loading",
    "demo-data/loading/evening-transfer.csv",
    "--ambient-file",
    "demo-data/ambient/warm-evening.csv",
    "--preload",
    "0.65",
];
