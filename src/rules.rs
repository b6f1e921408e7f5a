//! From computed facts to findings, and from findings to the verdict.
//!
//! One file per family of rules. A rule is a function from [`facts::Facts`] to findings;
//! it computes no physics. Passes are findings too.

pub mod accessory;
pub mod after;
pub mod ageing;
pub mod bubbling;
pub mod catalogue;
pub mod cooling_data;
pub mod facts;
pub mod finding;
mod gas_in_oil;
mod gradient;
pub mod input;
pub mod limits;
mod limits_hold;
pub mod liquid;
pub mod local;
pub mod local_file;
pub mod local_moisture;
pub mod moisture;
mod not_counted;
pub mod thermal;
pub(crate) mod trips;
pub mod verdict;

use facts::Facts;
use finding::Finding;

/// Every rule applied to the facts, gravest findings first.
pub fn judge(facts: &Facts<'_>) -> Vec<Finding> {
    let families: [fn(&Facts<'_>) -> Vec<Finding>; 10] = [
        input::findings,
        bubbling::findings,
        moisture::findings,
        thermal::findings,
        limits_hold::findings,
        liquid::findings,
        ageing::findings,
        accessory::findings,
        after::findings,
        local::findings,
    ];
    let mut findings: Vec<Finding> = families.iter().flat_map(|family| family(facts)).collect();
    local::add_texts(facts, &mut findings);
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    findings
}
