//! Authorisation records: what was decided, written from the page and read on it.

use crate::assessment::assess;
use crate::cli::inputs::Given;
use crate::cli::record::after::{AfterArguments, added};
use crate::cli::record::{came_of, entry};
use crate::cli::{Failure, clock, recording};
use crate::input::InputError;
use crate::record::decision::Decision;
use crate::record::export::Export;
use crate::record::statement::Statement;
use crate::record::store::Store;
use crate::report::json::pretty;
use crate::report::record_view::{self, RecordLine, RecordView};
use crate::web::app::App;
use crate::web::ask::{Flags, Refusal, arguments, check_question, dated, failed};
use crate::web::desk::command_of;
use crate::web::frame::{Frame, Here, segment};
use crate::web::once::each_once;
use crate::web::pairs::pairs_of;
use askama::Template;
use chrono::DateTime;
use std::ffi::OsStr;
use std::path::Path;

/// Fields of a decision that may stand several times: each finding is acknowledged by itself.
const SEVERAL: [&str; 1] = ["acknowledge"];

/// Fields of a decision. Another name, such as one in capitals, would be a statement that nobody records.
const FIELDS: [&str; 13] = [
    "unit",
    "question",
    "inputs_sha256",
    "decision",
    "acknowledge",
    "asked_by",
    "authorised_by",
    "received_by",
    "repeat_back",
    "reason",
    "top_oil_by",
    "tap",
    "required_end",
];

/// Newest entries on the page.
const SHOWN: usize = 200;

/// The page of all entries.
#[derive(Template)]
#[template(path = "pages/records.html")]
struct List {
    frame: Frame,
    whole: String,
    faults: Vec<String>,
    lines: Vec<RecordLine>,
    earlier: usize,
}

/// The page of one.
#[derive(Template)]
#[template(path = "pages/record.html")]
struct One {
    frame: Frame,
    view: RecordView,
}

fn file(app: &App) -> Result<&Path, Refusal> {
    let none = || {
        Refusal::unknown("records", "no records here".to_owned(), "a server started with --records")
    };
    app.records.as_deref().ok_or_else(none)
}

/// The record, to read; `None` where nothing has been written yet.
fn opened(app: &App) -> Result<Option<Store>, Refusal> {
    let path = file(app)?;
    if !path.exists() {
        return Ok(None);
    }
    Store::open_to_read(path).map(Some).map_err(|error| failed(app, error.into()))
}

/// The page of all entries, the newest first, and whether the record is whole.
///
/// # Errors
/// [`Refusal`] if there is no record, or it cannot be read.
pub(in crate::web) fn list(app: &App) -> Result<String, Refusal> {
    let store = opened(app)?;
    let failed = |error| failed(app, Failure::from(error));
    let rows = store.as_ref().map_or_else(|| Ok(Vec::new()), Store::list).map_err(failed)?;
    let found = store.as_ref().map(|store| store.verify(&[])).transpose().map_err(failed)?;
    let (whole, faults) = found
        .as_ref()
        .map_or_else(|| ("WHOLE: 0 entries.".to_owned(), Vec::new()), record_view::wholeness);
    let page = List {
        frame: Frame::of(app, None, Here::Records),
        whole,
        faults,
        lines: rows.iter().rev().take(SHOWN).map(record_view::line).collect(),
        earlier: rows.len().saturating_sub(SHOWN),
    };
    page.render().map_err(|_unfilled| Refusal::internal())
}

/// The page of one entry.
///
/// # Errors
/// [`Refusal`] if there is none, or it cannot be read.
pub(in crate::web) fn one(app: &App, id: &str) -> Result<String, Refusal> {
    let unknown = || Refusal::unknown("record", crate::input::shown(id), "an entry of the list");
    let store = opened(app)?.ok_or_else(unknown)?;
    let row = entry(&store, id).map_err(|_absent| unknown())?;
    let afterwards = came_of(&store, &row.id).map_err(|failure| failed(app, failure))?;
    let unreadable = |error: serde_json::Error| failed(app, Failure::Internal(error.to_string()));
    let view = record_view::full(&row, &row.entry().map_err(unreadable)?, &afterwards);
    let page = One { frame: Frame::of(app, None, Here::Elsewhere), view };
    page.render().map_err(|_unfilled| Refusal::internal())
}

