//! Permissible time against load as text, CSV and picture.

mod picture;

pub use picture::svg;

use super::answer::indented;
use super::rate_table::long;
use super::round_axis::RoundAxis;
use super::text::{aligned, joined, titled};
use super::view::{down, duration, near};
use crate::rating::capability::{Capability, Curve, Point};
use csv::Writer;
use tabled::builder::Builder;

/// Windings with a column of their own in the text, at most.
const MOST_WINDINGS: usize = 3;

/// Columns of the chart without windings, and what each of them takes.
const COLUMNS: usize = 44;
const WINDING: usize = 9;

/// A table for each curve, with the loads drawn beside it.
pub fn text(capability: &Capability) -> String {
    let title = format!("Permissible time against load, {}", conditions(capability));
    let legend =
        "A load between two rows may be carried for the shorter time. '*': the load; ':': 1 pu.";
    let curves = capability.curves.iter().map(|curve| table(capability, curve));
    let sections = std::iter::once(title).chain(curves).chain([indented(&[legend.to_owned()])]);
    joined(sections.collect()).trim_end().to_owned()
}

/// From what start.
fn conditions(capability: &Capability) -> String {
    format!("from {} pu at {} °C", near(capability.preload_pu, 2), near(capability.ambient_c, 1))
}

/// The limit sets of a curve, and where the second begins.
fn sets(curve: &Curve) -> String {
    match (curve.limits.as_slice(), curve.step_at_min) {
        ([short, then], Some(at_min)) => {
            format!("{short} below {}, then {then}", duration(at_min))
        }
        (names, _) => names.join(", "),
    }
}

/// Axis of loads, with 1 pu on it.
fn axis(capability: &Capability, most_steps: u32) -> Option<RoundAxis> {
    let points = capability.curves.iter().flat_map(|curve| &curve.points);
    let loads: Vec<f64> = points.filter_map(|point| point.cell.load_pu).collect();
    let rated = loads.first().map(|_| 1.0);
    RoundAxis::around(loads.into_iter().chain(rated), most_steps)
}

fn words(point: &Point) -> String {
    point.cell.governs.what.name().replace('-', " ")
}

fn table(capability: &Capability, curve: &Curve) -> String {
    let windings = capability.windings.len().min(MOST_WINDINGS);
    let columns = COLUMNS - WINDING * windings;
    let axis = axis(capability, 4);
    let mut builder = Builder::default();
    let scale = axis.as_ref().map_or_else(String::new, |axis| scale(axis, columns));
    let names = capability.windings.iter().take(windings).map(|own| {
        let name: String = own.name.chars().take(WINDING - 4).collect();
        format!("{name} A")
    });
    let start = ["  for".to_owned(), "pu".to_owned()];
    builder.push_record(start.into_iter().chain(names).chain(["governs".to_owned(), scale]));
    for point in &curve.points {
        let load = point.cell.load_pu;
        let amperes = (0..windings)
            .map(|at| point.a.get(at).map_or_else(|| "-".to_owned(), |current| down(current.a, 0)));
        let mark = axis.as_ref().map_or_else(String::new, |axis| marked(axis, load, columns));
        let start = [
            format!("  {}", long(point.cell.duration_min)),
            load.map_or_else(|| "none".to_owned(), |pu| down(pu, 2)),
        ];
        builder.push_record(start.into_iter().chain(amperes).chain([words(point), mark]));
    }
    titled(&indented(&[sets(curve)]), &aligned(builder, 1..2 + windings))
}

/// The figures of the axis, each centred at its column as far as there is room.
fn scale(axis: &RoundAxis, columns: usize) -> String {
    let mut line = String::new();
    for tick in axis.ticks() {
        let label = near(tick, axis.decimals().max(1));
        let at = axis.column(tick, columns).saturating_sub(label.len() / 2);
        line = format!("{line:<at$}{label}");
    }
    line
}

fn marked(axis: &RoundAxis, load_pu: Option<f64>, columns: usize) -> String {
    let mut cells = vec![' '; columns];
    cells[axis.column(1.0, columns)] = ':';
    if let Some(load_pu) = load_pu {
        cells[axis.column(load_pu, columns)] = '*';
    }
    cells.into_iter().collect::<String>().trim_end().to_owned()
}

/// Columns of the CSV; a current in A for each winding is in `a`, as `NAME=CURRENT` parts.
const HEADER: [&str; 10] = [
    "unit",
    "limits",
    "preload_pu",
    "ambient_c",
    "duration_min",
    "load_pu",
    "a",
    "governs",
    "code",
    "allowance_k",
];

/// A row for each point of each curve, in the order of the curves. A duration that is empty is continuous; a
/// load that is empty is none.
///
/// # Errors
/// [`csv::Error`] if a row cannot be written.
pub fn csv(capability: &Capability) -> Result<String, csv::Error> {
    let mut writer = Writer::from_writer(Vec::new());
    writer.write_record(HEADER)?;
    for point in capability.curves.iter().flat_map(|curve| &curve.points) {
        writer.write_record(row(&capability.unit, point))?;
    }
    let bytes = writer.into_inner().map_err(csv::IntoInnerError::into_error)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn row(unit: &str, point: &Point) -> [String; 10] {
    let number = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
    let cell = &point.cell;
    let amperes: Vec<String> =
        point.a.iter().map(|current| format!("{}={}", current.winding, current.a)).collect();
    [
        unit.to_owned(),
        cell.limits.clone(),
        cell.preload_pu.to_string(),
        cell.ambient_c.to_string(),
        number(cell.duration_min),
        number(cell.load_pu),
        amperes.join(" "),
        cell.governs.what.name().to_owned(),
        cell.governs.code.unwrap_or_default().to_owned(),
        number(cell.allowance_k),
    ]
}
