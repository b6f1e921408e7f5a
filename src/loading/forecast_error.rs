//! How wrong a forecast of load or ambient may be, by how far ahead it looks.

use crate::input::InputError;
use crate::input::number::{Range, parse};
use crate::input::table::Table;
use crate::ranges;
use crate::thermal::schedule::{AmbientLine, LoadSteps};
use serde::Serialize;

ranges! {
    /// Standard uncertainty of a load.
    LoadStdPercent: "% of the load, one standard deviation", 0.0, 30.0;
    /// Standard uncertainty of an ambient temperature.
    AmbientStdK: "K, one standard deviation", 0.0, 15.0;
}

/// Lead time up to which the error of a forecast grows, min.
const GROWS_UNTIL_MIN: f64 = 1440.0;

/// Standard uncertainty of the voltage where nobody states it, % of it and so of the current: anywhere within ±3 % of
/// the rated one, `3/√3`. Our choice, no source: what a regulated busbar keeps. A busbar that is not
/// regulated may be further off; whoever has the reading states it.
pub const UNKNOWN_VOLTAGE_STD_PERCENT: f64 = 1.732_050_807_568_877_2;

/// An error of a load that grows is renewed after this many minutes, and then whenever the time has
/// doubled, at its value at the end of the span: one that grows as the root of time is overstated by half
/// of its growth at most.
const RENEWED_MIN: f64 = 16.0;

/// When a growing error of a load is renewed next, min.
fn renewed_after(minute: f64) -> f64 {
    let mut next_min = RENEWED_MIN;
    while next_min <= minute {
        next_min *= 2.0;
    }
    next_min
}

/// Where a forecast error comes from; the first that states one counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Origin {
    /// A flag.
    Flag,
    /// A column of the schedule or of the forecast.
    Column,
    /// The unit profile.
    Profile,
    /// Nobody states one: what is usual.
    Usual,
}

/// Standard uncertainty of a forecast over time: of a load in % of it, of an ambient in K.
#[derive(Debug, Clone, PartialEq)]
pub struct ForecastError {
    law: Law,
    origin: Origin,
    /// What adds to it in quadrature at all times: of a load the voltage, where nobody states it, % of the load.
    added: f64,
}

#[derive(Debug, Clone, PartialEq)]
enum Law {
    Constant(f64),
    Growing { at_start: f64, after_a_day: f64 },
    Steps(LoadSteps),
    Lines(AmbientLine),
}

impl ForecastError {
    /// The same at all times; `None` if negative or not finite.
    pub fn constant(std: f64, origin: Origin) -> Option<Self> {
        possible(std).then_some(Self::of(Law::Constant(std), origin))
    }

    /// An error that grows for a day; `None` if it would shrink, is negative or not finite.
    pub fn growing(at_start: f64, after_a_day: f64, origin: Origin) -> Option<Self> {
        let grows = possible(at_start) && possible(after_a_day) && at_start <= after_a_day;
        grows.then_some(Self::of(Law::Growing { at_start, after_a_day }, origin))
    }

    /// Row by row, each held until the next one, as a load is; `None` if any is negative.
    pub fn in_steps(rows: LoadSteps) -> Option<Self> {
        let all = rows.steps().iter().all(|row| possible(row.1));
        all.then_some(Self::of(Law::Steps(rows), Origin::Column))
    }

    /// Row by row in straight lines, as an ambient is, the last one held; `None` if any is negative.
    pub fn in_lines(rows: AmbientLine) -> Option<Self> {
        let all = rows.knots().iter().all(|row| possible(row.1));
        all.then_some(Self::of(Law::Lines(rows), Origin::Column))
    }

    fn of(law: Law, origin: Origin) -> Self {
        Self { law, origin, added: 0.0 }
    }

    /// The same of a load whose voltage is not known: [`UNKNOWN_VOLTAGE_STD_PERCENT`] more, in quadrature.
    #[must_use]
    pub fn at_unknown_voltage(self) -> Self {
        Self { added: UNKNOWN_VOLTAGE_STD_PERCENT, ..self }
    }

    /// The same of a load whose voltage is stated, or that is a current itself.
    #[must_use]
    pub fn at_stated_voltage(self) -> Self {
        Self { added: 0.0, ..self }
    }

    /// The same as uncertain beyond its own as `other` is: with the voltage unknown where it is for that.
    #[must_use]
    pub fn at_voltage_of(self, other: &Self) -> Self {
        Self { added: other.added, ..self }
    }

    /// What the unknown voltage adds in quadrature, % of the load; 0 where it is known.
    pub fn voltage_std(&self) -> f64 {
        self.added
    }

    /// Standard uncertainty at a minute with what an unknown voltage adds, never negative; before minute 0 that at
    /// minute 0.
    ///
    /// ```text
    /// u(t) = √(u_own(t)² + u_V²)       u_V of the voltage, 0 where it is stated
    /// ```
    /// # Source       `project-choice`: both independent of each other, for small departures.
    /// # Valid        Any minute.
    /// # Departures   The current goes with 1/V; at 3 % that is a straight line to 0.1 % of the load.
    /// # Checked      Not checked against published numbers; see the tests of this file.
    pub fn std_at(&self, minute: f64) -> f64 {
        self.with_added(self.own_std_at(minute))
    }

    fn with_added(&self, own: f64) -> f64 {
        // Exactly its own where nothing is added.
        if self.added > 0.0 { own.hypot(self.added) } else { own }
    }

