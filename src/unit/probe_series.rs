//! A series of saturation-probe readings from CSV.

use super::evidence_file::{RsPercent, WitnessC};
use crate::input::InputError;
use crate::input::number::parse;
use crate::input::table::{Column, Table, Zero};
use crate::moisture::series::ProbePoint;
use crate::quantities::{Celsius, NotAQuantity, RelativeSaturation};
use chrono::NaiveDate;

/// More readings than this are refused: two months at one a minute.
const MOST_READINGS: usize = 100_000;

/// Readings with the columns `minute` or `time`, `rs_percent` and `oil_c`, and the day of the last
/// one where they have clock times.
///
/// # Errors
/// [`InputError`] for anything else.
pub(super) fn read_series(
    place: &str,
    text: &str,
) -> Result<(Vec<ProbePoint>, Option<NaiveDate>), InputError> {
    let table = Table::read(place, text, &["minute", "time", "rs_percent", "oil_c"])?;
    if table.len() > MOST_READINGS {
        let found = format!("{} readings", table.len());
        return Err(table.refused_whole(found, format!("at most {MOST_READINGS} readings")));
    }
    let mut zero = Zero::default();
    let (_, minutes) = table.minutes(("minute", "time"), &mut zero)?;
    let last = minutes.last().copied().unwrap_or(0.0);
    let day = zero.0.and_then(|first| {
        #[allow(clippy::cast_possible_truncation, reason = "a table's times span a few years")]
        let later = chrono::TimeDelta::try_minutes(last as i64)?;
        first.checked_add_signed(later).map(|last| last.date_naive())
    });
    let column = |name: &str| {
        let accepted = "the columns rs_percent and oil_c";
        table.column(name).ok_or_else(|| table.refused_whole(format!("no column {name}"), accepted))
    };
    let (saturation, oil) = (column("rs_percent")?, column("oil_c")?);
    let reading = |(row, minute): (usize, &f64)| {
        let rs = table.number(row, saturation, parse::<RsPercent>)?;
        let oil_c = table.number(row, oil, parse::<WitnessC>)?;
        let impossible = |column: Column| {
            let table = &table;
            move |error: NotAQuantity| {
                table.refused(row, column, table.cell(row, column), &error.to_string())
            }
        };
        Ok(ProbePoint {
            minute: *minute,
            saturation: RelativeSaturation::new(rs / 100.0).map_err(impossible(saturation))?,
            oil: Celsius::new(oil_c).map_err(impossible(oil))?,
        })
    };
    let points: Result<Vec<ProbePoint>, InputError> =
        minutes.iter().enumerate().map(reading).collect();
    Ok((points?, day))
}
