//! `check`: may this overload go ahead.

use super::case::{Question, question};
use super::files::yaml_files;
use super::in_service::InServiceArguments;
use super::inputs::Given;
use super::output::{Output, note};
use super::recording::{Recording, RecordingArguments};
use super::windings::WindingArguments;
use super::{Failure, clock, exit_code, flags};
use crate::assessment::case::DRIED_TO_PERCENT;
use crate::assessment::case::{Case, DEFAULT_DRAWS, HotSpotMoisture, Sampling};
use crate::assessment::{Assessment, assess};
use crate::input::InputError;
use crate::record::store::Written;
use crate::report::{check_html, json, record_text, text};
use crate::rules::finding::Finding;
use crate::unit::Condition;
use crate::unit::defaults::Catalogue;
use chrono::{DateTime, FixedOffset, NaiveDate};
use clap::{ArgGroup, Args, ValueEnum};
use serde::Serialize;
use std::fmt::Display;
use std::path::{Path, PathBuf};

/// Flags of `check`.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Args)]
#[command(group(ArgGroup::new("held").args(["load", "winding_load"]).multiple(true)))]
pub struct CheckArguments {
    /// Unit profile (YAML)
    pub(super) unit: PathBuf,

    /// Overload, per unit, constant; needs --for. It is divided by --voltage-pu
    #[arg(help_heading = "Overload", long, value_name = "PU", value_parser = flags::positive_load, allow_negative_numbers = true, requires = "duration", conflicts_with_all = ["loading", "step"], required_unless_present_any = ["loading", "step", "winding_load"])]
    pub(super) load: Option<f64>,

    /// Duration of the overload, with its unit: 45min, 2h, 1h 30min
    #[arg(help_heading = "Overload", long = "for", id = "duration", value_name = "DURATION", value_parser = flags::duration, requires = "held")]
    pub(super) duration: Option<f64>,

    /// Overload in steps, each a load and how long it lasts, 1.25:90min; repeated in order
    #[arg(help_heading = "Overload", long, value_name = "PU:DURATION", value_parser = flags::step, conflicts_with = "loading")]
    pub(super) step: Vec<(f64, f64)>,

    /// Figures that look like those of another unit (per unit under load_mva, hours under minute) are right as they stand
    #[arg(help_heading = "Overload", long)]
    pub(super) units_confirmed: bool,

    /// Load schedule (CSV: minute or time, load_pu or load_mva with voltage_pu and tap, or current_pu; load_pu_NAME or load_mva_NAME of each winding; load_std_percent); its last row is the load that follows
    #[arg(help_heading = "Overload", long, value_name = "FILE")]
    pub(super) loading: Option<PathBuf>,

    /// Load after the overload, per unit; without it the preload or the last load of the history
    #[arg(help_heading = "Overload", long, value_name = "PU", value_parser = flags::load, allow_negative_numbers = true)]
    pub(super) after: Option<f64>,

    /// Steady load before the overload, per unit; read as up to this load (see --preload-from)
    #[arg(help_heading = "State at minute 0", long, value_name = "PU", value_parser = flags::load, allow_negative_numbers = true, conflicts_with = "history", required_unless_present = "history")]
    pub(super) preload: Option<f64>,

    /// Least steady load that it may have carried before, per unit: a lower load before can be the worse one, and every load from here to --preload counts
    #[arg(help_heading = "State at minute 0", long, value_name = "PU", value_parser = flags::load, allow_negative_numbers = true, conflicts_with = "history", default_value_t = 0.0)]
    pub(super) preload_from: f64,

    /// The load before was not steady: it may have changed between --preload-from and --preload up to minute 0
    #[arg(help_heading = "State at minute 0", long, conflicts_with = "history")]
    pub(super) preload_varies: bool,

    /// Load before the overload (CSV: minute up to 0 or time, load_pu or load_mva with voltage_pu and tap, or current_pu; load_pu_NAME or load_mva_NAME of each winding; ambient_c)
    #[arg(help_heading = "State at minute 0", long, value_name = "FILE")]
    pub(super) history: Option<PathBuf>,

    /// Ambient temperature, °C, constant
    #[arg(help_heading = "Surroundings and cooling", long, value_name = "C", value_parser = flags::ambient, allow_negative_numbers = true, conflicts_with = "ambient_file", required_unless_present = "ambient_file")]
    pub(super) ambient: Option<f64>,

