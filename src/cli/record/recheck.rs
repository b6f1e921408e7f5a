//! `record recheck`: every recorded go-ahead asked again, with this version.

mod again;

use super::super::case::Question;
use super::super::files::{MOST_YAML, catalogue, read};
use super::super::output::Output;
use super::super::profiles::{Found, profiles};
use super::super::{Failure, flags};
use super::NOT_WHOLE;
use crate::assessment::{Tool, assess};
use crate::input::InputError;
use crate::record::decision::{Decision, Departure};
use crate::record::entry::{Authorisation, Content, Entry};
use crate::record::recheck::{AskedThen, Outcome, Recheck, Rechecked, Said, new_findings, outcome};
use crate::record::store::Store;
use crate::record::verify::{Row, Verification};
use crate::report::record_words::printable;
use crate::report::{json, record_recheck};
use crate::rules::local_file::read_local_rules;
use crate::unit::defaults::Catalogue;
use again::question_of;
use chrono::NaiveDate;
use clap::{Args, ValueEnum};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Exit code where a go-ahead does not hold any more.
const FALLEN: u8 = 3;
/// Exit code where nobody can say whether one still holds.
const UNDECIDED: u8 = 4;

/// Flags of `record recheck`.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Args)]
pub struct RecheckArguments {
    /// The record
    file: PathBuf,

    /// Folder with unit profiles as they are now, in the place of those recorded
    #[arg(long, value_name = "DIR")]
    units: Option<PathBuf>,

    /// Local operating rules (YAML) as they are now, in the place of those recorded
    #[arg(long, value_name = "FILE")]
    rules: Option<PathBuf>,

    /// The day by which the age of evidence is judged, YYYY-MM-DD; without it the day of each record
    #[arg(long, value_name = "DATE", value_parser = flags::date)]
    as_of: Option<NaiveDate>,

    /// How to answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,

    /// Write the answer to a file
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// How to answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// For programs.
    Json,
}

/// What stands in the place of what was recorded.
struct Replaced<'a> {
    folder: Option<&'a Path>,
    units: BTreeMap<String, Found>,
    rules: Option<(&'a Path, String)>,
    as_of: Option<NaiveDate>,
    catalogue: &'a Catalogue,
}

/// Runs `record recheck`.
///
/// # Errors
/// [`Failure`] if the record or a flag is refused, or the answer cannot be written.
pub(super) fn run(arguments: &RecheckArguments, own: Option<&Path>) -> Result<u8, Failure> {
    let catalogue = catalogue(own)?;
    let replaced = replaced(arguments, &catalogue)?;
    let store = Store::open_to_read(&arguments.file)?;
    let inputs = [Some(&arguments.file), arguments.rules.as_ref()];
    let inputs: Vec<&Path> = inputs.into_iter().flatten().map(PathBuf::as_path).collect();
    let output = Output::open(arguments.out.as_deref(), &inputs)?;
    let found = store.verify(&[])?;
    let rows = match store.list() {
        // What cannot be read any more is among the faults.
        Err(_) if !found.is_whole() => Vec::new(),
        rows => rows?,
    };
    let recheck = Recheck {
        tool: Tool::this(),
        entries: found.entries,
        intact: found.is_whole(),
        faults: found.faults.iter().map(|fault| printable(&fault.to_string())).collect(),
        go_aheads: rows.iter().filter_map(|row| rechecked(row, &replaced)).collect(),
    };
    output.write(&match arguments.format {
        Format::Text => record_recheck::rendered(&recheck),
        Format::Json => {
            json::pretty(&recheck).map_err(|error| Failure::Internal(error.to_string()))?
        }
    })?;
    Ok(exit_code(&found, &recheck))
}

fn replaced<'a>(
    arguments: &'a RecheckArguments,
    catalogue: &'a Catalogue,
) -> Result<Replaced<'a>, InputError> {
    let rules = arguments.rules.as_deref().map(|path| {
        let text = read(path, MOST_YAML)?;
        read_local_rules(&path.display().to_string(), &text)?;
        Ok::<_, InputError>((path, text))
    });
    let folder = arguments.units.as_deref();
    Ok(Replaced {
        folder,
        units: folder.map(profiles).transpose()?.unwrap_or_default(),
        rules: rules.transpose()?,
        as_of: arguments.as_of,
        catalogue,
    })
}

/// A damaged record is not to be relied on, and a no-go is known where an unknown is not: both before it.
fn exit_code(found: &Verification, recheck: &Recheck) -> u8 {
    if !found.is_whole() {
        return NOT_WHOLE;
    }
    let any = |outcome| recheck.count(outcome) > 0;
    if any(Outcome::NoGo) {
        return FALLEN;
    }
    if any(Outcome::CannotDecide) || any(Outcome::NotRechecked) { UNDECIDED } else { 0 }
}

/// The go-ahead of an entry asked again; `None` where the entry is none.
fn rechecked(row: &Row, replaced: &Replaced<'_>) -> Option<Rechecked> {
    let unread = |why: &str| Some(unread(row, why));
    if !row.fits() {
        return unread("it does not match its hash: it is not what was written");
    }
    let entry = match row.entry() {
        Err(error) => return unread(&format!("this version cannot read the entry: {error}")),
        Ok(entry) => entry,
    };
    let Entry { written, content: Content::Authorisation(own), .. } = entry else {
        return None;
    };
    if own.decision != Decision::GoAhead {
        return None;
    }
    let blank = Rechecked {
        written: printable(&written.local),
        unit: printable(&own.unit.name),
        asked: Some(AskedThen::of(&own)),
        against_the_answer: own.departure == Some(Departure::Overridden),
        then: Some(Said::recorded(&own.assessment)),
        ..self::unread(row, "")
    };
    Some(match question_of(&own, replaced) {
        Err(why) => Rechecked { not_rechecked: Some(printable(&why)), ..blank },
        Ok((question, notes)) => answered(&own, &question, Rechecked { notes, ..blank }),
    })
}

fn unread(row: &Row, why: &str) -> Rechecked {
    Rechecked {
        entry: row.seq,
        id: printable(&row.id),
        written: printable(&row.written),
        unit: "unit not known".to_owned(),
        asked: None,
        against_the_answer: false,
        then: None,
        now: None,
        outcome: Outcome::NotRechecked,
        not_rechecked: Some(printable(why)),
        notes: Vec::new(),
        new_findings: Vec::new(),
    }
}

fn answered(own: &Authorisation, question: &Question, blank: Rechecked) -> Rechecked {
    let assessment = assess(&question.case);
    let then = Said::recorded(&own.assessment);
    let now = Said::now(&assessment);
    let new_findings = new_findings(&own.assessment, &assessment);
    Rechecked {
        outcome: outcome(&then, &now, blank.against_the_answer, &new_findings),
        not_rechecked: None,
        now: Some(now),
        new_findings,
        ..blank
    }
}
