//! The ambient forecast.

use super::forecast_error::{AmbientStdK, ForecastError, rows_of};
use super::{AmbientC, refuse_clock_without_zero, refuse_gaps};
use crate::input::InputError;
use crate::input::number::parse;
use crate::input::table::{Column, Table, Zero};
use crate::thermal::schedule::AmbientLine;

/// How long the ambient takes from the last row of a forecast to its highest value, min.
pub(super) const TO_HIGHEST_MIN: f64 = 60.0;

/// Column of the standard uncertainty of each row, K.
pub const STD_COLUMN: &str = "ambient_std_k";

/// An ambient forecast.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// Ambient.
    pub line: AmbientLine,
    /// How wrong it may be, K, if the forecast says so.
    pub error: Option<ForecastError>,
}

/// An ambient forecast from CSV with the columns `minute` or `time`, `ambient_c`, and if wanted
/// `ambient_std_k`, its standard uncertainty.
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
) -> Result<Forecast, InputError> {
    let table = Table::read(place, text, &["minute", "time", "ambient_c", STD_COLUMN])?;
    refuse_clock_without_zero(&table, zero)?;
    let (column, minutes) = table.minutes(("minute", "time"), zero)?;
    refuse_gaps(&table, column, &minutes)?;
    refuse_part_cover(&table, column, &minutes, end_min)?;
    let Some(ambient) = table.column("ambient_c") else {
        return Err(table.refused_whole("no column ambient_c", "the column ambient_c"));
    };
    let cells: Result<Vec<f64>, InputError> =
        (0..table.len()).map(|row| table.number(row, ambient, parse::<AmbientC>)).collect();
    let unordered = || table.refused_whole("times out of order", "ascending times");
    let std = rows_of::<AmbientStdK>(&table, STD_COLUMN, &minutes)?;
    let error = std
        .map(|rows| AmbientLine::new(rows).and_then(ForecastError::in_lines).ok_or_else(unordered));
    let mut knots: Vec<(f64, f64)> = minutes.into_iter().zip(cells?).collect();
    let highest = knots.iter().map(|knot| knot.1).fold(f64::MIN, f64::max);
    knots.extend(knots.last().map(|last| (last.0 + TO_HIGHEST_MIN, highest)));
    let line = AmbientLine::new(knots).ok_or_else(unordered)?;
    Ok(Forecast { line, error: error.transpose()? })
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