    /// Its own standard uncertainty at a minute, never negative; before minute 0 that at minute 0.
    ///
    /// ```text
    /// u(t) = u0 + (u1 - u0)·√(min(t, 1 day) / 1 day)       u0 at the start, u1 after a day
    /// ```
    /// # Source       `project-choice`: errors of a day that add up at random grow as the root of time.
    /// # Valid        Any minute; later than a day ahead it stays as it is.
    /// # Departures   A constant error and one given row by row are taken as stated.
    /// # Checked      Not checked against published numbers; see the tests of this file.
    pub fn own_std_at(&self, minute: f64) -> f64 {
        let minute = minute.max(0.0);
        match &self.law {
            Law::Constant(std) => *std,
            Law::Growing { at_start, after_a_day } => {
                let share = minute.min(GROWS_UNTIL_MIN) / GROWS_UNTIL_MIN;
                at_start + (after_a_day - at_start) * share.sqrt()
            }
            Law::Steps(rows) => rows.at(minute),
            Law::Lines(rows) => rows.at(minute),
        }
    }

    /// The standard uncertainty that a load is given from a minute on, until something changes: one given
    /// row by row as stated, in the minutes for which it is stated; one that grows is held at its value at
    /// the end of a span, so that it need not change with every minute. Before minute 0 that at minute 0.
    pub fn held_from(&self, minute: f64) -> f64 {
        match &self.law {
            Law::Growing { .. } if minute >= 0.0 => self.std_at(renewed_after(minute)),
            Law::Growing { .. } | Law::Constant(_) | Law::Steps(_) | Law::Lines(_) => {
                self.std_at(minute)
            }
        }
    }

    /// The minutes up to one at which an error that grows is renewed, as [`held_from`](Self::held_from) gives it: who follows a
    /// load in longer steps has to stop there.
    pub fn renewed_minutes(&self, until_min: f64) -> impl Iterator<Item = f64> {
        let grows = matches!(self.law, Law::Growing { .. });
        let first = grows.then_some(RENEWED_MIN);
        std::iter::successors(first, |minute| Some(2.0 * minute))
            .take_while(move |minute| *minute < until_min)
    }

    /// The minutes of the rows where it is given row by row: nothing may be followed past one of them in one
    /// step.
    pub fn row_minutes(&self) -> impl Iterator<Item = f64> {
        let rows = match &self.law {
            Law::Constant(_) | Law::Growing { .. } => &[],
            Law::Steps(rows) => rows.steps(),
            Law::Lines(rows) => rows.knots(),
        };
        rows.iter().map(|row| row.0)
    }

    /// The same where the last load before `until_min` goes on for ever: given row by row, so does its error.
    #[must_use]
    pub fn held_after(&self, until_min: f64) -> Self {
        let law = match &self.law {
            Law::Steps(rows) if rows.steps()[0].0 < until_min => {
                Law::Steps(rows.held_after(until_min))
            }
            Law::Constant(_) | Law::Growing { .. } | Law::Steps(_) | Law::Lines(_) => {
                self.law.clone()
            }
        };
        Self { law, ..*self }
    }

    /// The same for a question that begins at a minute far ahead: an error that grows has grown, and one
    /// given row by row is that of its own time, up to `until_min`.
    #[must_use]
    pub fn far_ahead(&self, from_min: f64, until_min: f64) -> Self {
        let law = match &self.law {
            Law::Constant(std) | Law::Growing { after_a_day: std, .. } => Law::Constant(*std),
            Law::Steps(rows) => Law::Steps(rows.part(from_min, until_min)),
            Law::Lines(rows) => Law::Lines(rows.part(from_min, until_min)),
        };
        Self { law, ..*self }
    }

    /// Whether there is any at any time.
    pub fn is_some(&self) -> bool {
        let own = match &self.law {
            Law::Constant(std) | Law::Growing { after_a_day: std, .. } => *std > 0.0,
            Law::Steps(rows) => rows.steps().iter().any(|row| row.1 > 0.0),
            Law::Lines(rows) => rows.knots().iter().any(|row| row.1 > 0.0),
        };
        own || self.added > 0.0
    }

    /// Where it comes from.
    pub fn origin(&self) -> Origin {
        self.origin
    }

    /// The one that counts: the flag's, else the column's, else this one, the profile's or the usual.
    ///
    /// # Errors
    /// [`InputError`] if both flag and column state one; both are named as `flag` and `column` say.
    pub fn unless_stated(
        &self,
        (flag, stated): (&str, Option<f64>),
        (column, rows): (&str, Option<Self>),
    ) -> Result<Self, InputError> {
        match (stated, rows) {
            (Some(std), Some(_)) => {
                let found = format!("{std}, and a column {column} in the file");
                Err(InputError::new(flag, found, "one of the two"))
            }
            (Some(std), None) => Self::constant(std, Origin::Flag)
                .map(|own| own.at_voltage_of(self))
                .ok_or_else(|| InputError::new(flag, std.to_string(), "a number from 0")),
            (None, Some(rows)) => Ok(rows.at_voltage_of(self)),
            (None, None) => Ok(self.clone()),
        }
    }
}

/// The cells of an optional column of standard uncertainties beside the minutes of their rows.
pub(super) fn rows_of<R: Range>(
    table: &Table,
    name: &str,
    minutes: &[f64],
) -> Result<Option<Vec<(f64, f64)>>, InputError> {
    let Some(column) = table.column(name) else {
        return Ok(None);
    };
    let cell = |(row, minute): (usize, &f64)| Ok((*minute, table.number(row, column, parse::<R>)?));
    minutes.iter().enumerate().map(cell).collect::<Result<_, _>>().map(Some)
}

fn possible(std: f64) -> bool {
    std.is_finite() && std >= 0.0
}

#[cfg(test)]
mod tests;
