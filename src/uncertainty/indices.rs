//! Whose doubt matters: Sobol indices of the inputs.

use super::estimate::{Estimate, NoEstimate, check, mean, over_replicates};
use super::points::Points;

/// A standard deviation below this share of the mean is rounding: a few thousand times the spacing
/// of numbers, 2e−16. Our choice.
const ROUNDING: f64 = 1.0e-12;

/// Why there are no indices.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoIndices {
    /// Each input needs two dimensions.
    #[error("{0} dimensions; accepted is an even number, two for each input")]
    Odd(usize),
    /// Results that cannot be averaged.
    #[error(transparent)]
    Results(#[from] NoEstimate),
    /// Every draw gave the same result but for rounding, so that there is no variance to share out.
    #[error("every draw gave the same result: no input matters")]
    NothingVaries,
}

/// An input's share of the variance of the result.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// First order: by how much the variance would fall if this input alone were known.
    /// 0 to 1, and a little outside by chance.
    pub first: Estimate,
    /// Total: what would be left of the variance if everything but this input were known. 0 up;
    /// above `first` where the input acts together with others.
    pub total: Estimate,
}

/// How the variance of the result is shared among the inputs.
#[derive(Debug, Clone, PartialEq)]
pub struct Indices {
    /// Variance of the result, in its unit squared.
    pub variance: f64,
    /// One for each input, in the order of the columns.
    pub shares: Vec<Share>,
}

/// First-order and total Sobol indices of `d` inputs with (d + 2)·n evaluations, n = draws.
///
/// `points` has 2·d dimensions: matrix A is made of the first d, B of the others. `evaluate` is
/// called d + 2 times, each time with n rows of d numbers in (0, 1), row by row, and returns the n
/// results in the order of the rows.
///
/// ```text
/// AB_i = A with column i of B
/// V    = variance of f(A) and f(B) together, m their mean
/// S_i  = mean[(f(B) − m)·(f(AB_i) − f(A))] / V
/// S_Ti = mean[(f(A) − f(AB_i))²] / (2·V)
/// ```
/// Standard errors come from the scatter of the replicates of `points` and allow for that of V,
/// which is in every index: for an index S = x̄/v̄ they are those of the mean of x − S·v over V.
///
/// # Source       `saltelli-2010` for design and first order, `jansen-1999` for the total.
/// # Valid        Independent inputs, finite results that vary.
/// # Departures   f(B) less the mean: the same expectation, a smaller error where the mean is large.
/// # Checked      `tests/published/ishigami_homma_1990.rs`; linear case in closed form in
///   `tests/uncertainty/linear_gaussian.rs`.
/// # Errors
/// An odd number of dimensions, another number of results than of rows, a result that is not
/// finite, results that do not vary or are too large to square.
pub fn sobol_indices(
    points: &Points,
    mut evaluate: impl FnMut(&[f64]) -> Vec<f64>,
) -> Result<Indices, NoIndices> {
    let inputs = points.dimensions() / 2;
    if inputs * 2 != points.dimensions() {
        return Err(NoIndices::Odd(points.dimensions()));
    }
    let mut checked = |rows: &[f64]| -> Result<Vec<f64>, NoIndices> {
        let results = evaluate(rows);
        check(points, &results)?;
        Ok(results)
    };
    let both = points.rows(0..points.draws());
    let mut mixed = half(&both, inputs, 0);
    let of_a = checked(&mixed)?;
    let of_b = checked(&half(&both, inputs, inputs))?;
    let spread = Spread::new(points, &of_a, &of_b)?;
    let mut shares = Vec::with_capacity(inputs);
    for input in 0..inputs {
        put_column(&mut mixed, &both, inputs, input, inputs + input);
        let of_ab = checked(&mixed)?;
        put_column(&mut mixed, &both, inputs, input, input);
        shares.push(spread.share(points, &of_a, &of_b, &of_ab)?);
    }
    Ok(Indices { variance: spread.variance, shares })
}

/// Columns `from` to `from` + `inputs` of the rows of both matrices.
fn half(both: &[f64], inputs: usize, from: usize) -> Vec<f64> {
    both.chunks(2 * inputs).flat_map(|row| row[from..from + inputs].iter().copied()).collect()
}

/// Puts column `from` of both matrices into column `to`.
fn put_column(rows: &mut [f64], both: &[f64], inputs: usize, to: usize, from: usize) {
    for (row, source) in rows.chunks_mut(inputs).zip(both.chunks(2 * inputs)) {
        row[to] = source[from];
    }
}

/// What all indices are measured against.
struct Spread {
    mean: f64,
    variance: f64,
    /// Each draw's part in the variance, f(A) and f(B) together.
    parts: Vec<f64>,
}

impl Spread {
    fn new(points: &Points, of_a: &[f64], of_b: &[f64]) -> Result<Self, NoIndices> {
        let mean = mean(points, &pairs(of_a, of_b, |a, b| 0.5 * a + 0.5 * b))?.value;
        let parts = pairs(of_a, of_b, |a, b| 0.5 * ((a - mean).powi(2) + (b - mean).powi(2)));
        let variance = over_replicates(points, &parts)?.value;
        if variance <= (ROUNDING * mean).powi(2) {
            return Err(NoIndices::NothingVaries);
        }
        Ok(Self { mean, variance, parts })
    }

    fn share(
        &self,
        points: &Points,
        of_a: &[f64],
        of_b: &[f64],
        of_ab: &[f64],
    ) -> Result<Share, NoEstimate> {
        let moved = pairs(of_ab, of_a, |ab, a| ab - a);
        let first = pairs(of_b, &moved, |b, moved| (b - self.mean) * moved);
        let total = pairs(&moved, &moved, |one, other| 0.5 * one * other);
        Ok(Share { first: self.index(points, &first)?, total: self.index(points, &total)? })
    }

    fn index(&self, points: &Points, parts: &[f64]) -> Result<Estimate, NoEstimate> {
        let value = over_replicates(points, parts)?.value / self.variance;
        let residuals = pairs(parts, &self.parts, |part, own| part - value * own);
        let standard_error = over_replicates(points, &residuals)?.standard_error / self.variance;
        Ok(Estimate { value, standard_error })
    }
}

fn pairs(one: &[f64], other: &[f64], of: impl Fn(f64, f64) -> f64) -> Vec<f64> {
    one.iter().zip(other).map(|(&one, &other)| of(one, other)).collect()
}
