//! The margin to bubbling, and everything that makes it uncertain.

#![allow(clippy::unnecessary_wraps, reason = "every rule has the same signature")]

use super::catalogue::Code;
use super::facts::{Facts, Reading};
use super::finding::{Finding, Severity};
use crate::bubbling::inception::Edge;
use crate::quantities::{OutsideValidity, Pascals};
use crate::uncertainty::odds::odds;
use crate::unit::{FaultGas, Liquid, Paper, Unit};

/// All findings of the family.
pub fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    let rules: [fn(&Facts<'_>) -> Option<Finding>; 16] = [
        gas_missing,
        altitude_missing,
        head_missing,
        margin,
        probability,
        spread_beyond_range,
        outside_range,
        beyond_range,
        worst_case_bound,
        gas_assumed,
        liquid_and_paper,
        holding_factor,
        fault_gas,
        little_gas,
        trip_above_bubbling,
        partial_discharge,
    ];
    rules.iter().filter_map(|rule| rule(facts)).collect()
}

/// What keeps the inception temperature of a unit from being known, whatever the load.
pub fn without_a_load(unit: &Unit, pressure: Option<Pascals>, low: &Reading) -> Vec<Finding> {
    let drier = match low {
        Reading::Outside(why, Edge { floor: Some(_), .. }) => {
            Some(drier_than_range(why, Severity::Notice))
        }
        Reading::Known(_) | Reading::Outside(..) | Reading::Missing => None,
    };
    let found = [no_gas(unit), no_altitude(pressure), wetter_than_range(low), drier];
    found.into_iter().flatten().collect()
}

fn gas_missing(facts: &Facts<'_>) -> Option<Finding> {
    no_gas(facts.unit)
}

fn no_gas(unit: &Unit) -> Option<Finding> {
    unit.gas.is_none().then(|| {
        Finding::new(
            Code::GasMissing,
            Severity::Unknown,
            "The total gas dissolved in the oil is not known.",
        )
    })
}

fn altitude_missing(facts: &Facts<'_>) -> Option<Finding> {
    no_altitude(facts.bubbling.pressure)
}

fn no_altitude(pressure: Option<Pascals>) -> Option<Finding> {
    pressure.is_none().then(|| {
        Finding::new(
            Code::AltitudeMissing,
            Severity::Unknown,
            "The altitude is not stated, so the pressure at the hot spot is unknown.",
        )
    })
}

fn head_missing(facts: &Facts<'_>) -> Option<Finding> {
    facts.unit.surroundings.head.is_none().then(|| {
        Finding::new(
            Code::HeadMissing,
            Severity::Notice,
            "No oil head above the hot spot is stated; none is counted.",
        )
    })
}

/// The rule the whole program is about. The verdict uses the conservative margin; where only
/// the best estimate exists it can still forbid, never permit.
fn margin(facts: &Facts<'_>) -> Option<Finding> {
    let low = facts.margin_low_k();
    let judged = low
        .or_else(|| facts.margin_k(facts.bubbling.low.inception()))
        .or_else(|| facts.margin_k(facts.bubbling.best.inception()))?;
    let required = facts.required;
    let (severity, limit_k, text) = if judged >= required.caution_k {
        (Severity::Pass, required.caution_k, "The margin to bubbling is kept.")
    } else if judged >= required.no_go_k {
        (Severity::Caution, required.caution_k, "The margin to bubbling is small.")
    } else {
        (Severity::Stop, required.no_go_k, "The margin to bubbling is below what is required.")
    };
    if low.is_none() && severity != Severity::Stop {
        return None;
    }
    Some(
        Finding::new(Code::BubblingMargin, severity, text)
            .measured(judged, "K")
            .limit(limit_k, "K"),
    )
}

