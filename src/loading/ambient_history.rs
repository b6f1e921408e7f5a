//! An ambient history of any length, row by row, each row on its day by the clock of the place.

use super::AmbientC;
use crate::input::InputError;
use crate::input::columns::Column;
use crate::input::number::parse;
use crate::input::rows::Rows;
use chrono::{DateTime, FixedOffset, NaiveDateTime, TimeDelta};
use std::io::Read;

/// Longest history, days: a century. What is kept of it grows with its days.
pub const LONGEST_DAYS: i64 = 36_525;

/// One row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AmbientRow {
    /// Time by the clock of the place, as written.
    pub local: NaiveDateTime,
    /// Time since the row before; `None` for the first one.
    pub since_last: Option<TimeDelta>,
    /// Ambient, °C.
    pub ambient_c: f64,
}

/// An ambient history from CSV with the columns `time` (RFC 3339) and `ambient_c`. One row is held at a time.
///
/// The zone may change from row to row, as at a clock change.
#[derive(Debug)]
pub struct AmbientHistory<R> {
    rows: Rows<R>,
    time: Column,
    ambient: Column,
    first: Option<DateTime<FixedOffset>>,
    last: Option<DateTime<FixedOffset>>,
}

impl<R: Read> AmbientHistory<R> {
    /// Reads the header.
    ///
    /// # Errors
    /// [`InputError`] for a header that is not such a history's.
    pub fn new(place: &str, source: R) -> Result<Self, InputError> {
        let rows = Rows::new(place, source, &["time", "ambient_c"])?;
        let column = |name: &str| {
            let lacking = || {
                rows.header().refused_whole(
                    format!("no column {name}"),
                    "the columns time (RFC 3339) and ambient_c",
                )
            };
            rows.header().column(name).ok_or_else(lacking)
        };
        let (time, ambient) = (column("time")?, column("ambient_c")?);
        Ok(Self { rows, time, ambient, first: None, last: None })
    }

    /// The next row; `None` after the last one.
    ///
    /// # Errors
    /// [`InputError`] at the cell that is refused: no time with its zone, a row that is not later than the one
    /// above it or on an earlier day, one more than [`LONGEST_DAYS`] after the first, an ambient out of its range.
    pub fn next_row(&mut self) -> Result<Option<AmbientRow>, InputError> {
        if !self.rows.advance()? {
            return Ok(None);
        }
        let (rows, cell) = (&self.rows, self.rows.cell(self.time));
        let refused = |accepted: &str| rows.refused(self.time, cell, accepted);
        let time = DateTime::parse_from_rfc3339(cell).map_err(|_unparsed| {
            refused("an RFC 3339 time with its zone, such as 2026-07-14T18:00:00+01:00")
        })?;
        if self.last.is_some_and(|last| time <= last || time.date_naive() < last.date_naive()) {
            return Err(refused("times in ascending order, each once"));
        }
        let first = *self.first.get_or_insert(time);
        if time.signed_duration_since(first).num_days() > LONGEST_DAYS {
            return Err(refused("rows within a hundred years of the first one"));
        }
        let ambient_c = rows.number(self.ambient, parse::<AmbientC>)?;
        let since_last = self.last.map(|last| time.signed_duration_since(last));
        self.last = Some(time);
        Ok(Some(AmbientRow { local: time.naive_local(), since_last, ambient_c }))
    }
}
