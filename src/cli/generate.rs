//! Shell completions and man pages, generated from the command line itself.

use super::output::print;
use super::{Arguments, Failure};
use crate::input::InputError;
use clap::{Args, CommandFactory};
use clap_complete::Shell;
use std::path::PathBuf;

/// Flags of `completions`.
#[derive(Debug, Args)]
pub struct CompletionArguments {
    /// The shell
    #[arg(value_enum)]
    shell: Shell,
}

/// Flags of `manual`.
#[derive(Debug, Args)]
pub struct ManualArguments {
    /// Folder to write the pages into
    folder: PathBuf,
}

/// Prints completions.
///
/// # Errors
/// [`Failure`] if they cannot be written.
pub fn completions(arguments: &CompletionArguments) -> Result<u8, Failure> {
    let mut bytes = Vec::new();
    clap_complete::generate(
        arguments.shell,
        &mut Arguments::command(),
        env!("CARGO_PKG_NAME"),
        &mut bytes,
    );
    print(&String::from_utf8_lossy(&bytes))?;
    Ok(0)
}

/// Writes the man pages.
///
/// # Errors
/// [`InputError`] if the folder cannot be written.
pub fn manual(arguments: &ManualArguments) -> Result<u8, Failure> {
    let place = arguments.folder.display().to_string();
    let refused = |error: std::io::Error| {
        InputError::new(&place, error.to_string(), "a folder that can be written")
    };
    std::fs::create_dir_all(&arguments.folder).map_err(refused)?;
    clap_mangen::generate_to(Arguments::command(), &arguments.folder).map_err(refused)?;
    Ok(0)
}
