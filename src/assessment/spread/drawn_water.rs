//! The water at the hot spot in a draw.

use super::inputs::Found;
use crate::moisture::holding::DrawnWater;
use crate::rules::facts::Facts;
use crate::uncertainty::distribution::Distribution;

/// Below this, %, paper is as dry as any.
const DRIEST: f64 = 0.01;

/// The water that is drawn, in water as new paper would hold it, less what a credit for drier paper at the hot
/// spot takes off.
///
/// ```text
/// W = median(s) · (upper(s) / median(s))^(z / 1.645)        s the holding factor drawn, z a normal deviate
/// ```
#[derive(Debug, Clone)]
pub struct DrawnAtHotSpot {
    water: DrawnWater,
    /// Median, and logarithm of the 95 % point over it, with the factor for which the column is drawn.
    column: (f64, f64),
    /// What the hot spot counts as of the assessed moisture; 1 without a credit.
    credit: f64,
}

impl DrawnAtHotSpot {
    /// `None` without moisture.
    pub(super) fn of(facts: &Facts<'_>) -> Option<Self> {
        let assessed = facts.moisture.counting?.upper.value();
        let counted = facts.hot_spot.counted?.value();
        let credit = if counted < assessed { counted / assessed } else { 1.0 };
        let water = facts.moisture.drawn.clone()?;
        let mut drawn = Self { water, column: (0.0, 0.0), credit };
        let (median, upper) = drawn.at(facts.moisture.holding.factor.central);
        drawn.column = (median, (upper / median).ln());
        Some(drawn)
    }

    /// Median and 95 % point at a holding factor, %.
    fn at(&self, factor: f64) -> (f64, f64) {
        let (median, upper) = self.water.at(factor);
        let upper = (upper * self.credit).max(DRIEST);
        // A credit that makes the hot spot drier than the median of the bulk holds for both.
        (median.min(upper).max(DRIEST), upper)
    }

    /// As it is drawn where the holding factor has its central value.
    pub(super) fn distribution(&self) -> Found {
        let (median, width) = self.column;
        Ok((median, Distribution::log_normal(median, median * width.exp())?, false))
    }

    /// The water of a draw, %: `drawn` is the value of its column, `factor` its holding factor.
    pub(super) fn percent(&self, drawn: f64, factor: f64) -> f64 {
        let (median, width) = self.column;
        let widths = if width > 0.0 { (drawn / median).ln() / width } else { 0.0 };
        let (median, upper) = self.at(factor);
        (median * (upper / median).powf(widths)).min(100.0)
    }
}
