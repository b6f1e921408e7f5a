//! Ratings as a report: a table for each start as a heat map whose reasons stand in words, the capability curve, and
//! dry against wet.

use super::document::{Document, Part, Section, Shown, findings};
use super::rate_table::{long, of, side_by_side};
use super::rate_text::{degrees, in_words, lines_under, of_protection, reference, rows, seasons};
use super::view::{down, duration, near};
use super::{rate_capability, rate_relays, rate_water};
use crate::rating::{Cell, Ratings, SetUsed};
use crate::unit::sources::embedded;
use askama::Template;

/// Shades of a table, the least load first.
const SHADES: [&str; 5] = ["shade-1", "shade-2", "shade-3", "shade-4", "shade-5"];

/// The whole report.
///
/// # Errors
/// Only if the template cannot be filled, which it always can.
pub fn report(ratings: &Ratings) -> Result<String, askama::Error> {
    let tool = &ratings.tool;
    let document = Document {
        title: format!("{}: emergency ratings", ratings.unit.name),
        kind: None,
        first: first(ratings),
        under: lines_under(ratings),
        sections: sections(ratings),
        signatures: ["computed by, date", "checked by, date", "approved by, date"],
        notice: format!("{} Assumed: {}", ratings.notice, ratings.assumptions.join(" ")),
        identity: format!(
            "{} {}, {}, evidence judged for {}, inputs sha256 {}",
            tool.name, tool.version, ratings.methodology, ratings.date, ratings.inputs_sha256
        ),
    };
    document.render().map(|page| page + "\n")
}

/// The rating that is asked for first.
fn first(ratings: &Ratings) -> String {
    let Some(cell) = reference(ratings) else {
        return "no ratings".to_owned();
    };
    let load =
        cell.load_pu.map_or_else(|| "no rating".to_owned(), |pu| format!("{} pu", down(pu, 2)));
    let lasts = cell
        .duration_min
        .map_or_else(|| "continuous".to_owned(), |min| format!("for {}", duration(min)));
    format!(
        "{load} {lasts} at {} °C from {} pu: {}",
        degrees(cell.ambient_c),
        near(cell.preload_pu, 2),
        in_words(cell)
    )
}

fn sections(ratings: &Ratings) -> Vec<Section> {
    let said_first = ratings.bubbles_first().into_iter();
    let warnings: Vec<Part> = said_first.map(|first| Part::Line(first.words.clone())).collect();
    let mut sections = Vec::new();
    if !warnings.is_empty() {
        sections.push(Section::new("Protection may not save it", warnings));
    }
    sections.push(Section::new("What they rest on", vec![Part::rows(rows(ratings))]));
    sections.extend(findings(&ratings.cautions));
    if ratings.seasons.is_some() {
        sections.push(Section::new("Seasons", vec![Part::Columns(seasons(ratings))]));
    }
    for set in &ratings.asked.limits {
        for preload_pu in &ratings.asked.preloads_pu {
            sections.extend(table(ratings, set, *preload_pu));
        }
    }
    if ratings.cells.iter().all(|cell| cell.from_min.is_none()) {
        let text = side_by_side(ratings);
        sections.extend(
            text.split_once('\n')
                .map(|(title, body)| Section::new(title, vec![Part::Columns(body.to_owned())])),
        );
    }
    sections.extend(ratings.capability.as_ref().map(|found| {
        let picture = Part::Picture(rate_capability::svg(found), "Permissible time against load");
        Section::new("Capability", vec![picture])
    }));
    sections.extend(ratings.water.as_ref().map(|found| {
        let picture = Part::Picture(rate_water::svg(found), "Ratings against water in the paper");
        Section::new("Dry against wet", vec![picture, Part::Columns(rate_water::text(found))])
    }));
    if let Some(warmest) = ratings.protection.last() {
        let title = format!("Relays at {} °C", degrees(warmest.asked.ambient_c));
        sections.push(Section::new(title, vec![Part::Columns(rate_relays::tables(warmest))]));
        sections.extend(findings(&of_protection(ratings)));
    }
    sections.push(sources(ratings));
    sections
}

