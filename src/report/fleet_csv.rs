//! A fleet as CSV: a row for each unit, with everything that it rests on.

use super::fleet_words::NOTICE;
use crate::fleet::row::Row;
use crate::fleet::whole::Fleet;
use csv::Writer;

/// Columns before those of the heat map.
const HEADER: [&str; 43] = [
    "rank",
    "unit",
    "site",
    "size_class",
    "rated_mva",
    "verdict",
    "margin_low_k",
    "margin_counting_k",
    "margin_k",
    "required_margin_k",
    "probability",
    "probability_standard_error",
    "load_pu",
    "preload_pu",
    "preload_from_pu",
    "drop_back_pu",
    "duration_min",
    "ambient_c",
    "limits",
    "hot_spot_c",
    "inception_c",
    "counting_moisture_percent",
    "largest_load_pu",
    "governs",
    "governs_code",
    "why",
    "missing",
    "cautions",
    "next",
    "next_gain_k",
    "recent_rows",
    "recent_hours",
    "recent_gap_hours",
    "recent_peak_pu",
    "recent_peak_at",
    "recent_highest_ambient_c",
    "recent_hot_spot_c",
    "recent_hot_spot_at",
    "recent_least_margin_k",
    "recent_hours_below_required",
    "recent_hours_below_zero",
    "inputs_sha256",
    "version",
];

/// The rows that are shown. An empty cell is not known, or none. The last row but the units is none: what
/// every answer says is a comment at the top.
///
/// # Errors
/// [`csv::Error`] if a row cannot be written.
pub fn rows(fleet: &Fleet, shown: &[usize]) -> Result<String, csv::Error> {
    let heat = fleet.asked.heat.values();
    let mut writer = Writer::from_writer(Vec::new());
    let along =
        heat.iter().flat_map(|at| [format!("margin_low_k_at_{at}"), format!("verdict_at_{at}")]);
    writer.write_record(HEADER.iter().map(|name| (*name).to_owned()).chain(along))?;
    for rank in shown {
        let Some(row) = fleet.ranked.get(*rank) else { continue };
        writer.write_record(
            cells(fleet, *rank, row).into_iter().chain(along_heat(row, heat.len())),
        )?;
    }
    let bytes = writer.into_inner().map_err(csv::IntoInnerError::into_error)?;
    Ok(format!("# {NOTICE}\n{}", String::from_utf8_lossy(&bytes)))
}

fn cells(fleet: &Fleet, rank: usize, row: &Row) -> Vec<String> {
    let text = |value: Option<&str>| value.unwrap_or_default().to_owned();
    let asked = row.asked.as_ref();
    let recent = row.recent.as_ref();
    let mut cells = vec![
        (rank + 1).to_string(),
        row.unit.clone(),
        text(row.site.as_deref()),
        text(row.size_class.map(crate::unit::SizeClass::name)),
        number(row.rated_mva),
        row.standing.name().to_owned(),
        number(row.margin_low_k),
        number(row.margin_counting_k),
        number(row.margin_k),
        number(row.required_margin_k),
        number(row.probability),
        number(row.probability_standard_error),
        number(asked.map(|asked| asked.load_pu)),
        number(asked.map(|asked| asked.preload_pu)),
        number(asked.map(|asked| asked.preload_from_pu)),
        number(asked.map(|asked| asked.drop_back_pu)),
        fleet.asked.duration_min.to_string(),
        number(asked.map(|asked| asked.ambient_c)),
        text(asked.map(|asked| asked.limits.as_str())),
        number(row.hot_spot_c),
        number(row.inception_c),
        number(row.counting_moisture_percent),
        number(row.largest_load_pu),
        row.governs.what.clone(),
        text(row.governs.code.as_deref()),
        row.governs.words.clone(),
        row.missing.iter().map(|missing| missing.words.as_str()).collect::<Vec<_>>().join(" "),
        row.cautions.join(" "),
        text(row.next.as_ref().map(|next| next.words.as_str())),
        number(row.next.as_ref().and_then(|next| next.gain_k)),
    ];
    cells.extend([
        recent.map_or_else(String::new, |recent| recent.rows.to_string()),
        number(recent.map(|recent| recent.hours)),
        number(recent.map(|recent| recent.gap_hours)),
        number(recent.map(|recent| recent.peak_pu)),
        text(recent.and_then(|recent| recent.peak_at.as_deref())),
        number(recent.and_then(|recent| recent.highest_ambient_c)),
        number(recent.and_then(|recent| recent.hot_spot_c)),
        text(recent.and_then(|recent| recent.hot_spot_at.as_deref())),
        number(recent.and_then(|recent| recent.least_margin_k)),
        number(recent.and_then(|recent| recent.hours_below_required)),
        number(recent.and_then(|recent| recent.hours_below_zero)),
        row.inputs_sha256.clone(),
        env!("CARGO_PKG_VERSION").to_owned(),
    ]);
    cells
}

/// Margin and verdict of each value along the heat map; empty cells for a unit without.
fn along_heat(row: &Row, values: usize) -> Vec<String> {
    let verdict = |cell| crate::fleet::row::Standing::from(cell).name().to_owned();
    let each = (0..values).flat_map(|at| match row.heat.get(at) {
        Some(cell) => [number(cell.margin_low_k), verdict(cell.verdict)],
        None => [String::new(), String::new()],
    });
    each.collect()
}

fn number(value: Option<f64>) -> String {
    value.map_or_else(String::new, |value| value.to_string())
}
