//! What to mind under standing orders, in the words of the findings.

use crate::assessment::Assessment;
use crate::rules::after;
use crate::rules::catalogue::Code;
use crate::rules::finding::{Amount, Finding, Severity};

/// What is to be minded whether it weighs or not, in this order, before every other caution.
const FIRST: [Code; 5] =
    [Code::FreeWater, Code::SaturationAfter, Code::CooldownWait, Code::TapMoves, Code::GasRelay];

/// The same after every other caution.
const LAST: [Code; 5] = [
    Code::WindingUnseen,
    Code::CoolingService,
    Code::PressureRelief,
    Code::PumpStaging,
    Code::ShortCircuit,
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
    gravest.sort_by_key(place);
    gravest.into_iter().map(without_its_load).collect()
}

/// Among the first, in the middle, or among the last.
fn place(finding: &Finding) -> (u8, usize) {
    let among = |codes: &[Code]| codes.iter().position(|code| is(finding, *code));
    match (among(&FIRST), among(&LAST)) {
        (Some(at), _) => (0, at),
        (None, None) => (1, 0),
        (None, Some(at)) => (2, at),
    }
}

/// Whether it is said once and whether it weighs or not.
fn always(finding: &Finding) -> bool {
    FIRST.iter().chain(&LAST).any(|code| is(finding, *code))
}

fn is(finding: &Finding, code: Code) -> bool {
    finding.code == code.explanation().code
}

fn minded(finding: &Finding) -> bool {
    let one_load = ABOUT_ONE_LOAD.iter().any(|code| is(finding, *code));
    match finding.severity {
        Severity::Caution => !one_load,
        Severity::Notice => always(finding),
        Severity::Pass | Severity::Unknown | Severity::Stop => false,
    }
}

/// What must be said once, whatever its figures; of other codes each text stands for something of its own.
fn alike(one: &Finding, other: &Finding) -> bool {
    one.text == other.text || always(other)
}

/// A figure that is not known is the gravest.
fn graver(one: &Finding, other: &Finding) -> bool {
    let value = |finding: &Finding| finding.measured.map_or(f64::INFINITY, |found| found.value);
    let by_severity = one.severity.cmp(&other.severity);
    let by_text = after::gravity(one).cmp(&after::gravity(other));
    by_severity.then(by_text).then(value(one).total_cmp(&value(other))).is_gt()
}

/// The load of one ceiling says nothing of the others.
fn without_its_load(mut finding: Finding) -> Finding {
    let about_load = |amount: &Amount| amount.unit.starts_with("pu");
    finding.measured = finding.measured.filter(|amount| !about_load(amount));
    finding
}
