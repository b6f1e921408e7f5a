//! A long series of evenly spaced samples, gone through piece by piece in memory that is used again.

use super::super::cooling::Cooling;
use super::super::steps::Steps;
use super::super::trajectory::{Peak, Sample};
use super::balance::Heat;
use super::course::{Way, higher};
use super::plate::Rated;

/// The detailed model on its way through a series; the other forms have [`crate::thermal::series::Series`].
#[derive(Debug)]
pub struct Series<'a> {
    cooling: &'a Cooling,
    stages: &'a [Rated],
    step_min: f64,
    steps: Steps,
    /// Where it stands.
    pub heat: Heat,
    /// Stage in service.
    pub stage: usize,
    /// Minute at which it stands.
    pub minute: f64,
    /// Highest hot spot so far.
    pub hot_spot: Peak,
    /// Highest top oil so far.
    pub top_oil: Peak,
}

impl<'a> Series<'a> {
    /// Begins at minute 0; a sample every `step_min`.
    pub fn new(
        stages: &'a [Rated],
        cooling: &'a Cooling,
        (heat, stage): (Heat, usize),
        step_min: f64,
    ) -> Self {
        let none = Peak { value_c: f64::NEG_INFINITY, at_min: 0.0 };
        let steps = Steps::default();
        Self {
            cooling,
            stages,
            step_min,
            steps,
            heat,
            stage,
            minute: 0.0,
            hot_spot: none,
            top_oil: none,
        }
    }

    /// Goes on over one piece: a load for each step, per unit, and the ambient at its start, °C, with one more at the end of
    /// the last step. Between samples the ambient is a straight line.
    ///
    /// `each` sees the first sample too, which is the last one of the piece before. Without steps, or with another number
    /// of ambients than of loads and one, nothing happens.
    pub fn advance(&mut self, load_pu: &[f64], ambient_c: &[f64], each: impl FnMut(Sample)) {
        if load_pu.is_empty() || ambient_c.len() != load_pu.len() + 1 {
            return;
        }
        self.steps.fill((self.minute, self.step_min), load_pu, ambient_c);
        let begin = (self.heat, self.stage);
        let mut way = Way::new(self.cooling, self.stages, &self.steps, begin, each);
        way.go();
        (self.heat, self.stage) = (way.heat, way.stage);
        for (highest, peak) in
            [(&mut self.hot_spot, way.hot_spot), (&mut self.top_oil, way.top_oil)]
        {
            higher(highest, peak.value_c, peak.at_min);
        }
        self.minute = self.steps.minutes[load_pu.len()];
    }
}
