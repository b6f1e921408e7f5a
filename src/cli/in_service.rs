//! Voltage and tap, by which loads become currents.

use super::check::CheckArguments;
use super::flags;
use crate::input::InputError;
use crate::loading::current::{InService, LoadBase};
use crate::loading::forecast_error::ForecastError;
use crate::loading::says::{Says, columns_in, says};
use crate::loading::windings::{WindingsCarried, without_column};
use crate::unit::Unit;
use clap::Args;

/// Flags of the voltage and the tap.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Clone, Copy, Default, Args)]
pub struct InServiceArguments {
    /// Voltage of the winding without taps, per unit of the rated one, for loads without a column voltage_pu; without it 1 pu, 3 % either way. State 1 where a load is per unit of the rated current
    #[arg(help_heading = "Voltage and tap", long, value_name = "PU", value_parser = flags::voltage, allow_negative_numbers = true)]
    pub(super) voltage_pu: Option<f64>,

    /// Tap in service, by its number, for loads without a column tap; without it the tap with the greatest current
    #[arg(help_heading = "Voltage and tap", long, value_name = "N", value_parser = clap::value_parser!(u32).range(0..=99), allow_negative_numbers = true)]
    pub(super) tap_in_service: Option<u32>,
}

impl InServiceArguments {
    /// What is stated.
    pub(super) fn stated(self) -> InService {
        InService { voltage_pu: self.voltage_pu, tap: self.tap_in_service, windings: None }
    }

    /// What turns a load of a unit into a current.
    ///
    /// # Errors
    /// [`InputError`] for a tap that the unit does not have.
    pub(super) fn base(self, unit: &Unit) -> Result<LoadBase, InputError> {
        LoadBase::of(unit, &self.stated())
    }

    /// What an answer depends on; nothing where nothing is stated, so that questions of before keep their hash.
    pub(super) fn hashed(self) -> String {
        let voltage = self.voltage_pu.map(|voltage| format!(" voltage {voltage:?}"));
        let tap = self.tap_in_service.map(|tap| format!(" tap {tap}"));
        voltage.unwrap_or_default() + &tap.unwrap_or_default()
    }

    /// An error of a load, with the voltage's where that is not stated.
    pub(super) fn error(self, error: ForecastError) -> ForecastError {
        if self.voltage_pu.is_some() { error.at_stated_voltage() } else { error }
    }
}

/// What the windings of a unit carry in a check: `proposed` of the overload, else all in proportion, and the windings
/// whose load its history does not state. `None` where windings are not told apart.
pub(super) fn windings(
    base: &LoadBase,
    proposed: Option<WindingsCarried>,
    texts: &[(String, String)],
) -> Option<WindingsCarried> {
    let own = base.windings()?;
    let mut carried = proposed.unwrap_or_else(WindingsCarried::in_proportion);
    let history = texts.iter().filter(|(name, _)| name == "history");
    for name in history.flat_map(|(_, text)| without_column(own, &columns_in(text))) {
        if !carried.not_stated.contains(&name) {
            carried.not_stated.push(name);
        }
    }
    Some(carried)
}

/// What is known of the voltage of a check: of what is proposed, and whether of every load, so that nothing need be
/// drawn for it. `texts` are those of its files, which were read and accepted before.
///
/// # Errors
/// [`InputError`] for a voltage that no load needs.
pub(super) fn known(
    arguments: &CheckArguments,
    texts: &[(String, String)],
    windings: Option<WindingsCarried>,
) -> Result<(InService, bool), InputError> {
    let stated = arguments.in_service.stated();
    let own = |name: &str| {
        let text = texts.iter().find(|own| own.0 == name);
        text.and_then(|(_, text)| says(text))
    };
    let proposed = arguments.loading.as_ref().and_then(|_| own("loading"));
    let before = arguments.history.as_ref().and_then(|_| own("history"));
    let all_say = proposed.is_some() && before.is_some() && arguments.after.is_none();
    if let (Some(voltage_pu), true) = (stated.voltage_pu, all_say) {
        let found = format!("{voltage_pu} pu, and voltages or currents beside every load");
        return Err(InputError::new("--voltage-pu", found, "one of the two"));
    }
    let voltage_pu = match proposed {
        Some(Says::Voltage(lowest_pu)) => Some(lowest_pu),
        Some(Says::Current) => None,
        None => stated.voltage_pu,
    };
    let all = all_say || stated.voltage_pu.is_some();
    Ok((InService { voltage_pu, windings, ..stated }, all))
}
