//! The recent loads of many units in one long CSV: the rows of one unit at a time, whatever the length of
//! the file.

use crate::input::{InputError, shown};
use std::collections::HashMap;
use std::io::{BufRead, Read};

/// Most bytes of one unit's rows: a year of minutes is half of it.
pub(super) const MOST_BYTES: usize = 64 << 20;

/// A row of more bytes has lost its end.
const LONGEST_ROW: u64 = 1 << 20;

/// Units without a profile of which the names are kept; more are no list of units.
const MOST_STRAYS: usize = 100_000;

/// The rows of one unit.
#[derive(Debug)]
pub(super) struct Block {
    pub(super) unit: String,
    /// The header and the rows.
    pub(super) text: Vec<u8>,
    /// Line of the first row in the file, from 1.
    pub(super) first_line: usize,
}

/// What comes next in the file.
#[derive(Debug)]
pub(super) enum Next {
    /// The rows of a unit.
    Rows(Block),
    /// Rows of a unit that cannot be used, whatever came before.
    Refused(String, InputError),
}

/// What to do with the rows of a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wanted {
    /// They are gathered.
    Yes,
    /// They belong to another part.
    Elsewhere,
    /// No profile has this unit.
    Stray,
}

/// A long CSV on its way through.
pub(super) struct Loads<R, W> {
    place: String,
    source: R,
    wanted: W,
    header: Vec<u8>,
    line: Vec<u8>,
    line_number: usize,
    /// Line of the first row of each unit met, strays among them.
    met: HashMap<String, usize>,
    strays: Vec<String>,
    ended: bool,
}

impl<R: BufRead, W: Fn(&str) -> Wanted> Loads<R, W> {
    /// Reads the header; `wanted` says what to do with a unit.
    ///
    /// # Errors
    /// [`InputError`] if the first column is not `unit`, or there is no row.
    pub(super) fn new(place: &str, source: R, wanted: W) -> Result<Self, InputError> {
        let mut loads = Self {
            place: place.to_owned(),
            source,
            wanted,
            header: Vec::new(),
            line: Vec::new(),
            line_number: 0,
            met: HashMap::new(),
            strays: Vec::new(),
            ended: false,
        };
        loads.advance()?;
        if loads.ended {
            return Err(InputError::new(place, "an empty file", accepted_header()));
        }
        loads.header = loads.line.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&loads.line).to_vec();
        if name_of(&loads.header) != "unit" {
            let found = shown(String::from_utf8_lossy(&loads.header).trim());
            return Err(loads.refused(found, accepted_header()));
        }
        loads.advance()?;
        if loads.ended {
            return Err(InputError::new(place, "a header and no row", "at least one row"));
        }
        Ok(loads)
    }

    /// Units that were met and have no profile, and all units that were met.
    pub(super) fn met(self) -> (Vec<String>, HashMap<String, usize>) {
        (self.strays, self.met)
    }

    fn refused(&self, found: impl Into<String>, accepted: impl Into<String>) -> InputError {
        InputError::new(&self.place, found, accepted).at_line(self.line_number)
    }

    /// Goes on to the next line that is neither empty nor a comment.
    fn advance(&mut self) -> Result<(), InputError> {
        loop {
            self.line.clear();
            self.line_number += 1;
            let read = (&mut self.source).take(LONGEST_ROW).read_until(b'\n', &mut self.line);
            let read =
                read.map_err(|error| self.refused(error.to_string(), "a file that can be read"))?;
            if read == 0 {
                self.ended = true;
                return Ok(());
            }
            if read as u64 == LONGEST_ROW && !self.line.ends_with(b"\n") {
                let found = format!("more than {LONGEST_ROW} bytes without the end of a row");
                return Err(self.refused(found, "comma-separated rows"));
            }
            let bare = self.line.trim_ascii();
            if !bare.is_empty() && !bare.starts_with(b"#") {
                return Ok(());
            }
        }
    }

    /// The rows of the next unit that matters.
    fn block(&mut self) -> Result<Option<Next>, InputError> {
        while !self.ended {
            let unit = name_of(&self.line);
            if unit.is_empty() {
                return Err(self
                    .refused("an empty cell", "the name of a unit")
                    .at_key("column unit"));
            }
            let first_line = self.line_number;
            let again = self.met.get(&unit).copied();
            let wanted = (self.wanted)(&unit);
            if again.is_none() {
                self.meet(&unit, wanted)?;
            }
            let rows = self.gathered(&unit, wanted == Wanted::Yes && again.is_none())?;
            if wanted != Wanted::Yes {
                continue;
            }
            let refused = |found: String, accepted: &str| {
                let error = InputError::new(&self.place, found, accepted).at_line(first_line);
                Ok(Some(Next::Refused(unit.clone(), error)))
            };
            if let Some(line) = again {
                let found = format!("rows of {unit} again, after those from line {line} on");
                return refused(found, "the rows of one unit together");
            }
            let Some(rows) = rows else {
                let found = format!("more than {MOST_BYTES} bytes of rows of {unit}");
                return refused(found, "fewer rows of one unit");
            };
            return Ok(Some(Next::Rows(Block { unit, text: rows, first_line })));
        }
        Ok(None)
    }

    fn meet(&mut self, unit: &str, wanted: Wanted) -> Result<(), InputError> {
        self.met.insert(unit.to_owned(), self.line_number);
        if wanted != Wanted::Stray {
            return Ok(());
        }
        self.strays.push(shown(unit));
        if self.strays.len() > MOST_STRAYS {
            let found = format!("more than {MOST_STRAYS} units without a profile");
            return Err(self.refused(found, "a first column with the names of units"));
        }
        Ok(())
    }

    /// The header and every row up to the next unit; `None` if they are too many.
    fn gathered(&mut self, unit: &str, keep: bool) -> Result<Option<Vec<u8>>, InputError> {
        let mut text = if keep { self.header.clone() } else { Vec::new() };
        let mut fits = true;
        let mut begins = self.line_number;
        loop {
            // A comment among the rows still is a line.
            if keep && fits {
                text.extend(std::iter::repeat_n(b'\n', self.line_number - begins));
                text.extend_from_slice(&self.line);
                fits = text.len() <= MOST_BYTES;
            }
            begins = self.line_number + 1;
            self.advance()?;
            if self.ended || !is_of(&self.line, unit) {
                return Ok(fits.then_some(text));
            }
        }
    }
}

