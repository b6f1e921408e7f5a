//! A fleet as text: how many came to what, the units, the worst first, then what to do about each.

use super::answer::indented;
use super::fleet_words::{
    NOTICE, asked, at_minute, chance, counts, shape, shown_of, verdict, without_profile,
};
use super::text::{WIDTH, joined, titled, verdict_style};
use super::view::{cut, down, near, near_or_dash, wrapped};
use crate::fleet::row::{Row, Standing};
use crate::fleet::whole::Fleet;
use unicode_width::UnicodeWidthStr;

/// Widths of the columns of the units: rank, unit, verdict, load, margin, chance; the last one is free.
const UNIT_WIDTHS: [usize; 6] = [5, 17, 21, 5, 8, 11];
/// The same of the recent loads: unit, peak, hot spot, when, least margin; hours.
const RECENT_WIDTHS: [usize; 6] = [19, 7, 9, 20, 9, 9];

/// The whole answer. Styles are ANSI; strip them where colour is not wanted.
pub fn rendered(fleet: &Fleet, shown: &[usize]) -> String {
    let rows: Vec<(usize, &Row)> =
        shown.iter().filter_map(|rank| Some((*rank, fleet.ranked.get(*rank)?))).collect();
    let own: Vec<&Row> = rows.iter().map(|(_, row)| *row).collect();
    let mut question = asked(&fleet.asked);
    question.extend(shown_of(fleet, shown));
    question.push("within the entered limits; local rules decide".to_owned());
    let strays = without_profile(fleet)
        .map_or_else(String::new, |words| titled("No profile", &indented(&[words])));
    let sections = [
        headline(fleet),
        indented(&question),
        units(&rows),
        to_do(&own),
        recent(&own),
        strays,
        footer(fleet),
    ];
    joined(sections.into())
}

/// What could not be computed, a line for each unit; empty if there is none.
pub fn not_computed(rows: &[Row]) -> String {
    let failed = |row: &&Row| matches!(row.standing, Standing::Refused | Standing::Failed);
    let lines = rows.iter().filter(failed).map(|row| {
        let text = format!("{}: {}: {}", row.unit, row.standing.name(), row.governs.words);
        wrapped(&text, WIDTH - 4).join("\n    ")
    });
    let lines: Vec<String> = lines.map(|line| format!("  {line}\n")).collect();
    if lines.is_empty() { String::new() } else { titled("Not computed", &lines.concat()) }
}

/// How many came to what; colour only where something is the matter.
fn headline(fleet: &Fleet) -> String {
    let found = fleet.counts();
    let parts = counts(&found).into_iter().map(|(standing, count)| {
        let words = format!("{} {count} {}", shape(standing), standing.in_words());
        styled(standing, &words)
    });
    let parts: Vec<String> = parts.collect();
    let whole = format!("of {} units", found.units);
    let line = format!("{}  {whole}", parts.join("  "));
    let wide = anstream::adapter::strip_str(&line).to_string().width();
    if wide <= WIDTH { line } else { format!("{}\n{whole}", parts.join("\n")) }
}

fn styled(standing: Standing, words: &str) -> String {
    if standing == Standing::Go {
        return words.to_owned();
    }
    let style = verdict_style(verdict(standing));
    format!("{style}{words}{style:#}")
}

fn units(rows: &[(usize, &Row)]) -> String {
    if rows.is_empty() {
        return "No unit is shown.".to_owned();
    }
    let head = ["", "unit", "verdict", "load", "margin", "chance"];
    let head = row_of(&head, &UNIT_WIDTHS, &[0, 3, 4, 5]) + " governed by";
    let lines = rows.iter().map(|(rank, row)| {
        let load = row.asked.as_ref().map(|asked| asked.load_pu);
        let verdict = format!("{} {}", shape(row.standing), row.standing.in_words());
        let cells = [
            (rank + 1).to_string(),
            row.unit.clone(),
            verdict.clone(),
            near_or_dash(load, 2),
            row.margin_low_k.map_or_else(|| "-".to_owned(), |k| format!("{} K", down(k, 1))),
            chance(row),
        ];
        let cells: Vec<&str> = cells.iter().map(String::as_str).collect();
        let line = row_of(&cells, &UNIT_WIDTHS, &[0, 3, 4, 5]);
        let line = line.replacen(&verdict, &styled(row.standing, &verdict), 1);
        format!("{line} {}", row.governs.what)
    });
    let lines: Vec<String> = lines.collect();
    titled("Units, the worst first", &format!("{head}\n{}", lines.join("\n")))
}

