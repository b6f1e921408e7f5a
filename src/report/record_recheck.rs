//! Recorded go-aheads asked again, as text: those that no longer hold first, each with its reasons.

use super::answer::indented;
use super::record_words::printable;
use super::spread_words::deciding;
use super::text::{WIDTH, joined, titled};
use super::view::{duration, figures, near, severity, wrapped};
use crate::record::recheck::{Outcome, Recheck, Rechecked, Said};
use crate::rules::finding::{Finding, Severity};
use anstyle::Style;

/// Most new findings that are shown of one go-ahead; JSON has all of them.
const MOST_SHOWN: usize = 3;

/// Columns before the words of a go-ahead.
const BEFORE: usize = 7;

/// What a recheck cannot say.
const LIMITS: &str = "Each question was asked again as it was recorded, for its own day, with the files that the record keeps, unless a line says otherwise. It says \
     nothing of what happened to a unit since. The record was not changed.";

/// The whole text, 80 columns. Styles are ANSI; strip them where colour is not wanted.
pub fn rendered(found: &Recheck) -> String {
    let faults = if found.intact {
        String::new()
    } else {
        let lines: Vec<String> = found.faults.iter().map(|fault| printable(fault)).collect();
        titled("Record damaged or altered", &indented(&lines))
    };
    let listed = [
        ("No longer hold: NO-GO now", Outcome::NoGo),
        ("No longer hold: nobody can decide them now", Outcome::CannotDecide),
        ("Cannot be rechecked; do not count on them", Outcome::NotRechecked),
        ("Hold with less margin or more cautions", Outcome::HoldsWithLess),
        ("Given against the answer, and still against it", Outcome::StillAgainstTheAnswer),
    ];
    let mut sections = vec![headline(found), faults];
    sections.extend(listed.into_iter().map(|(title, outcome)| section(found, title, outcome)));
    sections.push(as_before(found));
    sections.push(wrapped(LIMITS, WIDTH).join("\n"));
    joined(sections)
}

/// How many no longer hold, of how many.
fn headline(found: &Recheck) -> String {
    let bold = Style::new().bold();
    let all = found.go_aheads.len();
    let count = |outcome| found.count(outcome);
    let go_aheads = if all == 1 { "go-ahead" } else { "go-aheads" };
    let first = match (all, found.fallen()) {
        (0, _) => "The record has no go-ahead".to_owned(),
        (_, 0) => format!("None of {all} {go_aheads} is known to have fallen"),
        (_, 1) => format!("1 of {all} {go_aheads} no longer holds"),
        (_, some) => format!("{some} of {all} {go_aheads} no longer hold"),
    };
    let mut more = Vec::new();
    match count(Outcome::NotRechecked) {
        0 => {}
        open => more.push(format!("{open} cannot be rechecked")),
    }
    match count(Outcome::HoldsWithLess) {
        0 => {}
        1 => more.push("1 holds with less margin or more cautions".to_owned()),
        less => more.push(format!("{less} hold with less margin or more cautions")),
    }
    match count(Outcome::StillAgainstTheAnswer) {
        0 => {}
        1 => more.push("1 was given against the answer".to_owned()),
        against => more.push(format!("{against} were given against the answer")),
    }
    let all_hold = all > 0 && found.intact && count(Outcome::Holds) == all;
    let first = match (all_hold, all) {
        (true, 1) => "The go-ahead still holds".to_owned(),
        (true, _) => format!("All {all} go-aheads still hold"),
        (false, _) => first,
    };
    let line = std::iter::once(first).chain(more).collect::<Vec<_>>().join("; ");
    // Nobody is to read a comfortable count of what may be half a record.
    let damaged = if found.intact { "" } else { "Record damaged or altered. " };
    let line = format!("{damaged}{line} (version {}).", found.tool.version);
    format!("{bold}{}{bold:#}", wrapped(&line, WIDTH).join("\n"))
}

fn section(found: &Recheck, title: &str, outcome: Outcome) -> String {
    let parts: Vec<String> = found.with(outcome).map(|own| one(own).join("\n")).collect();
    if parts.is_empty() { String::new() } else { titled(title, &parts.join("\n")) }
}

