//! Ambients for ratings by season, from an ambient history.
//!
//! A season's ambient is a percentile of the highest ambient of each of its days. Only days that the history
//! covers count: the highest reading of a night is not the highest of its day.

use crate::input::InputError;
use crate::loading::LONGEST_GAP_MIN;
use crate::loading::ambient_history::{AmbientHistory, AmbientRow};
use crate::ranges;
use chrono::{Datelike, NaiveDate, NaiveTime, TimeDelta};
use serde::Serialize;
use std::collections::BTreeSet;
use std::io::Read;

ranges! {
    /// Percentile of the highest ambients of the days.
    Percentile: "% of the days", 50.0, 100.0;
}

/// The percentile where none is asked for. Common practice, no source.
pub const USUAL_PERCENTILE: f64 = 95.0;

/// A season with fewer days gives no ambient: four weeks. Our choice.
pub const LEAST_DAYS: usize = 28;

/// The seasons: name and first month.
const SEASONS: [(&str, u32); 4] = [("Dec-Feb", 12), ("Mar-May", 3), ("Jun-Aug", 6), ("Sep-Nov", 9)];

/// What an ambient history says of the seasons.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Seasons {
    /// The percentile, % of the days.
    pub percentile: f64,
    /// First day of the history, by the clock of the place.
    pub from: String,
    /// Last day of the history.
    pub until: String,
    /// Highest ambient on record, °C, on whatever day.
    pub highest_c: f64,
    /// When that was, by the clock of the place.
    pub highest_at: String,
    /// The four seasons, from December on.
    pub seasons: Vec<Season>,
}

/// A season.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Season {
    /// Its months, such as Jun-Aug.
    pub name: &'static str,
    /// The lowest of its days' highest ambients that the stated percentage of its days do not exceed, °C;
    /// `null` with fewer than [`LEAST_DAYS`] days.
    pub ambient_c: Option<f64>,
    /// Days that it rests on.
    pub days: usize,
    /// Days with rows that do not count: rows more than three hours apart may have missed the highest ambient.
    pub days_in_part: usize,
    /// Days that the season has in the years of which the history has any of its days.
    pub days_in_all: usize,
    /// Years that its days are from; those of a December count to the next one.
    pub years: usize,
    /// Highest ambient on record in this season, °C, on whatever day; `null` without rows.
    pub highest_c: Option<f64>,
}

impl Season {
    /// What the ambient rests on, or why there is none, as a sentence.
    pub fn in_words(&self) -> String {
        let years = if self.years == 1 { "year" } else { "years" };
        let rests = format!("{} of {} days in {} {years}", self.days, self.days_in_all, self.years);
        let part = match self.days_in_part {
            0 => String::new(),
            part => format!(", {part} more only in part"),
        };
        match self.ambient_c {
            Some(_) if self.days < self.days_in_all => format!("only {rests}{part}."),
            Some(_) => format!("{rests}{part}."),
            None => format!("none: {rests}{part}, and {LEAST_DAYS} days are needed."),
        }
    }
}

/// The seasons of an ambient history in CSV (see [`AmbientHistory`]) at a percentile ([`Percentile`]).
///
/// A day counts if its rows are nowhere more than three hours apart, nor the first of them from the midnight
/// before or the last from the midnight after.
///
/// # Errors
/// [`InputError`] at the cell that is refused.
pub fn seasons<R: Read>(place: &str, source: R, percentile: f64) -> Result<Seasons, InputError> {
    let mut history = AmbientHistory::new(place, source)?;
    let mut tally: Option<Tally> = None;
    while let Some(row) = history.next_row()? {
        match &mut tally {
            Some(tally) => tally.push(&row),
            None => tally = Some(Tally::from(&row)),
        }
    }
    // A table without rows was refused by the reader.
    let tally = tally.ok_or_else(|| InputError::new(place, "no rows", "at least one row"))?;
    Ok(tally.finished(percentile))
}

/// The day that rows are being read of.
struct Day {
    date: NaiveDate,
    highest_c: f64,
    covered: bool,
}

/// What is kept of the days of a season.
#[derive(Default)]
struct Days {
    highest_c: Vec<f64>,
    in_part: usize,
    /// Years of days that count, and of days with rows.
    years: BTreeSet<i32>,
    years_with_rows: BTreeSet<i32>,
    highest: Option<f64>,
}

