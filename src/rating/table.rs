//! Every cell of the table.

use super::question::{ANY_MIN, Ambient, Question};
use super::starts::Starts;
use super::{Cell, Governs, HeldBy, Limiting, governs::governs};
use crate::assessment::rated::{FromStart, Largest};
use crate::rules::limits::LimitSet;

/// No load above this is rated, pu: the highest ceiling of any loading guide.
pub const GREATEST_PU: f64 = 2.0;

/// A limit set and a duration.
type Asked<'a> = (&'a LimitSet, Option<f64>);

/// Every cell of the table, by limit set, preload, ambient and duration.
///
/// A rating holds for up to its preload, ambient and duration: none is searched above those of the cells
/// below it. Ambients of a forecast follow each other in time, and none holds another down.
pub fn cells(question: &Question) -> Vec<Cell> {
    let asked: Vec<Asked<'_>> = question.asked().collect();
    let (rows, columns) = (question.preloads_pu.len(), question.ambients.len());
    let table = Table { question, asked: &asked };
    let starts = Starts::new(rows, columns, !question.is_forecast());
    rayon::scope(|scope| starts.begin(scope, &table));
    in_order(&starts.cells(), &asked)
}

/// The cells of all starts, one limit set after the other.
fn in_order(found: &[Vec<Cell>], asked: &[Asked<'_>]) -> Vec<Cell> {
    let mut sets: Vec<&str> = asked.iter().map(|(set, _)| set.name.as_str()).collect();
    sets.dedup();
    let all = || found.iter().flatten();
    sets.iter().flat_map(|set| all().filter(move |cell| cell.limits == *set).cloned()).collect()
}

/// What every start is rated by.
pub(super) struct Table<'a> {
    question: &'a Question,
    asked: &'a [Asked<'a>],
}

/// The cells of one start.
#[derive(Debug, Default)]
pub(super) struct Rated {
    pub(super) cells: Vec<Cell>,
}

impl Table<'_> {
    /// The cells of one start; `neighbours` are those that hold it down.
    pub(super) fn start(
        &self,
        (row, column): (usize, usize),
        neighbours: &[Option<&Rated>],
    ) -> Rated {
        let (preload_pu, ambient) =
            (self.question.preloads_pu[row], &self.question.ambients[column]);
        let first = self.asked.first().map(|(set, _)| (*set, ANY_MIN));
        let case = first.and_then(|first| self.question.case(preload_pu, ambient, first));
        let mut start = case.as_ref().map(FromStart::of);
        let mut cells: Vec<Cell> = Vec::with_capacity(self.asked.len());
        for (index, asked) in self.asked.iter().enumerate() {
            let shorter = cells.last().filter(|last| last.limits == asked.0.name);
            let near = || neighbours.iter().flatten();
            let below = near().filter_map(|rated| rated.cells.get(index));
            let lowest = below.chain(shorter).min_by(|a, b| by_load(a, b));
            let most = Most::of(lowest);
            if ambient
                .forecast_until_min
                .is_some_and(|until| !(asked.1.is_some_and(|min| min <= until)))
            {
                cells.push(beyond_forecast((preload_pu, ambient), *asked));
                continue;
            }
            let found = match (asked.1, &mut start) {
                _ if most.load_pu <= 0.0 => None,
                (minutes, Some(start)) => {
                    let minutes = minutes.unwrap_or_else(|| start.settled_after_min());
                    let case = self.question.case(preload_pu, ambient, (asked.0, minutes));
                    case.map(|case| {
                        let same = same_as_earlier(&cells, *asked, |cell| {
                            let load_pu =
                                cell.load_pu.filter(|load_pu| *load_pu <= most.load_pu)?;
                            let found = (load_pu, cell.allowance_k);
                            start.same(&case, found, cell.governs.code?)
                        });
                        same.unwrap_or_else(|| start.largest(&case, most.load_pu))
                    })
                }
                (_, None) => None,
            };
            cells.push(most.cell((preload_pu, ambient), *asked, found.as_ref()));
        }
        Rated { cells }
    }
}

/// What an earlier limit set gave for the same duration, where nothing of the set itself ended it.
fn same_as_earlier(
    cells: &[Cell],
    (set, duration_min): Asked<'_>,
    same: impl Fn(&Cell) -> Option<Largest>,
) -> Option<Largest> {
    let own = |what| matches!(what, Limiting::HotSpot | Limiting::TopOil | Limiting::LoadCeiling);
    let earlier = cells.iter().find(|cell| {
        let other = cell.limits != set.name && cell.duration_min == duration_min;
        other && cell.held_by.is_none() && !own(cell.governs.what)
    });
    earlier.and_then(same)
}

/// The forecast ends before the load does.
fn beyond_forecast((preload_pu, ambient): (f64, &Ambient), (set, duration_min): Asked<'_>) -> Cell {
    let words = "The forecast ends before the load does.".to_owned();
    Cell {
        limits: set.name.clone(),
        preload_pu,
        ambient_c: ambient.line.at(0.0),
        from_min: ambient.from_min,
        duration_min,
        load_pu: None,
        governs: Governs { what: Limiting::Unknown, code: Some("input-forecast-ends"), words },
        held_by: None,
        allowance_k: None,
        facility: None,
    }
}

/// None is less than any load.
fn by_load(one: &Cell, other: &Cell) -> std::cmp::Ordering {
    let load = |cell: &Cell| cell.load_pu.unwrap_or(0.0);
    load(one).total_cmp(&load(other))
}

/// The most that the cells below one allow.
struct Most<'a> {
    load_pu: f64,
    /// The cell that allows no more.
    cell: Option<&'a Cell>,
}

impl<'a> Most<'a> {
    fn of(cell: Option<&'a Cell>) -> Self {
        let load_pu = cell.map_or(GREATEST_PU, |cell| cell.load_pu.unwrap_or(0.0));
        Self { load_pu, cell }
    }

    fn cell(
        &self,
        (preload_pu, ambient): (f64, &Ambient),
        (set, duration_min): Asked<'_>,
        found: Option<&Largest>,
    ) -> Cell {
        let ended = found.is_some_and(|found| found.ended_by.is_some());
        let held = self.cell.filter(|_| !ended);
        let load_pu = found.and_then(|found| found.load_pu);
        let own = || {
            let ended_by = found.and_then(|found| found.ended_by.as_ref());
            governs(ended_by, load_pu.is_some())
        };
        Cell {
            limits: set.name.clone(),
            preload_pu,
            ambient_c: ambient.line.at(0.0),
            from_min: ambient.from_min,
            duration_min,
            load_pu,
            governs: held.map_or_else(own, |cell| cell.governs.clone()),
            held_by: held.map(|cell| {
                cell.held_by.unwrap_or(HeldBy {
                    preload_pu: cell.preload_pu,
                    ambient_c: cell.ambient_c,
                    duration_min: cell.duration_min,
                })
            }),
            allowance_k: found.and_then(|found| found.allowance_k),
            facility: None,
        }
    }
}
