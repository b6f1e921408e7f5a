//! How fast errors fall, and whether the standard error is honest about them.

use super::linear_gaussian::{Linear, below};
use bubblemargin::uncertainty::estimate::{Estimate, mean, probability};

const SEEDS: u32 = 40;

/// Root mean square of errors really made and of standard errors reported over all seeds.
fn scatter(truth: f64, of: impl Fn(u32) -> Estimate) -> (f64, f64) {
    let estimates: Vec<Estimate> = (0..SEEDS).map(of).collect();
    let root_mean = |squares: f64| (squares / f64::from(SEEDS)).sqrt();
    (
        root_mean(estimates.iter().map(|one| (one.value - truth).powi(2)).sum()),
        root_mean(estimates.iter().map(|one| one.standard_error.powi(2)).sum()),
    )
}

fn chance_error(linear: &Linear, each: u32) -> (f64, f64) {
    scatter(linear.chance_below(0.0), |seed| {
        let points = linear.points(seed, 16, each);
        probability(&points, &below(&linear.of(&points), 0.0)).unwrap()
    })
}

/// The slope of log error against log draws over two decades, 16 to 2048 points of 16 replicates.
fn slope(error: impl Fn(u32) -> f64) -> f64 {
    (error(2048) / error(16)).ln() / (2048.0_f64 / 16.0).ln()
}

/// Independent draws give −0.5. Scrambled nets give −(0.5 + 1/(2d)) for the share of the cube on
/// one side of a smooth surface: −0.75 for d = 2 inputs. 40 seeds leave each error uncertain by
/// 11 %, the slope by 0.03; the bound leaves four times that above theory and excludes −0.5 alike.
#[test]
fn the_error_of_a_chance_falls_faster_than_that_of_random_draws() {
    let linear = Linear::new(6.0, &[5.0, 4.0]);
    let slope = slope(|each| chance_error(&linear, each).0);
    assert!(slope < -0.62, "slope {slope}");
}

/// A smooth function: −1.5 in theory, less steep at these numbers of draws because the normal
/// distribution has no bounds. −0.9 is twelve times the slope's uncertainty away from −0.5.
#[test]
fn the_error_of_a_mean_falls_as_one_over_the_draws_or_faster() {
    let linear = Linear::new(6.0, &[5.0, 4.0]);
    let slope = slope(|each| {
        let estimate = |seed| {
            let points = linear.points(seed, 16, each);
            mean(&points, &linear.of(&points)).unwrap()
        };
        scatter(6.0, estimate).0
    });
    assert!(slope < -0.9, "slope {slope}");
}

/// The ratio of errors made to errors reported is 1 for an honest standard error. 40 seeds of 16
/// replicates know it to √(1/80 + 1/(2·15·40)) = 12 %; the band is three times that. The binomial
/// formula would give about a half here and less with more draws.
#[test]
fn the_standard_error_is_as_large_as_the_errors_made() {
    for mean in [0.0, 5.0, 12.0] {
        let linear = Linear::fourteen(mean);
        let (made, reported) = chance_error(&linear, 256);
        let ratio = made / reported;
        assert!((0.64..1.36).contains(&ratio), "mean {mean}: {made} made, {reported} reported");
        let chance = linear.chance_below(0.0);
        let binomial = (chance * (1.0 - chance) / 4096.0).sqrt();
        assert!(reported < 0.8 * binomial, "{reported} is no better than random: {binomial}");
    }
}