impl<R: BufRead, W: Fn(&str) -> Wanted> Iterator for &mut Loads<R, W> {
    type Item = Result<Next, InputError>;

    fn next(&mut self) -> Option<Self::Item> {
        let found = self.block();
        if found.is_err() {
            self.ended = true;
        }
        found.transpose()
    }
}

/// Whether a row is of this unit, in the usual spelling of names; any other is read in full.
fn is_of(line: &[u8], unit: &str) -> bool {
    match line.strip_prefix(unit.as_bytes()) {
        Some([b',', ..]) => true,
        _ => name_of(line) == unit,
    }
}

/// The first cell of a row.
fn name_of(line: &[u8]) -> String {
    let cell = line.split(|byte| *byte == b',').next().unwrap_or(line);
    String::from_utf8_lossy(cell).trim().trim_matches('"').to_owned()
}

fn accepted_header() -> &'static str {
    "a header line with unit as the first of the columns unit, time or minute, load_pu or load_mva with voltage_pu and tap if they are known, or current_pu, and if known ambient_c"
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gone_through(text: &str) -> Result<Vec<Next>, InputError> {
        let wanted = |unit: &str| if unit == "stray" { Wanted::Stray } else { Wanted::Yes };
        let mut loads = Loads::new("loads.csv", text.as_bytes(), wanted)?;
        (&mut loads).collect()
    }

    #[test]
    fn rows_of_a_unit_come_together_with_the_header_and_their_line() {
        let text = "# c\nunit,minute,load_pu\na,0,1\n# c\na,1,1\nstray,0,1\n\"b\",0,1\n";
        let found = gone_through(text).unwrap();
        let [Next::Rows(a), Next::Rows(b)] = &found[..] else { panic!("{found:?}") };
        assert_eq!((a.unit.as_str(), a.first_line), ("a", 3));
        assert_eq!(a.text, b"unit,minute,load_pu\na,0,1\n\na,1,1\n");
        assert_eq!((b.unit.as_str(), b.first_line), ("b", 7));
    }

    #[test]
    fn rows_of_a_unit_in_a_second_place_are_told() {
        let found = gone_through("unit,minute,load_pu\na,0,1\nb,0,1\na,1,1\n").unwrap();
        let [_, _, Next::Refused(unit, error)] = &found[..] else { panic!("{found:?}") };
        assert_eq!((unit.as_str(), error.line), ("a", Some(4)));
    }

    #[test]
    fn a_byte_order_mark_and_other_line_ends_do_not_matter() {
        let found = gone_through("\u{feff}unit,minute,load_pu\r\na,0,1\r\n\r\nb,0,1").unwrap();
        let [Next::Rows(a), Next::Rows(b)] = &found[..] else { panic!("{found:?}") };
        assert_eq!(
            (a.text.as_slice(), a.first_line),
            (&b"unit,minute,load_pu\r\na,0,1\r\n"[..], 2)
        );
        assert_eq!((b.unit.as_str(), b.first_line), ("b", 4));
    }

    #[test]
    fn a_file_without_rows_or_without_units_is_refused() {
        for text in ["", "unit,minute,load_pu\n", "minute,load_pu\n0,1\n", "unit,minute\n,0\n"] {
            assert!(gone_through(text).is_err(), "{text}");
        }
    }
}
