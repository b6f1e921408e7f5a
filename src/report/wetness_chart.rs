//! The picture of the moisture evidence for the terminal.

use super::answer::indented;
use super::text::WIDTH;
use super::view::near_or_dash;
use super::wetness_plot::{Bar, Kind, Plot};
use super::wetness_words::degrees;
use crate::assessment::moisture_answer::MoistureAnswer;

/// Column where the plot begins; the names stand before it.
const LEFT: usize = 25;

/// Columns between the ends of the axis, at most; every per cent gets the same whole number.
const COLUMNS: u32 = 48;

/// How a kind is drawn: what stands at the value, and what the interval is made of.
fn strokes(kind: Kind) -> (char, char) {
    match kind {
        Kind::Counts => ('o', '-'),
        Kind::WetSide => ('w', '~'),
        Kind::NotCounted => ('x', '.'),
        Kind::Combined => ('#', '='),
    }
}

/// The picture, or nothing where there is nothing to draw.
pub fn drawn(answer: &MoistureAnswer) -> Option<String> {
    let plot = Plot::of(&answer.moisture, answer.decided)?;
    let counting = plot.counting.as_ref().map(|(percent, _)| column(&plot, *percent));
    let mut lines = vec![above(&plot), mark(counting)];
    lines.extend(plot.bars.iter().map(|bar| row(&plot, bar, counting)));
    lines.push(mark(counting));
    lines.push(axis(&plot, counting));
    let tick = |label: &dyn Fn(usize) -> String| -> Vec<(usize, String)> {
        let ticks = plot.ticks.iter().enumerate();
        ticks.map(|(at, tick)| (column(&plot, tick.percent), label(at))).collect()
    };
    lines.push(placed("  water in paper, %", &tick(&|at| plot.ticks[at].water.clone())));
    lines.push(placed("  bubbles at, °C", &tick(&|at| plot.ticks[at].inception.clone())));
    lines.push(String::new());
    lines.push(legend(&plot));
    Some(lines.join("\n"))
}

fn column(plot: &Plot, percent: f64) -> usize {
    let share = plot.share(percent);
    let distance = |at: &usize| (fraction(*at, last(plot)) - share).abs();
    (0..=last(plot)).min_by(|a, b| distance(a).total_cmp(&distance(b))).unwrap_or(0)
}

/// The column of the end of the axis.
fn last(plot: &Plot) -> usize {
    let most = plot.most.max(1);
    usize::try_from(COLUMNS / most * most).unwrap_or(0)
}

#[allow(clippy::cast_precision_loss, reason = "a few dozen columns")]
fn fraction(column: usize, last: usize) -> f64 {
    column as f64 / last as f64
}

/// What is written above the mark of the moisture that counts.
fn above(plot: &Plot) -> String {
    let Some((percent, words)) = &plot.counting else {
        return String::new();
    };
    let length = words.chars().count();
    let middle = LEFT + column(plot, *percent);
    let start = middle.saturating_sub(length / 2).min(WIDTH.saturating_sub(length));
    format!("{}{words}", " ".repeat(start))
}

/// A row with nothing but the mark.
fn mark(counting: Option<usize>) -> String {
    counting.map_or_else(String::new, |at| format!("{}:", " ".repeat(LEFT + at)))
}

fn row(plot: &Plot, bar: &Bar, counting: Option<usize>) -> String {
    let (_, stroke) = strokes(bar.kind);
    let mut cells = cells(plot, bar);
    if let Some(cell) = counting.and_then(|at| cells.get_mut(at))
        && (*cell == ' ' || *cell == stroke)
    {
        *cell = ':';
    }
    let drawn: String = cells.into_iter().collect();
    let value = near_or_dash(bar.reach.map(|reach| reach[1]), 2);
    let label: String = bar.label.chars().take(LEFT - 3).collect();
    format!("  {label:<width$}{drawn} {value:>5}", width = LEFT - 2)
}

fn cells(plot: &Plot, bar: &Bar) -> Vec<char> {
    let mut cells = vec![' '; last(plot) + 1];
    let Some([lower, value, upper]) = bar.reach else {
        return cells;
    };
    let (glyph, stroke) = strokes(bar.kind);
    let (from, to) = (column(plot, lower), column(plot, upper));
    cells[from..=to].fill(stroke);
    cells[from] = '|';
    cells[to] = '|';
    cells[column(plot, value)] = glyph;
    if plot.beyond(upper) {
        cells[to] = '>';
    }
    cells
}

fn axis(plot: &Plot, counting: Option<usize>) -> String {
    let mut cells = vec!['-'; last(plot) + 1];
    for tick in &plot.ticks {
        cells[column(plot, tick.percent)] = '+';
    }
    if let Some((percent, _)) = plot.at_hot_spot {
        cells[column(plot, percent)] = 'H';
    }
    if let (Some(at), Some((percent, _))) = (counting, &plot.counting) {
        cells[at] = if plot.beyond(*percent) { '>' } else { '^' };
    }
    format!("{}{}", " ".repeat(LEFT), cells.into_iter().collect::<String>())
}

/// Labels centred at their columns, with a name before them.
fn placed(name: &str, labels: &[(usize, String)]) -> String {
    let mut cells: Vec<char> = format!("{name:<WIDTH$}").chars().collect();
    for (column, label) in labels {
        let start = (LEFT + column).saturating_sub(label.chars().count() / 2);
        for (cell, letter) in cells.iter_mut().skip(start).zip(label.chars()) {
            *cell = letter;
        }
    }
    cells.into_iter().collect::<String>().trim_end().to_owned()
}

fn legend(plot: &Plot) -> String {
    let kind = |kind: Kind| {
        let (glyph, stroke) = strokes(kind);
        format!("|{stroke}{glyph}{stroke}| {}", kind.in_words())
    };
    let kinds: Vec<String> = plot.kinds().map(kind).collect();
    let mut bounds =
        "water as new paper would hold it; bars from lower to upper 95 % bound".to_owned();
    if let Some((_, hot_spot_c)) = plot.at_hot_spot {
        bounds = format!("{bounds}; H: bubbles at a hot spot of {} °C", degrees(hot_spot_c));
    }
    indented(&[kinds.join(", "), bounds])
}
