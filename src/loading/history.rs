//! Load and ambient before the overload.

use super::current::{LoadBase, LoadCells};
use super::long_history::COLUMNS;
use super::windings::columns as columns_of;
use super::{
    AmbientC, LONGEST_GAP_MIN, currents, refuse_clock_without_zero, refuse_gaps, with_windings,
};
use crate::input::InputError;
use crate::input::number::parse;
use crate::input::table::{Column, Table, Zero};
use crate::thermal::schedule::{AmbientLine, LoadSteps};

/// What the unit carried before minute 0.
#[derive(Debug, Clone, PartialEq)]
pub struct History {
    /// Load; the last row holds until minute 0.
    pub load: LoadSteps,
    /// Ambient, if the history has it.
    pub ambient: Option<AmbientLine>,
}

impl History {
    /// A history from CSV with the columns `minute` (negative) or `time`, `load_pu` or
    /// `load_mva` with `voltage_pu` and `tap` if they are known, or `current_pu`, and if wanted `ambient_c`.
    ///
    /// # Errors
    /// [`InputError`] for anything else: rows after minute 0, or holes of more than three
    /// hours, also between the last row and minute 0.
    pub fn from_csv(
        place: &str,
        text: &str,
        base: impl Into<LoadBase>,
        zero: &mut Zero,
    ) -> Result<Self, InputError> {
        let base = base.into();
        let of_windings = columns_of(base.windings());
        let table = Table::read(place, text, &with_windings(&COLUMNS, &of_windings))?;
        refuse_clock_without_zero(&table, zero)?;
        let (column, minutes) = table.minutes(("minute", "time"), zero)?;
        check_span(&table, column, &minutes)?;
        let loads = currents(&table, &LoadCells::of(table.header(), base)?)?;
        let steps = minutes.iter().copied().zip(loads).collect();
        let unordered = || table.refused_whole("times out of order", "ascending times");
        let ambient = match table.column("ambient_c") {
            None => None,
            Some(cell) => {
                let cells: Result<Vec<f64>, InputError> = (0..table.len())
                    .map(|row| table.number(row, cell, parse::<AmbientC>))
                    .collect();
                let knots = minutes.iter().copied().zip(cells?).collect();
                Some(AmbientLine::new(knots).ok_or_else(unordered)?)
            }
        };
        let load = LoadSteps::new(steps).ok_or_else(unordered)?;
        Ok(Self { load, ambient })
    }
}

fn check_span(table: &Table, column: Column, minutes: &[f64]) -> Result<(), InputError> {
    refuse_gaps(table, column, minutes)?;
    let last = minutes.len() - 1;
    if minutes[last] > 0.0 {
        let found = format!("minute {}", minutes[last]);
        return Err(table.refused(
            last,
            column,
            &found,
            "rows at or before minute 0, the start of the overload",
        ));
    }
    if minutes[last] < -LONGEST_GAP_MIN {
        let found = format!(
            "minute {}, a gap of {} min before the overload",
            minutes[last], -minutes[last]
        );
        let accepted = format!("a last row at most {LONGEST_GAP_MIN} min before the overload");
        return Err(table.refused(last, column, &found, &accepted));
    }
    Ok(())
}
