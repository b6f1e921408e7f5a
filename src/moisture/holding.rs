//! What aged paper still holds, and the water that is drawn for every holding factor.
//!
//! Aged paper holds less water at the same vapour pressure: with a holding factor `s`, 1 as new, paper with
//! `W` % by mass bubbles as new paper with `W/s` %. What oil says is about new paper already, a figure by mass
//! is divided by `s`. So a lower factor makes wetter what was measured by mass, and never anything drier.

/// What aged paper still holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Holding {
    /// The factor with which the evidence is shown.
    pub central: f64,
    /// The lowest that is drawn.
    pub lowest: f64,
}

impl Holding {
    /// Paper that holds what new paper holds.
    pub const AS_NEW: Self = Self { central: 1.0, lowest: 1.0 };

    /// A factor that is drawn evenly from a lower end to 1.
    pub fn drawn_from(lowest: f64) -> Self {
        Self { central: f64::midpoint(lowest, 1.0), lowest }
    }

    /// The lower end for paper of a degree of polymerisation.
    ///
    /// ```text
    /// 1.00 at DP 700 and above, in a straight line to 0.75 at DP 400 and below
    /// ```
    /// # Source       `project-choice`: no published relation was found. Paper is reported to hold less the more
    /// of its chains are broken; a quarter less at DP 400 costs about 10 K at 2 %.
    /// # Valid        Any degree of polymerisation.
    /// # Departures   None.
    /// # Checked      Not checked against published numbers.
    pub fn lowest_at(dp: f64) -> f64 {
        let (old, new) = (400.0, 700.0);
        let share = ((dp - old) / (new - old)).clamp(0.0, 1.0);
        LOWEST + (1.0 - LOWEST) * share
    }
}

/// The lower end where nothing is known of the paper.
pub const LOWEST: f64 = 0.75;

/// Holding factors are looked at by this, in 1/s.
const STEP: f64 = 0.05;

/// No holding factor below this is looked at.
const LEAST: f64 = 0.1;

/// Median and 95 % point of the water that is drawn, %, for every holding factor.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnWater {
    /// At 1/s = 1, 1 + [`STEP`] and so on, never falling.
    nodes: Vec<(f64, f64)>,
}

impl DrawnWater {
    /// Takes it from what the evidence amounts to at a holding factor.
    ///
    /// Between factors in straight lines in 1/s, which is exact for figures by mass. A lower factor makes two
    /// measurements agree that did not, and would narrow: so the wettest over all higher factors counts.
    pub(super) fn of(lowest: f64, at: impl Fn(f64) -> Option<(f64, f64)>) -> Option<Self> {
        let most = 1.0 / lowest.clamp(LEAST, 1.0);
        let mut nodes: Vec<(f64, f64)> = Vec::new();
        loop {
            #[allow(clippy::cast_precision_loss, reason = "at most some hundreds of nodes")]
            let times = 1.0 + STEP * nodes.len() as f64;
            let (median, upper) = at(1.0 / times)?;
            let last = nodes.last().copied().unwrap_or((median, upper));
            nodes.push((median.max(last.0), upper.max(last.1)));
            if times >= most {
                return Some(Self { nodes });
            }
        }
    }

    /// Median and 95 % point at a holding factor, %; one lower than was asked for counts as the lowest.
    pub fn at(&self, factor: f64) -> (f64, f64) {
        // Paper holds no more than new paper.
        let place = ((1.0 / factor.min(1.0) - 1.0) / STEP).max(0.0);
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and held to what there is"
        )]
        let below = (place.floor() as usize).min(self.nodes.len() - 1);
        let above = (below + 1).min(self.nodes.len() - 1);
        #[allow(clippy::cast_precision_loss, reason = "at most some hundreds of nodes")]
        let share = (place - below as f64).clamp(0.0, 1.0);
        let between = |from: f64, to: f64| from + (to - from) * share;
        let (from, to) = (self.nodes[below], self.nodes[above]);
        (between(from.0, to.0), between(from.1, to.1))
    }

    /// All of it times a factor.
    #[must_use]
    pub fn times(mut self, factor: f64) -> Self {
        for (median, upper) in &mut self.nodes {
            (*median, *upper) = (*median * factor, *upper * factor);
        }
        self
    }

    /// The 95 % point no lower than so much, %.
    #[must_use]
    pub fn at_least(mut self, percent: f64) -> Self {
        for (_, upper) in &mut self.nodes {
            *upper = upper.max(percent);
        }
        self
    }

    /// The wetter of two, in every point.
    #[must_use]
    pub fn wetter(mut self, other: &Self) -> Self {
        for (own, others) in self.nodes.iter_mut().zip(&other.nodes) {
            *own = (own.0.max(others.0), own.1.max(others.1));
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_lower_end_falls_with_the_degree_of_polymerisation() {
        for (dp, lowest) in
            [(1000.0, 1.0), (700.0, 1.0), (550.0, 0.875), (400.0, 0.75), (200.0, 0.75)]
        {
            assert_relative_eq!(Holding::lowest_at(dp), lowest);
        }
    }

    #[test]
    fn figures_by_mass_are_divided_exactly_and_a_lower_factor_is_never_drier() {
        let water = DrawnWater::of(0.75, |factor| Some((2.0 / factor, 2.5 / factor))).unwrap();
        for factor in [1.0, 0.97, 0.9, 0.851, 0.8, 0.75] {
            let (median, upper) = water.at(factor);
            assert_relative_eq!(median, 2.0 / factor, max_relative = 1.0e-12);
            assert_relative_eq!(upper, 2.5 / factor, max_relative = 1.0e-12);
        }
        let narrowed = DrawnWater::of(0.75, |factor| Some((factor, 3.0 * factor))).unwrap();
        assert_relative_eq!(narrowed.at(0.75).1, 3.0);
    }
}
