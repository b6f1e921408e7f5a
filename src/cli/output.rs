//! Where an answer goes: the terminal or a file.

use super::Failure;
use crate::input::InputError;
use std::fs::File;
use std::io::{BufWriter, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

/// Where the answers of a command go.
#[derive(Debug, Clone)]
pub enum Place {
    /// Where its flags say.
    AsAsked,
    /// Into memory, for whoever asked in another way than on the command line.
    Kept(Kept),
}

/// An answer in memory.
pub type Kept = Arc<Mutex<String>>;

impl Place {
    /// Opens the output.
    ///
    /// # Errors
    /// As [`Output::open`].
    pub fn open(&self, path: Option<&Path>, inputs: &[&Path]) -> Result<Output, InputError> {
        match self {
            Self::AsAsked => Output::open(path, inputs),
            Self::Kept(kept) => Ok(Output::Kept(Arc::clone(kept))),
        }
    }
}

/// A place for output, opened before the long work so that it cannot fail after it.
#[derive(Debug)]
pub enum Output {
    /// Standard output.
    Terminal,
    /// A file.
    File(OpenFile),
    /// Memory.
    Kept(Kept),
}

impl Output {
    /// Opens the output.
    ///
    /// # Errors
    /// [`InputError`] if the file cannot be written, is no regular file, or is one of `inputs`.
    pub fn open(path: Option<&Path>, inputs: &[&Path]) -> Result<Self, InputError> {
        let opened = path.map(|path| OpenFile::beside("--out", path, inputs)).transpose()?;
        Ok(opened.map_or(Self::Terminal, Self::File))
    }

    /// Writes the whole answer and closes the output.
    ///
    /// # Errors
    /// [`Failure::Internal`] if it cannot be written. A reader that has gone away is no error.
    pub fn write(self, text: &str) -> Result<(), Failure> {
        match self {
            Self::Terminal => print(text),
            Self::File(mut file) => {
                let plain = anstream::adapter::strip_str(text).to_string();
                file.write(plain.as_bytes())?;
                file.keep()
            }
            Self::Kept(kept) => {
                let poisoned = |_| Failure::Internal("an answer was cut off".to_owned());
                kept.lock().map_err(poisoned)?.push_str(text);
                Ok(())
            }
        }
    }
}

/// A file that takes the place of an old one only once it is whole; dropped before, it goes away.
#[derive(Debug)]
pub struct OpenFile {
    path: PathBuf,
    beside: PathBuf,
    file: BufWriter<File>,
    kept: bool,
}

impl OpenFile {
    /// Opens a file beside its final name.
    ///
    /// # Errors
    /// [`InputError`] at the flag if the file cannot be written, is no regular file, or is one of
    /// `inputs`.
    pub fn beside(flag: &str, path: &Path, inputs: &[&Path]) -> Result<Self, InputError> {
        let place = path.display().to_string();
        let refused =
            |found: String, accepted: &str| InputError::new(&place, found, accepted).at_key(flag);
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
        Ok(Self { path: path.to_owned(), beside, file: BufWriter::new(file), kept: false })
    }

    /// Writes on.
    ///
    /// # Errors
    /// [`Failure::Internal`] if it cannot be written.
    pub fn write(&mut self, bytes: &[u8]) -> Result<(), Failure> {
        self.file.write_all(bytes).map_err(|error| self.failed(&error))
    }

    /// Puts the whole file in its place.
    ///
    /// # Errors
    /// [`Failure::Internal`] if it cannot be written.
    pub fn keep(mut self) -> Result<(), Failure> {
        let written = self.file.flush().and_then(|()| self.file.get_ref().sync_all());
        let moved = written.and_then(|()| std::fs::rename(&self.beside, &self.path));
        moved.map_err(|error| self.failed(&error))?;
        self.kept = true;
        Ok(())
    }

    fn failed(&self, error: &std::io::Error) -> Failure {
        Failure::Internal(format!("{}: {error}", self.path.display()))
    }
}

impl Drop for OpenFile {
    fn drop(&mut self) {
        if !self.kept {
            // The half-written file is of no use; that it may not go either changes nothing.
            let _ = std::fs::remove_file(&self.beside);
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

/// Says something beside the answer, on standard error.
pub fn note(text: &str) {
    // Nothing can be done if standard error is closed.
    let _ = anstream::stderr().write_all(text.as_bytes());
}
