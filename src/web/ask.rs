//! From names and values to a question, by the command line's own parser.

use super::app::App;
use super::guard::work;
use super::once::each_once;
use crate::assessment::{Assessment, assess};
use crate::cli::Failure;
use crate::cli::case::{Question, question};
use crate::cli::check::CheckArguments;
use crate::cli::inputs::Given;
use crate::cli::output::{Kept, Place};
use crate::cli::recording::RecordingArguments;
use crate::input::{InputError, shown};
use clap::builder::ValueParser;
use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Arg, ArgAction, Args, Command, CommandFactory, Parser};
use serde::Serialize;
use std::error::Error;
use std::ffi::{OsStr, OsString};
use std::path::Path;
use std::sync::Arc;

/// Most names and values in one question.
const MOST_FLAGS: usize = 64;

/// Flags that choose the form of an answer, which the address does here.
const OF_THE_ANSWER: [&str; 2] = ["format", "part"];

/// The flag that confirms figures which look like those of another unit.
const UNITS_CONFIRMED: &str = "units-confirmed";

/// Why there is no answer: the status of the reply, and what the user can mend.
#[derive(Debug, Clone, Serialize)]
pub(super) struct Refusal {
    #[serde(skip)]
    pub(super) status: u16,
    pub(super) place: String,
    pub(super) line: Option<usize>,
    pub(super) key: Option<String>,
    pub(super) found: String,
    pub(super) accepted: String,
}

impl Refusal {
    /// A question that cannot be asked.
    pub(super) fn bad(key: &str, found: impl Into<String>, accepted: impl Into<String>) -> Self {
        let place = "question".to_owned();
        let (found, accepted) = (found.into(), accepted.into());
        Self { status: 400, place, line: None, key: Some(key.to_owned()), found, accepted }
    }

    /// Something that does not exist.
    pub(super) fn unknown(key: &str, found: String, accepted: &str) -> Self {
        Self { status: 404, ..Self::bad(key, found, accepted) }
    }

    /// Ours or the machine's fault; what it was stands in the log alone.
    pub(super) fn internal() -> Self {
        let found = "an internal failure";
        Self { status: 500, key: None, ..Self::bad("", found, "tell whoever runs this server") }
    }

    /// As rows of a page.
    pub(super) fn rows(&self) -> Vec<(&'static str, String)> {
        let line = self.line.map_or_else(String::new, |line| format!(", line {line}"));
        let key = self.key.as_ref().map_or_else(String::new, |key| format!(", {key}"));
        vec![
            ("where", format!("{}{line}{key}", self.place)),
            ("found", self.found.clone()),
            ("accepted", self.accepted.clone()),
        ]
    }
}

impl From<InputError> for Refusal {
    fn from(error: InputError) -> Self {
        let InputError { place, line, key, found, accepted } = error;
        // An error at a flag has the flag for its place.
        let key = key.or_else(|| place.starts_with("--").then(|| place.clone()));
        Self { status: 400, place, line, key, found, accepted }
    }
}

/// Flags as names and values.
pub(super) type Flags = [(String, String)];

/// One command's flags alone.
#[derive(Debug, Parser)]
#[command(no_binary_name = true, disable_help_flag = true)]
struct Asked<A: Args> {
    #[command(flatten)]
    asked: A,
}

/// Whether a flag of a command may be set from outside: not if it takes a path, or forms the answer.
pub(super) fn is_open(arg: &Arg) -> bool {
    let takes_a_path = arg.get_value_parser().type_id() == ValueParser::path_buf().type_id();
    let of_its_own_page =
        |long: &str| OF_THE_ANSWER.contains(&long) || of_a_record().iter().any(|own| own == long);
    arg.get_long().is_some_and(|long| !of_its_own_page(long)) && !takes_a_path
}

/// The flags of `check` that are about a record, which is written to by a post alone.
fn of_a_record() -> Vec<String> {
    let record = RecordingArguments::augment_args(Command::new(""));
    record.get_arguments().filter_map(Arg::get_long).map(str::to_owned).collect()
}

/// The flags of a command that may be set from outside.
pub(super) fn open_flags<A: Args>() -> Vec<Arg> {
    let command = Asked::<A>::command();
    command.get_arguments().filter(|arg| is_open(arg)).cloned().collect()
}

/// The flags that may be stated several times, as on the command line: each adds to those before.
pub(super) fn may_be_repeated(open: &[Arg]) -> Vec<&str> {
    let adds = |arg: &&Arg| matches!(arg.get_action(), ArgAction::Append);
    open.iter().filter(adds).filter_map(Arg::get_long).collect()
}

