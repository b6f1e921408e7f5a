//! The statistics engine against closed forms: nothing here knows of transformers.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "uncertainty/convergence.rs"]
mod convergence;
#[path = "uncertainty/distribution.rs"]
mod distribution;
#[path = "uncertainty/estimate.rs"]
mod estimate;
#[path = "uncertainty/indices.rs"]
mod indices;
#[path = "uncertainty/linear_gaussian.rs"]
mod linear_gaussian;
#[path = "uncertainty/points.rs"]
mod points;

/// One assertion; a NaN on either side fails it.
#[track_caller]
fn assert_within(tolerance: f64, found: f64, expected: f64, what: &str) {
    let apart = (found - expected).abs();
    assert!(
        apart <= tolerance,
        "{what}: {found}, not {expected}: {apart} apart, {tolerance} allowed"
    );
}
