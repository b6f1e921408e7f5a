//! An axis that begins and ends at round figures.

/// An axis with round ticks.
#[derive(Debug, Clone, Copy)]
pub(super) struct RoundAxis {
    least: f64,
    step: f64,
    steps: u32,
}

impl RoundAxis {
    /// The narrowest axis that holds finite values in so many steps at most; `None` without any value.
    pub(super) fn around(values: impl Iterator<Item = f64>, most_steps: u32) -> Option<Self> {
        let ends = values.filter(|value| value.is_finite()).fold(None, |ends, value| {
            let (least, most) = ends.unwrap_or((value, value));
            Some((value.min(least), value.max(most)))
        });
        let (least, most) = ends?;
        let rounds = (-2..9).flat_map(|tens| [1.0, 2.0, 5.0].map(|of| of * 10_f64.powi(tens)));
        let mut found = rounds.filter_map(|step| {
            // A value at a tick must not fall beside it by its binary rounding.
            let first = (least / step + 1.0e-9).floor();
            let steps =
                (1..=most_steps).find(|steps| first + f64::from(*steps) >= most / step - 1.0e-9)?;
            Some(Self { least: first * step, step, steps })
        });
        found.next()
    }

    /// Where a value lies between the ends, 0 to 1.
    pub(super) fn share(&self, value: f64) -> f64 {
        ((value - self.least) / (self.step * f64::from(self.steps))).clamp(0.0, 1.0)
    }

    /// The ticks, the least first.
    pub(super) fn ticks(&self) -> impl DoubleEndedIterator<Item = f64> + use<> {
        let Self { least, step, steps } = *self;
        (0..=steps).map(move |tick| least + f64::from(tick) * step)
    }

    /// Decimals that tell the ticks apart.
    pub(super) fn decimals(&self) -> usize {
        [1.0, 0.1].iter().take_while(|finest| self.step < **finest - 1.0e-9).count()
    }

    /// The nearest of so many columns, at least two.
    pub(super) fn column(&self, value: f64, columns: usize) -> usize {
        let distance = |column: &usize| (fraction(*column, columns) - self.share(value)).abs();
        (0..columns).min_by(|a, b| distance(a).total_cmp(&distance(b))).unwrap_or(0)
    }

    /// The value at a column.
    pub(super) fn at(&self, column: usize, columns: usize) -> f64 {
        self.least + fraction(column, columns) * self.step * f64::from(self.steps)
    }
}

#[allow(clippy::cast_precision_loss, reason = "a few dozen columns")]
fn fraction(column: usize, columns: usize) -> f64 {
    column as f64 / (columns - 1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_at_round_figures_around_all_values() {
        let axis = RoundAxis::around([0.842, 1.4, f64::NAN].into_iter(), 12).unwrap();
        let ticks: Vec<String> = axis.ticks().map(|tick| format!("{tick:.2}")).collect();
        assert_eq!((ticks[0].as_str(), ticks[ticks.len() - 1].as_str()), ("0.80", "1.40"));
        assert_eq!(axis.decimals(), 2);
        assert!(RoundAxis::around(std::iter::empty(), 12).is_none());
        assert!(RoundAxis::around([1.0].into_iter(), 12).is_some_and(|axis| axis.share(1.0) < 1.0));
    }
}
