//! Ratings as CSV: a row for each, with everything that it rests on.

use crate::rating::Ratings;
use csv::Writer;

/// Columns of the table; a current in A for each winding is in `a`, as `NAME=CURRENT` parts.
const HEADER: [&str; 22] = [
    "unit",
    "limits",
    "preload_pu",
    "ambient_c",
    "from_min",
    "duration_min",
    "load_pu",
    "load_mva",
    "a",
    "governs",
    "code",
    "held_by_preload_pu",
    "held_by_ambient_c",
    "held_by_duration_min",
    "facility_pu",
    "facility_lowest",
    "methodology",
    "version",
    "inputs_sha256",
    "date",
    "assumptions",
    "notice",
];

/// The rows of all units. A duration that is empty is continuous; a load that is empty is none.
///
/// # Errors
/// [`csv::Error`] if a row cannot be written.
pub fn rows(all: &[&Ratings]) -> Result<String, csv::Error> {
    let mut writer = Writer::from_writer(Vec::new());
    writer.write_record(HEADER)?;
    for ratings in all {
        for index in 0..ratings.cells.len() {
            writer.write_record(row(ratings, index))?;
        }
    }
    let bytes = writer.into_inner().map_err(csv::IntoInnerError::into_error)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn row(ratings: &Ratings, index: usize) -> [String; 22] {
    let cell = &ratings.cells[index];
    let number = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
    let amperes: Vec<String> = ratings
        .unit
        .windings
        .iter()
        .filter_map(|winding| Some(format!("{}={}", winding.name, cell.load_pu? * winding.rated_a)))
        .collect();
    let held = cell.held_by;
    let facility = cell.facility.as_ref();
    [
        ratings.unit.name.clone(),
        cell.limits.clone(),
        cell.preload_pu.to_string(),
        cell.ambient_c.to_string(),
        number(cell.from_min),
        number(cell.duration_min),
        number(cell.load_pu),
        number(cell.load_pu.map(|load| load * ratings.unit.mva)),
        amperes.join(" "),
        cell.governs.what.name().to_owned(),
        cell.governs.code.unwrap_or_default().to_owned(),
        number(held.map(|held| held.preload_pu)),
        number(held.map(|held| held.ambient_c)),
        number(held.and_then(|held| held.duration_min)),
        number(facility.and_then(|facility| facility.load_pu)),
        facility.map_or_else(String::new, |facility| facility.lowest.clone()),
        ratings.methodology.to_owned(),
        ratings.tool.version.to_owned(),
        ratings.inputs_sha256.clone(),
        ratings.date.clone(),
        ratings.assumptions.join(" "),
        ratings.notice.to_owned(),
    ]
}