    /// Ambient forecast (CSV: minute or time, ambient_c, ambient_std_k)
    #[arg(help_heading = "Surroundings and cooling", long, value_name = "FILE")]
    pub(super) ambient_file: Option<PathBuf>,

    /// The instant that is minute 0, RFC 3339; without it the first time of --loading
    #[arg(help_heading = "State at minute 0", long, value_name = "TIME", value_parser = flags::instant)]
    pub(super) start: Option<DateTime<FixedOffset>>,

    /// Top oil measured at minute 0, °C
    #[arg(help_heading = "State at minute 0", long, value_name = "C", value_parser = flags::top_oil, allow_negative_numbers = true)]
    pub(super) top_oil: Option<f64>,

    /// Cooling stage in service throughout, by its name; without it stages start by themselves
    #[arg(help_heading = "Surroundings and cooling", long, value_name = "STAGE")]
    pub(super) cooling: Option<String>,

    /// Time from minute 0 at which forced cooling is lost, with its unit: 20min
    #[arg(help_heading = "Surroundings and cooling", long, value_name = "DURATION", value_parser = flags::duration)]
    pub(super) cooling_lost_at: Option<f64>,

    /// Loading limits; without it IEC short-time below 30 min, else IEC long-time emergency
    #[arg(help_heading = "Limits and rules", long, value_name = "SET")]
    pub(super) limits: Option<String>,

    /// Local operating rules (YAML); they can only tighten
    #[arg(help_heading = "Limits and rules", long, value_name = "FILE")]
    pub(super) rules: Option<PathBuf>,

    /// The day for which it is asked, YYYY-MM-DD, by which the age of evidence is judged; without it today
    #[arg(help_heading = "Moisture", long, value_name = "DATE", value_parser = flags::date)]
    pub(super) as_of: Option<NaiveDate>,

    /// How wet the paper at the hot spot is taken to be
    #[arg(help_heading = "Moisture", long, value_enum, default_value_t = HotSpotPaper::Bulk)]
    pub(super) hot_spot_moisture: HotSpotPaper,

    /// Water to which the paper might be dried, %, for the life that the overload would use then
    #[arg(help_heading = "Moisture", long, value_name = "PERCENT", value_parser = flags::paper_percent, allow_negative_numbers = true, default_value_t = DRIED_TO_PERCENT)]
    pub(super) dried_to: f64,

    /// Present condition, KEY=VALUE as in the profile; may be repeated
    #[arg(help_heading = "State at minute 0", long, value_name = "KEY=VALUE", value_parser = flags::condition)]
    pub(super) condition: Vec<Condition>,

    /// Standard uncertainty of the load, % of it, constant; without it that of --loading, of the profile, or the usual one
    #[arg(help_heading = "Uncertainty", long, value_name = "PERCENT", value_parser = flags::load_std, allow_negative_numbers = true)]
    pub(super) load_std: Option<f64>,

    /// Standard uncertainty of the ambient, K, constant; without it that of --ambient-file, of the profile, or the usual one
    #[arg(help_heading = "Uncertainty", long, value_name = "K", value_parser = flags::ambient_std, allow_negative_numbers = true)]
    pub(super) ambient_std: Option<f64>,

    /// Draws from the uncertainties, 256 to 1048576, rounded up to a power of two; 0 for none
    #[arg(help_heading = "Uncertainty", long, value_name = "N", value_parser = flags::draws, allow_negative_numbers = true, default_value_t = DEFAULT_DRAWS)]
    pub(super) draws: u32,

    /// Where the draws begin; the same seed gives the same draws
    #[arg(help_heading = "Uncertainty", long, value_name = "N", allow_negative_numbers = true, default_value_t = Sampling::default().seed)]
    pub(super) seed: u32,

    /// Say which uncertainty matters most; an answer written with --out always does
    #[arg(help_heading = "Uncertainty", long)]
    pub(super) why: bool,

    #[command(flatten)]
    pub(super) in_service: InServiceArguments,

    #[command(flatten)]
    pub(super) windings: WindingArguments,

    #[command(flatten)]
    pub(crate) recording: RecordingArguments,

    /// How to answer
    #[arg(help_heading = "Answer", long, value_enum, default_value_t = Format::Text)]
    pub(super) format: Format,

    /// Write the answer to a file
    #[arg(help_heading = "Answer", long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
}

/// How wet the paper at the hot spot is taken to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum HotSpotPaper {
    /// As wet as the moisture that counts.
    Bulk,
    /// Drier, as far as a load history of the unit dried it; needs --history.
    Equilibrated,
    /// Followed through the overload; informs, and counts only if a local rule lets it.
    OverTime,
}

