//! What is added up over a history, piece by piece.

use super::carried::Chunk;
use crate::ageing::rate::AgeingRate;
use crate::assessment::paper_life::{CostWithWater, cost_if_dry, cost_with_water};
use crate::assessment::plant::rate_of;
use crate::loading::long_history::HistoryRow;
use crate::quantities::{Celsius, MoisturePercent};
use crate::thermal::cooling::Cooling;
use crate::thermal::trajectory::{Peak, Sample};
use crate::unit::Unit;

/// The highest value so far and the form that gave it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Highest {
    pub(super) peak: Peak,
    pub(super) form: &'static str,
    /// Whether it is the beginning of a stretch, whose state is taken and not computed.
    pub(super) assumed: bool,
}

/// What is added up.
#[derive(Debug)]
pub(super) struct Tally {
    unit: Unit,
    counting: Option<MoisturePercent>,
    inception_c: Option<f64>,
    /// Margins below which the hours are counted, K.
    margins_k: [f64; 3],
    /// Hours with a margin below each of them.
    pub(super) hours_below: [f64; 3],
    pub(super) greatest_load: Option<(f64, f64)>,
    hot_spot: Option<Highest>,
    top_oil: Option<Highest>,
    /// Hours during which each form gave the hotter hot spot: IEC, IEEE.
    pub(super) hours_of: [f64; 3],
    /// Normal-life hours at the rate of the unit's paper.
    pub(super) life_hours: f64,
    if_dry: Option<Vec<CostWithWater>>,
    with_water: Option<Vec<CostWithWater>>,
    pub(super) greatest_stage_load: f64,
    /// Whether each stage was in service at any time in any model.
    pub(super) stages_used: Vec<bool>,
    /// Whether some temperature was no number.
    pub(super) broken: bool,
    /// Whether the life of the paper is asked for.
    life: bool,
}

impl Tally {
    pub(super) fn new(
        unit: &Unit,
        counting: Option<MoisturePercent>,
        inception_c: Option<f64>,
        margins_k: [f64; 3],
    ) -> Self {
        Self {
            unit: unit.clone(),
            counting,
            inception_c,
            margins_k,
            hours_below: [0.0; 3],
            greatest_load: None,
            hot_spot: None,
            top_oil: None,
            hours_of: [0.0; 3],
            life_hours: 0.0,
            if_dry: None,
            with_water: None,
            greatest_stage_load: 0.0,
            stages_used: Vec::new(),
            broken: false,
            life: true,
        }
    }

    /// The same with the life of the paper, or without.
    pub(super) fn with_life(self, life: bool) -> Self {
        Self { life, ..self }
    }

    pub(super) fn rate(&self) -> AgeingRate {
        rate_of(&self.unit)
    }

    pub(super) fn inception_c(&self) -> Option<f64> {
        self.inception_c
    }

    /// The hottest hot spot, if it is a number.
    pub(super) fn hot_spot(&self) -> Option<Highest> {
        self.hot_spot.filter(|_| !self.broken)
    }

    /// The hottest top oil, if it is a number.
    pub(super) fn top_oil(&self) -> Option<Highest> {
        self.top_oil.filter(|_| !self.broken)
    }

    /// What chain scission with water costs, by every set that reached through all of it.
    pub(super) fn with_water(&self) -> Vec<CostWithWater> {
        self.with_water.clone().unwrap_or_default()
    }

    /// The same if the paper were dry.
    pub(super) fn if_dry(&self) -> Vec<CostWithWater> {
        self.if_dry.clone().unwrap_or_default()
    }

    /// Takes the load of a row.
    pub(super) fn load(&mut self, row: HistoryRow) {
        if self.greatest_load.is_none_or(|(load_pu, _)| row.load_pu > load_pu) {
            self.greatest_load = Some((row.load_pu, row.minute));
        }
    }

