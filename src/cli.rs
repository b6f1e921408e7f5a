//! The command line: the only part that reads files, writes output and sets exit codes.

pub mod case;
pub mod check;
pub mod clock;
pub mod explain;
pub mod files;
pub mod flags;
pub mod fleet;
pub mod generate;
pub mod heat_run;
pub mod history;
pub mod in_service;
pub mod inputs;
pub mod moisture;
pub mod output;
pub mod plan;
mod plan_files;
pub mod profiles;
pub mod rate;
pub mod record;
pub mod recording;
pub mod schema;
pub mod serve;
mod units;
pub mod validate;
pub mod windings;

use crate::input::InputError;
use crate::record::store::StoreError;
use crate::rules::verdict::Verdict;
use crate::unit::defaults::Catalogue;
use clap::{Parser, Subcommand};
use output::Place;
use std::path::{Path, PathBuf};

/// May this wet oil-immersed transformer carry this overload, and how many kelvin remain
/// before its paper bubbles?
///
/// A calculation aid: it authorises nothing. Local operating rules, the maker's limits and
/// licensed people decide.
#[derive(Debug, Parser)]
#[command(version, propagate_version = true, max_term_width = 80, after_help = EXIT_CODES)]
pub struct Arguments {
    /// Folder whose profile files replace the embedded ones (cooling/, limits/,
    /// uncertainty/)
    #[arg(long, global = true, value_name = "DIR")]
    profiles: Option<PathBuf>,

    #[command(subcommand)]
    command: Command,
}

const EXIT_CODES: &str = "Exit codes: 0 go or go with cautions, 3 no-go, 4 cannot decide, 2 bad input or usage, 1 internal failure";

#[derive(Debug, Subcommand)]
enum Command {
    /// May this overload go ahead
    Check(Box<check::CheckArguments>),
    /// How wet is the paper, which evidence contradicts which, what counts
    Moisture(moisture::MoistureArguments),
    /// Emergency ratings by duration, ambient and preload; relays against them
    Rate(Box<rate::RateArguments>),
    /// Which planned outages work, when, and what would rescue the others
    Plan(Box<plan::PlanArguments>),
    /// Which units of a fleet are the problem under one contingency
    Fleet(Box<fleet::FleetArguments>),
    /// Records of authorisations: list, show, verify, recheck, export, and what came of them
    Record(Box<record::RecordArguments>),
    /// What has this unit been through
    History(history::HistoryArguments),
    /// From the log of a heat run to lines of a profile
    HeatRun(heat_run::HeatRunArguments),
    /// The operator's page, on this machine
    Serve(serve::ServeArguments),
    /// What a finding means, its source, and what would change it
    Explain(explain::ExplainArguments),
    /// Check profile files without computing anything
    Validate(validate::ValidateArguments),
    /// Print the JSON Schema of a kind of profile, for editors
    Schema(schema::SchemaArguments),
    /// Print shell completions
    Completions(generate::CompletionArguments),
    /// Write the man pages into a folder
    Manual(generate::ManualArguments),
}

/// Why a command ended without an answer.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The user's input or usage: exit code 2.
    #[error(transparent)]
    Input(#[from] InputError),
    /// Several errors in several files: exit code 2, already printed.
    #[error("{0} of the files are not valid")]
    Files(usize),
    /// Ours or the machine's: exit code 1.
    #[error("internal failure: {0}")]
    Internal(String),
}

impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Refused(error) => Self::Input(error),
            failed @ (StoreError::NotWhole { .. }
            | StoreError::Database { .. }
            | StoreError::Io { .. }) => Self::Internal(failed.to_string()),
        }
    }
}

impl Failure {
    /// The exit code of the contract.
    pub fn exit_code(&self) -> u8 {
        match self {
            Self::Input(_) | Self::Files(_) => 2,
            Self::Internal(_) => 1,
        }
    }
}

/// The exit code of a verdict.
pub fn exit_code(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Go | Verdict::GoWithCautions => 0,
        Verdict::NoGo => 3,
        Verdict::CannotDecide => 4,
    }
}

/// What serves the page. It stands to the right of the command line and is handed in.
pub type Serve = fn(&serve::ServeArguments, Catalogue, Option<&Path>) -> Result<u8, Failure>;

/// Runs one command and gives its exit code.
///
/// # Errors
/// [`Failure`] if there is no answer.
pub fn run(arguments: &Arguments, serve: Serve) -> Result<u8, Failure> {
    let catalogue = || files::catalogue(arguments.profiles.as_deref());
    match &arguments.command {
        Command::Check(check) => check::run(check, &catalogue()?, arguments.profiles.as_deref()),
        Command::Moisture(moisture) => {
            moisture::run(moisture, &catalogue()?, arguments.profiles.as_deref(), &Place::AsAsked)
        }
        Command::Rate(rate) => {
            rate::run(rate, &catalogue()?, arguments.profiles.as_deref(), &Place::AsAsked)
        }
        Command::Plan(plan) => {
            plan::run(plan, &catalogue()?, arguments.profiles.as_deref(), &Place::AsAsked)
        }
        Command::Fleet(fleet) => {
            fleet::run(fleet, &catalogue()?, arguments.profiles.as_deref(), &Place::AsAsked)
        }
        Command::History(history) => {
            history::run(history, &catalogue()?, arguments.profiles.as_deref())
        }
        Command::HeatRun(heat_run) => heat_run::run(heat_run),
        Command::Record(record) => record::run(record, arguments.profiles.as_deref()),
        Command::Serve(asked) => serve(asked, catalogue()?, arguments.profiles.as_deref()),
        Command::Explain(explain) => explain::run(explain),
        Command::Validate(validate) => validate::run(validate, &catalogue()?),
        Command::Schema(schema) => schema::run(schema),
        Command::Completions(completions) => generate::completions(completions),
        Command::Manual(manual) => generate::manual(manual),
    }
}