/// Durations down, ambients (or hours of a forecast) across or down; a shade for each fifth of the loads.
fn table(ratings: &Ratings, set: &SetUsed, preload_pu: f64) -> Option<Section> {
    let cells: Vec<&Cell> = of(ratings, &set.name, preload_pu).collect();
    let by_hour = cells.iter().any(|cell| cell.from_min.is_some());
    let mut durations: Vec<Option<f64>> = Vec::new();
    for cell in &cells {
        if !durations.contains(&cell.duration_min) {
            durations.push(cell.duration_min);
        }
    }
    if durations.is_empty() {
        return None;
    }
    let shade = shades(&cells);
    let part = if by_hour {
        let heads = durations.iter().map(|lasts| long(*lasts));
        let heads = ["from", "ambient"].map(str::to_owned).into_iter().chain(heads).collect();
        let row = |row: &[&Cell]| {
            let from = row[0].from_min.map_or_else(String::new, duration);
            let ambient = format!("{} °C", near(row[0].ambient_c, 1));
            let shown = row.iter().map(|cell| shade(cell));
            [from, ambient].into_iter().map(Shown::text).chain(shown).collect()
        };
        Part::Table { heads, rows: cells.chunks(durations.len()).map(row).collect() }
    } else {
        let ambients = &ratings.asked.ambients_c;
        let heads = ambients.iter().map(|c| format!("{} °C", degrees(*c)));
        let heads = std::iter::once("for".to_owned()).chain(heads).collect();
        let row = |lasts: &Option<f64>| {
            let at = |c: &f64| {
                let mut own = cells.iter().filter(|cell| cell.duration_min == *lasts);
                let cell = own.find(|cell| cell.ambient_c.to_bits() == c.to_bits());
                cell.map_or_else(Shown::default, |cell| shade(cell))
            };
            let head = Shown::text(long(*lasts));
            std::iter::once(head).chain(ambients.iter().map(at)).collect()
        };
        Part::Table { heads, rows: durations.iter().map(row).collect() }
    };
    let title =
        format!("{}, from {} pu (loads in pu, and what governs)", set.title, near(preload_pu, 2));
    Some(Section::new(title, vec![part]))
}

/// How a cell is shown among these: its load, what governs, and a shade for the fifth of the range it lies in.
fn shades(cells: &[&Cell]) -> impl Fn(&Cell) -> Shown + use<> {
    let loads = || cells.iter().filter_map(|cell| cell.load_pu);
    let (least, most) = (loads().fold(f64::INFINITY, f64::min), loads().fold(0.0, f64::max));
    move |cell: &Cell| {
        let governs = in_words(cell);
        let held = if cell.held_by.is_some() { ", held" } else { "" };
        let Some(load_pu) = cell.load_pu else {
            return Shown {
                below: governs,
                class: "no-go",
                has_shape: true,
                ..Shown::text("none")
            };
        };
        let share = if most > least { (load_pu - least) / (most - least) } else { 1.0 };
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to 4")]
        let fifth = (share.clamp(0.0, 1.0) * 4.999) as usize;
        let below = format!("{governs}{held}");
        Shown { below, class: SHADES[fifth.min(4)], ..Shown::text(down(load_pu, 2)) }
    }
}

fn sources(ratings: &Ratings) -> Section {
    let known = embedded();
    let row = |set: &SetUsed| {
        let source = known.iter().find(|source| source.id == set.source);
        let words = source.map_or_else(String::new, |source| {
            format!("{}. {} ({})", source.authors, source.title, source.how.in_words())
        });
        let source = Shown::text(set.source.clone());
        vec![Shown::text(set.title.clone()), source, Shown::text(words)]
    };
    let rows = ratings.asked.limits.iter().map(row).collect();
    let table = Part::table(&["limit set", "source", "what it is"], rows);
    let held = "\"Held\": a rating is for up to its preload, ambient and duration, and lies no higher than that of a \
                longer, warmer or more loaded case.";
    Section::new("Sources", vec![table, Part::Line(held.to_owned())])
}
