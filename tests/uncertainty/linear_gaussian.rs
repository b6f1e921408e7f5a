//! A margin that is a sum of normal inputs: everything is known in closed form.

use super::assert_within;
use bubblemargin::uncertainty::distribution::{Distribution, standard_deviate};
use bubblemargin::uncertainty::estimate::{mean, probability, quantiles};
use bubblemargin::uncertainty::indices::sobol_indices;
use bubblemargin::uncertainty::points::Points;
use statrs::function::erf::erfc;

/// margin = mean + Σ weight·x, every x normal with mean 0.
pub(crate) struct Linear {
    mean: f64,
    weights: Vec<f64>,
    inputs: Vec<Distribution>,
}

impl Linear {
    /// Inputs with standard deviation 1; the hold at 8 is beyond every draw (5.3), so that the sum
    /// stays normal.
    pub(crate) fn new(mean: f64, weights: &[f64]) -> Self {
        let one = Distribution::normal(0.0, 1.0, 8.0).unwrap();
        Self { mean, weights: weights.to_vec(), inputs: vec![one; weights.len()] }
    }

    /// Fourteen inputs, each less important than the one before; standard deviation 8 together.
    pub(crate) fn fourteen(mean: f64) -> Self {
        let falling: Vec<f64> = (0..14).map(|input| 0.75_f64.powi(input)).collect();
        let std = falling.iter().map(|weight| weight * weight).sum::<f64>().sqrt();
        Self::new(mean, &falling.iter().map(|weight| 8.0 * weight / std).collect::<Vec<f64>>())
    }

    pub(crate) fn points(&self, seed: u32, replicates: u32, each: u32) -> Points {
        let dimensions = u32::try_from(self.weights.len()).unwrap();
        Points::new(seed, replicates, each, dimensions).unwrap()
    }

    pub(crate) fn margins(&self, rows: &[f64]) -> Vec<f64> {
        let one = |row: &[f64]| {
            let terms = row.iter().zip(&self.inputs).zip(&self.weights);
            self.mean + terms.map(|((&unit, input), weight)| weight * input.at(unit)).sum::<f64>()
        };
        rows.chunks(self.weights.len()).map(one).collect()
    }

    pub(crate) fn of(&self, points: &Points) -> Vec<f64> {
        self.margins(&points.rows(0..points.draws()))
    }

    fn std(&self) -> f64 {
        self.weights.iter().map(|weight| weight * weight).sum::<f64>().sqrt()
    }

    /// Φ((limit − mean)/std).
    pub(crate) fn chance_below(&self, limit: f64) -> f64 {
        0.5 * erfc((self.mean - limit) / self.std() / std::f64::consts::SQRT_2)
    }
}

pub(crate) fn below(margins: &[f64], limit: f64) -> Vec<bool> {
    margins.iter().map(|&margin| margin < limit).collect()
}

#[test]
fn the_chance_of_too_little_is_that_of_the_normal_distribution() {
    let linear = Linear::fourteen(12.0);
    for seed in 0..5 {
        let points = linear.points(seed, 16, 512);
        let margins = linear.of(&points);
        // Φ(−1.5) = 0.0668 and Φ(−0.25) = 0.4013 by the table.
        for (limit, table) in [(0.0, 0.0668), (10.0, 0.4013)] {
            let true_chance = linear.chance_below(limit);
            assert_within(5.0e-5, true_chance, table, "half a unit of the table");
            let found = probability(&points, &below(&margins, limit)).unwrap();
            // Four standard errors (t with 15 degrees of freedom: once in 900), and no more than
            // four times the 0.25 % that is usual at 8192 draws.
            let allowed = (4.0 * found.standard_error).min(0.010);
            assert_within(allowed, found.value, true_chance, "chance");
            assert!(found.standard_error < 0.005, "{found:?}");
        }
        let middle = mean(&points, &margins).unwrap();
        // The mean of a smooth function; independent draws would give 8/√8192 = 0.09 K.
        assert_within((4.0 * middle.standard_error).min(0.03), middle.value, 12.0, "mean");
    }
}

#[test]
fn quantiles_are_those_of_the_normal_distribution() {
    let linear = Linear::fourteen(12.0);
    let points = linear.points(3, 16, 1024);
    let shares = [0.05, 0.5, 0.95];
    let found = quantiles(&linear.of(&points), &shares).unwrap();
    for (share, found) in shares.into_iter().zip(found) {
        let expected = 12.0 + 8.0 * standard_deviate(share);
        // A chance is off by about 0.1 % at these draws; the density there is 0.013/K at 5 and
        // 95 %, 0.05/K at 50 %. Four times 0.001/0.013 is 0.3 K.
        assert_within(0.3, found, expected, "quantile");
        // The same by the other road: the share that lies below what was found.
        assert_within(0.004, linear.chance_below(found), share, "share below");
    }
}

#[test]
fn each_input_has_its_share_of_the_variance() {
    let linear = Linear::new(12.0, &[5.0, 4.0, 2.0, 1.0, 0.0]);
    let points = Points::new(5, 16, 512, 10).unwrap();
    let indices = sobol_indices(&points, |rows| linear.margins(rows)).unwrap();
    // Squares of a normal scatter by √2 of the variance; 16 384 of them by 1.1 % if independent.
    assert_within(0.011 * 46.0, indices.variance, 46.0, "variance");
    for (share, weight) in indices.shares.iter().zip([5.0_f64, 4.0, 2.0, 1.0, 0.0]) {
        let expected = weight * weight / 46.0;
        for estimate in [share.first, share.total] {
            // Four standard errors, and 0.02 so that a wide one excuses nothing; the input without
            // weight has exactly nothing.
            let allowed = (4.0 * estimate.standard_error).min(0.02);
            assert_within(allowed, estimate.value, expected, "share of the variance");
        }
    }
}
