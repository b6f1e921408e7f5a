//! The proposed load.

use super::current::{CURRENT_COLUMN, LoadBase, LoadCells, TAP_COLUMN, VOLTAGE_COLUMN};
use super::forecast_error::{ForecastError, LoadStdPercent, rows_of};
use super::windings::{WindingsCarried, columns as columns_of};
use super::{LONGEST_OVERLOAD_MIN, currents, greatest_of_windings, with_windings};
use crate::input::InputError;
use crate::input::table::{Column, Table, Zero};
use crate::thermal::schedule::LoadSteps;

/// Column of the standard uncertainty of each row, % of its load.
pub const STD_COLUMN: &str = "load_std_percent";

/// The proposed load and when it ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Loading {
    /// Load from minute 0 on; from `end_min` on the load that follows the overload.
    pub load: LoadSteps,
    /// End of the overload, min.
    pub end_min: f64,
}

/// A proposed load that may still lack the load that follows it.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    place: String,
    steps: Vec<(f64, f64)>,
    end_min: f64,
    follows_pu: Option<f64>,
    error: Option<ForecastError>,
    windings: Option<WindingsCarried>,
}

impl Proposal {
    /// A constant load for a duration.
    ///
    /// # Errors
    /// [`InputError`] if the duration is zero, negative or longer than [`LONGEST_OVERLOAD_MIN`].
    pub fn constant(load_pu: f64, duration_min: f64) -> Result<Self, InputError> {
        if !(duration_min > 0.0 && duration_min <= LONGEST_OVERLOAD_MIN) {
            let found = format!("{duration_min} min");
            return Err(InputError::new("--for", found, duration_accepted()));
        }
        let steps = vec![(0.0, load_pu)];
        let place = "--load".to_owned();
        Ok(Self {
            place,
            steps,
            end_min: duration_min,
            follows_pu: None,
            error: None,
            windings: None,
        })
    }

    /// Loads one after the other, each for its duration: (pu, min).
    ///
    /// # Errors
    /// [`InputError`] if no load is above 0, a duration is not, or all of them are longer than
    /// [`LONGEST_OVERLOAD_MIN`].
    pub fn in_steps(steps: &[(f64, f64)]) -> Result<Self, InputError> {
        let refused = |found: String, accepted: String| InputError::new("--step", found, accepted);
        if !steps.iter().any(|(load_pu, _)| *load_pu > 0.0) {
            return Err(refused("no load above 0".to_owned(), "an overload".to_owned()));
        }
        let mut end_min = 0.0;
        let mut begun = Vec::with_capacity(steps.len());
        for &(load_pu, duration_min) in steps {
            if !(duration_min > 0.0) {
                return Err(refused(format!("{duration_min} min"), duration_accepted()));
            }
            begun.push((end_min, load_pu));
            end_min += duration_min;
        }
        if !(end_min <= LONGEST_OVERLOAD_MIN) {
            return Err(refused(format!("an overload of {end_min} min"), duration_accepted()));
        }
        let place = "--step".to_owned();
        Ok(Self { place, steps: begun, end_min, follows_pu: None, error: None, windings: None })
    }

    /// A load schedule from CSV.
    ///
    /// Columns: `minute` (from 0) or `time` (RFC 3339), `load_pu` or `load_mva` with `voltage_pu` and `tap` if they
    /// are known, or `current_pu`, or the columns of the windings of the base, and if wanted `until_minute` or `until_time`, and `load_std_percent`. A load holds until the next row. Without
    /// an `until` column the last row is the load that follows the overload; with it
    /// every row must end where the next one begins.
    ///
    /// # Errors
    /// [`InputError`] for anything else, gaps and overlaps among it.
    pub fn from_csv(
        place: &str,
        text: &str,
        base: impl Into<LoadBase>,
        zero: &mut Zero,
    ) -> Result<Self, InputError> {
        let accepted = [
            "minute",
            "time",
            "until_minute",
            "until_time",
            "load_pu",
            "load_mva",
            STD_COLUMN,
            VOLTAGE_COLUMN,
            TAP_COLUMN,
            CURRENT_COLUMN,
        ];
        let base = base.into();
        let of_windings = columns_of(base.windings());
        let table = Table::read(place, text, &with_windings(&accepted, &of_windings))?;
        let (column, minutes) = table.minutes(("minute", "time"), zero)?;
        // A shift of less than a microminute is rounding of a time stamp.
        if minutes[0].abs() > 1.0e-6 {
            let accepted = "the overload begins at minute 0, or at --start";
            return Err(table.refused(0, column, table.cell(0, column), accepted));
        }
        let cells = LoadCells::of(table.header(), base)?;
        let loads = currents(&table, &cells)?;
        let error = error(&table, &minutes)?;
        let mut steps: Vec<(f64, f64)> = minutes.iter().copied().zip(loads).collect();
        let until = ["until_minute", "until_time"].iter().find_map(|name| table.column(name));
        let (end_min, follows_pu) = match until {
            Some(until) => (end_of_rows(&table, until, &minutes, zero)?, None),
            None => (last_row_follows(&table, column, &minutes)?, steps.pop().map(|last| last.1)),
        };
        if !(end_min <= LONGEST_OVERLOAD_MIN) {
            let found = format!("an overload of {end_min} min");
            return Err(table.refused_whole(found, duration_accepted()));
        }
        if !steps.iter().any(|(_, load_pu)| *load_pu > 0.0) {
            return Err(table.refused_whole("no load above 0", "an overload"));
        }
        let windings = greatest_of_windings(&table, &cells, steps.len())?;
        Ok(Self { place: place.to_owned(), steps, end_min, follows_pu, error, windings })
    }

