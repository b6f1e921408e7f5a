//! A small chart for the terminal: hot spot, top oil, inception and limit over time.

use super::view::near;
use crate::assessment::{Assessment, TracePoint};

/// Columns and rows of the plot itself.
const COLUMNS: usize = 58;
const ROWS: usize = 15;

/// A horizontal line across the chart.
struct Level {
    value_c: f64,
    mark: char,
    label: &'static str,
}

/// The chart, or nothing where there is no course to draw.
pub fn drawn(assessment: &Assessment) -> Option<String> {
    let until_min = shown_until(assessment)?;
    let points: Vec<&TracePoint> = assessment.trace.iter().filter(|point| point.min <= until_min).collect();
    let levels = levels(assessment);
    let scale = Scale::around(&points, &levels);
    let mut canvas = vec![vec![' '; COLUMNS]; ROWS];
    for level in &levels {
        canvas[scale.row(level.value_c)].fill(level.mark);
    }
    for column in 0..COLUMNS {
        let minute = until_min * fraction(column);
        draw(&mut canvas, column, scale.row(at(&points, minute, |point| point.top_oil_c)), 'o');
        draw(&mut canvas, column, scale.row(at(&points, minute, |point| point.hot_spot_c)), '*');
    }
    Some(framed(&canvas, &scale, &levels, until_min, assessment.asked.duration_min))
}

/// The overload and half as long again, at least an hour more.
fn shown_until(assessment: &Assessment) -> Option<f64> {
    let last = assessment.trace.last()?.min;
    let end = assessment.asked.duration_min;
    Some((end * 1.5).max(end + 60.0).min(last))
}

fn levels(assessment: &Assessment) -> Vec<Level> {
    let limit = |quantity: &str| assessment.limits.iter().find(|line| line.quantity == quantity);
    let inception = assessment.bubbling.inception_c.map(|value_c| Level { value_c, mark: '=', label: "bubbles" });
    let required = limit("bubbling").map(|line| Level { value_c: line.limit, mark: '-', label: "stop here" });
    let guide = limit("hot-spot").map(|line| Level { value_c: line.limit, mark: '.', label: "guide limit" });
    guide.into_iter().chain(required).chain(inception).collect()
}

struct Scale {
    top_c: f64,
    bottom_c: f64,
}

impl Scale {
    /// Whole tens around everything that is drawn.
    fn around(points: &[&TracePoint], levels: &[Level]) -> Self {
        let temperatures = points.iter().flat_map(|point| [point.top_oil_c, point.hot_spot_c]);
        let all = temperatures.chain(levels.iter().map(|level| level.value_c));
        let (low, high) = all.fold((f64::MAX, f64::MIN), |(low, high), value| (low.min(value), high.max(value)));
        let bottom_c = (low / 10.0).floor() * 10.0;
        let top_c = (high / 10.0).ceil() * 10.0;
        Self { top_c: top_c.max(bottom_c + 10.0), bottom_c }
    }

    fn row(&self, value_c: f64) -> usize {
        let fraction = (self.top_c - value_c) / (self.top_c - self.bottom_c);
        (0..ROWS).min_by(|a, b| (row_fraction(*a) - fraction).abs().total_cmp(&(row_fraction(*b) - fraction).abs())).unwrap_or(0)
    }

    fn value(&self, row: usize) -> f64 {
        self.top_c - (self.top_c - self.bottom_c) * row_fraction(row)
    }
}

#[allow(clippy::cast_precision_loss, reason = "a few dozen rows and columns")]
fn row_fraction(row: usize) -> f64 {
    row as f64 / (ROWS - 1) as f64
}

#[allow(clippy::cast_precision_loss, reason = "a few dozen rows and columns")]
fn fraction(column: usize) -> f64 {
    column as f64 / (COLUMNS - 1) as f64
}

fn draw(canvas: &mut [Vec<char>], column: usize, row: usize, mark: char) {
    canvas[row][column] = mark;
}

fn at(points: &[&TracePoint], minute: f64, value: impl Fn(&TracePoint) -> f64) -> f64 {
    let after = points.partition_point(|point| point.min <= minute).clamp(1, points.len());
    value(points[after - 1])
}

fn framed(canvas: &[Vec<char>], scale: &Scale, levels: &[Level], until_min: f64, end_min: f64) -> String {
    let mut lines = vec!["  °C  * hot spot   o top oil".to_owned()];
    for (row, cells) in canvas.iter().enumerate() {
        let label = levels.iter().rev().find(|level| scale.row(level.value_c) == row);
        let right = label.map_or_else(String::new, |level| format!(" {} {}", level.label, near(level.value_c, 0)));
        let left = if row % 2 == 0 { format!("{:>4}", near(scale.value(row), 0)) } else { "    ".to_owned() };
        lines.push(format!("{left} |{}{right}", cells.iter().collect::<String>()).trim_end().to_owned());
    }
    lines.push(format!("     +{}", axis(until_min, end_min)));
    lines.push(format!("      {}", axis_labels(until_min, end_min)).trim_end().to_owned());
    lines.join("\n")
}

fn column_of(minute: f64, until_min: f64) -> usize {
    (0..COLUMNS).min_by(|a, b| (fraction(*a) * until_min - minute).abs().total_cmp(&(fraction(*b) * until_min - minute).abs())).unwrap_or(0)
}

fn axis(until_min: f64, end_min: f64) -> String {
    let mut axis = vec!['-'; COLUMNS];
    axis[column_of(end_min, until_min)] = '^';
    axis.into_iter().collect()
}

fn axis_labels(until_min: f64, end_min: f64) -> String {
    let end = format!("end of overload, {} min", near(end_min, 0));
    let column = column_of(end_min, until_min);
    let indent = column.saturating_sub(end.chars().count());
    let left = "0 min";
    if indent > left.len() { format!("{left}{}{end}", " ".repeat(indent - left.len())) } else { format!("{}{end}", " ".repeat(indent)) }
}
