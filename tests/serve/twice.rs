//! What stands twice in a question or on a form is refused, whichever value a reader would have kept.

use crate::client::encoded;
use crate::server::{AS_OF, Server, UNITS, scratch};
use std::path::Path;

const FORM: (&str, &str) = ("Content-Type", "application/x-www-form-urlencoded");
const REST: &str = "\"for\": \"2h\", \"preload\": 0.6, \"ambient\": 20, \"draws\": 0";
const QUERY: &str = "for=2h&preload=0.6&ambient=20&draws=0";

#[test]
fn a_json_question_with_a_key_twice_is_refused_by_name_and_line() {
    let server = Server::of_the_demo();
    for (key, body) in [
        ("load", format!("{{\"unit\": \"fellmoor-t1\", \"load\": 1.5, \"load\": 1.0, {REST}}}")),
        ("load", format!("{{\"unit\": \"fellmoor-t1\", \"load\": 1.0, \"load\": 1.0, {REST}}}")),
        (
            "load",
            format!("{{\"load\": 1.5, \"lo\\u0061d\": 1.0, \"unit\": \"fellmoor-t1\", {REST}}}"),
        ),
        (
            "unit",
            format!(
                "{{\"unit\": \"fellmoor-t2\", \"unit\": \"fellmoor-t1\", \"load\": 1.0, {REST}}}"
            ),
        ),
        (
            "x.y",
            format!(
                "{{\"unit\": \"fellmoor-t1\", \"x\": {{\"y\": 1, \"y\": 2}}, \"load\": 1.0, {REST}}}"
            ),
        ),
    ] {
        let reply = server.post("/api/check", &body);
        assert_eq!(reply.status, 400, "{body}: {}", reply.body);
        let error = &reply.json()["error"];
        assert_eq!(
            (error["key"].as_str(), error["line"].as_u64()),
            (Some(key), Some(1)),
            "{error}"
        );
        assert_eq!(error["found"], "the same key twice");
    }
    let listed = format!("{{\"unit\": \"fellmoor-t1\", \"load\": [1.5, 1.0], {REST}}}");
    let reply = server.post("/api/check", &listed);
    assert_eq!((reply.status, reply.json()["error"]["key"].as_str()), (400, Some("load")));
    let once = format!("{{\"unit\": \"fellmoor-t1\", \"load\": 1.0, {REST}}}");
    assert_eq!(server.post("/api/check", &once).status, 200);
}

#[test]
fn a_flag_that_stands_twice_is_refused_even_where_one_of_them_says_nothing() {
    let server = Server::of_the_demo();
    for twice in ["load=1.5&load=1.0", "load=1.0&load=1.0", "load=1.0&lo%61d=1.5", "load=&load=1.0"]
    {
        for path in
            ["/unit/fellmoor-t1?", "/unit/fellmoor-t1/report?", "/api/check?unit=fellmoor-t1&"]
        {
            let reply = server.get(&format!("{path}{twice}&{QUERY}"));
            assert_eq!(reply.status, 400, "{path}{twice}");
            assert!(reply.body.contains("twice"), "{path}{twice}: {}", reply.body);
        }
    }
    for twice in ["why=true&why=false", "why=false&why=true", "as-of=2026-10-20&as-of=2026-10-21"] {
        let asked = format!("/api/check?unit=fellmoor-t1&load=1.0&{QUERY}&{twice}");
        assert_eq!(server.get(&asked).status, 400, "{twice}");
    }
    let explained = server.get("/api/explain?code=bubbling-margin&code=gas-relay-alarm");
    assert_eq!(explained.status, 400, "{}", explained.body);
}

