//! Tables of ratings.

use super::rate_text::{degrees, in_words, middle};
use super::text::{WIDTH, aligned, titled};
use super::view::{down, duration, near, wrapped};
use crate::rating::{Cell, Limiting, Ratings};
use std::collections::BTreeSet;
use tabled::builder::Builder;
use tabled::settings::{Alignment, Padding, Style as TableStyle, object::Columns};

/// Ambients side by side in one table.
const COLUMNS: usize = 9;

/// A letter for what governs; behind a figure there is no room for more.
pub(super) fn letter(what: Limiting) -> char {
    match what {
        Limiting::Bubbling => 'b',
        Limiting::HotSpot => 'h',
        Limiting::TopOil => 'o',
        Limiting::LoadCeiling => 'l',
        Limiting::Accessory => 'a',
        Limiting::Ageing => 'g',
        Limiting::Duration => 'd',
        Limiting::ModelRange => 'm',
        Limiting::Condition => 'c',
        Limiting::Unknown => '?',
        Limiting::Nothing => ' ',
    }
}

fn figure(cell: &Cell) -> String {
    let load = cell.load_pu.map_or_else(|| "none".to_owned(), |pu| down(pu, 2));
    let held = if cell.held_by.is_some() { '=' } else { ' ' };
    format!("{load}{}{held}", letter(cell.governs.what))
}

pub(super) fn long(duration_min: Option<f64>) -> String {
    duration_min.map_or_else(|| "continuous".to_owned(), duration)
}

/// Cells of one limit set and preload.
pub(super) fn of<'a>(
    ratings: &'a Ratings,
    set: &'a str,
    preload_pu: f64,
) -> impl Iterator<Item = &'a Cell> {
    let own = ratings.cells.iter().filter(move |cell| cell.limits == set);
    own.filter(move |cell| cell.preload_pu.to_bits() == preload_pu.to_bits())
}

/// Durations down, ambients across.
pub(super) fn table(ratings: &Ratings, set: &str, preload_pu: f64) -> Option<String> {
    let durations: Vec<Option<f64>> = ratings
        .asked
        .durations_min
        .iter()
        .copied()
        .filter(|duration| of(ratings, set, preload_pu).any(|cell| cell.duration_min == *duration))
        .collect();
    if durations.is_empty() {
        return None;
    }
    let blocks = ratings.asked.ambients_c.chunks(COLUMNS).map(|ambients| {
        let mut builder = Builder::default();
        let heads = ambients.iter().map(|c| format!("{}° ", degrees(*c)));
        builder.push_record(std::iter::once("  for".to_owned()).chain(heads));
        for duration in &durations {
            let at = |c: &f64| {
                let mut own =
                    of(ratings, set, preload_pu).filter(|cell| cell.duration_min == *duration);
                own.find(|cell| cell.ambient_c.to_bits() == c.to_bits())
                    .map_or_else(String::new, figure)
            };
            let row = std::iter::once(format!("  {}", long(*duration)));
            builder.push_record(row.chain(ambients.iter().map(at)));
        }
        compact(builder, ambients.len())
    });
    Some(blocks.collect::<Vec<_>>().join("\n"))
}

/// Rows of the forecast down, durations across.
pub(super) fn forecast_table(ratings: &Ratings, set: &str, preload_pu: f64) -> Option<String> {
    let cells: Vec<&Cell> = of(ratings, set, preload_pu).collect();
    let mut durations: Vec<Option<f64>> = Vec::new();
    for cell in &cells {
        if !durations.contains(&cell.duration_min) {
            durations.push(cell.duration_min);
        }
    }
    if durations.is_empty() {
        return None;
    }
    let mut builder = Builder::default();
    let heads = durations.iter().map(|duration| long(*duration));
    builder.push_record(["  from".to_owned(), "ambient".to_owned()].into_iter().chain(heads));
    for row in cells.chunks(durations.len()) {
        let from = row[0].from_min.map_or_else(String::new, |min| format!("  {}", duration(min)));
        let ambient = format!("{} °C", near(row[0].ambient_c, 1));
        builder.push_record([from, ambient].into_iter().chain(row.iter().map(|cell| figure(cell))));
    }
    Some(compact(builder, durations.len() + 1))
}

