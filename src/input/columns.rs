//! What every CSV table has in common, read whole or row by row: named columns and a time axis.

use super::{InputError, shown};
use chrono::{DateTime, FixedOffset, Offset};

/// The header of a table: its columns by name.
#[derive(Debug, Clone)]
pub struct Header {
    place: String,
    columns: Vec<String>,
}

/// One column of a table by its position.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column(pub(super) usize);

impl Header {
    /// Takes the header line of a reader.
    ///
    /// # Errors
    /// [`InputError`]: no header, an unknown or doubled column, text that is not UTF-8 CSV.
    pub(super) fn read<R: std::io::Read>(
        place: &str,
        reader: &mut csv::Reader<R>,
        accepted: &[&str],
    ) -> Result<Self, InputError> {
        let header = reader.headers().map_err(|error| unreadable(place, &error))?;
        let columns: Vec<String> = header.iter().map(str::to_owned).collect();
        let line = line_of(header.position()).unwrap_or(1);
        check_columns(place, &columns, accepted).map_err(|refused| refused.at_line(line))?;
        Ok(Self { place: place.to_owned(), columns })
    }

    /// The column of this name, if the table has it.
    pub fn column(&self, name: &str) -> Option<Column> {
        self.columns.iter().position(|column| column == name).map(Column)
    }

    /// An error at a cell.
    pub fn refused(&self, line: usize, column: Column, found: &str, accepted: &str) -> InputError {
        let found = if found.is_empty() { "an empty cell".to_owned() } else { shown(found) };
        InputError::new(&self.place, found, accepted)
            .at_line(line)
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

    /// The time axis in the column of one of two names: plain minutes or clock times.
    ///
    /// # Errors
    /// [`InputError`]: neither or both columns.
    pub fn time_axis(&self, names: (&str, &str)) -> Result<TimeAxis, InputError> {
        let (column, clock) = match (self.column(names.0), self.column(names.1)) {
            (Some(minute), None) => (minute, false),
            (None, Some(time)) => (time, true),
            _ => {
                return Err(self.refused_whole(
                    format!("the columns {}", self.columns.join(", ")),
                    format!("either the column {} or the column {} (RFC 3339)", names.0, names.1),
                ));
            }
        };
        Ok(TimeAxis { column, clock, one_zone: true, zone: None, last_min: f64::NEG_INFINITY })
    }
}

/// The times of a table, row after row.
#[derive(Debug, Clone)]
pub struct TimeAxis {
    column: Column,
    clock: bool,
    one_zone: bool,
    zone: Option<FixedOffset>,
    last_min: f64,
}

impl TimeAxis {
    /// The column that it stands in.
    pub fn column(&self) -> Column {
        self.column
    }

    /// Whether it has clock times.
    pub fn is_clock(&self) -> bool {
        self.clock
    }

    /// The same axis for rows that each have a zone of their own, as across a clock change.
    #[must_use]
    pub fn in_any_zone(self) -> Self {
        Self { one_zone: false, ..self }
    }

    /// The time of the next row, min.
    ///
    /// # Errors
    /// [`InputError`]: a cell that is no time, a row that is not later than the one above it, two
    /// zones in one table.
    pub fn next_minute(
        &mut self,
        header: &Header,
        line: usize,
        cell: &str,
        zero: &mut Zero,
    ) -> Result<f64, InputError> {
        if !self.one_zone {
            self.zone = None;
        }
        let refused = |accepted: &str| header.refused(line, self.column, cell, accepted);
        let minute = if self.clock {
            zero.minutes_to(in_zone(cell, &mut self.zone).map_err(|accepted| refused(&accepted))?)
        } else {
            plain_minutes(cell).ok_or_else(|| refused("a number of minutes"))?
        };
        if minute < self.last_min {
            return Err(refused(
                "times in ascending order (this row is earlier than the one above it)",
            ));
        }
        if minute <= self.last_min {
            return Err(refused("each time once (the row above has the same time)"));
        }
        self.last_min = minute;
        Ok(minute)
    }
}

fn plain_minutes(cell: &str) -> Option<f64> {
    // About a century: beyond it a number of minutes is some other number.
    cell.parse::<f64>().ok().filter(|minute| minute.abs() <= 5.0e7)
}

/// A clock time in the zone of the rows before it, or what is accepted.
fn in_zone(cell: &str, zone: &mut Option<FixedOffset>) -> Result<DateTime<FixedOffset>, String> {
    let time = DateTime::parse_from_rfc3339(cell).map_err(|_unparsed| {
        "an RFC 3339 time with its zone, such as 2026-07-14T18:00:00+01:00".to_owned()
    })?;
    let offset = *zone.get_or_insert_with(|| time.offset().fix());
    if offset == *time.offset() {
        return Ok(time);
    }
    Err(format!(
        "the zone of the first row ({offset}) in every row; across a clock change keep one offset"
    ))
}

/// The instant that counts as minute 0 of clock times.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Zero(pub Option<DateTime<FixedOffset>>);

impl Zero {
    /// Minutes from zero to `time`; the first time asked becomes zero if none is set.
    pub fn minutes_to(&mut self, time: DateTime<FixedOffset>) -> f64 {
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

/// The line of a position in a file, from 1.
pub(super) fn line_of(position: Option<&csv::Position>) -> Option<usize> {
    position.map(|position| usize::try_from(position.line()).unwrap_or(0))
}

/// An error of the reader, located.
pub(super) fn unreadable(place: &str, error: &csv::Error) -> InputError {
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
    match line_of(error.position()) {
        Some(line) => refused.at_line(line),
        None => refused,
    }
}
