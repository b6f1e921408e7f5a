//! The journal as a file: read at the start, and a line added for each finished unit.

use super::super::Failure;
use crate::fleet::journal::{Finished, HEAD, line};
use crate::fleet::row::Row;
use crate::input::InputError;
use std::fs::{self, File, OpenOptions};
use std::io::{ErrorKind, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// A journal that is being written.
pub(super) struct Journal {
    finished: Finished,
    file: Option<(PathBuf, Mutex<File>)>,
}

impl Journal {
    /// Reads what an earlier run finished, and opens the file to go on; without a path there is none.
    ///
    /// # Errors
    /// [`InputError`] if it cannot be read or written, or is some other file.
    pub(super) fn open(path: Option<&Path>) -> Result<Self, InputError> {
        let Some(path) = path else {
            return Ok(Self { finished: Finished::default(), file: None });
        };
        let place = path.display().to_string();
        let refused = |found: String| {
            let accepted = "a new file, or the journal of an earlier run of `fleet`";
            InputError::new(&place, found, accepted).at_key("--journal")
        };
        let finished = read(path).map_err(refused)?;
        let whole = finished.whole_bytes as u64;
        let open = || -> std::io::Result<File> {
            let mut file =
                OpenOptions::new().write(true).create(true).truncate(false).open(path)?;
            file.set_len(whole)?;
            file.seek(SeekFrom::End(0))?;
            if whole == 0 {
                file.write_all(HEAD.as_bytes())?;
            }
            Ok(file)
        };
        let file = open().map_err(|error| refused(error.to_string()))?;
        Ok(Self { finished, file: Some((path.to_owned(), Mutex::new(file))) })
    }

    /// The row of a unit that an earlier run finished with the same inputs.
    pub(super) fn finished(&self, unit: &str, inputs_sha256: &str) -> Option<Row> {
        self.finished.of(unit, inputs_sha256).cloned()
    }

    /// Adds a finished unit.
    ///
    /// # Errors
    /// [`Failure::Internal`] if it cannot be written.
    pub(super) fn add(&self, row: &Row) -> Result<(), Failure> {
        let Some((path, file)) = &self.file else { return Ok(()) };
        let line = line(row).map_err(|error| Failure::Internal(error.to_string()))?;
        // Whoever held it last may have ended anyhow; lines are written whole.
        let mut file = file.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let written = file.write_all(line.as_bytes());
        written.map_err(|error| Failure::Internal(format!("{}: {error}", path.display())))
    }
}

/// What an earlier run finished, or what was found instead of a journal.
fn read(path: &Path) -> Result<Finished, String> {
    let bytes = match fs::read(path) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == ErrorKind::NotFound => Vec::new(),
        Err(error) => return Err(error.to_string()),
    };
    // A line may be torn within a character.
    let whole = bytes.iter().rposition(|byte| *byte == b'\n').map_or(bytes.len(), |end| end + 1);
    let text = std::str::from_utf8(&bytes[..whole]).ok();
    text.and_then(Finished::read).ok_or_else(|| "another file".to_owned())
}
