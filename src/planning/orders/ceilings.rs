//! Load ceilings, and what thermometers may not exceed, from the assessment of each ceiling.

use crate::assessment::rated::FromStart;
use crate::assessment::{Assessment, assess};
use crate::rating::question::{ANY_MIN, Question};
use crate::rating::{Cell, Governs};
use rayon::iter::{IntoParallelRefIterator, ParallelIterator};
use serde::Serialize;

/// The greatest load for a duration and an ambient.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ceiling {
    /// Duration, min; `null`: continuous.
    pub duration_min: Option<f64>,
    /// Ambient, °C.
    pub ambient_c: f64,
    /// The load, pu, that of a series element where that is lower; `null`: none.
    pub load_pu: Option<f64>,
    /// What ends the transformer's own rating.
    pub governs: Governs,
    /// Whether a colder ambient or a shorter time holds it down.
    pub held: bool,
    /// The series element that allows less than the transformer, if one does.
    pub series_element: Option<String>,
    /// Whether what the series elements allow is not known.
    pub series_unknown: bool,
    /// Stop value of the top oil, °C: the last one of the watch card of its `check`, never above what bubbling or the
    /// limits allow; `null`: there is none, and the thermometer says nothing about this ceiling.
    pub top_oil_c: Option<f64>,
    /// Whether the top-oil thermometer guards it: false without a load, and where there is no stop value.
    pub guarded: bool,
}

/// A temperature that may not be exceeded, whatever the load.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NotAbove {
    /// The temperature, °C.
    pub c: f64,
    /// Why: `bubbling` or `hot-spot`, as in the limits of `check`; `ceilings`: the lowest stop value of all ceilings.
    pub because: &'static str,
    /// Source of that.
    pub source: String,
}

impl NotAbove {
    /// The lowest limit on some quantities over all assessments.
    pub(super) fn lowest(assessed: &[Assessment], quantities: &[&str]) -> Option<Self> {
        let lines = assessed.iter().flat_map(|assessment| &assessment.limits);
        let own = lines.filter(|line| quantities.contains(&line.quantity));
        let lowest = own.min_by(|one, other| one.limit.total_cmp(&other.limit))?;
        Some(Self { c: lowest.limit, because: lowest.quantity, source: lowest.source.clone() })
    }

    /// The lowest stop value of the top oil over all ceilings. One figure for all of them cannot be more than that, and
    /// there is none where the thermometer does not guard one of them. Our choice: a figure that is too high for one
    /// ceiling would be read as leave to go up to it.
    pub(super) fn lowest_stop(ceilings: &[Ceiling]) -> Option<Self> {
        let loaded = || ceilings.iter().filter(|ceiling| ceiling.load_pu.is_some());
        if !loaded().all(|ceiling| ceiling.guarded) {
            return None;
        }
        let lowest = loaded().filter_map(|ceiling| ceiling.top_oil_c).reduce(f64::min)?;
        Some(Self { c: lowest, because: "ceilings", source: "project-choice".to_owned() })
    }
}

/// The ceilings, and the assessment of every one that has a load. A load that `check` would not let go has no place
/// among them.
pub(super) fn ceilings(question: &Question, cells: &[Cell]) -> (Vec<Ceiling>, Vec<Assessment>) {
    let settled_min = FromStart::of(&question.any_case()).settled_after_min();
    let one = |cell: &Cell| {
        let mut ceiling = of(cell);
        let assessment = ceiling.load_pu.and_then(|load_pu| {
            checked(question, cell, load_pu, cell.duration_min.unwrap_or(settled_min))
        });
        ceiling.load_pu = ceiling.load_pu.filter(|_| assessment.is_some());
        ceiling.top_oil_c = assessment.as_ref().and_then(stop_c);
        let guard = assessment.as_ref().and_then(|assessment| assessment.watch_guard.as_ref());
        ceiling.guarded = ceiling.top_oil_c.is_some() && guard.is_none_or(|guard| guard.guarded);
        (ceiling, assessment)
    };
    let found: Vec<(Ceiling, Option<Assessment>)> = cells.par_iter().map(one).collect();
    let (ceilings, assessed): (Vec<_>, Vec<_>) = found.into_iter().unzip();
    (ceilings, assessed.into_iter().flatten().collect())
}

