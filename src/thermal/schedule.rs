//! Load and ambient as functions of time.

/// Load in steps: each value is held until the next one, the last one for ever.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadSteps {
    steps: Vec<(f64, f64)>,
}

/// Ambient as straight lines between knots, level before the first and after the last.
#[derive(Debug, Clone, PartialEq)]
pub struct AmbientLine {
    knots: Vec<(f64, f64)>,
}

impl LoadSteps {
    /// Takes `(minute, load_pu)` pairs; `None` if empty, unsorted or not finite.
    pub fn new(steps: Vec<(f64, f64)>) -> Option<Self> {
        ascending(&steps).then_some(Self { steps })
    }

    /// A load that never changes, per unit.
    pub fn constant(load_pu: f64) -> Self {
        Self { steps: vec![(0.0, load_pu)] }
    }

    /// Load at a minute, per unit; a step counts from its own minute on.
    pub fn at(&self, minute: f64) -> f64 {
        let after = self.steps.partition_point(|step| step.0 <= minute);
        self.steps[after.saturating_sub(1)].1
    }

    /// The same as [`Self::at`] for a minute not before the last one asked with this cursor.
    pub fn at_or_after(&self, cursor: &mut usize, minute: f64) -> f64 {
        advance(&self.steps, cursor, minute);
        self.steps[cursor.saturating_sub(1)].1
    }

    /// The `(minute, load_pu)` pairs.
    pub fn steps(&self) -> &[(f64, f64)] {
        &self.steps
    }

    /// The greatest load from `from_min` on, before `until_min`.
    pub fn greatest_between(&self, from_min: f64, until_min: f64) -> f64 {
        let inside = self.steps.iter().filter(|s| s.0 > from_min && s.0 < until_min);
        inside.map(|s| s.1).fold(self.at(from_min), f64::max)
    }

    /// The same shape with every load before `until_min` multiplied by `factor`.
    #[must_use]
    pub fn scaled_before(&self, until_min: f64, factor: f64) -> Self {
        let scale = |&(minute, load): &(f64, f64)| {
            let factor = if minute < until_min { factor } else { 1.0 };
            (minute, load * factor)
        };
        Self { steps: self.steps.iter().map(scale).collect() }
    }

    /// The same with no load above this.
    #[must_use]
    pub fn capped(&self, at_most_pu: f64) -> Self {
        Self { steps: self.steps.iter().map(|step| (step.0, step.1.min(at_most_pu))).collect() }
    }

    /// What lies between two minutes, with minutes counted from the first of them.
    #[must_use]
    pub fn part(&self, from_min: f64, until_min: f64) -> Self {
        let from = self.steps.partition_point(|step| step.0 <= from_min);
        let until = self.steps.partition_point(|step| step.0 < until_min).max(from);
        let mut steps = Vec::with_capacity(2 + until - from);
        steps.push((0.0, self.at(from_min)));
        steps.extend(self.steps[from..until].iter().map(|step| (step.0 - from_min, step.1)));
        Self { steps }
    }

    /// The same with another load from a minute on, for ever.
    #[must_use]
    pub fn followed_by(mut self, until_min: f64, load_pu: f64) -> Self {
        self.steps.retain(|step| step.0 < until_min);
        self.steps.push((until_min, load_pu));
        self
    }

    /// The same shape with the last load before `until_min` held for ever.
    #[must_use]
    pub fn held_after(&self, until_min: f64) -> Self {
        let kept = self.steps.iter().filter(|step| step.0 < until_min);
        Self { steps: kept.copied().collect() }
    }
}

impl AmbientLine {
    /// Takes `(minute, ambient_c)` pairs; `None` if empty, unsorted or not finite.
    pub fn new(knots: Vec<(f64, f64)>) -> Option<Self> {
        ascending(&knots).then_some(Self { knots })
    }

    /// Ambient that never changes, °C.
    pub fn constant(ambient_c: f64) -> Self {
        Self { knots: vec![(0.0, ambient_c)] }
    }

    /// Whether it never changes.
    pub(crate) fn is_level(&self) -> bool {
        self.knots.iter().all(|knot| knot.1.to_bits() == self.knots[0].1.to_bits())
    }

    /// Ambient at a minute, °C.
    pub fn at(&self, minute: f64) -> f64 {
        self.between(self.knots.partition_point(|knot| knot.0 <= minute), minute)
    }

    /// The same as [`Self::at`] for a minute not before the last one asked with this cursor.
    pub fn at_or_after(&self, cursor: &mut usize, minute: f64) -> f64 {
        advance(&self.knots, cursor, minute);
        self.between(*cursor, minute)
    }

    /// This line up to its last knot, and from there to `until_min` another one.
    #[must_use]
    pub fn continued(&self, other: &Self, until_min: f64) -> Self {
        let mut knots = self.knots.clone();
        let last_min = knots[knots.len() - 1].0;
        let between = |knot: &&(f64, f64)| knot.0 > last_min && knot.0 < until_min;
        knots.extend(other.knots.iter().filter(between));
        if last_min < until_min {
            knots.push((until_min, other.at(until_min)));
        }
        Self { knots }
    }

