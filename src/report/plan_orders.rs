//! Standing orders as one printed page: black on white, nothing by colour.

mod tables;

use super::answer::in_rows;
use super::rate_relays::bubbles_first;
use super::text::{WIDTH, titled};
use super::view::{cut, down, figures, near, near_or_dash, up_or_dash, wrapped};
use crate::planning::orders::{NotAbove, Standing, StandingOrders};
use crate::rules::catalogue::Code;
use crate::rules::finding::Finding;
use unicode_width::UnicodeWidthStr;

/// Lines of a printed page.
pub const PAGE_LINES: usize = 66;

/// Where the orders are to be signed.
const SIGNED: &str =
    "Name ______________________  Date ______________  Signature ____________________";

/// The page: at most [`PAGE_LINES`] lines of [`WIDTH`] columns, without styles. Where there is more to mind than fits, it says how
/// much is left out.
pub fn page(orders: &StandingOrders) -> String {
    let before = [
        headline(orders),
        in_rows(&rows(orders)),
        tables::ceilings(orders),
        watch(orders),
        reasons(orders),
    ];
    let after = [ends(orders), signing(orders)];
    let lines = |sections: &[String]| -> usize {
        let kept = sections.iter().filter(|section| !section.is_empty());
        kept.map(|section| section.lines().count() + 1).sum()
    };
    // The relays are said under what to watch.
    let said = |finding: &&Finding| {
        orders.relays.is_empty() || finding.code != Code::TripAboveBubbling.explanation().code
    };
    let cautions: Vec<&Finding> = orders.cautions.iter().filter(said).collect();
    // The blank line after the last section is none.
    let free = (PAGE_LINES + 1).saturating_sub(lines(&before) + lines(&after) + 1);
    let sections = before.into_iter().chain([minded(&cautions, free)]).chain(after);
    let kept: Vec<String> = sections.filter(|section| !section.is_empty()).collect();
    let whole = kept.join("\n\n");
    // However long the names in a profile are, the signature stays on the page.
    let written = whole
        .lines()
        .map(|line| if line.width() > WIDTH { cut(line, WIDTH) } else { line.to_owned() });
    written.collect::<Vec<_>>().join("\n") + "\n"
}

fn headline(orders: &StandingOrders) -> String {
    let site = orders.unit.site.as_ref().map_or_else(String::new, |site| format!(", {site}"));
    let unit = format!("{}{site}, {} MVA", orders.unit.name, near(orders.unit.mva, 1));
    let (shape, words) = match orders.standing {
        Standing::Restricted => {
            ("/!\\", "RESTRICTED: the water in the paper sets load ceilings until it is dried.")
        }
        Standing::Ordinary => {
            ("(o)", "NOT RESTRICTED by water: nothing beyond the ordinary limits.")
        }
        Standing::Forbidden => ("<X>", "NO LOAD passes: ask the person responsible at once."),
        Standing::Undecided => ("[?]", "CANNOT DECIDE: no load ceilings can be stated."),
    };
    let lines = [cut(&format!("STANDING ORDERS for {unit}"), WIDTH), format!("{shape} {words}")];
    lines.join("\n")
}

fn rows(orders: &StandingOrders) -> Vec<(&'static str, String)> {
    let paper = &orders.paper;
    let water = format!(
        "{} % water counts (best {}), {} % gas; may bubble at {} °C",
        up_or_dash(paper.counting_moisture_percent, 2),
        near_or_dash(paper.best_moisture_percent, 2),
        near_or_dash(paper.gas_percent, 1),
        near_or_dash(paper.inception_c, 1)
    );
    let limits = orders.limits.as_ref().map_or("no limit set", |set| set.name.as_str());
    let rules = orders.local_rules.as_deref().unwrap_or("no local rules given");
    let margin = near(orders.required_margin_k, 1);
    let certainty = match orders.draws {
        0 => "no cases simulated".to_owned(),
        draws => format!("5 % point of {draws} draws"),
    };
    let cooling = orders.cooling.as_deref().unwrap_or("unknown");
    vec![
        ("paper", water),
        ("held to", cut(&format!("{limits}; {rules}"), VALUE_COLUMNS)),
        ("margin", format!("{margin} K to bubbling, {certainty}; cooling {cooling}")),
    ]
}

