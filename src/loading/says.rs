//! What a table of loads says of its voltage and its windings, asked once it was read and accepted.

use super::current::{CURRENT_COLUMN, VOLTAGE_COLUMN};

/// What a table of loads says of its voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Says {
    /// Its loads are currents.
    Current,
    /// The lowest voltage of its rows, pu.
    Voltage(f64),
}

fn reader(text: &str) -> csv::Reader<&[u8]> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut builder = csv::ReaderBuilder::new();
    builder.comment(Some(b'#')).trim(csv::Trim::All).from_reader(text.as_bytes())
}

/// The columns of a table, which was read and accepted before.
pub fn columns_in(text: &str) -> Vec<String> {
    let mut reader = reader(text);
    reader
        .headers()
        .map_or_else(|_| Vec::new(), |header| header.iter().map(str::to_owned).collect())
}

/// What a table of loads says of its voltage, if anything; the table was read and accepted before.
pub fn says(text: &str) -> Option<Says> {
    let mut reader = reader(text);
    let header = reader.headers().ok()?.clone();
    if header.iter().any(|column| column == CURRENT_COLUMN) {
        return Some(Says::Current);
    }
    let column = header.iter().position(|column| column == VOLTAGE_COLUMN)?;
    let cell = |row: csv::StringRecord| row.get(column)?.parse::<f64>().ok();
    let rows = reader.records().filter_map(Result::ok).filter_map(cell);
    rows.reduce(f64::min).map(Says::Voltage)
}
