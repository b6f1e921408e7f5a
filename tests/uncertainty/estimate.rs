//! Estimates: what all draws agree on, conventions, refusals.

use super::assert_within;
use bubblemargin::uncertainty::estimate::{NoEstimate, mean, probability, quantile, quantiles};
use bubblemargin::uncertainty::points::Points;

fn eight() -> Points {
    Points::new(0, 2, 4, 1).unwrap()
}

#[test]
fn where_all_draws_agree_there_is_no_scatter() {
    let points = Points::new(0, 12, 64, 1).unwrap();
    for (failed, chance) in [(false, 0.0), (true, 1.0)] {
        let estimate = probability(&points, &vec![failed; points.draws()]).unwrap();
        assert_within(0.0, estimate.value, chance, "chance");
        assert_within(0.0, estimate.standard_error, 0.0, "standard error");
    }
}

/// By hand: replicates of 1/4 and 3/4 have the mean 1/2, the standard deviation √(1/8) and the
/// standard error √(1/16).
#[test]
fn the_standard_error_is_the_scatter_of_the_replicates() {
    let failed = [true, false, false, false, true, true, false, true];
    let estimate = probability(&eight(), &failed).unwrap();
    // Rounding of one square root.
    assert_within(1.0e-15, estimate.value, 0.5, "chance");
    assert_within(1.0e-15, estimate.standard_error, 0.25, "standard error");
}

#[test]
fn a_quantile_is_the_result_at_or_below() {
    let results = [4.0, f64::NEG_INFINITY, 2.0, f64::INFINITY, 1.0, 3.0];
    let shares = [0.0, 0.19, 0.2, 0.5, 0.79, 0.8, 0.99, 1.0];
    let expected = [f64::NEG_INFINITY, f64::NEG_INFINITY, 1.0, 2.0, 3.0, 4.0, 4.0, f64::INFINITY];
    assert_eq!(quantiles(&results, &shares).unwrap(), expected);
    assert_eq!(quantile(&[7.0], 0.05).unwrap().to_bits(), 7.0_f64.to_bits());
}

#[test]
fn refuses_what_gives_no_estimate() {
    let points = eight();
    let count = Err(NoEstimate::Count { expected: 8, found: 7 });
    assert_eq!(probability(&points, &[true; 7]), count);
    assert_eq!(mean(&points, &[]), Err(NoEstimate::Count { expected: 8, found: 0 }));
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let mut results = [1.0; 8];
        results[5] = bad;
        assert!(matches!(mean(&points, &results), Err(NoEstimate::Result { draw: 5, .. })));
    }
    assert_eq!(mean(&points, &[f64::MAX; 8]), Err(NoEstimate::TooLarge));
    assert_eq!(quantile(&[], 0.5), Err(NoEstimate::Empty));
    let nan = quantile(&[1.0, f64::NAN], 0.5);
    assert!(matches!(nan, Err(NoEstimate::Result { draw: 1, .. })));
    for share in [-0.1, 1.1, f64::INFINITY] {
        assert_eq!(quantile(&[1.0], share), Err(NoEstimate::Share(share)));
    }
    assert!(matches!(quantile(&[1.0], f64::NAN), Err(NoEstimate::Share(_))));
}
