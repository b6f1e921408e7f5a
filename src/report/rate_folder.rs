//! Ratings of many units: a line for each, and a line for each that could not be rated.

use super::rate_text::{degrees, in_words, reference};
use super::text::{WIDTH, aligned, joined, titled};
use super::view::{down, duration, near, wrapped};
use crate::rating::{NOTICE, Ratings};
use tabled::builder::Builder;

/// A unit without a rating.
#[derive(Debug, Clone)]
pub struct NotRated {
    /// Its name, or that of its file.
    pub unit: String,
    /// Why.
    pub why: String,
    /// Whether its profile was refused.
    pub refused: bool,
}

/// The units that were rated, and those that could not be.
pub fn rendered(rated: &[Ratings], lacking: &[NotRated]) -> String {
    // All units of a folder are asked about for one day.
    let day = rated
        .first()
        .map_or_else(String::new, |first| format!("\nevidence judged for {}", first.date));
    let head = format!("{} units rated, {} could not be rated{day}", rated.len(), lacking.len());
    let sections = [head, units(rated), not_rated(lacking).trim_end().to_owned(), notice()];
    joined(sections.into())
}

/// A line for each unit that could not be rated; empty if there is none.
pub fn not_rated(lacking: &[NotRated]) -> String {
    let lines = lacking.iter().flat_map(|unit| {
        let kind = if unit.refused { "refused" } else { "no rating" };
        let text = format!("{}: {kind}: {}", unit.unit, unit.why);
        wrapped(&text, WIDTH - 4).into_iter().enumerate().map(|(at, line)| {
            let indent = if at == 0 { "  " } else { "    " };
            format!("{indent}{line}\n")
        })
    });
    let lines: String = lines.collect();
    if lines.is_empty() { lines } else { titled("Could not be rated", &lines) }
}

fn units(rated: &[Ratings]) -> String {
    let Some(first) = rated.first().and_then(reference) else { return String::new() };
    let mut builder = Builder::default();
    builder.push_record(["  unit", "rating", "governed by", "counting water", "bubbles at"]);
    for ratings in rated {
        let cell = reference(ratings);
        let load = cell.and_then(|cell| cell.load_pu);
        let paper = &ratings.paper;
        let or_dash = |value: Option<f64>, decimals: usize, unit: &str| {
            value
                .map_or_else(|| "-".to_owned(), |value| format!("{} {unit}", near(value, decimals)))
        };
        builder.push_record([
            format!("  {}", ratings.unit.name),
            load.map_or_else(|| "none".to_owned(), |pu| format!("{} pu", down(pu, 2))),
            cell.map_or_else(String::new, in_words),
            or_dash(paper.counting_moisture_percent, 2, "%"),
            or_dash(paper.inception_c, 1, "°C"),
        ]);
    }
    let long = first.duration_min.map_or_else(|| "continuous".to_owned(), duration);
    let title = format!(
        "{long} at {} °C from {} pu, {}",
        degrees(first.ambient_c),
        near(first.preload_pu, 2),
        first.limits
    );
    titled(&title, &aligned(builder, 1..2))
}

fn notice() -> String {
    wrapped(NOTICE, WIDTH).join("\n")
}
