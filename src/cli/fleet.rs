//! `fleet`: which units of a fleet are the problem.

mod asked;
mod journal;
mod loads;
mod merge;
mod run;
mod shown;
mod unit;

use super::output::Place;
use super::{Failure, flags};
use crate::assessment::case::{DEFAULT_DRAWS, Sampling};
use crate::fleet::contingency::Heat;
use crate::fleet::part::WhichPart;
use crate::unit::defaults::Catalogue;
use chrono::NaiveDate;
use clap::{Args, Subcommand, ValueEnum};
use shown::Shown;
use std::path::{Path, PathBuf};

const EXIT_CODES: &str = "Exit codes: 0 every unit may go, 3 some unit may not, else 4 some unit cannot be decided, \
    2 a profile or its loads were refused (everything else is written), 1 internal failure";

/// Flags of `fleet`.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    subcommand_negates_reqs = true,
    after_help = EXIT_CODES
)]
pub struct FleetArguments {
    #[command(subcommand)]
    command: Option<FleetCommand>,

    /// Folder of unit profiles (YAML)
    #[arg(value_name = "FOLDER", required = true)]
    folder: Option<PathBuf>,

    /// Recent loads: a CSV (unit, time or minute, load_pu or load_mva with voltage_pu and tap, or current_pu; ambient_c) with the rows of a unit together, or a folder with UNIT.csv for each
    #[arg(help_heading = "Recent loads", long, value_name = "PATH")]
    loads: Option<PathBuf>,

    /// Load of the contingency, per unit, the same for every unit
    #[arg(help_heading = "Contingency", long, value_name = "PU", value_parser = flags::positive_load, allow_negative_numbers = true, conflicts_with = "times_peak", required_unless_present = "times_peak")]
    load: Option<f64>,

    /// Load of the contingency, so many times each unit's own highest recent load: 2 where one of two trips
    #[arg(help_heading = "Contingency", long, value_name = "N", value_parser = flags::times, allow_negative_numbers = true, requires = "loads")]
    times_peak: Option<f64>,

    /// Duration of the contingency, with its unit: 45min, 2h
    #[arg(help_heading = "Contingency", long = "for", id = "duration", value_name = "DURATION", value_parser = flags::positive_duration, required = true)]
    duration: Option<f64>,

    /// Ambient temperature, °C, constant; without it the highest of each unit's recent loads
    #[arg(help_heading = "Contingency", long, value_name = "C", value_parser = flags::ambient, allow_negative_numbers = true)]
    ambient: Option<f64>,

    /// Steady load before, per unit, of units without recent loads, read as up to it; others begin at the worst of their recent loads
    #[arg(help_heading = "Contingency", long, value_name = "PU", value_parser = flags::preload, allow_negative_numbers = true)]
    preload: Option<f64>,

    /// Loading limits; without it IEC short-time below 30 min, else IEC long-time emergency
    #[arg(help_heading = "Limits and rules", long, value_name = "SET")]
    limits: Option<String>,

    /// Local operating rules (YAML); they can only tighten
    #[arg(help_heading = "Limits and rules", long, value_name = "FILE")]
    rules: Option<PathBuf>,

    /// The day for which it is asked, YYYY-MM-DD, by which the age of evidence is judged; without it today
    #[arg(help_heading = "Limits and rules", long, value_name = "DATE", value_parser = flags::date)]
    as_of: Option<NaiveDate>,

    /// Draws from the uncertainties, 256 to 1048576, rounded up to a power of two; 0 for none
    #[arg(help_heading = "Uncertainty", long, value_name = "N", value_parser = flags::draws, allow_negative_numbers = true, default_value_t = DEFAULT_DRAWS)]
    draws: u32,

    /// Where the draws begin; the same seed gives the same draws
    #[arg(help_heading = "Uncertainty", long, value_name = "N", allow_negative_numbers = true, default_value_t = Sampling::default().seed)]
    seed: u32,

    /// Figures that look like those of another unit (per unit under load_mva, hours under minute) are right as they stand
    #[arg(help_heading = "Recent loads", long)]
    units_confirmed: bool,

    /// A line for each finished unit; the same command with the same journal goes on where it stood
    #[arg(help_heading = "Long runs", long, value_name = "FILE")]
    journal: Option<PathBuf>,

    /// Only one part of the units, such as 3/16, with --format part, for `fleet merge`
    #[arg(help_heading = "Long runs", long, value_name = "K/N")]
    part: Option<WhichPart>,

    /// Look for the largest load too (several times the work)
    #[arg(help_heading = "Answer", long)]
    largest: bool,

    /// What the heat map varies; without it the ambient with --format html, else none
    #[arg(help_heading = "Answer", long, value_enum)]
    heat: Option<HeatFlag>,

    #[command(flatten)]
    shown: Shown,
}

/// What can be done with a fleet beside computing it.
#[derive(Debug, Subcommand)]
enum FleetCommand {
    /// Put the parts of a fleet together, with checks
    #[command(after_help = EXIT_CODES)]
    Merge(merge::MergeArguments),
}

/// What the heat map varies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum HeatFlag {
    /// There is none.
    None,
    /// The ambient, from 0 °C to 40 °C.
    Ambient,
    /// The load, from 0.8 pu to 1.6 pu.
    Load,
}

impl From<HeatFlag> for Heat {
    fn from(flag: HeatFlag) -> Self {
        match flag {
            HeatFlag::None => Self::None,
            HeatFlag::Ambient => Self::Ambient,
            HeatFlag::Load => Self::Load,
        }
    }
}

/// Runs `fleet`.
///
/// # Errors
/// [`Failure`] if there is nothing to compute, or the answer cannot be written. Units that fail are
/// reported in the answer.
pub fn run(
    arguments: &FleetArguments,
    catalogue: &Catalogue,
    profiles: Option<&Path>,
    place: &Place,
) -> Result<u8, Failure> {
    match &arguments.command {
        Some(FleetCommand::Merge(merge)) => merge::run(merge),
        None => run::run(arguments, catalogue, profiles, place),
    }
}
