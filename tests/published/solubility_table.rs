//! Water that mineral oil can dissolve: a printed trade table, eleven values.

use super::printed::{assert_within, rows};
use bubblemargin::moisture::solubility::Solubility;
use bubblemargin::quantities::Celsius;
use serde::Deserialize;

/// From here on the table prints enough digits to be held to [`WARM`], °C.
const WARM_FROM_C: f64 = 20.0;

/// Two constants stand for eleven rows, so that half a printed digit cannot be asked of the hot rows:
/// 1.4 ppm at 100 °C is 0.2 %. T = 273.15 + t in place of 273 + t would be 0.5 % off and fail.
const WARM: f64 = 0.003;

/// The cold rows have two digits: half a unit is 2.3 % at 0 °C and 1.4 % at 10 °C. What an independent
/// recomputation reached there is narrower than the first, and is asked for.
const COLD: f64 = 0.017;

#[derive(Debug, Deserialize)]
struct Row {
    oil_c: f64,
    saturation_ppm: f64,
}

#[test]
fn the_solubility_of_mineral_oil_is_that_of_the_printed_table() {
    let table: Vec<Row> = rows(include_str!("solubility_table/water_in_oil_solubility.csv"));
    assert_eq!(table.len(), 11, "rows of the table");
    for row in table {
        let oil = Celsius::new(row.oil_c).unwrap();
        let computed_ppm = Solubility::MINERAL.saturation(oil).unwrap().value();
        let relative = if row.oil_c >= WARM_FROM_C { WARM } else { COLD };
        let what = format!("solubility at {} °C", row.oil_c);
        assert_within(relative * row.saturation_ppm, computed_ppm, row.saturation_ppm, &what);
    }
}
