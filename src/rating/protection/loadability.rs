//! The relay loadability criterion: minimum settings of relays, never permitted temperatures.
//!
//! It is that of NERC PRC-023, edition PRC-023-4 of 2014, from memory. It binds in North America only, for the
//! circuits and transformers that the standard names; elsewhere the local grid code decides.

use super::Answer;
use super::world::World;
use crate::relay::inverse_time::{Overcurrent, Purpose, Supervision};
use crate::relay::{Function, Relay};
use serde::Serialize;

/// What the check is, beside every answer.
pub(super) const LABEL: &str = "relay loadability criterion, not a permitted temperature";

/// Where the criterion is from and where it binds, as people read it.
pub const APPLIES: &str = "NERC PRC-023-4 of 2014, from memory: binds in North America only, for the units that \
    the standard names. Elsewhere the local grid code decides.";

/// The same in a few words.
pub(super) const WHERE: &str = "NERC PRC-023-4, North America, from memory";

/// Of the nameplate rating. Source: `nerc-prc-023` (from memory), as all figures here.
const OF_NAMEPLATE: f64 = 1.5;

/// Of the highest emergency rating.
const OF_EMERGENCY: f64 = 1.15;

/// Overload relays carry that for so long, min.
pub(super) const CARRIES_MIN: f64 = 15.0;

/// Or they are supervised by a top oil of at least this, °C.
const TOP_OIL_C: f64 = 100.0;

/// Or by a hot spot of at least this, °C.
const HOT_SPOT_C: f64 = 140.0;

/// The relay loadability criterion for one relay; not a permitted temperature.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Loadability {
    /// Name of the relay.
    pub relay: String,
    /// What this check is, and is not.
    pub label: &'static str,
    /// Which rule it is, of which edition, and where it binds.
    pub applies: &'static str,
    /// Whether it is met.
    pub answer: Answer,
    /// By what the criterion is met or not.
    pub by: Criterion,
    /// The load that it must carry, pu: the greater of 1.5 and 1.15 of the highest emergency rating, or as
    /// much of it as is known.
    pub carries_pu: f64,
    /// Whether an emergency rating is known.
    pub rating_known: bool,
}

/// By what the relay loadability criterion is met or not.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Criterion {
    /// A relay for faults: its current setting, pu, must lie above the load.
    SettingPu(f64),
    /// How long an overload relay carries the load, min, of the 15 that are asked for; `null`: for ever.
    CarriesMin(Option<f64>),
    /// Supervision by top oil, °C.
    TopOilC(f64),
    /// Supervision by the winding indicator, °C.
    HotSpotC(f64),
}

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
    let (holds, by) = match &relay.function {
        Function::Overcurrent(own) if own.purpose == Purpose::Fault => {
            (own.setting_pu > carries_pu, Criterion::SettingPu(own.setting_pu))
        }
        Function::Overcurrent(own) => overload(own, carries_pu),
        Function::ThermalImage(own) => carried(own.trip_min(before_pu, carries_pu)),
        Function::WindingTemperature(_) | Function::OilTemperature(_) | Function::FanStart(_) => {
            return None;
        }
    };
    // Supervision satisfies it whatever the load; else the load to be carried may be greater still.
    let supervised = matches!(by, Criterion::TopOilC(_) | Criterion::HotSpotC(_));
    Some(Loadability {
        relay: relay.name.clone(),
        label: LABEL,
        applies: APPLIES,
        answer: Answer::of(holds).sure(emergency.is_some() || supervised),
        by,
        carries_pu,
        rating_known: emergency.is_some(),
    })
}

fn overload(relay: &Overcurrent, carries_pu: f64) -> (bool, Criterion) {
    match relay.supervised {
        Some(Supervision::TopOil(at_c)) if at_c >= TOP_OIL_C => (true, Criterion::TopOilC(at_c)),
        Some(Supervision::HotSpot(at_c)) if at_c >= HOT_SPOT_C => (true, Criterion::HotSpotC(at_c)),
        Some(_) | None => carried(relay.operates_s(carries_pu).map(|seconds| seconds / 60.0)),
    }
}

fn carried(trip_min: Option<f64>) -> (bool, Criterion) {
    let long_enough = trip_min.is_none_or(|minutes| minutes >= CARRIES_MIN);
    (long_enough, Criterion::CarriesMin(trip_min))
}