#[test]
fn what_adds_to_one_another_may_stand_several_times() {
    let server = Server::of_the_demo();
    let around = "preload=0.6&ambient=20&draws=0";
    for path in [
        format!("/api/check?unit=fellmoor-t1&step=1.1:1h&step=1.0:1h&{around}"),
        format!("/unit/fellmoor-t1?step_pu=1.1&step_for=1h&step_pu=1.0&step_for=1h&{around}"),
        format!(
            "/unit/fellmoor-t1?load=1.0&{QUERY}&condition=&condition=oil_level%3Dnormal&condition=fault_gas%3Dnone"
        ),
        "/api/rate?unit=fellmoor-t1&for=1h&for=2h&ambient=20&ambient=30&preload=0.5&preload=0.6&draws=0\
         &limits=iec-normal-cyclic&limits=iec-long-time-emergency"
            .to_owned(),
    ] {
        let reply = server.get(&path);
        assert_eq!(reply.status, 200, "{path}: {}", reply.body);
    }
}

#[test]
fn a_decision_that_stands_twice_is_not_recorded() {
    let records = scratch("twice").join("records.sqlite");
    let _ = std::fs::remove_file(&records);
    let path = records.to_str().unwrap();
    let server = Server::started(&[UNITS, "--as-of", AS_OF, "--records", path]);
    let own = format!("http://{}", server.host());
    let headers = [FORM, ("Origin", &own), ("Sec-Fetch-Site", "same-origin")];
    let question = format!("load=1.0&{QUERY}");
    let answer = server.get(&format!("/api/check?unit=fellmoor-t1&{question}")).json();
    let hash = answer["inputs_sha256"].as_str().unwrap();
    let body = format!(
        "unit=fellmoor-t1&question={}&inputs_sha256={hash}&asked_by=A&authorised_by=B",
        encoded(&question)
    );
    let posted = |more: &str| server.asked("POST", "/records", &headers, &format!("{body}&{more}"));
    for twice in [
        "decision=go-ahead&decision=refused",
        "decision=refused&decision=go-ahead",
        "decision=none&authorised_by=",
        "decision=none&inputs_sha256=0",
        "decision=none&unit=fellmoor-t2",
    ] {
        let reply = posted(twice);
        assert_eq!(reply.status, 400, "{twice}: {}", reply.body);
        assert!(reply.body.contains("twice"), "{twice}: {}", reply.body);
        assert!(!Path::new(path).exists(), "{twice} writes nothing");
    }
    // Each finding is acknowledged by itself.
    let reply = posted("decision=none&acknowledge=a&acknowledge=b");
    assert!(!reply.body.contains("twice"), "{}", reply.body);
    let after = server.asked("POST", "/records/1/after", &headers, "by=A&by=&load-carried=1.0");
    assert_eq!(after.status, 400, "{}", after.body);
    assert!(after.body.contains("twice"), "{}", after.body);
}

#[test]
fn figures_that_look_like_another_unit_are_asked_about_and_can_be_confirmed() {
    let server = Server::of_the_demo();
    let rest = "preload=0.6&ambient=20&draws=0";
    let page = format!("/unit/fellmoor-t1?step_pu=1.0&step_for=30h&{rest}");
    let asked = server.get(&page);
    assert_eq!(asked.status, 400);
    assert!(asked.body.contains("Are these minutes?"), "{}", asked.body);
    assert!(asked.body.contains("name=\"units-confirmed\""), "it can be confirmed there");
    assert_eq!(server.get(&format!("{page}&units-confirmed=true")).status, 200);
    let body = |more: &str| {
        let csv = "minute,load_mva\\n0,1.2\\n60,0.6\\n";
        format!(
            "{{\"unit\": \"fellmoor-t1\", \"loading_csv\": \"{csv}\", \"preload\": 0.6, \"ambient\": 20, \"draws\": 0{more}}}"
        )
    };
    let reply = server.post("/api/check", &body(""));
    assert_eq!(reply.status, 400, "{}", reply.body);
    assert_eq!(reply.json()["error"]["key"], "column load_mva");
    assert_eq!(server.post("/api/check", &body(", \"units-confirmed\": true")).status, 200);
}

