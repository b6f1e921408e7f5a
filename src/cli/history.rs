//! `history`: what has this unit been through.

mod trajectory;

use super::case::stage;
use super::clock::as_of;
use super::files::{self, yaml_files};
use super::in_service::InServiceArguments;
use super::inputs::{Hashed, Inputs};
use super::output::{OpenFile, Output, note};
use super::{Failure, flags};
use crate::assessment::long_history::{
    CHUNK, HistoryAnswer, HistoryQuestion, LongHistory, SAMPLE_MIN,
};
use crate::input::InputError;
use crate::input::columns::Zero;
use crate::loading::long_history::HistoryRows;
use crate::report::{history_text, json};
use crate::unit::Unit;
use crate::unit::defaults::Catalogue;
use chrono::{DateTime, FixedOffset, NaiveDate};
use clap::{Args, ValueEnum};
use indicatif::{ProgressBar, ProgressStyle};
use std::io::{IsTerminal, Read};
use std::path::{Path, PathBuf};
use trajectory::Trajectory;

/// Exit code where the margin to bubbling cannot be computed.
const UNKNOWN: u8 = 4;

/// Flags of `history`.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Args)]
pub struct HistoryArguments {
    /// Unit profile (YAML)
    unit: PathBuf,

    /// Load history of any length (CSV: minute or time, load_pu or load_mva with voltage_pu and tap, or current_pu; load_pu_NAME or load_mva_NAME of each winding; ambient_c)
    #[arg(long, value_name = "FILE")]
    history: PathBuf,

    /// Ambient temperature, °C, constant, where the history has none
    #[arg(long, value_name = "C", value_parser = flags::ambient, allow_negative_numbers = true)]
    ambient: Option<f64>,

    /// The instant that is minute 0, RFC 3339; without it the first time of the history
    #[arg(long, value_name = "TIME", value_parser = flags::instant)]
    start: Option<DateTime<FixedOffset>>,

    /// Cooling stage in service throughout, by its name; without it stages start by themselves
    #[arg(long, value_name = "STAGE")]
    cooling: Option<String>,

    /// The day for which it is asked, YYYY-MM-DD, by which the age of evidence is judged; without it today
    #[arg(long, value_name = "DATE", value_parser = flags::date)]
    as_of: Option<NaiveDate>,

    #[command(flatten)]
    in_service: InServiceArguments,

    /// Local operating rules (YAML): moisture and the required margin
    #[arg(long, value_name = "FILE")]
    rules: Option<PathBuf>,

    /// Figures that look like those of another unit (per unit under load_mva, hours under minute) are right as they stand
    #[arg(long)]
    units_confirmed: bool,

    /// Write the temperatures over time to a file (CSV), a row a minute or closer
    #[arg(help_heading = "Answer", long, value_name = "FILE")]
    trajectory: Option<PathBuf>,

    /// Only the hottest row of each span of this length, with its unit: 15min, 1h
    #[arg(help_heading = "Answer", long, value_name = "DURATION", value_parser = flags::positive_duration, requires = "trajectory")]
    every: Option<f64>,

    /// How to answer
    #[arg(help_heading = "Answer", long, value_enum, default_value_t = Format::Text)]
    format: Format,

    /// Write the answer to a file
    #[arg(help_heading = "Answer", long, value_name = "FILE")]
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

/// Runs `history`.
///
/// # Errors
/// [`Failure`] if the input is refused or the answer cannot be written.
pub fn run(
    arguments: &HistoryArguments,
    catalogue: &Catalogue,
    profiles: Option<&Path>,
) -> Result<u8, Failure> {
    let mut inputs = Inputs::new("", catalogue);
    let question = question(arguments, catalogue, &mut inputs)?;
    let place = arguments.history.display().to_string();
    let (file, length) = files::open(&arguments.history)?;
    let progress = progress(length);
    let (source, hash) = Hashed::new(progress.wrap_read(file));
    let zero = Zero(arguments.start);
    let base = arguments.in_service.base(&question.unit)?;
    let rows = HistoryRows::new(&place, source, base, zero)?;
    let mut rows = rows.units_confirmed(arguments.units_confirmed);
    let missing = rows.windings_not_stated();
    if !missing.is_empty() {
        note(&format!(
            "no load is stated for {}: its rating counts, or more\n",
            missing.join(", ")
        ));
    }
    refuse_two_ambients(arguments, &place, rows.has_ambient())?;
    refuse_two_voltages(arguments, &place, rows.states_voltage())?;
    let own = profiles.map(yaml_files).transpose()?.unwrap_or_default();
    let read = inputs.read_so_far().iter().chain(&own).chain([&arguments.history]);
    let read: Vec<&Path> = read.map(PathBuf::as_path).collect();
    let output = Output::open(arguments.out.as_deref(), &read)?;
    let known = rows.has_ambient() || arguments.ambient.is_some();
    let clock = rows.is_clock() || arguments.start.is_some();
    let mut trajectory = trajectory(arguments, &question.unit, known, clock, &read)?;
    let mut history = LongHistory::new(&question);
    let gone = through(&mut rows, &mut history, trajectory.as_mut());
    progress.finish_and_clear();
    gone?;
    inputs.add_hashed("history", &arguments.history, hash.take());
    let answer = history.answer(inputs.finish().0);
    let text = rendered(arguments.format, &answer)?;
    trajectory.map(|trajectory| trajectory.keep(rows.zero())).transpose()?;
    output.write(&text)?;
    Ok(if answer.unanswered() { UNKNOWN } else { 0 })
}

/// Every row, and every temperature as soon as it is known.
fn through<R: Read>(
    rows: &mut HistoryRows<R>,
    history: &mut LongHistory<'_>,
    mut trajectory: Option<&mut Trajectory>,
) -> Result<(), Failure> {
    let mut write = |history: &mut LongHistory<'_>, zero: Zero| {
        let moments = history.take();
        match &mut trajectory {
            Some(trajectory) => moments.into_iter().try_for_each(|row| trajectory.add(row, zero)),
            None => Ok(()),
        }
    };
    while let Some(row) = rows.next_row()? {
        history.set_zero(rows.zero().0);
        history.push(row);
        write(history, rows.zero())?;
    }
    history.finish();
    write(history, rows.zero())
}

