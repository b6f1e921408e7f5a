//! Times and words of a plan.

use super::view::{down, near};
use crate::planning::outage::{CaseAnswer, OutageAnswer, StartAnswer};
use crate::rules::verdict::Verdict;
use crate::uncertainty::odds::odds_of;
use chrono::{DateTime, FixedOffset};

/// A time as people write it, `Thu 5 Nov 20:00`; an instant that is none stays as it stands.
pub(super) fn when(instant: &str) -> String {
    in_form(instant, "%a %-d %b %H:%M")
}

/// The same with the year, `Thu 5 Nov 2026 20:00`.
pub(super) fn in_full(instant: &str) -> String {
    in_form(instant, "%a %-d %b %Y %H:%M")
}

/// The day alone, with the year.
pub(super) fn when_in_year(instant: &str) -> String {
    in_form(instant, "%-d %b %Y")
}

fn in_form(instant: &str, form: &str) -> String {
    read(instant).map_or_else(|| instant.to_owned(), |at| at.format(form).to_string())
}

/// The instant behind RFC 3339.
pub(super) fn read(instant: &str) -> Option<DateTime<FixedOffset>> {
    DateTime::parse_from_rfc3339(instant).ok()
}

/// The offset from universal time that the times of a plan are in.
pub(super) fn zone(instant: &str) -> String {
    read(instant).map_or_else(String::new, |at| format!("UTC{}", at.format("%:z")))
}

/// A long duration: `5 days`, `1 day 12 h`, `8 h`.
pub(super) fn long(minutes: f64) -> String {
    let days = (minutes / 1440.0).floor();
    if days < 1.0 {
        return super::view::duration(minutes);
    }
    let word = if days < 2.0 { "day" } else { "days" };
    let rest = minutes - days * 1440.0;
    let rest = if rest < 1.0 { String::new() } else { format!(" {}", super::view::duration(rest)) };
    format!("{} {word}{rest}", near(days, 0))
}

/// The case that decides: with the next trip where one is stated.
pub(super) fn deciding(outage: &OutageAnswer) -> &CaseAnswer {
    outage.with_next_trip.as_ref().unwrap_or(&outage.as_planned)
}

/// Whether an outage has a start from which it goes.
pub(super) fn verdict(outage: &OutageAnswer) -> Verdict {
    deciding(outage).best.as_ref().map_or(Verdict::CannotDecide, |best| best.verdict)
}

/// A margin in kelvin.
pub(super) fn kelvin(margin_k: Option<f64>) -> String {
    margin_k.map_or_else(|| "not known".to_owned(), |margin_k| format!("{} K", down(margin_k, 1)))
}

/// The chance of bubbling in words.
pub(super) fn chance(start: &StartAnswer, draws: u32) -> String {
    match start.probability {
        None => "chance of bubbling not drawn".to_owned(),
        Some(share) => format!("chance of bubbling {}", odds_of(share, draws as usize)),
    }
}
