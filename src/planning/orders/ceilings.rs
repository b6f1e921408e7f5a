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
    /// Top oil at the end above which the load is too much for this unit, °C; `null` without a load.
    pub top_oil_c: Option<f64>,
}

/// A temperature that may not be exceeded, whatever the load.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NotAbove {
    /// The temperature, °C.
    pub c: f64,
    /// Why: `bubbling`, `hot-spot` or `top-oil`, as in the limits of `check`.
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
        let last = assessment.as_ref().and_then(|assessment| assessment.watch.last());
        ceiling.top_oil_c = last.map(|point| point.stop_above_c);
        (ceiling, assessment)
    };
    let found: Vec<(Ceiling, Option<Assessment>)> = cells.par_iter().map(one).collect();
    let (ceilings, assessed): (Vec<_>, Vec<_>) = found.into_iter().unzip();
    (ceilings, assessed.into_iter().flatten().collect())
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
