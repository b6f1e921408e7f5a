//! The journal of a run: a line for each finished unit, so that a run that was interrupted goes on where it
//! stood.
//!
//! A line is believed only if it is whole, its own digest fits, and the hash of everything that the row
//! depends on is the one of today.

use super::row::Row;
use crate::input::json;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::HashMap;
use std::fmt::Write;

/// The first line of a journal.
pub const HEAD: &str = "{\"bubblemargin_fleet_journal\":1}\n";

/// A line of a journal or of a part: a row, and a digest by which a damaged one is told.
#[derive(Debug, Serialize, Deserialize)]
struct Line {
    row: Row,
    sha256: String,
}

/// A row as a line, with its line end.
///
/// # Errors
/// Only if the row cannot be serialised, which plain data always can.
pub fn line(row: &Row) -> Result<String, serde_json::Error> {
    let sha256 = digest(serde_json::to_string(row)?.as_bytes());
    serde_json::to_string(&Line { row: row.clone(), sha256 }).map(|line| line + "\n")
}

/// The row of a line; `None` if it is not whole, not as it was written, or has a key twice.
pub fn row(line: &str) -> Option<Row> {
    let line: Line = json::own(line).ok()?;
    let written = serde_json::to_string(&line.row).ok()?;
    (digest(written.as_bytes()) == line.sha256).then_some(line.row)
}

/// SHA-256 in hexadecimal.
pub fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |mut hex, byte| {
        // Writing to a string cannot fail.
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}

/// Rows of an earlier run, by unit.
#[derive(Debug, Default)]
pub struct Finished {
    rows: HashMap<String, Row>,
    /// Up to which byte the journal is whole; what follows is a torn line.
    pub whole_bytes: usize,
}

impl Finished {
    /// Reads a journal; `None` if the text is no journal. One that is torn within its first line holds
    /// nothing.
    pub fn read(text: &str) -> Option<Self> {
        let Some(lines) = text.strip_prefix(HEAD) else {
            return HEAD.starts_with(text).then(Self::default);
        };
        let whole = lines.rfind('\n').map_or(0, |end| end + 1);
        let rows = lines[..whole].lines().filter_map(row).map(|row| (row.unit.clone(), row));
        Some(Self { rows: rows.collect(), whole_bytes: HEAD.len() + whole })
    }

    /// The row of a unit, if it depends on the same inputs.
    pub fn of(&self, unit: &str, inputs_sha256: &str) -> Option<&Row> {
        self.rows.get(unit).filter(|row| row.inputs_sha256 == inputs_sha256)
    }
}

#[cfg(test)]
mod tests {
    use super::super::row::Standing;
    use super::*;

    fn example() -> Row {
        // The sum of 0.1 and 0.2 needs its last digit.
        let margin_low_k = Some(0.1 + 0.2);
        let inputs_sha256 = "hash".to_owned();
        Row { margin_low_k, inputs_sha256, ..Row::without_answer("a", Standing::Go, "ä\n".into()) }
    }

    #[test]
    fn a_row_comes_back_as_it_was_and_a_changed_line_does_not() {
        let text = line(&example()).unwrap();
        assert_eq!(text.matches('\n').count(), 1);
        assert_eq!(row(&text), Some(example()));
        assert_eq!(row(&text.replace("\"go\"", "\"no-go\"")), None);
        assert_eq!(row(&text[..text.len() - 3]), None);
    }

    #[test]
    fn a_line_with_a_key_twice_is_not_believed_even_if_nobody_looks_at_it() {
        let text = line(&example()).unwrap();
        let with = |keys: &str| text.replacen("{\"row\":{", &format!("{{\"row\":{{{keys}"), 1);
        assert_eq!(row(&with("\"later\":1,")), Some(example()));
        assert_eq!(row(&with("\"later\":1,\"later\":2,")), None);
    }

    #[test]
    fn a_torn_last_line_is_left_out_and_other_inputs_are_not_believed() {
        let whole = format!("{HEAD}{}", line(&example()).unwrap());
        let torn = format!("{whole}{{\"row\":{{\"unit\":\"b");
        let found = Finished::read(&torn).unwrap();
        assert_eq!(found.whole_bytes, whole.len());
        assert_eq!(found.of("a", "hash"), Some(&example()));
        assert_eq!((found.of("a", "other"), found.of("b", "hash")), (None, None));
        assert_eq!(Finished::read(&HEAD[..5]).unwrap().whole_bytes, 0);
        assert!(Finished::read("unit,time,load_pu\n").is_none());
    }
}
