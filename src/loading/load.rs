//! The proposed load.

use super::{LONGEST_OVERLOAD_MIN, loads};
use crate::input::InputError;
use crate::input::table::{Column, Table, Zero};
use crate::thermal::schedule::LoadSteps;

/// The proposed load and when it ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Loading {
    /// Load from minute 0 on; from `end_min` on the load that follows the overload.
    pub load: LoadSteps,
    /// End of the overload, min.
    pub end_min: f64,
}

impl Loading {
    /// A constant load for a duration, then the load to drop back to.
    ///
    /// # Errors
    /// [`InputError`] if the duration is zero, negative or longer than [`LONGEST_OVERLOAD_MIN`].
    pub fn constant(
        load_pu: f64,
        duration_min: f64,
        drop_back_pu: f64,
    ) -> Result<Self, InputError> {
        let steps = vec![(0.0, load_pu), (duration_min, drop_back_pu)];
        let load = LoadSteps::new(steps).filter(|_| duration_min > 0.0);
        let refused =
            || InputError::new("--for", format!("{duration_min} min"), duration_accepted());
        if !(duration_min <= LONGEST_OVERLOAD_MIN) {
            return Err(refused());
        }
        let load = load.ok_or_else(refused)?;
        Ok(Self { load, end_min: duration_min })
    }

    /// A load schedule from CSV.
    ///
    /// Columns: `minute` (from 0) or `time` (RFC 3339), `load_pu` or `load_mva`, and if
    /// wanted `until_minute` or `until_time`. A load holds until the next row. Without
    /// an `until` column the last row is the load that follows the overload; with it,
    /// `drop_back_pu` follows, and every row must end where the next one begins.
    ///
    /// # Errors
    /// [`InputError`] for anything else, gaps and overlaps among it.
    pub fn from_csv(
        place: &str,
        text: &str,
        rated_mva: f64,
        drop_back_pu: Option<f64>,
        zero: &mut Zero,
    ) -> Result<Self, InputError> {
        let accepted = ["minute", "time", "until_minute", "until_time", "load_pu", "load_mva"];
        let table = Table::read(place, text, &accepted)?;
        let (column, minutes) = table.minutes(("minute", "time"), zero)?;
        // A shift of less than a microminute is rounding of a time stamp.
        if minutes[0].abs() > 1.0e-6 {
            return Err(table.refused(
                0,
                column,
                table.cell(0, column),
                "the overload begins at minute 0, or at --start",
            ));
        }
        let (_, loads) = loads(&table, rated_mva)?;
        let mut steps: Vec<(f64, f64)> = minutes.iter().copied().zip(loads).collect();
        let until = ["until_minute", "until_time"].iter().find_map(|name| table.column(name));
        let end_min = match until {
            Some(until) => {
                let end = end_of_rows(&table, until, &minutes, zero)?;
                let Some(drop_back) = drop_back_pu else {
                    return Err(table.refused_whole(
                        "a schedule without the load that follows it",
                        "--after or --preload beside an until column",
                    ));
                };
                steps.push((end, drop_back));
                end
            }
            None => last_row_follows(&table, column, &minutes)?,
        };
        if !(end_min <= LONGEST_OVERLOAD_MIN) {
            return Err(
                table.refused_whole(format!("an overload of {end_min} min"), duration_accepted())
            );
        }
        let load = LoadSteps::new(steps)
            .ok_or_else(|| table.refused_whole("times out of order", "ascending times"))?;
        Ok(Self { load, end_min })
    }
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
