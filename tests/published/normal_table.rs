//! Normal quantiles against the textbook table and against the integral of the density.

use super::printed::{Printed, assert_within, rows};
use bubblemargin::uncertainty::distribution::standard_deviate;
use serde::Deserialize;
use std::f64::consts::PI;

#[derive(Debug, Deserialize)]
struct Row {
    share: f64,
    z: Printed,
}

/// Φ(z) for z ≥ 0 by Simpson's rule in 2000 steps, error below 1e−13.
fn share_below(z: f64) -> f64 {
    let step = z / 2000.0;
    let density = |x: f64| (-0.5 * x * x).exp() / (2.0 * PI).sqrt();
    let weight = |number: u32| match number {
        0 | 2000 => 1.0,
        odd if odd % 2 == 1 => 4.0,
        _ => 2.0,
    };
    let sum: f64 =
        (0..=2000).map(|number| weight(number) * density(f64::from(number) * step)).sum();
    0.5 + sum * step / 3.0
}

#[test]
fn quantiles_are_those_of_the_table_on_both_sides() {
    let table: Vec<Row> = rows(include_str!("normal_table/quantiles.csv"));
    assert_eq!(table.len(), 8, "rows");
    for row in table {
        let z = standard_deviate(row.share);
        assert_within(row.z.half_unit(), z, row.z.number(), "upper side");
        // 1 − share carries a rounding of 1e−16, which the density 4e−4 at z = 3.7 makes 3e−13.
        assert_within(1.0e-12, standard_deviate(1.0 - row.share), -z, "lower side");
        // Simpson's error, and rounding of 2000 terms.
        assert_within(1.0e-12, share_below(z), row.share, "integral of the density");
    }
}
