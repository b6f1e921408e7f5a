//! Demand and ambient of the months ahead, by the clock, for plans.

use super::ambient::{STD_COLUMN as AMBIENT_STD, TO_HIGHEST_MIN};
use super::current::{VOLTAGE_COLUMN, VoltagePu};
use super::forecast_error::{AmbientStdK, ForecastError, LoadStdPercent, rows_of};
use super::load::STD_COLUMN as LOAD_STD;
use super::{AmbientC, LoadMva, refuse_gaps};
use crate::input::InputError;
use crate::input::number::Range;
use crate::input::table::{Column, Table, Zero};
use crate::thermal::schedule::{AmbientLine, LoadSteps};
use chrono::{DateTime, FixedOffset, TimeDelta, Timelike};

/// Longest file, min: two years, one of them a leap year. Our choice; nobody forecasts beyond it.
pub const LONGEST_MIN: f64 = 731.0 * 1440.0;

/// The first or the last row of a file.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// Its minute.
    pub minute: f64,
    /// File, line and time, for errors.
    pub words: String,
}

/// What a file covers.
#[derive(Debug, Clone, PartialEq)]
pub struct Cover {
    /// First row.
    pub from: Edge,
    /// Last row; what comes after it is unknown.
    pub until: Edge,
}

/// Demand of a substation or a feeder.
#[derive(Debug, Clone, PartialEq)]
pub struct Demand {
    /// MVA over the voltage of its row, pu, where the file states it; a row holds until the next one.
    pub mva: LoadSteps,
    /// Lowest and highest voltage of the file, pu of the rated one, if it states them.
    pub voltage_pu: Option<(f64, f64)>,
    /// How wrong each row may be, % of it, if the file says so.
    pub std_percent: Option<LoadSteps>,
    /// What the file covers.
    pub cover: Cover,
}

/// Ambient of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedAmbient {
    /// Minute 0: the first row, or the next full hour of its zone if it is none itself.
    pub begins: DateTime<FixedOffset>,
    /// Ambient; after the last row it goes to the highest of all rows.
    pub line: AmbientLine,
    /// How wrong it may be, K, if the file says so.
    pub error: Option<ForecastError>,
    /// What the file covers.
    pub cover: Cover,
}

impl Demand {
    /// Demand from CSV with the columns `time`, `load_mva`, and if wanted `voltage_pu` (of the windings without taps of
    /// the units that carry it) and `load_std_percent`.
    ///
    /// # Errors
    /// [`InputError`] for anything else: a voltage outside its range, holes of more than three hours, more than [`LONGEST_MIN`].
    pub fn from_csv(
        place: &str,
        text: &str,
        begins: DateTime<FixedOffset>,
    ) -> Result<Self, InputError> {
        let table = Table::read(place, text, &["time", "load_mva", VOLTAGE_COLUMN, LOAD_STD])?;
        let (column, minutes) = table.clock_minutes(&mut Zero(Some(begins)))?;
        check_span(&table, column, &minutes)?;
        let mut mva = column_of::<LoadMva>(&table, "load_mva", &minutes)?;
        let voltages = rows_of::<VoltagePu>(&table, VOLTAGE_COLUMN, &minutes)?;
        for (row, voltage) in mva.iter_mut().zip(voltages.iter().flatten()) {
            row.1 /= voltage.1;
        }
        let std = rows_of::<LoadStdPercent>(&table, LOAD_STD, &minutes)?;
        let unordered = || table.refused_whole("times out of order", "ascending times");
        let steps = |rows: Vec<(f64, f64)>| LoadSteps::new(rows).ok_or_else(unordered);
        Ok(Self {
            cover: cover(place, &table, column, &minutes),
            mva: steps(mva)?,
            voltage_pu: voltages.map(|rows| ends(&rows)),
            std_percent: std.map(steps).transpose()?,
        })
    }
}

impl PlannedAmbient {
    /// Ambient from CSV with the columns `time`, `ambient_c`, and if wanted `ambient_std_k`.
    ///
    /// # Errors
    /// [`InputError`] for anything else: holes of more than three hours, more than [`LONGEST_MIN`].
    pub fn from_csv(place: &str, text: &str) -> Result<Self, InputError> {
        let table = Table::read(place, text, &["time", "ambient_c", AMBIENT_STD])?;
        let mut first = Zero::default();
        let (column, from_first) = table.clock_minutes(&mut first)?;
        check_span(&table, column, &from_first)?;
        let refused = || table.refused(0, column, table.cell(0, column), "a time of our age");
        let begins = first.0.and_then(next_full_hour).ok_or_else(refused)?;
        let (_, minutes) = table.clock_minutes(&mut Zero(Some(begins)))?;
        let mut knots = column_of::<AmbientC>(&table, "ambient_c", &minutes)?;
        let highest = knots.iter().map(|knot| knot.1).fold(f64::MIN, f64::max);
        knots.extend(knots.last().map(|last| (last.0 + TO_HIGHEST_MIN, highest)));
        let unordered = || table.refused_whole("times out of order", "ascending times");
        let error = |rows: Vec<(f64, f64)>| {
            AmbientLine::new(rows).and_then(ForecastError::in_lines).ok_or_else(unordered)
        };
        let std = rows_of::<AmbientStdK>(&table, AMBIENT_STD, &minutes)?;
        Ok(Self {
            begins,
            line: AmbientLine::new(knots).ok_or_else(unordered)?,
            error: std.map(error).transpose()?,
            cover: cover(place, &table, column, &minutes),
        })
    }
}

/// The lowest and the highest of some rows.
fn ends(rows: &[(f64, f64)]) -> (f64, f64) {
    let start = (f64::INFINITY, f64::NEG_INFINITY);
    rows.iter().fold(start, |(low, high), row| (low.min(row.1), high.max(row.1)))
}

fn column_of<R: Range>(
    table: &Table,
    name: &str,
    minutes: &[f64],
) -> Result<Vec<(f64, f64)>, InputError> {
    let lacking = || table.refused_whole(format!("no column {name}"), format!("the column {name}"));
    rows_of::<R>(table, name, minutes)?.ok_or_else(lacking)
}

fn check_span(table: &Table, column: Column, minutes: &[f64]) -> Result<(), InputError> {
    refuse_gaps(table, column, minutes)?;
    let last = minutes.len() - 1;
    if minutes[last] - minutes[0] <= LONGEST_MIN {
        return Ok(());
    }
    let found = format!("{}, more than two years after the first row", table.cell(last, column));
    Err(table.refused(last, column, &found, "rows of two years at most"))
}

fn cover(place: &str, table: &Table, column: Column, minutes: &[f64]) -> Cover {
    let edge = |row: usize| {
        let (line, time) = (table.line(row), table.cell(row, column));
        Edge { minute: minutes[row], words: format!("{place}, line {line}, {time}") }
    };
    Cover { from: edge(0), until: edge(minutes.len() - 1) }
}

/// This instant if it is a full hour of its zone, else the next one; `None` beyond the calendar.
fn next_full_hour(time: DateTime<FixedOffset>) -> Option<DateTime<FixedOffset>> {
    let (minute, second) = (i64::from(time.minute()), i64::from(time.second()));
    let into = TimeDelta::seconds(60 * minute + second)
        + TimeDelta::nanoseconds(i64::from(time.nanosecond()));
    let hour = TimeDelta::hours(1);
    if into.is_zero() { Some(time) } else { time.checked_add_signed(hour - into) }
}
