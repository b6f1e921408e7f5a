//! The ratings of one unit, and how ratings are written.

use super::super::Failure;
use super::super::clock::now_utc;
use super::super::output::OpenFile;
use super::asked::Whole;
use super::{Format, RateArguments, Show};
use crate::input::InputError;
use crate::rating::Ratings;
use crate::rating::answer::rated as rated_on;
use crate::rating::capability::capability;
use crate::rating::question::Question;
use crate::rating::water::cost_of_water;
use crate::report::rate_cim::{CimError, rdf_xml};
use crate::report::{
    json, rate_capability, rate_csv, rate_html, rate_origin, rate_text, rate_water,
};
use std::path::Path;

/// Rates one unit, with what is to be shown beside.
///
/// # Errors
/// [`Failure::Internal`] if the machine's clock says nothing.
pub(super) fn rated(arguments: &RateArguments, whole: &Whole) -> Result<Ratings, Failure> {
    let question = &whole.question;
    let no_clock = || Failure::Internal("the clock stands before 1970".to_owned());
    let day = question.template.as_of.ok_or_else(no_clock)?;
    let mut ratings = rated_on(question, &day.to_string());
    ratings.inputs.clone_from(&whole.parts);
    ratings.seasons.clone_from(&whole.seasons);
    let whole_report = arguments.format == Format::Html;
    if arguments.show.water() || whole_report {
        ratings.water = cost_of_water(&long_time_first(question), arguments.dried_to);
    }
    let middle = (
        question.preloads_pu.get(question.preloads_pu.len() / 2),
        question.ambients.get(question.ambients.len() / 2),
    );
    if let (Some(preload_pu), Some(ambient), true) =
        (middle.0, middle.1, arguments.show.capability() || whole_report)
    {
        ratings.capability = Some(capability(question, *preload_pu, ambient));
    }
    Ok(ratings)
}

/// The cost of water is that of an emergency: the last set that is not for short times alone comes first.
fn long_time_first(question: &Question) -> Question {
    let mut question = question.clone();
    let last = question.sets.iter().rposition(|set| set.shorter_than_min.is_none());
    if let Some(last) = last {
        question.sets = vec![question.sets.swap_remove(last)];
    }
    question
}

/// The file of the picture, opened before the work.
///
/// # Errors
/// [`InputError`] if it cannot be written, or if there is no picture of what is shown.
pub(super) fn chart_file(
    arguments: &RateArguments,
    inputs: &[&Path],
) -> Result<Option<OpenFile>, InputError> {
    let Some(path) = &arguments.chart else { return Ok(None) };
    if !matches!(arguments.show, Show::Water | Show::Capability) {
        let accepted = "--show water or --show capability with it";
        return Err(InputError::new("--chart", "no picture of what is shown", accepted));
    }
    let same = arguments.out.as_ref().is_some_and(|out| out == path);
    if same {
        return Err(InputError::new("--chart", "the file of --out", "another file"));
    }
    OpenFile::beside("--chart", path, inputs).map(Some)
}

/// The picture of what is shown.
///
/// # Errors
/// [`InputError`] where there is no moisture that counts.
pub(super) fn chart(arguments: &RateArguments, ratings: &Ratings) -> Result<String, InputError> {
    let drawn = match arguments.show {
        Show::Water => ratings.water.as_ref().map(rate_water::svg),
        Show::Capability => ratings.capability.as_ref().map(rate_capability::svg),
        Show::Ratings | Show::All => None,
    };
    let drawn = drawn.ok_or_else(|| nothing_of_water(arguments))?;
    Ok(rate_origin::in_svg(ratings, &drawn))
}

fn nothing_of_water(arguments: &RateArguments) -> InputError {
    let place = arguments.unit.display().to_string();
    let accepted = "a profile with evidence of moisture that counts, for --show water";
    InputError::new(&place, "no moisture that counts", accepted)
}

/// Ratings as asked for: one unit, or those of a folder.
///
/// # Errors
/// [`Failure`] if they cannot be written so.
pub(super) fn rendered(arguments: &RateArguments, ratings: &[&Ratings]) -> Result<String, Failure> {
    let internal = |error: &dyn std::fmt::Display| Failure::Internal(error.to_string());
    match arguments.format {
        Format::Text => {
            let all: Vec<String> = ratings.iter().map(|one| rate_text::rendered(one)).collect();
            Ok(all.join("\n"))
        }
        Format::Json => match ratings {
            [one] => json::pretty(one).map_err(|error| internal(&error)),
            all => json::pretty(&all).map_err(|error| internal(&error)),
        },
        Format::Csv => csv(arguments, ratings),
        Format::Html => match ratings {
            [one] => rate_html::report(one).map_err(|error| internal(&error)),
            several => {
                let found = format!("html of {} units", several.len());
                Err(InputError::new("--format", found, "one unit for a report").into())
            }
        },
        Format::Cim => {
            let created = now_utc().ok_or_else(|| internal(&"the clock stands before 1970"))?;
            rdf_xml(ratings, arguments.winding.as_deref(), &created).map_err(|error| match error {
                CimError::Input(error) => Failure::Input(error),
                other @ (CimError::Text { .. }
                | CimError::NotANumber { .. }
                | CimError::Twice { .. }
                | CimError::NotMonotone { .. }
                | CimError::Write(_)) => internal(&other),
            })
        }
    }
}

fn csv(arguments: &RateArguments, ratings: &[&Ratings]) -> Result<String, Failure> {
    let internal = |error: csv::Error| Failure::Internal(error.to_string());
    let Some(one) =
        ratings.first().filter(|_| matches!(arguments.show, Show::Water | Show::Capability))
    else {
        return rate_csv::rows(ratings).map_err(internal);
    };
    let written = match arguments.show {
        Show::Water => one.water.as_ref().map(rate_water::csv),
        Show::Capability | Show::Ratings | Show::All => {
            one.capability.as_ref().map(rate_capability::csv)
        }
    };
    let written = written.ok_or_else(|| nothing_of_water(arguments))?.map_err(internal)?;
    Ok(rate_origin::before_csv(one, &written))
}
