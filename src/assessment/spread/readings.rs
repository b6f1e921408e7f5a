//! What a reading of the top-oil thermometer says about the simulated cases that agree with it.

use super::LOW;
use super::drawn::{Drawn, IEC, IEEE, LAGGED};
use super::pairs::Inceptions;
use super::propagation::{hottest, steps};
use super::ready::Ready;
use crate::assessment::AmbientFelt;
use crate::assessment::case::Case;
use crate::assessment::course::Course;
use crate::assessment::plant::Plant;
use crate::assessment::possible::WhichStart;
use crate::thermal::detailed::Detailed;
use crate::thermal::ensemble::{Ensemble, Lanes, Moment, Steps, WIDTH, Watch};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::schedule::LoadSteps;
use crate::thermal::{Form, Model};

/// So many cases are enough for readings in whole kelvin; with more of them only some are followed.
const CASES: usize = 1024;

/// Fewer than so many cases that agree with a reading say nothing about it. Our choice: among 32 hot spots a few
/// are as hot as one in ten, and each is held against every inception temperature.
const ENOUGH: usize = 32;

/// So many hot spots stand for all that agree, the hottest of each group of neighbours.
const GROUPS: usize = 64;

/// Two minutes this close are one, min.
const SAME_MIN: f64 = 1.0e-6;

/// Simulated cases under a load: the top oil of each at some minutes, and its hottest hot spot.
#[derive(Debug)]
pub(in crate::assessment) struct Readings<'a> {
    /// For each start and ambient that was looked at and each minute (top oil, hottest hot spot), °C, by top oil.
    by_start: Vec<Vec<Vec<(f64, f64)>>>,
    inceptions: &'a Inceptions,
    /// 5 % point of the margin of all cases, K.
    p05_k: f64,
}

/// What the cases that agree with a reading have in common.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::assessment) struct Agreeing {
    /// How far their 5 % point of the margin lies above that of all cases, K; negative below it.
    pub(in crate::assessment) above_all_k: f64,
    /// Median of their hottest hot spots, °C.
    pub(in crate::assessment) hot_spot_c: f64,
}

impl<'a> Readings<'a> {
    /// Takes cases through a load. Readings are compared with the oil of the model that governs the course; the hot spot
    /// is that of the hottest. The detailed model's oil in a case lies as far from the IEEE form's as without draws.
    pub(in crate::assessment) fn of(
        (case, plant, ready): (&Case, &Plant<'_>, &'a Ready),
        load: &LoadSteps,
        (minutes, course): (&[f64], &Course),
    ) -> Self {
        let one_in = (ready.thermal_draws() / CASES).max(1);
        let under = ready.under((case, plant), load, course);
        let steps = steps(case, plant, &ready.inputs, load, case.request.loading.end_min);
        let by = course.hot_spot().form;
        let off_k = if by == Detailed::NAME { off_k(course, minutes) } else { Vec::new() };
        let from = |which| {
            let some = ready.one_in(one_in, which);
            let lift = ready.lift((case, plant), (load, course), ready.started(which));
            let until_min = plant.until_min(case);
            let hot_c = hottest(case, plant, &ready.inputs, &some, (load, &lift), until_min);
            let seen = (&some, minutes);
            let at_once = || top_oil((IEEE, &Ieee::default()), plant, &steps, seen);
            let lagged = || top_oil((LAGGED, &Ieee::LAGGED), plant, &steps, seen);
            let oil_c = match (by, course.ambient()) {
                (<Iec as Form>::NAME, _) => {
                    vec![top_oil((IEC, &Iec::default()), plant, &steps, seen)]
                }
                // The thermometer is held against either.
                (<Ieee as Form>::NAME, _) if some.lagged() => vec![at_once(), lagged()],
                (_, AmbientFelt::AtOnce) => vec![at_once()],
                (_, AmbientFelt::ThroughTheOil) => vec![lagged()],
            };
            let off_k = |place: usize| off_k.get(place).copied().unwrap_or(0.0);
            let by_minute = |oil_c: Vec<Vec<f64>>| -> Vec<Vec<(f64, f64)>> {
                let pairs = |place| by_oil((place, off_k(place)), &oil_c, &hot_c);
                (0..minutes.len()).map(pairs).collect()
            };
            oil_c.into_iter().map(by_minute).collect::<Vec<_>>()
        };
        // Fans that start later leave cooler oil above a hotter winding: cases from either may agree with a reading.
        let mut by_start = from(WhichStart::Stated);
        if under.which != WhichStart::Stated {
            by_start.extend(from(under.which));
        }
        let inceptions = &ready.inceptions;
        let p05_k = inceptions.margin_k(&in_groups(under.hot_spot_c), LOW);
        Self { by_start, inceptions, p05_k }
    }

