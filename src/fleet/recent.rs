//! The recent loads of a unit: what they peak at, and what the unit went through under them.

use crate::assessment::long_history::{
    CHUNK, Extreme, HistoryAnswer, HistoryQuestion, LongHistory,
};
use crate::input::InputError;
use crate::input::columns::Zero;
use crate::loading::LONGEST_GAP_MIN;
use crate::loading::current::LoadBase;
use crate::loading::long_history::{HistoryRow, HistoryRows};
use crate::rules::local_file::LocalRules;
use crate::unit::Unit;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::io::Read;

/// Samples are no further apart than this, min: those of hourly rows themselves. The updates are exact
/// whatever the step, and peaks inside it are located; only fans that start and stop again within one, and the
/// hours below a margin, for which straight lines are drawn between samples, are less close than in
/// `history`, which samples every minute.
const SAMPLE_MIN: f64 = 60.0;

/// Recent loads of one unit.
#[derive(Debug, Clone)]
pub struct RecentLoads {
    rows: Vec<HistoryRow>,
    zero: Zero,
    /// Highest load, pu.
    pub peak_pu: f64,
    /// The greatest load that the unit may have carried lately, pu: the rated one at least where its rows are of less than a day.
    pub greatest_pu: f64,
    /// The least, pu: none where its rows are of less than a day, or have holes.
    pub least_pu: f64,
    /// Highest ambient, °C, if the rows have it.
    pub highest_ambient_c: Option<f64>,
    /// Lowest ambient, °C, if the rows have it.
    pub lowest_ambient_c: Option<f64>,
}

/// Rows of less than this do not say what a unit carries, min. Our choice: a day, in which its load comes and goes once.
const SHORT_MIN: f64 = 1440.0;

impl RecentLoads {
    /// Reads the rows of one unit; a column `unit` is passed over. Unless `units_confirmed`, figures that look
    /// like those of another unit are asked about.
    ///
    /// # Errors
    /// [`InputError`] at the cell that is refused, without a row, or with a question.
    pub fn read(
        place: &str,
        source: impl Read,
        base: impl Into<LoadBase>,
        units_confirmed: bool,
    ) -> Result<Self, InputError> {
        let reader = HistoryRows::of_one_unit(place, source, base)?;
        let mut reader = reader.units_confirmed(units_confirmed);
        let mut rows = Vec::new();
        while let Some(row) = reader.next_row()? {
            rows.push(row);
        }
        let peak_pu = rows.iter().map(|row| row.load_pu).fold(0.0, f64::max);
        let seen_pu = rows.iter().map(|row| row.load_pu).fold(peak_pu, f64::min);
        let ambients = || rows.iter().filter_map(|row| row.ambient_c);
        let (highest_ambient_c, lowest_ambient_c) =
            (ambients().reduce(f64::max), ambients().reduce(f64::min));
        let span_min = rows.first().zip(rows.last()).map(|(a, b)| b.minute - a.minute);
        let short = !(span_min >= Some(SHORT_MIN));
        let holes = rows.windows(2).any(|pair| pair[1].minute - pair[0].minute > LONGEST_GAP_MIN);
        let greatest_pu = if short { peak_pu.max(1.0) } else { peak_pu };
        let least_pu = if short || holes { 0.0 } else { seen_pu };
        let zero = reader.zero();
        Ok(Self { rows, zero, peak_pu, greatest_pu, least_pu, highest_ambient_c, lowest_ambient_c })
    }
}

/// What a unit went through lately.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Recent {
    /// Rows of it.
    pub rows: u64,
    /// Hours from the first to the last.
    pub hours: f64,
    /// Holes that are longer than loads can be carried over.
    pub gaps: u64,
    /// Hours in them.
    pub gap_hours: f64,
    /// Highest load, pu.
    pub peak_pu: f64,
    /// When, RFC 3339; `null` where rows have no clock.
    pub peak_at: Option<String>,
    /// Highest ambient, °C.
    pub highest_ambient_c: Option<f64>,
    /// Hottest hot spot, °C; `null` without thermal data or ambient.
    pub hot_spot_c: Option<f64>,
    /// When it was reached first.
    pub hot_spot_at: Option<String>,
    /// Least margin to bubbling with the moisture that counts today, K.
    pub least_margin_k: Option<f64>,
    /// Hours with less margin than an overload needs.
    pub hours_below_required: Option<f64>,
    /// Hours with none.
    pub hours_below_zero: Option<f64>,
}

impl Recent {
    /// Carries both thermal forms through the rows, as `history` does.
    pub fn of(
        unit: &Unit,
        loads: &RecentLoads,
        local: Option<&LocalRules>,
        as_of: Option<NaiveDate>,
    ) -> Self {
        let question = HistoryQuestion {
            unit: unit.clone(),
            local: local.cloned(),
            as_of,
            ambient_c: None,
            stage: None,
            chunk: CHUNK,
            sample_min: SAMPLE_MIN,
            life_and_parts: false,
        };
        let mut history = LongHistory::new(&question);
        history.set_zero(loads.zero.0);
        for row in &loads.rows {
            history.push(*row);
            // Nobody asks for the temperatures one by one.
            history.take();
        }
        history.finish();
        Self::from_answer(history.answer(String::new()), loads)
    }

    fn from_answer(answer: HistoryAnswer, loads: &RecentLoads) -> Self {
        let at = |extreme: &Option<Extreme>| extreme.as_ref()?.at.time.clone();
        Self {
            rows: answer.span.rows,
            hours: answer.span.hours,
            gaps: answer.span.gaps.count,
            gap_hours: answer.span.gaps.hours,
            peak_pu: loads.peak_pu,
            peak_at: at(&answer.greatest_load),
            highest_ambient_c: loads.highest_ambient_c,
            hot_spot_at: at(&answer.hot_spot),
            hot_spot_c: answer.hot_spot.map(|extreme| extreme.value),
            least_margin_k: answer.bubbling.margin_k,
            hours_below_required: answer.bubbling.hours_below_required,
            hours_below_zero: answer.bubbling.hours_below_zero,
        }
    }
}
