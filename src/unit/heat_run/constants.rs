//! Exponents from two loads and the time constant of the winding, where the keys beside the block leave them out.

use super::super::profile::{Exponent, ThermalFile};
use super::super::validate::Refuse;
use super::Printed;
use super::figures::{Figure, Figures, Key, shown};
use crate::input::InputError;
use crate::input::number::Number;

/// Exponents differ by no more if they are one, rounded to two decimals; our choice.
const EXPONENT_WITHIN: f64 = 0.0051;

/// Completes those keys of the rated stage; the time constant of the winding that counts.
///
/// # Errors
/// [`InputError`] for figures that contradict those beside the block.
pub(super) fn constants(
    refuse: &Refuse<'_>,
    figures: &Figures,
    own: &mut ThermalFile,
) -> Result<Option<Figure>, InputError> {
    let (oil, winding) = (Key::OilExponent, Key::WindingExponent);
    own.x = exponent(refuse, figures, oil, ("x", own.x, 1.0))?;
    own.n = exponent(refuse, figures, oil, ("n", own.n, 1.0))?;
    own.y = exponent(refuse, figures, winding, ("y", own.y, 1.0))?;
    own.m = exponent(refuse, figures, winding, ("m", own.m, 0.5))?;
    let (tau, name) = (figures.at(Key::WindingTau), Key::WindingTau.name());
    let beside = Figure::beside(own.winding_time_constant_min.as_ref(), "thermal");
    if let (Some(printed), Some(own)) = (tau, beside) {
        printed.agrees(refuse, name, &own, (name, 0.0))?;
    }
    let counts = beside.or(tau);
    own.winding_time_constant_min = counts.and_then(|tau| Number::stated(tau.value, tau.line));
    Ok(counts)
}

/// An exponent beside the block, or a share of the one from two loads.
fn exponent(
    refuse: &Refuse<'_>,
    figures: &Figures,
    key: Key,
    (name, own, share): (&str, Option<Number<Exponent>>, f64),
) -> Result<Option<Number<Exponent>>, InputError> {
    let Some(printed) = figures.at(key) else { return Ok(own) };
    let Some(own) = own else {
        return Ok(Number::stated(printed.value * share, printed.line));
    };
    if (own.value - printed.value * share).abs() <= EXPONENT_WITHIN {
        return Ok(Some(own));
    }
    let (stated, follows) = (shown(own.value), shown(printed.value * share));
    let wanted = format!("{follows}, by {} of the block, or one of both", key.name());
    Err(refuse.at(own.line, &format!("thermal.{name}"), stated, wanted))
}

/// The constants of a stage other than the rated one: what its own block has of them.
pub(in super::super) fn constants_of(printed: &Printed) -> ThermalFile {
    let exponent = |value: Option<f64>, share: f64| {
        value.and_then(|value| Number::<Exponent>::stated(value * share, 0))
    };
    ThermalFile {
        x: exponent(printed.oil_exponent, 1.0),
        n: exponent(printed.oil_exponent, 1.0),
        y: exponent(printed.winding_exponent, 1.0),
        m: exponent(printed.winding_exponent, 0.5),
        winding_time_constant_min: printed
            .winding_time_constant_min
            .and_then(|tau| Number::stated(tau, 0)),
        ..ThermalFile::default()
    }
}
