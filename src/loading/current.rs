//! From a load in MVA, or per unit of the rated MVA, to the current that heats: by its voltage, and by the tap in service.
//!
//! ```text
//! K = S / (S' · V) · c        S load and S' rating, MVA; V voltage, pu of the rated one; c of the tap (`unit::taps`)
//! ```
//! V is the voltage of the winding without taps. A voltage that is not stated is taken as 1 pu, and how far off that may
//! be is drawn (`forecast_error`).

use super::LoadColumn;
use super::windings::{WindingColumns, WindingsCarried};
use crate::input::InputError;
use crate::input::columns::{Column, Header};
use crate::input::number::parse;
use crate::ranges;
use crate::unit::Unit;
use crate::unit::taps::Taps;
use crate::unit::windings::ThreeWindings;

ranges! {
    /// Voltage of the winding without taps. IEC 60076-1, from memory, allows a tenth above the rated one, and that without
    /// load. A higher voltage would count as a smaller current, and the loss of the core, which grows faster than the
    /// voltage, is not counted.
    VoltagePu: "pu of the rated voltage", 0.8, 1.1;
}

/// Column of the voltage of each row, pu.
pub const VOLTAGE_COLUMN: &str = "voltage_pu";

/// Column of the tap in service of each row.
pub const TAP_COLUMN: &str = "tap";

/// Column of a load that is a current itself, pu of the rated one.
pub const CURRENT_COLUMN: &str = "current_pu";

/// Greatest current, pu, as of every load.
const MOST_PU: f64 = 5.0;

/// Voltage and tap by which loads were turned into currents, as far as they are stated, and what each of three windings
/// carries.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct InService {
    /// Voltage, pu of the rated one, the lowest of the overload where it changes.
    pub voltage_pu: Option<f64>,
    /// Tap, where it is one for all loads.
    pub tap: Option<u32>,
    /// What the windings carry; `None` for a unit whose windings are not told apart.
    pub windings: Option<WindingsCarried>,
}

/// What turns a load of a unit into a current, where no row says otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadBase {
    rated_mva: f64,
    voltage_pu: Option<f64>,
    tap: Option<u32>,
    taps: Option<Taps>,
    windings: Option<ThreeWindings>,
}

impl From<f64> for LoadBase {
    /// A unit of this rating, MVA, without taps and at a voltage that nobody states.
    fn from(rated_mva: f64) -> Self {
        Self { rated_mva, voltage_pu: None, tap: None, taps: None, windings: None }
    }
}

impl LoadBase {
    /// Of a unit at the voltage and the tap of flags.
    ///
    /// # Errors
    /// [`InputError`] for a tap that the unit does not have.
    pub fn of(unit: &Unit, stated: &InService) -> Result<Self, InputError> {
        let base = Self {
            rated_mva: unit.rated_mva,
            voltage_pu: stated.voltage_pu,
            tap: stated.tap,
            taps: unit.taps,
            windings: unit.three_windings.clone(),
        };
        let Some(tap) = stated.tap else { return Ok(base) };
        base.accepts(tap)
            .map_err(|accepted| InputError::new("--tap-in-service", tap.to_string(), accepted))
            .map(|()| base)
    }

    /// Rated power, MVA.
    pub fn rated_mva(&self) -> f64 {
        self.rated_mva
    }

