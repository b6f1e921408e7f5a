//! What an earlier answer may not be.

use super::scene::{Inputs, T2, ratings};
use bubblemargin::rating::compare::old::OldRatings;
use serde_json::{Value, json};

fn answer() -> Value {
    serde_json::to_value(ratings(&Inputs::of(T2))).unwrap()
}

/// What a refusal of the answer with a value in place of another names.
fn refused(pointer: &str, value: Value) -> String {
    let mut answer = answer();
    *answer.pointer_mut(pointer).unwrap() = value;
    let text = answer.to_string();
    OldRatings::read("old.json", &text, "fellmoor-t2").unwrap_err().to_string()
}

#[test]
fn another_file_another_method_and_another_unit_are_refused() {
    for (text, words) in [
        ("", "line 1"),
        ("unit: fellmoor-t2\n", "line 1"),
        ("{\"verdict\": \"go\"}", "missing field"),
        ("[]", "`rate` wrote earlier"),
        ("{\"methodology\": \"bubblemargin-rating-0\"}", "\"bubblemargin-rating-1\""),
    ] {
        let error = OldRatings::read("old.json", text, "fellmoor-t2").unwrap_err().to_string();
        for part in ["old.json", words, "found:", "accepted:"] {
            assert!(error.contains(part), "{text}: {part} is not in {error}");
        }
    }
    let error = refused("/methodology", json!("other"));
    assert!(error.contains("methodology") && error.contains("\"other\""), "{error}");
    let error = refused("/unit/name", json!("fellmoor-t1"));
    assert!(error.contains("fellmoor-t1") && error.contains("\"fellmoor-t2\""), "{error}");
}

#[test]
fn numbers_out_of_range_are_refused_at_their_key() {
    for (key, value) in [
        ("load_pu", json!(50.0)),
        ("load_pu", json!(-0.1)),
        ("preload_pu", json!(1.0e300)),
        ("ambient_c", json!(300.0)),
        ("duration_min", json!(0.0)),
        ("from_min", json!(1.0e12)),
    ] {
        let error = refused(&format!("/cells/1/{key}"), value);
        assert!(
            error.contains(&format!("cells[1].{key}")) && error.contains("a number from"),
            "{error}"
        );
    }
    for value in [json!("NaN"), json!([1.0])] {
        let error = refused("/cells/1/load_pu", value);
        assert!(error.contains("line 1") && error.contains("found:"), "{error}");
    }
    let huge = answer().to_string().replacen("\"load_pu\":", "\"load_pu\":1e999,\"other\":", 1);
    assert!(OldRatings::read("old.json", &huge, "fellmoor-t2").is_err());
}

#[test]
fn doubled_and_altered_entries_are_refused() {
    let whole = answer();
    let error = refused("/cells/1", whole["cells"][0].clone());
    assert!(error.contains("cells[1]") && error.contains("a second time"), "{error}");
    let error = refused("/cells", json!([]));
    assert!(error.contains("no ratings"), "{error}");
    let error = refused("/inputs/1", whole["inputs"][0].clone());
    assert!(error.contains("inputs[1]") && error.contains("a second time"), "{error}");
    let error = refused("/inputs/0/text", json!("unit: other\n"));
    assert!(error.contains("inputs[0] (unit.unit)") && error.contains("SHA-256"), "{error}");
    let error = refused("/cells/0/governs/what", json!("luck"));
    assert!(error.contains("luck"), "{error}");
}

#[test]
fn keys_that_are_not_known_are_passed_over() {
    let mut answer = answer();
    answer["later"] = json!({ "x": 1 });
    answer["cells"][0]["later"] = json!(true);
    let old = OldRatings::read("old.json", &answer.to_string(), "fellmoor-t2").unwrap();
    assert_eq!(old.cells.len(), 4);
}
