//! Figures that are possible and look like those of another unit: a question, before anything is computed.
//!
//! Per-unit figures under `load_mva` make a unit idle, hours under `minute` make an overload short, and both
//! give a milder answer than was asked for. Every rule here is our choice: each catches what people mix up, and
//! passes over what they write on purpose. Who means the figures as they stand confirms that once, for all of
//! them.

use super::current::LoadBase;
use super::windings::{WindingColumns, columns as columns_of};
use super::windings_asked::SeenOfWindings;
use super::with_windings;
use crate::input::InputError;
use crate::input::table::Table;
use crate::unit::Unit;

/// What confirms that figures stand in the units that are stated.
pub const CONFIRMED: &str = "--units-confirmed";

/// Loads per unit lie below this, so that MVA up to it may be per unit.
const MOST_PER_UNIT: f64 = 3.0;

/// A load above so many times the rating is no load of this unit, or not in MVA.
const MOST_TIMES_RATING: f64 = 3.0;

/// Part of the rating below which an overload is none.
const SHARE_OF_AN_OVERLOAD: f64 = 0.5;

/// Part of the rating below which a unit's peak is rare: two that share a load stand at half each.
const SHARE_OF_A_PEAK: f64 = 1.0 / 3.0;

/// Units below this rating carry loads in MVA whose figures are usual loads per unit, and a unit of 1 MVA the very same.
const SMALL_MVA: std::ops::Range<f64> = 1.0..4.0;

/// Part of a small unit's rating below which an overload is none, where every figure is one per unit up to 2.
const SHARE_OF_A_SMALL_OVERLOAD: f64 = 0.9;

/// Loads per unit of a small unit lie within these.
const SMALL_PER_UNIT: std::ops::RangeInclusive<f64> = 0.2..=2.0;

/// A schedule or a forecast in hours mostly covers a day at most.
const HOURS_AHEAD: f64 = 24.0;

/// Hourly rows may cover a week.
const HOURLY_AHEAD: f64 = 168.0;

/// Rows of a schedule that are so close on average, min, are hourly ones: a load in minutes is not planned so.
const HOURLY_STEP: f64 = 2.0;

/// Shorter work than this, min, is none: outages, recalls and what is bought take hours, days or months.
const SHORTEST_WORK_MIN: f64 = 60.0;

/// Loads before an overload in hours often cover two days; in minutes so few say nothing about oil.
const HOURS_BEFORE: f64 = 48.0;

/// Steps below this are those of hours: nobody plans a load in minutes so close, and measured ones go on longer.
const CLOSE_STEP: f64 = 5.0;

/// Hours from which on a figure may be one in minutes.
const FEWEST_HOURS: f64 = 15.0;

/// What figures are about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum About {
    /// A proposed load, or the ambient that is forecast with it.
    Ahead,
    /// Loads that were carried.
    Before,
}

/// A question: the column or key that raises it, what stands there, and what to enter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// Column.
    pub column: &'static str,
    /// What stands there.
    pub found: String,
    /// The question, and what answers it.
    pub accepted: String,
}

/// Figures seen row by row.
#[derive(Debug, Clone)]
pub struct Seen {
    about: About,
    rated_mva: f64,
    rows: usize,
    /// Least and greatest minute.
    span: (f64, f64),
    last_min: f64,
    least_step: f64,
    /// Whether every minute is a whole number of quarters.
    quarters: bool,
    /// Whether every minute is a whole number, a multiple of five, and of six, a tenth of an hour.
    multiples: [bool; 3],
    lowest_mva: f64,
    highest_mva: f64,
}

impl Seen {
    /// Nothing yet of a table for a unit of this rating.
    pub fn of(about: About, rated_mva: f64) -> Self {
        Self {
            about,
            rated_mva,
            rows: 0,
            span: (f64::INFINITY, f64::NEG_INFINITY),
            last_min: f64::NEG_INFINITY,
            least_step: f64::INFINITY,
            quarters: true,
            multiples: [true; 3],
            lowest_mva: f64::INFINITY,
            highest_mva: 0.0,
        }
    }

    /// A plain minute of the next row.
    pub fn minute(&mut self, minute: f64) {
        self.span = (self.span.0.min(minute), self.span.1.max(minute));
        if minute > self.last_min {
            self.least_step = self.least_step.min(minute - self.last_min);
            self.last_min = minute;
            self.rows += 1;
        }
        // Exact: quarters are binary fractions.
        self.quarters &= (minute * 4.0).fract().abs() <= 0.0;
        // A quotient that is whole is exact.
        for (own, of) in self.multiples.iter_mut().zip([1.0, 5.0, 6.0]) {
            *own &= (minute / of).fract().abs() <= 0.0;
        }
    }

