//! The cost of water as text, CSV and picture.

mod picture;

pub use picture::svg;

use super::answer::indented;
use super::rate_table::long;
use super::round_axis::RoundAxis;
use super::text::{aligned, joined, titled};
use super::view::{down, down_or_dash, near, near_or_dash, up};
use crate::rating::water::{AtMoisture, CostOfWater, DurationCost, Onset, Starts};
use csv::Writer;
use tabled::builder::Builder;

/// Columns of the chart itself.
const COLUMNS: usize = 61;

/// Rows of the chart, at most.
const MOST_ROWS: u32 = 16;

/// A table of what each duration loses, and a chart of all ratings.
pub fn text(cost: &CostOfWater) -> String {
    joined(vec![losses(cost), chart(cost).unwrap_or_default()]).trim_end().to_owned()
}

/// From what start and under what limits.
fn conditions(cost: &CostOfWater) -> String {
    format!(
        "from {} pu at {} °C, {}",
        near(cost.preload_pu, 2),
        near(cost.ambient_c, 1),
        cost.limits
    )
}

fn losses(cost: &CostOfWater) -> String {
    let own = format!("{} %", up(cost.counting_moisture_percent, 2));
    let dried = format!("{} %", near(cost.dried_to_percent, 2));
    let mut builder = Builder::default();
    builder.push_record(["  for", &own, "governs", &dried, "governs", "lost", "bubbling from"]);
    for duration in &cost.durations {
        builder.push_record(loss_row(duration));
    }
    let legend = format!(
        "Loads in pu as wet as the paper counts now ({own}) and as if {dried} counted; lost: what the water \
         costs, where more than 0.002 pu; bubbling from: the moisture from which on bubbling governs."
    );
    let title = format!("The cost of water, {}", conditions(cost));
    titled(&title, &format!("{}\n{}", aligned(builder, 5..7), indented(&[legend])))
}

fn loss_row(own: &DurationCost) -> [String; 7] {
    let load = |load_pu: Option<f64>| load_pu.map_or_else(|| "none".to_owned(), |pu| down(pu, 2));
    let words = |governs: &crate::rating::Governs| governs.what.name().replace('-', " ");
    [
        format!("  {}", long(own.duration_min)),
        load(own.as_wet_pu),
        words(&own.as_wet_governs),
        load(own.dried_pu),
        words(&own.dried_governs),
        near_or_dash(own.loss_pu, 2),
        onset_words(&own.bubbling),
    ]
}

/// The moisture rounded down: drier than it bubbling does not govern.
fn onset_words(onset: &Onset) -> String {
    match onset.starts {
        Starts::Within => format!("{} %", down_or_dash(onset.percent, 2)),
        Starts::Nowhere => "nowhere".to_owned(),
        Starts::Everywhere => "any".to_owned(),
        Starts::Unknown => "not known".to_owned(),
    }
}

/// Points of a duration that have a rating, the driest first, with the one where bubbling starts to govern.
fn points(cost: &CostOfWater, index: usize) -> Vec<(f64, f64)> {
    let point =
        |at: &AtMoisture| Some((at.moisture_percent, at.cells.get(index).and_then(|c| c.load_pu)?));
    let mut points: Vec<(f64, f64)> = cost.curve.iter().filter_map(point).collect();
    points.extend(cost.durations.get(index).and_then(|own| knee(&own.bubbling)));
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    points
}

fn knee(onset: &Onset) -> Option<(f64, f64)> {
    Some((onset.percent?, onset.load_pu?))
}

/// Axis of moisture, from zero on, and of loads.
fn axes(cost: &CostOfWater, most_rows: u32) -> Option<(RoundAxis, RoundAxis)> {
    let moistures = cost.curve.iter().map(|at| at.moisture_percent);
    let loads = cost.curve.iter().flat_map(|at| at.cells.iter().filter_map(|cell| cell.load_pu));
    let moisture = RoundAxis::around(moistures.chain([0.0]), 6)?;
    Some((moisture, RoundAxis::around(loads, most_rows)?))
}

