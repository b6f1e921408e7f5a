//! Ratings against an earlier answer.

use super::super::files::{MOST_CSV, read};
use super::RateArguments;
use super::asked::Whole;
use super::hashed::other_question;
use crate::input::InputError;
use crate::rating::Ratings;
use crate::rating::answer::facility_cells;
use crate::rating::compare::old::OldRatings;
use crate::rating::compare::{Comparison, compare};
use crate::rating::inputs::{AS_OF, FLAGS, InputPart, RULES, files, rejoin, text_of};
use crate::rating::question::Question;
use crate::rules::local_file::read_local_rules;
use crate::unit::defaults::Catalogue;
use crate::unit::validate::read_unit_with;
use chrono::NaiveDate;

/// The earlier answer, if one is named.
///
/// # Errors
/// [`InputError`] if it is no answer of `rate` for this unit, or the answer to another question: without simulated
/// cases or with a stage in service a rating that fell would look as if it held.
pub(super) fn earlier(
    arguments: &RateArguments,
    whole: &Whole,
) -> Result<Option<OldRatings>, InputError> {
    let Some(path) = &arguments.compare else { return Ok(None) };
    let text = read(path, MOST_CSV)?;
    let place = path.display().to_string();
    let old = OldRatings::read(&place, &text, &whole.question.template.unit.name)?;
    let flags = |parts| text_of(parts, FLAGS).unwrap_or_default();
    match other_question(flags(&old.inputs), flags(&whole.parts)) {
        None => Ok(Some(old)),
        Some((key, then, now)) => {
            let found =
                format!("{key} {then} then, {key} {now} now; the ratings cannot be compared");
            let accepted = "the same question as then, apart from the table: durations, preloads, ambients, limits";
            Err(InputError::new(&place, found, accepted).at_key(format!("inputs (flags): {key}")))
        }
    }
}

/// What changed, and which input caused it.
pub(super) fn changes(
    earlier: &OldRatings,
    ratings: &Ratings,
    whole: &Whole,
    catalogue: &Catalogue,
) -> Comparison {
    compare(earlier, ratings, &|parts| {
        question_of(parts, whole, catalogue).map(|question| facility_cells(&question))
    })
}

/// The same question of other inputs.
fn question_of(
    parts: &[InputPart],
    whole: &Whole,
    catalogue: &Catalogue,
) -> Result<Question, String> {
    if text_of(parts, FLAGS) != text_of(&whole.parts, FLAGS) {
        return Err("other flags ask for another table".to_owned());
    }
    let text = rejoin(parts).ok_or("the text of the profile was not kept")?;
    let mut named = |name: &str| {
        let found = files(parts).find(|(own, _)| *own == name);
        let found = found.map(|(name, text)| (name.to_owned(), text.to_owned()));
        found.ok_or_else(|| InputError::new(name, "no text of it was kept", "its text"))
    };
    let unit = read_unit_with("profile put back", &text, catalogue, &mut named);
    let mut question = whole.question.clone();
    let template = &mut question.template;
    template.unit = unit.map_err(|error| error.to_string())?;
    let rules = text_of(parts, RULES).map(|text| read_local_rules("rules put back", text));
    template.local = rules.transpose().map_err(|error| error.to_string())?;
    if let Some(day) = text_of(parts, AS_OF) {
        let day = NaiveDate::parse_from_str(day, "%Y-%m-%d").map_err(|error| error.to_string())?;
        template.as_of = Some(day);
    }
    Ok(question)
}