    /// The three windings, where their losses are stated.
    pub fn windings(&self) -> Option<&ThreeWindings> {
        self.windings.as_ref()
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

    /// What windings carry by flags: the name of each and its load, pu of its own rating. A winding that is not named counts
    /// as [`WindingsCarried::of`] says.
    ///
    /// # Errors
    /// [`InputError`] for a unit whose windings are not told apart, a winding that it does not have or that is named
    /// twice, and above five times a rated current.
    pub fn carried(
        &self,
        flag: &str,
        loads: &[(String, f64)],
    ) -> Result<WindingsCarried, InputError> {
        let refused = |found: String, accepted: String| InputError::new(flag, found, accepted);
        let first = || loads.first().map(|own| own.0.clone()).unwrap_or_default();
        let Some(windings) = &self.windings else {
            let accepted = "a profile with three windings and their winding_losses";
            return Err(refused(first(), accepted.to_owned()));
        };
        let mut loads_pu = [None; 3];
        for (name, load_pu) in loads {
            let Some(at) = windings.place_of(name) else {
                let names = windings.names.join(", ");
                return Err(refused(crate::input::shown(name), format!("a winding: {names}")));
            };
            let current_pu = self.current(flag, *load_pu)?;
            if loads_pu[at].replace(current_pu).is_some() {
                return Err(refused(format!("{name} twice"), "each winding once".to_owned()));
            }
        }
        let carried = WindingsCarried::of(windings, loads_pu);
        let counted_pu = carried.counted_pu();
        let found = format!("a load that counts as {counted_pu:.2} pu");
        within(counted_pu).map(|_| carried).map_err(|accepted| refused(found, accepted))
    }

    /// Current over load, both per unit, as stated.
    pub fn current_of_1_pu(&self) -> f64 {
        self.factor(None, None)
    }

    /// Current over load, both per unit, at the voltage and the tap of a row, else as stated.
    fn factor(&self, voltage_pu: Option<f64>, tap: Option<u32>) -> f64 {
        let voltage_pu = voltage_pu.or(self.voltage_pu).unwrap_or(1.0);
        let tap = tap.or(self.tap);
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

/// A current up to the greatest that is accepted, or what is.
pub(super) fn within(current_pu: f64) -> Result<f64, String> {
    if current_pu <= MOST_PU { Ok(current_pu) } else { Err(most_accepted()) }
}

/// Where the load of a row stands.
#[derive(Debug, Clone)]
enum Load {
    /// One for the unit.
    One(LoadColumn),
    /// One for each winding.
    Windings(WindingColumns),
}

/// The columns from which the current of a row follows.
#[derive(Debug, Clone)]
pub(super) struct LoadCells {
    load: Load,
    voltage: Option<Column>,
    tap: Option<Column>,
    base: LoadBase,
}

/// Reads a cell of a row: its column, and what turns its text into a number or says what is accepted.
pub(super) type Number<'a> =
    dyn Fn(Column, &dyn Fn(&str) -> Result<f64, String>) -> Result<f64, InputError> + 'a;

impl LoadCells {
    /// The columns of a table.
    pub(super) fn of(header: &Header, base: LoadBase) -> Result<Self, InputError> {
        let load = match WindingColumns::of(header, &base)? {
            Some(windings) if LoadColumn::is_in(header) => {
                let own = windings.columns_in_words();
                let found = format!("a load of the unit beside {own}");
                return Err(
                    header.refused_whole(found, "one load for all windings, or one for each")
                );
            }
            Some(windings) => Load::Windings(windings),
            None => Load::One(LoadColumn::of(header, base.rated_mva)?),
        };
        let (voltage, tap) = (header.column(VOLTAGE_COLUMN), header.column(TAP_COLUMN));
        if let (Load::One(LoadColumn::Current(_)), true) =
            (&load, voltage.is_some() || tap.is_some())
        {
            let found = format!("{CURRENT_COLUMN} beside {VOLTAGE_COLUMN} or {TAP_COLUMN}");
            let accepted = format!(
                "{CURRENT_COLUMN} alone: a current needs neither, load_pu and load_mva need both"
            );
            return Err(header.refused_whole(found, accepted));
        }
        Ok(Self { load, voltage, tap, base })
    }

    /// The column of loads of the unit in MVA.
    pub(super) fn mva(&self) -> Option<Column> {
        match &self.load {
            Load::One(LoadColumn::Mva(column, _)) => Some(*column),
            Load::One(LoadColumn::Pu(_) | LoadColumn::Current(_)) | Load::Windings(_) => None,
        }
    }

    /// The columns of the loads of windings.
    pub(super) fn of_windings(&self) -> Option<&WindingColumns> {
        match &self.load {
            Load::One(_) => None,
            Load::Windings(windings) => Some(windings),
        }
    }

    /// The current of a row, pu; `number` reads one of its cells.
    pub(super) fn current_pu(&self, number: &Number<'_>) -> Result<f64, InputError> {
        let load = match &self.load {
            Load::One(load) => *load,
            Load::Windings(windings) => {
                let carried = windings.carried(self.factor(number)?, number)?;
                return windings.counted(&carried, number);
            }
        };
        let factor = match load {
            LoadColumn::Current(_) => 1.0,
            LoadColumn::Pu(_) | LoadColumn::Mva(..) => self.factor(number)?,
        };
        number(load.column(), &|cell| within(load.parse(cell)? * factor))
    }

    /// What each winding carries in a row; `None` where one load is stated for all.
    pub(super) fn windings(
        &self,
        number: &Number<'_>,
    ) -> Result<Option<WindingsCarried>, InputError> {
        match &self.load {
            Load::One(_) => Ok(None),
            Load::Windings(windings) => windings.carried(self.factor(number)?, number).map(Some),
        }
    }

    /// Current over load, both per unit, in a row.
    fn factor(&self, number: &Number<'_>) -> Result<f64, InputError> {
        let voltage = |column| number(column, &parse::<VoltagePu>);
        let voltage_pu = self.voltage.map(voltage).transpose()?;
        let tap = self.tap.map(|column| number(column, &|cell| self.base.tap(cell))).transpose()?;
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a tap of the unit"
        )]
        let tap = tap.map(|tap| tap as u32);
        Ok(self.base.factor(voltage_pu, tap))
    }
}
