//! How far an input may be off, as a quantile function.

use crate::moisture::reconcile::ONE_SIDED_95;
use statrs::function::erf::{erfc, erfc_inv};
use std::f64::consts::SQRT_2;

/// Why numbers make no distribution.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoDistribution {
    /// A parameter is NaN or infinite: nothing could be drawn from it.
    #[error("{name} is {value}, which is not a finite number")]
    NotFinite {
        /// Which one.
        name: &'static str,
        /// What was given.
        value: f64,
    },
    /// A spread is below zero, or a median of a log-normal is not above it.
    #[error("{name} is {value}; accepted is {accepted}")]
    OutOfRange {
        /// Which one.
        name: &'static str,
        /// What was given.
        value: f64,
        /// What would have been accepted.
        accepted: &'static str,
    },
    /// The upper figure is below the lower one.
    #[error("the upper figure {upper} is below the lower one {lower}")]
    Reversed {
        /// Lower figure.
        lower: f64,
        /// Upper figure.
        upper: f64,
    },
    /// The tail would run out of the range of numbers.
    #[error("the spread is too wide to compute with")]
    TooWide,
}

/// The parameters of a distribution, for whoever reports them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Known: one value.
    Fixed(f64),
    /// Normal, its deviation from the mean held within ±`most_off`.
    Normal {
        /// Mean, median and centre of symmetry.
        mean: f64,
        /// Standard deviation before holding, above 0.
        std: f64,
        /// Largest deviation from the mean to either side, above 0.
        most_off: f64,
    },
    /// Every value between the two equally likely.
    Uniform {
        /// Least value.
        least: f64,
        /// Greatest value, above `least`.
        most: f64,
    },
    /// The logarithm is normal.
    LogNormal {
        /// Median, above 0.
        median: f64,
        /// One-sided 95 % point, above `median`.
        upper_95: f64,
    },
}

/// A distribution whose parameters were checked; [`Shape`] says what may be asked of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Distribution(Shape);

/// Beyond the z of every number below 1 (8.3): a distribution finite here is finite everywhere.
const FARTHEST_Z: f64 = 9.0;

impl Distribution {
    /// One finite value.
    ///
    /// # Errors
    /// A value that is not finite.
    pub fn fixed(value: f64) -> Result<Self, NoDistribution> {
        Ok(Self(Shape::Fixed(finite("value", value)?)))
    }

    /// Normal with finite `mean`, `std` ≥ 0 and a deviation held within ±`most_off` ≥ 0.
    ///
    /// The hold lies on both sides alike. A bound on one side alone, such as "never below
    /// zero", would move the mean: away from it, and where more is safer every answer would become
    /// more optimistic by a bound that was meant to keep nonsense out.
    ///
    /// # Errors
    /// A parameter that is not finite, a `std` or `most_off` below zero.
    pub fn normal(mean: f64, std: f64, most_off: f64) -> Result<Self, NoDistribution> {
        finite("mean", mean)?;
        let (std, most_off) = (not_negative("std", std)?, not_negative("most_off", most_off)?);
        if std <= 0.0 || most_off <= 0.0 {
            return Self::fixed(mean);
        }
        Self(Shape::Normal { mean, std, most_off }).finite_throughout()
    }

    /// Uniform from finite `least` to finite `most`, `least` ≤ `most`.
    ///
    /// # Errors
    /// A parameter that is not finite, `most` below `least`.
    pub fn uniform(least: f64, most: f64) -> Result<Self, NoDistribution> {
        if !ordered(finite("least", least)?, finite("most", most)?)? {
            return Self::fixed(least);
        }
        if !(most - least).is_finite() {
            return Err(NoDistribution::TooWide);
        }
        Ok(Self(Shape::Uniform { least, most }))
    }

    /// Log-normal by its median > 0 and its one-sided 95 % point ≥ median, both finite.
    ///
    /// # Errors
    /// A parameter that is not finite, a median not above zero, a 95 % point below it.
    pub fn log_normal(median: f64, upper_95: f64) -> Result<Self, NoDistribution> {
        if finite("median", median)? <= 0.0 {
            let accepted = "a number above 0";
            return Err(NoDistribution::OutOfRange { name: "median", value: median, accepted });
        }
        if !ordered(median, finite("upper_95", upper_95)?)? {
            return Self::fixed(median);
        }
        Self(Shape::LogNormal { median, upper_95 }).finite_throughout()
    }

    /// The parameters.
    pub fn shape(&self) -> Shape {
        self.0
    }

    /// Quantile function: the value below which a share `unit` of the distribution lies.
    ///
    /// Never decreases in `unit`, finite for every `unit` in (0, 1), NaN for NaN. At 0 and 1 an
    /// unbounded tail gives its limit, which no draw of [`super::points`] reaches.
    pub fn at(&self, unit: f64) -> f64 {
        match self.0 {
            Shape::Uniform { least, most } => (least + (most - least) * unit).clamp(least, most),
            Shape::Fixed(_) | Shape::Normal { .. } | Shape::LogNormal { .. } => {
                self.at_z(standard_deviate(unit))
            }
        }
    }

    /// The same by the normal quantile of `unit`, for who has it already: see
    /// [`standard_deviates`].
    ///
    /// ```text
    /// normal       mean + max(−most_off, min(most_off, std·z))
    /// log-normal   median · (upper_95 / median)^(z / 1.645)
    /// uniform      least + (most − least)·Φ(z)
    /// ```
    /// The 95 % point of the log-normal is `upper_95` by the project's convention that 95 % lie
    /// below z = 1.645 (exactly: 95.002 %).
    pub fn at_z(&self, z: f64) -> f64 {
        match self.0 {
            Shape::Fixed(value) => value,
            Shape::Normal { mean, std, most_off } => mean + (std * z).clamp(-most_off, most_off),
            Shape::Uniform { least, most } => {
                (least + (most - least) * 0.5 * erfc(-z / SQRT_2)).clamp(least, most)
            }
            Shape::LogNormal { median, upper_95 } => {
                median * (upper_95 / median).powf(z / ONE_SIDED_95)
            }
        }
    }

    fn finite_throughout(self) -> Result<Self, NoDistribution> {
        let ends = [self.at_z(-FARTHEST_Z), self.at_z(FARTHEST_Z)];
        if ends.iter().all(|end| end.is_finite()) { Ok(self) } else { Err(NoDistribution::TooWide) }
    }
}

fn finite(name: &'static str, value: f64) -> Result<f64, NoDistribution> {
    if value.is_finite() { Ok(value) } else { Err(NoDistribution::NotFinite { name, value }) }
}

fn not_negative(name: &'static str, value: f64) -> Result<f64, NoDistribution> {
    if finite(name, value)? < 0.0 {
        let accepted = "a number from 0 up";
        return Err(NoDistribution::OutOfRange { name, value, accepted });
    }
    Ok(value)
}

/// Whether two figures in order leave a spread between them.
fn ordered(lower: f64, upper: f64) -> Result<bool, NoDistribution> {
    if upper < lower { Err(NoDistribution::Reversed { lower, upper }) } else { Ok(lower < upper) }
}

/// Normal quantile z of a number in (0, 1); −∞ at 0 and below, ∞ at 1 and above, NaN for NaN.
pub fn standard_deviate(unit: f64) -> f64 {
    -SQRT_2 * erfc_inv(2.0 * unit)
}

/// [`standard_deviate`] of each, in the same order and layout.
pub fn standard_deviates(units: &[f64]) -> Vec<f64> {
    units.iter().copied().map(standard_deviate).collect()
}
