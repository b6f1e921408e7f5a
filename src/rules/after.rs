//! What to mind during and after the overload.

use super::catalogue::Code;
use super::facts::Facts;
use super::finding::{Finding, Severity};

/// Paper this wet is expected to give the oil enough water to mind after the event, %.
/// Our choice, no source; the relative saturation itself is not computed yet.
const WET_PERCENT: f64 = 2.0;

/// All findings of the family.
pub fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    let mut found = vec![Finding::new(
        Code::WindingUnseen,
        Severity::Notice,
        "Oil follows in hours, the winding in minutes: watch load and time, not the top oil alone.",
    )];
    found.extend(free_water(facts));
    found
}

fn free_water(facts: &Facts<'_>) -> Option<Finding> {
    let moisture = facts.moisture.counting?.upper.value();
    let (severity, text) = if moisture < WET_PERCENT {
        (Severity::Pass, "The paper is dry enough to give the oil little water.")
    } else {
        (
            Severity::Caution,
            "After the event expect free water and weak oil: no second overload soon, no fast cooling.",
        )
    };
    Some(
        Finding::new(Code::FreeWater, severity, text)
            .measured(moisture, "%")
            .limit(WET_PERCENT, "%"),
    )
}
