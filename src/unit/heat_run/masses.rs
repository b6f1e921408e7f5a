//! Masses of a unit: the conductor is a part of the active part, by its mass and by the time constant of the winding.

use super::super::validate::Refuse;
use super::Printed;
use super::figures::{Figure, Figures, Key, shown};
use crate::input::InputError;
use crate::thermal::detailed::Conductor;

/// The oil of the block and that under `oil` may differ by this share: between filling and topping up, say. Litres are 12 %
/// off. Our choice.
const OIL_WITHIN: f64 = 0.05;
/// Ambient where none is stated, °C: the yearly average of IEC 60076-2, from memory. It moves the mass by less than 1 %.
const USUAL_AMBIENT_C: f64 = 20.0;

/// Masses from the rating plate, kg, as far as stated.
#[allow(clippy::struct_field_names, reason = "the unit belongs to the name of every figure")]
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct PrintedMasses {
    /// Core and windings.
    pub(crate) active_kg: Option<f64>,
    /// Tank and fittings.
    pub(crate) tank_kg: Option<f64>,
    /// Oil, from the block or from the key `mass_kg` under `oil`.
    pub(crate) oil_kg: Option<f64>,
    /// Conductor of the windings.
    pub(crate) winding_kg: Option<f64>,
}

/// What is added to °C so that the resistance goes in proportion, K: as the detailed model has it.
pub(super) fn resistance_zero_k(conductor: Conductor) -> f64 {
    match conductor {
        Conductor::Copper => 234.5,
        Conductor::Aluminium => 225.0,
    }
}

/// Specific heat, J/(kg·K), as the detailed model has it.
fn specific_heat(conductor: Conductor) -> f64 {
    match conductor {
        Conductor::Copper => 385.0,
        Conductor::Aluminium => 899.0,
    }
}

/// The masses of the unit.
///
/// # Errors
/// [`InputError`] for a conductor that is no part of the active part, and for an oil that is not the one under `oil`.
pub(super) fn masses(
    refuse: &Refuse<'_>,
    figures: &Figures,
    oil: Option<Figure>,
) -> Result<PrintedMasses, InputError> {
    let (active, winding) = (figures.at(Key::Active), figures.at(Key::WindingMass));
    if let (Some(active), Some(winding)) = (active, winding)
        && !(winding.value < active.value)
    {
        let wanted = format!("less than the active part, {} kg", shown(active.value));
        let found = shown(winding.value);
        return Err(winding.refused(refuse, Key::WindingMass.name(), found, wanted));
    }
    if let (Some(own), Some(oil)) = (figures.at(Key::Oil), oil) {
        own.agrees(refuse, Key::Oil.name(), &oil, ("mass_kg", OIL_WITHIN * oil.value))?;
    }
    Ok(PrintedMasses {
        active_kg: figures.value(Key::Active),
        tank_kg: figures.value(Key::Tank),
        oil_kg: figures.value(Key::Oil).or(oil.map(|oil| oil.value)),
        winding_kg: figures.value(Key::WindingMass),
    })
}

/// Refuses a time constant of the winding whose conductor would be more than the active part.
///
/// # Errors
/// [`InputError`] at the time constant.
pub(super) fn check_time_constant(
    refuse: &Refuse<'_>,
    printed: &Printed,
    time_constant: Option<Figure>,
    forced: bool,
) -> Result<(), InputError> {
    let follows = winding_kg(printed, forced).zip(printed.masses.active_kg);
    let (Some(tau), Some((winding_kg, active_kg))) = (time_constant, follows) else {
        return Ok(());
    };
    if winding_kg < active_kg {
        return Ok(());
    }
    let (metal, missing) = match printed.conductor {
        Some(Conductor::Copper) => ("copper", ""),
        Some(Conductor::Aluminium) => ("aluminium", ""),
        None => ("copper", ", or the conductor if it is aluminium"),
    };
    let found = format!(
        "{} min, by which the winding has {} kg of {metal}",
        shown(tau.value),
        winding_kg.round()
    );
    let wanted = format!("less than the active part, {} kg{missing}", shown(active_kg));
    Err(tau.refused(refuse, Key::WindingTau.name(), found, wanted))
}

/// Mass of the conductor by the time constant of the winding, kg; `None` where something for it is not stated.
///
/// ```text
/// m = 60·τw·(P_I2R + P_eddy)/((θw − θd)·c)        θd = (θ(duct top) + θ(bottom oil))/2
/// ```
/// losses in W at the guaranteed winding temperature, τw in min, temperatures those of the rated load.
///
/// # Source       `ieee-c57-91-2011` Annex G (second-hand).
/// # Valid        Any winding; it is used as a check alone.
/// # Departures   Without a stated eddy loss there is none, without a temperature or a guaranteed rise losses count as stated:
///   both give little less. Copper where no conductor is stated.
/// # Checked      The printed example: 6496 kg of copper of 34 292 kg of core and coils, `tests` below.
fn winding_kg(printed: &Printed, forced: bool) -> Option<f64> {
    let winding_k = printed.average_winding_rise_k()?;
    let bottom_k = printed.bottom_oil_rise_k()?;
    let duct_k = if forced { winding_k } else { printed.top_oil_rise_k? };
    let over_k = winding_k - f64::midpoint(duct_k, bottom_k);
    let tau_min = printed.winding_time_constant_min?;
    let losses = &printed.losses;
    let conductor = printed.conductor.unwrap_or(Conductor::Copper);
    let zero_k = resistance_zero_k(conductor);
    let guaranteed_c = printed
        .guaranteed_winding_rise_k
        .map(|rise_k| printed.ambient_c.unwrap_or(USUAL_AMBIENT_C) + rise_k);
    let warmer = guaranteed_c
        .zip(losses.at_c)
        .map_or(1.0, |(to_c, from_c)| (zero_k + to_c) / (zero_k + from_c));
    let eddy_kw = losses.winding_eddy_kw().unwrap_or(0.0) / warmer;
    let watts = 1000.0 * (losses.i2r_kw()? * warmer + eddy_kw);
    (over_k > 0.0).then(|| 60.0 * tau_min * watts / (over_k * specific_heat(conductor)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::heat_run::PrintedLosses;
    use approx::assert_relative_eq;

    #[test]
    fn the_printed_example_has_its_mass_of_copper() {
        let base = 52_267.0_f64 / 28_000.0;
        let losses = PrintedLosses {
            i2r_kw: Some(51.690),
            winding_eddy_kw: Some(0.0),
            at_c: Some(75.0),
            ..PrintedLosses::default()
        };
        let printed = Printed {
            ambient_c: Some(30.0),
            top_oil_rise_k: Some(55.0),
            bottom_oil_rise_k: Some(25.0),
            average_winding_rise_k: Some(63.0),
            guaranteed_winding_rise_k: Some(65.0),
            losses: losses.at_current(base),
            winding_time_constant_min: Some(5.0),
            ..Printed::default()
        };
        // By hand: 300 s · 51 690 W · 3.4845 · 1.0646 / (23 K · 385 J/(kg K)).
        let by_hand = 300.0 * 51_690.0 * base * base * (329.5 / 309.5) / (23.0 * 385.0);
        assert_relative_eq!(winding_kg(&printed, false).unwrap(), by_hand, max_relative = 1.0e-12);
        // Forced oil that is not directed leaves the duct as hot as the winding, so that less is between them.
        assert!(winding_kg(&printed, true).unwrap() > by_hand);
    }
}
