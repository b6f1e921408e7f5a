//! Energies 2021, 14(8), 2089: breakdown voltage of oil against its water, 3 points.

use super::printed::{Printed, assert_within, rows};
use bubblemargin::moisture::solubility::Solubility;
use bubblemargin::moisture::strength::strength;
use bubblemargin::quantities::{Celsius, WaterPpm};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Row {
    ppm: Printed,
    breakdown_kv: Printed,
}

/// Relative saturation at the temperature that is assumed for the test.
fn at_20_c(ppm: f64) -> f64 {
    let (water, oil) = (WaterPpm::new(ppm).unwrap(), Celsius::new(20.0).unwrap());
    Solubility::MINERAL.relative(water, oil).unwrap().value()
}

#[test]
fn the_measured_points_are_met() {
    let table: Vec<Row> = rows(include_str!("energies_2021_14_2089/breakdown.csv"));
    assert_eq!(table.len(), 3);
    for row in table {
        let found = strength(at_20_c(row.ppm.number())).unwrap();
        let what = format!("breakdown at {} ppm", row.ppm.number());
        let printed = &row.breakdown_kv;
        assert_within(printed.half_unit(), found.breakdown_kv, printed.number(), &what);
        assert!(!found.at_most);
    }
}

#[test]
fn nothing_is_claimed_beyond_the_points() {
    assert!(strength(at_20_c(23.3)).is_none(), "drier");
    assert!(strength(at_20_c(69.2)).is_none() && strength(f64::NAN).is_none(), "wetter");
}
