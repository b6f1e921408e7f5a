//! Random-effects combination after `DerSimonian` and Laird: thirteen BCG vaccine trials.

use super::printed::{Printed, assert_within, rows};
use bubblemargin::moisture::reconcile::{Combined, combined};
use serde::Deserialize;

/// One trial, a 2 × 2 table.
#[derive(Debug, Deserialize)]
struct Trial {
    treated_cases: f64,
    treated_free: f64,
    control_cases: f64,
    control_free: f64,
}

impl Trial {
    /// Log risk ratio and its standard error.
    fn log_risk_ratio(&self) -> (f64, f64) {
        let treated = self.treated_cases + self.treated_free;
        let control = self.control_cases + self.control_free;
        let ratio = (self.treated_cases / treated) / (self.control_cases / control);
        let variance =
            1.0 / self.treated_cases - 1.0 / treated + 1.0 / self.control_cases - 1.0 / control;
        (ratio.ln(), variance.sqrt())
    }
}

#[derive(Debug, Deserialize)]
struct Row {
    quantity: String,
    value: Printed,
}

fn trials() -> Vec<(f64, f64)> {
    let trials: Vec<Trial> = rows(include_str!("dersimonian_laird_1986/bcg_trials.csv"));
    assert_eq!(trials.len(), 13, "trials");
    trials.iter().map(Trial::log_risk_ratio).collect()
}

fn quantity(combined: &Combined, name: &str) -> f64 {
    match name {
        "q" => combined.q,
        "tau2" => combined.tau2,
        "mean" => combined.mean,
        "standard_error" => combined.std,
        other => panic!("no such quantity: {other}"),
    }
}

#[test]
fn thirteen_trials_combine_as_published() {
    let combined = combined(&trials()).unwrap();
    let expected: Vec<Row> = rows(include_str!("dersimonian_laird_1986/expected.csv"));
    assert_eq!(expected.len(), 4, "quantities");
    for row in expected {
        let computed = quantity(&combined, &row.quantity);
        assert_within(row.value.half_unit(), computed, row.value.number(), &row.quantity);
    }
}

/// Birge's ratio by its own definition: the scatter found over the scatter expected, from an
/// inverse-variance mean worked out here.
#[test]
fn the_birge_ratio_is_the_scatter_found_over_the_scatter_expected() {
    let trials = trials();
    let sum = |of: fn(&(f64, f64)) -> f64| trials.iter().map(of).sum::<f64>();
    let mean = sum(|(value, std)| value / (std * std)) / sum(|(_, std)| 1.0 / (std * std));
    let q: f64 = trials.iter().map(|(value, std)| ((value - mean) / std).powi(2)).sum();
    let birge = combined(&trials).unwrap().birge.unwrap();
    // Rounding of a dozen sums.
    assert_within(1.0e-12, birge, (q / 12.0).sqrt(), "Birge ratio");
}
