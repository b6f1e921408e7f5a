//! JSON for programs: the same as the command line writes, for the same questions.

use super::app::App;
use super::ask::{
    Flags, Refusal, answered, arguments, check_question, dated, may_be_repeated, open_flags,
};
use super::once::each_once;
use super::openapi;
use crate::assessment::assess;
use crate::cli::check::CheckArguments;
use crate::cli::fleet::{self, FleetArguments};
use crate::cli::inputs::Given;
use crate::cli::moisture::{self, MoistureArguments};
use crate::cli::plan::{self, PlanArguments};
use crate::cli::rate::{self, RateArguments};
use crate::input::json;
use crate::report::json::pretty;
use crate::rules::catalogue::explain;
use serde_json::{Map, Value};
use std::path::{Path, PathBuf};

/// Files that may be sent as texts: the key, and the flag that names such a file.
pub(super) const SENT: [(&str, &str); 4] = [
    ("loading_csv", "loading"),
    ("history_csv", "history"),
    ("ambient_csv", "ambient-file"),
    ("rules_yaml", "rules"),
];

/// A profile that is sent as text.
pub(super) const PROFILE_SENT: &str = "profile_yaml";

/// The answer at an address.
///
/// # Errors
/// [`Refusal`] if there is no such address, or the question is not accepted.
pub(super) fn answer(app: &App, what: &str, pairs: &Flags) -> Result<String, Refusal> {
    match what {
        "openapi.json" => written(&openapi::description()),
        "units" => units(app),
        "explain" => explained(pairs),
        "check" => {
            let (unit, flags) = of_unit(pairs)?;
            let question = check_question(app, &app.profile(&unit)?, &flags, (&[], &Given::new()))?;
            written(&assess(&question.case))
        }
        "moisture" => {
            let (unit, flags) = of_unit(pairs)?;
            moisture_in(app, &unit, &flags, "json")
        }
        "rate" => {
            let (unit, flags) = of_unit(pairs)?;
            rate_in(app, &unit, &flags, "json")
        }
        "plan" => {
            let (unit, flags) = of_unit(pairs)?;
            plan_in(app, &unit, &flags, "json")
        }
        "fleet" => fleet_in(app, pairs, "json"),
        "records" => super::pages::records::as_json(app),
        _ => Err(Refusal::unknown("address", "no such address".to_owned(), "/api/openapi.json")),
    }
}

fn written(value: &impl serde::Serialize) -> Result<String, Refusal> {
    pretty(value).map_err(|_unwritten| Refusal::internal())
}

/// The unit, and the rest.
fn of_unit(pairs: &Flags) -> Result<(String, Vec<(String, String)>), Refusal> {
    let (units, rest): (Vec<_>, Vec<_>) =
        pairs.iter().cloned().partition(|(name, _)| name == "unit");
    match units.as_slice() {
        [(_, unit)] => Ok((unit.clone(), rest)),
        _ => Err(Refusal::bad("unit", format!("{} units", units.len()), "one unit, by its name")),
    }
}

fn units(app: &App) -> Result<String, Refusal> {
    let all = app.units()?;
    let names: Vec<Value> = all
        .iter()
        .map(|(name, found)| serde_json::json!({ "unit": name, "readable": found.is_ok() }))
        .collect();
    written(&serde_json::json!({ "units": names }))
}

fn explained(pairs: &Flags) -> Result<String, Refusal> {
    each_once(pairs, &[])?;
    let code = pairs.iter().find(|(name, _)| name == "code").map_or("", |(_, code)| code.as_str());
    let accepted = "the code of a finding";
    let found = explain(code)
        .ok_or_else(|| Refusal::unknown("code", crate::input::shown(code), accepted))?;
    written(&serde_json::json!({
        "code": found.code,
        "meaning": found.meaning,
        "source": found.source,
        "what_would_change_it": found.remedy,
    }))
}

/// `moisture` in a format of its own.
///
/// # Errors
/// [`Refusal`] as the command's.
pub(super) fn moisture_in(
    app: &App,
    unit: &str,
    flags: &Flags,
    format: &str,
) -> Result<String, Refusal> {
    let own = with_rules(app, format);
    let asked: MoistureArguments =
        arguments(&dated(app, flags), &own, &[app.profile(unit)?.as_os_str()])?;
    answered(app, |place| moisture::run(&asked, &app.catalogue, app.profiles.as_deref(), place))
}

/// `rate` in a format of its own.
///
/// # Errors
/// [`Refusal`] as the command's.
pub(super) fn rate_in(
    app: &App,
    unit: &str,
    flags: &Flags,
    format: &str,
) -> Result<String, Refusal> {
    let own = with_rules(app, format);
    let asked: RateArguments =
        arguments(&dated(app, flags), &own, &[app.profile(unit)?.as_os_str()])?;
    answered(app, |place| rate::run(&asked, &app.catalogue, app.profiles.as_deref(), place))
}

