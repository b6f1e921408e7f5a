//! What the local operating rules say.

use super::catalogue::Code;
use super::facts::Facts;
use super::finding::{Finding, Severity};
use super::local_file::ConditionName;
use crate::unit::{FaultGas, OilLevel};

/// Findings of the local rules, or that there are none.
pub fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    let Some(local) = facts.local else {
        return vec![Finding::new(
            Code::LocalNone,
            Severity::Notice,
            "No local operating rules were given; they decide.",
        )];
    };
    let conditions = local.forbid_when.iter().map(|name| condition(facts, *name));
    let cautions =
        local.cautions.iter().map(|text| Finding::new(Code::LocalCaution, Severity::Caution, text));
    let issuer = format!("Held against {}, issued by {}.", local.name, local.issued_by);
    let in_force = Finding::new(Code::LocalInForce, Severity::Notice, issuer);
    let all = std::iter::once(in_force).chain(conditions).chain(cautions);
    all.map(|finding| finding.source(&local.name)).collect()
}

fn condition(facts: &Facts<'_>, name: ConditionName) -> Finding {
    let words = name.in_words();
    match holds(facts, name) {
        Some(true) => Finding::new(
            Code::LocalForbidden,
            Severity::Stop,
            format!("The local rules forbid overload with {words}."),
        ),
        Some(false) => Finding::new(
            Code::LocalClear,
            Severity::Pass,
            format!("The local rules forbid overload with {words}; it does not hold."),
        ),
        None => Finding::new(
            Code::LocalUnstated,
            Severity::Unknown,
            format!("The local rules forbid overload with {words}; nothing is stated of it."),
        ),
    }
}

fn holds(facts: &Facts<'_>, name: ConditionName) -> Option<bool> {
    let condition = &facts.condition;
    match name {
        ConditionName::GasRelayAlarm => condition.gas_relay_alarm,
        ConditionName::FaultGas => condition.fault_gas.map(|gas| gas != FaultGas::None),
        ConditionName::PartialDischarge => condition.partial_discharge,
        ConditionName::OilLevelHigh => condition.oil_level.map(|level| level == OilLevel::High),
        ConditionName::OilLevelLow => condition.oil_level.map(|level| level == OilLevel::Low),
        ConditionName::CoolingLost => Some(facts.asked.cooling_lost || facts.asked.cooling_reduced),
        ConditionName::TopOilNotMeasured => Some(!facts.asked.top_oil_measured),
    }
}

/// Adds the local rules' own words to the findings they are for; says which found no use.
pub fn add_texts(facts: &Facts<'_>, findings: &mut Vec<Finding>) {
    let Some(local) = facts.local else { return };
    for (code, text) in &local.texts {
        let mut used = false;
        for finding in findings.iter_mut().filter(|finding| finding.code == code) {
            finding.text = format!("{} Local rule: {text}", finding.text);
            used = true;
        }
        if !used {
            let unused = format!("The local rules hold a text for {code}, which did not arise.");
            findings.push(
                Finding::new(Code::LocalTextUnused, Severity::Notice, unused).source(&local.name),
            );
        }
    }
}
