//! The limits for one set of conditions.

use super::document::Document;
use super::{CimError, Rated, identity};
use crate::rating::{Cell, Ratings, Winding};
use crate::report::view::duration as minutes_in_words;
use std::collections::BTreeMap;
use uuid::Uuid;

/// A duration in ms, so that equal ones are equal; continuous is the longest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Seconds {
    /// So many ms.
    Millis(u64),
    /// Without an end.
    Infinite,
}

impl Seconds {
    /// As part of a name, in s.
    pub(super) fn key(self) -> String {
        self.acceptable().unwrap_or_else(|| "infinite".to_owned())
    }

    /// In s, unless it is infinite.
    fn acceptable(self) -> Option<String> {
        match self {
            Self::Millis(ms) if ms % 1000 == 0 => Some((ms / 1000).to_string()),
            Self::Millis(ms) => Some(format!("{}.{:03}", ms / 1000, ms % 1000)),
            Self::Infinite => None,
        }
    }

    /// For people.
    fn in_words(self) -> String {
        match self {
            #[allow(clippy::cast_precision_loss, reason = "durations end far below 2^53 ms")]
            Self::Millis(ms) => minutes_in_words(ms as f64 / 60_000.0),
            Self::Infinite => "continuous".to_owned(),
        }
    }
}

/// One limit.
pub(super) struct Limit<'a> {
    pub(super) duration: Seconds,
    /// Tenths of an ampere; `None`: no rating.
    tenths: Option<u64>,
    cell: &'a Cell,
}

/// The limits for one set of conditions.
pub(super) struct LimitSet<'a> {
    id: Uuid,
    name: String,
    /// In the order of their durations, the shortest first.
    pub(super) limits: Vec<Limit<'a>>,
}

/// All limit sets of a unit, in the order in which their first ratings stand.
pub(super) fn all<'a>(
    ratings: &'a Ratings,
    winding: &Winding,
) -> Result<Vec<LimitSet<'a>>, CimError> {
    let mut sets: Vec<LimitSet<'a>> = Vec::new();
    let mut places: BTreeMap<Uuid, usize> = BTreeMap::new();
    for cell in &ratings.cells {
        let (id, name) = identified(ratings, winding, cell)?;
        let place = *places.entry(id).or_insert(sets.len());
        if place == sets.len() {
            sets.push(LimitSet { id, name, limits: Vec::new() });
        }
        sets[place].push(cell, winding)?;
    }
    for set in &mut sets {
        set.limits.sort_by_key(|limit| limit.duration);
        set.refuse_what_rises()?;
    }
    Ok(sets)
}

/// The set that a cell belongs to, and its name. The hour of a forecast identifies a set; its
/// temperature, which the next forecast changes, does not.
fn identified(
    ratings: &Ratings,
    winding: &Winding,
    cell: &Cell,
) -> Result<(Uuid, String), CimError> {
    let unit = &ratings.unit;
    let of = format!("{} {} {}", unit.name, winding.name, cell.limits);
    let preload = plain(&of, "preload", cell.preload_pu)?;
    let ambient_c = plain(&of, "ambient", cell.ambient_c)?;
    let (kind, figure, words) = match cell.from_min {
        None => ("ambient", ambient_c.clone(), format!("ambient {ambient_c} °C")),
        Some(minute) => {
            let minute = plain(&of, "minute of the forecast", minute)?;
            let words =
                format!("from minute {minute} of the forecast, ambient {ambient_c} °C there");
            ("minute", minute, words)
        }
    };
    let id = identity::of_set(unit, winding, [&cell.limits, &preload, kind, &figure]);
    Ok((id, format!("{of}, preload {preload} pu, {words}")))
}

/// A condition to three decimals, without needless zeros: the same text in every run.
fn plain(set: &str, quantity: &'static str, value: f64) -> Result<String, CimError> {
    if !value.is_finite() {
        return Err(not_a_number(set, quantity, value, ""));
    }
    let rounded = (value * 1000.0).round() / 1000.0;
    // -0 would be another text than 0.
    Ok((rounded + 0.0).to_string())
}

fn not_a_number(set: &str, quantity: &'static str, found: f64, more: &'static str) -> CimError {
    CimError::NotANumber { set: set.to_owned(), quantity, found, more }
}

impl<'a> LimitSet<'a> {
    fn push(&mut self, cell: &'a Cell, winding: &Winding) -> Result<(), CimError> {
        let duration = self.duration(cell)?;
        if self.limits.iter().any(|limit| limit.duration == duration) {
            let duration = duration.in_words();
            return Err(CimError::Twice { set: self.name.clone(), duration });
        }
        let in_winding = |load: f64| {
            let refused = || not_a_number(&self.name, "load", load, " of 0 pu or more");
            tenths_below(load * winding.rated_a).ok_or_else(refused)
        };
        let tenths = cell.load_pu.map(in_winding).transpose()?;
        // A limit of nothing might be read as no limit.
        let tenths = tenths.filter(|tenths| *tenths > 0);
        self.limits.push(Limit { duration, tenths, cell });
        Ok(())
    }

