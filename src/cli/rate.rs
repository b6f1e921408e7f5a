//! `rate`: emergency ratings, and the relays against them.

mod asked;
mod compare;
mod folder;
mod hashed;
mod one;

use super::files::yaml_files;
use super::in_service::InServiceArguments;
use super::output::Place;
use super::{Failure, flags};
use crate::assessment::case::DRIED_TO_PERCENT;
use crate::assessment::case::{DEFAULT_DRAWS, Sampling};
use crate::rating::season::USUAL_PERCENTILE;
use crate::rating::{Limiting, Ratings};
use crate::unit::defaults::Catalogue;
use chrono::NaiveDate;
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

/// Flags of `rate`.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Args)]
pub struct RateArguments {
    /// Unit profile (YAML), or a folder of them
    unit: PathBuf,

    /// Durations, with their units, and `continuous`: 15min,1h,continuous
    #[arg(help_heading = "Table", long = "for", value_name = "LIST", value_delimiter = ',', value_parser = flags::rated_duration, default_value = "15min,30min,1h,2h,4h,8h,24h,continuous")]
    durations: Vec<flags::RatedDuration>,

    /// Steady loads before, per unit, up to 1; ratings are per unit of the rated current, so --voltage-pu divides these
    #[arg(help_heading = "Table", long, value_name = "LIST", value_delimiter = ',', value_parser = flags::preload, allow_negative_numbers = true, default_value = "0.7")]
    preload: Vec<f64>,

    /// Ambients, °C; without it from 0 °C to 40 °C in steps of 5 °C
    #[arg(help_heading = "Table", long, value_name = "LIST", value_delimiter = ',', value_parser = flags::ambient, allow_negative_numbers = true, conflicts_with_all = ["ambient_file", "ambient_steps"])]
    ambient: Option<Vec<f64>>,

    /// Ambients in other steps: 5c from 0 °C to 40 °C, 5f from 30 °F to 110 °F
    #[arg(help_heading = "Table", long, value_enum)]
    ambient_steps: Option<AmbientSteps>,

    /// Ambient forecast (CSV: time, ambient_c, ambient_std_k): a rating from each of its rows on, up to 240
    #[arg(help_heading = "Table", long, value_name = "FILE", conflicts_with = "ambient_steps")]
    ambient_file: Option<PathBuf>,

    /// Ambient history of any length (CSV: time, ambient_c): a rating for each season
    #[arg(help_heading = "Table", long, value_name = "FILE", conflicts_with_all = ["ambient", "ambient_steps", "ambient_file"])]
    ambient_history: Option<PathBuf>,

    /// Days of a season, %, whose highest ambient stays below the one that is rated
    #[arg(help_heading = "Table", long, value_name = "PERCENT", value_parser = flags::percentile, allow_negative_numbers = true, default_value_t = USUAL_PERCENTILE)]
    percentile: f64,

