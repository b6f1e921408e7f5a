//! Inputs whose effect on the margin is a straight line: the margin is then normal, and everything
//! about it known.

use crate::scene::{Scene, Stds};
use bubblemargin::assessment::case::Sampling;
use bubblemargin::assessment::spread::inputs::Quantity;
use statrs::distribution::{ContinuousCDF, Normal};

/// Probability of a normal deviate below z, by another library function than the program's own
/// inverse. Source: `statrs`, a general-purpose library.
fn phi(z: f64) -> f64 {
    Normal::new(0.0, 1.0).unwrap().cdf(z)
}

/// z of the 95 % point, from tables: 1.644854.
const Z95: f64 = 1.644_854;

/// Required margin without local rules, K. Common practice, no source.
const REQUIRED_K: f64 = 10.0;

const DRAWS: u32 = 4096;

/// One input, 16 scramblings of 256 points each: every stratum of 1/256 holds one point of each, so
/// that a share is within 1/256 of its value and a quantile within the spread of that share.
const SHARE_WITHIN: f64 = 1.0 / 256.0;

#[test]
fn a_doubtful_correlation_alone_makes_a_normal_margin() {
    for (load_pu, std) in [(1.2, 4.0), (1.38, 7.0)] {
        let scene = Scene { load_pu, ..Scene::exact() };
        let scene = scene.with_stds(Stds::NONE.with("correlation_k", std)).drawn(DRAWS, 3);
        let answer = scene.assessed();
        let spread = answer.spread.as_ref().unwrap();
        let middle_k = answer.bubbling.margin_k.unwrap();
        for (found, below_k) in [(spread.below_zero, 0.0), (spread.below_required, REQUIRED_K)] {
            // Held within three standard uncertainties: beyond it there is none.
            let z = (below_k - middle_k) / std;
            let expected = if z < -3.0 {
                0.0
            } else if z > 3.0 {
                1.0
            } else {
                phi(z)
            };
            let apart = (found.probability - expected).abs();
            assert!(apart <= SHARE_WITHIN, "{load_pu} {std}: {found:?} {expected}");
        }
        for (found, z) in
            [(spread.margin_k.p05, -Z95), (spread.margin_k.p50, 0.0), (spread.margin_k.p95, Z95)]
        {
            let density = (-z * z / 2.0).exp() / std::f64::consts::TAU.sqrt();
            let within_k = 1.1 * std * SHARE_WITHIN / density;
            let apart_k = (found.unwrap() - (middle_k + z * std)).abs();
            assert!(apart_k <= within_k, "{load_pu} {std}: {apart_k} K of {within_k}");
        }
    }
}

#[test]
fn one_doubtful_input_alone_has_the_whole_variance() {
    let stds = Stds::NONE.with("correlation_k", 4.0);
    let sampling = Sampling { draws: 512, seed: 1, why: true, ..Sampling::default() };
    let why = Scene { sampling, ..Scene::exact().with_stds(stds) }.spread().why;
    assert_eq!(why.len(), 1);
    assert_eq!(why[0].quantity, Quantity::Correlation);
    // The errors the indices are made for.
    for share in [why[0].first_order, why[0].total] {
        assert!((share.probability - 1.0).abs() <= 0.02, "{share:?}");
    }
    let (low, high) = (why[0].margin_at_p05_k.unwrap(), why[0].margin_at_p95_k.unwrap());
    assert!((high - low - 2.0 * Z95 * 4.0).abs() < 0.01, "{low} {high}");
}

/// Half a kilopascal and two kelvin: over six standard uncertainties the inception temperature bends
/// with the pressure by less than 0.01 K (d²T/dP² of 4725.6/(ln …)² is about −2e-3 K/kPa²).
#[test]
fn two_inputs_in_straight_lines_add_as_squares() {
    let alone = |name: &str, std: f64| {
        let scene = Scene::exact().with_stds(Stds::NONE.with(name, std)).drawn(DRAWS, 3);
        let band = scene.spread().margin_k;
        (band.p95.unwrap() - band.p05.unwrap()) / (2.0 * Z95)
    };
    let (correlation_k, weather_k) = (alone("correlation_k", 1.0), alone("weather_kpa", 3.0));
    assert!(weather_k > 0.5, "the weather matters: {weather_k} K");
    let both = Stds::NONE.with("correlation_k", 1.0).with("weather_kpa", 3.0);
    let answer = Scene::exact().with_stds(both).drawn(DRAWS, 3).assessed();
    let (band, middle_k) = (answer.spread.unwrap().margin_k, answer.bubbling.margin_k.unwrap());
    let std = correlation_k.hypot(weather_k);
    for (found, z) in [(band.p05, -Z95), (band.p50, 0.0), (band.p95, Z95)] {
        let apart_k = (found.unwrap() - (middle_k + z * std)).abs();
        // Four standard errors of plain sampling, √(0.05·0.95/4096)/0.103 = 0.033 of a standard
        // uncertainty, and 0.05 K for the bend over ±9 kPa.
        assert!(apart_k <= 4.0 * 0.033 * std + 0.05, "z {z}: {apart_k} K of {std}");
    }
}