/// Ratings over moisture, a letter for each duration; the shortest lies on top.
fn chart(cost: &CostOfWater) -> Option<String> {
    let (moisture, load) = axes(cost, MOST_ROWS)?;
    let rows: Vec<f64> = load.ticks().rev().collect();
    let mut canvas = vec![vec![' '; COLUMNS]; rows.len()];
    let letters = || ('a'..='z').zip(0..cost.durations.len());
    for (letter, index) in letters().collect::<Vec<_>>().into_iter().rev() {
        let points = points(cost, index);
        let loads = (0..COLUMNS).map(|column| between(&points, moisture.at(column, COLUMNS)));
        for (column, load_pu) in loads.enumerate() {
            if let Some(load_pu) = load_pu {
                let row = rows.len() - 1 - load.column(load_pu, rows.len());
                canvas[row][column] = letter;
            }
        }
    }
    let names = letters()
        .map(|(letter, index)| format!("{letter} {}", long(cost.durations[index].duration_min)));
    let mut lines = vec![indented(&[names.collect::<Vec<_>>().join(", ")])];
    lines.push("     pu".to_owned());
    lines.extend(rows.iter().zip(&canvas).map(|(pu, cells)| {
        let cells: String = cells.iter().collect();
        format!("  {:>5} |{cells}", near(*pu, 2)).trim_end().to_owned()
    }));
    lines.push(format!("        +{}", axis(cost, &moisture)));
    lines.push(labels(&moisture));
    lines.push(indented(&[
        "Water in paper that would count, %. ^: what counts now; d: dried.".to_owned()
    ]));
    Some(lines.join("\n"))
}

/// The load at a moisture on the straight line between two points.
fn between(points: &[(f64, f64)], percent: f64) -> Option<f64> {
    points.windows(2).find_map(|pair| {
        let (dry, wet) = (pair[0], pair[1]);
        let inside = dry.0 <= percent && percent <= wet.0 && dry.0 < wet.0;
        inside.then(|| dry.1 + (percent - dry.0) / (wet.0 - dry.0) * (wet.1 - dry.1))
    })
}

fn axis(cost: &CostOfWater, moisture: &RoundAxis) -> String {
    let mut cells = vec!['-'; COLUMNS];
    for tick in moisture.ticks().skip(1) {
        cells[moisture.column(tick, COLUMNS)] = '+';
    }
    cells[moisture.column(cost.dried_to_percent, COLUMNS)] = 'd';
    cells[moisture.column(cost.counting_moisture_percent, COLUMNS)] = '^';
    cells.into_iter().collect()
}

fn labels(moisture: &RoundAxis) -> String {
    let mut line = String::new();
    for tick in moisture.ticks() {
        let label = near(tick, moisture.decimals());
        let at = 9 + moisture.column(tick, COLUMNS) - label.len() / 2;
        line = format!("{line:<at$}{label}");
    }
    line
}

/// Columns of the CSV.
const HEADER: [&str; 14] = [
    "unit",
    "limits",
    "preload_pu",
    "ambient_c",
    "counting_moisture_percent",
    "dried_to_percent",
    "duration_min",
    "moisture_percent",
    "load_pu",
    "governs",
    "code",
    "allowance_k",
    "bubbling_starts",
    "bubbling_governs_from_percent",
];

/// A row for each moisture and duration. A duration that is empty is continuous; a load that is empty is none.
///
/// # Errors
/// [`csv::Error`] if a row cannot be written.
pub fn csv(cost: &CostOfWater) -> Result<String, csv::Error> {
    let mut writer = Writer::from_writer(Vec::new());
    writer.write_record(HEADER)?;
    for at in &cost.curve {
        for index in 0..at.cells.len().min(cost.durations.len()) {
            writer.write_record(row(cost, at, index))?;
        }
    }
    let bytes = writer.into_inner().map_err(csv::IntoInnerError::into_error)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn row(cost: &CostOfWater, at: &AtMoisture, index: usize) -> [String; 14] {
    let number = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
    let (cell, onset) = (&at.cells[index], &cost.durations[index].bubbling);
    [
        cost.unit.clone(),
        cost.limits.clone(),
        cost.preload_pu.to_string(),
        cost.ambient_c.to_string(),
        cost.counting_moisture_percent.to_string(),
        cost.dried_to_percent.to_string(),
        number(cell.duration_min),
        at.moisture_percent.to_string(),
        number(cell.load_pu),
        cell.governs.what.name().to_owned(),
        cell.governs.code.unwrap_or_default().to_owned(),
        number(cell.allowance_k),
        onset.starts.name().to_owned(),
        number(onset.percent),
    ]
}