impl From<HotSpotPaper> for HotSpotMoisture {
    fn from(paper: HotSpotPaper) -> Self {
        match paper {
            HotSpotPaper::Bulk => Self::Bulk,
            HotSpotPaper::Equilibrated => Self::Equilibrated,
            HotSpotPaper::OverTime => Self::OverTime,
        }
    }
}

/// How to answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people.
    Text,
    /// For programs.
    Json,
    /// A report to look at and to print, in one file.
    Html,
}

/// Runs `check`.
///
/// # Errors
/// [`Failure`] if the input is refused or the answer cannot be written.
pub fn run(
    arguments: &CheckArguments,
    catalogue: &Catalogue,
    profiles: Option<&Path>,
) -> Result<u8, Failure> {
    let question = question(arguments, catalogue, &Given::new())?;
    let recording = Recording::open(&arguments.recording, &question)?;
    let own = profiles.map(yaml_files).transpose()?.unwrap_or_default();
    let record = arguments.recording.record.as_ref();
    let inputs = question.read.iter().chain(&own).chain(record);
    let inputs: Vec<&Path> = inputs.map(PathBuf::as_path).collect();
    let output = Output::open(arguments.out.as_deref(), &inputs)?;
    let assessment = assess(&question.case);
    let (recorded, beside) = recorded(recording, &question, &assessment, catalogue);
    // Whatever becomes of the record, nobody is to be without the answer.
    let written = recorded.as_ref().ok().and_then(Option::as_ref);
    let beside = beside.as_ref();
    output.write(&answer(arguments.format, &question.case, &assessment, (written, beside))?)?;
    recorded.map_err(not_recorded)?;
    Ok(exit_code(assessment.verdict))
}

/// What became of the record, and what was found beside the answer when it was written.
fn recorded(
    recording: Option<Recording>,
    question: &Question,
    assessment: &Assessment,
    catalogue: &Catalogue,
) -> (Result<Option<Written>, Failure>, Option<Finding>) {
    let Some(recording) = recording else {
        return (Ok(None), None);
    };
    match clock::when() {
        Err(failure) => (Err(failure), None),
        Ok(when) => {
            let beside = recording.beside(question, &when);
            (recording.written(question, assessment, catalogue, when).map(Some), beside)
        }
    }
}

/// The same failure, saying first that there is no record of the answer above it.
fn not_recorded(failure: Failure) -> Failure {
    match failure {
        Failure::Input(error) => {
            let place = format!("nothing was recorded: {}", error.place);
            Failure::Input(InputError { place, ..error })
        }
        Failure::Internal(what) => Failure::Internal(format!("nothing was recorded: {what}")),
        Failure::Files(count) => Failure::Files(count),
    }
}

/// The answer in its format, what was found beside it, and what it was recorded as.
fn answer(
    format: Format,
    case: &Case,
    assessment: &Assessment,
    (written, beside): (Option<&Written>, Option<&Finding>),
) -> Result<String, Failure> {
    let said = [beside.map(record_text::beside), written.map(record_text::receipt)];
    let said: Vec<String> = said.into_iter().flatten().collect();
    match format {
        Format::Text => Ok(std::iter::once(text::rendered(assessment))
            .chain(said)
            .collect::<Vec<_>>()
            .join("\n")),
        Format::Json => match written {
            None => json::pretty(assessment).map_err(|error| internal(&error)),
            Some(record) => {
                let record =
                    Receipt { record, findings: &beside.map_or_else(Vec::new, |own| vec![own]) };
                json::pretty(&Recorded { assessment, record }).map_err(|error| internal(&error))
            }
        },
        Format::Html => {
            if !said.is_empty() {
                note(&said.join("\n"));
            }
            check_html::report(case, assessment).map_err(|error| internal(&error))
        }
    }
}

/// The JSON of an answer that was recorded: the answer, and one key more.
#[derive(Serialize)]
struct Recorded<'a> {
    #[serde(flatten)]
    assessment: &'a Assessment,
    record: Receipt<'a>,
}

/// What it was recorded as, and what was found beside the answer.
#[derive(Serialize)]
struct Receipt<'a> {
    #[serde(flatten)]
    record: &'a Written,
    findings: &'a [&'a Finding],
}

fn internal(error: &impl Display) -> Failure {
    Failure::Internal(error.to_string())
}
