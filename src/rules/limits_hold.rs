//! Whether the limit set in force holds for the unit: a ceiling is for a winding rise, a paper and a liquid.

use super::catalogue::Code;
use super::facts::Facts;
use super::finding::{Finding, Severity};
use super::limits::{HoldsFor, LimitSet};
use crate::unit::{Liquid, Paper, Unit};

/// Winding rises within this are the same, K: rating plates round. Our choice, no source.
const SAME_RISE_K: f64 = 0.5;

/// All findings of the family.
///
/// A unit outside a set cannot be decided under it: nobody knows whether its ceilings are too high for this unit. A set
/// that names no liquid is for mineral oil, and one that names no paper or no rise for any. Both are our choice.
pub(super) fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    let (set, unit) = (facts.limits, facts.unit);
    let outside = outside(set, unit);
    let found = if !outside.is_empty() {
        let text = format!(
            "The limit set {} does not hold for this unit: {}.",
            set.name,
            outside.join("; ")
        );
        finding(set, Severity::Unknown, text)
    } else if set.holds_for.is_none() {
        let text = format!(
            "The limit set {} does not say for which winding rise and paper it holds; it applies as its owner entered it.",
            set.name
        );
        finding(set, Severity::Notice, text)
    } else {
        let text = format!("The limit set {} holds for this unit.", set.name);
        finding(set, Severity::Pass, text)
    };
    vec![found]
}

/// Whether the set holds for the unit, as far as it says.
pub(super) fn holds(set: &LimitSet, unit: &Unit) -> bool {
    outside(set, unit).is_empty()
}

/// Why it does not.
fn outside(set: &LimitSet, unit: &Unit) -> Vec<String> {
    let nothing = HoldsFor::default();
    let holds_for = set.holds_for.as_ref().unwrap_or(&nothing);
    let why = [paper(holds_for, unit), liquid(holds_for, unit), rise(holds_for, unit)];
    why.into_iter().flatten().collect()
}

fn finding(set: &LimitSet, severity: Severity, text: String) -> Finding {
    Finding::new(Code::LimitSetDoesNotHold, severity, text).source(&set.source)
}

/// A rise that is not stated is not guessed from paper or rises: units of one paper are made for more than one.
fn rise(holds_for: &HoldsFor, unit: &Unit) -> Option<String> {
    let wanted_k = holds_for.winding_rise_k?;
    let Some(own_k) = unit.average_winding_rise_k else {
        return Some(format!(
            "it is for an average winding rise of {wanted_k} K, and the profile does not state this unit's (rated.average_winding_rise_k)"
        ));
    };
    // Written so that NaN is another rise.
    let same = (own_k - wanted_k).abs() <= SAME_RISE_K;
    (!same).then(|| {
        format!("it is for an average winding rise of {wanted_k} K, and this unit's is {own_k} K")
    })
}

fn paper(holds_for: &HoldsFor, unit: &Unit) -> Option<String> {
    let papers = holds_for.papers.as_ref()?;
    (!papers.contains(&unit.paper)).then(|| {
        let named: Vec<&str> = papers.iter().map(|paper| Paper::in_words(*paper)).collect();
        format!("it is for {}, and this unit has {}", either(&named), unit.paper.in_words())
    })
}

fn liquid(holds_for: &HoldsFor, unit: &Unit) -> Option<String> {
    let own = unit.liquid;
    let Some(liquids) = &holds_for.liquids else {
        return (own != Liquid::Mineral)
            .then(|| format!("it does not say that it is for {}", own.in_words()));
    };
    (!liquids.contains(&own)).then(|| {
        let named: Vec<&str> = liquids.iter().map(|liquid| Liquid::in_words(*liquid)).collect();
        format!("it is for {}, and this unit holds {}", either(&named), own.in_words())
    })
}

fn either(named: &[&str]) -> String {
    if named.is_empty() { "none".to_owned() } else { named.join(" or ") }
}
