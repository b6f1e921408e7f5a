//! A series of saturation-probe readings from CSV.

use super::evidence_file::{RsPercent, WitnessC};
use crate::input::InputError;
use crate::input::number::parse;
use crate::input::table::{Column, Table, Zero};
use crate::moisture::series::ProbePoint;
use crate::quantities::{Celsius, NotAQuantity, RelativeSaturation};

/// Readings with the columns `minute` or `time`, `rs_percent` and `oil_c`.
///
/// # Errors
/// [`InputError`] for anything else.
pub(super) fn read_series(place: &str, text: &str) -> Result<Vec<ProbePoint>, InputError> {
    let table = Table::read(place, text, &["minute", "time", "rs_percent", "oil_c"])?;
    let (_, minutes) = table.minutes(("minute", "time"), &mut Zero::default())?;
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
    minutes.iter().enumerate().map(reading).collect()
}
