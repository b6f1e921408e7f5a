//! Least squares of one exponential, with or without a straight line under it.
//!
//! ```text
//! y(t) = level + drop·exp(−t/tau) [+ slope·t]
//! cov  = s² (J'J)⁻¹ · f       f = (1+r)/(1−r), r the correlation of neighbouring residuals, at least 0
//! ```
//! For a given `tau` the rest is linear: a scan over `tau` gives the start, Gauss-Newton with halved steps the end.
//! The factor f is common practice for readings that are not independent; no source.

use nalgebra::{DMatrix, DVector};
use statrs::distribution::{ContinuousCDF, StudentsT};

/// Steps of the scan over the time constant.
const SCAN: u32 = 60;
/// Gauss-Newton steps at most; a few are enough.
const MOST_STEPS: usize = 60;
/// A correlation of residuals above this is no noise any more; our choice, so that f stays finite.
const MOST_CORRELATION: f64 = 0.95;

/// What is fitted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shape {
    /// Whether a straight line lies under the exponential.
    pub sloped: bool,
    /// Least and greatest time constant, in the unit of the times.
    pub tau: (f64, f64),
}

/// A fitted exponential.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// What is left once the exponential is gone, at time 0 of the line.
    pub level: f64,
    /// The exponential at time 0.
    pub drop: f64,
    /// Time constant, in the unit of the times.
    pub tau: f64,
    /// Slope of the line, per unit of time; 0 without one.
    pub slope: f64,
    /// Root mean square of the residuals, with the degrees of freedom.
    pub residual: f64,
    /// Factor f by which correlated residuals raise the variance.
    pub inflation: f64,
    /// Factor of the standard uncertainty for a 95 % interval (Student's t).
    pub factor_95: f64,
    /// Covariance in the order level, drop, tau, slope; in inflated units.
    cov: DMatrix<f64>,
}

impl Fit {
    /// Fits `points` (time, value).
    ///
    /// `None`: fewer points than parameters and two, no value a number, or the time constant ends at an end of its range.
    pub fn of(points: &[(f64, f64)], shape: Shape) -> Option<Self> {
        let count = if shape.sloped { 4 } else { 3 };
        if points.len() < count + 2 || points.iter().any(|p| !(p.0.is_finite() && p.1.is_finite()))
        {
            return None;
        }
        let mut found = refined(points, scanned(points, shape)?, shape)?;
        let inside = found[2] > shape.tau.0 * 1.001 && found[2] < shape.tau.1 * 0.999;
        if !inside || found.iter().any(|value| !value.is_finite()) {
            return None;
        }
        if !shape.sloped {
            found.push(0.0);
        }
        Self::with_spread(points, &found, shape)
    }

    /// The curve at a time.
    pub fn at(&self, time: f64) -> f64 {
        curve(&[self.level, self.drop, self.tau, self.slope], time)
    }

    /// How fast the curve changes at a time, per unit of time.
    pub fn rate_at(&self, time: f64) -> f64 {
        self.slope - self.drop / self.tau * (-time / self.tau).exp()
    }

    /// Standard uncertainty of the level.
    pub fn std_level(&self) -> f64 {
        self.cov[(0, 0)].sqrt()
    }

    /// Standard uncertainty of the time constant.
    pub fn std_tau(&self) -> f64 {
        self.cov[(2, 2)].sqrt()
    }

    /// Standard uncertainty of the drop.
    pub fn std_drop(&self) -> f64 {
        self.cov[(1, 1)].sqrt()
    }

    /// Standard uncertainty of the curve at time 0: level and drop together.
    pub fn std_at_zero(&self) -> f64 {
        (self.cov[(0, 0)] + self.cov[(1, 1)] + 2.0 * self.cov[(0, 1)]).max(0.0).sqrt()
    }

    fn with_spread(points: &[(f64, f64)], found: &[f64], shape: Shape) -> Option<Self> {
        let count = if shape.sloped { 4 } else { 3 };
        let residuals = residuals(points, found);
        let squares: f64 = residuals.iter().map(|left| left * left).sum();
        #[allow(clippy::cast_precision_loss, reason = "far fewer readings than 2^53")]
        let (readings, free) = (points.len() as f64, (points.len() - count) as f64);
        let variance = squares / free;
        let neighbours: f64 = residuals.as_slice().windows(2).map(|two| two[0] * two[1]).sum();
        let exact = !(squares > 1.0e-18 * readings);
        let r = if exact { 0.0 } else { (neighbours / squares).clamp(0.0, MOST_CORRELATION) };
        let inflation = (1.0 + r) / (1.0 - r);
        let jacobian = jacobian(points, found, count);
        let (scaled, scale) = scaled(&jacobian);
        let inverse = (scaled.transpose() * scaled).try_inverse()?;
        let cov = DMatrix::from_fn(count, count, |i, j| {
            inverse[(i, j)] / (scale[i] * scale[j]) * variance * inflation
        });
        let freedom = (free / inflation).max(2.0);
        let factor_95 = StudentsT::new(0.0, 1.0, freedom).ok()?.inverse_cdf(0.975);
        let &[level, drop, tau, slope] = found else {
            return None;
        };
        let residual = variance.sqrt();
        Some(Self { level, drop, tau, slope, residual, inflation, factor_95, cov })
    }
}

