//! What the overload costs in paper life.

use super::catalogue::Code;
use super::facts::Facts;
use super::finding::{Finding, Severity};
use crate::ageing::scission::HOTTEST_TESTED_C;

/// Normal-life hours above which the ageing of one event is a caution. Our choice, no source; held against what the
/// water makes of the event.
const MANY_HOURS: f64 = 48.0;

/// All findings of the family.
pub fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    let Some(thermal) = &facts.thermal else {
        return Vec::new();
    };
    let dry_h = thermal.ageing_hours;
    // Never less than dry, whatever the law; a figure that is no number is above every limit.
    let hours = match facts.hours_with_water {
        Some(wet_h) if wet_h < dry_h => dry_h,
        Some(wet_h) => wet_h,
        None => dry_h,
    };
    // Hotter than anything that was tested, the figure is the least that it can be, and passes nothing.
    let tested = thermal.hot_spot.value_c <= HOTTEST_TESTED_C;
    let (few, known) = (hours <= MANY_HOURS, facts.hours_with_water.is_some());
    let kept = few && tested;
    let text = match (kept, few, known) {
        (true, _, true) => "Normal life used by the overload, with the assessed water.",
        (false, false, true) => "The overload uses up much normal life, with the assessed water.",
        (true, _, false) => {
            "Normal life used by the overload, if dry; with water more, and that is not known."
        }
        (false, false, false) => {
            "The overload uses up much normal life, if dry; with water more, and that is not known."
        }
        (false, true, _) => {
            "The paper gets hotter than any ageing test: it loses at least this much normal life."
        }
    };
    let severity = if kept { Severity::Pass } else { Severity::Caution };
    let event =
        Finding::new(Code::AgeingEvent, severity, text).measured(hours, "h").limit(MANY_HOURS, "h");
    std::iter::once(event).chain(strength(facts)).collect()
}

/// Below this degree of polymerisation the mechanical strength of paper is much reduced. Common practice, no
/// source: about half of its tensile strength is gone there, and 200 is the end of its life.
const WEAK_DP: f64 = 450.0;

/// Weak paper stands less of the forces of a through-fault. Where nothing is known it is taken as weak.
fn strength(facts: &Facts<'_>) -> Option<Finding> {
    let holding = facts.moisture.holding;
    let Some(dp) = holding.dp else {
        let text =
            "Nothing says how aged the paper is; it may have lost much of its mechanical strength.";
        return Some(Finding::new(Code::AgeingStrength, Severity::Caution, text));
    };
    if dp >= WEAK_DP {
        return None;
    }
    let text = if holding.dp_measured {
        "The paper has lost much of its mechanical strength: a short circuit during the overload may break it."
    } else {
        "By its age and usual hot spot the paper may have lost much of its mechanical strength: a short circuit during the overload may break it."
    };
    let finding = Finding::new(Code::AgeingStrength, Severity::Caution, text);
    Some(finding.measured(dp, "DP").limit(WEAK_DP, "DP"))
}
