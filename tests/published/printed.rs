//! Reading printed tables with their digits kept.

use serde::Deserialize;
use serde::de::DeserializeOwned;

/// A number as printed, so that its last digit says how far it can be trusted.
#[derive(Debug, Clone, Deserialize)]
#[serde(transparent)]
pub(crate) struct Printed(String);

impl Printed {
    /// The number; `None` where the copy of the source that was read is not legible.
    pub(crate) fn value(&self) -> Option<f64> {
        self.0.parse().ok()
    }

    /// The number, which must be there.
    pub(crate) fn number(&self) -> f64 {
        self.value().unwrap_or(f64::NAN)
    }

    /// Half a unit of the last printed digit.
    pub(crate) fn half_unit(&self) -> f64 {
        let decimals = self.0.split_once('.').map_or(0, |(_, after)| after.len());
        let places = i32::try_from(decimals).unwrap_or(i32::MAX);
        0.5 * 10.0_f64.powi(-places)
    }
}

/// The rows of a table; lines that begin with `#` are comments.
pub(crate) fn rows<T: DeserializeOwned>(table: &str) -> Vec<T> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(table.as_bytes());
    let rows: Result<Vec<T>, csv::Error> = reader.deserialize().collect();
    rows.expect("the table is as copied")
}

/// One assertion; a NaN on either side fails it.
#[track_caller]
pub(crate) fn assert_within(tolerance: f64, computed: f64, printed: f64, what: &str) {
    let apart = (computed - printed).abs();
    assert!(
        apart <= tolerance,
        "{what}: computed {computed}, printed {printed}, {apart} apart, allowed {tolerance}"
    );
}

#[test]
fn the_last_printed_digit_sets_the_tolerance() {
    for (text, half) in [("0.125", 0.0005), ("17.2", 0.05), ("108", 0.5)] {
        // Powers of ten carry a rounding error of 1e-16 or so.
        assert_within(1e-12, Printed(text.to_owned()).half_unit(), half, text);
    }
    assert!(Printed("x".to_owned()).value().is_none());
}
