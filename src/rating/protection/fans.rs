//! Contacts that start cooling, against the stage that the ratings count on.

use super::Answer;
use crate::assessment::case::Case;
use crate::relay::{FanStart, Function, Indicator};
use crate::thermal::cooling::{Sensor, Switching};
use crate::unit::{Auxiliaries, StageData};
use serde::Serialize;

/// A contact that starts cooling against the stage that the ratings count on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FanAnswer {
    /// Its name.
    pub relay: String,
    /// Whether the stage runs no later than the ratings count on.
    pub answer: Answer,
    /// Why.
    pub words: String,
}

/// An answer for each contact.
pub(super) fn answers(case: &Case) -> Vec<FanAnswer> {
    let contacts = case.unit.relays.iter().filter_map(|relay| match &relay.function {
        Function::FanStart(contact) => Some((relay, contact)),
        Function::ThermalImage(_)
        | Function::Overcurrent(_)
        | Function::WindingTemperature(_)
        | Function::OilTemperature(_) => None,
    });
    let answer = |(relay, contact): (&crate::relay::Relay, &FanStart)| {
        let (answer, words) = held_against(case, contact);
        FanAnswer { relay: relay.name.clone(), answer, words }
    };
    contacts.map(answer).collect()
}

fn held_against(case: &Case, contact: &FanStart) -> (Answer, String) {
    let Some(thermal) = &case.unit.thermal else {
        return (Answer::Unknown, "the profile has no thermal data".to_owned());
    };
    let stages = &thermal.stages;
    if let Some(fixed) = case.request.stage.or((stages.len() == 1).then_some(0)) {
        return counted_throughout(stages, fixed);
    }
    let first = || stages.iter().position(|data| data.stage.switching.is_some());
    let automatic = stages.iter().skip(1).all(|data| data.stage.switching.is_some());
    let stage = contact.stage.or_else(first).and_then(|index| stages.get(index));
    match stage.and_then(|data| Some((data, data.stage.switching?))) {
        Some((data, counted)) if automatic => later(&data.stage.name, counted, contact),
        _ => (Answer::Yes, "the ratings count on the weakest stage alone".to_owned()),
    }
}

/// The operator states a stage, or there is only one: it runs from the first minute in the ratings.
fn counted_throughout(stages: &[StageData], fixed: usize) -> (Answer, String) {
    let fixed = &stages[fixed.min(stages.len() - 1)];
    let name = &fixed.stage.name;
    if fixed.auxiliaries == Auxiliaries::None {
        return (Answer::Yes, format!("the ratings count on {name}, which needs no contact"));
    }
    let words = format!("the ratings count on {name} from the first minute, not on the contact");
    (Answer::Unknown, words)
}

/// A winding indicator shows no less than the oil, so it may stand for the oil, and not the other way round.
fn later(name: &str, counted: Switching, contact: &FanStart) -> (Answer, String) {
    let sensors = match (contact.indicator, counted.sensor) {
        (Indicator::Oil, Sensor::TopOil) | (Indicator::Winding, Sensor::Winding) => true,
        (Indicator::Winding, Sensor::TopOil) => contact.start_c <= counted.start_c,
        (Indicator::Oil, Sensor::Winding) => false,
    };
    if !sensors {
        let words = format!("{name} is started by another temperature in the ratings");
        return (Answer::Unknown, words);
    }
    let in_time = contact.start_c <= counted.start_c && contact.stop_c <= counted.stop_c;
    let words = format!(
        "starts {name} at {} and stops it at {} °C; the ratings count on {} and {} °C",
        contact.start_c, contact.stop_c, counted.start_c, counted.stop_c
    );
    (Answer::of(in_time), words)
}
