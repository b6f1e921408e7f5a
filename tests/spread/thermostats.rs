//! Thermostats that start and stop the cooling elsewhere than they are set to.

use crate::scene::Scene;
use bubblemargin::assessment::assess;
use bubblemargin::assessment::spread::inputs::Quantity;
use bubblemargin::unit::spread::{Spread, Uncertain};

/// Fans that start later than they are set to, and earlier: one thermostat for all stages.
#[test]
fn thermostats_that_may_be_late_take_margin_away() {
    // Cool before it, so that the fans start on the way.
    let scene = Scene { stage: None, preload_pu: 0.3, ambient_c: 12.0, ..Scene::exact() };
    let with = |spread: Spread| {
        let mut case = scene.case();
        case.unit.spread.thermostat_k = Uncertain { spread, stated: true };
        assess(&case)
    };
    let low_k = |spread: Spread| with(spread).bubbling.margin_low_k.unwrap();
    let set_k = scene.assessed().bubbling.margin_low_k.unwrap();
    let late_k = low_k(Spread::Interval { least: 0.0, most: 6.0 });
    assert!(late_k < set_k - 1.0, "{late_k} {set_k}");
    let usual_k = low_k(Spread::Std(1.5));
    assert!(usual_k < set_k - 0.5 && usual_k > late_k, "{usual_k} {set_k} {late_k}");
    assert!(low_k(Spread::Std(3.0)) < usual_k);
    // A late thermostat is one that is set higher.
    let mut higher = scene.case();
    let stages = &mut higher.unit.thermal.as_mut().unwrap().stages;
    stages[1].stage.switching = stages[1].stage.switching.map(|set| set.shifted(5.7));
    let higher_k = assess(&higher).bubbling.margin_low_k.unwrap();
    // The 5 % point of an interval of 6 K; the draws beside the medians and one stage of the fans: half a kelvin. Of the
    // few draws through the detailed model the worst counts for all where the models are exact.
    assert!(late_k < higher_k + 0.5 && late_k > higher_k - 1.5, "{late_k} {higher_k}");
}

/// Where no thermostat does anything none is drawn, and the other draws stay as they are.
#[test]
fn fixed_cooling_knows_no_thermostat() {
    let drawn = |stage: Option<usize>| {
        let spread = Scene { stage, ..Scene::usual() }.spread();
        spread.inputs.iter().any(|line| line.quantity == Quantity::Thermostat)
    };
    assert!(drawn(None), "the fans start by themselves");
    assert!(drawn(Some(1)), "they did before minute 0");
    assert!(!drawn(Some(0)), "naturally cooled throughout");
}
