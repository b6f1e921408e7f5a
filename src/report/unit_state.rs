//! The state of a unit in one line each: what an operator wants to know before asking anything.

use super::check_inputs::age;
use super::view::{near, up};
use super::wetness_words::named;
use crate::assessment::moisture_answer::MoistureAnswer;
use crate::bubbling::gas_age::Standing;
use crate::rules::finding::Severity;
use crate::rules::local_file::LocalRules;
use crate::unit::{Condition, FaultGas, OilLevel, Unit};
use chrono::NaiveDate;

/// One line.
#[derive(Debug)]
pub struct StateRow {
    /// What it is.
    pub label: &'static str,
    /// How it stands.
    pub value: String,
    /// Whether it is not as it should be, or not known.
    pub worn: bool,
}

/// The state of a unit on a day.
pub fn rows(
    unit: &Unit,
    answer: &MoistureAnswer,
    local: Option<&LocalRules>,
    as_of: Option<NaiveDate>,
) -> Vec<StateRow> {
    let mut evidence = evidence(answer);
    let day = as_of.map_or_else(|| "age not judged".to_owned(), |day| format!("judged for {day}"));
    evidence.value = format!("{}; {day}", evidence.value);
    vec![
        moisture(answer, as_of),
        evidence,
        gas(answer, as_of),
        stages(unit),
        restrictions(unit.condition, local),
    ]
}

fn moisture(answer: &MoistureAnswer, as_of: Option<NaiveDate>) -> StateRow {
    let label = "water in paper";
    let Some(counting) = answer.moisture.counting.as_ref().filter(|_| answer.decided) else {
        return StateRow { label, value: "not known".to_owned(), worn: true };
    };
    let witness = answer.moisture.witnesses.get(counting.witness);
    let date = witness.and_then(|own| own.date.as_deref());
    let percent = up(counting.percent, 2);
    let by = named(&answer.moisture, counting.witness);
    let value = format!("{percent} % counts ({by}, {})", age(date, as_of));
    StateRow { label, value, worn: false }
}

fn evidence(answer: &MoistureAnswer) -> StateRow {
    let witnesses = answer.moisture.witnesses.len();
    let contradictions = answer.moisture.contradictions.len();
    let weighing = answer.findings.iter().filter(|own| own.severity >= Severity::Caution).count();
    let value = match (witnesses, contradictions) {
        (1, _) => "one witness".to_owned(),
        (_, 0) => format!("{witnesses} witnesses, none contradicts"),
        (_, 1) => format!("{witnesses} witnesses, one pair contradicts"),
        (_, pairs) => format!("{witnesses} witnesses, {pairs} pairs contradict"),
    };
    StateRow { label: "evidence", value, worn: weighing > 0 }
}

fn gas(answer: &MoistureAnswer, as_of: Option<NaiveDate>) -> StateRow {
    let label = "gas in oil";
    let Some(gas) = &answer.moisture.gas else {
        return StateRow { label, value: "not known".to_owned(), worn: true };
    };
    let sampled = age(gas.sampled.as_deref(), as_of);
    let from = match (gas.assumed, gas.fell_back) {
        (true, _) => "assumed".to_owned(),
        (false, true) => {
            format!("raised from {} % for its age: {sampled}", near(gas.stated_percent, 1))
        }
        (false, false) => sampled,
    };
    let value = format!("{} % ({from})", near(gas.percent, 1));
    let worn = gas.assumed || !matches!(gas.standing, Standing::Counts | Standing::NotJudged);
    StateRow { label, value, worn }
}

fn stages(unit: &Unit) -> StateRow {
    let label = "cooling";
    let Some(thermal) = &unit.thermal else {
        return StateRow { label, value: "no thermal data".to_owned(), worn: true };
    };
    let stage = |data: &crate::unit::StageData| {
        let stage = &data.stage;
        let assumed = if data.assumed { " (assumed: no stages stated)" } else { "" };
        format!("{} up to {} pu{assumed}", stage.name, near(stage.rating_pu, 2))
    };
    let value = thermal.stages.iter().map(stage).collect::<Vec<_>>().join(", ");
    StateRow { label, value, worn: thermal.assumed().is_some() }
}

/// What stands against loading it, as the profile states, and whose rules are in force.
fn restrictions(condition: Condition, local: Option<&LocalRules>) -> StateRow {
    let yes = |stated: Option<bool>| stated == Some(true);
    let found = [
        (yes(condition.gas_relay_alarm), "gas-relay alarm"),
        (condition.fault_gas == Some(FaultGas::Unexplained), "fault gas, unexplained"),
        (condition.fault_gas == Some(FaultGas::Explained), "fault gas, explained"),
        (yes(condition.partial_discharge), "partial discharge"),
        (condition.oil_level == Some(OilLevel::High), "oil level high"),
        (condition.oil_level == Some(OilLevel::Low), "oil level low"),
    ];
    let mut words: Vec<String> =
        found.iter().filter(|(stands, _)| *stands).map(|(_, words)| (*words).to_owned()).collect();
    let unstated = [
        condition.gas_relay_alarm.is_none(),
        condition.fault_gas.is_none(),
        condition.partial_discharge.is_none(),
        condition.oil_level.is_none(),
    ];
    let unstated = unstated.iter().filter(|missing| **missing).count();
    if unstated > 0 {
        words.push(format!("{unstated} of 4 conditions not stated"));
    }
    let worn = !words.is_empty();
    if words.is_empty() {
        words.push("none stated".to_owned());
    }
    words.push(local.map_or_else(
        || "no local rules entered".to_owned(),
        |local| format!("local rules {}", local.name),
    ));
    StateRow { label: "restrictions", value: words.join("; "), worn }
}
