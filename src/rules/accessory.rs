//! What is in series with the winding, and around it.
//!
//! An unknown rating of what is in series is the one thing unknown that does not count as the weakest case:
//! accessories are matched to the transformer when it is made, so that it counts as [`UNKNOWN_COUNTS_AS_PU`].

use super::catalogue::Code;
use super::facts::Facts;
use super::finding::{Finding, Severity};
use crate::unit::{OilLevel, Rating};

/// What an unknown rating counts as, pu. Common practice, no source: what is in series is chosen for the
/// transformer and its usual emergency loads. That it is unknown, not the weakest case, is our choice; above it
/// nothing is decided.
pub const UNKNOWN_COUNTS_AS_PU: f64 = 1.2;

/// Up to the transformer's own rated current a tap changer of unknown rating may be moved by the local rule, pu.
/// Our choice: it was chosen for at least that current.
const TAPS_UNKNOWN_PU: f64 = 1.0;

/// Whether a code is that of a load against the rating of something in series.
pub fn is_rating(code: &str) -> bool {
    [Code::Bushings, Code::TapChanger, Code::CableBox, Code::CurrentTransformers]
        .iter()
        .any(|own| own.explanation().code == code)
}

/// All findings of the family.
pub fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    let own = &facts.unit.accessories;
    let load = facts.asked.greatest_load_pu;
    let mut found = vec![
        rating(Code::Bushings, "bushings", own.bushings, load),
        rating(Code::TapChanger, "tap changer", own.tap_changer, load),
        rating(Code::CableBox, "cable box, leads and clamps", own.cable_box, load),
        rating(Code::CurrentTransformers, "current transformers", own.current_transformers, load),
    ];
    found.extend(oil_level(facts));
    found.extend(gas_relay(facts));
    found.extend(not_stated(facts));
    found.push(tap_moves(own.tap_changer, load));
    found.push(Finding::new(
        Code::PressureRelief,
        Severity::Notice,
        "The pressure-relief device may operate: keep people away, ventilate confined spaces first.",
    ));
    found.push(Finding::new(
        Code::GasRelay,
        Severity::Notice,
        "A gas-relay alarm or trip during the overload is real: do not reset and carry on.",
    ));
    found
}

fn rating(code: Code, what: &str, rating: Rating, load: f64) -> Finding {
    match rating {
        Rating::Unknown if load <= UNKNOWN_COUNTS_AS_PU => Finding::new(
            code,
            Severity::Caution,
            format!(
                "The rating of the {what} is unknown: it counts as {UNKNOWN_COUNTS_AS_PU} pu, as matched to the \
                 transformer, and not as the weakest case."
            ),
        )
        .measured(load, "pu")
        .limit(UNKNOWN_COUNTS_AS_PU, "pu"),
        Rating::Unknown => Finding::new(
            code,
            Severity::Unknown,
            format!(
                "The rating of the {what} is unknown; the load exceeds the {UNKNOWN_COUNTS_AS_PU} pu that it counts \
                 as. A signed statement of the rating settles it."
            ),
        )
        .measured(load, "pu")
        .limit(UNKNOWN_COUNTS_AS_PU, "pu"),
        Rating::PerUnit(rated) if load <= rated => Finding::new(
            code,
            Severity::Pass,
            format!("The load keeps within the rating of the {what}."),
        )
        .measured(load, "pu")
        .limit(rated, "pu"),
        Rating::PerUnit(rated) => Finding::new(
            code,
            Severity::Stop,
            format!("The load exceeds the rating of the {what}."),
        )
        .measured(load, "pu")
        .limit(rated, "pu"),
    }
}

/// A notice within the rating. Where the load exceeds the rating, or rated current while the rating is unknown,
/// a caution.
fn tap_moves(tap_changer: Rating, load: f64) -> Finding {
    let (rated, text) = match tap_changer {
        Rating::PerUnit(rated) if load <= rated => {
            (rated, "Within the tap changer's rating: change taps by the local rule.")
        }
        Rating::PerUnit(rated) => {
            (rated, "Do not change taps while the load is above the tap changer's rating.")
        }
        Rating::Unknown => (
            TAPS_UNKNOWN_PU,
            "Do not change taps above rated current: the tap changer's rating is unknown.",
        ),
    };
    let severity = if load <= rated { Severity::Notice } else { Severity::Caution };
    Finding::new(Code::TapMoves, severity, text).measured(load, "pu").limit(rated, "pu")
}

fn oil_level(facts: &Facts<'_>) -> Option<Finding> {
    let text = match facts.condition.oil_level? {
        OilLevel::Normal => {
            return Some(Finding::new(
                Code::OilLevelFinding,
                Severity::Pass,
                "The oil level is normal.",
            ));
        }
        OilLevel::High => "The oil level is high: hot oil may overflow or lift the relief device.",
        OilLevel::Low => "The oil level is low: after cooling down it may uncover parts.",
    };
    Some(Finding::new(Code::OilLevelFinding, Severity::Caution, text))
}

fn gas_relay(facts: &Facts<'_>) -> Option<Finding> {
    let standing = facts.condition.gas_relay_alarm?;
    Some(if standing {
        Finding::new(Code::GasRelayAlarm, Severity::Stop, "The gas relay's alarm stands.")
    } else {
        Finding::new(Code::GasRelayAlarm, Severity::Pass, "No gas-relay alarm stands.")
    })
}

fn not_stated(facts: &Facts<'_>) -> Option<Finding> {
    let condition = &facts.condition;
    let stated = [
        ("gas-relay alarm", condition.gas_relay_alarm.is_some()),
        ("fault gas", condition.fault_gas.is_some()),
        ("partial discharge", condition.partial_discharge.is_some()),
        ("oil level", condition.oil_level.is_some()),
    ];
    let lacking: Vec<&str> =
        stated.iter().filter(|(_, stated)| !stated).map(|(what, _)| *what).collect();
    (!lacking.is_empty()).then(|| {
        let text = format!("Not stated: {}. Find out before the overload.", lacking.join(", "));
        Finding::new(Code::ConditionUnstated, Severity::Caution, text)
    })
}
