//! The inception temperature of a draw.

use super::super::inputs::{Inputs, Quantity, Values};
use crate::bubbling::inception::{edge, inception};
use crate::bubbling::{Conditions, pressure};
use crate::quantities::{GasPercent, Metres, MoisturePercent, Pascals};
use crate::unit::Unit;
use crate::unit::spread::CorrelationChoice;

/// The inception temperature of one draw, °C; −∞ beyond the range of the correlations on the side on
/// which bubbling comes sooner, and the floor at its edge where the paper is drier.
pub(super) fn inception_c(unit: &Unit, inputs: &Inputs, values: &Values) -> f64 {
    let Some(conditions) = conditions(unit, inputs, values) else {
        return f64::NEG_INFINITY;
    };
    let reading = match inception(&conditions) {
        Ok(found) => match inputs.choice {
            CorrelationChoice::Lower => found.working(),
            CorrelationChoice::Either if values.of(Quantity::WhichCorrelation) < 0.5 => {
                found.oommen_lindgren
            }
            CorrelationChoice::Either => found.fessler,
        },
        Err(_beyond) => match edge(&conditions).floor {
            Some(floor) => floor,
            None => return f64::NEG_INFINITY,
        },
    };
    reading.value() + values.of(Quantity::Correlation)
}

fn conditions(unit: &Unit, inputs: &Inputs, values: &Values) -> Option<Conditions> {
    let holding = values.of(Quantity::HoldingFactor);
    let water = inputs.water.percent(values.of(Quantity::Moisture), holding);
    let head = Metres::new(values.of(Quantity::Head).max(0.0)).ok()?;
    let around = &unit.surroundings;
    let still = pressure::at_hot_spot(around.altitude?, head, around.blanket_pa).ok()?;
    Some(Conditions {
        water: MoisturePercent::new(water).ok()?,
        pressure: Pascals::new(still.value() + 1000.0 * values.of(Quantity::Weather)).ok()?,
        gas: GasPercent::new(values.of(Quantity::Gas).max(0.0)).ok()?,
    })
}
