//! CSV tables read whole.

use super::InputError;
pub use super::columns::{Column, Zero};
use super::columns::{Header, TimeAxis, line_of, unreadable};

/// More rows than this are refused: a year at one-minute steps and half as much again.
pub const MOST_ROWS: usize = 800_000;

/// A CSV table, still as text, with the line of each row.
#[derive(Debug)]
pub struct Table {
    place: String,
    header: Header,
    rows: Vec<(usize, Vec<String>)>,
}

impl Table {
    /// Reads a table; lines that begin with `#` are comments.
    ///
    /// # Errors
    /// [`InputError`]: no header, no row, an unknown or doubled column, rows of unequal
    /// length, more than [`MOST_ROWS`] rows, text that is not UTF-8 CSV.
    pub fn read(place: &str, text: &str, accepted: &[&str]) -> Result<Self, InputError> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let mut reader = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let header = Header::read(place, &mut reader, accepted)?;
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|error| unreadable(place, &error))?;
            let line = line_of(record.position()).unwrap_or(0);
            if rows.len() == MOST_ROWS {
                let found = format!("more than {MOST_ROWS} rows");
                return Err(InputError::new(place, found, format!("at most {MOST_ROWS} rows"))
                    .at_line(line));
            }
            rows.push((line, record.iter().map(str::to_owned).collect()));
        }
        if rows.is_empty() {
            return Err(no_rows(place));
        }
        Ok(Self { place: place.to_owned(), header, rows })
    }

    /// The header.
    pub fn header(&self) -> &Header {
        &self.header
    }

    /// The column of this name, if the table has it.
    pub fn column(&self, name: &str) -> Option<Column> {
        self.header.column(name)
    }

    /// Number of rows.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether there is no row; [`Self::read`] refuses that.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The cell of a row; rows are all as long as the header.
    pub fn cell(&self, row: usize, column: Column) -> &str {
        &self.rows[row].1[column.0]
    }

    /// The line of a row in the file, from 1.
    pub fn line(&self, row: usize) -> usize {
        self.rows[row].0
    }

    /// An error at a cell.
    pub fn refused(&self, row: usize, column: Column, found: &str, accepted: &str) -> InputError {
        self.header.refused(self.rows[row].0, column, found, accepted)
    }

    /// An error about the whole table.
    pub fn refused_whole(
        &self,
        found: impl Into<String>,
        accepted: impl Into<String>,
    ) -> InputError {
        InputError::new(&self.place, found, accepted)
    }

    /// A number in a cell, read by `parse`, which says what is accepted.
    ///
    /// # Errors
    /// [`InputError`] at the cell.
    pub fn number(
        &self,
        row: usize,
        column: Column,
        parse: impl Fn(&str) -> Result<f64, String>,
    ) -> Result<f64, InputError> {
        let cell = self.cell(row, column);
        parse(cell).map_err(|accepted| self.refused(row, column, cell, &accepted))
    }

    /// The time of every row in minutes, ascending, from `minute` or RFC 3339 `time`.
    ///
    /// # Errors
    /// [`InputError`]: neither or both columns, a cell that is no time, rows out of order,
    /// two rows at one time, two zones in one table, times without a zero.
    pub fn minutes(
        &self,
        names: (&str, &str),
        zero: &mut Zero,
    ) -> Result<(Column, Vec<f64>), InputError> {
        self.times(self.header.time_axis(names)?, zero)
    }

    /// The clock time of every row in minutes, ascending, from RFC 3339 `time`; the zone may change
    /// from row to row.
    ///
    /// # Errors
    /// [`InputError`]: no such column, a cell that is no time, rows out of order, two rows at one time.
    pub fn clock_minutes(&self, zero: &mut Zero) -> Result<(Column, Vec<f64>), InputError> {
        let accepted = "the column time, RFC 3339 with its zone";
        if self.column("time").is_none() {
            return Err(self.refused_whole("no column time", accepted));
        }
        self.times(self.header.time_axis(("", "time"))?.in_any_zone(), zero)
    }

    fn times(&self, mut axis: TimeAxis, zero: &mut Zero) -> Result<(Column, Vec<f64>), InputError> {
        let column = axis.column();
        let minute = |(line, cells): &(usize, Vec<String>)| {
            axis.next_minute(&self.header, *line, &cells[column.0], zero)
        };
        let minutes: Result<Vec<f64>, InputError> = self.rows.iter().map(minute).collect();
        Ok((column, minutes?))
    }
}

/// The error of a table with nothing under its header.
pub(super) fn no_rows(place: &str) -> InputError {
    InputError::new(place, "no rows", "a header line and at least one row")
}
