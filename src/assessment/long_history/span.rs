//! What a history covers: its ends, its holes, and the clock.

use chrono::{DateTime, FixedOffset, SecondsFormat, TimeDelta};
use serde::Serialize;

/// The instant that is minute 0, if any.
#[derive(Debug, Clone, Copy, Default)]
pub struct Clock(pub Option<DateTime<FixedOffset>>);

impl Clock {
    /// The instant of a minute.
    pub fn at(self, minute: f64) -> Option<DateTime<FixedOffset>> {
        #[allow(clippy::cast_possible_truncation, reason = "minutes of a century at most")]
        let milliseconds = (minute * 60_000.0).round() as i64;
        self.0?.checked_add_signed(TimeDelta::milliseconds(milliseconds))
    }
}

/// A moment.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct When {
    /// Minute.
    pub min: f64,
    /// The time, RFC 3339, where minute 0 has one.
    pub time: Option<String>,
}

impl When {
    pub(super) fn of(minute: f64, clock: Clock) -> Self {
        let written = |at: DateTime<FixedOffset>| at.to_rfc3339_opts(SecondsFormat::AutoSi, true);
        Self { min: minute, time: clock.at(minute).map(written) }
    }
}

/// What a history covers.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Span {
    /// Number of rows.
    pub rows: u64,
    /// First row.
    pub from: Option<When>,
    /// Last row, which only ends the history.
    pub until: Option<When>,
    /// Hours from the first row to the last.
    pub hours: f64,
    /// Hours without the gaps.
    pub known_hours: f64,
    /// Holes that are longer than loads and temperatures can be carried over.
    pub gaps: Gaps,
    #[serde(skip)]
    first_min: f64,
    #[serde(skip)]
    last_min: f64,
}

/// Holes in a history.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Gaps {
    /// How many.
    pub count: u64,
    /// Hours in all of them.
    pub hours: f64,
    /// The longest.
    pub longest: Option<Gap>,
}

/// A hole in a history.
#[derive(Debug, Clone, Serialize)]
pub struct Gap {
    /// The last row before it.
    pub after: When,
    /// How long it is, h.
    pub hours: f64,
}

impl Span {
    pub(super) fn begin(&mut self, minute: f64) {
        self.rows = 1;
        (self.first_min, self.last_min) = (minute, minute);
    }

    pub(super) fn first_min(&self) -> f64 {
        self.first_min
    }

    pub(super) fn extend(&mut self, minute: f64) {
        self.rows += 1;
        self.last_min = minute;
    }

    pub(super) fn gap(&mut self, after_min: f64, length_min: f64, clock: Clock) {
        let hours = length_min / 60.0;
        self.gaps.count += 1;
        self.gaps.hours += hours;
        if self.gaps.longest.as_ref().is_none_or(|longest| hours > longest.hours) {
            self.gaps.longest = Some(Gap { after: When::of(after_min, clock), hours });
        }
    }

    pub(super) fn finished(self, clock: Clock) -> Self {
        let hours = (self.last_min - self.first_min) / 60.0;
        Self {
            from: Some(When::of(self.first_min, clock)),
            until: Some(When::of(self.last_min, clock)),
            hours,
            known_hours: hours - self.gaps.hours,
            ..self
        }
    }
}
