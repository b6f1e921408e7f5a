//! The starts of an outage as a calendar: a row for each month, a mark for each day.

use super::plan_words::read;
use crate::planning::outage::HourAnswer;
use crate::rules::verdict::Verdict;
use chrono::{DateTime, Datelike, FixedOffset};

/// What the starts of one day come to.
#[derive(Debug, Clone, Copy, Default)]
struct Day {
    go: usize,
    no_go: usize,
    unknown: usize,
}

impl Day {
    fn mark(self) -> char {
        match (self.go, self.no_go, self.unknown) {
            (0, 0, 0) => ' ',
            (_, 0, 0) => 'o',
            (0, 0, _) => '?',
            (0, _, _) => 'X',
            (_, _, _) => '/',
        }
    }
}

/// One row for each month that has starts, with the days of the month over it.
pub(super) fn calendar(starts: &[HourAnswer]) -> Vec<String> {
    let mut months: Vec<((i32, u32), String, [Day; 31])> = Vec::new();
    for (at, verdict) in starts.iter().filter_map(|hour| Some((read(&hour.start)?, hour.verdict))) {
        let month = (at.year(), at.month());
        if months.last().is_none_or(|last| last.0 != month) {
            months.push((month, name(&at), [Day::default(); 31]));
        }
        let day = months.last_mut().and_then(|last| last.2.get_mut(at.day0() as usize));
        if let Some(day) = day {
            match verdict {
                Verdict::Go | Verdict::GoWithCautions => day.go += 1,
                Verdict::NoGo => day.no_go += 1,
                Verdict::CannotDecide => day.unknown += 1,
            }
        }
    }
    let rows = months.iter().map(|(_, name, days)| {
        let marks: String = days.iter().map(|day| day.mark()).collect();
        format!("{name}  {}", marks.trim_end())
    });
    let days = format!("{:8}  1   5    10   15   20   25   30", "");
    std::iter::once(days).chain(rows).collect()
}

/// What the marks mean.
pub(super) const MEANING: &str =
    "a mark for each day: o all its starts go, / some, X none, ? not known";

fn name(at: &DateTime<FixedOffset>) -> String {
    at.format("%b %Y").to_string()
}
