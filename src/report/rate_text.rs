//! Ratings as text: the rating one would ask for first, then side by side, then every table.

use super::answer::{in_rows, indented};
use super::in_service_words::{Counted, IN_PROPORTION, line};
use super::rate_table::{forecast_table, legend, side_by_side, table};
use super::text::{WIDTH, findings, joined, titled};
use super::view::{down, down_or_dash, near, near_or_dash, up, up_or_dash, wrapped};
use super::{rate_capability, rate_changes, rate_relays, rate_water};
use crate::rating::protection::Protection;
use crate::rating::{Cell, Ratings};
use crate::rules::finding::{Finding, Severity};
use anstyle::Style;

/// The whole answer. Styles are ANSI; strip them where colour is not wanted.
pub fn rendered(ratings: &Ratings) -> String {
    let mut sections = vec![
        ratings
            .changes
            .as_ref()
            .map_or_else(String::new, rate_changes::rendered)
            .trim_end()
            .to_owned(),
        headline(ratings),
        said_first(ratings),
        indented(&lines_under(ratings)),
        in_rows(&rows(ratings)),
        findings(&ratings.cautions),
        seasons(ratings),
    ];
    if ratings.cells.iter().any(|cell| cell.from_min.is_some()) {
        sections.extend(each_table(ratings, forecast_table));
    } else {
        sections.push(side_by_side(ratings));
        sections.extend(each_table(ratings, table));
    }
    sections.push(legend(ratings));
    sections.extend(ratings.water.as_ref().map(rate_water::text));
    sections.extend(ratings.capability.as_ref().map(rate_capability::text));
    sections.extend(relays(ratings));
    sections.push(footer(ratings));
    joined(sections)
}

/// The rating that is asked for first: for the middle of the durations, of the ambients and of the
/// preloads, under the last set that is not only for short times.
pub(super) fn reference(ratings: &Ratings) -> Option<&Cell> {
    let asked = &ratings.asked;
    let timed: Vec<f64> = asked.durations_min.iter().copied().flatten().collect();
    let duration_min = middle(&timed);
    let (preload_pu, ambient_c) = (middle(&asked.preloads_pu)?, middle(&asked.ambients_c)?);
    ratings.cells.iter().rfind(|cell| {
        cell.duration_min == duration_min
            && cell.preload_pu.to_bits() == preload_pu.to_bits()
            && cell.ambient_c.to_bits() == ambient_c.to_bits()
    })
}

/// The middle one, the later of two.
pub(super) fn middle(values: &[f64]) -> Option<f64> {
    values.get(values.len() / 2).copied()
}

/// One load, for how long, and what governs it.
fn headline(ratings: &Ratings) -> String {
    let bold = Style::new().bold();
    let Some(cell) = reference(ratings) else {
        return format!("{bold}no ratings{bold:#}");
    };
    let load =
        cell.load_pu.map_or_else(|| "no rating".to_owned(), |pu| format!("{} pu", down(pu, 2)));
    let long = cell.duration_min.map_or_else(
        || "continuous".to_owned(),
        |min| format!("for {}", super::view::duration(min)),
    );
    let conditions =
        format!("at {} °C from {} pu", degrees(cell.ambient_c), near(cell.preload_pu, 2));
    format!("{bold}{load} {long}{bold:#}   {conditions}   {} governs", in_words(cell))
}

/// An ambient, with a decimal only where it has one.
pub(super) fn degrees(ambient_c: f64) -> String {
    near(ambient_c, usize::from(ambient_c.fract().abs() > 0.05))
}

/// What governs in words.
pub(super) fn in_words(cell: &Cell) -> String {
    cell.governs.what.name().replace('-', " ")
}

/// What must not be overlooked, before any table.
fn said_first(ratings: &Ratings) -> String {
    let bold = Style::new().bold();
    let lines =
        ratings.bubbles_first().into_iter().flat_map(|first| wrapped(&first.words, WIDTH - 4));
    lines.map(|line| format!("{bold}{line}{bold:#}")).collect::<Vec<_>>().join("\n")
}

pub(super) fn lines_under(ratings: &Ratings) -> Vec<String> {
    let site = ratings.unit.site.as_ref().map_or_else(String::new, |site| format!(", {site}"));
    let rules = ratings.asked.local_rules.as_ref();
    let rules = rules
        .map_or_else(|| "no local rules given".to_owned(), |name| format!("held against {name}"));
    let first = [
        format!("{}{site}, {} MVA", ratings.unit.name, near(ratings.unit.mva, 1)),
        format!(
            "cooling {}; {rules}; rates the transformer only",
            ratings.asked.cooling.as_deref().unwrap_or("unknown")
        ),
    ];
    let in_proportion = ratings.asked.windings.map(|_| IN_PROPORTION.to_owned());
    let within = "within the entered limits; local rules decide".to_owned();
    first.into_iter().chain(in_service(ratings)).chain(in_proportion).chain([within]).collect()
}

/// By which voltage and tap preloads became currents; ratings are currents themselves.
fn in_service(ratings: &Ratings) -> Option<String> {
    let asked = &ratings.asked;
    line(&Counted {
        voltage_pu: asked.voltage_pu,
        voltage_std_percent: asked.voltage_std_percent,
        tap: asked.tap,
    })
}