/// A table whose columns stand close together, so that nine of them fit.
fn compact(builder: Builder, columns: usize) -> String {
    let mut table = builder.build();
    table.with(TableStyle::empty()).with(Padding::new(1, 0, 0, 0));
    table.modify(Columns::new(1..=columns), Alignment::right());
    table.to_string().lines().map(str::trim_end).collect::<Vec<_>>().join("\n")
}

/// Every limit set beside the others, at one ambient and preload, and the facility.
pub(super) fn side_by_side(ratings: &Ratings) -> String {
    let asked = &ratings.asked;
    let (Some(preload_pu), Some(ambient_c)) =
        (middle(&asked.preloads_pu), middle(&asked.ambients_c))
    else {
        return String::new();
    };
    let here = ratings.cells.iter().filter(|cell| {
        cell.preload_pu.to_bits() == preload_pu.to_bits()
            && cell.ambient_c.to_bits() == ambient_c.to_bits()
    });
    let here: Vec<&Cell> = here.collect();
    let facility = ratings.cells.iter().any(|cell| cell.facility.is_some());
    let mut builder = Builder::default();
    let heads = asked.limits.iter().map(|set| short(&set.name));
    let last = facility.then(|| "facility".to_owned());
    builder.push_record(std::iter::once("  for".to_owned()).chain(heads).chain(last));
    for duration in &asked.durations_min {
        let cells: Vec<Option<&Cell>> =
            asked.limits.iter().map(|set| at(&here, &set.name, *duration)).collect();
        let words = |cell: Option<&Cell>| cell.map_or_else(String::new, in_one);
        let lowest = facility.then(|| facility_words(&cells));
        let row = std::iter::once(format!("  {}", long(*duration)));
        builder.push_record(row.chain(cells.iter().copied().map(words)).chain(lowest));
    }
    let title = format!(
        "Side by side at {} °C from {} pu (pu, and what governs)",
        degrees(ambient_c),
        near(preload_pu, 2)
    );
    titled(&title, &aligned(builder, 0..0))
}

fn at<'a>(cells: &[&'a Cell], set: &str, duration_min: Option<f64>) -> Option<&'a Cell> {
    let mut own = cells.iter().filter(|cell| cell.limits == set);
    own.find(|cell| cell.duration_min == duration_min).copied()
}

fn in_one(cell: &Cell) -> String {
    match cell.load_pu {
        Some(pu) => format!("{} {}", down(pu, 2), in_words(cell)),
        None => format!("none {}", in_words(cell)),
    }
}

/// The emergency rating of the facility: of the last set that rates this duration.
fn facility_words(cells: &[Option<&Cell>]) -> String {
    let facility = cells.iter().rev().flatten().find_map(|cell| cell.facility.as_ref());
    facility.map_or_else(String::new, |facility| match facility.load_pu {
        Some(pu) => format!("{} {}", down(pu, 2), facility.lowest),
        None => format!("none: {}", facility.lowest),
    })
}

/// A limit set's name without the guide: there is no room for it.
fn short(name: &str) -> String {
    let own = name.split_once('-').map_or(name, |(_, rest)| rest);
    own.trim_end_matches("-emergency").replace('-', " ")
}

/// What the letters mean, as far as they occur.
pub(super) fn legend(ratings: &Ratings) -> String {
    let used: BTreeSet<Limiting> = ratings.cells.iter().map(|cell| cell.governs.what).collect();
    let meaning = |what: &Limiting| format!("{} {}", letter(*what), what.name().replace('-', " "));
    let mut words: Vec<String> =
        used.iter().filter(|what| **what != Limiting::Nothing).map(meaning).collect();
    let held = ratings.cells.iter().filter(|cell| cell.held_by.is_some()).count();
    if held > 0 {
        words.push(format!(
            "= held down ({held} of {}): from a colder or less loaded start, or for a shorter time, no more \
             passes, mostly because fans do not run there yet; with --cooling STAGE they run from the start",
            ratings.cells.len()
        ));
    }
    let lines = wrapped(&words.join("; "), WIDTH - 4);
    lines.iter().map(|line| format!("    {line}")).collect::<Vec<_>>().join("\n")
}
