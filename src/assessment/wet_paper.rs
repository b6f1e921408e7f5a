//! From moisture, gas and pressure to the inception temperatures that the rules look at.

use crate::bubbling::inception::{edge, inception};
use crate::bubbling::{Conditions, partial_pressure, pressure};
use crate::moisture::reconcile::counting;
use crate::quantities::{Metres, MoisturePercent, Pascals};
use crate::rules::facts::{BubblingFacts, Reading};
use crate::unit::Unit;

/// What the bubbling models say of a unit; it does not depend on the load.
pub(super) fn bubbling_facts(unit: &Unit) -> BubblingFacts {
    let counting = counting(&unit.witnesses);
    let pressure = pressure_at_hot_spot(unit);
    let held = |moisture: MoisturePercent| {
        MoisturePercent::new((moisture.value() / unit.holding_factor).min(100.0)).ok()
    };
    let upper = counting.and_then(|counting| counting.upper).and_then(held);
    let best = counting.map(|counting| counting.best).and_then(held);
    let conditions = |water: Option<MoisturePercent>| {
        Some(Conditions { water: water?, pressure: pressure?, gas: unit.gas.as_ref()?.total })
    };
    let gas_pressure = unit.gas.as_ref().map(|gas| gas.pressure);
    let bound = conditions(upper)
        .zip(gas_pressure)
        .and_then(|(conditions, gas)| partial_pressure::bound(&conditions, gas).ok());
    BubblingFacts {
        counting,
        pressure,
        best: conditions(best).map_or(Reading::Missing, reading),
        low: conditions(upper).map_or(Reading::Missing, reading),
        bound: bound.flatten(),
        gas_alone_bubbles: bound.is_some_and(|bound| bound.is_none()),
    }
}

fn reading(conditions: Conditions) -> Reading {
    match inception(&conditions) {
        Ok(found) => Reading::Known(found),
        Err(why) => Reading::Outside(why, edge(&conditions)),
    }
}

/// `None` if the altitude is missing. Without a stated head none is counted.
fn pressure_at_hot_spot(unit: &Unit) -> Option<Pascals> {
    let around = &unit.surroundings;
    let head = around.head.or_else(|| Metres::new(0.0).ok())?;
    pressure::at_hot_spot(around.altitude?, head, around.blanket_pa).ok()
}
