//! Sensitivities of the inception temperature and hand values of the isotherm, recomputed outside
//! this project. Not published numbers: they guard against slips in our code, not against misprints in the formula.

use super::printed::{Printed, assert_within, rows};
use bubblemargin::bubbling::{Conditions, fessler, oommen_lindgren, pressure};
use bubblemargin::moisture::conversion::from_ppm;
use bubblemargin::moisture::isotherm::vapour_over;
use bubblemargin::moisture::solubility::Solubility;
use bubblemargin::moisture::vapour::saturation_pressure;
use bubblemargin::quantities::{Celsius, GasPercent, Metres, MoisturePercent, Pascals, WaterPpm};
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

#[derive(Debug, Deserialize)]
struct OilRow {
    ppm: f64,
    oil_c: f64,
    percent: Printed,
}

fn celsius(temperature_c: f64) -> Celsius {
    Celsius::new(temperature_c).unwrap()
}

#[test]
fn water_in_oil_reads_as_recomputed_and_as_unsurely() {
    let table: Vec<OilRow> = rows(include_str!("independent_recomputation/water_in_oil.csv"));
    assert_eq!(table.len(), 3, "rows of the table");
    for row in table {
        let water = WaterPpm::new(row.ppm).unwrap();
        let found = from_ppm(water, celsius(row.oil_c), Solubility::MINERAL).unwrap();
        let what = format!("{} ppm at {} °C", row.ppm, row.oil_c);
        assert_within(row.percent.half_unit(), found.value(), row.percent.number(), &what);
    }
}

/// Hot paper is drier than cool paper in the same oil.
#[test]
fn three_per_cent_at_50_c_are_about_1_3_at_75_c_in_the_same_oil() {
    let (cool, hot) = (celsius(50.0), celsius(75.0));
    let bulk = MoisturePercent::new(3.0).unwrap();
    let saturation =
        vapour_over(bulk, cool).unwrap().value() / saturation_pressure(cool).unwrap().value();
    let ppm = saturation * Solubility::MINERAL.saturation(cool).unwrap().value();
    let at_hot = from_ppm(WaterPpm::new(ppm).unwrap(), hot, Solubility::MINERAL).unwrap().value();
    // Half a unit of the last digit of 1.3.
    assert_within(0.05, at_hot, 1.3, "water at 75 °C");
    let gained_k = isotherm_inception_c(at_hot) - isotherm_inception_c(3.0);
    // "Some 30 K": to the next ten.
    assert_within(5.0, gained_k, 30.0, "inception temperature gained");
}

fn isotherm_inception_c(water_percent: f64) -> f64 {
    let conditions = Conditions {
        water: MoisturePercent::new(water_percent).unwrap(),
        pressure: sea_level(),
        gas: GasPercent::new(0.0).unwrap(),
    };
    fessler::inception(&conditions).unwrap().value()
}