struct Tally {
    from: NaiveDate,
    day: Day,
    last: AmbientRow,
    highest: AmbientRow,
    seasons: [Days; 4],
}

impl Day {
    fn from(row: &AmbientRow) -> Self {
        let since_midnight = row.local.time().signed_duration_since(NaiveTime::MIN);
        Self { date: row.local.date(), highest_c: row.ambient_c, covered: !is_gap(since_midnight) }
    }
}

impl Tally {
    fn from(row: &AmbientRow) -> Self {
        let day = Day::from(row);
        Self { from: day.date, day, last: *row, highest: *row, seasons: Default::default() }
    }

    fn push(&mut self, row: &AmbientRow) {
        if row.local.date() == self.day.date {
            self.day.covered &= !row.since_last.is_none_or(is_gap);
            self.day.highest_c = self.day.highest_c.max(row.ambient_c);
        } else {
            self.close();
            self.day = Day::from(row);
        }
        if row.ambient_c > self.highest.ambient_c {
            self.highest = *row;
        }
        self.last = *row;
    }

    /// Takes the day that is over into its season.
    fn close(&mut self) {
        let since_midnight = self.last.local.time().signed_duration_since(NaiveTime::MIN);
        self.day.covered &= !is_gap(TimeDelta::days(1) - since_midnight);
        let day = &self.day;
        let (season, year) = season_of(day.date);
        let days = &mut self.seasons[season];
        days.highest = Some(days.highest.map_or(day.highest_c, |c| c.max(day.highest_c)));
        days.years_with_rows.insert(year);
        if day.covered {
            days.highest_c.push(day.highest_c);
            days.years.insert(year);
        } else {
            days.in_part += 1;
        }
    }

    fn finished(mut self, percentile: f64) -> Seasons {
        self.close();
        let named = SEASONS.iter().zip(self.seasons);
        Seasons {
            percentile,
            from: self.from.to_string(),
            until: self.day.date.to_string(),
            highest_c: self.highest.ambient_c,
            highest_at: self.highest.local.format("%Y-%m-%dT%H:%M").to_string(),
            seasons: named
                .map(|((name, month), days)| days.season((name, *month), percentile))
                .collect(),
        }
    }
}

impl Days {
    fn season(mut self, (name, month): (&'static str, u32), percentile: f64) -> Season {
        self.highest_c.sort_by(f64::total_cmp);
        let days = self.highest_c.len();
        let ranked = rank(percentile, days).and_then(|index| self.highest_c.get(index)).copied();
        Season {
            name,
            ambient_c: ranked.filter(|_| days >= LEAST_DAYS),
            days,
            days_in_part: self.in_part,
            days_in_all: self.years_with_rows.iter().map(|year| length(*year, month)).sum(),
            years: self.years.len(),
            highest_c: self.highest,
        }
    }
}

/// The place, from 0, of the lowest of so many ordered values that the percentage of them do not exceed.
fn rank(percentile: f64, count: usize) -> Option<usize> {
    #[allow(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count of days within a century; NaN and what is below 0 become 0 and have no place"
    )]
    let rank = (percentile * count as f64 / 100.0).ceil() as usize;
    rank.checked_sub(1)
}

/// The season of a day, and the year that it counts to.
fn season_of(date: NaiveDate) -> (usize, i32) {
    match date.month() {
        12 => (0, date.year() + 1),
        month => ((month / 3) as usize, date.year()),
    }
}

/// Days of the season that begins in this month and counts to this year.
fn length(year: i32, month: u32) -> usize {
    let (begins, ends) =
        if month == 12 { (year - 1, (year, 3)) } else { (year, (year, month + 3)) };
    let first = |year, month| NaiveDate::from_ymd_opt(year, month, 1);
    let days = first(begins, month).zip(first(ends.0, ends.1));
    days.map_or(0, |(from, to)| usize::try_from((to - from).num_days()).unwrap_or(0))
}

/// Whether more may have happened in between than rows tell.
fn is_gap(between: TimeDelta) -> bool {
    #[allow(clippy::cast_precision_loss, reason = "seconds within a century")]
    let minutes = between.num_seconds() as f64 / 60.0;
    !(minutes <= LONGEST_GAP_MIN)
}