/// `plan` with the plan that the server was started with.
///
/// # Errors
/// [`Refusal`] as the command's.
pub(super) fn plan_in(
    app: &App,
    unit: &str,
    flags: &Flags,
    format: &str,
) -> Result<String, Refusal> {
    let mut own = with_rules(app, format);
    own.extend(app.outages.as_deref().map(|outages| ("outages", outages)));
    let asked: PlanArguments =
        arguments(&dated(app, flags), &own, &[app.profile(unit)?.as_os_str()])?;
    answered(app, |place| plan::run(&asked, &app.catalogue, app.profiles.as_deref(), place))
}

/// `fleet` over the folder and the loads that the server was started with.
///
/// # Errors
/// [`Refusal`] as the command's.
pub(super) fn fleet_in(app: &App, flags: &Flags, format: &str) -> Result<String, Refusal> {
    let mut own = with_rules(app, format);
    own.extend(app.loads.as_deref().map(|loads| ("loads", loads)));
    let asked: FleetArguments = arguments(&dated(app, flags), &own, &[app.folder.as_os_str()])?;
    answered(app, |place| fleet::run(&asked, &app.catalogue, app.profiles.as_deref(), place))
}

fn with_rules<'a>(app: &'a App, format: &'a str) -> Vec<(&'a str, &'a Path)> {
    let rules = app.rules.as_deref().map(|rules| ("rules", rules));
    rules.into_iter().chain([("format", Path::new(format))]).collect()
}

/// A check whose files are sent with it.
///
/// # Errors
/// [`Refusal`] for the first thing that is not accepted.
pub(super) fn check_sent(app: &App, body: &[u8]) -> Result<String, Refusal> {
    let accepted = "one JSON object with the flags of check as keys";
    let text = std::str::from_utf8(body)
        .map_err(|_bytes| Refusal::bad("body", "bytes that are not UTF-8", accepted))?;
    let sent: Map<String, Value> = json::read("question", text, accepted).map_err(|error| {
        let key = error.key.clone().unwrap_or_else(|| "body".to_owned());
        Refusal::from(error.at_key(key))
    })?;
    let mut given = Given::new();
    let mut files: Vec<(&str, &Path)> = Vec::new();
    for (key, flag) in SENT {
        if let Some(text) = sent.get(key) {
            given.insert(PathBuf::from(key), text_of(key, text)?);
            files.push((flag, Path::new(key)));
        }
    }
    let profile = match (sent.get(PROFILE_SENT), sent.get("unit")) {
        (Some(text), None) => {
            given.insert(PathBuf::from(PROFILE_SENT), text_of(PROFILE_SENT, text)?);
            PathBuf::from(PROFILE_SENT)
        }
        (None, Some(Value::String(unit))) => app.profile(unit)?,
        _ => {
            return Err(Refusal::bad(
                "unit",
                "none, or two",
                "`unit` by its name, or `profile_yaml`",
            ));
        }
    };
    let is_file =
        |key: &str| key == "unit" || key == PROFILE_SENT || SENT.iter().any(|own| own.0 == key);
    let open = open_flags::<CheckArguments>();
    let several = may_be_repeated(&open);
    let mut flags = Vec::new();
    for (key, value) in sent.iter().filter(|(key, _)| !is_file(key)) {
        if !several.contains(&key.as_str()) && value.as_array().is_some_and(Vec::is_empty) {
            let accepted = "what the flag of the same name takes, or no such key";
            return Err(Refusal::bad(key, "an empty list", accepted));
        }
        flags.extend(values(key, value)?.into_iter().map(|value| (key.clone(), value)));
    }
    written(&assess(&check_question(app, &profile, &flags, (&files, &given))?.case))
}

fn text_of(key: &str, value: &Value) -> Result<String, Refusal> {
    value
        .as_str()
        .map(str::to_owned)
        .ok_or_else(|| Refusal::bad(key, "no text", "the text of a file"))
}

/// The values of a flag: one, or several of one that may be repeated.
fn values(key: &str, value: &Value) -> Result<Vec<String>, Refusal> {
    let one = |value: &Value| match value {
        Value::String(text) => Ok(text.clone()),
        Value::Number(number) => Ok(number.to_string()),
        Value::Bool(stated) => Ok(stated.to_string()),
        Value::Null | Value::Array(_) | Value::Object(_) => Err(Refusal::bad(
            key,
            "neither text nor number",
            "what the flag of the same name takes",
        )),
    };
    if let Value::Array(several) = value {
        return several.iter().map(one).collect();
    }
    one(value).map(|value| vec![value])
}
