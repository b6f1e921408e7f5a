//! What is not known of a unit because its liquid is no mineral oil.

use super::catalogue::Code;
use super::facts::Facts;
use super::finding::{Finding, Severity};
use crate::unit::{Liquid, Unit};

/// All findings of the family.
pub fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    [ester_figures(facts.unit), water(facts.unit)].into_iter().flatten().collect()
}

/// Whether the rises of a unit with an ester are its maker's own.
///
/// Typical rises are those of mineral oil. An ester is thicker and cools worse (common practice, no
/// source), and nobody knows by how much here, so that the unit cannot be decided with them. All stages are asked,
/// whichever is in service. That a heat run is needed, and that it states its liquid, is our choice: many units with
/// an ester were tested with mineral oil and filled anew later.
pub fn ester_figures(unit: &Unit) -> Option<Finding> {
    let thermal = unit.thermal.as_ref().filter(|_| unit.liquid != Liquid::Mineral)?;
    let typical = thermal.stages.iter().filter(|data| !data.typical.is_empty());
    let mut lacking: Vec<String> = typical
        .map(|data| format!("{}: typical {}", data.stage.name, data.typical.join(", ")))
        .collect();
    let liquid = unit.liquid.in_words();
    match thermal.heat_run_liquid {
        _ if thermal.heat_run.is_none() => lacking.push("no heat run is stated".to_owned()),
        None => lacking.push("thermal.heat_run_liquid is not stated".to_owned()),
        Some(tested) if tested != unit.liquid => {
            lacking.push(format!("the heat run was with {}", tested.in_words()));
        }
        Some(_) => {}
    }
    Some(if lacking.is_empty() {
        let text = format!(
            "The rises are those of the heat run with {liquid}. Exponents and time constants are those of mineral oil unless the profile states its own."
        );
        Finding::new(Code::EsterFigures, Severity::Caution, text)
    } else {
        let text = format!(
            "A unit with {liquid} runs hotter than typical figures say, which are for mineral oil, and the maker's own are not stated ({}).",
            lacking.join("; ")
        );
        Finding::new(Code::EsterFigures, Severity::Unknown, text)
    })
}

/// Without a solubility nothing says what the liquid takes up.
fn water(unit: &Unit) -> Option<Finding> {
    (!unit.solubility.constants.is_known()).then(|| {
        let text = format!(
            "How much water the {} takes up is not known, so nothing is computed for the time after the overload: expect free water and no fast cooling.",
            unit.liquid.in_words()
        );
        Finding::new(Code::SolubilityMissing, Severity::Caution, text)
    })
}