/// A go-ahead: what it was, what was said, what is said now, and why.
fn one(own: &Rechecked) -> Vec<String> {
    let mut lines = vec![format!("{}, written {}", own.id, own.written), asked(own)];
    match (&own.then, &own.now) {
        (Some(then), Some(now)) => {
            lines.push(format!("then: {}", said(then)));
            lines.push(format!("now: {}", said(now)));
        }
        (Some(then), None) => lines.push(format!("then: {}", said(then))),
        (None, _) => {}
    }
    let held = matches!(own.outcome, Outcome::HoldsWithLess);
    lines.extend(own.not_rechecked.iter().map(|why| sentence(why)));
    lines.extend(own.notes.iter().map(|note| sentence(note)));
    lines.extend(if held { in_codes(&own.new_findings) } else { in_sentences(&own.new_findings) });
    let wrapped = lines.iter().flat_map(|line| wrapped(line, WIDTH - BEFORE));
    let number = std::iter::once(own.entry.to_string()).chain(std::iter::repeat(String::new()));
    wrapped.zip(number).map(|(line, number)| format!("{number:>5}  {line}")).collect()
}

fn asked(own: &Rechecked) -> String {
    let Some(asked) = &own.asked else {
        return own.unit.clone();
    };
    let day = asked.as_of.as_ref().map_or_else(
        || "on a day not recorded".to_owned(),
        |day| format!("evidence judged for {}", printable(day)),
    );
    let (load, lasts) = (near(asked.load_pu, 2), duration(asked.duration_min));
    format!("{}: {load} pu for {lasts}, {day}", own.unit)
}

fn said(said: &Said) -> String {
    let word = said.verdict.map_or("answer not known", |verdict| verdict.in_words());
    format!("{word}, margin {}", deciding(said.margin_low_k, said.drawn))
}

/// What weighs now and did not, in full.
fn in_sentences(findings: &[Finding]) -> Vec<String> {
    let weighs = |own: &&Finding| own.severity >= Severity::Unknown;
    let all: Vec<&Finding> = findings.iter().filter(weighs).collect();
    let line = |own: &&Finding| {
        let figures = figures(own);
        let figures = if figures.is_empty() { figures } else { format!(" ({figures})") };
        format!("{} {}{figures} [{}]", severity(own.severity), own.text, own.code)
    };
    let mut lines: Vec<String> = all.iter().take(MOST_SHOWN).map(line).collect();
    let rest = all.len().saturating_sub(MOST_SHOWN);
    if rest > 0 {
        lines.push(format!("and {rest} more; --format json has all of them"));
    }
    lines
}

/// Cautions that nobody acknowledged then, by their codes alone: the overload may still go ahead.
fn in_codes(findings: &[Finding]) -> Vec<String> {
    let mut codes: Vec<&str> = findings.iter().map(|own| own.code).collect();
    codes.dedup();
    if codes.is_empty() { Vec::new() } else { vec![format!("New: {}.", codes.join(", "))] }
}

fn as_before(found: &Recheck) -> String {
    let (plain, noted): (Vec<&Rechecked>, Vec<&Rechecked>) =
        found.with(Outcome::Holds).partition(|own| own.notes.is_empty());
    let entries: Vec<String> = plain.iter().map(|own| own.entry.to_string()).collect();
    let first = (!entries.is_empty()).then(|| format!("entry {}", entries.join(", ")));
    let noted = noted.iter().map(|own| {
        let notes: Vec<String> = own.notes.iter().map(|note| sentence(note)).collect();
        format!("entry {}. {}", own.entry, notes.join(" "))
    });
    let lines: Vec<String> = first.into_iter().chain(noted).collect();
    if lines.is_empty() {
        return String::new();
    }
    titled("Hold as before", &indented(&lines))
}

/// With a capital at its beginning and a full stop at its end.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first: String = letters.next().into_iter().flat_map(char::to_uppercase).collect();
    let end = if text.ends_with('.') { "" } else { "." };
    format!("{first}{}{end}", letters.as_str())
}
