//! Losses of a heat run: what contradicts is refused, and the loss ratio follows.

use super::super::profile::LossRatio;
use super::super::validate::Refuse;
use super::figures::{Figures, Key, shown};
use super::masses::resistance_zero_k;
use crate::input::InputError;
use crate::input::number::{Number, accepted};
use crate::thermal::detailed::Conductor;

/// Losses that are one by meaning may differ by this share: rounding to a kilowatt in small units, and reports that
/// correct them to 75 or to 85 °C. Our choice.
const WITHIN: f64 = 0.05;
/// A load loss that is stated at less was not corrected, °C: the reference temperature of IEC 60076-1, from memory.
const REFERENCE_C: f64 = 75.0;

/// Losses at a stage's own rating, kW, as far as stated.
///
/// Functions of a figure's name also give it where it follows from others.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct PrintedLosses {
    /// No-load loss.
    pub(crate) no_load_kw: Option<f64>,
    /// Load loss.
    pub(crate) load_kw: Option<f64>,
    /// I²R loss of the windings.
    pub(crate) i2r_kw: Option<f64>,
    /// Eddy loss of the windings.
    pub(crate) winding_eddy_kw: Option<f64>,
    /// Stray loss outside of the windings.
    pub(crate) stray_kw: Option<f64>,
    /// Temperature of the load loss and its parts, °C.
    pub(crate) at_c: Option<f64>,
}

impl PrintedLosses {
    /// Load loss: as printed, or the sum of all its parts.
    pub fn load_kw(&self) -> Option<f64> {
        let parts = self.winding_eddy_kw.zip(self.stray_kw).zip(self.i2r_kw);
        self.load_kw.or(parts.map(|((eddy_kw, stray_kw), i2r_kw)| i2r_kw + eddy_kw + stray_kw))
    }

    /// I²R loss: as printed, or what eddy and stray loss leave of the load loss; `None` where they leave nothing.
    pub fn i2r_kw(&self) -> Option<f64> {
        let others = self.winding_eddy_kw.zip(self.stray_kw).zip(self.load_kw);
        let rest = others.map(|((eddy_kw, stray_kw), load_kw)| load_kw - eddy_kw - stray_kw);
        self.i2r_kw.or(rest.filter(|rest| *rest > 0.0))
    }

    /// Winding eddy loss and other stray loss together: as printed, or what I²R leaves of the load loss.
    pub fn eddy_and_stray_kw(&self) -> Option<f64> {
        let both =
            self.winding_eddy_kw.zip(self.stray_kw).map(|(eddy_kw, stray_kw)| eddy_kw + stray_kw);
        let rest =
            self.load_kw.zip(self.i2r_kw).map(|(load_kw, i2r_kw)| (load_kw - i2r_kw).max(0.0));
        both.or(rest)
    }

    /// Winding eddy loss: as printed, or what the stray loss leaves of both.
    pub fn winding_eddy_kw(&self) -> Option<f64> {
        let rest = self.eddy_and_stray_kw().zip(self.stray_kw);
        self.winding_eddy_kw.or(rest.map(|(both_kw, stray_kw)| (both_kw - stray_kw).max(0.0)))
    }

    /// Stray loss outside of the windings: as printed, or what the winding eddy loss leaves of both.
    pub fn stray_kw(&self) -> Option<f64> {
        let rest = self.eddy_and_stray_kw().zip(self.winding_eddy_kw);
        self.stray_kw.or(rest.map(|(both_kw, eddy_kw)| (both_kw - eddy_kw).max(0.0)))
    }

    /// Load loss over no-load loss. A load loss stated below 75 °C counts with the resistance at 75 °C, and where its I²R
    /// part is not stated all of it counts as such: the greater ratio is the hotter one in an overload.
    pub(super) fn ratio(&self, conductor: Conductor) -> Option<f64> {
        let (load_kw, no_load_kw) = self.load_kw().zip(self.no_load_kw)?;
        let zero_k = resistance_zero_k(conductor);
        let warmer = self
            .at_c
            .filter(|at_c| *at_c < REFERENCE_C)
            .map_or(1.0, |at_c| (zero_k + REFERENCE_C) / (zero_k + at_c));
        let i2r_kw = self.i2r_kw().unwrap_or(load_kw).min(load_kw);
        Some((i2r_kw * warmer + (load_kw - i2r_kw) / warmer) / no_load_kw)
    }

    /// The same losses at a share of their current.
    pub(super) fn at_current(self, share: f64) -> Self {
        let scaled = |loss_kw: Option<f64>| loss_kw.map(|loss_kw| loss_kw * share * share);
        Self {
            load_kw: scaled(self.load_kw),
            i2r_kw: scaled(self.i2r_kw),
            winding_eddy_kw: scaled(self.winding_eddy_kw),
            stray_kw: scaled(self.stray_kw),
            ..self
        }
    }
}

