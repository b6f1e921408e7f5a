//! What to mind under standing orders, in the words of the findings.

use crate::assessment::Assessment;
use crate::rules::catalogue::Code;
use crate::rules::finding::{Amount, Finding, Severity};

/// What is to be minded whether it weighs or not, in this order, before every other caution.
const ALWAYS: [Code; 11] = [
    Code::FreeWater,
    Code::SaturationAfter,
    Code::CooldownWait,
    Code::TapMoves,
    Code::GasRelay,
    Code::PressureRelief,
    Code::WindingUnseen,
    Code::CoolingService,
    Code::PumpStaging,
    Code::ShortCircuit,
    Code::TripAboveBubbling,
];

/// What is about one load alone, and said by the ceilings.
const ABOUT_ONE_LOAD: [Code; 3] = [Code::BubblingMargin, Code::NotAnOverload, Code::StartState];

/// The gravest finding of each code over all ceilings.
pub(super) fn of(assessed: &[Assessment]) -> Vec<Finding> {
    let mut gravest: Vec<Finding> = Vec::new();
    for finding in assessed.iter().flat_map(|assessment| &assessment.findings) {
        if !minded(finding) {
            continue;
        }
        match gravest.iter_mut().find(|own| own.code == finding.code && alike(own, finding)) {
            Some(own) if graver(finding, own) => *own = finding.clone(),
            Some(_) => {}
            None => gravest.push(finding.clone()),
        }
    }
    gravest.sort_by_key(|finding| {
        ALWAYS.iter().position(|code| is(finding, *code)).unwrap_or(ALWAYS.len())
    });
    gravest.into_iter().map(without_its_load).collect()
}

fn is(finding: &Finding, code: Code) -> bool {
    finding.code == code.explanation().code
}

fn minded(finding: &Finding) -> bool {
    let always = ALWAYS.iter().any(|code| is(finding, *code));
    let one_load = ABOUT_ONE_LOAD.iter().any(|code| is(finding, *code));
    match finding.severity {
        Severity::Caution => !one_load,
        Severity::Notice => always,
        Severity::Pass | Severity::Unknown | Severity::Stop => false,
    }
}

/// What must be said once, whatever its figures; of other codes each text stands for something of its own.
fn alike(one: &Finding, other: &Finding) -> bool {
    one.text == other.text || ALWAYS.iter().any(|code| is(other, *code))
}

fn graver(one: &Finding, other: &Finding) -> bool {
    let value = |finding: &Finding| finding.measured.map_or(f64::NEG_INFINITY, |found| found.value);
    let by_severity = one.severity.cmp(&other.severity);
    by_severity.then(value(one).total_cmp(&value(other))).is_gt()
}

/// The load of one ceiling says nothing of the others.
fn without_its_load(mut finding: Finding) -> Finding {
    let about_load = |amount: &Amount| amount.unit.starts_with("pu");
    finding.measured = finding.measured.filter(|amount| !about_load(amount));
    finding
}
