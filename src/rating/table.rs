//! Every cell of the table.

use super::question::{Ambient, Question};
use super::{Cell, governs::governs};
use crate::assessment::rated::{FromStart, Largest};
use crate::rules::limits::LimitSet;
use rayon::iter::{IntoParallelIterator, ParallelIterator};

/// Every cell of the table, by preload, ambient, limit set and duration.
pub fn cells(question: &Question) -> Vec<Cell> {
    let starts: Vec<(f64, &Ambient)> = question
        .preloads_pu
        .iter()
        .flat_map(|preload| question.ambients.iter().map(move |ambient| (*preload, ambient)))
        .collect();
    let found: Vec<Vec<Cell>> = starts
        .into_par_iter()
        .map(|(preload_pu, ambient)| from_start(question, preload_pu, ambient))
        .collect();
    found.into_iter().flatten().collect()
}

fn from_start(question: &Question, preload_pu: f64, ambient: &Ambient) -> Vec<Cell> {
    let asked: Vec<(&LimitSet, f64)> =
        question.asked().filter_map(|(set, min)| Some((set, min?))).collect();
    let Some(first) = asked.first().and_then(|first| question.case(preload_pu, ambient, *first))
    else {
        return Vec::new();
    };
    let mut start = FromStart::of(&first);
    let rated = asked.into_iter().filter_map(|(set, duration_min)| {
        let case = question.case(preload_pu, ambient, (set, duration_min))?;
        let found = start.largest(&case);
        Some(cell(preload_pu, ambient, set, (Some(duration_min), found)))
    });
    rated.collect()
}

fn cell(
    preload_pu: f64,
    ambient: &Ambient,
    set: &LimitSet,
    (duration_min, found): (Option<f64>, Largest),
) -> Cell {
    Cell {
        limits: set.name.clone(),
        preload_pu,
        ambient_c: ambient.line.at(0.0),
        from_min: ambient.from_min,
        duration_min,
        load_pu: found.load_pu,
        governs: governs(found.ended_by.as_ref(), found.load_pu.is_some()),
        allowance_k: found.allowance_k,
    }
}
