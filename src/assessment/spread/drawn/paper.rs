//! The inception temperature of a draw.

use super::super::inputs::{Inputs, Quantity, Values};
use crate::bubbling::inception::{edge, inception};
use crate::bubbling::oommen_lindgren::further_depression_k;
use crate::bubbling::{Conditions, GAS_PERCENT, pressure};
use crate::quantities::{GasPercent, Metres, MoisturePercent, Pascals};
use crate::unit::Unit;
use crate::unit::spread::{CorrelationChoice, Spread};

/// The inception temperature of one draw, °C; −∞ beyond the range of the correlations on the side on
/// which bubbling comes sooner, and the floor at its edge where the paper is drier. Beyond the range in gas
/// the gas term is carried on ([`further_depression_k`]): the figure itself lies inside, and its uncertainty
/// ends at no edge.
pub(super) fn inception_c(unit: &Unit, inputs: &Inputs, values: &Values) -> f64 {
    let Some(conditions) = conditions(unit, inputs, values) else {
        return f64::NEG_INFINITY;
    };
    let further_k = further_depression_k(&conditions);
    let Some(conditions) = within_gas(unit, conditions) else {
        return f64::NEG_INFINITY;
    };
    let reading_c = match inception(&conditions) {
        Ok(found) => {
            let with_gas_c = found.oommen_lindgren.value() - further_k;
            match inputs.choice {
                CorrelationChoice::Lower => with_gas_c.min(found.fessler.value()),
                CorrelationChoice::Either if values.of(Quantity::WhichCorrelation) < 0.5 => {
                    with_gas_c
                }
                CorrelationChoice::Either => found.fessler.value(),
            }
        }
        Err(_beyond) => match edge(&conditions).floor {
            Some(floor) => floor.value() - further_k,
            None => return f64::NEG_INFINITY,
        },
    };
    reading_c + values.of(Quantity::Correlation)
}

/// The same with no more gas than the correlations cover. An interval that reaches beyond them is no measuring error:
/// it states that the oil may be so gassy, and stays beyond.
fn within_gas(unit: &Unit, conditions: Conditions) -> Option<Conditions> {
    let stated = unit.spread.gas_percent.map(|gas| gas.spread);
    if matches!(stated, Some(Spread::Interval { most, .. }) if !(most <= GAS_PERCENT.1)) {
        return Some(conditions);
    }
    let gas = GasPercent::new(conditions.gas.value().min(GAS_PERCENT.1)).ok()?;
    Some(Conditions { gas, ..conditions })
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