/// The arguments of a command: `own` is what the server itself adds.
///
/// # Errors
/// [`Refusal`] for the first flag that is not accepted.
pub(super) fn arguments<A: Args>(
    flags: &Flags,
    own: &[(&str, &Path)],
    positional: &[&OsStr],
) -> Result<A, Refusal> {
    if flags.len() > MOST_FLAGS {
        let found = format!("{} names with values", flags.len());
        return Err(Refusal::bad("question", found, format!("at most {MOST_FLAGS}")));
    }
    let open = open_flags::<A>();
    each_once(flags, &may_be_repeated(&open))?;
    work::allowed(flags, &open)?;
    let mut line: Vec<OsString> = Vec::new();
    for (name, value) in flags {
        let found = open.iter().find(|arg| arg.get_long() == Some(name.as_str()));
        let arg = found.ok_or_else(|| unknown_flag(name, &open))?;
        let alone = matches!(arg.get_action(), ArgAction::SetTrue);
        match value.as_str() {
            // A confirmation is stated; a name with nothing behind it is none.
            "" if alone && name == UNITS_CONFIRMED => {
                return Err(Refusal::bad(name, "nothing", "true or false"));
            }
            "true" | "" if alone => line.push(format!("--{name}").into()),
            "false" if alone => {}
            other if alone => return Err(Refusal::bad(name, shown(other), "true or false")),
            value => line.push(format!("--{name}={value}").into()),
        }
    }
    for (name, path) in own {
        let mut flag = OsString::from(format!("--{name}="));
        flag.push(path);
        line.push(flag);
    }
    line.push("--".into());
    line.extend(positional.iter().map(OsString::from));
    Asked::<A>::try_parse_from(line).map(|asked| asked.asked).map_err(|error| refused(&error))
}

fn unknown_flag(name: &str, open: &[Arg]) -> Refusal {
    let names: Vec<&str> = open.iter().filter_map(Arg::get_long).collect();
    Refusal::bad(&shown(name), "a name that is not known here", names.join(", "))
}

/// What the parser did not accept.
fn refused(error: &clap::Error) -> Refusal {
    let context = |kind: ContextKind| match error.get(kind) {
        Some(ContextValue::String(one)) => one.clone(),
        Some(ContextValue::Strings(several)) => several.join(", "),
        _ => String::new(),
    };
    let argument = context(ContextKind::InvalidArg);
    let key = argument.split([' ', '=']).next().unwrap_or("").trim_start_matches("--").to_owned();
    let value = context(ContextKind::InvalidValue);
    let found = if error.kind() == ErrorKind::MissingRequiredArgument {
        format!("nothing for {argument}")
    } else if error.kind() == ErrorKind::ArgumentConflict {
        format!("{argument} together with {}", context(ContextKind::PriorArg))
    } else if value.is_empty() {
        "nothing".to_owned()
    } else {
        shown(&value)
    };
    let possible = context(ContextKind::ValidValue);
    let accepted = match error.source() {
        Some(source) => source.to_string(),
        None if possible.is_empty() => "each once, and those that belong together".to_owned(),
        None => possible,
    };
    Refusal::bad(if key.is_empty() { "question" } else { &key }, found, accepted)
}

/// Flags with the day for which the server asks where the question states none.
pub(super) fn dated(app: &App, flags: &Flags) -> Vec<(String, String)> {
    let stated = flags.iter().any(|(name, _)| name == "as-of");
    let day = app.as_of.filter(|_| !stated).map(|day| ("as-of".to_owned(), day.to_string()));
    flags.iter().cloned().chain(day).collect()
}

/// A check of a unit, with its course over time for a picture.
///
/// # Errors
/// [`Refusal`] for the first thing that is not accepted.
pub(super) fn checked(
    app: &App,
    unit: &str,
    flags: &Flags,
) -> Result<(Question, Assessment), Refusal> {
    let mut question = check_question(app, &app.profile(unit)?, flags, (&[], &Given::new()))?;
    question.case.request.sampling.over_time = true;
    let assessment = assess(&question.case);
    Ok((question, assessment))
}

/// The question of a check; `sent` are files that were sent as texts, and the flags that name them.
///
/// # Errors
/// [`Refusal`] for the first thing that is not accepted.
pub(super) fn check_question(
    app: &App,
    profile: &Path,
    flags: &Flags,
    (sent, given): (&[(&str, &Path)], &Given),
) -> Result<Question, Refusal> {
    let mut own = sent.to_vec();
    if let Some((_, key)) = sent.iter().find(|(name, _)| *name == "rules" && app.rules.is_some()) {
        let found = "local rules, and this server has its own, which hold for every question";
        return Err(Refusal::bad(&key.display().to_string(), found, "a question without rules"));
    }
    own.extend(app.rules.as_deref().map(|rules| ("rules", rules)));
    let arguments: CheckArguments = arguments(&dated(app, flags), &own, &[profile.as_os_str()])?;
    question(&arguments, &app.catalogue, given).map_err(|error| app.refusal(error))
}

/// The answer of a command, in memory.
///
/// # Errors
/// [`Refusal`] if its input is refused, or something of ours or the machine's failed.
pub(super) fn answered(
    app: &App,
    run: impl FnOnce(&Place) -> Result<u8, Failure>,
) -> Result<String, Refusal> {
    let kept = Kept::default();
    run(&Place::Kept(Arc::clone(&kept))).map_err(|failure| failed(app, failure))?;
    let answer = kept.lock().map_err(|_poisoned| Refusal::internal())?;
    Ok(answer.clone())
}

/// A failure of a command as a refusal. What is not the user's to mend stands in the log alone.
pub(super) fn failed(app: &App, failure: Failure) -> Refusal {
    match failure {
        Failure::Input(error) => app.refusal(error),
        Failure::Files(_) | Failure::Internal(_) => {
            super::guard::log::failure(&failure.to_string());
            Refusal::internal()
        }
    }
}
