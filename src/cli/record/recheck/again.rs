//! A recorded question put together again, from the texts of its entry.
//!
//! The command is read by today's own parser, so that a flag which is new or gone needs nothing here; its files are
//! those of the entry, by the paths that it names. Nothing is read from disk but what somebody puts in their place.

use super::super::super::case::{Question, question_of_texts};
use super::super::super::check::{CheckArguments, Format as Answered};
use super::super::super::files::next_to;
use super::super::super::inputs::Given;
use super::super::super::{Arguments, Command};
use super::Replaced;
use crate::input::InputError;
use crate::record::chain::sha256;
use crate::record::entry::{Authorisation, InputText};
use clap::Parser;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The part of the entry that is the unit's profile.
const UNIT: &str = "unit";
/// The part that is the local rules.
const RULES: &str = "rules";
/// The part that stands in the place of an embedded profile file.
const PROFILES: &str = "profiles";

/// The recorded question put together again, and what is not as it was recorded.
pub(super) fn question_of(
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
    // The recorded command was confirmed, or is older than the question about its units.
    check.units_confirmed = true;
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
        texts.notes.extend(profile_note(own, &question, &texts.left_out));
    }
    Ok((question, texts.notes))
}

/// Whether another profile, or other files that it names, stand for those recorded.
fn profile_note(own: &Authorisation, question: &Question, left_out: &[String]) -> Option<String> {
    if !own.inputs.iter().any(|input| input.part == UNIT) {
        let words = "of its profile no text was recorded: that of --units stands for it";
        return Some(words.to_owned());
    }
    let of_profile = |part: &str| part != RULES && left_out.iter().any(|own| own == part);
    let recorded = own.inputs.iter().filter(|input| of_profile(&input.part));
    let has = |input: &InputText| {
        question.texts.iter().any(|(part, text)| *part == input.part && *text == input.text)
    };
    let mut changed = recorded.filter(|input| !has(input));
    changed.next().map(|_| "the profile has changed since".to_owned())
}

/// The flags of a recorded command, as this version reads them.
fn parsed(command: &[String]) -> Result<Box<CheckArguments>, String> {
    let arguments = Arguments::try_parse_from(command).map_err(|error| {
        let words = error.to_string();
        let first = words.lines().next().unwrap_or("").trim_start_matches("error: ");
        format!("this version does not accept the recorded command: {first}")
    })?;
    let Command::Check(check) = arguments.command else {
        return Err("the recorded command is not that of a check".to_owned());
    };
    Ok(check)
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
