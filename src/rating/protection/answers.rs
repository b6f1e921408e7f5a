//! The two answers about each relay, the settings that satisfy both, and all relays together.

use super::courses::{Lane, Line};
use super::device::Device;
use super::world::{Held, Passing, World};
use super::{ActsBefore, Answer, AtLoad, LetsThrough, RelayAnswer, Through, Together, Window};
use crate::relay::{Function, Relay, Side};

/// The answer about a relay, and what it does at every load carried on in each form.
pub(super) struct Both {
    pub(super) answer: RelayAnswer,
    table: Vec<AtLoad>,
}

/// The answers about a relay; `None` for contacts that only start cooling.
pub(super) fn both(world: &World<'_>, relay: &Relay) -> Option<Both> {
    let device = Device::of(&relay.function)?;
    let least = least(world, device);
    let (most, table) = most(world, device);
    let answer = RelayAnswer {
        relay: relay.name.clone(),
        function: relay.function.in_words(),
        setting: device.setting(),
        lets_through: lets_through(world, device),
        acts_before: acts_before(world, device, most, &table),
        window: window(world, device, least, most),
        assumed: assumed(&relay.function),
    };
    Some(Both { answer, table })
}

/// What its setting must exceed to let every permitted load through; `None`: not known.
fn least(world: &World<'_>, device: Device<'_>) -> Option<f64> {
    let each = world.passing.iter().map(|passing| highest(passing, device));
    let all: Option<Vec<f64>> = each.collect();
    let highest = all.filter(|all| !all.is_empty())?.into_iter();
    Some(highest.fold(f64::NEG_INFINITY, f64::max))
}

/// The highest reading under a permitted load.
fn highest(passing: &Passing, device: Device<'_>) -> Option<f64> {
    let lanes = passing.lanes.as_ref()?.iter();
    let readings = lanes.map(|lane| device.highest(lane, &passing.permitted));
    readings.reduce(f64::max).filter(|highest| !highest.is_nan())
}

fn lets_through(world: &World<'_>, device: Device<'_>) -> LetsThrough {
    let each = world.passing.iter().map(|passing| through(world, passing, device));
    let loads: Vec<Through> = each.collect();
    let least = |pick: fn(&Through) -> Option<f64>| loads.iter().filter_map(pick).reduce(f64::min);
    LetsThrough {
        answer: loads.iter().map(|load| load.answer).max().unwrap_or(Answer::Unknown),
        margin_min: least(|load| load.margin_min),
        margin_k: least(|load| load.margin_k),
        never_trips: !loads.is_empty()
            && loads.iter().all(|load| load.answer != Answer::Unknown && load.trip_min.is_none()),
        loads,
    }
}

fn through(world: &World<'_>, passing: &Passing, device: Device<'_>) -> Through {
    let permitted = passing.permitted;
    let mut found = Through {
        load_pu: permitted.load_pu,
        duration_min: permitted.duration_min,
        answer: Answer::Unknown,
        alarm_min: None,
        trip_min: None,
        margin_min: None,
        margin_k: None,
    };
    let held = world.held_at(permitted.load_pu);
    let (Some(lanes), Some(held), Some(highest)) = (&passing.lanes, held, highest(passing, device))
    else {
        return found;
    };
    found.alarm_min = device.alarm().and_then(|alarm| earliest(lanes, device, alarm));
    let Some(setting) = device.setting().map(|setting| setting.value) else {
        found.answer = Answer::Yes;
        return found;
    };
    found.answer = Answer::of(setting > highest);
    found.trip_min = earliest(&held.lanes, device, setting);
    found.margin_min = found.trip_min.zip(permitted.duration_min).map(|(trip, end)| trip - end);
    found.margin_k = if device.reads_kelvin() {
        Some(setting - highest)
    } else {
        found.trip_min.map(|trip_min| hotter_at_trip_k(lanes, &held.lanes, trip_min))
    };
    found
}

