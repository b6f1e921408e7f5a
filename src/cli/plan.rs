//! `plan`: which planned outages work, when, and what would rescue the others.

mod asked;
mod compare;

use super::files::yaml_files;
use super::output::Place;
use super::{Failure, flags};
use crate::assessment::case::Sampling;
use crate::planning::answer::{PlanAnswer, planned};
use crate::planning::orders::{Standing, StandingOrders};
use crate::planning::outage::OutageAnswer;
use crate::report::{json, plan_html, plan_orders, plan_orders_changes, plan_text};
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

    /// Planned outages, with forecasts of load and ambient (YAML); only --show orders can do without
    #[arg(long, value_name = "FILE")]
    outages: Option<PathBuf>,

    /// Figures that look like those of another unit (per unit under load_mva, hours under minute) are right as they stand
    #[arg(long)]
    units_confirmed: bool,

    /// Voltage of the windings without taps, per unit of the rated one, of every unit; without it the column voltage_pu of the series, or 1 pu, 3 % either way
    #[arg(long, value_name = "PU", value_parser = flags::voltage, allow_negative_numbers = true)]
    voltage_pu: Option<f64>,

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

    /// Preload of the standing orders, per unit; without it the greatest normal load of the plan, or 0.7
    #[arg(help_heading = "Answer", long, value_name = "PU", value_parser = flags::preload, allow_negative_numbers = true)]
    preload: Option<f64>,

    /// Months until the next sample in the standing orders; without it 3 for wet paper, else 12
    #[arg(help_heading = "Answer", long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=24), allow_negative_numbers = true)]
    sample_again: Option<u32>,

    /// Which ceilings and stop values of earlier standing orders (--format json) no longer hold, and why; with --show orders
    #[arg(help_heading = "Answer", long, value_name = "FILE")]
    compare: Option<PathBuf>,

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
    /// Load ceilings until the unit is dried, on one page to be signed; the page alone.
    Orders,
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
    /// A report to look at and to print, in one file.
    Html,
}

/// Runs `plan`.
///
/// # Errors
/// [`Failure`] if the input is refused or the answer cannot be written.
pub fn run(
    arguments: &PlanArguments,
    catalogue: &Catalogue,
    profiles: Option<&Path>,
    place: &Place,
) -> Result<u8, Failure> {
    let asked = asked::asked(arguments, catalogue)?;
    let own = profiles.map(yaml_files).transpose()?.unwrap_or_default();
    let earlier = compare::earlier(arguments, &asked.unit)?;
    let read = asked.read.iter().chain(&own).chain(&arguments.compare);
    let inputs: Vec<&Path> = read.map(PathBuf::as_path).collect();
    let output = place.open(arguments.out.as_deref(), &inputs)?;
    let orders = asked.standing.as_ref().map(|standing| {
        let orders = standing.orders();
        let changes =
            earlier.as_ref().map(|old| compare::changes(old, &orders, standing, catalogue));
        StandingOrders { changes, ..orders }
    });
    let Some(question) = &asked.question else {
        let orders = orders.ok_or_else(|| Failure::Internal("nothing to answer".to_owned()))?;
        output.write(&page(arguments, &orders)?)?;
        return Ok(exit_code_of_orders(&orders));
    };
    let answer = PlanAnswer { orders, ..planned(question) };
    output.write(&written(arguments, &answer)?)?;
    Ok(exit_code(&answer))
}

fn written(arguments: &PlanArguments, answer: &PlanAnswer) -> Result<String, Failure> {
    match arguments.format {
        Format::Text => Ok(plan_text::rendered(answer)),
        Format::Json => json::pretty(answer).map_err(|error| Failure::Internal(error.to_string())),
        Format::Html => {
            plan_html::report(answer).map_err(|error| Failure::Internal(error.to_string()))
        }
    }
}

fn page(arguments: &PlanArguments, orders: &StandingOrders) -> Result<String, Failure> {
    match arguments.format {
        Format::Text => {
            let changes = orders.changes.as_ref().map(plan_orders_changes::rendered);
            // Each stands alone: the pages are printed, and no line of them may move.
            let parts = changes.into_iter().chain([plan_orders::page(orders)]);
            Ok(parts.collect::<Vec<_>>().join("\n"))
        }
        Format::Json => json::pretty(orders).map_err(|error| Failure::Internal(error.to_string())),
        Format::Html => {
            plan_html::orders(orders).map_err(|error| Failure::Internal(error.to_string()))
        }
    }
}

/// 0: there are ceilings; 3: no load passes; 4: none can be stated.
fn exit_code_of_orders(orders: &StandingOrders) -> u8 {
    match orders.standing {
        Standing::Restricted | Standing::Ordinary => 0,
        Standing::Forbidden => 3,
        Standing::Undecided => 4,
    }
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