#[test]
fn nothing_that_was_sent_is_dropped() {
    let server = Server::of_the_demo();
    let body = format!("{{\"unit\": \"fellmoor-t1\", \"load\": 0.6, {REST}}}");
    let refused = |reply: crate::client::Reply, key: &str| {
        assert_eq!(reply.status, 400, "{key}: {}", reply.body);
        assert!(reply.body.contains(key), "{key}: {}", reply.body);
    };
    let json = [("Content-Type", "application/json")];
    refused(server.asked("POST", "/api/check?load=1.6", &json, &body), "\"key\":\"load\"");
    let asked = format!("/api/check?unit=fellmoor-t1&load=0.6&{QUERY}");
    refused(server.asked("GET", &asked, &json, "{\"load\": 1.6}"), "body");
    for key in ["cooling-lost-at", "load", "after"] {
        let body = format!("{{\"unit\": \"fellmoor-t1\", \"{key}\": [], {REST}}}");
        refused(server.post("/api/check", &body), key);
    }
    let none_stated =
        format!("{{\"unit\": \"fellmoor-t1\", \"load\": 1.0, \"condition\": [], {REST}}}");
    assert_eq!(server.post("/api/check", &none_stated).status, 200);
    // A name alone confirms nothing.
    let unconfirmed = "/api/check?unit=fellmoor-t1&load=1.0&for=30h&preload=0.6&ambient=20&draws=0";
    refused(server.get(&format!("{unconfirmed}&units-confirmed=")), "units-confirmed");
    refused(server.get(&format!("{unconfirmed}&units-confirmed")), "units-confirmed");
    assert_eq!(server.get(&format!("{unconfirmed}&units-confirmed=true")).status, 200);
    refused(server.get("/unit/fellmoor-t1?load=1.0&cooling=%FC"), "cooling");
}

#[test]
fn a_decision_is_recorded_as_it_was_sent_or_not_at_all() {
    let records = scratch("as-sent").join("records.sqlite");
    let _ = std::fs::remove_file(&records);
    let path = records.to_str().unwrap();
    let server = Server::started(&[UNITS, "--as-of", AS_OF, "--records", path]);
    let own = format!("http://{}", server.host());
    let headers = [FORM, ("Origin", &own), ("Sec-Fetch-Site", "same-origin")];
    let question = format!("load=1.0&{QUERY}");
    let answer = server.get(&format!("/api/check?unit=fellmoor-t1&{question}")).json();
    let hash = answer["inputs_sha256"].as_str().unwrap();
    let body = format!(
        "unit=fellmoor-t1&question={}&inputs_sha256={hash}&asked_by=A&authorised_by=B&decision=none",
        encoded(&question)
    );
    for (address, more, key) in [
        ("/records?decision=refused", "", "decision"),
        ("/records", "&Decision=refused", "Decision"),
        ("/records", "&required-end=2026-10-20T21:30:00Z", "required-end"),
        ("/records", "&received_by=M%FCller", "received_by"),
        ("/records/1/after?by=A", "", "by"),
    ] {
        let reply = server.asked("POST", address, &headers, &format!("{body}{more}"));
        assert_eq!(reply.status, 400, "{address} {more}: {}", reply.body);
        assert!(reply.body.contains(key), "{key}: {}", reply.body);
        assert!(!Path::new(path).exists(), "{address} {more} writes nothing");
    }
    let reply =
        server.asked("POST", "/records", &headers, &format!("{body}&received_by=M%C3%BCller"));
    assert_eq!(reply.status, 303, "{}", reply.body);
}

#[test]
fn rules_in_a_question_never_take_the_place_of_the_servers() {
    let rules = "profiles/rules/example.yaml";
    let server = Server::started(&[UNITS, "--as-of", AS_OF, "--rules", rules]);
    let body = |more: &str| format!("{{\"unit\": \"fellmoor-t1\", \"load\": 1.0, {REST}{more}}}");
    let reply =
        server.post("/api/check", &body(", \"rules_yaml\": \"rules: x\\nissued_by: me\\n\""));
    assert_eq!(reply.status, 400, "{}", reply.body);
    assert_eq!(reply.json()["error"]["key"], "rules_yaml");
    assert_eq!(server.post("/api/check", &body("")).status, 200);
}