/// A straight line through points (time, value): its value at `at`, its slope, and the standard uncertainty of the value.
///
/// `None` with fewer than three points or all at one time.
pub fn line_at(points: &[(f64, f64)], at: f64) -> Option<(f64, f64, f64)> {
    if points.len() < 3 {
        return None;
    }
    let design =
        DMatrix::from_fn(
            points.len(),
            2,
            |row, column| {
                if column == 0 { 1.0 } else { points[row].0 - at }
            },
        );
    let values = DVector::from_iterator(points.len(), points.iter().map(|point| point.1));
    let found = design.clone().svd(true, true).solve(&values, 1.0e-12).ok()?;
    let squares = (&design * &found - &values).norm_squared();
    #[allow(clippy::cast_precision_loss, reason = "far fewer readings than 2^53")]
    let variance = squares / (points.len() - 2) as f64;
    let inverse = (design.transpose() * design).try_inverse()?;
    Some((found[0], found[1], (inverse[(0, 0)] * variance).sqrt()))
}

fn curve(found: &[f64], time: f64) -> f64 {
    let slope = found.get(3).copied().unwrap_or(0.0);
    found[0] + found[1] * (-time / found[2]).exp() + slope * time
}

fn residuals(points: &[(f64, f64)], found: &[f64]) -> DVector<f64> {
    let left = points.iter().map(|point| point.1 - curve(found, point.0));
    DVector::from_iterator(points.len(), left)
}

fn jacobian(points: &[(f64, f64)], found: &[f64], count: usize) -> DMatrix<f64> {
    DMatrix::from_fn(points.len(), count, |row, column| {
        let (time, fade) = (points[row].0, (-points[row].0 / found[2]).exp());
        match column {
            0 => 1.0,
            1 => fade,
            2 => found[1] * fade * time / (found[2] * found[2]),
            _ => time,
        }
    })
}

/// Columns of length 1, so that kelvin and minutes weigh alike in the solution, and their lengths.
fn scaled(jacobian: &DMatrix<f64>) -> (DMatrix<f64>, Vec<f64>) {
    let lengths: Vec<f64> = jacobian.column_iter().map(|c| c.norm().max(1.0e-300)).collect();
    let scaled = DMatrix::from_fn(jacobian.nrows(), jacobian.ncols(), |row, column| {
        jacobian[(row, column)] / lengths[column]
    });
    (scaled, lengths)
}

/// The best of many time constants, each with the linear rest solved for.
fn scanned(points: &[(f64, f64)], shape: Shape) -> Option<Vec<f64>> {
    let values = DVector::from_iterator(points.len(), points.iter().map(|point| point.1));
    let ratio = shape.tau.1 / shape.tau.0;
    let mut best: Option<(f64, Vec<f64>)> = None;
    for step in 0..=SCAN {
        let tau = shape.tau.0 * ratio.powf(f64::from(step) / f64::from(SCAN));
        let columns = if shape.sloped { 3 } else { 2 };
        let design = DMatrix::from_fn(points.len(), columns, |row, column| match column {
            0 => 1.0,
            1 => (-points[row].0 / tau).exp(),
            _ => points[row].0,
        });
        let (design, lengths) = scaled(&design);
        let Ok(linear) = design.svd(true, true).solve(&values, 1.0e-13) else { continue };
        let mut found = vec![linear[0] / lengths[0], linear[1] / lengths[1], tau];
        if shape.sloped {
            found.push(linear[2] / lengths[2]);
        }
        let squares = residuals(points, &found).norm_squared();
        if best.as_ref().is_none_or(|(least, _)| squares < *least) {
            best = Some((squares, found));
        }
    }
    best.map(|(_, found)| found)
}

/// Gauss-Newton from a start; a step that does not help is halved.
fn refined(points: &[(f64, f64)], start: Vec<f64>, shape: Shape) -> Option<Vec<f64>> {
    let mut found = start;
    let mut squares = residuals(points, &found).norm_squared();
    for _ in 0..MOST_STEPS {
        let (jacobian, lengths) = scaled(&jacobian(points, &found, found.len()));
        let left = residuals(points, &found);
        let step = jacobian.svd(true, true).solve(&left, 1.0e-13).ok()?;
        let mut share = 1.0;
        let mut moved = false;
        while share > 1.0e-6 {
            let next: Vec<f64> = found
                .iter()
                .enumerate()
                .map(|(i, old)| old + share * step[i] / lengths[i])
                .collect();
            let now = residuals(points, &next).norm_squared();
            if next[2] > shape.tau.0 && next[2] < shape.tau.1 && now < squares {
                (found, squares, moved) = (next, now, true);
                break;
            }
            share /= 2.0;
        }
        if !moved {
            break;
        }
    }
    Some(found)
}
