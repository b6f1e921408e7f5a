//! The description of the interface is one that other tools read, and what it describes is there.

use crate::client::encoded;
use crate::server::{AS_OF, Server};
use oas3::OpenApiV3Spec;

const FOLDER: &str = "demo-data/fleet/units";

fn server() -> Server {
    Server::started(&["demo-data/units", "--as-of", AS_OF, "--outages", "demo-data/outages.yaml"])
}

#[test]
fn another_tool_reads_the_description() {
    let reply = server().get("/api/openapi.json");
    let read: OpenApiV3Spec = oas3::from_json(&reply.body).unwrap();
    read.validate_version().unwrap();
    let operations: Vec<_> = read.operations().collect();
    assert_eq!(operations.len(), 10);
    let check = operations.iter().find(|own| own.0 == "/api/check" && own.1 == "GET").unwrap();
    let parameters = check.2.parameters(&read).unwrap();
    let preload = parameters.iter().find(|own| own.name == "preload").unwrap();
    assert!(preload.description.as_ref().is_some_and(|words| !words.is_empty()));
    for (path, method, operation) in &operations {
        assert!(operation.operation_id.is_some(), "{method} {path}");
        assert!(operation.responses(&read).contains_key("200"), "{method} {path}");
    }
}

/// What a command needs to be asked at all.
fn least(path: &str) -> &'static str {
    match path {
        "/api/check" => "unit=fellmoor-t1&load=1.1&for=2h&preload=0.6&ambient=20",
        "/api/fleet" => "load=1.1&for=2h&preload=0.6&ambient=20",
        "/api/explain" => "code=bubbling-margin",
        "/api/moisture" | "/api/rate" | "/api/plan" => "unit=fellmoor-t1",
        _ => "",
    }
}

#[test]
fn every_described_address_answers_and_knows_every_described_parameter() {
    let server = server();
    let described = server.get("/api/openapi.json").json();
    let mut known = 0;
    for (path, operations) in described["paths"].as_object().unwrap() {
        let least = least(path);
        if path == "/api/records" {
            assert_eq!(server.get(path).status, 404, "no record was named at the start");
            continue;
        }
        let quick = if least.is_empty() || path == "/api/explain" || path == "/api/moisture" {
            least.to_owned()
        } else if path == "/api/rate" {
            format!("{least}&draws=0&for=30min&ambient=20")
        } else {
            format!("{least}&draws=0")
        };
        assert_eq!(server.get(&format!("{path}?{quick}")).status, 200, "{path}");
        for parameter in operations["get"]["parameters"].as_array().unwrap() {
            let name = parameter["name"].as_str().unwrap();
            // What is known is refused for its value, by name; what is unknown for its name.
            let reply = server.get(&format!("{path}?{name}={}", encoded("no such value")));
            if reply.status == 200 {
                continue;
            }
            let error = &reply.json()["error"];
            let unknown = error["found"] == "a name that is not known here";
            assert!(!unknown, "{path}: {error}");
            known += 1;
        }
    }
    assert!(known > 30, "{known}");
}

#[test]
fn the_stable_fields_of_an_answer_are_there() {
    let server = Server::started(&[FOLDER, "--as-of", AS_OF]);
    let described = server.get("/api/openapi.json").json();
    let question = "load=1.1&for=2h&preload=0.6&ambient=20&draws=0";
    let answer = server.get(&format!("/api/check?unit=stanebeck-t1&{question}")).json();
    let required = &described["components"]["schemas"]["Check"]["required"];
    for field in required.as_array().unwrap() {
        assert!(answer.get(field.as_str().unwrap()).is_some(), "{field}");
    }
}
