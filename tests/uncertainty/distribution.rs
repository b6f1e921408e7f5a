//! Distributions: quantiles, symmetry, refusals.

use super::assert_within;
use bubblemargin::uncertainty::distribution::{
    Distribution, NoDistribution, Shape, standard_deviate, standard_deviates,
};

fn all() -> [Distribution; 4] {
    [
        Distribution::fixed(3.0).unwrap(),
        Distribution::normal(55.0, 4.0, 10.0).unwrap(),
        Distribution::uniform(-2.0, 5.0).unwrap(),
        Distribution::log_normal(2.1, 3.3).unwrap(),
    ]
}

/// A grid through (0, 1) that comes close to both ends.
fn units() -> Vec<f64> {
    let inner = (1..2000).map(|number| f64::from(number) / 2000.0);
    let low = (10..=24).rev().map(|power| 2.0_f64.powi(-power));
    let high = (12..=24).map(|power| 1.0 - 2.0_f64.powi(-power));
    let mut units: Vec<f64> = low.chain(inner).chain(high).collect();
    units.sort_unstable_by(f64::total_cmp);
    units
}

#[test]
fn quantiles_never_fall_and_are_finite() {
    let units = units();
    for distribution in all() {
        let values: Vec<f64> = units.iter().map(|&unit| distribution.at(unit)).collect();
        assert!(values.iter().all(|value| value.is_finite()), "{distribution:?}");
        assert!(values.windows(2).all(|pair| pair[0] <= pair[1]), "{distribution:?}");
    }
}

#[test]
fn the_normal_quantile_may_be_had_once_for_all() {
    let units = units();
    let zs = standard_deviates(&units);
    for distribution in all() {
        for (&unit, &z) in units.iter().zip(&zs) {
            // The uniform goes through Φ and back; the library's Φ is good to some
            // 1e−11, the span is 7.
            assert_within(5.0e-10, distribution.at_z(z), distribution.at(unit), "both ways");
        }
    }
}

#[test]
fn the_centre_is_the_median_and_the_upper_point_is_kept() {
    let log_normal = Distribution::log_normal(2.1, 3.3).unwrap();
    // Rounding of one division and one product.
    assert_within(1.0e-15, log_normal.at_z(1.645), 3.3, "95 % point by the convention");
    assert_within(1.0e-15, log_normal.at(0.5), 2.1, "median");
    assert_within(1.0e-12, log_normal.at_z(-1.645), 2.1 * 2.1 / 3.3, "5 % point, log-symmetric");
    let normal = Distribution::normal(55.0, 4.0, 10.0).unwrap();
    assert_within(1.0e-13, normal.at_z(1.645), 55.0 + 6.58, "mean and 1.645 standard deviations");
    let uniform = Distribution::uniform(-2.0, 5.0).unwrap();
    assert_within(1.0e-15, uniform.at(0.25), -0.25, "a quarter of the way");
}

#[test]
fn the_hold_lies_on_both_sides_alike() {
    let held = Distribution::normal(55.0, 4.0, 6.0).unwrap();
    for unit in units() {
        let (low, high) = (held.at(unit) - 55.0, held.at(1.0 - unit) - 55.0);
        // 1 − u carries a rounding of 1e−16, which the density at z = 5.3 makes 4 × 3e−10.
        assert_within(2.0e-9, low, -high, "opposite deviations");
        assert!(low.abs() <= 6.0 && high.abs() <= 6.0);
    }
    assert_within(0.0, held.at(0.999), 61.0, "held above");
    assert_within(0.0, held.at(0.001), 49.0, "held below");
}

#[test]
fn no_spread_is_a_fixed_value() {
    for distribution in [
        Distribution::normal(7.0, 0.0, 3.0),
        Distribution::normal(7.0, 3.0, 0.0),
        Distribution::uniform(7.0, 7.0),
        Distribution::log_normal(7.0, 7.0),
    ] {
        let distribution = distribution.unwrap();
        assert_eq!(distribution.shape(), Shape::Fixed(7.0));
        assert_within(0.0, distribution.at(0.999), 7.0, "at any point");
        assert_within(0.0, distribution.at_z(-4.0), 7.0, "at any point");
    }
}

#[test]
fn refuses_what_cannot_be_drawn_from() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        for made in [
            Distribution::fixed(bad),
            Distribution::normal(bad, 1.0, 1.0),
            Distribution::normal(0.0, bad, 1.0),
            Distribution::normal(0.0, 1.0, bad),
            Distribution::normal(bad, 0.0, 0.0),
            Distribution::uniform(bad, 1.0),
            Distribution::uniform(0.0, bad),
            Distribution::log_normal(bad, 1.0),
            Distribution::log_normal(1.0, bad),
        ] {
            assert!(matches!(made, Err(NoDistribution::NotFinite { .. })), "{made:?}");
        }
    }
    for made in [
        Distribution::normal(0.0, -1.0, 1.0),
        Distribution::normal(0.0, 1.0, -1.0),
        Distribution::log_normal(0.0, 1.0),
        Distribution::log_normal(-1.0, 1.0),
    ] {
        assert!(matches!(made, Err(NoDistribution::OutOfRange { .. })), "{made:?}");
    }
    for made in [Distribution::uniform(1.0, 0.5), Distribution::log_normal(1.0, 0.5)] {
        assert!(matches!(made, Err(NoDistribution::Reversed { .. })), "{made:?}");
    }
    for made in [
        Distribution::normal(1.0e308, 1.0e308, 1.0e308),
        Distribution::uniform(-1.0e308, 1.0e308),
        Distribution::log_normal(1.0e-300, 1.0e300),
        Distribution::log_normal(1.0, 1.0e150),
    ] {
        assert_eq!(made, Err(NoDistribution::TooWide));
    }
}

#[test]
fn what_is_no_number_stays_none() {
    assert!(standard_deviate(f64::NAN).is_nan());
    for distribution in &all()[1..] {
        assert!(distribution.at(f64::NAN).is_nan(), "{distribution:?}");
        assert!(distribution.at_z(f64::NAN).is_nan(), "{distribution:?}");
    }
}