fn question(
    arguments: &HistoryArguments,
    catalogue: &Catalogue,
    inputs: &mut Inputs,
) -> Result<HistoryQuestion, InputError> {
    let unit = inputs.unit(&arguments.unit, catalogue)?;
    let local = inputs.local_rules(arguments.rules.as_deref())?;
    let stage = arguments.cooling.as_deref().map(|name| stage(&unit, name)).transpose()?;
    let as_of = as_of(arguments.as_of, None);
    let flags = (arguments.ambient, arguments.start, &arguments.cooling, as_of);
    let in_service = arguments.in_service.hashed();
    inputs.add("history flags", &format!("{flags:?}{in_service}"));
    inputs.confirmed(arguments.units_confirmed);
    Ok(HistoryQuestion {
        unit,
        local,
        as_of,
        ambient_c: arguments.ambient,
        stage: stage.flatten(),
        chunk: CHUNK,
        sample_min: SAMPLE_MIN,
        life_and_parts: true,
    })
}

fn refuse_two_ambients(
    arguments: &HistoryArguments,
    place: &str,
    own: bool,
) -> Result<(), InputError> {
    if !own || arguments.ambient.is_none() {
        return Ok(());
    }
    let found = format!("an ambient, and the column ambient_c in {place}");
    Err(InputError::new("--ambient", found, "one of the two"))
}

fn refuse_two_voltages(
    arguments: &HistoryArguments,
    place: &str,
    own: bool,
) -> Result<(), InputError> {
    let Some(voltage_pu) = arguments.in_service.voltage_pu.filter(|_| own) else {
        return Ok(());
    };
    let found = format!("{voltage_pu} pu, and a voltage or a current beside every load in {place}");
    Err(InputError::new("--voltage-pu", found, "one of the two"))
}

/// The file for the temperatures, if one is asked for and there will be any.
fn trajectory(
    arguments: &HistoryArguments,
    unit: &Unit,
    ambient: bool,
    clock: bool,
    read: &[&Path],
) -> Result<Option<Trajectory>, Failure> {
    let Some(path) = arguments.trajectory.as_deref() else {
        return Ok(None);
    };
    let lacking = match (&unit.thermal, ambient) {
        (None, _) => Some("thermal data in the profile"),
        (Some(_), false) => Some("the column ambient_c, or --ambient"),
        (Some(_), true) => None,
    };
    if let Some(lacking) = lacking {
        return Err(InputError::new("--trajectory", "no temperatures to write", lacking).into());
    }
    if arguments.out.as_deref().is_some_and(|out| same_file(out, path)) {
        let accepted = "another file than --out";
        return Err(InputError::new("--trajectory", "the file of --out", accepted).into());
    }
    let file = OpenFile::beside("--trajectory", path, read)?;
    Trajectory::new(file, arguments.every, clock).map(Some)
}

/// Whether two names, of files that need not be there yet, are those of one file.
fn same_file(one: &Path, other: &Path) -> bool {
    let folder = |path: &Path| match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.canonicalize().ok(),
        _ => Path::new(".").canonicalize().ok(),
    };
    one == other || (one.file_name() == other.file_name() && folder(one) == folder(other))
}

fn rendered(format: Format, answer: &HistoryAnswer) -> Result<String, Failure> {
    match format {
        Format::Text => Ok(history_text::rendered(answer)),
        Format::Json => json::pretty(answer).map_err(|error| Failure::Internal(error.to_string())),
    }
}

/// A bar for a person who watches; nothing where nobody does.
fn progress(length: u64) -> ProgressBar {
    if !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let template = "{wide_bar} {percent:>3} %  {elapsed_precise}, {eta} left";
    let style = ProgressStyle::with_template(template)
        .unwrap_or_else(|_broken| ProgressStyle::default_bar())
        .progress_chars("=> ");
    ProgressBar::new(length).with_style(style)
}
