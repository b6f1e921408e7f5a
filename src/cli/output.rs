//! Where an answer goes: the terminal or a file.

use super::Failure;
use crate::input::InputError;
use std::fs::File;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

/// A place for output, opened before the long work so that it cannot fail after it.
#[derive(Debug)]
pub enum Output {
    /// Standard output.
    Terminal,
    /// A file, written beside its final name first so that an old one is lost only to a whole new one.
    File {
        /// Where it ends up.
        path: PathBuf,
        /// Where it is written.
        beside: PathBuf,
        /// The open file.
        file: File,
    },
}

impl Output {
    /// Opens the output.
    ///
    /// # Errors
    /// [`InputError`] if the file cannot be written, is no regular file, or is one of `inputs`.
    pub fn open(path: Option<&Path>, inputs: &[&Path]) -> Result<Self, InputError> {
        let Some(path) = path else {
            return Ok(Self::Terminal);
        };
        let place = path.display().to_string();
        let refused = |found: String, accepted: &str| {
            InputError::new(&place, found, accepted).at_key("--out")
        };
        let Some(name) = path.file_name() else {
            return Err(refused("no file name".to_owned(), "a file that can be written"));
        };
        // A rename would put a plain file in the place of a device, a pipe or a link.
        let standing = path.symlink_metadata();
        if standing.is_ok_and(|standing| !standing.is_file()) {
            return Err(refused("no regular file".to_owned(), "a new or a regular file"));
        }
        let same = |input: &&Path| {
            let (own, other) = (path.canonicalize(), input.canonicalize());
            own.is_ok() && own.ok() == other.ok()
        };
        if inputs.iter().any(same) {
            return Err(refused("an input file".to_owned(), "another file than those it reads"));
        }
        let mut beside = name.to_owned();
        beside.push(format!(".{}.part", std::process::id()));
        let beside = path.with_file_name(beside);
        let file = File::create(&beside)
            .map_err(|error| refused(error.to_string(), "a file that can be written"))?;
        Ok(Self::File { path: path.to_owned(), beside, file })
    }

    /// Writes the whole answer and closes the output.
    ///
    /// # Errors
    /// [`Failure::Internal`] if it cannot be written. A reader that has gone away is no error.
    pub fn write(self, text: &str) -> Result<(), Failure> {
        match self {
            Self::Terminal => print(text),
            Self::File { path, beside, mut file } => {
                let plain = anstream::adapter::strip_str(text).to_string();
                let written = file.write_all(plain.as_bytes()).and_then(|()| file.sync_all());
                let moved = written.and_then(|()| std::fs::rename(&beside, &path));
                moved.map_err(|error| {
                    // The half-written file is of no use; that it may not go either changes nothing.
                    let _ = std::fs::remove_file(&beside);
                    Failure::Internal(format!("{}: {error}", path.display()))
                })
            }
        }
    }
}

/// Prints to standard output, with colour only where it is wanted.
///
/// # Errors
/// [`Failure::Internal`] if it cannot be written. A reader that has gone away is no error.
pub fn print(text: &str) -> Result<(), Failure> {
    let mut stdout = anstream::stdout();
    match stdout.write_all(text.as_bytes()).and_then(|()| stdout.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(Failure::Internal(error.to_string()))
        }
        _ => Ok(()),
    }
}