    /// Limit sets; without it normal, long-time and short-time emergency of IEC 60076-7
    #[arg(
        help_heading = "Limits and rules",
        long,
        value_name = "LIST",
        value_delimiter = ',',
        default_value = "iec-normal-cyclic,iec-long-time-emergency,iec-short-time-emergency"
    )]
    limits: Vec<String>,

    /// Local operating rules (YAML); they can only tighten
    #[arg(help_heading = "Limits and rules", long, value_name = "FILE")]
    rules: Option<PathBuf>,

    /// Cooling stage in service throughout, by its name; without it stages start by themselves
    #[arg(help_heading = "Limits and rules", long, value_name = "STAGE")]
    cooling: Option<String>,

    /// The day for which it is asked, YYYY-MM-DD, by which the age of evidence is judged; without it today
    #[arg(help_heading = "Limits and rules", long, value_name = "DATE", value_parser = flags::date)]
    as_of: Option<NaiveDate>,

    #[command(flatten)]
    in_service: InServiceArguments,

    /// Standard uncertainty of the load, % of it, constant; without it that of the profile, or the usual one
    #[arg(help_heading = "Uncertainty", long, value_name = "PERCENT", value_parser = flags::load_std, allow_negative_numbers = true)]
    load_std: Option<f64>,

    /// Standard uncertainty of the ambient, K, constant; without it that of --ambient-file, of the profile, or the usual one
    #[arg(help_heading = "Uncertainty", long, value_name = "K", value_parser = flags::ambient_std, allow_negative_numbers = true)]
    ambient_std: Option<f64>,

    /// Draws from the uncertainties, 256 to 1048576, rounded up to a power of two; 0 for none
    #[arg(help_heading = "Uncertainty", long, value_name = "N", value_parser = flags::draws, allow_negative_numbers = true, default_value_t = DEFAULT_DRAWS)]
    draws: u32,

    /// Where the draws begin; the same seed gives the same draws
    #[arg(help_heading = "Uncertainty", long, value_name = "N", allow_negative_numbers = true, default_value_t = Sampling::default().seed)]
    seed: u32,

    /// What to show beside the ratings, or with csv and --chart instead of them
    #[arg(help_heading = "Answer", long, value_enum, default_value_t = Show::Ratings)]
    show: Show,

    /// Water to which the paper might be dried, %, for the cost of water
    #[arg(help_heading = "Answer", long, value_name = "PERCENT", value_parser = flags::paper_percent, allow_negative_numbers = true, default_value_t = DRIED_TO_PERCENT)]
    dried_to: f64,

    /// What changed since an earlier answer of --format json, and which input caused it
    #[arg(help_heading = "Answer", long, value_name = "FILE")]
    compare: Option<PathBuf>,

    /// Write the picture of --show water or capability (SVG) to a file
    #[arg(help_heading = "Answer", long, value_name = "FILE")]
    chart: Option<PathBuf>,

    /// Winding whose currents the CIM file holds, by its name in the profile
    #[arg(help_heading = "Answer", long, value_name = "NAME")]
    winding: Option<String>,

    /// How to answer
    #[arg(help_heading = "Answer", long, value_enum, default_value_t = Format::Text)]
    format: Format,

    /// Write the answer to a file
    #[arg(help_heading = "Answer", long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// Steps of the ambient.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum AmbientSteps {
    /// 5 °C.
    #[value(name = "5c")]
    FiveCelsius,
    /// 5 °F.
    #[value(name = "5f")]
    FiveFahrenheit,
}

/// What to show.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Show {
    /// The ratings, and the relays against them.
    Ratings,
    /// What water costs: the same ratings dry and wet, and against moisture.
    Water,
    /// Permissible time against load.
    Capability,
    /// All of these.
    All,
}

impl Show {
    fn water(self) -> bool {
        matches!(self, Self::Water | Self::All)
    }

    fn capability(self) -> bool {
        matches!(self, Self::Capability | Self::All)
    }
}

/// How to answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// For programs.
    Json,
    /// A row for each rating.
    Csv,
    /// IEC 61970 operational limits as RDF/XML.
    Cim,
    /// A report of one unit to look at and to print, with the capability curve and dry against wet.
    Html,
}

/// Runs `rate`.
///
/// # Errors
/// [`Failure`] if the input is refused or the answer cannot be written.
pub fn run(
    arguments: &RateArguments,
    catalogue: &Catalogue,
    profiles: Option<&Path>,
    place: &Place,
) -> Result<u8, Failure> {
    let own = profiles.map(yaml_files).transpose()?.unwrap_or_default();
    if arguments.unit.is_dir() {
        return folder::run(arguments, catalogue, &own);
    }
    let whole = asked::question(arguments, &arguments.unit, catalogue)?;
    let earlier = compare::earlier(arguments, &whole)?;
    let read = whole.read.iter().chain(&own).chain(&arguments.compare);
    let inputs: Vec<&Path> = read.map(PathBuf::as_path).collect();
    let output = place.open(arguments.out.as_deref(), &inputs)?;
    let chart = one::chart_file(arguments, &inputs)?;
    let mut ratings = one::rated(arguments, &whole)?;
    if let Some(earlier) = &earlier {
        ratings.changes = Some(compare::changes(earlier, &ratings, &whole, catalogue));
    }
    if let Some(mut file) = chart {
        file.write(one::chart(arguments, &ratings)?.as_bytes())?;
        file.keep()?;
    }
    output.write(&one::rendered(arguments, &[&ratings])?)?;
    Ok(exit_code(&ratings))
}

/// 0: rated; 3: no load passes in any cell; 4: something unknown keeps every cell from a rating.
fn exit_code(ratings: &Ratings) -> u8 {
    let mut cells = ratings.cells.iter();
    if cells.any(|cell| cell.load_pu.is_some()) {
        return 0;
    }
    let unknown = |what| matches!(what, Limiting::Unknown | Limiting::ModelRange);
    if ratings.cells.iter().all(|cell| unknown(cell.governs.what)) { 4 } else { 3 }
}
