//! From the load that a unit has carried to a steady load that leaves it at least as hot.

use crate::assessment::case::Case;
use crate::assessment::course::cooling;
use crate::assessment::past::{Before, Ends, JUST_BEFORE_MIN, settled_at};
use crate::thermal::cooling::{Control, Cooling};
use crate::thermal::detailed::Detailed;
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::lags::Lags;
use crate::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use crate::thermal::start::{Began, Settled, Start, beginning};
use crate::thermal::trajectory::{Plan, Sample};
use crate::thermal::{Form, Model, State};

/// Preloads are told apart by one part in so many, pu; one is rounded up.
const PARTS: f64 = 1000.0;

/// No preload above this is looked for, pu: the highest ceiling of any loading guide.
const GREATEST_PU: f64 = 2.0;

/// Steady loads before between which a start lies, pu.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Preloads {
    /// The least: the slow gradient is no smaller than after it, and where stages start by themselves the models are at
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
/// # Valid        As the models.
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
    let of_iec = pasts((&Iec::default(), &cooling), load, ambient, minutes);
    let of_ieee = pasts((&Ieee::default(), &cooling), load, ambient, minutes);
    let of_lagged = pasts((&Ieee::LAGGED, &cooling), load, ambient, minutes);
    let of_detailed = pasts((&Detailed::default(), &cooling), load, ambient, minutes);
    let slow_pu = slow_gradient_loads(&cooling, load, minutes);
    let of_both = of_ieee.into_iter().zip(of_lagged);
    let all = minutes.iter().zip(of_iec).zip(of_both).zip(of_detailed).zip(slow_pu);
    let bounds = all.map(|((((minute, iec), (ieee, lagged)), detailed), slow_pu)| {
        let ambient_c = ambient.at(*minute);
        let hot_enough = |preload_pu: f64| {
            let stages = &cooling.stages;
            let of_iec = settled_at(&Iec::default(), stages, before, preload_pu, ambient_c);
            let of_ieee = settled_at(&Ieee::default(), stages, before, preload_pu, ambient_c);
            let of_detailed =
                settled_at(&Detailed::default(), stages, before, preload_pu, ambient_c);
            let covers = |settled: &Settled, past: &State| {
                settled.hottest.top_oil_c >= past.top_oil_c
                    && settled.hottest.hot_spot_c() >= past.hot_spot_c()
            };
            covers(&of_iec, &iec.hottest)
                && covers(&of_ieee, &ieee.hottest)
                // After a long time at one ambient both are the same.
                && covers(&of_ieee, &lagged.hottest)
                && covers(&of_detailed, &detailed.hottest)
        };
        let preload_pu = least_preload(load.at(*minute), hot_enough)?;
        let oil_pu = least_load(&cooling, ambient_c, [&iec, &ieee, &lagged, &detailed]);
        let from_pu = slow_pu.min(oil_pu.unwrap_or(f64::INFINITY)).min(preload_pu);
        Some(Preloads { from_pu, preload_pu })
    });
    bounds.collect()
}

/// For each minute the steady load of which the slow part of the gradient is as great as the load up to then makes it,
/// from none at the first row on, rounded down; of all stages the least. Where the stages' gradients at one current
/// differ, nobody knows which was in service: the smallest is held against the greatest.
///
/// ```text
/// v(t + Δ) = v(t)·e^(−Δ/τ) + K^y·(1 − e^(−Δ/τ))      load = (v·least/greatest)^(1/y)
/// ```
fn slow_gradient_loads(cooling: &Cooling, load: &LoadSteps, minutes: &[f64]) -> Vec<f64> {
    let lags = cooling.stages.iter().map(|stage| Iec::default().lags(stage));
    let at_rating =
        |lags: Lags<f64>| lags.gradient_2_k / lags.rating_pu.powf(lags.winding_exponent);
    let gradients = lags.clone().map(at_rating);
    let greatest_k = gradients.clone().fold(0.0, f64::max);
    let share = gradients.fold(greatest_k, f64::min) / greatest_k;
    let share = if share.is_finite() { share } else { 1.0 };
    let of_stage = |lags: Lags<f64>| -> Vec<f64> {
        let (tau_min, power) = (lags.gradient_2_tau_min, lags.winding_exponent);
        let (mut at_min, mut value) = (load.steps()[0].0, 0.0_f64);
        let mut to = |until_min: f64, load_pu: f64| {
            let stays = (-(until_min - at_min).max(0.0) / tau_min).exp();
            value = value * stays + load_pu.powf(power) * (1.0 - stays);
            at_min = at_min.max(until_min);
            (value * share).powf(1.0 / power)
        };
        let mut steps = load.steps().windows(2).map(|pair| (pair[1].0, pair[0].1)).peekable();
        let each = minutes.iter().map(|minute| {
            while let Some((until_min, load_pu)) = steps.next_if(|step| step.0 <= *minute) {
                to(until_min, load_pu);
            }
            let load_pu = to(*minute, load.at(*minute));
            (load_pu * PARTS).floor() / PARTS
        });
        each.collect()
    };
    let least = |one: Vec<f64>, other: Vec<f64>| -> Vec<f64> {
        one.into_iter().zip(other).map(|(a, b)| a.min(b)).collect()
    };
    lags.map(of_stage).reduce(least).unwrap_or_else(|| vec![0.0; minutes.len()])
}