    /// A load in MVA of the next row.
    ///
    /// # Errors
    /// The question, if it is far above the rating.
    pub fn mva(&mut self, mva: f64) -> Result<(), Asked> {
        self.highest_mva = self.highest_mva.max(mva);
        self.lowest_mva = self.lowest_mva.min(mva);
        match above_rating(mva, self.rated_mva) {
            Some(accepted) => {
                Err(Asked { column: "load_mva", found: format!("{mva} MVA"), accepted })
            }
            None => Ok(()),
        }
    }

    /// What is asked of all of them together.
    pub fn asked(&self) -> Option<Asked> {
        self.per_unit().or_else(|| self.hours())
    }

    fn per_unit(&self) -> Option<Asked> {
        let share = match self.about {
            About::Ahead => SHARE_OF_AN_OVERLOAD,
            About::Before => SHARE_OF_A_PEAK,
        };
        let (highest, rated) = (self.highest_mva, self.rated_mva);
        let small = self.about == About::Ahead
            && SMALL_MVA.contains(&rated)
            && SMALL_PER_UNIT.contains(&self.lowest_mva)
            && SMALL_PER_UNIT.contains(&highest)
            && highest < SHARE_OF_A_SMALL_OVERLOAD * rated;
        (small || like_per_unit(highest, rated, share)).then(|| Asked {
            column: "load_mva",
            found: format!("at most {highest} MVA, for a unit of {rated} MVA"),
            accepted: format!(
                "Are these per unit? Then name the column load_pu. If they are MVA: {CONFIRMED}"
            ),
        })
    }

    fn hours(&self) -> Option<Asked> {
        let most = match self.about {
            About::Ahead => HOURS_AHEAD,
            About::Before => HOURS_BEFORE,
        };
        let (from, to) = self.span;
        let within = self.rows >= 2 && from >= -most && to <= most;
        let close = self.least_step >= 0.25 && self.least_step < CLOSE_STEP;
        let like_hours = within && close && self.quarters;
        (like_hours || self.shifts_of_a_day() || self.hourly()).then(|| Asked {
            column: "minute",
            found: format!("minutes from {from} to {to}"),
            accepted: format!(
                "Are these hours? Then write them in minutes, 60 for an hour. If they are minutes: {CONFIRMED}"
            ),
        })
    }
}

impl Seen {
    /// A schedule of whole numbers within a day that are no round minutes, such as 0, 8 and 16: shifts.
    fn shifts_of_a_day(&self) -> bool {
        let (from, to) = self.span;
        let within = self.rows >= 2 && from >= -HOURS_AHEAD && to <= HOURS_AHEAD;
        self.about == About::Ahead && within && self.multiples == [true, false, false]
    }

    /// Rows so close that they are hours of up to a week.
    fn hourly(&self) -> bool {
        let (from, to) = self.span;
        let within = self.rows >= 2 && from >= -HOURLY_AHEAD && to <= HOURLY_AHEAD;
        #[allow(clippy::cast_precision_loss, reason = "rows of a table, far below 2^52")]
        let steps = self.rows.saturating_sub(1) as f64;
        let close = self.least_step >= 0.25 && (to - from) <= HOURLY_STEP * steps;
        self.about == About::Ahead && within && close && self.quarters
    }
}

/// Whether the highest of some MVA would be a usual load per unit, and is none of this unit in MVA.
fn like_per_unit(highest_mva: f64, rated_mva: f64, share: f64) -> bool {
    highest_mva > 0.0 && highest_mva <= MOST_PER_UNIT && highest_mva <= share * rated_mva
}

fn above_rating(mva: f64, rated_mva: f64) -> Option<String> {
    (mva > MOST_TIMES_RATING * rated_mva).then(|| {
        format!(
            "Is this MVA of this unit? It is above three times its rating of {rated_mva} MVA. If it is: {CONFIRMED}"
        )
    })
}

