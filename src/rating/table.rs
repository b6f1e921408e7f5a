//! Every cell of the table.

use super::question::{Ambient, Question};
use super::{Cell, governs::governs};
use crate::assessment::rated::{FromStart, Guide, Largest};
use crate::rules::limits::LimitSet;
use rayon::iter::{IntoParallelIterator, IntoParallelRefIterator, ParallelIterator};

/// Every cell of the table, by preload, ambient, limit set and duration.
pub fn cells(question: &Question) -> Vec<Cell> {
    let starts: Vec<(f64, &Ambient)> = question
        .preloads_pu
        .iter()
        .flat_map(|preload| question.ambients.iter().map(move |ambient| (*preload, ambient)))
        .collect();
    let asked: Vec<(&LimitSet, f64)> =
        question.asked().filter_map(|(set, min)| Some((set, min?))).collect();
    // In the middle the draws are most like those of all others.
    let Some(middle) = starts.get(starts.len() / 2) else { return Vec::new() };
    let guides: Vec<Option<Guide>> =
        asked.par_iter().map(|asked| guide(question, *middle, *asked)).collect();
    let from_start = |start: (f64, &Ambient)| from_start(question, start, &asked, &guides);
    let found: Vec<Vec<Cell>> = starts.into_par_iter().map(from_start).collect();
    found.into_iter().flatten().collect()
}

fn guide(
    question: &Question,
    (preload_pu, ambient): (f64, &Ambient),
    asked: (&LimitSet, f64),
) -> Option<Guide> {
    let case = question.case(preload_pu, ambient, asked)?;
    FromStart::of(&case).guide(&case)
}

fn from_start(
    question: &Question,
    (preload_pu, ambient): (f64, &Ambient),
    asked: &[(&LimitSet, f64)],
    guides: &[Option<Guide>],
) -> Vec<Cell> {
    let first = asked.first().and_then(|first| question.case(preload_pu, ambient, *first));
    let Some(first) = first else { return Vec::new() };
    let mut start = FromStart::of(&first);
    let rated = asked.iter().zip(guides).filter_map(|((set, duration_min), guide)| {
        let case = question.case(preload_pu, ambient, (set, *duration_min))?;
        let found = start.largest(&case, guide.as_ref());
        Some(cell(preload_pu, ambient, set, (Some(*duration_min), found)))
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