pub(super) fn rows(ratings: &Ratings) -> Vec<(&'static str, String)> {
    let (paper, asked) = (&ratings.paper, &ratings.asked);
    let certainty = if asked.draws == 0 {
        "no cases simulated: nothing uncertain is taken off".to_owned()
    } else {
        format!("kept in 95 % of {} simulated cases", asked.draws)
    };
    let water = format!(
        "assessed at {} % water in paper, {} % gas; paper bubbles at {} °C",
        up_or_dash(paper.counting_moisture_percent, 2),
        near_or_dash(paper.gas_percent, 1),
        down_or_dash(paper.inception_c, 1),
    );
    vec![
        ("paper", water),
        (
            "margin",
            format!("{} K to bubbling required, {certainty}", near(asked.required_margin_k, 1)),
        ),
        ("evidence", format!("judged for {}", ratings.date)),
    ]
}

/// Where the ambients come from.
pub(super) fn seasons(ratings: &Ratings) -> String {
    let Some(found) = &ratings.seasons else { return String::new() };
    let title = format!(
        "Seasons: on {} % of the days the ambient never rose above",
        near(found.percentile, 1)
    );
    let rows: Vec<(&str, String)> = found
        .seasons
        .iter()
        .map(|season| {
            let ambient =
                season.ambient_c.map_or_else(|| "-".to_owned(), |c| format!("{} °C", up(c, 1)));
            (season.name, format!("{ambient} ({})", season.in_words()))
        })
        .collect();
    let highest =
        format!("highest on record {} °C at {}", up(found.highest_c, 1), found.highest_at);
    titled(&title, &format!("{}\n{}", in_rows(&rows), indented(&[highest])))
}

/// A table for each limit set and preload; one that says the same as an earlier one is only named.
fn each_table(
    ratings: &Ratings,
    one: impl Fn(&Ratings, &str, f64) -> Option<String>,
) -> Vec<String> {
    let asked = &ratings.asked;
    let sets = asked
        .limits
        .iter()
        .flat_map(|set| asked.preloads_pu.iter().map(move |preload_pu| (set, *preload_pu)));
    let mut shown: Vec<(String, String)> = Vec::new();
    let mut sections = Vec::new();
    for (set, preload_pu) in sets {
        let Some(body) = one(ratings, &set.name, preload_pu) else { continue };
        let title = format!("{}, from {} pu", set.title, near(preload_pu, 2));
        let same = shown.iter().find(|(_, earlier)| *earlier == body);
        sections.push(match same {
            Some((earlier, _)) => titled(&title, &indented(&[format!("The same as {earlier}.")])),
            None => titled(&format!("{title} (pu, by ambient in °C)"), &body),
        });
        shown.push((title, body));
    }
    sections
}

/// What protection does at the warmest ambient, and at the coldest where its answers differ.
fn relays(ratings: &Ratings) -> Vec<String> {
    let answers = |found: &Protection| {
        found.together.as_ref().map(|all| (all.lets_through, all.acts_before.answer))
    };
    let Some(warmest) = ratings.protection.last() else { return Vec::new() };
    let coldest = ratings.protection.first().filter(|found| answers(found) != answers(warmest));
    let section = |found: &Protection| {
        let title = format!("Relays at {} °C", degrees(found.asked.ambient_c));
        titled(&title, &rate_relays::tables(found))
    };
    let shown = coldest.into_iter().chain([warmest]).map(section);
    shown.chain([findings(&of_protection(ratings))]).collect()
}

/// What was found about protection at the warmest ambient, and what must be acknowledged at another one alone.
pub(super) fn of_protection(ratings: &Ratings) -> Vec<Finding> {
    let Some((warmest, others)) = ratings.protection.split_last() else { return Vec::new() };
    let mut found = warmest.findings.clone();
    for other in others {
        let known = |own: &Finding| {
            warmest.findings.iter().any(|same| {
                (same.code, &same.text, same.severity) == (own.code, &own.text, own.severity)
            })
        };
        let weighs = other.findings.iter().filter(|own| own.severity >= Severity::Caution);
        found.extend(weighs.filter(|own| !known(own)).map(|own| {
            let text = format!("At {} °C: {}", degrees(other.asked.ambient_c), own.text);
            Finding { text, ..own.clone() }
        }));
    }
    found.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    found
}

fn footer(ratings: &Ratings) -> String {
    let hash = ratings.inputs_sha256.get(..16).unwrap_or("");
    let identity = format!(
        "{} {}, {}, evidence judged for {}, inputs sha256 {hash}",
        ratings.tool.name, ratings.tool.version, ratings.methodology, ratings.date
    );
    let explain =
        format!("Every code: `{} explain CODE`. All figures: --format json.", ratings.tool.name);
    let assumptions = format!("Assumed: {}", ratings.assumptions.join(" "));
    let lines = [assumptions, ratings.notice.to_owned(), explain, identity];
    lines.iter().flat_map(|line| wrapped(line, WIDTH)).collect::<Vec<_>>().join("\n")
}
