//! `heat-run`: from the log of a heat run to lines of a profile.

use super::files::{self, MOST_CSV};
use super::output::{OpenFile, Output};
use super::{Failure, flags};
use crate::heat_run::log::{self, ColdC, LossesKw, Ohm};
use crate::heat_run::{Cold, Conductor, Cooling, Question, worked};
use crate::input::InputError;
use crate::input::number::parse;
use crate::report::heat_run_text::Stated;
use crate::report::{heat_run_svg, heat_run_text, json};
use crate::unit::profile::AltitudeM;
use chrono::NaiveDate;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Exit code where the log does not give the figures.
const UNDECIDED: u8 = 4;

const FORMAT: &str = "\
The log is a CSV file with a header line. Lines that begin with # are comments.
  minute or time   minutes, or RFC 3339 times with a zone; ascending
  period           total-losses, held-current (1 h, with a row as soon as the
                   current is set), cooling
  losses_kw        losses fed in, in every row of total-losses
  load_pu          current per unit of rated, before the shutdown
  ambient_c        mean of the ambient thermometers, °C
  top_oil_c        °C
  bottom_oil_c     °C, may be left out; average oil is halfway between both
  resistance_ohm   only in the rows of cooling
The first row of cooling is the moment of shutdown; its resistance cell stays
empty, and so may all other cells of cooling. The resistance is that of the
terminals at which the cold resistance was measured.
A second total-losses period after the first shutdown begins a test at another
load. Two tests give the exponents x and y.

Refused with exit code 4: the oil still changes by 1 K/h or more in the last
3 h, a warm-up under 3 h or 3 time constants or 12 readings, rated current held
for less than 1 h, fewer than 8 resistance readings, the first one later than
4 min, readings over less than 2 winding time constants, losses further than
20 % or current further than 10 % from rated.

Exit codes: 0 figures found, 4 the log does not give them, 2 bad input or usage,
1 internal failure";

/// Flags of `heat-run`.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Args)]
#[command(after_help = FORMAT)]
pub struct HeatRunArguments {
    /// Log of the heat run (CSV)
    log: PathBuf,

    /// Rated total losses at the reference temperature, kW; the oil rise is corrected to them
    #[arg(long, value_name = "KW", value_parser = parse::<LossesKw>)]
    rated_losses: f64,

    /// Cooling during the test, for the exponents where the log has one load only
    #[arg(long, value_enum)]
    cooling: CoolingFlag,

    /// Cold resistance, ohm, over the same terminals as after shutdown
    #[arg(long, value_name = "OHM", value_parser = parse::<Ohm>, requires = "cold_c", requires = "conductor")]
    cold_ohm: Option<f64>,

    /// Winding temperature at the cold resistance, °C
    #[arg(long, value_name = "C", value_parser = parse::<ColdC>, allow_negative_numbers = true, requires = "cold_ohm")]
    cold_c: Option<f64>,

    /// Conductor of the winding
    #[arg(long, value_enum, requires = "cold_ohm")]
    conductor: Option<ConductorFlag>,

    /// Day of the heat run, YYYY-MM-DD; without it the day of the first row, where the log has clock times
    #[arg(long, value_name = "DATE", value_parser = flags::date)]
    date: Option<NaiveDate>,

    /// Altitude of the test site, m, above sea level
    #[arg(long, value_name = "M", value_parser = parse::<AltitudeM>, allow_negative_numbers = true)]
    altitude: Option<f64>,

    /// Draw readings and fitted curves to a file (SVG)
    #[arg(help_heading = "Answer", long, value_name = "FILE")]
    plot: Option<PathBuf>,

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
    /// Lines for a profile, with the uncertainty of each.
    Text,
    /// For programs.
    Json,
}

/// Conductor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum ConductorFlag {
    /// Copper.
    Cu,
    /// Aluminium.
    Al,
}

/// Cooling.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum CoolingFlag {
    /// ONAN, up to 2.5 MVA
    OnanDistribution,
    /// ONAN, above 2.5 MVA
    Onan,
    /// ONAF
    Onaf,
    /// OFAN, OFAF or OFWF: pumps, oil not directed into the windings
    Of,
    /// ODAF or ODWF: pumps, oil directed into the windings
    Od,
}

/// Runs `heat-run`.
///
/// # Errors
/// [`Failure`] if the input is refused or the answer cannot be written.
pub fn run(arguments: &HeatRunArguments) -> Result<u8, Failure> {
    let place = arguments.log.display().to_string();
    let log = log::read(&place, &files::read(&arguments.log, MOST_CSV)?)?;
    let read = [arguments.log.as_path()];
    if arguments.plot.is_some() && arguments.plot == arguments.out {
        let accepted = "another file than --out";
        return Err(InputError::new("--plot", "the file of --out", accepted).into());
    }
    let output = Output::open(arguments.out.as_deref(), &read)?;
    let plot = arguments.plot.as_deref();
    let plot = plot.map(|path| OpenFile::beside("--plot", path, &read)).transpose()?;
    let answer = worked(&log, &question(arguments));
    let stated = Stated {
        log: place,
        day: arguments.date.or(log.day),
        altitude_m: arguments.altitude,
        rated_losses_kw: arguments.rated_losses,
    };
    let json = |text: Result<String, serde_json::Error>| {
        text.map_err(|error| Failure::Internal(error.to_string()))
    };
    let text = match (arguments.format, &answer) {
        (Format::Text, Ok(answer)) => heat_run_text::rendered(answer, &stated),
        (Format::Text, Err(undecided)) => heat_run_text::undecided(undecided, &stated),
        (Format::Json, Ok(answer)) => json(json::pretty(answer))?,
        (Format::Json, Err(undecided)) => {
            json(json::pretty(&heat_run_text::Refused::of(*undecided)))?
        }
    };
    if let (Some(mut plot), Ok(answer)) = (plot, &answer) {
        plot.write(heat_run_svg::rendered(answer).as_bytes())?;
        plot.keep()?;
    }
    output.write(&text)?;
    Ok(if answer.is_ok() { 0 } else { UNDECIDED })
}

fn question(arguments: &HeatRunArguments) -> Question {
    let conductor = arguments.conductor.map(|conductor| match conductor {
        ConductorFlag::Cu => Conductor::Copper,
        ConductorFlag::Al => Conductor::Aluminium,
    });
    let cold = match (arguments.cold_ohm, arguments.cold_c, conductor) {
        (Some(ohm), Some(temperature_c), Some(conductor)) => {
            Some(Cold { ohm, temperature_c, conductor })
        }
        _ => None,
    };
    let cooling = match arguments.cooling {
        CoolingFlag::OnanDistribution => Cooling::OnanSmall,
        CoolingFlag::Onan | CoolingFlag::Onaf => Cooling::On,
        CoolingFlag::Of => Cooling::Of,
        CoolingFlag::Od => Cooling::Od,
    };
    Question { rated_losses_kw: arguments.rated_losses, cold, cooling }
}