/// Columns for what may be of any length behind a label.
const VALUE_COLUMNS: usize = 62;

fn watch(orders: &StandingOrders) -> String {
    let mut rows = Vec::new();
    if let Some(hot_spot) = &orders.hot_spot {
        rows.push(("hot spot", format!("never above {}", not_above(hot_spot))));
    }
    if let Some(top_oil) = &orders.top_oil {
        let words = format!("never above {}; in an overload as above", not_above(top_oil));
        rows.push(("top oil", words));
    }
    let relays = orders.relays.iter().take(RELAYS);
    let words = |first| format!("{} Do not rely on it.", bubbles_first(first));
    rows.extend(relays.map(|first| ("protection", cut(&words(first), 2 * VALUE_COLUMNS))));
    if let Some(more) = orders.relays.len().checked_sub(RELAYS).filter(|more| *more > 0) {
        rows.push(("", format!("nor on {more} more: see `rate`")));
    }
    if rows.is_empty() { String::new() } else { titled("Watch", &in_rows(&rows)) }
}

/// Relays that are named; of more the number is said.
const RELAYS: usize = 3;

fn not_above(limit: &NotAbove) -> String {
    let why = match limit.because {
        "bubbling" => "bubbling, less margin and doubt".to_owned(),
        _ => cut(&limit.source, 24),
    };
    format!("{} °C ({why})", down(limit.c, 1))
}

/// What forbids or is missing, and what would change it.
fn reasons(orders: &StandingOrders) -> String {
    let title = match orders.standing {
        Standing::Undecided => "Missing",
        Standing::Forbidden | Standing::Restricted | Standing::Ordinary => "Forbidden by",
    };
    let lines = orders.reasons.iter().map(|finding| {
        format!("{} {} [{}]", finding.text, finding.what_would_change_it, finding.code)
    });
    let lines: Vec<String> = lines.flat_map(|line| bullet(&line)).collect();
    // More than this is no page but a report, and `check` writes it.
    let kept: Vec<String> = lines.iter().take(REASON_LINES).cloned().collect();
    if kept.is_empty() { String::new() } else { titled(title, &kept.join("\n")) }
}

/// Lines for what forbids or is missing.
const REASON_LINES: usize = 24;

/// What to mind in at most so many lines with its title; what does not fit is counted.
fn minded(cautions: &[&Finding], most: usize) -> String {
    let all: Vec<Vec<String>> = cautions.iter().copied().map(caution).collect();
    let mut left = most.saturating_sub(1);
    let mut lines: Vec<String> = Vec::new();
    for (index, own) in all.iter().enumerate() {
        let more = usize::from(index + 1 < all.len());
        if own.len() + more > left {
            let words = format!("and {} more: see the findings of a check", all.len() - index);
            lines.extend(bullet(&words).into_iter().take(left));
            break;
        }
        left -= own.len();
        lines.extend(own.iter().cloned());
    }
    if lines.is_empty() { String::new() } else { titled("Mind", &lines.join("\n")) }
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
    in_rows(&[
        ("sample again", format!("{when}{method}")),
        ("made for", orders.date.clone()),
        ("valid until", valid),
    ])
}

fn signing(orders: &StandingOrders) -> String {
    let hash = orders.inputs_sha256.get(..16).unwrap_or("");
    let identity = format!("{} {}, inputs sha256 {hash}", orders.tool.name, orders.tool.version);
    let notice = "A calculation aid: it authorises nothing. It rates the transformer only.";
    [orders.authority, "", SIGNED, notice, &identity].join("\n")
}
