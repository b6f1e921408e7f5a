//! With nothing uncertain every draw is the plain run.

use crate::scene::{Scene, Stds};
use bubblemargin::assessment::{Assessment, assess};
use bubblemargin::report::json;

/// Cases that begin, are cooled and end in every way there is.
fn every_way() -> Vec<(&'static str, Scene)> {
    // Few draws: all are alike.
    let exact = || Scene::exact().drawn(256, 1);
    let history = Some(vec![(-600.0, 0.5), (-300.0, 0.9), (-90.0, 0.6)]);
    vec![
        ("preload, fixed stage", exact()),
        ("weaker stage", Scene { stage: Some(0), load_pu: 0.9, ..exact() }),
        ("automatic stages", Scene { stage: None, preload_pu: 0.5, ..exact() }),
        ("history", Scene { history: history.clone(), ..exact() }),
        ("history, automatic", Scene { history: history.clone(), stage: None, ..exact() }),
        ("history, measured", Scene { history, top_oil_c: Some(70.0), ..exact() }),
        ("hot measured top oil", Scene { top_oil_c: Some(75.0), ..exact() }),
        ("cool measured top oil", Scene { top_oil_c: Some(30.0), ..exact() }),
        ("fans lost", Scene { cooling_lost_at_min: Some(45.0), ..exact() }),
        ("fans lost, automatic", Scene { cooling_lost_at_min: Some(45.0), stage: None, ..exact() }),
        ("long", Scene { duration_min: 900.0, load_pu: 1.05, ..exact() }),
        ("dry", Scene { moisture: 0.2, ..exact() }),
    ]
}

/// Draws are not sampled, and so take other steps through the detailed model; each way is off by less than 0.05 K.
const SAME_K: f64 = 0.02;

#[test]
fn without_spread_every_draw_is_the_plain_run() {
    let mut reached = 0;
    for (name, scene) in every_way() {
        let answer = scene.assessed();
        reached += u32::from(check_time(name, &scene, &answer));
        let spread = answer.spread.as_ref().unwrap();
        let plain_k = answer.bubbling.margin_k.unwrap();
        for drawn_k in [spread.margin_k.p05, spread.margin_k.p50, spread.margin_k.p95] {
            assert!((drawn_k.unwrap() - plain_k).abs() <= SAME_K, "{name}: {drawn_k:?} {plain_k}");
        }
        let hot_c = answer.peak.as_ref().unwrap().hot_spot_c;
        let apart = (spread.hot_spot_c.p05.unwrap() - hot_c).abs();
        assert!(apart <= SAME_K, "{name}: {apart} K of {hot_c} °C");
        let certain = if plain_k < 0.0 { 1.0 } else { 0.0 };
        assert!(spread.below_zero.probability.to_bits() == f64::to_bits(certain), "{name}");
        assert!(spread.inputs.is_empty() && spread.beyond_range_share < f64::EPSILON, "{name}");
        assert!((answer.bubbling.margin_low_k.unwrap() - plain_k).abs() <= SAME_K, "{name}");
    }
    assert!(reached >= 4, "only {reached} cases reach a limit");
}

/// The plain time is the longest duration that passes, to a minute at most; draws are looked at
/// every minute until the end of the overload, every 30 min at most after it. A curve that
/// flattens lies above its chords: the draws cross no earlier than 0.1 min before, and no later than
/// one sampling step and that minute after. Answers whether there is a time.
fn check_time(name: &str, scene: &Scene, answer: &Assessment) -> bool {
    let spread = answer.spread.as_ref().unwrap();
    let Some(plain_min) = answer.time_to_limit_min else {
        assert!(spread.time_to_limit_min.p50.is_none(), "{name}");
        return false;
    };
    let drawn_min = spread.time_to_limit_min.p50.unwrap();
    let step_min = match plain_min - scene.duration_min {
        after if after <= 59.0 => 1.0,
        after if after <= 355.0 => 5.0,
        _ => 30.0,
    };
    let late_min = drawn_min - plain_min;
    assert!((-0.1..=step_min + 1.0).contains(&late_min), "{name}: {drawn_min} {plain_min}");
    true
}

/// None are what there was before there were draws.
#[test]
fn no_draws_change_nothing() {
    for (name, scene) in every_way().into_iter().take(1) {
        let none = assess(&scene.drawn(0, 1).case());
        assert!(none.spread.is_none() && none.bubbling.margin_p05_k.is_none(), "{name}");
        let counting_k = none.bubbling.margin_counting_k;
        assert_eq!(none.bubbling.margin_low_k.map(f64::to_bits), counting_k.map(f64::to_bits));
        let same = assess(&scene.with_stds(Stds::USUAL).drawn(0, 2).case());
        // What was asked says how wrong the forecasts may be, drawn or not.
        let rest = |answer| {
            let mut value: serde_json::Value =
                serde_json::from_str(&json::pretty(&answer).unwrap()).unwrap();
            value.as_object_mut().unwrap().remove("asked");
            value
        };
        assert_eq!(rest(none), rest(same), "{name}");
    }
}
