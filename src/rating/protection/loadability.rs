//! The relay loadability criterion: minimum settings of relays, never permitted temperatures.

use super::world::World;
use super::{Answer, Loadability};
use crate::relay::inverse_time::{Overcurrent, Purpose, Supervision};
use crate::relay::thermal_image::ThermalImage;
use crate::relay::{Function, Relay};

/// What the check is, beside every answer.
pub(super) const LABEL: &str = "relay loadability criterion, not a permitted temperature";

/// Of the nameplate rating. Source: `nerc-prc-023` (from memory), as all figures here.
const OF_NAMEPLATE: f64 = 1.5;

/// Of the highest emergency rating.
const OF_EMERGENCY: f64 = 1.15;

/// Overload relays carry that for so long, min.
const CARRIES_MIN: f64 = 15.0;

/// Or they are supervised by a top oil of at least this, °C.
const TOP_OIL_C: f64 = 100.0;

/// Or by a hot spot of at least this, °C.
const HOT_SPOT_C: f64 = 140.0;

/// An answer for each relay that sees the current.
pub(super) fn answers(world: &World<'_>) -> Vec<Loadability> {
    let greatest = world.passing.iter().map(|own| own.permitted.load_pu);
    let emergency = greatest.filter(|load| load.is_finite()).reduce(f64::max);
    let relays = world.case.unit.relays.iter();
    relays.filter_map(|relay| answer(world, relay, emergency)).collect()
}

fn answer(world: &World<'_>, relay: &Relay, emergency: Option<f64>) -> Option<Loadability> {
    let carries_pu = emergency.map_or(OF_NAMEPLATE, |load| OF_NAMEPLATE.max(OF_EMERGENCY * load));
    let before_pu = world.case.load_before_pu();
    let (answer, words) = match &relay.function {
        Function::Overcurrent(own) if own.purpose == Purpose::Fault => fault(own, carries_pu),
        Function::Overcurrent(own) => overload(own, carries_pu),
        Function::ThermalImage(own) => image(own, before_pu, carries_pu),
        Function::WindingTemperature(_) | Function::OilTemperature(_) | Function::FanStart(_) => {
            return None;
        }
    };
    // Without a rating the load to be carried may be greater still.
    let known = emergency.is_some();
    let words = if known { words } else { format!("{words}; no emergency rating is known") };
    Some(Loadability {
        relay: relay.name.clone(),
        label: LABEL,
        answer: answer.sure(known),
        carries_pu: emergency.map(|_| carries_pu),
        words,
    })
}

fn fault(relay: &Overcurrent, carries_pu: f64) -> (Answer, String) {
    let holds = relay.setting_pu > carries_pu;
    let words = format!("set to {} pu, must not operate at {carries_pu:.2} pu", relay.setting_pu);
    (Answer::of(holds), words)
}

fn overload(relay: &Overcurrent, carries_pu: f64) -> (Answer, String) {
    let (supervised, by) = match relay.supervised {
        Some(Supervision::TopOil(at_c)) => (at_c >= TOP_OIL_C, format!("top oil {at_c} °C")),
        Some(Supervision::HotSpot(at_c)) => (at_c >= HOT_SPOT_C, format!("hot spot {at_c} °C")),
        None => (false, String::new()),
    };
    if supervised {
        return (Answer::Yes, format!("supervised by {by}"));
    }
    carried(relay.operates_s(carries_pu).map(|seconds| seconds / 60.0), carries_pu)
}

fn image(relay: &ThermalImage, before_pu: f64, carries_pu: f64) -> (Answer, String) {
    carried(relay.trip_min(before_pu, carries_pu), carries_pu)
}

fn carried(trip_min: Option<f64>, carries_pu: f64) -> (Answer, String) {
    match trip_min {
        None => (Answer::Yes, format!("never operates at {carries_pu:.2} pu")),
        Some(minutes) => {
            let words = format!(
                "carries {carries_pu:.2} pu for {minutes:.1} min, {CARRIES_MIN} are asked for"
            );
            (Answer::of(minutes >= CARRIES_MIN), words)
        }
    }
}