    /// Takes one piece.
    pub(super) fn add(&mut self, cooling: &Cooling, chunk: &Chunk) {
        let began_min = chunk.began_min();
        let runs = chunk.runs();
        for (highest, peaks) in [
            (&mut self.hot_spot, runs.map(|(form, run)| (form, run.hot_spot))),
            (&mut self.top_oil, runs.map(|(form, run)| (form, run.top_oil))),
        ] {
            for (form, peak) in peaks {
                if highest.is_none_or(|known| peak.value_c > known.peak.value_c) {
                    let assumed = began_min.is_some_and(|began_min| peak.at_min <= began_min);
                    *highest = Some(Highest { peak, form, assumed });
                }
            }
        }
        self.stages(cooling, &runs.map(|(_, run)| &run.stages_used));
        for samples in runs.map(|(_, run)| &run.samples) {
            self.greatest_stage_load =
                self.greatest_stage_load.max(greatest_stage_load(cooling, samples));
            self.broken |= samples.iter().any(|sample| !sample.hot_spot_c.is_finite());
        }
        self.intervals(chunk);
        if self.life {
            self.life_of(chunk);
        }
    }

    fn life_of(&mut self, chunk: &Chunk) {
        let course: Vec<(f64, Celsius)> =
            chunk.samples().filter_map(|models| models.hottest_at()).collect();
        self.life_hours += self.rate().hours_used(&course);
        added(&mut self.if_dry, cost_if_dry(&self.unit, &course));
        if let Some(counting) = self.counting {
            added(&mut self.with_water, cost_with_water(&self.unit, counting.value(), &course));
        }
    }

    fn stages(&mut self, cooling: &Cooling, used: &[&Vec<bool>]) {
        self.stages_used.resize(cooling.stages.len(), false);
        for used in used {
            for (known, used) in self.stages_used.iter_mut().zip(*used) {
                *known |= *used;
            }
        }
    }

    /// Hours of each model and below each margin, interval by interval.
    fn intervals(&mut self, chunk: &Chunk) {
        let mut before: Option<(f64, f64, usize)> = None;
        for models in chunk.samples() {
            let (now_min, hot_spot_c) = (models.minute(), models.hot_spot_c());
            if let Some((minute, before_c, form)) = before {
                let hours = (now_min - minute) / 60.0;
                self.hours_of[form] += hours;
                self.below(before_c, hot_spot_c, hours);
            }
            before = Some((now_min, hot_spot_c, models.governing()));
        }
    }

    /// Counts an interval over which the hot spot goes straight from one value to another.
    fn below(&mut self, from_c: f64, to_c: f64, hours: f64) {
        let Some(inception_c) = self.inception_c else {
            return;
        };
        for (below, margin_k) in self.hours_below.iter_mut().zip(self.margins_k) {
            *below += hours * share_above(from_c, to_c, inception_c - margin_k);
        }
    }
}

/// Which share of a straight line from one value to another lies above a limit.
fn share_above(from: f64, to: f64, limit: f64) -> f64 {
    let (low, high) = (from.min(to), from.max(to));
    if low > limit {
        1.0
    } else if high > limit {
        (high - limit) / (high - low)
    } else {
        0.0
    }
}

/// The load of each interval over the weaker of the stages at its two ends.
fn greatest_stage_load(cooling: &Cooling, samples: &[Sample]) -> f64 {
    let rating = |stage: usize| cooling.stages[stage].rating_pu;
    let loads = samples
        .windows(2)
        .map(|pair| pair[0].load_pu / rating(pair[0].stage).min(rating(pair[1].stage)));
    loads.fold(0.0, f64::max)
}

/// Adds the costs of a piece.
fn added(known: &mut Option<Vec<CostWithWater>>, costs: Vec<CostWithWater>) {
    *known = Some(match known.take() {
        None => costs,
        Some(known) => together(known, &costs),
    });
}

/// Costs of two pieces together, by the sets that reach through both.
fn together(known: Vec<CostWithWater>, more: &[CostWithWater]) -> Vec<CostWithWater> {
    let both = known.into_iter().filter_map(|cost| {
        let more = more.iter().find(|more| more.set == cost.set)?;
        Some(CostWithWater {
            hours: cost.hours + more.hours,
            share_of_life: cost.share_of_life + more.share_of_life,
            at_least: cost.at_least || more.at_least,
            ..cost
        })
    });
    both.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_of_a_line_lies_above_a_limit() {
        let close = |found: f64, wanted: f64| assert!((found - wanted).abs() < 1.0e-12, "{found}");
        close(share_above(90.0, 110.0, 100.0), 0.5);
        close(share_above(110.0, 90.0, 105.0), 0.25);
        close(share_above(90.0, 90.0, 90.0), 0.0);
        close(share_above(91.0, 91.0, 90.0), 1.0);
        close(share_above(80.0, 89.0, 90.0), 0.0);
    }
}
