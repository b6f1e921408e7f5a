//! Standing orders as pages to print: black on white, nothing by colour. Nothing that warns is left out for space.

mod pages;
mod tables;

use super::answer::{in_rows, labelled};
use super::rate_relays::bubbles_first;
use super::text::WIDTH;
use super::view::{cut, down, down_or_dash, figures, near, near_or_dash, up, up_or_dash, wrapped};
use crate::planning::orders::{NotAbove, Standing, StandingOrders};
use crate::rules::finding::Finding;
use pages::Block;
use unicode_width::UnicodeWidthStr;

/// Lines of a printed page.
pub const PAGE_LINES: usize = 66;

/// Where the orders are to be signed.
const SIGNED: &str =
    "Name ______________________  Date ______________  Signature ____________________";

/// The orders on as many pages of [`PAGE_LINES`] lines of [`WIDTH`] columns as they need, without styles.
pub fn page(orders: &StandingOrders) -> String {
    let continued = cut(&format!("STANDING ORDERS for {}, continued", orders.unit.name), WIDTH);
    pages::paged(&blocks(orders), &continued)
}

/// The orders without page breaks, for what is no printed page.
pub(super) fn unpaged(orders: &StandingOrders) -> String {
    pages::joined(&blocks(orders)).join("\n")
}

/// What stays together on a page, in order; no line is wider than [`WIDTH`].
fn blocks(orders: &StandingOrders) -> Vec<Block> {
    let before = [
        headline(orders),
        in_rows(&rows(orders)),
        tables::ceilings(orders),
        tables::stop_values(orders),
    ];
    let mut blocks: Vec<Block> = before.iter().filter_map(|text| Block::section(text)).collect();
    blocks.extend(Block::list("Watch also", &watch(orders)));
    blocks.extend(Block::list(reasons_title(orders), &reasons(orders)));
    blocks.extend(Block::list("Precautions", &precautions(orders)));
    blocks.extend(Block::section(&format!("{}\n\n{}", ends(orders), signing(orders))));
    for line in blocks.iter_mut().flat_map(|block| &mut block.lines) {
        // Only names in tables can be so long: all words are wrapped.
        if line.width() > WIDTH {
            *line = cut(line, WIDTH);
        }
    }
    blocks
}

fn headline(orders: &StandingOrders) -> String {
    let site = orders.unit.site.as_ref().map_or_else(String::new, |site| format!(", {site}"));
    let unit = format!("{}{site}, {} MVA", orders.unit.name, near(orders.unit.mva, 1));
    let (shape, words) = standing(orders.standing);
    let lines = [cut(&format!("STANDING ORDERS for {unit}"), WIDTH), format!("{shape} {words}")];
    lines.join("\n")
}

/// What the orders come to: a shape in plain characters and a sentence.
pub(super) fn standing(standing: Standing) -> (&'static str, &'static str) {
    match standing {
        Standing::Restricted => {
            ("/!\\", "RESTRICTED: the water in the paper sets load ceilings until it is dried.")
        }
        Standing::Ordinary => {
            ("(o)", "NOT RESTRICTED by water: nothing beyond the ordinary limits.")
        }
        Standing::Forbidden => ("<X>", "NO LOAD passes: ask the person responsible at once."),
        Standing::Undecided => ("[?]", "CANNOT DECIDE: no load ceilings can be stated."),
    }
}

fn rows(orders: &StandingOrders) -> Vec<(&'static str, String)> {
    let paper = &orders.paper;
    let water = format!(
        "assessed at {} % water, {} % gas; may bubble from {} °C on",
        up_or_dash(paper.counting_moisture_percent, 2),
        near_or_dash(paper.gas_percent, 1),
        down_or_dash(paper.inception_c, 0)
    );
    let limits = orders.limits.as_ref().map_or("no limit set", |set| set.name.as_str());
    let rules = orders.local_rules.as_deref().unwrap_or("no local rules given");
    let margin = up(orders.required_margin_k, 0);
    let certainty = match orders.draws {
        0 => "uncertainty not included".to_owned(),
        draws => format!("kept in 95 % of {draws} simulated cases"),
    };
    let cooling = orders.cooling.as_deref().unwrap_or("unknown");
    vec![
        ("paper", water),
        ("held to", format!("{limits}; {rules}")),
        ("margin", format!("{margin} K to bubbling, {certainty}; cooling {cooling}")),
        ("evidence", format!("judged for {}", orders.date)),
    ]
}

/// What else to watch: the hot spot, and every trip that lies above bubbling.
fn watch(orders: &StandingOrders) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    if let Some(hot_spot) = &orders.hot_spot {
        let words = format!("where it is measured, never above {}", not_above(hot_spot));
        rows.push(("hot spot", words));
    }
    let words = |first| format!("{} Do not rely on it.", bubbles_first(first));
    rows.extend(orders.relays.iter().map(|first| ("protection", words(first))));
    rows.iter().map(|(name, text)| labelled(name, text, "protection".len())).collect()
}

fn not_above(limit: &NotAbove) -> String {
    let why = match limit.because {
        "bubbling" => "bubbling, less the required margin and the uncertainty",
        _ => limit.source.as_str(),
    };
    format!("{} °C ({why})", down(limit.c, 0))
}

fn reasons_title(orders: &StandingOrders) -> &'static str {
    match orders.standing {
        Standing::Undecided => "Missing",
        Standing::Forbidden | Standing::Restricted | Standing::Ordinary => "Forbidden by",
    }
}

/// What forbids or is missing, and what would change it.
fn reasons(orders: &StandingOrders) -> Vec<Vec<String>> {
    let lines = orders.reasons.iter().map(|finding| {
        format!("{} {} [{}]", finding.text, finding.what_would_change_it, finding.code)
    });
    lines.map(|line| bullet(&line)).collect()
}

/// Every caution, whatever its length.
fn precautions(orders: &StandingOrders) -> Vec<Vec<String>> {
    orders.cautions.iter().map(caution).collect()
}

fn caution(finding: &Finding) -> Vec<String> {
    let figures = figures(finding);
    let figures = if figures.is_empty() { figures } else { format!(" ({figures})") };
    bullet(&format!("{}{figures}", finding.text))
}

fn bullet(text: &str) -> Vec<String> {
    let lines = wrapped(text, WIDTH - 4);
    let first = std::iter::once("  - ").chain(std::iter::repeat("    "));
    lines.iter().zip(first).map(|(line, mark)| format!("{mark}{line}")).collect()
}

fn ends(orders: &StandingOrders) -> String {
    let again = &orders.sample_again;
    let when = match again.months {
        0 => format!("at once: {}", again.why),
        _ => format!("by {} ({})", again.by, again.why),
    };
    let method = orders
        .measure_next
        .as_ref()
        .map_or_else(String::new, |next| format!("; best a {}", next.method.in_words()));
    let valid = orders.valid_until.as_ref().map_or_else(
        || "not valid: there are no ceilings".to_owned(),
        |until| format!("{}; {}", until.day, until.why),
    );
    in_rows(&[("sample again", format!("{when}{method}")), ("valid until", valid)])
}

fn signing(orders: &StandingOrders) -> String {
    let hash = orders.inputs_sha256.get(..16).unwrap_or("");
    let identity = format!("{} {}, inputs sha256 {hash}", orders.tool.name, orders.tool.version);
    let notice = "A calculation aid: it authorises nothing. It rates the transformer only.";
    [orders.authority, "", SIGNED, notice, &identity].join("\n")
}
