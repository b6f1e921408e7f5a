//! The margin to bubbling, and everything that makes it uncertain.

#![allow(clippy::unnecessary_wraps, reason = "every rule has the same signature")]

use super::catalogue::Code;
use super::facts::{Facts, HoldingFacts, HoldingFrom, Reading};
use super::finding::{Finding, Severity};
use super::gas_in_oil;
use super::trips::trip_above_bubbling;
use crate::bubbling::gas_age::CountedGas;
use crate::bubbling::inception::Edge;
use crate::quantities::{OutsideValidity, Pascals};
use crate::uncertainty::odds::odds;
use crate::unit::{Liquid, Paper};

/// All findings of the family.
pub fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    let rules: [fn(&Facts<'_>) -> Option<Finding>; 16] = [
        gas_missing,
        altitude_missing,
        head_missing,
        margin,
        probability,
        spread_beyond_range,
        not_drawn,
        outside_range,
        beyond_range,
        worst_case_bound,
        gas_assumed,
        liquid_and_paper,
        holding_factor,
        little_gas,
        trip_above_bubbling,
        partial_discharge,
    ];
    let own = rules.iter().filter_map(|rule| rule(facts));
    own.chain(gas_in_oil::findings(facts)).collect()
}

/// What keeps the inception temperature of a unit from being known, or makes it doubtful, whatever the load.
pub fn without_a_load(
    gas: Option<&CountedGas>,
    pressure: Option<Pascals>,
    low: &Reading,
) -> Vec<Finding> {
    let drier = match low {
        Reading::Outside(why, Edge { floor: Some(_), .. }) => {
            Some(drier_than_range(why, Severity::Notice))
        }
        Reading::Known(_) | Reading::Outside(..) | Reading::Missing => None,
    };
    let age = gas.and_then(gas_in_oil::sample_age);
    let found = [no_gas(gas), no_altitude(pressure), wetter_than_range(low), drier, age];
    found.into_iter().flatten().collect()
}

fn gas_missing(facts: &Facts<'_>) -> Option<Finding> {
    no_gas(facts.bubbling.gas.as_ref())
}

fn no_gas(gas: Option<&CountedGas>) -> Option<Finding> {
    gas.is_none().then(|| {
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
        let text = "So many draws lie beyond the range of the correlations, where bubbling comes sooner, that the margin exceeded in 95 % of cases is not known.";
        Finding::new(Code::BubblingSpreadBeyondRange, Severity::Unknown, text)
    })
}

fn not_drawn(facts: &Facts<'_>) -> Option<Finding> {
    let margin_k = facts.margin_k(facts.bubbling.low.inception())?;
    without_draws(facts.draws_asked).map(|found| found.measured(margin_k, "K"))
}

/// What is said of any margin where no draws are asked for.
///
/// Then only the water counts on its wet side; rises, forecasts, gas and the correlation stand at their own values, and
/// nobody can say how much margin that leaves. It may forbid, and never be a plain go.
pub fn without_draws(draws_asked: bool) -> Option<Finding> {
    let text = "No cases were simulated: margins count the assessed moisture, and nothing else that is uncertain is taken off them.";
    (!draws_asked).then(|| Finding::new(Code::BubblingNotDrawn, Severity::Caution, text))
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
    if facts.unit.liquid != Liquid::Mineral {
        let text = format!(
            "The correlations are for mineral oil; for a {} they are read as the conservative side.",
            facts.unit.liquid.in_words()
        );
        return Some(Finding::new(Code::BubblingLiquid, Severity::Caution, text));
    }
    (facts.unit.paper == Paper::ThermallyUpgraded).then(|| {
        let text =
            "The correlations are for kraft paper; thermally upgraded paper is reported to differ.";
        Finding::new(Code::BubblingPaper, Severity::Caution, text)
    })
}

fn holding_factor(facts: &Facts<'_>) -> Option<Finding> {
    let HoldingFacts { factor, from, dp, .. } = facts.moisture.holding;
    let drawn = format!("{:.2} to 1", factor.lowest);
    let buys = bought_by_dp(facts).map_or_else(String::new, |k| {
        format!(" A measured DP of 700 or more would raise the bubbling temperature by {k:.0} K.")
    });
    let text = match (from, dp) {
        (HoldingFrom::Stated, _) if factor.central < 1.0 => {
            "Figures by mass are divided by the entered holding factor of aged paper.".to_owned()
        }
        (HoldingFrom::Stated, _) => {
            "The paper is entered as holding water as new paper does; aged paper holds less."
                .to_owned()
        }
        (HoldingFrom::Measured, Some(dp)) => {
            format!(
                "Aged paper holds less water: by its measured DP, carried on to {dp:.0} today, {drawn} of what new paper holds."
            )
        }
        (HoldingFrom::MeasuredOnce, Some(dp)) => format!(
            "Aged paper holds less water: by a measured DP of {dp:.0}, which loses weight with each month because no usual hot spot carries it on, {drawn} of what new paper holds."
        ),
        (HoldingFrom::Estimated, Some(dp)) => format!(
            "Aged paper holds less water: by a DP of {dp:.0}, estimated from age and usual hot spot, {drawn} of what new paper holds.{buys}"
        ),
        (
            HoldingFrom::TakenLow
            | HoldingFrom::Measured
            | HoldingFrom::MeasuredOnce
            | HoldingFrom::Estimated,
            _,
        ) => format!(
            "Aged paper holds less water, and no DP says how aged it is: {drawn} of what new paper holds.{buys}"
        ),
    };
    Some(
        Finding::new(Code::BubblingHolding, Severity::Notice, text)
            .measured(factor.central, "of new paper"),
    )
}

/// What a degree of polymerisation at which paper holds all that new paper holds would be worth, K; rounded
/// down to whole kelvin, and nothing below one.
fn bought_by_dp(facts: &Facts<'_>) -> Option<f64> {
    let now = facts.bubbling.low.inception()?.value();
    Some((facts.bubbling.as_new?.value() - now).floor()).filter(|k| *k >= 1.0)
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

fn partial_discharge(facts: &Facts<'_>) -> Option<Finding> {
    facts.condition.partial_discharge?.then(|| {
        let text = "There is a history of partial discharge; moisture and bubbles lower its inception voltage.";
        Finding::new(Code::PartialDischarge, Severity::Caution, text)
    })
}
