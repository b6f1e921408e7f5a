//! Crank, The mathematics of diffusion: uptake of a plane sheet, 6 values.

use super::printed::{Printed, assert_within, rows};
use bubblemargin::moisture::diffusion::{CELLS, Diffusivity, Sheet};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Row {
    dt_over_l2: f64,
    uptake_fraction: Printed,
}

/// Farthest from the printed fraction: 0.5 % of the final uptake, far better than moisture is known.
const WITHIN: f64 = 0.005;

const DEPTH_M: f64 = 1.0e-3;
const D_M2_S: f64 = 1.0e-12;

/// Fraction of the final uptake at each printed time, with steps no longer than a share of L²/D.
fn check(first_percent: f64, surface_percent: f64, longest: f64, within: f64) {
    let table: Vec<Row> = rows(include_str!("crank_1975/plane_sheet.csv"));
    assert_eq!(table.len(), 6);
    let diffusivity = Diffusivity::constant(D_M2_S);
    let mut sheet = Sheet::new(diffusivity, DEPTH_M, CELLS, first_percent).unwrap();
    let (mut reached, mut left_percent) = (0.0, 0.0);
    for row in table {
        while reached < row.dt_over_l2 {
            let step = f64::min(longest, row.dt_over_l2 - reached);
            let seconds = step * DEPTH_M * DEPTH_M / D_M2_S;
            left_percent += sheet.advance(seconds, surface_percent, 60.0).unwrap();
            reached += step;
        }
        let uptake = left_percent / (first_percent - surface_percent);
        let what = format!("uptake at Dt/L² = {}, steps {longest}", row.dt_over_l2);
        assert_within(within, uptake, row.uptake_fraction.number(), &what);
    }
}

#[test]
fn a_sheet_takes_up_water_as_the_series_says() {
    for longest in [0.0001, 0.001, 0.01, 1.0] {
        check(1.0, 4.0, longest, WITHIN);
    }
}

#[test]
fn a_sheet_dries_as_the_series_says() {
    check(4.0, 1.0, 1.0, WITHIN);
}

/// What SOURCE.md states.
#[test]
fn the_stated_accuracy_is_kept() {
    for longest in [0.001, 1.0] {
        check(1.0, 4.0, longest, 0.0012);
    }
}
