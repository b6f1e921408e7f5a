//! The log of a heat run as it stands in the file.

use crate::input::InputError;
use crate::input::number::parse;
use crate::input::table::{Column, Table, Zero};
use crate::loading::{AmbientC, MeasuredC};
use crate::ranges;
use crate::unit::profile::LoadPu;
use chrono::NaiveDate;

ranges! {
    /// Losses fed in.
    LossesKw: "kW", 0.01, 20_000.0;
    /// Resistance of a winding.
    Ohm: "ohm", 0.000_001, 10_000.0;
    /// Temperature at which the cold resistance was measured.
    ColdC: "°C", -20.0, 60.0;
}

/// The columns.
const COLUMNS: [&str; 9] = [
    "minute",
    "time",
    "period",
    "losses_kw",
    "load_pu",
    "ambient_c",
    "top_oil_c",
    "bottom_oil_c",
    "resistance_ohm",
];
const PERIODS: &str = "total-losses, held-current or cooling";

/// A row with the supply on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Time, min.
    pub minute: f64,
    /// Losses fed in, kW, if stated.
    pub losses_kw: Option<f64>,
    /// Current per unit of rated, if stated.
    pub load_pu: Option<f64>,
    /// Ambient, °C.
    pub ambient_c: f64,
    /// Top oil, °C.
    pub top_oil_c: f64,
    /// Bottom oil, °C, if measured.
    pub bottom_oil_c: Option<f64>,
}

/// One test: a period of total losses, one of rated current, and the cooling after it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Test {
    /// Rows at total losses.
    pub losses: Vec<Row>,
    /// Rows at rated current.
    pub current: Vec<Row>,
    /// Moment of shutdown, min.
    pub shutdown_min: Option<f64>,
    /// Resistance after shutdown: minutes since, ohm.
    pub readings: Vec<(f64, f64)>,
}

/// A log: one test, or two at different loads.
#[derive(Debug, Clone, PartialEq)]
pub struct Log {
    /// The tests.
    pub tests: Vec<Test>,
    /// The day of the first row, where times are clock times.
    pub day: Option<NaiveDate>,
}

/// Reads a log.
///
/// # Errors
/// [`InputError`]: columns, cells, times out of order, periods out of order, more than two tests.
pub fn read(place: &str, text: &str) -> Result<Log, InputError> {
    let table = Table::read(place, text, &COLUMNS)?;
    let mut zero = Zero::default();
    let (_, minutes) = table.minutes(("minute", "time"), &mut zero)?;
    let columns = Columns::of(&table)?;
    let mut tests: Vec<Test> = Vec::new();
    let mut before = "";
    for (row, minute) in minutes.into_iter().enumerate() {
        let period = table.cell(row, columns.period);
        let refused = |accepted: &str| Err(table.refused(row, columns.period, period, accepted));
        if period == "total-losses" && before != period {
            if tests.len() == 2 {
                return refused("two tests at most in one log");
            }
            tests.push(Test::default());
        }
        let Some(test) = tests.last_mut() else {
            return refused("total-losses in the first row: a test begins with that period");
        };
        match (before, period) {
            (_, "total-losses") => test.losses.push(columns.row(&table, row, minute)?),
            ("total-losses" | "held-current", "held-current") => {
                test.current.push(columns.row(&table, row, minute)?);
            }
            (_, "cooling") => columns.cooling(&table, row, minute, test)?,
            ("cooling", "held-current") => {
                return refused("cooling until the end of the test, or total-losses of the next");
            }
            _ => return refused(PERIODS),
        }
        before = period;
    }
    Ok(Log { tests, day: zero.0.map(|time| time.date_naive()) })
}

struct Columns {
    period: Column,
    losses: Option<Column>,
    load: Option<Column>,
    ambient: Column,
    top: Column,
    bottom: Option<Column>,
    ohm: Option<Column>,
}

impl Columns {
    fn of(table: &Table) -> Result<Self, InputError> {
        let needed = |name: &str| {
            let missing =
                || table.refused_whole(format!("no column {name}"), format!("the column {name}"));
            table.column(name).ok_or_else(missing)
        };
        Ok(Self {
            period: needed("period")?,
            losses: Some(needed("losses_kw")?),
            load: table.column("load_pu"),
            ambient: needed("ambient_c")?,
            top: needed("top_oil_c")?,
            bottom: table.column("bottom_oil_c"),
            ohm: table.column("resistance_ohm"),
        })
    }

    fn row(&self, table: &Table, row: usize, minute: f64) -> Result<Row, InputError> {
        if let Some(ohm) = self.ohm
            && !table.cell(row, ohm).is_empty()
        {
            let accepted = "an empty cell: resistance is read after shutdown";
            return Err(table.refused(row, ohm, table.cell(row, ohm), accepted));
        }
        Ok(Row {
            minute,
            losses_kw: optional(table, row, self.losses, parse::<LossesKw>)?,
            load_pu: optional(table, row, self.load, parse::<LoadPu>)?,
            ambient_c: table.number(row, self.ambient, parse::<AmbientC>)?,
            top_oil_c: table.number(row, self.top, parse::<MeasuredC>)?,
            bottom_oil_c: optional(table, row, self.bottom, parse::<MeasuredC>)?,
        })
    }

    /// The first row is the moment of shutdown; the others are readings.
    fn cooling(
        &self,
        table: &Table,
        row: usize,
        minute: f64,
        test: &mut Test,
    ) -> Result<(), InputError> {
        let Some(column) = self.ohm else {
            let accepted = "the column resistance_ohm for the rows of the period cooling";
            return Err(table.refused_whole("no column resistance_ohm", accepted));
        };
        let cell = table.cell(row, column);
        let Some(shutdown) = test.shutdown_min else {
            if !cell.is_empty() {
                let accepted = "an empty cell: the first row of the period cooling is the moment of shutdown, \
                                when nothing can be read yet";
                return Err(table.refused(row, column, cell, accepted));
            }
            test.shutdown_min = Some(minute);
            return Ok(());
        };
        if !cell.is_empty() {
            let ohm = table.number(row, column, parse::<Ohm>)?;
            test.readings.push((minute - shutdown, ohm));
        }
        Ok(())
    }
}

fn optional(
    table: &Table,
    row: usize,
    column: Option<Column>,
    parse: impl Fn(&str) -> Result<f64, String>,
) -> Result<Option<f64>, InputError> {
    match column {
        Some(column) if !table.cell(row, column).is_empty() => {
            table.number(row, column, parse).map(Some)
        }
        _ => Ok(None),
    }
}
