//! The ambient forecast.

use super::{AmbientC, refuse_clock_without_zero, refuse_gaps};
use crate::input::InputError;
use crate::input::number::parse;
use crate::input::table::{Table, Zero};
use crate::thermal::schedule::AmbientLine;

/// An ambient forecast from CSV with the columns `minute` or `time` and `ambient_c`.
///
/// It must cover the overload from minute 0 to `end_min`; after its last row the ambient
/// stays as it is.
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
    let Some(ambient) = table.column("ambient_c") else {
        return Err(table.refused_whole("no column ambient_c", "the column ambient_c"));
    };
    let last = minutes.len() - 1;
    if minutes[0] > 0.0 {
        let found = format!("the first row at minute {} after the start", minutes[0]);
        return Err(table.refused(
            0,
            column,
            &found,
            "a forecast that begins at or before the start of the overload",
        ));
    }
    if minutes[last] < end_min {
        let found = format!("the last row at minute {}", minutes[last]);
        let accepted = format!("a forecast up to the end of the overload, minute {end_min}");
        return Err(table.refused(last, column, &found, &accepted));
    }
    let cells: Result<Vec<f64>, InputError> =
        (0..table.len()).map(|row| table.number(row, ambient, parse::<AmbientC>)).collect();
    let knots = minutes.into_iter().zip(cells?).collect();
    AmbientLine::new(knots)
        .ok_or_else(|| table.refused_whole("times out of order", "ascending times"))
}