/// It informs: what the verdict uses is the 5 % point.
fn probability(facts: &Facts<'_>) -> Option<Finding> {
    let below_zero = facts.spread?.below_zero?;
    let text = if below_zero <= 0.0 {
        "No simulated case bubbles, by the uncertainties stated and usual; that makes it unlikely, not impossible.".to_owned()
    } else if below_zero >= 1.0 {
        "Every simulated case bubbles, by the uncertainties stated and usual.".to_owned()
    } else {
        format!(
            "Chance that the paper bubbles at any time: {}, by the uncertainties stated and usual.",
            odds(below_zero)
        )
    };
    let found = Finding::new(Code::BubblingProbability, Severity::Notice, text);
    let between = below_zero > 0.0 && below_zero < 1.0;
    Some(if between { found.measured(100.0 * below_zero, "%") } else { found })
}

fn spread_beyond_range(facts: &Facts<'_>) -> Option<Finding> {
    (!facts.allowance_k().is_finite()).then(|| {
        let text = "More than 5 % of the draws lie beyond the range of the correlations, where bubbling comes sooner.";
        Finding::new(Code::BubblingSpreadBeyondRange, Severity::Unknown, text)
    })
}

fn outside_range(facts: &Facts<'_>) -> Option<Finding> {
    let low = &facts.bubbling.low;
    let Reading::Outside(why, edge) = low else {
        return None;
    };
    if edge.floor.is_none() {
        return wetter_than_range(low);
    }
    let kept = facts.margin_k(edge.floor).is_some_and(|margin| margin >= facts.required.no_go_k);
    Some(drier_than_range(why, if kept { Severity::Pass } else { Severity::Unknown }))
}

fn drier_than_range(why: &OutsideValidity, severity: Severity) -> Finding {
    let text =
        "Not limited by bubbling within the formula's range: the paper is drier than it covers.";
    Finding::new(Code::BubblingNotLimiting, severity, text)
        .measured(why.found, why.unit)
        .limit(why.least, why.unit)
}

/// Outside the range on any side but the dry one.
fn wetter_than_range(low: &Reading) -> Option<Finding> {
    let Reading::Outside(why, Edge { floor: None, .. }) = low else {
        return None;
    };
    let text = format!(
        "No inception temperature: the {} is outside the range of the correlations.",
        why.quantity
    );
    let edge = if why.found > why.most { why.most } else { why.least };
    Some(
        Finding::new(Code::BubblingOutsideRange, Severity::Unknown, text)
            .measured(why.found, why.unit)
            .limit(edge, why.unit),
    )
}

/// Worse than the range covers: the edge can forbid, never permit.
fn beyond_range(facts: &Facts<'_>) -> Option<Finding> {
    let Reading::Outside(_, edge) = facts.bubbling.low else {
        return None;
    };
    let margin = facts.margin_k(edge.ceiling)?;
    if margin >= facts.required.no_go_k {
        return None;
    }
    let text = "Already at the edge of the correlations' range the margin is too small, and here it is smaller still.";
    Some(
        Finding::new(Code::BubblingCeiling, Severity::Stop, text)
            .measured(margin, "K")
            .limit(facts.required.no_go_k, "K"),
    )
}

fn worst_case_bound(facts: &Facts<'_>) -> Option<Finding> {
    if facts.bubbling.gas_alone_bubbles {
        let text = "By the worst-case bound the dissolved gas alone reaches the pressure; it sets no verdict.";
        return Some(Finding::new(Code::BubblingBound, Severity::Notice, text));
    }
    let margin = facts.margin_k(facts.bubbling.bound)?;
    let text =
        "Margin to the worst-case bound of gas and water vapour together; it sets no verdict.";
    Some(Finding::new(Code::BubblingBound, Severity::Notice, text).measured(margin, "K"))
}

fn gas_assumed(facts: &Facts<'_>) -> Option<Finding> {
    let gas = facts.unit.gas.as_ref()?;
    let why = gas.assumed.as_ref()?;
    let text = format!("The total gas is assumed from the oil preservation: {why}.");
    Some(
        Finding::new(Code::BubblingGasAssumed, Severity::Caution, text)
            .measured(gas.total.value(), "% by volume"),
    )
}

