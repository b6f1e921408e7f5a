//! `record recheck`: every recorded go-ahead asked again, with this version.

use super::super::case::{Question, question_of_texts};
use super::super::check::{CheckArguments, Format as Answered};
use super::super::files::{MOST_YAML, catalogue, next_to, read};
use super::super::inputs::Given;
use super::super::output::Output;
use super::super::profiles::{Found, profiles};
use super::super::{Arguments, Command, Failure, flags};
use super::NOT_WHOLE;
use crate::assessment::{Tool, assess};
use crate::input::InputError;
use crate::record::chain::sha256;
use crate::record::decision::{Decision, Departure};
use crate::record::entry::{Authorisation, Content, Entry, InputText};
use crate::record::recheck::{AskedThen, Outcome, Recheck, Rechecked, Said, new_findings, outcome};
use crate::record::store::Store;
use crate::record::verify::{Row, Verification};
use crate::report::record_words::printable;
use crate::report::{json, record_recheck};
use crate::rules::local_file::read_local_rules;
use crate::unit::defaults::Catalogue;
use chrono::NaiveDate;
use clap::{Args, Parser, ValueEnum};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Exit code where a go-ahead does not hold any more.
const FALLEN: u8 = 3;
/// Exit code where nobody can say whether one still holds.
const UNDECIDED: u8 = 4;

/// The part of the entry that is the unit's profile.
const UNIT: &str = "unit";
/// The part that is the local rules.
const RULES: &str = "rules";
/// The part that stands in the place of an embedded profile file.
const PROFILES: &str = "profiles";

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

/// The recorded question put together again, and what is not as it was recorded.
fn question_of(
    own: &Authorisation,
    replaced: &Replaced<'_>,
) -> Result<(Question, Vec<String>), String> {
    for input in &own.inputs {
        if sha256(&input.text) != input.sha256 {
            return Err(format!("the text of {} is not that of its hash", input.name));
        }
    }
    let mut check = parsed(&own.question.command)?;
    let mut texts = Texts::of(own, replaced)?;
    texts.unit.clone_into(&mut check.unit);
    let day = replaced.as_of.or_else(|| own.question.as_of.as_ref()?.parse().ok());
    check.as_of = Some(day.ok_or("the record does not say for which day it was asked")?);
    // A server adds its own rules, which its command does not name.
    if let Some(rules) = texts.rules.take() {
        check.rules = Some(rules);
    }
    // How it was answered changes no figure, and costs time.
    (check.format, check.out, check.why) = (Answered::Text, None, false);
    let catalogue = replaced.catalogue.clone().overridden_by(own_profiles(own));
    let folders: Vec<PathBuf> = replaced.folder.map(Path::to_owned).into_iter().collect();
    let refused = |error: InputError| {
        let words = error.to_string();
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        format!("this version refuses the question: {words}")
    };
    let question =
        question_of_texts(&check, &catalogue, &texts.given, &folders).map_err(refused)?;
    all_read(own, &question, &texts.left_out)?;
    let other_unit = texts.left_out.iter().any(|part| part == UNIT);
    match same_load(own, &question) {
        // Of another rated power the same MVA are another load per unit.
        Err(why) if other_unit => texts.notes.push(why),
        same => same?,
    }
    if other_unit {
        let now = question.texts.iter().find(|(part, _)| part == UNIT);
        match own.inputs.iter().find(|input| input.part == UNIT) {
            None => texts.notes.push(
                "of its profile no text was recorded: that of --units stands for it".to_owned(),
            ),
            Some(was) if now.is_none_or(|(_, text)| *text != was.text) => {
                texts.notes.push("the profile has changed since".to_owned());
            }
            Some(_) => {}
        }
    }
    Ok((question, texts.notes))
}

/// The flags of a recorded command, as this version reads them.
fn parsed(command: &[String]) -> Result<Box<CheckArguments>, String> {
    let arguments = Arguments::try_parse_from(command).map_err(|error| {
        let words = error.to_string();
        let first = words.lines().next().unwrap_or("").trim_start_matches("error: ");
        format!("this version does not accept the recorded command: {first}")
    })?;
    match arguments.command {
        Command::Check(check) => Ok(check),
        _ => Err("the recorded command is not that of a check".to_owned()),
    }
}

