//! Which witness counts, and which could not.

use super::catalogue::Code;
use super::facts::Facts;
use super::finding::{Finding, Severity};
use crate::moisture::evidence::{Method, Statement, Witness};

/// All findings of the family.
pub fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    let mut found = vec![counting(facts)];
    found.extend(facts.unit.witnesses.iter().filter_map(doubtful));
    found
}

fn counting(facts: &Facts<'_>) -> Finding {
    let Some(counting) = &facts.bubbling.counting else {
        let text = "No usable evidence says how wet the paper is.";
        return Finding::new(Code::MoistureMissing, Severity::Unknown, text);
    };
    let witness =
        facts.unit.witnesses.get(counting.witness).map_or_else(String::new, Witness::in_words);
    let Some(upper) = counting.upper else {
        let text = "A moisture figure has no standard uncertainty, so the moisture that counts is unknown.";
        return Finding::new(Code::MoistureUncertaintyMissing, Severity::Unknown, text)
            .measured(counting.best.value(), "%");
    };
    let text = format!("The moisture that counts is the upper 95 % bound of the {witness}.");
    Finding::new(Code::MoistureCounting, Severity::Notice, text).measured(upper.value(), "%")
}

fn doubtful(witness: &Witness) -> Option<Finding> {
    let words = witness.in_words();
    if let Some(decision) = &witness.set_aside {
        let text =
            format!("The {words} does not count: {} decided so ({}).", decision.by, decision.why);
        return Some(Finding::new(Code::MoistureSetAside, Severity::Caution, text));
    }
    if witness.method == Some(Method::Assumed) {
        let text = "A moisture figure is assumed and not measured.";
        return Some(Finding::new(Code::MoistureAssumed, Severity::Caution, text));
    }
    (witness.statement == Statement::Oil).then(|| {
        let text = format!(
            "The {words} states water in oil, which this version cannot turn into water in paper."
        );
        Finding::new(Code::MoistureNotEvaluated, Severity::Unknown, text)
    })
}
