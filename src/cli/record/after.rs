//! `record after`: what came of an authorised overload.

use super::super::output::print;
use super::super::{Failure, clock, flags};
use crate::input::InputError;
use crate::record::draft::Draft;
use crate::record::entry::{AfterEvent, OilSample};
use crate::record::statement::{MOST_NAME, MOST_TEXT, line};
use crate::record::store::{Store, Written};
use crate::report::record_text;
use chrono::{DateTime, FixedOffset};
use clap::Args;
use std::path::PathBuf;

/// Flags of `record after`.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Args)]
pub struct AfterArguments {
    /// The record
    file: PathBuf,

    /// Id or number of the authorisation
    entry: String,

    /// Who says so
    #[arg(long, value_name = "NAME")]
    by: String,

    /// Greatest load that was carried, per unit
    #[arg(long, value_name = "PU", value_parser = flags::load, allow_negative_numbers = true)]
    load_carried: Option<f64>,

    /// Highest reading of the top oil, °C
    #[arg(long, value_name = "C", value_parser = flags::top_oil, allow_negative_numbers = true)]
    peak_top_oil: Option<f64>,

    /// Highest reading of the hot spot, °C
    #[arg(long, value_name = "C", value_parser = flags::top_oil, allow_negative_numbers = true)]
    peak_hot_spot: Option<f64>,

    /// When it ended, RFC 3339
    #[arg(long, value_name = "TIME", value_parser = flags::instant)]
    ended: Option<DateTime<FixedOffset>>,

    /// Day for which an oil sample is booked, YYYY-MM-DD, or no
    #[arg(long, value_name = "DATE|no", value_parser = oil_sample)]
    oil_sample: Option<OilSample>,

    /// Anything else
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
}

fn oil_sample(text: &str) -> Result<OilSample, String> {
    if text == "no" {
        return Ok(OilSample::NotBooked);
    }
    let day = flags::date(text).map_err(|accepted| format!("{accepted}, or no"))?;
    Ok(OilSample::Booked(day.to_string()))
}

/// Runs `record after`.
///
/// # Errors
/// [`Failure`] as of [`added`], or if nothing can be printed.
pub(super) fn run(arguments: &AfterArguments) -> Result<u8, Failure> {
    let written = added(arguments)?;
    print(&record_text::receipt(&written))?;
    Ok(0)
}

/// Adds what came of an overload.
///
/// # Errors
/// [`Failure`] if the record or the entry is refused, nothing is said, or it cannot be written.
pub fn added(arguments: &AfterArguments) -> Result<Written, Failure> {
    let by = line("by", &arguments.by, MOST_NAME).map_err(InputError::from)?;
    let note = arguments.note.as_ref().map(|note| line("note", note, MOST_TEXT)).transpose();
    let of = {
        let store = Store::open_to_read(&arguments.file)?;
        super::entry(&store, &arguments.entry)?
    };
    let entry = of.entry().map_err(|error| {
        Failure::Internal(format!("entry {} is not one of this version: {error}", of.seq))
    })?;
    let after = AfterEvent {
        of: of.id,
        unit: entry.content.unit().to_owned(),
        by,
        load_pu: arguments.load_carried,
        peak_top_oil_c: arguments.peak_top_oil,
        peak_hot_spot_c: arguments.peak_hot_spot,
        ended: arguments.ended.map(|ended| ended.to_rfc3339()),
        oil_sample: arguments.oil_sample.clone(),
        note: note.map_err(InputError::from)?,
    };
    says_something(&after)?;
    let draft = Draft::after_event(after, clock::when()?);
    Ok(Store::open(&arguments.file)?.append(&draft)?)
}

fn says_something(after: &AfterEvent) -> Result<(), InputError> {
    let figures = [after.load_pu, after.peak_top_oil_c, after.peak_hot_spot_c];
    let texts = after.ended.is_some() || after.oil_sample.is_some() || after.note.is_some();
    if texts || figures.iter().any(Option::is_some) {
        return Ok(());
    }
    let accepted = "at least one of --load-carried, --peak-top-oil, --peak-hot-spot, --ended, --oil-sample, --note";
    Err(InputError::new("record after", "nothing that came of it", accepted))
}
