//! A window of settings really satisfies both questions, and fails just outside.

use crate::scene::{Scene, permitted};
use bubblemargin::rating::protection::{Answer, RelayAnswer};

/// The relay with its setting where the profile has `@`.
fn with_setting(scene: &Scene, relay: &str, setting: f64) -> RelayAnswer {
    scene.clone().with(&relay.replace('@', &setting.to_string())).one()
}

fn both(relay: &RelayAnswer) -> (Answer, Answer) {
    (relay.lets_through.answer, relay.acts_before.answer)
}

/// Half of `step` inside and outside of each end.
fn holds_inside_and_fails_outside(scene: &Scene, relay: &str, any: f64, step: f64) {
    let window = with_setting(scene, relay, any).window;
    assert_eq!(window.answer, Answer::Yes, "{relay}: {window:?}");
    let (above, below) = (window.above.unwrap(), window.below.unwrap());
    assert!(below - above > 2.0 * step, "wide enough to test: {above} to {below}");
    let (yes, no) = (Answer::Yes, Answer::No);
    for (setting, expected) in [
        (above - step, (no, yes)),
        (above + step, (yes, yes)),
        (f64::midpoint(above, below), (yes, yes)),
        (below - step, (yes, yes)),
        (below + step, (yes, no)),
    ] {
        let found = with_setting(scene, relay, setting);
        assert_eq!(both(&found), expected, "{relay} at {setting}, {above} to {below}");
        // The answer never depends on rounding between window and times.
        let late = found.acts_before.margin_k.unwrap() < 0.0;
        assert_eq!(late, expected.1 == no, "{setting}");
    }
}

/// Loads that leave room for every kind of relay.
fn scene() -> Scene {
    Scene { permitted: vec![permitted(1.2, 30.0), permitted(1.05, 240.0)], ..Scene::dry() }
}

#[test]
fn of_a_winding_indicator() {
    let relay = "  - { name: a, function: winding-temperature, trip_c: @ }";
    holds_inside_and_fails_outside(&scene(), relay, 125.0, 0.05);
    let stated = "  - { name: a, function: winding-temperature, trip_c: @, gradient_k: 26, exponent: 1.6, time_constant_min: 8, tolerance_k: 1 }";
    holds_inside_and_fails_outside(&scene(), stated, 125.0, 0.05);
}

#[test]
fn of_a_thermal_image() {
    // A finer step would fall into what the grid of loads leaves open, 0.1 % of load or 0.2 % of heat.
    let relay = "  - { name: a, function: thermal-image, k: 1.1, base_current_pu: 1.0, time_constant_min: 20, trip_percent: @, tolerance_percent: 0 }";
    holds_inside_and_fails_outside(&scene(), relay, 120.0, 0.3);
}

#[test]
fn of_delays_and_multipliers() {
    let delay = "  - { name: a, function: overcurrent, purpose: overload, curve: definite-time, setting_pu: 1.25, delay_s: @, tolerance_percent: 1 }";
    let window = with_setting(&scene(), delay, 300.0).window;
    // Nothing permitted picks it up, so that any delay lets it through.
    assert!(window.above.is_none() && window.answer == Answer::Yes, "{window:?}");
    let below = window.below.unwrap();
    let (yes, no) = (Answer::Yes, Answer::No);
    assert_eq!(both(&with_setting(&scene(), delay, below - 1.0)), (yes, yes));
    assert_eq!(both(&with_setting(&scene(), delay, below + 1.0)), (yes, no));
    let inverse = "  - { name: a, function: overcurrent, purpose: overload, curve: extremely-inverse, setting_pu: 1.3, time_multiplier: @, tolerance_percent: 0 }";
    let short = Scene { permitted: vec![permitted(1.35, 5.0)], ..scene() };
    holds_inside_and_fails_outside(&short, inverse, 1.0, 0.002);
}

#[test]
fn there_is_none_where_there_is_none() {
    let relay = "  - { name: a, function: winding-temperature, trip_c: @ }";
    let wet = Scene { permitted: vec![permitted(1.25, 30.0)], ..Scene::wet() };
    let window = with_setting(&wet, relay, 100.0).window;
    assert_eq!(window.answer, Answer::No, "{window:?}");
    assert!(!window.why.is_empty());
    for setting in [60.0, 80.0, 90.0, 100.0, 110.0, 120.0, 140.0] {
        let found = with_setting(&wet, relay, setting);
        assert_ne!(both(&found), (Answer::Yes, Answer::Yes), "{setting}");
    }
}