    /// What lies between two minutes, with minutes counted from the first of them.
    #[must_use]
    pub fn part(&self, from_min: f64, until_min: f64) -> Self {
        let from = self.knots.partition_point(|knot| knot.0 <= from_min);
        let until = self.knots.partition_point(|knot| knot.0 < until_min).max(from);
        let mut knots = Vec::with_capacity(2 + until - from);
        knots.push((0.0, self.at(from_min)));
        knots.extend(self.knots[from..until].iter().map(|knot| (knot.0 - from_min, knot.1)));
        if until_min > from_min {
            knots.push((until_min - from_min, self.at(until_min)));
        }
        Self { knots }
    }

    fn between(&self, after: usize, minute: f64) -> f64 {
        if after == 0 {
            return self.knots[0].1;
        }
        let (left, right) = (self.knots[after - 1], self.knots.get(after));
        match right {
            None => left.1,
            Some(right) => left.1 + (right.1 - left.1) * (minute - left.0) / (right.0 - left.0),
        }
    }

    /// The `(minute, ambient_c)` pairs.
    pub fn knots(&self) -> &[(f64, f64)] {
        &self.knots
    }
}

/// Moves a cursor past every point at or before a minute.
fn advance(points: &[(f64, f64)], cursor: &mut usize, minute: f64) {
    while points.get(*cursor).is_some_and(|point| point.0 <= minute) {
        *cursor += 1;
    }
}

fn ascending(points: &[(f64, f64)]) -> bool {
    !points.is_empty()
        && points.iter().all(|p| p.0.is_finite() && p.1.is_finite())
        && points.windows(2).all(|pair| pair[0].0 < pair[1].0)
}

/// The minutes at which anything changes or a sample is wanted, in order.
pub fn breakpoints(
    from_min: f64,
    until_min: f64,
    load: &LoadSteps,
    ambient: &AmbientLine,
    samples: &[f64],
) -> Vec<f64> {
    let inside = |minute: &f64| *minute > from_min && *minute < until_min;
    let most = 2 + load.steps.len() + ambient.knots.len() + samples.len();
    let mut minutes = Vec::with_capacity(most);
    minutes.extend([from_min, until_min]);
    minutes.extend(load.steps.iter().map(|s| s.0).filter(inside));
    minutes.extend(ambient.knots.iter().map(|k| k.0).filter(inside));
    minutes.extend(samples.iter().copied().filter(inside));
    minutes.sort_by(f64::total_cmp);
    // Equal ones alone: a load step a rounding error after a sample is a breakpoint too, or it would wait for the next.
    minutes.dedup();
    minutes
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_load_step_counts_from_its_own_minute_on() {
        let load = LoadSteps::new(vec![(0.0, 1.3), (45.0, 1.1)]).unwrap();
        assert_relative_eq!(load.at(44.999), 1.3);
        assert_relative_eq!(load.at(45.0), 1.1);
        assert_relative_eq!(load.at(1.0e6), 1.1);
        assert_relative_eq!(load.at(-5.0), 1.3);
    }

    #[test]
    fn ambient_is_a_straight_line_between_knots() {
        let ambient = AmbientLine::new(vec![(0.0, 20.0), (60.0, 26.0)]).unwrap();
        assert_relative_eq!(ambient.at(30.0), 23.0);
        assert_relative_eq!(ambient.at(-10.0), 20.0);
        assert_relative_eq!(ambient.at(90.0), 26.0);
    }

    #[test]
    fn a_part_is_the_same_seen_from_its_own_start() {
        let load = LoadSteps::new(vec![(0.0, 1.3), (45.0, 1.1), (90.0, 0.9)]).unwrap();
        assert_eq!(load.part(30.0, 90.0).steps(), &[(0.0, 1.3), (15.0, 1.1)]);
        assert_eq!(load.part(45.0, 46.0).followed_by(1.0, 0.5).steps(), &[(0.0, 1.1), (1.0, 0.5)]);
        assert_eq!(load.part(500.0, 600.0).steps(), &[(0.0, 0.9)]);
        assert_eq!(load.capped(1.2).steps(), &[(0.0, 1.2), (45.0, 1.1), (90.0, 0.9)]);
        let ambient = AmbientLine::new(vec![(0.0, 20.0), (60.0, 26.0), (120.0, 20.0)]).unwrap();
        let part = ambient.part(30.0, 90.0);
        assert_eq!(part.knots(), &[(0.0, 23.0), (30.0, 26.0), (60.0, 23.0)]);
    }

    #[test]
    fn an_instant_a_rounding_error_after_a_sample_is_kept() {
        let later = (0.1 + 0.1 + 0.1) * 60.0;
        assert!(
            later > 18.0 && later - 18.0 < 1.0e-12,
            "three times 0.1 h is no 18 min: {later:e}"
        );
        let load = LoadSteps::new(vec![(0.0, 1.0), (later, 1.5)]).unwrap();
        let ambient = AmbientLine::constant(20.0);
        let minutes = breakpoints(0.0, 20.0, &load, &ambient, &[17.0, 18.0, 18.0, 19.0]);
        assert_eq!(minutes, [0.0, 17.0, 18.0, later, 19.0, 20.0]);
    }

    #[test]
    fn refuses_what_is_not_a_function_of_time() {
        assert!(LoadSteps::new(vec![]).is_none());
        assert!(LoadSteps::new(vec![(0.0, 1.0), (0.0, 1.2)]).is_none());
        assert!(LoadSteps::new(vec![(0.0, f64::NAN)]).is_none());
        assert!(AmbientLine::new(vec![(5.0, 20.0), (0.0, 21.0)]).is_none());
    }
}
