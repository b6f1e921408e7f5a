//! What the operator proposes: load, ambient and history over time, from flags or CSV.
//!
//! Minute 0 is the start of the overload. A load holds until the next row; ambient runs in
//! straight lines between rows. How wrong either may be is a forecast error ([`forecast_error`]).

pub mod ambient;
pub mod ambient_history;
pub mod current;
pub mod forecast_error;
pub mod history;
pub mod load;
pub mod long_history;
pub mod planned;
pub mod says;
pub mod units_asked;
pub mod windings;
mod windings_asked;

use crate::input::InputError;
use crate::input::columns::Header;
use crate::input::number::parse;
use crate::input::table::{Column, Table, Zero};
use crate::ranges;
use crate::unit::profile::LoadPu;
use current::{CURRENT_COLUMN, LoadCells};
use windings::WindingsCarried;

ranges! {
    /// Ambient temperature.
    AmbientC: "°C", -60.0, 60.0;
    /// Load in MVA.
    LoadMva: "MVA", 0.0, 10_000.0;
    /// Measured top oil.
    MeasuredC: "°C", -50.0, 180.0;
}

/// A row older than this says nothing about the present: a longer hole is a gap, min.
/// Our choice; weather services publish steps of up to three hours.
pub const LONGEST_GAP_MIN: f64 = 180.0;

/// Longest overload that is answered, min (31 days).
pub const LONGEST_OVERLOAD_MIN: f64 = 31.0 * 1440.0;

/// What a table of loads may have.
pub(crate) const LOAD_COLUMNS: &str = "either the column load_pu or the column load_mva, each with voltage_pu and tap \
    if they are known, or the column current_pu for a current, or of a unit with winding_losses load_pu_NAME or \
    load_mva_NAME of each winding";

/// The column that the load stands in, and its unit.
#[derive(Debug, Clone, Copy)]
enum LoadColumn {
    /// Per unit.
    Pu(Column),
    /// MVA, with the rating that is 1 per unit.
    Mva(Column, f64),
    /// Current, per unit of the rated one.
    Current(Column),
}

impl LoadColumn {
    /// Whether a table has any such column.
    fn is_in(header: &Header) -> bool {
        ["load_pu", "load_mva", CURRENT_COLUMN].iter().any(|name| header.column(name).is_some())
    }

    /// The column `load_pu`, `load_mva` or `current_pu` of a table.
    fn of(header: &Header, rated_mva: f64) -> Result<Self, InputError> {
        let columns = ["load_pu", "load_mva", CURRENT_COLUMN].map(|name| header.column(name));
        match columns {
            [Some(pu), None, None] => Ok(Self::Pu(pu)),
            [None, Some(mva), None] => Ok(Self::Mva(mva, rated_mva)),
            [None, None, Some(current)] => Ok(Self::Current(current)),
            [None, None, None] => {
                Err(header.refused_whole("none of load_pu and load_mva", LOAD_COLUMNS))
            }
            [_, _, None] => Err(header.refused_whole("both of load_pu and load_mva", LOAD_COLUMNS)),
            [_, _, Some(_)] => {
                Err(header.refused_whole("current_pu beside load_pu or load_mva", LOAD_COLUMNS))
            }
        }
    }

    fn column(self) -> Column {
        match self {
            Self::Pu(column) | Self::Mva(column, _) | Self::Current(column) => column,
        }
    }

    /// The load of a cell per unit, or what is accepted.
    fn parse(self, cell: &str) -> Result<f64, String> {
        match self {
            Self::Pu(_) | Self::Current(_) => parse::<LoadPu>(cell),
            Self::Mva(_, rated_mva) => parse_mva(rated_mva, cell),
        }
    }
}

/// The current of each row per unit, from `load_pu` or `load_mva` with the voltage and the tap, or from `current_pu`.
fn currents(table: &Table, cells: &LoadCells) -> Result<Vec<f64>, InputError> {
    let current = |row| cells.current_pu(&|column, parse| table.number(row, column, parse));
    (0..table.len()).map(current).collect()
}

/// What the windings carry in the row, among the first `rows`, whose load counts for most; `None` where one load is
/// stated for all windings.
fn greatest_of_windings(
    table: &Table,
    cells: &LoadCells,
    rows: usize,
) -> Result<Option<WindingsCarried>, InputError> {
    let carried = |row| cells.windings(&|column, parse| table.number(row, column, parse));
    let all: Vec<WindingsCarried> =
        (0..rows).map(carried).collect::<Result<Vec<_>, _>>()?.into_iter().flatten().collect();
    let by_load = |one: &WindingsCarried, other: &WindingsCarried| {
        one.counted_pu().total_cmp(&other.counted_pu())
    };
    Ok(all.into_iter().max_by(by_load))
}

/// The columns of a table of loads: those of every table, and those of the windings of a unit.
fn with_windings<'a>(columns: &[&'a str], windings: &'a [String]) -> Vec<&'a str> {
    columns.iter().copied().chain(windings.iter().map(String::as_str)).collect()
}

/// Reads MVA and answers per unit, with the same ceiling as a load in per unit.
fn parse_mva(rated_mva: f64, cell: &str) -> Result<f64, String> {
    let load_pu = parse::<LoadMva>(cell)? / rated_mva;
    if load_pu <= 5.0 {
        Ok(load_pu)
    } else {
        Err(format!("at most {} MVA, five times the rating", 5.0 * rated_mva))
    }
}

/// Refuses holes between rows that are longer than [`LONGEST_GAP_MIN`].
fn refuse_gaps(table: &Table, column: Column, minutes: &[f64]) -> Result<(), InputError> {
    for (index, pair) in minutes.windows(2).enumerate() {
        let hole = pair[1] - pair[0];
        if hole > LONGEST_GAP_MIN {
            let found = format!("a gap of {hole} min before this row");
            let accepted = format!("rows at most {LONGEST_GAP_MIN} min apart");
            return Err(table.refused(index + 1, column, &found, &accepted));
        }
    }
    Ok(())
}

/// Clock times mean nothing until some instant is minute 0.
fn refuse_clock_without_zero(table: &Table, zero: &Zero) -> Result<(), InputError> {
    if table.column("time").is_some() && zero.0.is_none() {
        let accepted =
            "minutes, or clock times together with --start or a --loading file with a time column";
        return Err(table.refused_whole("clock times without a start", accepted));
    }
    Ok(())
}