/// The texts of a question, under the paths by which it names them.
struct Texts {
    given: Given,
    unit: PathBuf,
    rules: Option<PathBuf>,
    /// Parts of the recorded question that something else stands for.
    left_out: Vec<String>,
    notes: Vec<String>,
}

impl Texts {
    fn of(own: &Authorisation, replaced: &Replaced<'_>) -> Result<Self, String> {
        let recorded = |part: &str| own.inputs.iter().find(|input| input.part == part);
        let profile = recorded(UNIT).map(|input| PathBuf::from(&input.name));
        let named = |input: &InputText| {
            let beside = profile.as_ref().map(|profile| next_to(profile, &input.part));
            beside.is_some_and(|path| path == Path::new(&input.name))
        };
        let mut left_out: Vec<String> = Vec::new();
        let mut notes = Vec::new();
        let unit = match (replaced.units.get(&own.unit.name), profile.clone()) {
            (Some(Ok(path)), _) => {
                left_out.push(UNIT.to_owned());
                left_out
                    .extend(own.inputs.iter().filter(|one| named(one)).map(|one| one.part.clone()));
                path.clone()
            }
            (Some(Err(error)), _) => return Err(format!("the profile in --units: {error}")),
            (None, Some(path)) => {
                if replaced.folder.is_some() {
                    notes.push("not among --units: its profile is the recorded one".to_owned());
                }
                path
            }
            (None, None) => {
                return Err("the record does not hold the text of the profile; --units names a folder with it".to_owned());
            }
        };
        let mut rules = recorded(RULES).map(|input| PathBuf::from(&input.name));
        if let Some((path, text)) = &replaced.rules {
            left_out.push(RULES.to_owned());
            if recorded(RULES).is_none_or(|input| input.text != *text) {
                notes.push("the local rules have changed since".to_owned());
            }
            rules = Some((*path).to_owned());
        }
        if let Some(day) = replaced.as_of {
            notes.push(format!("evidence judged for {day}"));
        }
        let kept = own.inputs.iter().filter(|input| input.part != PROFILES);
        let kept = kept.filter(|input| !left_out.contains(&input.part));
        let mut given: Given =
            kept.map(|input| (PathBuf::from(&input.name), input.text.clone())).collect();
        if let Some((path, text)) = &replaced.rules {
            given.insert((*path).to_owned(), text.clone());
        }
        Ok(Self { given, unit, rules, left_out, notes })
    }
}

/// The profile files that stood in the place of embedded ones.
fn own_profiles(own: &Authorisation) -> BTreeMap<String, String> {
    let files = own.inputs.iter().filter(|input| input.part == PROFILES);
    files.map(|input| (input.name.clone(), input.text.clone())).collect()
}

/// Whether the question reads all that it read then, unless something else stands for it.
fn all_read(own: &Authorisation, question: &Question, left_out: &[String]) -> Result<(), String> {
    let expected = own.inputs.iter().filter(|input| input.part != PROFILES);
    let mut expected = expected.filter(|input| !left_out.contains(&input.part));
    let unread = |input: &&InputText| {
        !question.texts.iter().any(|(part, text)| *part == input.part && *text == input.text)
    };
    match expected.find(unread) {
        Some(input) => Err(format!("the question read {} then, and does not now", input.name)),
        None => Ok(()),
    }
}

/// Whether the load is the recorded one: a thousandth of a minute and a millionth of the load are none.
fn same_load(own: &Authorisation, question: &Question) -> Result<(), String> {
    const APART_MIN: f64 = 1.0e-3;
    const APART_PU: f64 = 1.0e-6;
    let loading = &question.case.request.loading;
    let (then, now) = (&own.question.steps, loading.load.steps());
    let near = |one: &(f64, f64), other: &(f64, f64)| {
        (one.0 - other.0).abs() <= APART_MIN && (one.1 - other.1).abs() <= APART_PU
    };
    let same = then.len() == now.len() && then.iter().zip(now).all(|(one, other)| near(one, other));
    if same && (own.question.end_min - loading.end_min).abs() <= APART_MIN {
        return Ok(());
    }
    Err("this version reads another load from the recorded question".to_owned())
}
