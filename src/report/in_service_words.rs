//! By which voltage and tap loads became currents, in a line for every answer.

use super::view::near;
use crate::assessment::Asked;

/// What turned loads into currents, as an answer has it.
pub(super) struct Counted {
    /// Voltage, pu of the rated one; `None`: not stated, or loads that are currents.
    pub(super) voltage_pu: Option<f64>,
    /// What an unknown voltage adds to the error of the load, %; 0 where it is known.
    pub(super) voltage_std_percent: f64,
    /// Tap in service, if one is stated.
    pub(super) tap: Option<u32>,
}

/// The line of a check; nothing where its loads are currents.
pub(super) fn of_check(asked: &Asked) -> Option<String> {
    line(&Counted {
        voltage_pu: asked.voltage_pu,
        voltage_std_percent: asked.voltage_std_percent,
        tap: asked.tap,
    })
}

/// The line of any answer; nothing where its loads are currents.
pub(super) fn line(counted: &Counted) -> Option<String> {
    let tap = counted.tap.map_or_else(String::new, |tap| format!(", tap {tap}"));
    match counted.voltage_pu {
        Some(voltage_pu) if counted.voltage_std_percent > 0.0 => Some(format!(
            "loads are currents at {} pu voltage where it is stated, else at 1 pu, give or take 3 %{tap}",
            near(voltage_pu, 3)
        )),
        Some(voltage_pu) => {
            Some(format!("loads are currents at {} pu voltage{tap}", near(voltage_pu, 3)))
        }
        None if counted.voltage_std_percent > 0.0 => {
            Some(format!("voltage not stated: taken as 1 pu, give or take 3 %{tap}"))
        }
        None => counted.tap.map(|tap| format!("loads are currents on tap {tap}")),
    }
}
