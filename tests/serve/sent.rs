//! A case sent with its files as texts is the case of the command line with those files.

use crate::server::{AS_OF, Server, UNITS, printed};
use serde_json::{Value, json};
use std::fs;

const T1: &str = "demo-data/units/fellmoor-t1.yaml";
const T2: &str = "demo-data/units/fellmoor-t2.yaml";
const LOADING: &str = "demo-data/loading/evening-transfer.csv";
const AMBIENT: &str = "demo-data/ambient/warm-evening.csv";
const RULES: &str = "profiles/rules/example.yaml";

fn text(path: &str) -> String {
    fs::read_to_string(path).unwrap()
}

fn json_of(arguments: &[&str]) -> Value {
    let whole = [arguments, &["--as-of", AS_OF, "--format", "json"]].concat();
    serde_json::from_str(&printed(&whole)).unwrap()
}

#[test]
fn a_unit_of_the_folder_with_loading_and_ambient_as_texts() {
    let body = json!({
        "unit": "fellmoor-t2", "loading_csv": text(LOADING), "ambient_csv": text(AMBIENT),
        "rules_yaml": text(RULES), "preload": 0.65,
    });
    let reply = Server::of_the_demo().post("/api/check", &body.to_string());
    assert_eq!(reply.status, 200, "{}", reply.body);
    let printed = json_of(&[
        "check",
        T2,
        "--loading",
        LOADING,
        "--ambient-file",
        AMBIENT,
        "--rules",
        RULES,
        "--preload",
        "0.65",
    ]);
    assert_eq!(reply.json(), printed);
}

#[test]
fn a_profile_as_text_with_steps_as_a_list() {
    let body = json!({
        "profile_yaml": text(T1), "step": ["1.2:45min", "1.1:2h"], "preload": "0.65", "ambient": -3,
        "draws": 0, "condition": "oil_level=low", "why": false,
    });
    let reply = Server::of_the_demo().post("/api/check", &body.to_string());
    let flags = ["--step=1.2:45min", "--step=1.1:2h", "--preload=0.65", "--ambient=-3"];
    let printed =
        json_of(&[&["check", T1, "--draws=0", "--condition=oil_level=low"], &flags[..]].concat());
    assert_eq!(reply.json(), printed);
}

#[test]
fn a_history_as_text() {
    let history = "demo-data/history/afternoon.csv";
    let body = json!({
        "unit": "fellmoor-t1", "history_csv": text(history), "load": 1.1, "for": "2h", "ambient": 25,
        "draws": 0,
    });
    let reply = Server::of_the_demo().post("/api/check", &body.to_string());
    assert_eq!(reply.status, 200, "{}", reply.body);
    let flags = ["--load", "1.1", "--for", "2h", "--ambient", "25", "--draws", "0"];
    let printed = json_of(&[&["check", T1, "--history", history], &flags[..]].concat());
    assert_eq!(reply.json(), printed);
}

#[test]
fn texts_that_are_wrong_are_refused_with_their_line() {
    let server = Server::started(&[UNITS, "--as-of", AS_OF]);
    let broken = "minute,load_pu\n0,1.0\n10,NaN\n";
    let body =
        json!({ "unit": "fellmoor-t1", "loading_csv": broken, "preload": 0.6, "ambient": 20 });
    let reply = server.post("/api/check", &body.to_string());
    assert_eq!(reply.status, 400);
    let error = &reply.json()["error"];
    assert_eq!((&error["place"], &error["line"]), (&json!("loading_csv"), &json!(3)));
}

#[test]
fn what_is_no_such_object_is_refused() {
    let server = Server::of_the_demo();
    let usual = r#""load":1.1,"for":"2h","preload":0.6,"ambient":20"#;
    let deep = "[".repeat(100_000);
    for body in [
        String::new(),
        "null".to_owned(),
        "[]".to_owned(),
        "{".to_owned(),
        "\u{0}".to_owned(),
        format!("{{\"unit\":{deep}"),
        format!("{{{usual}}}"),
        format!(r#"{{"unit":"fellmoor-t1","profile_yaml":"unit: x",{usual}}}"#),
        format!(r#"{{"unit":1,{usual}}}"#),
        format!(r#"{{"unit":"fellmoor-t1","loading_csv":5,{usual}}}"#),
        r#"{"unit":"fellmoor-t1","loading":"demo-data/loading/evening-transfer.csv"}"#.to_owned(),
        format!(r#"{{"unit":"fellmoor-t1","out":"/tmp/x",{usual}}}"#),
        format!(r#"{{"unit":"fellmoor-t1","draws":{{}},{usual}}}"#),
        format!(r#"{{"unit":"fellmoor-t1","draws":null,{usual}}}"#),
        format!(r#"{{"unit":"fellmoor-t1","draws":1e400,{usual}}}"#),
        format!(r#"{{"unit":"fellmoor-t1","draws":[256,256],{usual}}}"#),
        format!(r#"{{"profile_yaml":"",{usual}}}"#),
        format!(r#"{{"profile_yaml":"&a [*a]",{usual}}}"#),
    ] {
        let start: String = body.chars().take(80).collect();
        let reply = server.post("/api/check", &body);
        assert_eq!(reply.status, 400, "{start}: {}", reply.body);
        assert!(reply.json()["error"]["accepted"].is_string(), "{start}");
    }
    let form = server.asked("POST", "/api/check", &[("Content-Type", "text/plain")], "{}");
    assert_eq!(form.status, 403, "what a form of a foreign page could send");
}
