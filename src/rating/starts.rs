//! The starts of a table, each rated as soon as those that hold it down are.

use super::Cell;
use super::table::{Rated, Table};
use rayon::Scope;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Preloads down, ambients across.
pub(super) struct Starts {
    columns: usize,
    /// Whether a colder start holds a warmer one down.
    across: bool,
    found: Vec<OnceLock<Rated>>,
    /// How many of the starts that hold one down are still to be rated.
    waits_for: Vec<AtomicUsize>,
}

impl Starts {
    pub(super) fn new(rows: usize, columns: usize, across: bool) -> Self {
        let above = |index: usize| usize::from(index >= columns);
        let left = |index: usize| usize::from(across && !index.is_multiple_of(columns.max(1)));
        let all = 0..rows * columns;
        Self {
            columns,
            across,
            found: all.clone().map(|_| OnceLock::new()).collect(),
            waits_for: all.map(|index| AtomicUsize::new(above(index) + left(index))).collect(),
        }
    }

    /// Rates all of them.
    pub(super) fn begin<'s>(&'s self, scope: &Scope<'s>, table: &'s Table<'s>) {
        let free = |index: &usize| self.waits_for[*index].load(Ordering::Relaxed) == 0;
        let first: Vec<usize> = (0..self.found.len()).filter(free).collect();
        for index in first {
            scope.spawn(move |scope| self.rate(scope, table, index));
        }
    }

    fn rate<'s>(&'s self, scope: &Scope<'s>, table: &'s Table<'s>, index: usize) {
        let (row, column) = (index / self.columns, index % self.columns);
        let above = index.checked_sub(self.columns);
        let left = index.checked_sub(1).filter(|_| self.across && column > 0);
        let holding = [above, left].map(|place| place.and_then(|place| self.found[place].get()));
        // Each start is rated once, so that nothing stands there yet.
        let _ = self.found[index].set(table.start((row, column), &holding));
        let below = Some(index + self.columns).filter(|place| *place < self.found.len());
        let right = Some(index + 1).filter(|_| self.across && column + 1 < self.columns);
        for place in [below, right].into_iter().flatten() {
            // What the other of the two rated is seen by whoever comes last.
            if self.waits_for[place].fetch_sub(1, Ordering::AcqRel) == 1 {
                scope.spawn(move |scope| self.rate(scope, table, place));
            }
        }
    }

    /// The cells of each start, row by row.
    pub(super) fn cells(self) -> Vec<Vec<Cell>> {
        self.found.into_iter().map(|cells| cells.into_inner().unwrap_or_default().cells).collect()
    }
}
