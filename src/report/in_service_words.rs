//! By which voltage and tap loads became currents, in a line for every answer.

use super::view::near;
use crate::assessment::Asked;
use crate::loading::windings::{WindingGoverns, WindingLoad};

/// What turned loads into currents, as an answer has it.
pub(super) struct Counted {
    /// Voltage, pu of the rated one; `None`: not stated, or loads that are currents.
    pub(super) voltage_pu: Option<f64>,
    /// What an unknown voltage adds to the error of the load, %; 0 where it is known.
    pub(super) voltage_std_percent: f64,
    /// Tap in service, if one is stated.
    pub(super) tap: Option<u32>,
}

/// The line of a check about voltage and tap; nothing where its loads are currents.
pub(super) fn of_check(asked: &Asked) -> Option<String> {
    line(&Counted {
        voltage_pu: asked.voltage_pu,
        voltage_std_percent: asked.voltage_std_percent,
        tap: asked.tap,
    })
}

/// One load for a unit whose windings are told apart.
pub(super) const IN_PROPORTION: &str =
    "one load for all windings, in proportion to the rated state";

/// The line of a check about its windings; nothing where they are not told apart.
pub(super) fn windings(asked: &Asked) -> Option<String> {
    let carried = asked.windings.as_ref()?;
    let counts = match carried.governs {
        WindingGoverns::InProportion => return Some(IN_PROPORTION.to_owned()),
        WindingGoverns::Winding => {
            let nearest = carried.nearest.as_deref().unwrap_or("one");
            format!("{nearest} is nearest its rating")
        }
        WindingGoverns::Losses => "by the losses of all".to_owned(),
    };
    let load = |load: &WindingLoad| {
        let assumed = if load.stated { "" } else { " (not stated)" };
        format!("{} {}{assumed}", load.name, near(load.load_pu, 2))
    };
    let loads: Vec<String> = carried.loads.iter().map(load).collect();
    Some(format!(
        "windings: {} pu of their ratings; counted as {} pu, {counts}",
        loads.join(", "),
        near(carried.counted_pu(), 2)
    ))
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
