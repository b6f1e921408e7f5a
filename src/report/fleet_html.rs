//! A fleet as a page that stands alone: no scripts, nothing from elsewhere, printable in black and white.

use super::fleet_words::{
    NOTICE, asked, at_minute, chance, counts, heat_title, heat_value, shown_of, verdict,
    without_profile,
};
use super::view::{down, down_or_dash, near, near_or_dash};
use crate::fleet::row::{Row, Standing};
use crate::fleet::whole::Fleet;
use crate::rules::verdict::Verdict;
use askama::Template;

/// The page.
#[derive(Template)]
#[template(path = "fleet.html")]
struct Page {
    version: &'static str,
    hash: String,
    notice: &'static str,
    units: usize,
    counts: Vec<Count>,
    asked: Vec<String>,
    shown_of: Option<String>,
    without_profile: Option<String>,
    rows: Vec<PageRow>,
    heat: Option<PageHeat>,
    recent: bool,
}

/// How many came to one thing.
struct Count {
    kind: &'static str,
    units: usize,
    words: &'static str,
}

/// A unit.
struct PageRow {
    rank: usize,
    unit: String,
    site: String,
    kind: &'static str,
    words: &'static str,
    load: String,
    margin: String,
    chance: String,
    governs: String,
    why: String,
    missing: Vec<String>,
    next: Option<String>,
    largest: Option<String>,
    recent: Option<PageRecent>,
    heat: Vec<PageCell>,
}

/// What it went through.
struct PageRecent {
    peak: String,
    hot_spot: String,
    when: String,
    margin: String,
    hours: String,
    gaps: u64,
}

/// The heat map.
struct PageHeat {
    title: &'static str,
    unit: &'static str,
    values: Vec<String>,
    drawn: bool,
}

/// A cell of it.
struct PageCell {
    kind: &'static str,
    words: &'static str,
    margin: String,
}

/// The whole answer as a page.
///
/// # Errors
/// Only if the template cannot be filled, which it always can.
pub fn page(fleet: &Fleet, shown: &[usize]) -> Result<String, askama::Error> {
    let heat = fleet.asked.heat;
    let rows: Vec<PageRow> =
        shown.iter().filter_map(|rank| Some(page_row(*rank, fleet.ranked.get(*rank)?))).collect();
    let found = fleet.counts();
    let page = Page {
        version: env!("CARGO_PKG_VERSION"),
        hash: fleet.inputs_sha256.get(..16).unwrap_or("").to_owned(),
        notice: NOTICE,
        units: found.units,
        counts: counts(&found)
            .into_iter()
            .map(|(standing, count)| Count {
                kind: kind(standing),
                units: count,
                words: standing.in_words(),
            })
            .collect(),
        asked: asked(&fleet.asked),
        shown_of: shown_of(fleet, shown),
        without_profile: without_profile(fleet),
        heat: heat_title(heat).filter(|_| rows.iter().any(|row| !row.heat.is_empty())).map(
            |(title, unit)| PageHeat {
                title,
                unit,
                values: heat.values().into_iter().map(|at| heat_value(heat, at)).collect(),
                drawn: fleet.asked.draws > 0,
            },
        ),
        recent: rows.iter().any(|row| row.recent.is_some()),
        rows,
    };
    page.render().map(|page| page + "\n")
}

fn page_row(rank: usize, row: &Row) -> PageRow {
    let asked_pu = row.asked.as_ref().map(|asked| asked.load_pu);
    let words = &row.governs.words;
    let missing = row.missing.iter().filter(|missing| missing.words != *words);
    let gain = |gain_k: Option<f64>| {
        gain_k.map_or_else(String::new, |k| {
            format!(": {} K more if it reads as expected", down(k, 1))
        })
    };
    PageRow {
        rank: rank + 1,
        unit: row.unit.clone(),
        site: row.site.clone().unwrap_or_default(),
        kind: kind(row.standing),
        words: row.standing.in_words(),
        load: near_or_dash(asked_pu, 2),
        margin: down_or_dash(row.margin_low_k, 1),
        chance: chance(row),
        governs: row.governs.what.clone(),
        why: words.clone(),
        missing: missing.map(|missing| missing.words.clone()).collect(),
        next: row.next.as_ref().map(|next| format!("{}{}", next.words, gain(next.gain_k))),
        largest: row.largest_load_pu.map(|load_pu| format!("{} pu would pass", down(load_pu, 2))),
        recent: row.recent.as_ref().map(|recent| PageRecent {
            peak: near(recent.peak_pu, 2),
            hot_spot: near_or_dash(recent.hot_spot_c, 1),
            when: recent.hot_spot_at.as_deref().map_or_else(|| "-".to_owned(), at_minute),
            margin: down_or_dash(recent.least_margin_k, 1),
            hours: near_or_dash(recent.hours_below_required, 1),
            gaps: recent.gaps,
        }),
        heat: row
            .heat
            .iter()
            .map(|cell| PageCell {
                kind: kind(cell.verdict.into()),
                words: cell.verdict.in_words(),
                margin: down_or_dash(cell.margin_low_k, 0),
            })
            .collect(),
    }
}

/// The name of a shape and of its colour.
fn kind(standing: Standing) -> &'static str {
    match verdict(standing) {
        Verdict::NoGo => "no-go",
        Verdict::CannotDecide => "unknown",
        Verdict::GoWithCautions => "caution",
        Verdict::Go => "go",
    }
}
