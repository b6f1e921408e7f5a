//! The cooling stages as they are in a draw.

use super::super::inputs::{Quantity, Values};
use crate::thermal::cooling::Stage;

/// Puts the values of a draw into the stages. Values are those of the rated stage; the others depart
/// from their own by as much, in proportion or for exponents and k21 by the difference.
pub(super) fn put(stages: &mut [Stage], plain: &[Stage], rated: usize, values: &Values) {
    let of = &plain[rated.min(plain.len() - 1)];
    let share = |quantity, value: f64| values.of(quantity) / value;
    let rise = share(Quantity::TopOilRise, of.nameplate.top_oil_rise_k);
    let gradient = share(Quantity::HotSpotGradient, of.nameplate.hot_spot_gradient_k);
    let losses = share(Quantity::LossRatio, of.nameplate.loss_ratio);
    let oil_tau = share(Quantity::OilTimeConstant, of.iec.oil_time_constant_min);
    let winding_tau = share(Quantity::WindingTimeConstant, of.iec.winding_time_constant_min);
    let oil_exponent = values.of(Quantity::OilExponent) - of.iec.x;
    let winding_exponent = values.of(Quantity::WindingExponent) - of.iec.y;
    let k21 = values.of(Quantity::K21) - of.iec.k21;
    let thermostat_k = values.of(Quantity::Thermostat);
    for (stage, plain) in stages.iter_mut().zip(plain) {
        // For the state at minute 0; over time the kernel shifts the plain ones.
        stage.switching = plain.switching.map(|set| set.shifted(thermostat_k));
        stage.nameplate.top_oil_rise_k = plain.nameplate.top_oil_rise_k * rise;
        stage.nameplate.hot_spot_gradient_k = plain.nameplate.hot_spot_gradient_k * gradient;
        stage.nameplate.loss_ratio = plain.nameplate.loss_ratio * losses;
        stage.iec.x = plain.iec.x + oil_exponent;
        stage.ieee.n = plain.ieee.n + oil_exponent;
        stage.iec.y = plain.iec.y + winding_exponent;
        stage.ieee.m = plain.ieee.m + winding_exponent / 2.0;
        // An exponential without overshoot has none to be in doubt about.
        if plain.iec.k21 > 1.0 {
            stage.iec.k21 = (plain.iec.k21 + k21).max(1.0);
        }
        stage.iec.oil_time_constant_min = plain.iec.oil_time_constant_min * oil_tau;
        stage.ieee.oil_time_constant_min = plain.ieee.oil_time_constant_min * oil_tau;
        stage.iec.winding_time_constant_min = plain.iec.winding_time_constant_min * winding_tau;
        stage.ieee.winding_time_constant_min = plain.ieee.winding_time_constant_min * winding_tau;
    }
}

/// Puts the values of a draw into the natural stage that is assumed because nobody states the stages: its rating and
/// its rises are in doubt for themselves. The losses are the unit's, and go with the square of the rating.
pub(super) fn put_assumed(natural: &mut Stage, plain: &Stage, values: &Values) {
    let rating_pu = values.of(Quantity::NaturalRating);
    let share = rating_pu / plain.rating_pu;
    natural.rating_pu = rating_pu;
    natural.nameplate.top_oil_rise_k = values.of(Quantity::NaturalTopOilRise);
    natural.nameplate.hot_spot_gradient_k = values.of(Quantity::NaturalGradient);
    natural.nameplate.loss_ratio *= share * share;
}
