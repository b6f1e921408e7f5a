//! A small chart for the terminal: hot spot, top oil, inception and limit over time.

use super::spread_words;
use super::view::near;
use crate::assessment::{Assessment, TracePoint};

/// Columns of the plot itself.
const COLUMNS: usize = 56;

/// Rows that a chart may have at most; the rows are then 5, 10, 20 … K apart.
const MOST_ROWS: usize = 22;

/// A horizontal line across the chart.
struct Level {
    value_c: f64,
    mark: char,
    label: &'static str,
}

/// The chart, or nothing where there is no course to draw.
pub fn drawn(assessment: &Assessment) -> Option<String> {
    let until_min = shown_until(assessment)?;
    let points: Vec<&TracePoint> =
        assessment.trace.iter().filter(|point| point.min <= until_min).collect();
    let levels = levels(assessment);
    let scale = Scale::around(&points, &levels);
    let mut canvas = vec![vec![' '; COLUMNS]; scale.rows.len()];
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
pub(super) fn shown_until(assessment: &Assessment) -> Option<f64> {
    let last = assessment.trace.last()?.min;
    let end = assessment.asked.duration_min;
    Some((end * 1.5).max(end + 60.0).min(last))
}

fn levels(assessment: &Assessment) -> Vec<Level> {
    let limit = |quantity: &str| assessment.limits.iter().find(|line| line.quantity == quantity);
    let inception = assessment.bubbling.inception_c.map(|value_c| Level {
        value_c,
        mark: '=',
        label: "bubbles",
    });
    // Where the draws say nothing finite, nobody knows where to stop.
    let known = !spread_words::beyond_range(assessment);
    let required = limit("bubbling").filter(|_| known).map(|line| Level {
        value_c: line.limit,
        mark: '-',
        label: "stop here",
    });
    let guide = limit("hot-spot").map(|line| Level {
        value_c: line.limit,
        mark: '.',
        label: "guide limit",
    });
    guide.into_iter().chain(required).chain(inception).collect()
}

/// Rows from the top down, each a round temperature.
struct Scale {
    rows: Vec<f64>,
}

impl Scale {
    fn around(points: &[&TracePoint], levels: &[Level]) -> Self {
        let temperatures = points.iter().flat_map(|point| [point.top_oil_c, point.hot_spot_c]);
        let all = temperatures.chain(levels.iter().map(|level| level.value_c));
        let (low, high) =
            all.fold((f64::MAX, f64::MIN), |(low, high), value| (low.min(value), high.max(value)));
        let mut step = 5.0;
        loop {
            let rows = rows_between((low / step).floor() * step, high, step);
            if rows.len() <= MOST_ROWS || !(step < 1.0e6) {
                return Self { rows };
            }
            step *= 2.0;
        }
    }

    fn row(&self, value_c: f64) -> usize {
        let distance = |row: &usize| (self.rows[*row] - value_c).abs();
        (0..self.rows.len()).min_by(|a, b| distance(a).total_cmp(&distance(b))).unwrap_or(0)
    }
}

fn rows_between(bottom_c: f64, high_c: f64, step: f64) -> Vec<f64> {
    let mut rows = vec![bottom_c];
    while rows[rows.len() - 1] < high_c && rows.len() <= MOST_ROWS {
        rows.push(rows[rows.len() - 1] + step);
    }
    rows.reverse();
    rows
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

fn framed(
    canvas: &[Vec<char>],
    scale: &Scale,
    levels: &[Level],
    until_min: f64,
    end_min: f64,
) -> String {
    let mut lines = vec!["  °C  * hot spot   o top oil".to_owned()];
    for (row, cells) in canvas.iter().enumerate() {
        let label = levels.iter().rev().find(|level| scale.row(level.value_c) == row);
        let right = label.map_or_else(String::new, |level| {
            format!(" {} {}", level.label, near(level.value_c, 0))
        });
        let left = format!("{:>4}", near(scale.rows[row], 0));
        lines.push(
            format!("{left} |{}{right}", cells.iter().collect::<String>()).trim_end().to_owned(),
        );
    }
    lines.push(format!("     +{}", axis(until_min, end_min)));
    lines.push(format!("      {}", axis_labels(until_min, end_min)).trim_end().to_owned());
    lines.join("\n")
}

fn column_of(minute: f64, until_min: f64) -> usize {
    (0..COLUMNS)
        .min_by(|a, b| {
            (fraction(*a) * until_min - minute)
                .abs()
                .total_cmp(&(fraction(*b) * until_min - minute).abs())
        })
        .unwrap_or(0)
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
    if indent > left.len() {
        format!("{left}{}{end}", " ".repeat(indent - left.len()))
    } else {
        format!("{}{end}", " ".repeat(indent))
    }
}