/// The stop value at the end of the load, °C: that of the watch card, never above any limit of the oil or the hot spot,
/// whatever the card says.
fn stop_c(assessment: &Assessment) -> Option<f64> {
    let stop_c = assessment.watch.last()?.stop_above_c;
    let temperatures = ["bubbling", "hot-spot", "top-oil"];
    let limits = assessment.limits.iter().filter(|line| temperatures.contains(&line.quantity));
    let lowest_c = limits.map(|line| line.limit).fold(stop_c, f64::min);
    // A card without a figure must not turn into the limit itself.
    stop_c.is_finite().then_some(lowest_c)
}

fn of(cell: &Cell) -> Ceiling {
    let facility = cell.facility.as_ref();
    let lower = facility.and_then(|facility| {
        let load_pu = facility.load_pu.filter(|pu| cell.load_pu.is_some_and(|own| *pu < own))?;
        Some((load_pu, facility.lowest.clone()))
    });
    Ceiling {
        duration_min: cell.duration_min,
        ambient_c: cell.ambient_c,
        load_pu: lower.as_ref().map(|lower| lower.0).or(cell.load_pu),
        governs: cell.governs.clone(),
        held: cell.held_by.is_some(),
        series_element: lower.map(|lower| lower.1),
        series_unknown: cell.load_pu.is_some() && facility.is_some_and(|own| own.load_pu.is_none()),
        top_oil_c: None,
        guarded: false,
    }
}

/// The assessment of a load under the conditions of a cell; `None` unless it may go.
fn checked(question: &Question, cell: &Cell, load_pu: f64, minutes: f64) -> Option<Assessment> {
    let same = |c: f64| c.to_bits() == cell.ambient_c.to_bits();
    let ambient = question.ambients.iter().find(|ambient| same(ambient.line.at(0.0)))?;
    let set = question.sets.first()?;
    let minutes = if minutes > 0.0 { minutes } else { ANY_MIN };
    let mut case = question.case(cell.preload_pu, ambient, (set, minutes))?;
    let loading = &mut case.request.loading;
    loading.load = loading.load.scaled_before(loading.end_min, load_pu);
    Some(assess(&case)).filter(|assessment| assessment.verdict.permits())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rating::Limiting;

    fn ceiling(top_oil_c: Option<f64>) -> Ceiling {
        let governs = Governs { what: Limiting::Bubbling, code: None, words: String::new() };
        Ceiling {
            duration_min: None,
            ambient_c: 20.0,
            load_pu: Some(1.0),
            governs,
            held: false,
            series_element: None,
            series_unknown: false,
            top_oil_c,
            guarded: top_oil_c.is_some(),
        }
    }

    #[test]
    fn one_figure_for_all_ceilings_is_the_lowest_and_there_is_none_where_one_is_not_guarded() {
        let all = [Some(74.0), Some(66.5), Some(81.0)].map(ceiling);
        assert_eq!(
            NotAbove::lowest_stop(&all).map(|own| own.c.to_bits()),
            Some(66.5_f64.to_bits())
        );
        let with = |last: Ceiling| [ceiling(Some(74.0)), last];
        assert_eq!(NotAbove::lowest_stop(&with(ceiling(None))), None);
        let unguarded = Ceiling { guarded: false, ..ceiling(Some(70.0)) };
        assert_eq!(NotAbove::lowest_stop(&with(unguarded)), None);
        // Where no load is permitted there is nothing to guard.
        let no_load = Ceiling { load_pu: None, ..ceiling(None) };
        assert!(NotAbove::lowest_stop(&with(no_load)).is_some());
        assert_eq!(NotAbove::lowest_stop(&[]), None);
    }
}
