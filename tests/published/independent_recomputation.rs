//! Sensitivities of the inception temperature, recomputed outside this project. Not published
//! numbers: they guard against slips in our code, not against misprints in the formula.

use super::printed::{Printed, assert_within, rows};
use bubblemargin::bubbling::{Conditions, oommen_lindgren, pressure};
use bubblemargin::quantities::{GasPercent, Metres, MoisturePercent, Pascals};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Row {
    change: String,
    kelvin: Printed,
}

fn metres(height: f64) -> Metres {
    Metres::new(height).unwrap()
}

fn sea_level() -> Pascals {
    Pascals::from_mmhg(760.0).unwrap()
}

fn inception_c(water_percent: f64, pressure: Pascals) -> f64 {
    let conditions = Conditions {
        water: MoisturePercent::new(water_percent).unwrap(),
        pressure,
        gas: GasPercent::new(0.0).unwrap(),
    };
    oommen_lindgren::inception(&conditions).unwrap().value()
}

/// The change of the inception temperature, K, from 2 % at 760 mmHg without gas.
fn computed_k(change: &str) -> f64 {
    let base_c = inception_c(2.0, sea_level());
    let at = |altitude: f64, head: f64| {
        pressure::at_hot_spot(metres(altitude), metres(head), 0.0).unwrap()
    };
    match change {
        // A slope: a thousandth of a per cent each way leaves an error of 1e-6 K.
        "water" => (inception_c(2.001, sea_level()) - inception_c(1.999, sea_level())) / 0.002,
        "oil_head" => inception_c(2.0, at(0.0, 1.0)) - base_c,
        "altitude" => inception_c(2.0, at(1000.0, 0.0)) - base_c,
        // Aged paper is entered as wetter paper: W/s.
        "holding_factor" => inception_c(2.0 / 0.8, sea_level()) - base_c,
        other => panic!("no such change: {other}"),
    }
}

#[test]
fn inception_moves_with_water_pressure_and_age_as_recomputed() {
    let table: Vec<Row> = rows(include_str!("independent_recomputation/sensitivities.csv"));
    assert_eq!(table.len(), 4, "rows of the table");
    for row in table {
        let printed = row.kelvin.number();
        let tolerance = row.kelvin.half_unit();
        assert_within(tolerance, computed_k(&row.change), printed, &row.change);
    }
}
