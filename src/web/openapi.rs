//! The description of the interface, made from the command line's own flags, so that it cannot be out of date.

use super::api::{PROFILE_SENT, SENT};
use super::ask::open_flags;
use crate::cli::check::CheckArguments;
use crate::cli::fleet::FleetArguments;
use crate::cli::moisture::MoistureArguments;
use crate::cli::plan::PlanArguments;
use crate::cli::rate::RateArguments;
use clap::{Arg, ArgAction, Args};
use serde_json::{Map, Value, json};

/// The version of the language of descriptions.
const OPENAPI: &str = "3.1.0";

/// The whole description.
pub(super) fn description() -> Value {
    let check = described::<CheckArguments>();
    json!({
        "openapi": OPENAPI,
        "info": {
            "title": "bubblemargin",
            "version": env!("CARGO_PKG_VERSION"),
            "description": "A calculation aid: it authorises nothing. Local operating rules, the maker's limits and licensed people decide.",
            "license": { "name": "MIT OR Apache-2.0" },
        },
        "paths": {
            "/api/units": { "get": get("units", "Which units there are", &[]) },
            "/api/check": {
                "get": get("check", "May this overload go ahead", &of_unit(&check)),
                "post": post(&check),
            },
            "/api/moisture": { "get": get("moisture", "How wet is the paper, and which evidence counts", &of_unit(&described::<MoistureArguments>())) },
            "/api/rate": { "get": get("rate", "Emergency ratings by duration, ambient and preload", &of_unit(&described::<RateArguments>())) },
            "/api/plan": { "get": get("plan", "Which planned outages work, and when", &of_unit(&described::<PlanArguments>())) },
            "/api/fleet": { "get": get("fleet", "Which units are the problem under one contingency", &described::<FleetArguments>()) },
            "/api/records": { "get": get("records", "Authorisation records", &[]) },
            "/api/explain": { "get": get("explain", "What a finding means", &[required("code", "The code of a finding")]) },
            "/api/openapi.json": { "get": get("openapi", "This description", &[]) },
        },
        "components": { "schemas": { "Refusal": refusal(), "Check": check_answer() } },
    })
}

fn get(id: &str, summary: &str, parameters: &[Value]) -> Value {
    json!({
        "operationId": id,
        "summary": summary,
        "parameters": parameters,
        "responses": responses(if id == "check" { Some("Check") } else { None }),
    })
}

fn responses(schema: Option<&str>) -> Value {
    let answer = schema.map_or_else(
        || json!({ "type": "object" }),
        |name| json!({ "$ref": format!("#/components/schemas/{name}") }),
    );
    let refused =
        json!({ "application/json": { "schema": { "$ref": "#/components/schemas/Refusal" } } });
    json!({
        "200": {
            "description": "The answer, whatever the verdict; the same JSON as on the command line",
            "content": { "application/json": { "schema": answer } },
        },
        "400": { "description": "A question that is not accepted", "content": refused },
        "404": { "description": "No such unit", "content": refused },
        "503": { "description": "Busy: nothing was answered" },
    })
}

fn post(flags: &[Value]) -> Value {
    let mut properties: Map<String, Value> = flags
        .iter()
        .filter_map(|flag| Some((flag["name"].as_str()?.to_owned(), typed(flag))))
        .collect();
    properties.insert("unit".to_owned(), json!({ "type": "string" }));
    for key in SENT.iter().map(|sent| sent.0).chain([PROFILE_SENT]) {
        let text = json!({ "type": "string", "description": "The text of such a file" });
        properties.insert(key.to_owned(), text);
    }
    json!({
        "operationId": "checkSent",
        "summary": "May this overload go ahead, with files sent as texts",
        "requestBody": {
            "required": true,
            "content": { "application/json": { "schema": { "type": "object", "properties": properties } } },
        },
        "responses": responses(Some("Check")),
    })
}

/// A flag as a property of a body: text, a number or a truth; a list of them where it may be repeated.
fn typed(flag: &Value) -> Value {
    let one = json!({ "type": ["string", "number", "boolean"] });
    let described = flag["description"].clone();
    if flag["schema"]["type"] == "array" {
        json!({ "description": described, "anyOf": [one, { "type": "array", "items": one }] })
    } else {
        json!({ "description": described, "type": ["string", "number", "boolean"] })
    }
}

fn of_unit(flags: &[Value]) -> Vec<Value> {
    [vec![required("unit", "A unit, by its name")], flags.to_vec()].concat()
}

fn required(name: &str, words: &str) -> Value {
    json!({ "name": name, "in": "query", "required": true, "description": words, "schema": { "type": "string" } })
}

/// The flags of a command that may be set from outside, as parameters of a query.
fn described<A: Args>() -> Vec<Value> {
    open_flags::<A>().iter().filter_map(parameter).collect()
}

fn parameter(arg: &Arg) -> Option<Value> {
    let name = arg.get_long()?;
    let help = arg.get_help().map(ToString::to_string).unwrap_or_default();
    let possible: Vec<String> =
        arg.get_possible_values().iter().map(|value| value.get_name().to_owned()).collect();
    let mut schema = if matches!(arg.get_action(), ArgAction::SetTrue) {
        json!({ "type": "boolean" })
    } else if possible.is_empty() {
        json!({ "type": "string" })
    } else {
        json!({ "type": "string", "enum": possible })
    };
    if matches!(arg.get_action(), ArgAction::Append) {
        schema = json!({ "type": "array", "items": schema });
    } else if let Some(default) = arg.get_default_values().first().and_then(|value| value.to_str())
        && schema["type"] == "string"
    {
        schema["default"] = json!(default);
    }
    Some(
        json!({ "name": name, "in": "query", "required": false, "description": help, "schema": schema }),
    )
}

fn refusal() -> Value {
    json!({
        "type": "object",
        "required": ["error"],
        "properties": { "error": {
            "type": "object",
            "required": ["place", "found", "accepted"],
            "properties": {
                "place": { "type": "string" },
                "line": { "type": ["integer", "null"] },
                "key": { "type": ["string", "null"] },
                "found": { "type": "string" },
                "accepted": { "type": "string" },
            },
        } },
    })
}

/// The fields of `check` that are stable.
fn check_answer() -> Value {
    let number = json!({ "type": ["number", "null"] });
    let object = json!({ "type": ["object", "null"] });
    let list = json!({ "type": "array" });
    json!({
        "type": "object",
        "required": ["tool", "unit", "asked", "inputs_sha256", "verdict", "bubbling", "limits", "findings"],
        "properties": {
            "tool": object,
            "unit": { "type": "string" },
            "asked": object,
            "inputs_sha256": { "type": "string" },
            "verdict": { "type": "string", "enum": ["go", "go-with-cautions", "no-go", "cannot-decide"] },
            "peak": object,
            "bubbling": object,
            "limits": list,
            "time_to_limit_min": number,
            "largest_load_pu": number,
            "ageing": object,
            "watch": list,
            "watch_guard": object,
            "findings": list,
            "trace": list,
        },
    })
}
