//! From a load in MVA, or per unit of the rated MVA, to the current that heats: by its voltage, and by the tap in service.
//!
//! ```text
//! K = S / (S' · V) · c        S load and S' rating, MVA; V voltage, pu of the rated one; c of the tap (`unit::taps`)
//! ```
//! V is the voltage of the winding without taps. A voltage that is not stated is taken as 1 pu, and how far off that may
//! be is drawn (`forecast_error`).

use super::LoadColumn;
use crate::input::InputError;
use crate::input::columns::{Column, Header};
use crate::input::number::parse;
use crate::ranges;
use crate::unit::Unit;
use crate::unit::taps::Taps;

ranges! {
    /// Voltage of the winding without taps.
    VoltagePu: "pu of the rated voltage", 0.8, 1.2;
}

/// Column of the voltage of each row, pu.
pub const VOLTAGE_COLUMN: &str = "voltage_pu";

/// Column of the tap in service of each row.
pub const TAP_COLUMN: &str = "tap";

/// Column of a load that is a current itself, pu of the rated one.
pub const CURRENT_COLUMN: &str = "current_pu";

/// Greatest current, pu, as of every load.
const MOST_PU: f64 = 5.0;

/// Voltage and tap by which loads were turned into currents, as far as they are stated.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct InService {
    /// Voltage, pu of the rated one, the lowest of the overload where it changes.
    pub voltage_pu: Option<f64>,
    /// Tap, where it is one for all loads.
    pub tap: Option<u32>,
}

/// What turns a load of a unit into a current, where no row says otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadBase {
    rated_mva: f64,
    stated: InService,
    taps: Option<Taps>,
}

impl From<f64> for LoadBase {
    /// A unit of this rating, MVA, without taps and at a voltage that nobody states.
    fn from(rated_mva: f64) -> Self {
        Self { rated_mva, stated: InService::default(), taps: None }
    }
}

impl LoadBase {
    /// Of a unit at the voltage and the tap of flags.
    ///
    /// # Errors
    /// [`InputError`] for a tap that the unit does not have.
    pub fn of(unit: &Unit, stated: InService) -> Result<Self, InputError> {
        let base = Self { rated_mva: unit.rated_mva, stated, taps: unit.taps };
        let Some(tap) = stated.tap else { return Ok(base) };
        base.accepts(tap)
            .map_err(|accepted| InputError::new("--tap-in-service", tap.to_string(), accepted))
            .map(|()| base)
    }

    /// Rated power, MVA.
    pub fn rated_mva(&self) -> f64 {
        self.rated_mva
    }

    /// The voltage and the tap that are stated.
    pub fn stated(&self) -> InService {
        self.stated
    }

    /// The current of a load in a flag, both per unit.
    ///
    /// # Errors
    /// [`InputError`] above five times the rated current.
    pub fn current(&self, flag: &str, load_pu: f64) -> Result<f64, InputError> {
        let current_pu = load_pu * self.factor(None, None);
        if current_pu <= MOST_PU {
            return Ok(current_pu);
        }
        let found = format!("{load_pu} pu, {current_pu:.2} pu of the rated current");
        Err(InputError::new(flag, found, most_accepted()))
    }

    /// Current over load, both per unit, as stated.
    pub fn current_of_1_pu(&self) -> f64 {
        self.factor(None, None)
    }

    /// Current over load, both per unit, at the voltage and the tap of a row, else as stated.
    fn factor(&self, voltage_pu: Option<f64>, tap: Option<u32>) -> f64 {
        let voltage_pu = voltage_pu.or(self.stated.voltage_pu).unwrap_or(1.0);
        let tap = tap.or(self.stated.tap);
        self.taps.map_or(1.0, |taps| taps.current_factor(tap)) / voltage_pu
    }

    fn accepts(&self, tap: u32) -> Result<(), String> {
        let Some(taps) = &self.taps else {
            return Err("no tap, or a profile with taps: and the range of them".to_owned());
        };
        let (from, to) = taps.ends();
        if taps.has(tap) { Ok(()) } else { Err(format!("a tap of this unit, {from} to {to}")) }
    }

    /// The tap of a cell, or what is accepted; as a number, as every cell is.
    fn tap(&self, cell: &str) -> Result<f64, String> {
        let tap = cell.parse::<u32>().map_err(|_unparsed| "the number of a tap".to_owned())?;
        self.accepts(tap).map(|()| f64::from(tap))
    }
}

fn most_accepted() -> String {
    format!("a load of at most {MOST_PU} pu of the rated current at its voltage and tap")
}

/// The columns from which the current of a row follows.
#[derive(Debug, Clone, Copy)]
pub(super) struct LoadCells {
    load: LoadColumn,
    voltage: Option<Column>,
    tap: Option<Column>,
    base: LoadBase,
}

impl LoadCells {
    /// The columns of a table.
    pub(super) fn of(header: &Header, base: LoadBase) -> Result<Self, InputError> {
        let load = LoadColumn::of(header, base.rated_mva)?;
        let (voltage, tap) = (header.column(VOLTAGE_COLUMN), header.column(TAP_COLUMN));
        if let (LoadColumn::Current(_), true) = (load, voltage.is_some() || tap.is_some()) {
            let found = format!("{CURRENT_COLUMN} beside {VOLTAGE_COLUMN} or {TAP_COLUMN}");
            let accepted = format!(
                "{CURRENT_COLUMN} alone: a current needs neither, load_pu and load_mva need both"
            );
            return Err(header.refused_whole(found, accepted));
        }
        Ok(Self { load, voltage, tap, base })
    }

    /// The column of loads in MVA.
    pub(super) fn mva(&self) -> Option<Column> {
        match self.load {
            LoadColumn::Mva(column, _) => Some(column),
            LoadColumn::Pu(_) | LoadColumn::Current(_) => None,
        }
    }

    /// The current of a row, pu; `number` reads one of its cells.
    pub(super) fn current_pu(
        &self,
        number: impl Fn(Column, &dyn Fn(&str) -> Result<f64, String>) -> Result<f64, InputError>,
    ) -> Result<f64, InputError> {
        let voltage = |column| number(column, &parse::<VoltagePu>);
        let voltage_pu = self.voltage.map(voltage).transpose()?;
        let tap = self.tap.map(|column| number(column, &|cell| self.base.tap(cell))).transpose()?;
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a tap of the unit"
        )]
        let tap = tap.map(|tap| tap as u32);
        let factor = match self.load {
            LoadColumn::Current(_) => 1.0,
            LoadColumn::Pu(_) | LoadColumn::Mva(..) => self.base.factor(voltage_pu, tap),
        };
        number(self.load.column(), &|cell| {
            let current_pu = self.load.parse(cell)? * factor;
            if current_pu <= MOST_PU { Ok(current_pu) } else { Err(most_accepted()) }
        })
    }
}

/// What a table of loads says of its voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Says {
    /// Its loads are currents.
    Current,
    /// The lowest voltage of its rows, pu.
    Voltage(f64),
}

/// What a table of loads says of its voltage, if anything; the table was read and accepted before.
pub fn says(text: &str) -> Option<Says> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let header = reader.headers().ok()?.clone();
    if header.iter().any(|column| column == CURRENT_COLUMN) {
        return Some(Says::Current);
    }
    let column = header.iter().position(|column| column == VOLTAGE_COLUMN)?;
    let cell = |row: csv::StringRecord| row.get(column)?.parse::<f64>().ok();
    let rows = reader.records().filter_map(Result::ok).filter_map(cell);
    rows.reduce(f64::min).map(Says::Voltage)
}
