//! From the load that a unit has carried to a steady load that leaves it at least as hot.

use crate::assessment::case::Case;
use crate::assessment::course::cooling;
use crate::assessment::past::{Before, settled_at};
use crate::thermal::cooling::{Control, Cooling};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use crate::thermal::start::{Began, beginning};
use crate::thermal::trajectory::{Plan, Sample, simulate};
use crate::thermal::{Form, State};

/// Preloads are told apart by one part in so many, pu; one is rounded up.
const PARTS: f64 = 1000.0;

/// No preload above this is looked for, pu: the highest ceiling of any loading guide.
const GREATEST_PU: f64 = 2.0;

/// Steady loads before between which a start lies, pu.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Preloads {
    /// The least: the slow gradient is no smaller than after it, and where stages start by themselves both forms are at
    /// least so hot without them.
    pub from_pu: f64,
    /// The greatest.
    pub preload_pu: f64,
}

/// For each of some minutes the least steady load, no less than the load at that minute, from which both
/// forms begin at least as hot as the load and ambient up to then leave them: top oil and hot spot. Where stages start
/// by themselves, the greatest too from which the oil begins no hotter than they leave it: with cooler oil the
/// fans come later, so that every start between the two counts.
///
/// The load comes and goes: these are the bounds of a start that varies ([`crate::assessment::case::Request`]).
///
/// What was before the first row nobody knows: up to the rated load, or the greatest of the rows, and down to none. `None` without thermal data, and where no load up to 2 pu is
/// hot enough.
///
/// # Source       Our own construction; no source. A start that is too hot is on the safe side where no stage
/// starts by itself; elsewhere all starts down to one that is too cool are looked at.
/// # Valid        As the two forms.
/// # Departures   The quick part of the gradient is taken together with the oil: the hot spot is as hot, that part
/// may not be, after a load that has just fallen. It is forgotten within an hour.
/// # Checked      `tests/plan/warm_start.rs` against runs through the whole history.
pub fn preloads(
    case: &Case,
    load: &LoadSteps,
    ambient: &AmbientLine,
    minutes: &[f64],
) -> Vec<Option<Preloads>> {
    let Some(thermal) = &case.unit.thermal else {
        return vec![None; minutes.len()];
    };
    let (cooling, _) = cooling(thermal, case.request.stage, None);
    let before = Before::of(&cooling);
    let hot = before.cooling(&cooling, true);
    let slowest_gradient_min = slowest_gradient_min(&cooling);
    let iec = hottest_past((&Iec::default(), &hot), load, ambient, minutes);
    let ieee = hottest_past((&Ieee::default(), &hot), load, ambient, minutes);
    let from_pu = least_loads(&cooling, load, ambient, minutes);
    let all = minutes.iter().zip(iec).zip(ieee).zip(from_pu);
    let least = all.map(|(((minute, iec), ieee), from_pu)| {
        let ambient_c = ambient.at(*minute);
        let hot_enough = |preload_pu: f64| {
            let stages = &cooling.stages;
            let of_iec = settled_at(&Iec::default(), stages, before, preload_pu, ambient_c).hottest;
            let of_ieee =
                settled_at(&Ieee::default(), stages, before, preload_pu, ambient_c).hottest;
            let covers = |settled: &State, past: &Past| {
                settled.top_oil_c >= past.top_oil_c && settled.hot_spot_c() >= past.hot_spot_c
            };
            covers(&of_iec, &iec) && covers(&of_ieee, &ieee)
        };
        let preload_pu = least_preload(load.at(*minute), hot_enough)?;
        let least_pu = least_lately(load, *minute, slowest_gradient_min).min(preload_pu);
        let from_pu = from_pu.map_or(least_pu, |from_pu| from_pu.min(least_pu));
        Some(Preloads { from_pu, preload_pu })
    });
    least.collect()
}

/// After so many of its time constants a slow gradient has forgotten a load: e^−6 of it is left.
const FORGOTTEN_AFTER: f64 = 6.0;

/// The longest time constant of any second gradient, min.
fn slowest_gradient_min(cooling: &Cooling) -> f64 {
    let lags = cooling.stages.iter().map(|stage| Iec::default().lags(stage).gradient_2_tau_min);
    lags.fold(0.0, f64::max)
}