    /// What the windings carry at the greatest load of the overload; `None` where one load is stated for all.
    pub fn windings(&self) -> Option<&WindingsCarried> {
        self.windings.as_ref()
    }

    /// The same load, which counts for what the windings carry.
    #[must_use]
    pub fn by_windings(self, windings: WindingsCarried) -> Self {
        Self { windings: Some(windings), ..self }
    }

    /// How wrong the load may be, % of it, if the schedule says so.
    pub fn error(&self) -> Option<&ForecastError> {
        self.error.as_ref()
    }

    /// The load with what follows it: the schedule's own last row, or `after_pu` if the user
    /// states it, or the load before the overload.
    ///
    /// # Errors
    /// [`InputError`] if both the schedule and the user say what follows, or if that is above
    /// the rating: an overload without an end.
    pub fn followed_by(self, after_pu: Option<f64>, before_pu: f64) -> Result<Loading, InputError> {
        if let (Some(own), Some(after)) = (self.follows_pu, after_pu) {
            let found = format!("{after} pu, and {own} pu in the last row of {}", self.place);
            return Err(InputError::new("--after", found, "one of the two"));
        }
        let follows = self.follows_pu.or(after_pu).unwrap_or(before_pu);
        if !(follows <= 1.0) {
            let accepted = "at most 1 pu after the overload (--after, or the last row): \
                            what is above the rating belongs to the overload";
            return Err(InputError::new(&self.place, format!("{follows} pu to follow"), accepted));
        }
        let steps = [self.steps, vec![(self.end_min, follows)]].concat();
        let unordered = || InputError::new(&self.place, "times out of order", "ascending times");
        let load = LoadSteps::new(steps).ok_or_else(unordered)?;
        Ok(Loading { load, end_min: self.end_min })
    }
}

/// The schedule's own standard uncertainties, held as its loads are.
fn error(table: &Table, minutes: &[f64]) -> Result<Option<ForecastError>, InputError> {
    let Some(rows) = rows_of::<LoadStdPercent>(table, STD_COLUMN, minutes)? else {
        return Ok(None);
    };
    let unordered = || table.refused_whole("times out of order", "ascending times");
    LoadSteps::new(rows).and_then(ForecastError::in_steps).ok_or_else(unordered).map(Some)
}

fn duration_accepted() -> String {
    format!("a duration above 0 and up to {LONGEST_OVERLOAD_MIN} min (31 days)")
}

fn last_row_follows(table: &Table, column: Column, minutes: &[f64]) -> Result<f64, InputError> {
    let last = minutes.len() - 1;
    if last == 0 {
        let accepted = "at least two rows: the last one is the load that follows the overload (or an until column)";
        return Err(table.refused(0, column, "one row", accepted));
    }
    Ok(minutes[last])
}

fn end_of_rows(
    table: &Table,
    column: Column,
    minutes: &[f64],
    zero: &mut Zero,
) -> Result<f64, InputError> {
    let (_, until) = table.minutes(("until_minute", "until_time"), zero)?;
    for row in 0..minutes.len() {
        let cell = table.cell(row, column);
        // Time stamps are read to a millisecond.
        if until[row] - minutes[row] <= 1.0e-6 {
            return Err(table.refused(row, column, cell, "an end after the row's own start"));
        }
        let Some(next) = minutes.get(row + 1) else {
            break;
        };
        let hole = next - until[row];
        if hole > 1.0e-6 {
            return Err(table.refused(
                row,
                column,
                &format!("{cell}, a gap of {hole} min before the next row"),
                "the start of the next row",
            ));
        }
        if hole < -1.0e-6 {
            return Err(table.refused(
                row,
                column,
                &format!("{cell}, an overlap of {} min with the next row", -hole),
                "the start of the next row",
            ));
        }
    }
    Ok(until[minutes.len() - 1])
}
