//! The ratings of one unit, and how ratings are written.

use super::super::Failure;
use super::super::clock::{now_utc, today};
use super::{Format, RateArguments};
use crate::rating::Ratings;
use crate::rating::answer::rated as rated_on;
use crate::rating::question::Question;
use crate::report::rate_cim::{CimError, rdf_xml};
use crate::report::{json, rate_csv, rate_text};

/// Rates one unit.
///
/// # Errors
/// [`Failure::Internal`] if the machine's clock says nothing.
pub(super) fn rated(question: &Question) -> Result<Ratings, Failure> {
    let date =
        today().ok_or_else(|| Failure::Internal("the clock stands before 1970".to_owned()))?;
    Ok(rated_on(question, &date.to_string()))
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
        Format::Csv => rate_csv::rows(ratings).map_err(|error| internal(&error)),
        Format::Cim => {
            let created = now_utc().ok_or_else(|| internal(&"the clock stands before 1970"))?;
            rdf_xml(ratings, arguments.winding.as_deref(), &created).map_err(|error| match error {
                CimError::Input(error) => Failure::Input(error),
                other => internal(&other),
            })
        }
    }
}
