//! `plan`: which planned outages work, when, and what would rescue the others.

mod asked;

use super::files::yaml_files;
use super::output::Output;
use super::{Failure, flags};
use crate::assessment::case::Sampling;
use crate::planning::answer::{PlanAnswer, planned};
use crate::planning::outage::OutageAnswer;
use crate::report::{json, plan_text};
use crate::rules::verdict::Verdict;
use crate::unit::defaults::Catalogue;
use chrono::NaiveDate;
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

/// Draws where nobody states how many: there are thousands of starts.
const USUAL_DRAWS: u32 = 1024;

/// Flags of `plan`.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Args)]
pub struct PlanArguments {
    /// Unit profile (YAML); it stands in the place of the plan's unit of that name
    unit: PathBuf,

    /// Planned outages, with forecasts of load and ambient (YAML)
    #[arg(long, value_name = "FILE")]
    outages: PathBuf,

    /// Local operating rules (YAML), for every unit of the plan; they can only tighten
    #[arg(help_heading = "Limits and rules", long, value_name = "FILE")]
    rules: Option<PathBuf>,

    /// The day for which it is asked, YYYY-MM-DD, by which the age of evidence is judged; without it today
    #[arg(help_heading = "Limits and rules", long, value_name = "DATE", value_parser = flags::date)]
    as_of: Option<NaiveDate>,

    /// Draws from the uncertainties, 256 to 1048576, rounded up to a power of two; 0 for none
    #[arg(help_heading = "Uncertainty", long, value_name = "N", value_parser = flags::draws, allow_negative_numbers = true, default_value_t = USUAL_DRAWS)]
    draws: u32,

    /// Where the draws begin; the same seed gives the same draws
    #[arg(help_heading = "Uncertainty", long, value_name = "N", allow_negative_numbers = true, default_value_t = Sampling::default().seed)]
    seed: u32,

    /// What to show beside the windows
    #[arg(help_heading = "Answer", long, value_enum, default_value_t = Show::Windows)]
    show: Show,

    /// Ambient of the derating, °C; without it the highest of the forecast, up to the next 5 °C
    #[arg(help_heading = "Answer", long, value_name = "C", value_parser = flags::ambient, allow_negative_numbers = true)]
    ambient: Option<f64>,

    /// How to answer
    #[arg(help_heading = "Answer", long, value_enum, default_value_t = Format::Text)]
    format: Format,

    /// Write the answer to a file
    #[arg(help_heading = "Answer", long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// What to show beside the windows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Show {
    /// When each outage may begin.
    Windows,
    /// What the unit may carry against moisture.
    Derating,
    /// What each option of the plan would buy.
    Options,
    /// All of these.
    All,
}

/// How to answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// For programs.
    Json,
}

/// Runs `plan`.
///
/// # Errors
/// [`Failure`] if the input is refused or the answer cannot be written.
pub fn run(
    arguments: &PlanArguments,
    catalogue: &Catalogue,
    profiles: Option<&Path>,
) -> Result<u8, Failure> {
    let (question, read) = asked::question(arguments, catalogue)?;
    let own = profiles.map(yaml_files).transpose()?.unwrap_or_default();
    let inputs: Vec<&Path> = read.iter().chain(&own).map(PathBuf::as_path).collect();
    let output = Output::open(arguments.out.as_deref(), &inputs)?;
    let answer = planned(&question);
    let text = match arguments.format {
        Format::Text => plan_text::rendered(&answer),
        Format::Json => {
            json::pretty(&answer).map_err(|error| Failure::Internal(error.to_string()))?
        }
    };
    output.write(&text)?;
    Ok(exit_code(&answer))
}

/// 0: every outage has a start from which it goes; 3: one has none; 4: of one it cannot be decided.
fn exit_code(answer: &PlanAnswer) -> u8 {
    let verdicts = answer.outages.iter().map(verdict);
    verdicts.max().map_or(4, super::exit_code)
}

/// The verdict of the best start.
fn verdict(outage: &OutageAnswer) -> Verdict {
    let case = outage.with_next_trip.as_ref().unwrap_or(&outage.as_planned);
    case.best.as_ref().map_or(Verdict::CannotDecide, |best| best.verdict)
}