fn liquid_and_paper(facts: &Facts<'_>) -> Option<Finding> {
    if facts.unit.liquid == Liquid::NaturalEster {
        let text = "The correlations are for mineral oil; for a natural ester they are read as the conservative side.";
        return Some(Finding::new(Code::BubblingLiquid, Severity::Caution, text));
    }
    (facts.unit.paper == Paper::ThermallyUpgraded).then(|| {
        let text =
            "The correlations are for kraft paper; thermally upgraded paper is reported to differ.";
        Finding::new(Code::BubblingPaper, Severity::Caution, text)
    })
}

fn holding_factor(facts: &Facts<'_>) -> Option<Finding> {
    let factor = facts.unit.holding_factor;
    let text = if factor < 1.0 {
        "The moisture is divided by the entered holding factor of aged paper."
    } else {
        "Paper is taken to hold water as new paper does; aged paper holds less."
    };
    Some(
        Finding::new(Code::BubblingHolding, Severity::Notice, text)
            .measured(factor, "of new paper"),
    )
}

/// Fault gases above these contradict a statement of no fault gas, ppm. Source:
/// `ieee-c57-104-2008`, its third condition (from memory).
const MUCH_FAULT_GAS: [(&str, f64); 2] = [("H2", 700.0), ("C2H2", 35.0)];

fn fault_gas(facts: &Facts<'_>) -> Option<Finding> {
    let (severity, text) = match facts.condition.fault_gas? {
        FaultGas::None if much_fault_gas(facts) => {
            let text = "No fault gas is stated, but the gas report shows much of it.";
            return Some(Finding::new(Code::FaultGasContradicted, Severity::Unknown, text));
        }
        FaultGas::None => (Severity::Pass, "No fault gas is reported."),
        FaultGas::Explained => (
            Severity::Caution,
            "There is fault gas of known cause; it lowers the inception temperature.",
        ),
        FaultGas::Unexplained => (Severity::Stop, "There is fault gas without a known cause."),
    };
    Some(Finding::new(Code::FaultGas, severity, text))
}

fn much_fault_gas(facts: &Facts<'_>) -> bool {
    let report = facts.unit.gas.iter().flat_map(|gas| &gas.report);
    let much =
        |gas: &str, ppm: f64| MUCH_FAULT_GAS.iter().any(|(own, most)| *own == gas && ppm > *most);
    report.into_iter().any(|(gas, ppm)| much(gas, *ppm))
}

/// A notice and no caution: otherwise less gas, which widens the margin, would give the graver
/// verdict.
fn little_gas(facts: &Facts<'_>) -> Option<Finding> {
    let gas = facts.unit.gas.as_ref().filter(|gas| gas.raised)?;
    let text =
        "Less gas is stated than oil that breathes can be trusted to hold; this much is counted.";
    let finding = Finding::new(Code::GasImplausible, Severity::Notice, text);
    Some(finding.measured(gas.total.value(), "% by volume"))
}

/// Minimum hot-spot setting of a supervising relay, °C. Source: `nerc-prc-023` (from memory).
const RELAY_HOT_SPOT_C: f64 = 140.0;

fn trip_above_bubbling(facts: &Facts<'_>) -> Option<Finding> {
    let low = &facts.bubbling.low;
    let inception_c = low.inception().or_else(|| low.ceiling())?.value();
    let (severity, text) = if inception_c > RELAY_HOT_SPOT_C {
        (
            Severity::Pass,
            "The paper does not bubble below the hot spot at which protection may act.",
        )
    } else {
        (Severity::Caution, "The paper may bubble before protection acts: do not rely on a trip.")
    };
    let finding = Finding::new(Code::TripAboveBubbling, severity, text);
    Some(finding.measured(inception_c, "°C").limit(RELAY_HOT_SPOT_C, "°C"))
}

fn partial_discharge(facts: &Facts<'_>) -> Option<Finding> {
    facts.condition.partial_discharge?.then(|| {
        let text = "There is a history of partial discharge; moisture and bubbles lower its inception voltage.";
        Finding::new(Code::PartialDischarge, Severity::Caution, text)
    })
}
