//! What each uncertain input alone does to the margin, as bars for the terminal.

use super::text::WIDTH;
use super::view::{down_or_dash, near};
use crate::assessment::Assessment;
use crate::assessment::spread::why::Cause;

/// Column where the bars begin; names and shares stand before them.
const LEFT: usize = 35;

/// Columns between the ends of the axis, at most; from tick to tick it is always the same number.
const COLUMNS: usize = 31;

/// Steps between ticks, at most.
const MOST_STEPS: usize = 6;

/// The bars of some inputs on a common axis; nothing where no margin is finite.
pub(super) fn drawn(assessment: &Assessment, shown: &[Cause]) -> Option<String> {
    let ends = shown.iter().flat_map(|cause| [cause.margin_at_p05_k, cause.margin_at_p95_k]);
    let all: Vec<f64> = ends.flatten().chain(assessment.bubbling.margin_k).collect();
    let axis = Axis::around(&all)?;
    let marks: Vec<Mark> = marks(assessment).filter(|mark| axis.holds(mark.value_k)).collect();
    let labels = Some(above(&axis, &marks)).filter(|labels| !labels.is_empty());
    let mut lines: Vec<String> = labels.into_iter().chain([heading()]).collect();
    lines.extend(shown.iter().map(|cause| row(&axis, &marks, cause)));
    lines.push(axis.drawn());
    lines.push(axis.labels());
    Some(lines.join("\n"))
}

/// A margin with a meaning of its own.
struct Mark {
    value_k: f64,
    label: String,
    /// Whether its label stands before it.
    before: bool,
}

fn marks(assessment: &Assessment) -> impl Iterator<Item = Mark> {
    let required_k = assessment.asked.required_margin_k;
    let bubbles = Mark { value_k: 0.0, label: "bubbles ".to_owned(), before: true };
    let needs = Mark {
        value_k: required_k,
        label: format!(" needs {}", near(required_k, 1)),
        before: false,
    };
    [bubbles, needs].into_iter()
}

/// A scale with round ticks.
struct Axis {
    least_k: f64,
    step_k: f64,
    steps: usize,
}

impl Axis {
    fn around(values_k: &[f64]) -> Option<Self> {
        let least = values_k.iter().copied().reduce(f64::min)?;
        let most = values_k.iter().copied().reduce(f64::max)?;
        let steps_of = |step_k: f64| {
            let (first, last) = ((least / step_k).floor(), (most / step_k).ceil());
            (1..=MOST_STEPS).find(|steps| first + whole(*steps) >= last).map(|steps| (first, steps))
        };
        let rounds = (0..8).flat_map(|tens| [1.0, 2.0, 5.0].map(|of| of * 10_f64.powi(tens)));
        let found = |step_k: f64| {
            steps_of(step_k).map(|(first, steps)| Self { least_k: first * step_k, step_k, steps })
        };
        rounds.into_iter().find_map(found)
    }

    /// Columns from tick to tick.
    fn columns(&self) -> usize {
        (COLUMNS - 1) / self.steps
    }

    fn last(&self) -> usize {
        self.columns() * self.steps
    }

    fn most_k(&self) -> f64 {
        self.least_k + whole(self.steps) * self.step_k
    }

    fn holds(&self, value_k: f64) -> bool {
        (self.least_k..=self.most_k()).contains(&value_k)
    }

    /// The nearest column.
    fn column(&self, value_k: f64) -> usize {
        let at =
            |column: &usize| self.least_k + whole(*column) / whole(self.columns()) * self.step_k;
        let distance = |column: &usize| (at(column) - value_k).abs();
        (0..=self.last()).min_by(|a, b| distance(a).total_cmp(&distance(b))).unwrap_or(0)
    }

    fn drawn(&self) -> String {
        let tick = |column: usize| if column % self.columns() == 0 { '+' } else { '-' };
        format!("{}{}", " ".repeat(LEFT), (0..=self.last()).map(tick).collect::<String>())
    }

    fn labels(&self) -> String {
        let mut cells: Vec<char> = format!("{:<WIDTH$}", "  margin, K").chars().collect();
        for step in 0..=self.steps {
            let label = near(self.least_k + whole(step) * self.step_k, 0);
            let start = (LEFT + step * self.columns()).saturating_sub(label.chars().count() / 2);
            for (cell, letter) in cells.iter_mut().skip(start).zip(label.chars()) {
                *cell = letter;
            }
        }
        cells.into_iter().collect::<String>().trim_end().to_owned()
    }
}

#[allow(clippy::cast_precision_loss, reason = "a few dozen columns")]
fn whole(count: usize) -> f64 {
    count as f64
}

/// What the marks mean; one label ends before its mark and the other begins after, so that they never
/// run into each other.
fn above(axis: &Axis, marks: &[Mark]) -> String {
    let mut line = String::new();
    for mark in marks {
        let at = LEFT + axis.column(mark.value_k);
        let start = if mark.before { at.saturating_sub(mark.label.len()) } else { at };
        let gap = start.saturating_sub(line.chars().count());
        line = format!("{line}{}{}", " ".repeat(gap), mark.label);
    }
    line.trim_end().to_owned()
}

fn heading() -> String {
    let right = LEFT + COLUMNS;
    let left = format!("  {:<21} {:>4} {:>5}", "share of variance, %", "all", "alone");
    format!("{left:<right$} {:>6} {:>6}", "at L", "at H")
}

fn row(axis: &Axis, marks: &[Mark], cause: &Cause) -> String {
    let share = |share: f64| near((100.0 * share).clamp(0.0, 100.0), 0);
    format!(
        "  {:<21} {:>4} {:>5} {:<COLUMNS$} {:>6} {:>6}",
        cause.quantity.name(),
        share(cause.total.probability),
        share(cause.first_order.probability),
        cells(axis, marks, cause).into_iter().collect::<String>(),
        down_or_dash(cause.margin_at_p05_k, 1),
        down_or_dash(cause.margin_at_p95_k, 1),
    )
}

/// A bar from the low end of the input to its high end. A margin that is not known lies beyond the
/// range of the correlations, on the bad side.
fn cells(axis: &Axis, marks: &[Mark], cause: &Cause) -> Vec<char> {
    let mut cells = vec![' '; COLUMNS];
    for mark in marks {
        cells[axis.column(mark.value_k)] = ':';
    }
    let column = |margin_k: Option<f64>| margin_k.map_or(0, |margin_k| axis.column(margin_k));
    let ends = [(cause.margin_at_p05_k, 'L'), (cause.margin_at_p95_k, 'H')];
    let (low, high) = (column(ends[0].0), column(ends[1].0));
    for cell in &mut cells[low.min(high)..=low.max(high)] {
        *cell = if *cell == ':' { ':' } else { '=' };
    }
    for (margin_k, letter) in ends {
        cells[column(margin_k)] = if margin_k.is_some() { letter } else { '<' };
    }
    if low == high {
        cells[low] = 'X';
    }
    cells
}