/// The earliest minute at which it may read a limit, over the models.
fn earliest(lanes: &[Lane], device: Device<'_>, limit: f64) -> Option<f64> {
    let lines = lanes.iter().flat_map(|lane| device.readings(lane, Side::Early));
    lines.filter_map(|line| line.first_at(limit)).reduce(f64::min)
}

/// How much hotter the hot spot is at the moment of trip, if the load goes on, than ever in the permitted
/// course, K; of all forms and starts the smallest.
fn hotter_at_trip_k(permitted: &[Lane], held: &[Lane], trip_min: f64) -> f64 {
    let pairs = permitted.iter().flat_map(|one| held.iter().map(move |other| (one, other)));
    let same_form = pairs.filter(|(permitted, held)| permitted.form == held.form);
    let each = same_form.map(|(permitted, held)| {
        held.hot_spot.highest_until(trip_min) - permitted.hot_spot.highest()
    });
    each.fold(f64::INFINITY, f64::min)
}

/// What a setting must stay below to act before bubbling at every load.
#[derive(Clone, Copy)]
struct Most {
    /// Infinite where no load bubbles.
    below: f64,
    /// The load that sets it, pu.
    load_pu: f64,
}

/// What its setting must stay below, and what it does at each load.
fn most(world: &World<'_>, device: Device<'_>) -> (Most, Vec<AtLoad>) {
    let setting = device.setting().map(|setting| setting.value);
    let mut most = Most { below: f64::INFINITY, load_pu: f64::NAN };
    let mut table = Vec::new();
    for held in &world.held {
        for (lane, bubbles_min) in held.lanes.iter().zip(held.bubbles_min.iter().copied()) {
            let lines = device.readings(lane, Side::Late);
            if let Some(bubbles_min) = bubbles_min {
                let reached = lines.iter().map(|line| line.highest_until(bubbles_min));
                let below = reached.fold(f64::INFINITY, f64::min);
                if !(below >= most.below) {
                    most = Most { below, load_pu: held.load_pu };
                }
            }
            let trip_min = setting.and_then(|setting| latest(&lines, setting));
            table.push(at_load(world, held, lane, bubbles_min, trip_min));
        }
    }
    (most, table)
}

/// The latest minute of what may be read; `None` if it may never come.
fn latest(lines: &[Line], setting: f64) -> Option<f64> {
    lines.iter().try_fold(0.0, |latest: f64, line| Some(latest.max(line.first_at(setting)?)))
}

fn at_load(
    world: &World<'_>,
    held: &Held,
    lane: &Lane,
    bubbles_min: Option<f64>,
    trip_min: Option<f64>,
) -> AtLoad {
    let hottest_c = lane.hot_spot.highest_until(trip_min.unwrap_or(f64::INFINITY));
    AtLoad {
        load_pu: held.load_pu,
        form: lane.form,
        bubbles_min,
        trip_min,
        margin_min: bubbles_min.zip(trip_min).map(|(bubbles, trip)| bubbles - trip),
        margin_k: world.paper.at_c.map_or(f64::NAN, |at_c| at_c - hottest_c),
    }
}

fn acts_before(world: &World<'_>, device: Device<'_>, most: Most, table: &[AtLoad]) -> ActsBefore {
    let acts = device.setting().is_some_and(|setting| setting.value < most.below);
    summed_up(world, table, acts)
}