/// Every entry as `record export` writes it.
///
/// # Errors
/// [`Refusal`] if there is no record, or it cannot be read.
pub(in crate::web) fn as_json(app: &App) -> Result<String, Refusal> {
    let failed = |error| failed(app, Failure::from(error));
    let (rows, head) = match opened(app)? {
        None => (Vec::new(), None),
        Some(store) => (store.list().map_err(failed)?, store.head().map_err(failed)?),
    };
    pretty(&Export::of(rows, head)).map_err(|_unwritten| Refusal::internal())
}

/// Writes a decision, and gives the page of its record. The answer is computed anew, and must be the one that was
/// seen.
///
/// # Errors
/// [`Refusal`] if the answer is another now, or the decision may not be recorded so.
pub(in crate::web) fn written(app: &App, sent: &Flags) -> Result<String, Refusal> {
    let path = file(app)?;
    each_once(sent, &SEVERAL)?;
    if let Some((name, _)) = sent.iter().find(|(name, _)| !FIELDS.contains(&name.as_str())) {
        let found = "a name that is not known here";
        return Err(Refusal::bad(&crate::input::shown(name), found, FIELDS.join(", ")));
    }
    let value = |wanted: &str| {
        sent.iter().find(|(name, _)| name == wanted).map_or("", |(_, value)| value.as_str())
    };
    let unit = value("unit");
    let asked = pairs_of(value("question").as_bytes())?;
    let question = check_question(app, &app.profile(unit)?, &asked, (&[], &Given::new()))?;
    let assessment = assess(&question.case);
    if assessment.inputs_sha256 != value("inputs_sha256") {
        let found = "another answer than the one that was seen: the profile, the rules or the day have changed";
        return Err(Refusal {
            status: 409,
            ..Refusal::bad("inputs_sha256", found, "check again, then decide")
        });
    }
    let refuse = |error: InputError| app.refusal(error);
    let statement = statement(sent).and_then(|own| Ok(own.checked()?)).map_err(refuse)?;
    let command = command_of(unit, &dated(app, &asked));
    let when = clock::when().map_err(|failure| failed(app, failure))?;
    let draft =
        recording::drafted(&question, &assessment, &statement, &command, &app.catalogue, when)
            .map_err(refuse)?;
    let mut store = Store::open(path).map_err(|error| failed(app, error.into()))?;
    let written = store.append(&draft).map_err(|error| failed(app, error.into()))?;
    Ok(format!("/records/{}", segment(&written.id)))
}

/// What people say on the form; empty fields say nothing.
fn statement(sent: &Flags) -> Result<Statement, InputError> {
    let said = |wanted: &str| {
        let own = sent.iter().find(|(name, value)| name == wanted && !value.trim().is_empty());
        own.map(|(_, value)| value.clone())
    };
    let decision = match said("decision").as_deref() {
        Some("go-ahead") => Decision::GoAhead,
        Some("refused") => Decision::Refused,
        Some("none") => Decision::None,
        _ => return Err(InputError::new("--decision", "none chosen", "go-ahead, refused or none")),
    };
    let end =
        said("required_end").map(|text| DateTime::parse_from_rfc3339(text.trim())).transpose();
    let acknowledged = sent.iter().filter(|(name, _)| name == "acknowledge");
    Ok(Statement {
        asked_by: said("asked_by"),
        authorised_by: said("authorised_by"),
        received_by: said("received_by"),
        repeat_back: said("repeat_back"),
        decision,
        reason: said("reason"),
        acknowledged: acknowledged.map(|(_, code)| code.clone()).collect(),
        top_oil_by: said("top_oil_by"),
        tap: said("tap"),
        required_end: end.map_err(|error| {
            let accepted = "a time with its zone, such as 2026-10-20T21:30:00+01:00";
            InputError::new("--required-end", error.to_string(), accepted)
        })?,
    })
}

/// Adds what came of an overload, and gives the page of its record.
///
/// # Errors
/// [`Refusal`] as of `record after`.
pub(in crate::web) fn after(app: &App, id: &str, sent: &Flags) -> Result<String, Refusal> {
    let path = file(app)?;
    each_once(sent, &[])?;
    let said: Vec<(String, String)> =
        sent.iter().filter(|(_, value)| !value.trim().is_empty()).cloned().collect();
    let asked: AfterArguments = arguments(&said, &[], &[path.as_os_str(), OsStr::new(id)])?;
    added(&asked).map_err(|failure| failed(app, failure))?;
    Ok(format!("/records/{}", segment(id)))
}