/// For each unit that is not simply a go: why, what is missing and what to do next.
fn to_do(rows: &[&Row]) -> String {
    let of_them = rows.iter().filter(|row| row.standing != Standing::Go || row.next.is_some());
    let lines: Vec<String> = of_them.map(|row| to_do_of(row)).collect();
    if lines.is_empty() {
        return String::new();
    }
    titled("Why, what is missing, what to do next", &lines.join("\n"))
}

fn to_do_of(row: &Row) -> String {
    let mut parts = vec![("why", row.governs.words.clone())];
    let missing: Vec<&str> = row
        .missing
        .iter()
        .filter(|missing| missing.words != row.governs.words)
        .map(|missing| missing.words.as_str())
        .collect();
    if !missing.is_empty() {
        parts.push(("missing", missing.join(" ")));
    }
    if let Some(next) = &row.next {
        let gain = next.gain_k.map_or_else(String::new, |k| {
            format!(": {} K more if it reads as expected", down(k, 1))
        });
        parts.push(("next", format!("{}{gain}", next.words)));
    }
    if let Some(load_pu) = row.largest_load_pu {
        parts.push(("largest load", format!("{} pu would pass", down(load_pu, 2))));
    }
    let lines = parts.iter().flat_map(|(label, text)| labelled(label, text));
    format!("  {}\n{}", row.unit, lines.collect::<Vec<_>>().join("\n"))
}

fn labelled(label: &str, text: &str) -> Vec<String> {
    const WIDE: usize = 13;
    let lines = wrapped(text, WIDTH - 4 - WIDE).into_iter().enumerate();
    lines
        .map(|(at, line)| {
            let label = if at == 0 { label } else { "" };
            format!("    {label:<WIDE$}{line}")
        })
        .collect()
}

/// What the units went through, in the same order.
fn recent(rows: &[&Row]) -> String {
    let head = ["  unit", "peak", "hot spot", "when", "margin", "hours <"];
    let head = row_of(&head, &RECENT_WIDTHS, &[1, 2, 4, 5]) + "   gaps";
    let lines: Vec<String> = rows
        .iter()
        .filter_map(|row| {
            let recent = row.recent.as_ref()?;
            let when = recent.hot_spot_at.as_deref().map_or_else(|| "-".to_owned(), at_minute);
            let cells = [
                format!("  {}", row.unit),
                near(recent.peak_pu, 2),
                recent.hot_spot_c.map_or_else(|| "-".to_owned(), |c| format!("{} °C", near(c, 1))),
                format!("  {when}"),
                recent
                    .least_margin_k
                    .map_or_else(|| "-".to_owned(), |k| format!("{} K", down(k, 1))),
                near_or_dash(recent.hours_below_required, 1),
            ];
            let cells: Vec<&str> = cells.iter().map(String::as_str).collect();
            let line = row_of(&cells, &RECENT_WIDTHS, &[1, 2, 4, 5]);
            Some(format!("{line} {:>6}", recent.gaps))
        })
        .collect();
    if lines.is_empty() {
        return String::new();
    }
    let title = "Recent loads (peak in pu, least margin and when, hours with less than required)";
    titled(title, &format!("{head}\n{}", lines.join("\n")))
}

/// Cells cut and padded to their widths, some of them to the right.
fn row_of(cells: &[&str], widths: &[usize], right: &[usize]) -> String {
    let padded = cells.iter().zip(widths).enumerate().map(|(at, (cell, width))| {
        let cell = cut(cell, *width);
        let space = " ".repeat(width.saturating_sub(cell.width()));
        if right.contains(&at) {
            format!("{space}{cell}")
        } else {
            format!(" {cell}{}", space.get(1..).unwrap_or(""))
        }
    });
    padded.collect::<String>().trim_end().to_owned()
}

fn footer(fleet: &Fleet) -> String {
    let tool = (env!("CARGO_PKG_NAME"), env!("CARGO_PKG_VERSION"));
    let hash = fleet.inputs_sha256.get(..16).unwrap_or("");
    let explain = format!(
        "One unit by itself: `{} check`. Every figure: --format csv or json. A page: --format html.",
        tool.0
    );
    let identity = format!("{} {}, inputs sha256 {hash}", tool.0, tool.1);
    let lines = [NOTICE.to_owned(), explain, identity];
    lines.iter().flat_map(|line| wrapped(line, WIDTH)).collect::<Vec<_>>().join("\n")
}
