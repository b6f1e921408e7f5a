//! What was entered, and what is odd about it.

use super::catalogue::Code;
use super::facts::Facts;
use super::finding::{Finding, Severity};
use crate::loading::windings::WindingGoverns;
use crate::unit::Unit;

/// All findings of the family.
pub fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    let rules: [fn(&Facts<'_>) -> Option<Finding>; 10] = [
        restated,
        seed,
        own_limits,
        own_constants,
        forecast_ends,
        ambient_contradiction,
        not_an_overload,
        blanket,
        windings_not_stated,
        windings_in_proportion,
    ];
    rules.iter().filter_map(|rule| rule(facts)).collect()
}

fn restated(facts: &Facts<'_>) -> Option<Finding> {
    (!facts.restated.is_empty()).then(|| {
        let keys = facts.restated.join(", ");
        let text = format!("Stated now otherwise than in the profile: {keys}.");
        Finding::new(Code::ConditionRestated, Severity::Caution, text)
    })
}

/// Without draws no seed is used, and none is told of.
fn seed(facts: &Facts<'_>) -> Option<Finding> {
    let (seed, usual) = facts.asked.other_seed?;
    let text = format!("The simulated cases begin with seed {seed} instead of the usual {usual}.");
    Some(Finding::new(Code::SeedChosen, Severity::Caution, text))
}

fn own_limits(facts: &Facts<'_>) -> Option<Finding> {
    facts.limits.own.then(|| {
        let text = format!("The limits {} are not the embedded ones.", facts.limits.name);
        Finding::new(Code::OwnLimits, Severity::Caution, text)
    })
}

fn own_constants(facts: &Facts<'_>) -> Option<Finding> {
    let thermal = facts.thermal.as_ref().is_some_and(|thermal| thermal.own_constants);
    (thermal || facts.unit.spread.own_usual).then(|| {
        let text = "Thermal constants or usual uncertainties are not the embedded ones.";
        Finding::new(Code::OwnConstants, Severity::Caution, text)
    })
}

/// Thermometers of one place agree within this, K. Our choice, no source.
const AMBIENTS_AGREE_K: f64 = 5.0;

fn ambient_contradiction(facts: &Facts<'_>) -> Option<Finding> {
    let differs_k = facts.asked.history.and_then(|history| history.ambient_differs_k)?;
    if differs_k.abs() <= AMBIENTS_AGREE_K {
        return None;
    }
    let text = "The ambient of the history and that of the overload contradict each other.";
    let finding = Finding::new(Code::AmbientContradiction, Severity::Unknown, text);
    Some(finding.measured(differs_k, "K").limit(AMBIENTS_AGREE_K, "K"))
}

fn forecast_ends(facts: &Facts<'_>) -> Option<Finding> {
    let until_min = facts.asked.forecast_until_min?;
    let text = "After the end of the ambient forecast its highest value is taken.";
    Some(Finding::new(Code::ForecastEnds, Severity::Notice, text).measured(until_min, "min"))
}

/// A notice and no caution: otherwise less load would give the graver verdict.
fn not_an_overload(facts: &Facts<'_>) -> Option<Finding> {
    let (load, before) = (facts.asked.greatest_load_pu, facts.asked.load_before_pu);
    (load <= before).then(|| {
        let text = "The load asked for is not above the load before it. Is its unit right?";
        let finding = Finding::new(Code::NotAnOverload, Severity::Notice, text);
        finding.measured(load, "pu").limit(before, "pu")
    })
}

fn blanket(facts: &Facts<'_>) -> Option<Finding> {
    let Unit { surroundings, .. } = facts.unit;
    surroundings.blanket_unknown.then(|| {
        let text = "The lowest pressure of the gas blanket is not stated; atmospheric is counted.";
        Finding::new(Code::BlanketMissing, Severity::Caution, text)
    })
}

/// A caution: the winding may carry more than what counts.
fn windings_not_stated(facts: &Facts<'_>) -> Option<Finding> {
    let missing = &facts.windings?.not_stated;
    (!missing.is_empty()).then(|| {
        let text = format!(
            "No load is stated for {}: its rating counts, or the greatest load of the others where that is more.",
            missing.join(", ")
        );
        Finding::new(Code::WindingNotStated, Severity::Caution, text)
    })
}

fn windings_in_proportion(facts: &Facts<'_>) -> Option<Finding> {
    (facts.windings?.governs == WindingGoverns::InProportion).then(|| {
        let text = "One load counts for all windings, in proportion to the state that the rises hold for. \
                    State a load for each winding where one carries more than its share.";
        Finding::new(Code::WindingsInProportion, Severity::Notice, text)
    })
}
