//! Strict reading of text into checked values. Nothing here opens a file: the caller
//! hands over the text and the name to use for it in errors.

pub mod columns;
pub mod json;
pub mod number;
mod plain;
pub mod rows;
pub mod table;
pub mod text;
pub mod time;
pub mod yaml;

use std::fmt;

/// Input that was refused: where, what was found and what would be accepted.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct InputError {
    /// File or flag, as the user named it.
    pub place: String,
    /// Line in the file, from 1.
    pub line: Option<usize>,
    /// Key, column or flag.
    pub key: Option<String>,
    /// What stands there.
    pub found: String,
    /// What would be accepted.
    pub accepted: String,
}

impl InputError {
    /// An error about a whole file or flag.
    pub fn new(place: &str, found: impl Into<String>, accepted: impl Into<String>) -> Self {
        Self {
            place: place.to_owned(),
            line: None,
            key: None,
            found: found.into(),
            accepted: accepted.into(),
        }
    }

    /// The same error at a line.
    #[must_use]
    pub fn at_line(mut self, line: usize) -> Self {
        self.line = Some(line);
        self
    }

    /// The same error at a key, column or flag.
    #[must_use]
    pub fn at_key(mut self, key: impl Into<String>) -> Self {
        self.key = Some(key.into());
        self
    }
}

impl fmt::Display for InputError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.place)?;
        if let Some(line) = self.line {
            write!(f, ", line {line}")?;
        }
        if let Some(key) = &self.key {
            write!(f, ", {key}")?;
        }
        write!(f, "\n  found:    {}\n  accepted: {}", self.found, self.accepted)
    }
}

/// Shortens what was found, so that a huge or binary value cannot flood the screen.
pub fn shown(found: &str) -> String {
    const MOST: usize = 60;
    let clean: String =
        found.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).take(MOST).collect();
    let cut = if found.chars().count() > MOST { "…" } else { "" };
    format!("{clean}{cut}")
}
