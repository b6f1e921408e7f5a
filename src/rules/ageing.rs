//! What the overload costs in paper life.

use super::catalogue::Code;
use super::facts::Facts;
use super::finding::{Finding, Severity};

/// Normal-life hours above which the ageing of one event is a caution. Our choice, no source.
const MANY_HOURS: f64 = 48.0;

/// All findings of the family.
pub fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    let Some(thermal) = &facts.thermal else {
        return Vec::new();
    };
    let hours = thermal.ageing_hours;
    let (severity, text) = if hours <= MANY_HOURS {
        (Severity::Pass, "Normal life used by the overload, for dry paper; water multiplies it.")
    } else {
        (
            Severity::Caution,
            "The overload uses up much normal life, for dry paper; water multiplies it.",
        )
    };
    vec![
        Finding::new(Code::AgeingEvent, severity, text).measured(hours, "h").limit(MANY_HOURS, "h"),
    ]
}
