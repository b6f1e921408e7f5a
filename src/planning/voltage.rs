//! The voltage of a plan: one for all loads, or that of the rows of its series.

use super::plan_file::PlanFile;
use crate::input::InputError;
use crate::loading::current::VOLTAGE_COLUMN;
use crate::loading::planned::Demand;

/// What is stated of the voltage of a plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PlanVoltage {
    /// One for all loads, pu, as a flag states it.
    pub(super) flag: Option<f64>,
    /// Lowest and highest voltage of the rows of all loads, pu; 1 where a load has none of its own.
    pub(super) of_rows: (f64, f64),
    /// Lowest voltage that is stated, pu; `None`: none is.
    pub(super) lowest_stated: Option<f64>,
    /// Whether every load has one, so that nothing is drawn for it.
    pub(super) known: bool,
}

impl PlanVoltage {
    /// From a flag, or from the column `voltage_pu` of the series. A constant load has no voltage of its own: where
    /// there is one, or a series without the column, the voltage of all loads counts as not known. Our choice:
    /// loads add up, and the part whose voltage is known would have to be drawn apart from the rest.
    ///
    /// # Errors
    /// [`InputError`] for a flag and a column together.
    pub(super) fn of(
        flag: Option<f64>,
        file: &PlanFile,
        demands: &[(String, Demand)],
    ) -> Result<Self, InputError> {
        let own = demands.iter().filter_map(|(name, demand)| Some((name, demand.voltage_pu?)));
        let own: Vec<(&String, (f64, f64))> = own.collect();
        if let (Some(voltage_pu), Some((name, _))) = (flag, own.first()) {
            let found = format!("{voltage_pu} pu, and the column {VOLTAGE_COLUMN} in {name}");
            return Err(InputError::new("--voltage-pu", found, "one of the two"));
        }
        let all_rows = own.len() == demands.len() && !own.is_empty() && !constant_loads(file);
        let ends = own.iter().map(|own| own.1);
        let with_1_pu = ends.chain((!all_rows).then_some((1.0, 1.0)));
        let of_rows = with_1_pu.reduce(|one, other| (one.0.min(other.0), one.1.max(other.1)));
        let lowest = own.iter().map(|own| own.1.0).reduce(f64::min);
        Ok(Self {
            flag,
            of_rows: of_rows.unwrap_or((1.0, 1.0)),
            lowest_stated: flag.or(lowest),
            known: flag.is_some() || all_rows,
        })
    }
}

/// Whether any part of any load is a constant.
fn constant_loads(file: &PlanFile) -> bool {
    let normally = file.units.iter().flat_map(|unit| &unit.normally);
    let carries = file.outages.iter().flat_map(|outage| {
        let trips = outage.next_trip.iter().flatten().flat_map(|trip| &trip.carries);
        outage.carries.iter().chain(trips)
    });
    normally
        .map(|part| &part.plus_mva)
        .chain(carries.map(|part| &part.plus_mva))
        .any(Option::is_some)
}