/// The least load of which the slow gradient still knows at a minute, pu; 0 where that reaches back beyond the first row.
fn least_lately(load: &LoadSteps, minute: f64, slowest_min: f64) -> f64 {
    let from_min = minute - FORGOTTEN_AFTER * slowest_min;
    if from_min < load.steps()[0].0 {
        return 0.0;
    }
    let known = load.steps().iter().filter(|step| step.0 > from_min && step.0 <= minute);
    known.map(|step| step.1).fold(load.at(from_min), f64::min)
}

/// For each minute the greatest steady load from which the weakest stage alone leaves the oil of both forms no
/// hotter than the load up to then does, rounded down; `None` where no stage starts by itself.
fn least_loads(
    cooling: &Cooling,
    load: &LoadSteps,
    ambient: &AmbientLine,
    minutes: &[f64],
) -> Vec<Option<f64>> {
    if cooling.control != Control::Automatic {
        return vec![None; minutes.len()];
    }
    let iec = past_of((&Iec::default(), cooling), load, (ambient, Began::Coolest), minutes);
    let ieee = past_of((&Ieee::default(), cooling), load, (ambient, Began::Coolest), minutes);
    let weakest = &cooling.stages[0];
    let all = minutes.iter().zip(iec).zip(ieee).map(|((minute, iec), ieee)| {
        let ambient_c = ambient.at(*minute);
        let cool_enough = |load_pu: f64| {
            let of_iec = Iec::default().steady(weakest, load_pu, ambient_c);
            let of_ieee = Ieee::default().steady(weakest, load_pu, ambient_c);
            of_iec.top_oil_c <= iec.top_oil_c && of_ieee.top_oil_c <= ieee.top_oil_c
        };
        Some(greatest_load(cool_enough))
    });
    all.collect()
}

/// The greatest load that is cool enough, rounded down; 0 where none is.
fn greatest_load(cool_enough: impl Fn(f64) -> bool) -> f64 {
    let (mut below, mut above) = (0.0, GREATEST_PU);
    while above - below > 1.0 / PARTS {
        let middle = f64::midpoint(below, above);
        if cool_enough(middle) {
            below = middle;
        } else {
            above = middle;
        }
    }
    (below * PARTS).floor() / PARTS
}

/// Temperatures at a minute of the past, °C.
#[derive(Debug, Clone, Copy)]
struct Past {
    top_oil_c: f64,
    hot_spot_c: f64,
}

/// One form through all of the load, from the hottest beginning.
fn hottest_past<F: Form>(
    form: (&F, &Cooling),
    load: &LoadSteps,
    ambient: &AmbientLine,
    minutes: &[f64],
) -> Vec<Past> {
    past_of(form, load, (ambient, Began::Hottest), minutes)
}

/// One form through all of the load, from one beginning.
fn past_of<F: Form>(
    (form, cooling): (&F, &Cooling),
    load: &LoadSteps,
    (ambient, began): (&AmbientLine, Began),
    minutes: &[f64],
) -> Vec<Past> {
    let first_min = load.steps()[0].0;
    let (Some(from), Some(until)) = (minutes.first(), minutes.last()) else {
        return Vec::new();
    };
    let begin = beginning(form, cooling, load, ambient, began);
    // A span of its own, so that the first and the last minute asked for are breakpoints too.
    let from_min = first_min.min(*from);
    let all = breakpoints(from_min, until + 1.0, load, ambient, minutes);
    let plan = Plan { cooling, load, ambient, breakpoints: &all };
    let run = simulate(form, &plan, begin.state, begin.stage);
    let at = |minute: &f64| {
        let place = run.samples.partition_point(|sample| sample.minute < minute - 1.0e-6);
        past(&run.samples[place.min(run.samples.len() - 1)])
    };
    minutes.iter().map(at).collect()
}

fn past(sample: &Sample) -> Past {
    Past { top_oil_c: sample.top_oil_c, hot_spot_c: sample.hot_spot_c }
}

/// The least load from `from_pu` up that is enough, rounded up.
fn least_preload(from_pu: f64, enough: impl Fn(f64) -> bool) -> Option<f64> {
    let up = |pu: f64| (pu * PARTS - 1.0e-6).ceil() / PARTS;
    let from_pu = up(from_pu);
    if enough(from_pu) {
        return Some(from_pu);
    }
    if !enough(GREATEST_PU) {
        return None;
    }
    let (mut below, mut above) = (from_pu, GREATEST_PU);
    while above - below > 1.0 / PARTS {
        let middle = f64::midpoint(below, above);
        if enough(middle) {
            above = middle;
        } else {
            below = middle;
        }
    }
    // Rounding up stays hot enough: hotter with every load.
    Some(up(above)).filter(|pu| enough(*pu))
}