    fn duration(&self, cell: &Cell) -> Result<Seconds, CimError> {
        let Some(minutes) = cell.duration_min else { return Ok(Seconds::Infinite) };
        let ms = (minutes * 60_000.0).round();
        if !(1.0..=MOST).contains(&ms) {
            return Err(not_a_number(&self.name, "duration", minutes, " of minutes above 0"));
        }
        Ok(Seconds::Millis(whole(ms)))
    }

    /// A rating that rises with the duration, or stands where there is none for a shorter one, means
    /// that one of the two is wrong.
    fn refuse_what_rises(&self) -> Result<(), CimError> {
        for pair in self.limits.windows(2) {
            let [shorter, longer] = pair else { continue };
            if longer.tenths > shorter.tenths {
                let (longer, shorter) = (longer.in_words(), shorter.in_words());
                return Err(CimError::NotMonotone { set: self.name.clone(), longer, shorter });
            }
        }
        Ok(())
    }

    /// The set and its limits.
    pub(super) fn write(&self, document: &mut Document, rated: &Rated<'_>) -> Result<(), CimError> {
        let terminal = identity::of_terminal(&rated.ratings.unit, rated.winding);
        let description = self.description(rated.ratings);
        let named = (self.name.as_str(), description.as_str());
        document.resource("cim:OperationalLimitSet", &self.id, named, |document| {
            document.reference("cim:OperationalLimitSet.Terminal", &terminal)
        })?;
        self.limits.iter().try_for_each(|limit| limit.write(document, &self.id))
    }

    /// What the limits hold for, and which durations have none.
    fn description(&self, ratings: &Ratings) -> String {
        let named = self.limits.first().map_or("", |limit| limit.cell.limits.as_str());
        let used = ratings.asked.limits.iter().find(|used| used.name == named);
        let used = used.map(|used| format!(" Limits: {} [{}].", used.title, used.source));
        let limits = used.unwrap_or_default();
        let limited =
            format!("Transformer only. The largest constant load for each duration.{limits}");
        let without = self.limits.iter().filter(|limit| limit.tenths.is_none()).map(|limit| {
            format!("No rating for {}: {}.", limit.duration.in_words(), limit.cell.governs.words)
        });
        std::iter::once(limited).chain(without).collect::<Vec<_>>().join(" ")
    }
}

impl Limit<'_> {
    fn in_words(&self) -> String {
        let duration = self.duration.in_words();
        match self.amperes() {
            Some(a) => format!("{a} A ({duration})"),
            None => format!("no rating ({duration})"),
        }
    }

    fn amperes(&self) -> Option<String> {
        self.tenths.map(|tenths| format!("{}.{}", tenths / 10, tenths % 10))
    }

    fn write(&self, document: &mut Document, set: &Uuid) -> Result<(), CimError> {
        let Some(a) = self.amperes() else { return Ok(()) };
        let governs = &self.cell.governs.words;
        let why =
            if governs.is_empty() { String::new() } else { format!("Governed by: {governs}") };
        let id = identity::of_limit(set, self.duration);
        let named = (self.duration.in_words(), why);
        document.resource("cim:CurrentLimit", &id, (&named.0, &named.1), |document| {
            document.reference("cim:OperationalLimit.OperationalLimitSet", set)?;
            let of_type = identity::of_type(self.duration);
            document.reference("cim:OperationalLimit.OperationalLimitType", &of_type)?;
            document.text("cim:CurrentLimit.normalValue", &a)?;
            document.text("cim:CurrentLimit.value", &a)
        })
    }
}

/// A limit type.
pub(super) fn write_type(
    document: &mut Document,
    duration: Seconds,
    id: &Uuid,
) -> Result<(), CimError> {
    let name = duration.in_words();
    document.resource("cim:OperationalLimitType", id, (&name, ""), |document| {
        let infinite = duration == Seconds::Infinite;
        document.text("cim:OperationalLimitType.isInfiniteDuration", &infinite.to_string())?;
        // The model wants no duration beside an infinite one.
        if let Some(seconds) = duration.acceptable() {
            document.text("cim:OperationalLimitType.acceptableDuration", &seconds)?;
        }
        let direction = "OperationalLimitDirectionKind.absoluteValue";
        document.one_of("cim:OperationalLimitType.direction", direction)
    })
}

/// Largest whole number that is taken over from an `f64`: exact there, and far above any current or time.
const MOST: f64 = 1.0e12;

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "whole and between 0 and MOST, as every caller has asked"
)]
fn whole(value: f64) -> u64 {
    value as u64
}

/// Tenths of an ampere, never above the current; `None`: that is no current.
fn tenths_below(a: f64) -> Option<u64> {
    let tenths = (a * 10.0).floor();
    if !(a >= 0.0 && tenths <= MOST) {
        return None;
    }
    // The product may have been rounded up to the next whole number.
    let tenths = if tenths / 10.0 > a { tenths - 1.0 } else { tenths };
    Some(whole(tenths))
}
