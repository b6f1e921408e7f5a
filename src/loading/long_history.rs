//! A load history of any length, row by row.

use super::current::{CURRENT_COLUMN, LoadBase, LoadCells, TAP_COLUMN, VOLTAGE_COLUMN};
use super::units_asked::{About, Asked, Seen};
use super::windings::{WindingColumns, columns as columns_of};
use super::windings_asked::SeenOfWindings;
use super::{AmbientC, LoadMva, with_windings};
use crate::input::InputError;
use crate::input::columns::{Column, TimeAxis, Zero};
use crate::input::number::parse;
use crate::input::rows::Rows;
use std::io::Read;

/// Rows closer than this are one instant, min: below it a slope has no digits left.
const LEAST_APART_MIN: f64 = 1.0e-6;

/// Columns of a history.
pub const COLUMNS: [&str; 8] = [
    "minute",
    "time",
    "load_pu",
    "load_mva",
    "ambient_c",
    VOLTAGE_COLUMN,
    TAP_COLUMN,
    CURRENT_COLUMN,
];

/// One row of a history; its load holds until the next row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HistoryRow {
    /// Minute.
    pub minute: f64,
    /// Load from this minute on, per unit of the rated current.
    pub load_pu: f64,
    /// Ambient at this minute, °C, if the history has it.
    pub ambient_c: Option<f64>,
}

/// A history from CSV with the columns `minute` or `time`, `load_pu` or `load_mva` with `voltage_pu` and `tap` if
/// they are known, or `current_pu`, and if wanted `ambient_c`. One row is held at a time.
#[derive(Debug)]
pub struct HistoryRows<R> {
    rows: Rows<R>,
    axis: TimeAxis,
    load: LoadCells,
    ambient: Option<Column>,
    zero: Zero,
    last_min: f64,
    /// What is asked about its units; `None` once they are confirmed.
    units: Option<Seen>,
    /// The same of loads of windings.
    of_windings: SeenOfWindings,
}

impl<R: Read> HistoryRows<R> {
    /// Reads the header. Clock times count from `zero`, or from the first row without one.
    ///
    /// # Errors
    /// [`InputError`] for a header that is not such a history's.
    pub fn new(
        place: &str,
        source: R,
        base: impl Into<LoadBase>,
        zero: Zero,
    ) -> Result<Self, InputError> {
        let base = base.into();
        let of_windings = columns_of(base.windings());
        Self::with(Rows::new(place, source, &with_windings(&COLUMNS, &of_windings))?, base, zero)
    }

    /// The same for the rows of one unit among those of many: a column `unit` is passed over.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn of_one_unit(
        place: &str,
        source: R,
        base: impl Into<LoadBase>,
    ) -> Result<Self, InputError> {
        let base = base.into();
        let of_windings = columns_of(base.windings());
        let accepted = [with_windings(&COLUMNS, &of_windings), vec!["unit"]].concat();
        Self::with(Rows::new(place, source, &accepted)?, base, Zero::default())
    }

    fn with(rows: Rows<R>, base: LoadBase, zero: Zero) -> Result<Self, InputError> {
        let header = rows.header();
        let axis = header.time_axis(("minute", "time"))?;
        let units = Some(Seen::of(About::Before, base.rated_mva()));
        let load = LoadCells::of(header, base)?;
        let of_windings = SeenOfWindings::of(About::Before, load.of_windings());
        let ambient = header.column("ambient_c");
        let last_min = f64::NEG_INFINITY;
        Ok(Self { rows, axis, load, ambient, zero, last_min, units, of_windings })
    }

    /// The same rows, about whose units nothing is asked if they are confirmed.
    #[must_use]
    pub fn units_confirmed(self, confirmed: bool) -> Self {
        Self { units: self.units.filter(|_| !confirmed), ..self }
    }

    /// Whether the history has an ambient of its own.
    pub fn has_ambient(&self) -> bool {
        self.ambient.is_some()
    }

    /// Whether the history states voltages of its own, or currents.
    pub fn states_voltage(&self) -> bool {
        let columns = [VOLTAGE_COLUMN, CURRENT_COLUMN];
        columns.iter().any(|name| self.rows.header().column(name).is_some())
    }

    /// The windings whose load the history does not state, where it states any winding's.
    pub fn windings_not_stated(&self) -> Vec<String> {
        self.load.of_windings().map(WindingColumns::without_column).unwrap_or_default()
    }

    /// Whether the history has clock times.
    pub fn is_clock(&self) -> bool {
        self.axis.is_clock()
    }

    /// The instant that is minute 0: as given, else the first clock time once it is read.
    pub fn zero(&self) -> Zero {
        self.zero
    }

    /// The next row; `None` after the last one.
    ///
    /// # Errors
    /// [`InputError`] at the cell that is refused, and a question about its units that the whole of them raises.
    pub fn next_row(&mut self) -> Result<Option<HistoryRow>, InputError> {
        if !self.rows.advance()? {
            let Some(units) = &self.units else { return Ok(None) };
            let asked = units.asked().map(|asked| (asked.column.to_owned(), asked));
            let asked = asked.or_else(|| self.of_windings.asked());
            return asked.map_or(Ok(None), |(column, asked)| Err(self.asks(&column, asked)));
        }
        let rows = &self.rows;
        let column = self.axis.column();
        let cell = rows.cell(column);
        let minute = self.axis.next_minute(rows.header(), rows.line(), cell, &mut self.zero)?;
        if minute - self.last_min < LEAST_APART_MIN {
            return Err(rows.refused(
                column,
                cell,
                "rows at least a ten-thousandth of a second apart",
            ));
        }
        self.last_min = minute;
        let number =
            |column, parse: &dyn Fn(&str) -> Result<f64, String>| rows.number(column, parse);
        let load_pu = self.load.current_pu(&number)?;
        if let Some(units) = &mut self.units {
            if !self.axis.is_clock() {
                units.minute(minute);
            }
            let asks = |column, asked: &Asked| rows.refused(column, &asked.found, &asked.accepted);
            if let Some(column) = self.load.mva() {
                // As it was written: a load turned into per unit and back is off in its last digit.
                let mva = rows.number(column, parse::<LoadMva>)?;
                units.mva(mva).map_err(|asked| asks(column, &asked))?;
            }
            if let Some((column, asked)) = self.of_windings.row(&number)? {
                return Err(asks(column, &asked));
            }
        }
        let ambient = |column| rows.number(column, parse::<AmbientC>);
        Ok(Some(HistoryRow { minute, load_pu, ambient_c: self.ambient.map(ambient).transpose()? }))
    }

    fn asks(&self, column: &str, asked: Asked) -> InputError {
        let refused = self.rows.header().refused_whole(asked.found, asked.accepted);
        refused.at_key(format!("column {column}"))
    }
}