/// The answer of a table in which it is known whether a trip comes first at every load.
fn summed_up(world: &World<'_>, table: &[AtLoad], acts: bool) -> ActsBefore {
    let (computed, bubbles) =
        (world.paper.at_c.is_some() && !table.is_empty(), |load: &&AtLoad| {
            load.bubbles_min.is_some()
        });
    if !computed {
        let answer = Answer::Unknown;
        return ActsBefore {
            answer,
            margin_min: None,
            margin_k: None,
            worst: None,
            no_trip_pu: None,
        };
    }
    let of_those = || table.iter().filter(bubbles);
    let worst = of_those().min_by(|one, other| one.margin_k.total_cmp(&other.margin_k)).copied();
    let no_trip = of_those().filter(|load| load.trip_min.is_none()).map(|load| load.load_pu);
    ActsBefore {
        answer: Answer::of(acts || worst.is_none()).sure(world.paper.known),
        margin_min: of_those().filter_map(|load| load.margin_min).reduce(f64::min),
        margin_k: worst.map(|worst| worst.margin_k),
        worst,
        no_trip_pu: no_trip.clone().reduce(f64::min).zip(no_trip.reduce(f64::max)),
    }
}

/// Settings of a relay that satisfy both questions.
fn window(world: &World<'_>, device: Device<'_>, least: Option<f64>, most: Most) -> Window {
    let (key, unit, accepted) = device.kind();
    let above = least.unwrap_or(f64::NEG_INFINITY);
    let room = above.max(accepted.0) < most.below.min(accepted.1);
    let computed = world.paper.at_c.is_some() && !world.held.is_empty();
    let known = computed && world.paper.known && least.is_some();
    let answer = if computed { Answer::of(room).sure(known) } else { Answer::Unknown };
    let why = match answer {
        Answer::Yes => "",
        Answer::Unknown if world.held.is_empty() => "no temperatures are known",
        Answer::Unknown if least.is_none() => "no permitted load is known",
        Answer::Unknown => "it is not known when the paper bubbles",
        Answer::No => why_none(above, most),
    };
    let finite = |bound: f64| Some(bound).filter(|bound| bound.is_finite());
    Window {
        answer,
        key,
        unit,
        above: finite(above),
        below: finite(most.below),
        tightest_pu: finite(most.load_pu),
        why,
    }
}

fn why_none(above: f64, most: Most) -> &'static str {
    if most.below == f64::NEG_INFINITY {
        "the paper bubbles before it can act, whatever its time"
    } else if above == f64::INFINITY {
        "it picks up under a permitted load, and would wait for ever"
    } else if above < most.below {
        "only outside what a profile accepts"
    } else {
        "what lets the permitted loads through acts after the paper bubbles"
    }
}

/// All relays together; `None` where none is stated.
pub(super) fn together(world: &World<'_>, all: &[Both]) -> Option<Together> {
    let lets_through = all.iter().map(|own| own.answer.lets_through.answer).max()?;
    let rows = all.iter().map(|own| own.table.len()).min()?;
    let first_trip = |row: usize| {
        let acting = all.iter().filter_map(|own| own.table.get(row));
        let trip_min = |load: &AtLoad| load.trip_min.unwrap_or(f64::INFINITY);
        acting.min_by(|one, other| trip_min(one).total_cmp(&trip_min(other))).copied()
    };
    let table: Vec<AtLoad> = (0..rows).filter_map(first_trip).collect();
    let in_time = |load: &AtLoad| match (load.bubbles_min, load.trip_min) {
        (Some(bubbles_min), Some(trip_min)) => trip_min < bubbles_min,
        (Some(_), None) => false,
        (None, _) => true,
    };
    let acts = table.iter().all(in_time);
    Some(Together { lets_through, acts_before: summed_up(world, &table, acts) })
}

/// Keys of a relay that were taken and not stated.
fn assumed(function: &Function) -> Vec<&'static str> {
    let tolerance = |stated: Option<f64>, key: &'static str| match stated {
        Some(_) => Vec::new(),
        None => vec![key],
    };
    match function {
        Function::ThermalImage(own) => tolerance(own.tolerance_percent, "tolerance_percent"),
        Function::Overcurrent(own) => tolerance(own.tolerance_percent, "tolerance_percent"),
        Function::WindingTemperature(own) => own.assumed(),
        Function::OilTemperature(own) => tolerance(own.tolerance_k, "tolerance_k"),
        Function::FanStart(_) => Vec::new(),
    }
}