/// Asks about a table of a check that was read and accepted before.
///
/// # Errors
/// [`InputError`] with the question.
pub fn ask_of_table(
    place: &str,
    text: &str,
    about: About,
    base: &LoadBase,
) -> Result<(), InputError> {
    let named = columns_of(base.windings());
    let table = Table::read(place, text, &with_windings(&COLUMNS, &named))?;
    let columns = WindingColumns::of(table.header(), base)?;
    let mut of_windings = SeenOfWindings::of(about, columns.as_ref());
    let mut seen = Seen::of(about, base.rated_mva());
    let number = |row, name| {
        table.column(name).and_then(|column| table.cell(row, column).parse::<f64>().ok())
    };
    let refused = |row: usize, asked: Asked| {
        InputError::new(place, asked.found, asked.accepted)
            .at_line(table.line(row))
            .at_key(format!("column {}", asked.column))
    };
    for row in 0..table.len() {
        for name in ["minute", "until_minute"] {
            if let Some(minute) = number(row, name) {
                seen.minute(minute);
            }
        }
        if let Some(mva) = number(row, "load_mva") {
            seen.mva(mva).map_err(|asked| refused(row, asked))?;
        }
        let cell =
            |column, parse: &dyn Fn(&str) -> Result<f64, String>| table.number(row, column, parse);
        if let Some((column, asked)) = of_windings.row(&cell)? {
            return Err(table.refused(row, column, &asked.found, &asked.accepted));
        }
    }
    if let Some((column, asked)) = of_windings.asked() {
        let refused = refused(0, asked);
        return Err(refused.at_key(format!("column {column}")));
    }
    seen.asked().map_or(Ok(()), |asked| Err(refused(0, asked)))
}

/// Columns of every table that a check reads.
const COLUMNS: [&str; 12] = [
    "minute",
    "time",
    "until_minute",
    "until_time",
    "load_pu",
    "load_mva",
    super::load::STD_COLUMN,
    "ambient_c",
    super::ambient::STD_COLUMN,
    super::current::VOLTAGE_COLUMN,
    super::current::TAP_COLUMN,
    super::current::CURRENT_COLUMN,
];

/// Asks about what a unit of a plan carries, in the plan's MVA: the greatest load, per unit.
///
/// # Errors
/// [`InputError`] with the question.
pub fn ask_of_planned(
    place: &str,
    key: &str,
    unit: &Unit,
    greatest_pu: f64,
) -> Result<(), InputError> {
    let rated = unit.rated_mva;
    let highest = greatest_pu * rated;
    let refused = |accepted: String| {
        let found = format!("at most {highest:.2} MVA on {}, a unit of {rated} MVA", unit.name);
        Err(InputError::new(place, found, accepted).at_key(key))
    };
    if let Some(accepted) = above_rating(highest, rated) {
        return refused(accepted);
    }
    if like_per_unit(highest, rated, SHARE_OF_A_PEAK) {
        return refused(format!(
            "Is the forecast per unit? Then turn it into MVA, load_mva. If it is MVA: {CONFIRMED}"
        ));
    }
    Ok(())
}

/// Asks about work of a plan that is shorter than any: `m` is minutes, and months or hours may have been meant.
///
/// # Errors
/// [`InputError`] with the question.
pub fn ask_of_work(place: &str, key: &str, name: &str, minutes: f64) -> Result<(), InputError> {
    if !(minutes < SHORTEST_WORK_MIN) {
        return Ok(());
    }
    let accepted = format!(
        "Is that hours, days or months? Then write 8h, 5 days or 9 months. If it is minutes: {CONFIRMED}"
    );
    Err(InputError::new(place, format!("{minutes} min for {name}"), accepted).at_key(key))
}

/// Asks about cooling that is lost after the overload has ended: the overload would be answered as without a loss. Only
/// what follows it would be looked at with one.
///
/// # Errors
/// [`InputError`] with the question.
pub fn ask_of_loss(flag: &str, lost_min: f64, end_min: f64) -> Result<(), InputError> {
    if !(lost_min > end_min) {
        return Ok(());
    }
    let in_words = |minutes: f64| {
        if minutes < 60.0 { format!("{minutes} min") } else { format!("{} h", minutes / 60.0) }
    };
    let (lost, end) = (in_words(lost_min), in_words(end_min));
    let instead = if lost_min >= 60.0 {
        format!("Is it {}min?", lost_min / 60.0)
    } else {
        "Is it earlier?".to_owned()
    };
    let found = format!("{lost}, after the end of the overload at {end}");
    let accepted = format!(
        "{instead} The overload itself is answered without this loss. If that is meant: {CONFIRMED}"
    );
    Err(InputError::new(flag, found, accepted))
}

/// Asks about a duration that looks like one in minutes: 15 h, 30 h, 45 h and on, but no whole days.
///
/// # Errors
/// [`InputError`] with the question.
pub fn ask_of_duration(flag: &str, minutes: f64) -> Result<(), InputError> {
    let hours = minutes / 60.0;
    let whole = |of: f64| (hours / of).fract().abs() <= 0.0;
    if !(hours >= FEWEST_HOURS && whole(15.0) && !whole(24.0)) {
        return Ok(());
    }
    let accepted =
        format!("Are these minutes? Then write {hours}min. If they are hours: {CONFIRMED}");
    Err(InputError::new(flag, format!("{hours} h"), accepted))
}
