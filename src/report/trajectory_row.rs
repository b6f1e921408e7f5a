//! One moment of a history as a row of CSV.

use crate::assessment::long_history::Moment;
use chrono::{DateTime, FixedOffset, SecondsFormat};
use std::fmt::Write;

/// The columns after the time.
pub const COLUMNS: &str = "load_pu,ambient_c,top_oil_c,hot_spot_c,margin_k";

/// Decimals of a load, per unit.
const LOAD: usize = 4;
/// Decimals of a temperature and of a margin: far finer than either is known.
const DEGREES: usize = 3;

/// Writes a row over the old one, with its time or else its minute.
pub fn write_row(row: &mut String, moment: &Moment, time: Option<DateTime<FixedOffset>>) {
    row.clear();
    // Writing to a string cannot fail.
    let _ = match time {
        Some(time) => write!(row, "{}", time.to_rfc3339_opts(SecondsFormat::AutoSi, true)),
        None => write!(row, "{}", moment.minute),
    };
    let _ = write!(
        row,
        ",{:.LOAD$},{:.DEGREES$},{:.DEGREES$},{:.DEGREES$},",
        moment.load_pu, moment.ambient_c, moment.top_oil_c, moment.hot_spot_c,
    );
    if let Some(margin_k) = moment.margin_k {
        let _ = write!(row, "{margin_k:.DEGREES$}");
    }
    row.push('\n');
}
