//! From what was tested to the rating, and the exponents from two loads.
//!
//! ```text
//! rise at the rating = rise·(PT/P)^x      gradient at the rating = gradient·(1/I)^y       I per unit of rated
//! x = ln(d1/d2)/ln(P1/P2)                 y = ln(g1/g2)/ln(I1/I2)
//! ```
//! The correction holds for losses within 20 % and currents within 10 % (IEC 60076-2, from memory).

use super::{Estimate, Question, Reason, TestAnswer};
use serde::Serialize;

/// Losses may be so far from the rated ones, a share. IEC 60076-2, from memory.
pub const LOSSES_WITHIN: f64 = 0.2;
/// The current may be so far from the rated one, a share. IEC 60076-2, from memory.
pub const CURRENT_WITHIN: f64 = 0.1;
/// Losses or currents of two tests must differ by this factor for an exponent; our choice.
pub const LEAST_RATIO: f64 = 1.15;
/// Standard uncertainty of a typical exponent; our choice.
const TYPICAL_STD: f64 = 0.1;
/// Standard uncertainty of measured losses: ±2 % (from memory), even odds within.
const LOSSES_STD: f64 = 0.012;

/// Everything at the rating.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AtRating {
    /// Which test it comes from, from 0.
    pub test: usize,
    /// Top-oil rise, K.
    pub top_oil_rise_k: Estimate,
    /// Average-oil rise, K, where bottom oil was measured.
    pub average_oil_rise_k: Option<Estimate>,
    /// Bottom-oil rise, K: twice the average less the top.
    pub bottom_oil_rise_k: Option<Estimate>,
    /// Average winding over average oil, K.
    pub average_gradient_k: Option<Estimate>,
    /// Average winding over ambient, K.
    pub winding_rise_k: Option<Estimate>,
    /// Oil exponent x used, and whether it was fitted.
    pub x: Estimate,
    /// Whether x comes from two tests.
    pub x_fitted: bool,
    /// Winding exponent y used.
    pub y: Estimate,
    /// Whether y comes from two tests.
    pub y_fitted: bool,
}

/// Corrects the test nearest the rated losses.
///
/// # Errors
/// [`Reason`]: too far from the rating.
pub fn at_rating(tests: &[TestAnswer], question: &Question) -> Result<AtRating, Reason> {
    let off = |test: &TestAnswer| (test.losses_kw / question.rated_losses_kw).ln().abs();
    let nearest = (0..tests.len()).min_by(|a, b| off(&tests[*a]).total_cmp(&off(&tests[*b])));
    let index = nearest.ok_or(Reason::NoLosses)?;
    let test = &tests[index];
    let ratio = question.rated_losses_kw / test.losses_kw;
    if !((test.losses_kw / question.rated_losses_kw - 1.0).abs() <= LOSSES_WITHIN + 1.0e-9) {
        return Err(Reason::FarFromRatedLosses { losses_kw: test.losses_kw });
    }
    let rises = |test: &TestAnswer| Some((test.top_oil.rise_k, test.losses_kw));
    let gradients = |test: &TestAnswer| {
        test.winding.as_ref().map(|winding| (winding.gradient_k, winding.load_pu))
    };
    let x = exponent(tests, rises);
    let y = exponent(tests, gradients);
    let typical = |value| Estimate::of(value, 0.0, TYPICAL_STD, 1.96);
    let (x_used, y_used) =
        (x.unwrap_or(typical(question.cooling.x())), y.unwrap_or(typical(question.cooling.y())));
    let top = corrected(test.top_oil.rise_k, ratio, x_used, LOSSES_STD);
    let average =
        test.average_oil.as_ref().map(|oil| corrected(oil.rise_k, ratio, x_used, LOSSES_STD));
    let gradient = match &test.winding {
        None => None,
        Some(winding) if !((winding.load_pu - 1.0).abs() <= CURRENT_WITHIN + 1.0e-9) => {
            return Err(Reason::FarFromRatedCurrent { load_pu: winding.load_pu });
        }
        Some(winding) => Some(corrected(winding.gradient_k, 1.0 / winding.load_pu, y_used, 0.0)),
    };
    Ok(AtRating {
        test: index,
        top_oil_rise_k: top,
        average_oil_rise_k: average,
        bottom_oil_rise_k: average.map(|average| average.twice_less(top)),
        average_gradient_k: gradient,
        winding_rise_k: average.zip(gradient).map(|(oil, gradient)| oil.plus(gradient)),
        x: x_used,
        x_fitted: x.is_some(),
        y: y_used,
        y_fitted: y.is_some(),
    })
}

/// A rise at another loss or current, with what the exponent and the base are uncertain by.
fn corrected(rise: Estimate, ratio: f64, exponent: Estimate, base_std: f64) -> Estimate {
    let factor = ratio.powf(exponent.value);
    let value = rise.value * factor;
    let by_exponent = value * ratio.ln() * exponent.std;
    let by_base = value * exponent.value * base_std;
    let others = (rise.std * factor).hypot(by_exponent).hypot(by_base);
    let fit = rise.std_fit * factor;
    let instruments = (others * others - fit * fit).max(0.0).sqrt();
    Estimate::of(value, fit, instruments, rise.factor_95())
}

/// The exponent from two tests, where bases differ enough and the rises go the same way.
///
/// The thermometers' error is taken as independent in the two tests, the wider case.
fn exponent(
    tests: &[TestAnswer],
    of: impl Fn(&TestAnswer) -> Option<(Estimate, f64)>,
) -> Option<Estimate> {
    let [one, other] = tests else {
        return None;
    };
    let ((rise_1, base_1), (rise_2, base_2)) = (of(one)?, of(other)?);
    let across = (base_1 / base_2).ln();
    if !(across.abs() >= LEAST_RATIO.ln() && rise_1.value > 0.0 && rise_2.value > 0.0) {
        return None;
    }
    let share =
        |std_1: f64, std_2: f64| (std_1 / rise_1.value).hypot(std_2 / rise_2.value) / across.abs();
    let value = (rise_1.value / rise_2.value).ln() / across;
    let (fit, all) = (share(rise_1.std_fit, rise_2.std_fit), share(rise_1.std, rise_2.std));
    let factor = rise_1.factor_95().max(rise_2.factor_95());
    Some(Estimate::of(value, fit, (all * all - fit * fit).max(0.0).sqrt(), factor))
}