/// The greatest steady load from which the weakest stage alone leaves the oil of the models no hotter than the load
/// up to a minute may have done, rounded down; `None` where no stage starts by itself.
fn least_load(
    cooling: &Cooling,
    ambient_c: f64,
    [iec, ieee, lagged, detailed]: [&Settled; 4],
) -> Option<f64> {
    if cooling.control != Control::Automatic {
        return None;
    }
    let weakest = &cooling.stages[0];
    Some(greatest_load(|load_pu: f64| {
        let of_iec = Iec::default().steady(weakest, load_pu, ambient_c);
        let of_ieee = Ieee::default().steady(weakest, load_pu, ambient_c);
        let of_detailed = Detailed::default().steady_state(weakest, load_pu, ambient_c);
        of_iec.top_oil_c <= iec.coolest.top_oil_c
            && of_ieee.top_oil_c <= ieee.coolest.top_oil_c.min(lagged.coolest.top_oil_c)
            && of_detailed.top_oil_c <= detailed.coolest.top_oil_c
    }))
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

/// What one model may be in at each minute, however the load began.
fn pasts<M: Model>(
    (form, cooling): (&M, &Cooling),
    load: &LoadSteps,
    ambient: &AmbientLine,
    minutes: &[f64],
) -> Vec<Settled> {
    let before = Before::of(cooling);
    let run = |began: Began| {
        let own = before.cooling(cooling, began.is_hot());
        past_of((form, &own), load, (ambient, began), minutes)
    };
    let (hot, waiting, cool) = (run(Began::Hottest), run(Began::Waiting), run(Began::Coolest));
    let all = minutes.iter().zip(hot).zip(waiting).zip(cool);
    let each = all.map(|(((minute, hot), waiting), cool)| {
        let (load_pu, ambient_c) = (load.at(*minute - JUST_BEFORE_MIN), ambient.at(*minute));
        let now = settled_at(form, &cooling.stages, before, load_pu, ambient_c);
        let ends = Ends { hot, waiting, cool, own_cool: cool };
        ends.between(&now, before.stages(&cooling.stages))
    });
    each.collect()
}

/// One model through all of the load, from one beginning.
fn past_of<M: Model>(
    (form, cooling): (&M, &Cooling),
    load: &LoadSteps,
    (ambient, began): (&AmbientLine, Began),
    minutes: &[f64],
) -> Vec<Start> {
    let first_min = load.steps()[0].0;
    let (Some(from), Some(until)) = (minutes.first(), minutes.last()) else {
        return Vec::new();
    };
    let begin = beginning(form, cooling, load, ambient, began);
    // A span of its own, so that the first and the last minute asked for are breakpoints too.
    let from_min = first_min.min(*from);
    let all = breakpoints(from_min, until + 1.0, load, ambient, minutes);
    let plan = Plan { cooling, load, ambient, breakpoints: &all };
    let run = form.run(&plan, begin.state, begin.stage);
    let at = |minute: &f64| {
        let place = run.samples.partition_point(|sample| sample.minute < minute - 1.0e-6);
        past(&run.samples[place.min(run.samples.len() - 1)])
    };
    minutes.iter().map(at).collect()
}

/// Both parts of the gradient taken together.
fn past(sample: &Sample) -> Start {
    let state = State {
        top_oil_c: sample.top_oil_c,
        gradient_1_k: sample.hot_spot_c - sample.top_oil_c,
        gradient_2_k: 0.0,
    };
    Start { state, stage: sample.stage }
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
