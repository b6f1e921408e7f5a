//! The watch card and what it can guard.

use crate::scene::Scene;
use bubblemargin::assessment::case::Case;
use bubblemargin::assessment::watch::AGREES_WITHIN_K;
use bubblemargin::assessment::{Assessment, assess};

const DRAWS: u32 = 1024;

fn wet() -> Scene {
    Scene { moisture: 3.0, load_pu: 0.9, ..Scene::usual() }.drawn(DRAWS, 1)
}

fn at(case: &Case, load_pu: f64) -> Assessment {
    let mut other = case.clone();
    let loading = &mut other.request.loading;
    let factor = load_pu / case.greatest_load_pu();
    loading.load = loading.load.scaled_before(loading.end_min, factor);
    assess(&other)
}

/// The reading that normal oil may give, in whole degrees as it is read, is not above the stop value.
fn guards(answer: &Assessment) -> bool {
    let fits = |expected_c: f64, stop_c: f64| (expected_c + AGREES_WITHIN_K).floor() <= stop_c;
    answer.watch.iter().all(|point| fits(point.expected_top_oil_c, point.stop_above_c))
}

#[test]
fn stop_values_are_whole_degrees_and_below_every_ceiling() {
    let mut rows = 0;
    for scene in [
        wet(),
        wet().drawn(0, 1),
        Scene { moisture: 0.8, load_pu: 1.15, ambient_c: 35.0, ..wet() },
        Scene { moisture: 0.8, load_pu: 0.75, stage: Some(0), ..wet() },
    ] {
        let answer = assess(&scene.case());
        let ceiling = answer.limits.iter().find(|line| line.quantity == "top-oil").unwrap();
        for point in &answer.watch {
            rows += 1;
            assert!(point.stop_above_c.fract().abs() < 1.0e-12, "{point:?}");
            assert!(point.stop_above_c <= ceiling.limit, "{point:?}, ceiling {}", ceiling.limit);
        }
    }
    assert!(rows >= 12, "only {rows} rows");
}

/// Where nothing is uncertain all cases agree with every reading within the tolerance and with none beyond, so that
/// the rule can be written down: what is left is used up by what shows of a fault by then.
#[test]
fn without_uncertainty_the_stop_value_is_the_rule_written_down() {
    let answer = assess(&Scene { moisture: 2.4, ..Scene::exact() }.drawn(256, 1).case());
    assert!(!answer.watch.is_empty());
    let spare_k = answer.bubbling.margin_low_k.unwrap() - answer.asked.required_margin_k;
    let ceiling = answer.limits.iter().find(|line| line.quantity == "hot-spot").unwrap();
    let left_k = spare_k.min(ceiling.margin.unwrap());
    for point in &answer.watch {
        let last_c = (point.expected_top_oil_c + AGREES_WITHIN_K).floor();
        assert!(point.stop_above_c >= last_c, "{point:?}");
        // Never more than what is left beyond the last reading that the cases agree with.
        assert!(point.stop_above_c <= last_c + left_k, "{point:?}: {left_k} K left");
    }
    let last = answer.watch.last().unwrap();
    // Half of what is left shows after two hours with these time constants, and no more than all of it.
    assert!(last.stop_above_c >= last.expected_top_oil_c + 0.4 * left_k, "{last:?}: {left_k} K");
}

#[test]
fn at_the_largest_load_the_thermometer_cannot_guard_and_a_lower_load_is_named_that_it_can() {
    let case = wet().case();
    let largest_pu = assess(&case).largest_load_pu.unwrap();
    let answer = at(&case, largest_pu);
    assert!(answer.verdict.permits());
    let guard = answer.watch_guard.as_ref().unwrap();
    assert!(!guard.guarded && !guards(&answer), "{:?}", answer.watch);
    let up_to_pu = guard.guarded_up_to_pu.unwrap();
    assert!(up_to_pu < largest_pu && up_to_pu > 0.7 * largest_pu, "{up_to_pu} of {largest_pu}");
    let lower = at(&case, up_to_pu);
    assert!(lower.watch_guard.as_ref().unwrap().guarded && guards(&lower), "{:?}", lower.watch);
    assert!(!at(&case, up_to_pu + 0.01).watch_guard.unwrap().guarded, "{up_to_pu} pu is the last");
}

/// A stop value leaves no room that the verdict does not have: with less margin it is not higher.
#[test]
fn wetter_paper_never_raises_a_stop_value() {
    let cards: Vec<_> = [2.0, 2.4, 2.8, 3.0]
        .into_iter()
        .map(|moisture| assess(&Scene { moisture, ..wet() }.case()).watch)
        .filter(|card| !card.is_empty())
        .collect();
    assert!(cards.len() >= 3, "only {} cards", cards.len());
    for pair in cards.windows(2) {
        for (drier, wetter) in pair[0].iter().zip(&pair[1]) {
            // A whole degree more for what so many draws leave open.
            assert!(wetter.stop_above_c <= drier.stop_above_c + 1.0, "{drier:?} {wetter:?}");
        }
    }
}

#[test]
fn what_is_not_to_be_run_has_neither_a_card_nor_a_guard() {
    let answer = assess(&Scene { load_pu: 1.6, ..wet() }.case());
    assert!(!answer.verdict.permits() && answer.watch.is_empty() && answer.watch_guard.is_none());
}