/// The losses of a block at the rating of the unit.
///
/// # Errors
/// [`InputError`] for parts that are more, or all together less, than the whole, and for a base that is needed and missing.
pub(super) fn losses(
    refuse: &Refuse<'_>,
    figures: &Figures,
    rated_mva: f64,
    is_rated: bool,
) -> Result<PrintedLosses, InputError> {
    let stated = PrintedLosses {
        no_load_kw: figures.value(Key::NoLoad),
        load_kw: figures.value(Key::Load),
        i2r_kw: figures.value(Key::I2r),
        winding_eddy_kw: figures.value(Key::Eddy),
        stray_kw: figures.value(Key::Stray),
        at_c: figures.value(Key::AtC),
    };
    parts(refuse, figures, &stated)?;
    let base_mva = figures.value(Key::Base);
    let mut of_load = Key::LOAD_LOSSES.into_iter();
    if let (false, None, Some((key, figure))) =
        (is_rated, base_mva, of_load.find_map(|key| figures.at(key).map(|figure| (key, figure))))
    {
        let found = format!("{} without losses.base_mva", shown(figure.value));
        let wanted = "base_mva beside it: the power in MVA that these losses are stated at";
        return Err(figure.refused(refuse, key.name(), found, wanted));
    }
    Ok(stated.at_current(rated_mva / base_mva.unwrap_or(rated_mva)))
}

/// I²R is no more than the load loss, and the parts are the whole.
fn parts(refuse: &Refuse<'_>, figures: &Figures, stated: &PrintedLosses) -> Result<(), InputError> {
    let Some(load_kw) = stated.load_kw else { return Ok(()) };
    let keys = [Key::I2r, Key::Eddy, Key::Stray];
    let sum_kw: f64 = keys.iter().filter_map(|key| figures.value(*key)).sum();
    let whole = keys.iter().all(|key| figures.at(*key).is_some());
    let i2r_fits = stated.i2r_kw.is_none_or(|i2r_kw| i2r_kw <= load_kw);
    if let (false, Some(i2r)) = (i2r_fits, figures.at(Key::I2r)) {
        let wanted = format!("at most the load loss, {} kW", shown(load_kw));
        return Err(i2r.refused(refuse, Key::I2r.name(), shown(i2r.value), wanted));
    }
    let (least_kw, most_kw) = ((1.0 - WITHIN) * load_kw, (1.0 + WITHIN) * load_kw);
    let fits = sum_kw <= most_kw && (!whole || sum_kw >= least_kw);
    if let (false, Some(load)) = (fits, figures.at(Key::Load)) {
        let found = format!("{}, with parts of {} kW together", shown(load_kw), shown(sum_kw));
        let wanted = "I²R, winding eddy and stray loss that make the load loss, to within 5 %";
        return Err(load.refused(refuse, Key::Load.name(), found, wanted));
    }
    Ok(())
}

/// Losses of one stage are those of the unit, to within 5 %: both at the rating of the unit.
///
/// # Errors
/// [`InputError`] for a no-load loss, or for a load loss or I²R loss at the same temperature, that is another one.
pub(super) fn same(
    refuse: &Refuse<'_>,
    figures: &Figures,
    stage: &PrintedLosses,
    unit: &PrintedLosses,
) -> Result<(), InputError> {
    let temperatures = stage.at_c.zip(unit.at_c);
    let comparable = temperatures.is_none_or(|(one, other)| (one - other).abs() <= 0.5);
    let pairs = [
        (Key::NoLoad, stage.no_load_kw, unit.no_load_kw, true),
        (Key::Load, stage.load_kw, unit.load_kw, comparable),
        (Key::I2r, stage.i2r_kw, unit.i2r_kw, comparable),
    ];
    for (key, own, other, comparable) in pairs {
        let (Some(figure), Some(own_kw), Some(other_kw)) = (figures.at(key), own, other) else {
            continue;
        };
        if comparable && !((own_kw - other_kw).abs() <= WITHIN * other_kw) {
            let found =
                format!("{}, {} kW at the rating of the unit", shown(figure.value), shown(own_kw));
            let wanted = format!(
                "{} kW to within 5 %, as stated at the rating of the unit: check losses.base_mva",
                shown(other_kw)
            );
            return Err(figure.refused(refuse, key.name(), found, wanted));
        }
    }
    Ok(())
}

/// The loss ratio as stated, or as it follows from the losses.
///
/// # Errors
/// [`InputError`] for a stated ratio more than 5 % off, and for one that no unit has.
pub(super) fn ratio(
    refuse: &Refuse<'_>,
    figures: &Figures,
    losses: &PrintedLosses,
    conductor: Conductor,
    own: Option<Number<LossRatio>>,
) -> Result<Option<Number<LossRatio>>, InputError> {
    let Some(ratio) = losses.ratio(conductor) else { return Ok(own) };
    if let Some(own) = own {
        if (own.value - ratio).abs() <= WITHIN * ratio {
            return Ok(Some(own));
        }
        let wanted = format!("{} to within 5 %, by the losses of the block", shown(ratio));
        return Err(refuse.at(own.line, "thermal.loss_ratio", shown(own.value), wanted));
    }
    let keys = [Key::Load, Key::I2r, Key::NoLoad];
    let place = keys.into_iter().find_map(|key| figures.at(key).map(|figure| (key, figure)));
    let line = place.map_or(0, |(_, figure)| figure.line);
    let fits = Number::stated(ratio, line);
    if let (None, Some((key, figure))) = (fits, place) {
        let found = format!("{}, {} times the no-load loss", shown(figure.value), shown(ratio));
        let wanted = format!("losses in a ratio of {}", accepted::<LossRatio>());
        return Err(figure.refused(refuse, key.name(), found, wanted));
    }
    Ok(fits)
}
