//! `moisture`: how wet is the paper, and which evidence counts.

use super::clock::as_of;
use super::files::yaml_files;
use super::inputs::Inputs;
use super::output::Place;
use super::{Failure, flags};
use crate::assessment::case::DRIED_TO_PERCENT;
use crate::assessment::moisture_answer::{MoistureQuestion, answer};
use crate::input::InputError;
use crate::report::{json, wetness_html, wetness_svg, wetness_text};
use crate::unit::defaults::Catalogue;
use chrono::NaiveDate;
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

/// Exit code where something does not say how wet the paper is, or at what temperature it bubbles.
const UNDECIDED: u8 = 4;

/// The usual ceiling of normal cyclic loading, to which margins are taken where no other is asked for, °C.
const USUAL_HOT_SPOT_C: f64 = 120.0;

/// Flags of `moisture`.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Args)]
pub struct MoistureArguments {
    /// Unit profile (YAML)
    unit: PathBuf,

    /// Hot spot that margins are taken to, °C; 120 is the usual normal cyclic ceiling
    #[arg(long, value_name = "C", value_parser = flags::hot_spot, allow_negative_numbers = true, default_value_t = USUAL_HOT_SPOT_C)]
    hot_spot: f64,

    /// Water to which the paper might be dried, %, for its life then
    #[arg(long, value_name = "PERCENT", value_parser = flags::paper_percent, allow_negative_numbers = true, default_value_t = DRIED_TO_PERCENT)]
    dried_to: f64,

    /// The day for which it is asked, YYYY-MM-DD, by which the age of evidence is judged; without it today
    #[arg(long, value_name = "DATE", value_parser = flags::date)]
    as_of: Option<NaiveDate>,

    /// Local operating rules (YAML): more moisture at will, less by name and reason
    #[arg(long, value_name = "FILE")]
    rules: Option<PathBuf>,

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
    /// The picture alone.
    Svg,
    /// A report to look at and to print, in one file.
    Html,
}

/// Runs `moisture`.
///
/// # Errors
/// [`Failure`] if the input is refused or the answer cannot be written.
pub fn run(
    arguments: &MoistureArguments,
    catalogue: &Catalogue,
    profiles: Option<&Path>,
    place: &Place,
) -> Result<u8, Failure> {
    let (question, read) = question(arguments, catalogue)?;
    let own = profiles.map(yaml_files).transpose()?.unwrap_or_default();
    let inputs: Vec<&Path> = read.iter().chain(&own).map(PathBuf::as_path).collect();
    let output = place.open(arguments.out.as_deref(), &inputs)?;
    let found = answer(&question);
    let text = match arguments.format {
        Format::Text => wetness_text::rendered(&found),
        Format::Json => {
            json::pretty(&found).map_err(|error| Failure::Internal(error.to_string()))?
        }
        Format::Svg => wetness_svg::rendered(&found),
        Format::Html => {
            wetness_html::report(&found).map_err(|error| Failure::Internal(error.to_string()))?
        }
    };
    output.write(&text)?;
    Ok(if found.unanswered() { UNDECIDED } else { 0 })
}

/// The question that asks for nothing but how wet a unit is.
///
/// # Errors
/// [`InputError`] for the first file that is refused.
pub fn plainly(
    unit: &Path,
    rules: Option<&Path>,
    stated: Option<NaiveDate>,
    catalogue: &Catalogue,
) -> Result<MoistureQuestion, InputError> {
    let arguments = MoistureArguments {
        unit: unit.to_owned(),
        hot_spot: USUAL_HOT_SPOT_C,
        dried_to: DRIED_TO_PERCENT,
        rules: rules.map(Path::to_owned),
        as_of: stated,
        format: Format::Text,
        out: None,
    };
    question(&arguments, catalogue).map(|(question, _)| question)
}

fn question(
    arguments: &MoistureArguments,
    catalogue: &Catalogue,
) -> Result<(MoistureQuestion, Vec<PathBuf>), InputError> {
    let as_of = as_of(arguments.as_of, None);
    let flags = format!("{:?}", (arguments.hot_spot, arguments.dried_to, as_of));
    let mut inputs = Inputs::new(&flags, catalogue);
    let unit = inputs.unit(&arguments.unit, catalogue)?;
    let local = inputs.local_rules(arguments.rules.as_deref())?;
    let (inputs_sha256, read) = inputs.finish();
    let question = MoistureQuestion {
        unit,
        local,
        as_of,
        hot_spot_c: arguments.hot_spot,
        dried_to_percent: arguments.dried_to,
        inputs_sha256,
    };
    Ok((question, read))
}
