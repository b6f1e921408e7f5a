//! `fleet merge`: the parts of a fleet, put together.

use super::super::Failure;
use super::super::files::read;
use super::super::output::Output;
use super::shown::{Format, Shown};
use crate::fleet::part::merged;
use crate::input::InputError;
use clap::Args;
use std::path::{Path, PathBuf};

/// Largest part that is read, bytes.
const MOST_PART: u64 = 1 << 30;

/// Flags of `fleet merge`.
#[derive(Debug, Args)]
pub(super) struct MergeArguments {
    /// Parts, as written by --format part, in any order
    #[arg(value_name = "PART", required = true)]
    parts: Vec<PathBuf>,

    #[command(flatten)]
    shown: Shown,
}

/// Runs `fleet merge`.
///
/// # Errors
/// [`Failure`] if a part is refused or the answer cannot be written.
pub(super) fn run(arguments: &MergeArguments) -> Result<u8, Failure> {
    if arguments.shown.format == Format::Part {
        let accepted = "text, json, csv or html";
        return Err(InputError::new("--format", "part, of parts put together", accepted).into());
    }
    let inputs: Vec<&Path> = arguments.parts.iter().map(PathBuf::as_path).collect();
    let output = Output::open(arguments.shown.out.as_deref(), &inputs)?;
    let named = |path: &PathBuf| Ok((path.display().to_string(), read(path, MOST_PART)?));
    let files: Result<Vec<(String, String)>, InputError> =
        arguments.parts.iter().map(named).collect();
    arguments.shown.write(&merged(&files?)?, output)
}