    /// The cases whose top oil at a minute lies within `tolerance_k` of a reading; `None` where they are too few.
    pub(in crate::assessment) fn agreeing(
        &self,
        place: usize,
        reading_c: f64,
        tolerance_k: f64,
    ) -> Option<Agreeing> {
        let agreeing = self.by_start.iter().filter_map(|by_minute| {
            self.agreeing_from(by_minute.get(place)?, reading_c, tolerance_k)
        });
        agreeing.reduce(|one, other| Agreeing {
            above_all_k: one.above_all_k.min(other.above_all_k),
            hot_spot_c: one.hot_spot_c.max(other.hot_spot_c),
        })
    }

    fn agreeing_from(
        &self,
        pairs: &[(f64, f64)],
        reading_c: f64,
        tolerance_k: f64,
    ) -> Option<Agreeing> {
        let from = pairs.partition_point(|pair| pair.0 < reading_c - tolerance_k);
        let until = pairs.partition_point(|pair| pair.0 <= reading_c + tolerance_k);
        let hot_c: Vec<f64> = pairs.get(from..until)?.iter().map(|pair| pair.1).collect();
        if hot_c.len() < ENOUGH {
            return None;
        }
        let groups = in_groups(hot_c);
        let margin_k = self.inceptions.margin_k(&groups, LOW);
        Some(Agreeing { above_all_k: margin_k - self.p05_k, hot_spot_c: groups[groups.len() / 2] })
    }
}

/// Top oil at one of the minutes and hottest hot spot of each case, °C, by top oil.
fn by_oil((place, off_k): (usize, f64), oil_c: &[Vec<f64>], hot_c: &[f64]) -> Vec<(f64, f64)> {
    let known = |c: &Vec<f64>| c.get(place).map_or(f64::NAN, |c| c + off_k);
    let mut pairs: Vec<(f64, f64)> = oil_c.iter().map(known).zip(hot_c.iter().copied()).collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    pairs
}

/// How far the detailed model's oil lies above the IEEE form's at some minutes, K.
fn off_k(course: &Course, minutes: &[f64]) -> Vec<f64> {
    let at = |minute: &f64| {
        let found = course.samples().find(|models| (models.minute() - minute).abs() < SAME_MIN);
        found.map_or(f64::NAN, |models| models.detailed.top_oil_c - models.ieee.top_oil_c)
    };
    minutes.iter().map(at).collect()
}

/// The hottest of each of some groups of neighbours, ascending.
fn in_groups(mut hot_c: Vec<f64>) -> Vec<f64> {
    hot_c.sort_by(f64::total_cmp);
    let count = hot_c.len().clamp(1, GROUPS);
    let last = |group: usize| ((group + 1) * hot_c.len() / count).saturating_sub(1);
    (0..count).filter_map(|group| hot_c.get(last(group)).copied()).collect()
}

/// Top oil of each draw in one form at some minutes, °C.
fn top_oil<F: Form>(
    (place, form): (usize, &F),
    plant: &Plant<'_>,
    steps: &Steps,
    (drawn, minutes): (&Drawn, &[f64]),
) -> Vec<Vec<f64>> {
    let ensemble = Ensemble::new(form, steps, &plant.cooling, drawn.common);
    let watch = |_: &[usize; WIDTH]| Thermometer { minutes, seen: Vec::new() };
    let of_lane = |own: &Thermometer<'_>, lane: usize| own.seen.iter().map(|c| c.0[lane]).collect();
    let member = |draw| drawn.member(place, draw);
    let found: Vec<_> = ensemble.run(drawn.count(), member, watch, of_lane);
    found.into_iter().map(|outcome| outcome.seen).collect()
}

/// Keeps the top oil at some minutes.
struct Thermometer<'a> {
    minutes: &'a [f64],
    seen: Vec<Lanes<WIDTH>>,
}

impl Watch<WIDTH> for Thermometer<'_> {
    const PEAKS: bool = false;
    const TOP_OIL: bool = false;

    fn see(&mut self, moment: &Moment<'_, WIDTH>) {
        let next = self.minutes.get(self.seen.len());
        if next.is_some_and(|next| (moment.minute() - next).abs() < SAME_MIN) {
            self.seen.push(*moment.top_oil_c);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn groups_stand_for_all_on_the_hot_side() {
        let hot_c: Vec<f64> = (0..1000).rev().map(f64::from).collect();
        let groups = in_groups(hot_c);
        assert_eq!(groups.len(), GROUPS);
        assert!((groups[GROUPS - 1] - 999.0).abs() < 1.0e-9, "the hottest stands for its group");
        assert!(groups[GROUPS / 2] >= 500.0, "and the middle is no cooler than the median");
        assert!(in_groups(Vec::new()).is_empty());
        assert_eq!(in_groups(vec![3.0, 1.0]), [1.0, 3.0]);
    }
}
