//! The chain computed anew from the export, by the documented formula and nothing of the program's.

use super::run::{json, run};
use super::scene::{ENTRIES, scene};
use serde_json::Value;
use sha2::{Digest, Sha256};

/// The formula as `src/record/chain.rs` and DEVELOPERS.md state it, written a second time.
fn hash_of(parts: [&str; 7]) -> String {
    let mut bytes = Vec::new();
    for part in parts {
        bytes.extend((part.len() as u64).to_le_bytes());
        bytes.extend(part.as_bytes());
    }
    let digits: Vec<String> =
        Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
    digits.concat()
}

#[test]
fn the_export_can_be_verified_by_others() {
    let path = scene("export");
    let ran = run(&["record", "export", path.to_str().unwrap()]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let export = json(&ran);
    assert_eq!(export["format"], "bubblemargin-record-1");
    let entries = export["entries"].as_array().unwrap();
    let mut before = "0".repeat(64);
    for (number, entry) in (1..).zip(entries) {
        let text = |key: &str| entry[key].as_str().unwrap();
        assert_eq!((entry["seq"].as_i64(), text("previous")), (Some(number), before.as_str()));
        let number = number.to_string();
        let fields = [
            "bubblemargin-record-1",
            &number,
            text("id"),
            text("kind"),
            text("written"),
            text("previous"),
            text("body"),
        ];
        before = hash_of(fields);
        assert_eq!(text("hash"), before);
        let body: Value = serde_json::from_str(text("body")).unwrap();
        assert_eq!(body["id"], text("id"));
    }
    assert_eq!(export["count"].as_i64(), Some(ENTRIES));
    assert_eq!(export["last_hash"].as_str(), Some(before.as_str()));
}

#[test]
fn the_csv_holds_the_same_texts() {
    let path = scene("export-csv");
    let whole = json(&run(&["record", "export", path.to_str().unwrap()]));
    let ran = run(&["record", "export", path.to_str().unwrap(), "--format", "csv"]);
    let mut reader = csv::Reader::from_reader(ran.stdout.as_bytes());
    let header = reader.headers().unwrap().clone();
    let mut rows = 0;
    for (row, entry) in reader.records().zip(whole["entries"].as_array().unwrap()) {
        for (column, value) in header.iter().zip(&row.unwrap()).skip(1) {
            assert_eq!(entry[column].as_str(), Some(value), "{column}");
        }
        rows += 1;
    }
    assert_eq!(rows, ENTRIES);
}
