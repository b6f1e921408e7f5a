//! Load errors stated row by row: as stated, at the minute stated.

use crate::scene::Scene;
use bubblemargin::assessment::assess;
use bubblemargin::loading::forecast_error::ForecastError;
use bubblemargin::thermal::schedule::LoadSteps;

/// A row's error is that of its own minutes: what is stated for after the overload is not of it, nor of the
/// history before it.
#[test]
fn an_error_that_begins_after_the_overload_is_not_of_it() {
    let low_k = |scene: &Scene, rows: Vec<(f64, f64)>| {
        let mut case = scene.case();
        case.request.load_error = ForecastError::in_steps(LoadSteps::new(rows).unwrap()).unwrap();
        assess(&case).bubbling.margin_low_k.unwrap()
    };
    let mut effective = 0;
    for history in [None, Some(vec![(-600.0, 0.6), (-300.0, 0.7)])] {
        for stage in [Some(1), None] {
            for duration_min in [10.0, 60.0, 95.0] {
                let (history, preload_pu) = (history.clone(), 0.3);
                let scene = Scene { duration_min, preload_pu, stage, history, ..Scene::usual() };
                let stays = low_k(&scene, vec![(0.0, 1.0)]);
                let grows = low_k(&scene, vec![(0.0, 1.0), (duration_min, 20.0)]);
                assert!((grows - stays).abs() < 1.0e-6, "{grows} {stays} {scene:?}");
                // The same error a little earlier, in the overload, does count.
                let inside = low_k(&scene, vec![(0.0, 1.0), (duration_min - 8.0, 20.0)]);
                effective += u32::from(inside < stays - 0.5);
            }
        }
    }
    assert!(effective >= 6, "only {effective} of 12 could tell");
}

/// The error of a row counts from its own minute on, also where steps are long.
#[test]
fn an_error_after_the_peak_takes_nothing_off() {
    let scene = Scene { preload_pu: 0.3, ..Scene::usual() };
    let low_k = |rows: Vec<(f64, f64)>| {
        let mut case = scene.case();
        let load = vec![(0.0, 1.2), (75.0, 0.6), (275.0, 0.3)];
        case.request.loading.load = LoadSteps::new(load).unwrap();
        case.request.loading.end_min = 275.0;
        case.request.load_error = ForecastError::in_steps(LoadSteps::new(rows).unwrap()).unwrap();
        assess(&case).bubbling.margin_low_k.unwrap()
    };
    let stays = low_k(vec![(0.0, 2.0)]);
    for from_min in [75.0, 133.0, 275.0] {
        let grows = low_k(vec![(0.0, 2.0), (from_min, 10.0)]);
        assert!((grows - stays).abs() < 1.0e-6, "from {from_min} min: {grows} {stays}");
    }
}
