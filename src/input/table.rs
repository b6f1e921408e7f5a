//! CSV tables with named columns and a time axis.

use super::{InputError, shown};
use chrono::{DateTime, FixedOffset, Offset};

/// More rows than this are refused: a year at one-minute steps and half as much again.
pub const MOST_ROWS: usize = 800_000;

/// A CSV table, still as text, with the line of each row.
#[derive(Debug)]
pub struct Table {
    place: String,
    columns: Vec<String>,
    rows: Vec<(usize, Vec<String>)>,
}

/// One column of a table by its position.
#[derive(Debug, Clone, Copy)]
pub struct Column(usize);

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
        let header = reader.headers().map_err(|error| unreadable(place, &error))?;
        let columns: Vec<String> = header.iter().map(str::to_owned).collect();
        let line = header.position().map_or(1, |at| usize::try_from(at.line()).unwrap_or(1));
        check_columns(place, &columns, accepted).map_err(|refused| refused.at_line(line))?;
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|error| unreadable(place, &error))?;
            let line = record.position().map_or(0, |p| usize::try_from(p.line()).unwrap_or(0));
            if rows.len() == MOST_ROWS {
                let found = format!("more than {MOST_ROWS} rows");
                return Err(InputError::new(place, found, format!("at most {MOST_ROWS} rows"))
                    .at_line(line));
            }
            rows.push((line, record.iter().map(str::to_owned).collect()));
        }
        if rows.is_empty() {
            return Err(InputError::new(place, "no rows", "a header line and at least one row"));
        }
        Ok(Self { place: place.to_owned(), columns, rows })
    }

    /// The column of this name, if the table has it.
    pub fn column(&self, name: &str) -> Option<Column> {
        self.columns.iter().position(|column| column == name).map(Column)
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

    /// An error at a cell.
    pub fn refused(&self, row: usize, column: Column, found: &str, accepted: &str) -> InputError {
        let found = if found.is_empty() { "an empty cell".to_owned() } else { shown(found) };
        InputError::new(&self.place, found, accepted)
            .at_line(self.rows[row].0)
            .at_key(format!("column {}", self.columns[column.0]))
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
        match (self.column(names.0), self.column(names.1)) {
            (Some(minute), None) => self.ascending(minute, self.plain_minutes(minute)?),
            (None, Some(time)) => self.ascending(time, self.clock_minutes(time, zero)?),
            _ => Err(self.refused_whole(
                format!("the columns {}", self.columns.join(", ")),
                format!("either the column {} or the column {} (RFC 3339)", names.0, names.1),
            )),
        }
    }

    fn plain_minutes(&self, column: Column) -> Result<Vec<f64>, InputError> {
        let parse = |cell: &str| match cell.parse::<f64>() {
            // About a century: beyond it a number of minutes is some other number.
            Ok(minute) if minute.abs() <= 5.0e7 => Ok(minute),
            _ => Err("a number of minutes".to_owned()),
        };
        (0..self.len()).map(|row| self.number(row, column, parse)).collect()
    }

    fn clock_minutes(&self, column: Column, zero: &mut Zero) -> Result<Vec<f64>, InputError> {
        let mut zone = None;
        let mut minutes = Vec::with_capacity(self.len());
        for row in 0..self.len() {
            let cell = self.cell(row, column);
            let time = DateTime::parse_from_rfc3339(cell).map_err(|_unparsed| {
                self.refused(
                    row,
                    column,
                    cell,
                    "an RFC 3339 time with its zone, such as 2026-07-14T18:00:00+01:00",
                )
            })?;
            let offset = *zone.get_or_insert_with(|| time.offset().fix());
            if offset != *time.offset() {
                let accepted = format!(
                    "the zone of the first row ({offset}) in every row; across a clock change keep one offset"
                );
                return Err(self.refused(row, column, cell, &accepted));
            }
            minutes.push(zero.minutes_to(time));
        }
        Ok(minutes)
    }

    fn ascending(
        &self,
        column: Column,
        minutes: Vec<f64>,
    ) -> Result<(Column, Vec<f64>), InputError> {
        for (index, pair) in minutes.windows(2).enumerate() {
            let cell = self.cell(index + 1, column);
            if pair[1] < pair[0] {
                return Err(self.refused(
                    index + 1,
                    column,
                    cell,
                    "times in ascending order (this row is earlier than the one above it)",
                ));
            }
            if pair[1] <= pair[0] {
                return Err(self.refused(
                    index + 1,
                    column,
                    cell,
                    "each time once (the row above has the same time)",
                ));
            }
        }
        Ok((column, minutes))
    }
}

/// The instant that counts as minute 0 of clock times.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Zero(pub Option<DateTime<FixedOffset>>);

impl Zero {
    /// Minutes from zero to `time`; the first time asked becomes zero if none is set.
    fn minutes_to(&mut self, time: DateTime<FixedOffset>) -> f64 {
        let zero = *self.0.get_or_insert(time);
        let milliseconds = time.signed_duration_since(zero).num_milliseconds();
        #[allow(clippy::cast_precision_loss, reason = "exact below 2^53 ms, 285 000 years")]
        let milliseconds = milliseconds as f64;
        milliseconds / 60_000.0
    }
}

fn check_columns(place: &str, columns: &[String], accepted: &[&str]) -> Result<(), InputError> {
    let list = accepted.join(", ");
    for (index, column) in columns.iter().enumerate() {
        if !accepted.contains(&column.as_str()) {
            let found = format!("the column \"{}\"", shown(column));
            return Err(InputError::new(
                place,
                found,
                format!("a header line with columns out of {list}"),
            )
            .at_line(1));
        }
        if columns[..index].contains(column) {
            return Err(InputError::new(
                place,
                format!("the column {column} twice"),
                "each column once",
            )
            .at_line(1));
        }
    }
    if columns.is_empty() {
        return Err(InputError::new(
            place,
            "an empty file",
            format!("a header line with columns out of {list}"),
        ));
    }
    Ok(())
}

fn unreadable(place: &str, error: &csv::Error) -> InputError {
    let line = error.position().map(|p| usize::try_from(p.line()).unwrap_or(0));
    #[allow(
        clippy::wildcard_enum_match_arm,
        reason = "the reader's other errors explain themselves"
    )]
    let found = match error.kind() {
        csv::ErrorKind::UnequalLengths { expected_len, len, .. } => {
            format!("{len} cells where the header has {expected_len}")
        }
        _ => shown(&error.to_string()),
    };
    let refused =
        InputError::new(place, found, "comma-separated rows as long as the header, in UTF-8");
    match line {
        Some(line) => refused.at_line(line),
        None => refused,
    }
}
