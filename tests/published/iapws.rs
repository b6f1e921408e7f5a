//! Saturation pressure of water: nine values of IAPWS-IF97, region 4.

use super::printed::{assert_within, rows};
use bubblemargin::moisture::vapour::saturation_pressure;
use bubblemargin::quantities::Celsius;
use serde::Deserialize;

/// Two formulations: the code has the auxiliary equation of Wagner and Pruß, the table the
/// industrial one of 1997. They were fitted apart and differ by up to some 0.03 %; in the range of the
/// table 0.0123 % were found. 0.02 % leaves no room for a wrong digit in a leading coefficient.
const TWO_FORMULATIONS: f64 = 2.0e-4;

#[derive(Debug, Deserialize)]
struct Row {
    temperature_k: f64,
    pressure_pa: f64,
}

#[test]
fn saturation_pressure_is_that_of_the_industrial_formulation() {
    let table: Vec<Row> = rows(include_str!("iapws/saturation_pressure.csv"));
    assert_eq!(table.len(), 9, "rows of the table");
    for row in table {
        let temperature = Celsius::new(row.temperature_k - 273.15).unwrap();
        let computed_pa = saturation_pressure(temperature).unwrap().value();
        let what = format!("saturation pressure at {} K", row.temperature_k);
        assert_within(TWO_FORMULATIONS * row.pressure_pa, computed_pa, row.pressure_pa, &what);
    }
}
