//! Energies 2021, 14(8), 2089: breakdown voltage of oil against its water, 3 points.

use super::printed::{Printed, assert_within, rows};
use bubblemargin::moisture::strength::strength;
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Row {
    ppm: Printed,
    breakdown_kv: Printed,
}

#[test]
fn the_measured_points_are_met() {
    let table: Vec<Row> = rows(include_str!("energies_2021_14_2089/breakdown.csv"));
    assert_eq!(table.len(), 3);
    for row in table {
        let found = strength(row.ppm.number()).unwrap();
        let what = format!("breakdown at {} ppm", row.ppm.number());
        let printed = &row.breakdown_kv;
        assert_within(printed.half_unit(), found.breakdown_kv, printed.number(), &what);
        assert!(!found.at_most);
    }
}

#[test]
fn nothing_is_claimed_beyond_the_points() {
    assert!(strength(23.3).is_none());
    let wetter = strength(200.0).unwrap();
    assert!(wetter.at_most && (wetter.breakdown_kv - 18.4).abs() < 0.05);
}
