//! The ambient forecast.

use super::{AmbientC, refuse_clock_without_zero, refuse_gaps};
use crate::input::InputError;
use crate::input::number::parse;
use crate::input::table::{Column, Table, Zero};
use crate::thermal::schedule::AmbientLine;

/// How long the ambient takes from the last row of a forecast to its highest value, min.
const TO_HIGHEST_MIN: f64 = 60.0;

/// An ambient forecast from CSV with the columns `minute` or `time` and `ambient_c`.
///
/// It must cover the overload from minute 0 to `end_min`. What comes after its last row is
/// unknown, so the ambient is taken to go to the forecast's highest value and stay there.
///
/// # Errors
/// [`InputError`] for anything else, holes of more than three hours among it.
pub fn from_csv(
    place: &str,
    text: &str,
    end_min: f64,
    zero: &mut Zero,
) -> Result<AmbientLine, InputError> {
    let table = Table::read(place, text, &["minute", "time", "ambient_c"])?;
    refuse_clock_without_zero(&table, zero)?;
    let (column, minutes) = table.minutes(("minute", "time"), zero)?;
    refuse_gaps(&table, column, &minutes)?;
    refuse_part_cover(&table, column, &minutes, end_min)?;
    let Some(ambient) = table.column("ambient_c") else {
        return Err(table.refused_whole("no column ambient_c", "the column ambient_c"));
    };
    let cells: Result<Vec<f64>, InputError> =
        (0..table.len()).map(|row| table.number(row, ambient, parse::<AmbientC>)).collect();
    let mut knots: Vec<(f64, f64)> = minutes.into_iter().zip(cells?).collect();
    let highest = knots.iter().map(|knot| knot.1).fold(f64::MIN, f64::max);
    knots.extend(knots.last().map(|last| (last.0 + TO_HIGHEST_MIN, highest)));
    let unordered = || table.refused_whole("times out of order", "ascending times");
    AmbientLine::new(knots).ok_or_else(unordered)
}

fn refuse_part_cover(
    table: &Table,
    column: Column,
    minutes: &[f64],
    end_min: f64,
) -> Result<(), InputError> {
    let last = minutes.len() - 1;
    if minutes[0] > 0.0 {
        let found = format!("the first row at minute {} after the start", minutes[0]);
        let accepted = "a forecast that begins at or before the start of the overload";
        return Err(table.refused(0, column, &found, accepted));
    }
    if minutes[last] < end_min {
        let found = format!("the last row at minute {}", minutes[last]);
        let accepted = format!("a forecast up to the end of the overload, minute {end_min}");
        return Err(table.refused(last, column, &found, &accepted));
    }
    Ok(())
}
