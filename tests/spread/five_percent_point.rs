//! The 5 % point by seed: how far it is off, what is said of that, and that no verdict rests on luck.

use crate::demo::demo;
use crate::scene::{Scene, Stds};
use bubblemargin::assessment::case::{Case, DEFAULT_DRAWS, Sampling};
use bubblemargin::assessment::spread::{GUARD_K, Spread};
use bubblemargin::assessment::{Assessment, assess};
use bubblemargin::rules::finding::Severity;
use bubblemargin::rules::verdict::Verdict;

const SEEDS: u32 = 20;

/// The demonstration case with its overload scaled to another greatest load.
fn at(load_pu: f64, sampling: Sampling) -> Case {
    let mut case = demo(sampling);
    let factor = load_pu / case.greatest_load_pu();
    let loading = &mut case.request.loading;
    loading.load = loading.load.scaled_before(loading.end_min, factor);
    case
}

fn by_seed(load_pu: f64, draws: u32) -> Vec<Assessment> {
    let of = |seed| assess(&at(load_pu, Sampling { draws, seed, ..Sampling::default() }));
    (1..=SEEDS).map(of).collect()
}

fn p05_k(answer: &Assessment) -> f64 {
    answer.bubbling.margin_p05_k.unwrap()
}

fn told_k(answer: &Assessment) -> f64 {
    answer.bubbling.margin_p05_standard_error_k.unwrap()
}

#[allow(clippy::cast_precision_loss, reason = "some tens of seeds")]
fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let values: Vec<f64> = values.collect();
    values.iter().sum::<f64>() / values.len() as f64
}

#[allow(clippy::cast_precision_loss, reason = "some tens of seeds")]
fn scatter_k(answers: &[Assessment]) -> f64 {
    let middle_k = mean(answers.iter().map(p05_k));
    let squares = answers.iter().map(|answer| (p05_k(answer) - middle_k).powi(2));
    (squares.sum::<f64>() / (answers.len() - 1) as f64).sqrt()
}

/// Twenty seeds know their scatter to a sixth, and each standard error of 16 replicates its own to a fifth: a factor of
/// two is beyond four of both together.
#[test]
fn by_seed_the_5_percent_point_scatters_little_and_as_it_says() {
    let largest_pu = assess(&demo(Sampling::default())).largest_load_pu.unwrap();
    for draws in [DEFAULT_DRAWS, 1024, 256] {
        let found = by_seed(largest_pu, draws);
        let (scatter_k, told_k) = (scatter_k(&found), mean(found.iter().map(told_k)));
        assert!((0.5..=2.0).contains(&(told_k / scatter_k)), "{draws}: {told_k} K, {scatter_k} K");
        if draws == DEFAULT_DRAWS {
            assert!(scatter_k < 0.15, "{scatter_k} K");
        }
    }
}

#[test]
fn no_seed_lets_a_load_go_that_fails_on_the_whole() {
    let largest_pu = assess(&demo(Sampling::default())).largest_load_pu.unwrap();
    let mut effective = 0;
    // A hundredth of load is worth about a kelvin: from what just goes to a little beyond what just fails.
    for factor in [1.0, 1.003, 1.005, 1.007, 1.01] {
        let found = by_seed(factor * largest_pu, DEFAULT_DRAWS);
        let spare_k = mean(found.iter().map(|found| p05_k(found) - found.asked.required_margin_k));
        if spare_k < 0.0 {
            effective += u32::from(spare_k > -GUARD_K);
            assert!(found.iter().all(|answer| !answer.verdict.permits()), "{factor}: {spare_k} K");
        }
    }
    assert!(effective >= 1, "one load at least fails by less than the guard");
}

#[test]
fn the_verdict_uses_the_5_percent_point_less_the_guard() {
    let (mut by_draws, mut by_counting) = (0, 0);
    for scene in [
        Scene::usual(),
        // Only the water is doubtful: its own 5 % point is the margin with the moisture that counts.
        Scene { moisture_std: Some(0.5), ..Scene::usual().with_stds(Stds::NONE) },
        // Doubt about the pressure only: far from the margin with the moisture that counts.
        doubtful(),
    ] {
        let answer = scene.drawn(DEFAULT_DRAWS, 1).assessed();
        let (bubbling, spread) = (&answer.bubbling, answer.spread.as_ref().unwrap());
        let guard_k = spread.guard_k.unwrap();
        let error_k = told_k(&answer);
        assert!((guard_k - GUARD_K.max(2.0 * error_k)).abs() < 1.0e-12, "{guard_k} {error_k}");
        let counting_k = bubbling.margin_counting_k.unwrap();
        let expected_k = counting_k.min(p05_k(&answer) - guard_k);
        assert!((bubbling.margin_low_k.unwrap() - expected_k).abs() < 1.0e-9);
        by_draws += u32::from(expected_k < counting_k);
        by_counting += u32::from(expected_k >= counting_k);
    }
    assert!(by_draws > 0 && by_counting == 0, "{by_draws} {by_counting}");
}

/// A load that nobody knows well.
fn doubtful() -> Scene {
    Scene::usual().with_stds(Stds::USUAL.with("load_percent", 12.0).with("ambient_k", 5.0))
}

#[test]
fn the_usual_number_is_doubled_where_two_standard_errors_would_pass_the_guard() {
    let draws = |spread: &Spread| (spread.sampling.draws, spread.sampling.thermal_draws);
    let usual = Scene::usual().drawn(DEFAULT_DRAWS, 1).spread();
    assert_eq!(draws(&usual), (4096, 1024));
    assert!(2.0 * usual.margin_p05_standard_error_k.unwrap() <= GUARD_K);
    let more = doubtful().drawn(DEFAULT_DRAWS, 1).spread();
    assert!(more.sampling.draws > 4096, "{:?}", more.sampling);
    assert_eq!(more.sampling.draws, 4 * more.sampling.thermal_draws);
    // A number that is stated is kept, and what it lacks is taken off.
    let few = doubtful().drawn(256, 1).spread();
    assert_eq!(draws(&few), (256, 256));
    let guard_k = few.guard_k.unwrap();
    assert!(guard_k > GUARD_K, "{guard_k} K");
}

#[test]
fn every_load_of_a_start_has_the_same_draws() {
    for scene in [Scene::usual(), doubtful()] {
        let draws = |load_pu: f64| {
            let scene = Scene { load_pu, ..scene.drawn(DEFAULT_DRAWS, 1) };
            scene.spread().sampling.draws
        };
        let first = draws(0.4);
        for load_pu in [0.8, 1.1, 1.4, 1.9] {
            assert_eq!(draws(load_pu), first, "{load_pu} pu");
        }
    }
}

#[test]
fn without_draws_nothing_is_a_plain_go() {
    let dry = Scene { load_pu: 0.9, moisture: 0.8, moisture_std: Some(0.1), ..Scene::usual() };
    let drawn = dry.drawn(DEFAULT_DRAWS, 1).assessed();
    let code = "bubbling-not-drawn";
    assert_eq!(drawn.verdict, Verdict::Go, "{:?}", drawn.findings);
    assert!(drawn.findings.iter().all(|finding| finding.code != code));
    let none = dry.drawn(0, 1).assessed();
    let found = none.findings.iter().find(|finding| finding.code == code).unwrap();
    assert_eq!((none.verdict, found.severity), (Verdict::GoWithCautions, Severity::Caution));
    assert_eq!(none.largest_load_without_cautions_pu, None);
    assert!(none.largest_load_pu.is_some());
}
