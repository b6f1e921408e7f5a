//! `record`: list, show, verify, recheck and export records of authorisations, and add what came of them.

pub mod after;
pub mod recheck;

use super::Failure;
use super::output::{Output, print};
use crate::record::entry::{AfterEvent, Content};
use crate::record::export::Export;
use crate::record::store::Store;
use crate::record::verify::{Noted, Row};
use crate::report::{json, record_export, record_shown, record_text};
use clap::{Args, Subcommand, ValueEnum};
use std::path::{Path, PathBuf};

/// Exit code where a record is not as it was written. It could be read, so that it is no error; it is not to be relied on, as a no-go is not.
const NOT_WHOLE: u8 = 3;

/// Flags of `record`.
#[derive(Debug, Args)]
pub struct RecordArguments {
    #[command(subcommand)]
    command: RecordCommand,
}

#[derive(Debug, Subcommand)]
enum RecordCommand {
    /// Every entry: when, which unit, what was answered and decided, and by whom
    List {
        /// The record
        file: PathBuf,
    },
    /// One entry in words, with what came of it
    Show(ShowArguments),
    /// Whether every entry is there, as and where it was written; exit code 3 if not
    Verify(VerifyArguments),
    /// Every go-ahead asked again with this version: which no longer hold, and why; exit code 3 if one does not, 4 if nobody can say
    Recheck(recheck::RecheckArguments),
    /// The whole record as JSON or CSV, so that others can verify it
    Export(ExportArguments),
    /// Add what came of an authorised overload; it changes no earlier entry
    After(after::AfterArguments),
}

/// Flags of `record show`.
#[derive(Debug, Args)]
struct ShowArguments {
    /// The record
    file: PathBuf,

    /// Id or number of the entry
    entry: String,
}

/// Flags of `record verify`.
#[derive(Debug, Args)]
struct VerifyArguments {
    /// The record
    file: PathBuf,

    /// Number and hash of an entry as they were noted elsewhere, 16 digits at least; may be repeated
    #[arg(long, value_name = "N:HASH", value_parser = Noted::parse)]
    head: Vec<Noted>,
}

/// Flags of `record export`.
#[derive(Debug, Args)]
struct ExportArguments {
    /// The record
    file: PathBuf,

    /// How to write it
    #[arg(long, value_enum, default_value_t = Format::Json)]
    format: Format,

    /// Write it to a file
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// How to write a whole record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// One object, with every entry and its hash.
    Json,
    /// A row for each entry.
    Csv,
}

/// Runs `record`; profile files of a folder stand in the place of embedded ones where something is asked again.
///
/// # Errors
/// [`Failure`] if the record or the entry is refused, or cannot be read or written.
pub fn run(arguments: &RecordArguments, profiles: Option<&Path>) -> Result<u8, Failure> {
    match &arguments.command {
        RecordCommand::List { file } => {
            print(&record_text::listed(&Store::open_to_read(file)?.list()?))?;
            Ok(0)
        }
        RecordCommand::Show(show) => shown(show),
        RecordCommand::Verify(verify) => {
            let found = Store::open_to_read(&verify.file)?.verify(&verify.head)?;
            print(&record_text::verified(&found))?;
            Ok(if found.is_whole() { 0 } else { NOT_WHOLE })
        }
        RecordCommand::Recheck(again) => recheck::run(again, profiles),
        RecordCommand::Export(export) => exported(export),
        RecordCommand::After(after) => after::run(after),
    }
}

fn shown(arguments: &ShowArguments) -> Result<u8, Failure> {
    let store = Store::open_to_read(&arguments.file)?;
    let row = entry(&store, &arguments.entry)?;
    let unreadable = |error: serde_json::Error| {
        let found = format!("entry {} is not one of this version: {error}", row.seq);
        Failure::Internal(found)
    };
    let entry = row.entry().map_err(unreadable)?;
    let came_of_it = came_of(&store, &row.id)?;
    print(&record_shown::rendered(&row, &entry, &came_of_it))?;
    Ok(if row.fits() { 0 } else { NOT_WHOLE })
}

/// The entries that say what came of an authorisation.
///
/// # Errors
/// [`Failure`] if the record cannot be read.
pub fn came_of(store: &Store, id: &str) -> Result<Vec<(Row, AfterEvent)>, Failure> {
    let all = store.list()?.into_iter().filter_map(after);
    Ok(all.filter(|(_, after)| after.of == id).collect())
}

fn after(row: Row) -> Option<(Row, AfterEvent)> {
    // Most rows are authorisations, which are large.
    if row.kind != "after-event" {
        return None;
    }
    match row.entry().ok()?.content {
        Content::AfterEvent(after) => Some((row, after)),
        Content::Authorisation(_) => None,
    }
}

/// The entry of an id, or of a number.
///
/// # Errors
/// [`Failure`] if there is none, or the record cannot be read.
pub fn entry(store: &Store, named: &str) -> Result<Row, Failure> {
    let row = match named.parse::<i64>() {
        Ok(number) => store.read_number(number),
        Err(_) => store.read(named),
    };
    Ok(row?)
}

fn exported(arguments: &ExportArguments) -> Result<u8, Failure> {
    let store = Store::open_to_read(&arguments.file)?;
    let inputs: [&Path; 1] = [&arguments.file];
    let output = Output::open(arguments.out.as_deref(), &inputs)?;
    let export = Export::of(store.list()?, store.head()?);
    let failed = |error: String| Failure::Internal(error);
    let text = match arguments.format {
        Format::Json => json::pretty(&export).map_err(|error| failed(error.to_string()))?,
        Format::Csv => record_export::csv(&export).map_err(|error| failed(error.to_string()))?,
    };
    output.write(&text)?;
    Ok(0)
}
