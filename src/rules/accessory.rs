//! What is in series with the winding, and around it.

use super::catalogue::Code;
use super::facts::Facts;
use super::finding::{Finding, Severity};
use crate::unit::{OilLevel, Rating};

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
    found.push(Finding::new(
        Code::TapMoves,
        Severity::Notice,
        "Do not change taps during the overload unless the local rule allows it.",
    ));
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
        Rating::Unknown => Finding::new(
            code,
            Severity::Caution,
            format!("The rating of the {what} is unknown; it may be the lowest element."),
        )
        .measured(load, "pu"),
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
