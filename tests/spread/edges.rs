//! Where the probability must be 0 or 1, and what must never come out of any case.

use crate::dice::Dice;
use crate::scene::{Scene, Stds};
use bubblemargin::assessment::case::HotSpotMoisture;
use bubblemargin::assessment::{Assessment, assess};
use bubblemargin::loading::forecast_error::ForecastError;
use bubblemargin::report::json;
use bubblemargin::thermal::schedule::LoadSteps;
use bubblemargin::unit::spread::{Spread, Uncertain};

fn probability(scene: &Scene) -> f64 {
    scene.spread().below_zero.probability
}

#[test]
fn a_dry_cool_unit_never_bubbles_and_a_wet_hot_one_always() {
    let dry = Scene { load_pu: 0.5, ambient_c: -5.0, moisture: 0.5, ..Scene::usual() };
    assert!(probability(&dry).to_bits() == 0.0_f64.to_bits());
    let wet = Scene { load_pu: 2.0, ambient_c: 40.0, moisture: 5.0, ..Scene::usual() };
    assert!(probability(&wet).to_bits() == 1.0_f64.to_bits());
}

/// More than one draw in twenty is wetter than 6 %, aged as the paper may be, or lies below the least
/// pressure.
#[test]
fn draws_beyond_the_range_bubble_and_forbid_a_go() {
    let cool = Scene { load_pu: 0.5, ambient_c: -5.0, ..Scene::usual() };
    let wet = Scene { moisture: 5.2, moisture_std: Some(0.45), ..cool.clone() };
    let wet = wet.with_stds(Stds::USUAL.with("holding_factor", 0.1));
    let high = Scene { altitude_m: 3000.0, head_m: 0.05, moisture: 1.0, ..cool };
    for (name, scene) in [("wet", wet), ("high", high)] {
        let answer = scene.assessed();
        assert!(
            answer.bubbling.margin_counting_k.unwrap() > 10.0,
            "{name}: without draws it may go"
        );
        let spread = answer.spread.as_ref().unwrap();
        assert!(spread.beyond_range_share > 0.05, "{name}: {}", spread.beyond_range_share);
        assert!(spread.below_zero.probability >= spread.beyond_range_share, "{name}");
        assert!(spread.margin_k.p05.is_none() && answer.bubbling.margin_low_k.is_none(), "{name}");
        assert!(!answer.verdict.permits(), "{name}: {:?}", answer.verdict);
        assert!(answer.largest_load_pu.is_none(), "{name}");
    }
}

/// No go rests on what is not a number.
fn sound(answer: &Assessment, what: &str) {
    let bubbling = &answer.bubbling;
    if answer.verdict.permits() {
        let low_k = bubbling.margin_low_k.unwrap();
        assert!(low_k >= answer.asked.required_margin_k, "{what}: {low_k}");
        let spread = answer.spread.as_ref();
        let p05_k = spread.map(|spread| spread.margin_k.p05.unwrap());
        assert!(p05_k.is_none_or(|p05_k| p05_k >= low_k - 1.0e-9), "{what}: {p05_k:?} {low_k}");
        assert!(spread.is_some(), "{what}: the draws are there");
    }
    let probability = bubbling.probability.unwrap_or(1.0);
    assert!((0.0..=1.0).contains(&probability), "{what}");
    // JSON has no word for NaN; serde writes null, and the reader takes it for none.
    let text = json::pretty(answer).unwrap();
    assert!(!text.contains("NaN") && !text.contains("inf"), "{what}");
}

/// Every spread as wide as the profile may state: three of them reach a value of nought.
#[test]
fn the_widest_spreads_give_sound_answers() {
    let widest = Stds([
        17.3333, 8.66666, 2.0, 0.1, 0.15, 50.0, 2.33333, 0.5, 1.66666, 1.0, 10.0, 0.15, 10.0, 5.0,
        30.0, 15.0, 5.0, 10.0,
    ]);
    let exactly_a_third = Stds::USUAL
        .with("top_oil_rise_k", 52.0 / 3.0)
        .with("hot_spot_gradient_k", 26.0 / 3.0)
        .with("loss_ratio", 2.0)
        .with("oil_time_constant_min", 50.0)
        .with("winding_time_constant_min", 7.0 / 3.0)
        .with("gas_percent", 5.0 / 3.0);
    for (name, stds) in [("widest", widest), ("a third", exactly_a_third)] {
        for scene in [
            Scene::usual(),
            Scene { history: Some(vec![(-300.0, 0.6)]), moisture: 0.6, ..Scene::usual() },
        ] {
            let answer = scene.with_stds(stds).drawn(256, 1).assessed();
            assert!(answer.spread.is_some(), "{name}");
            sound(&answer, name);
        }
    }
}

#[test]
fn anything_accepted_gives_a_sound_answer() {
    let cases = std::env::var("SPREAD_FUZZ").ok().and_then(|n| n.parse().ok()).unwrap_or(40);
    let mut permitted = 0;
    for case in 0..cases {
        let mut dice = Dice(90_000 + case);
        // Half of them milder, so that some may go.
        let mild = if case % 2 == 0 { 0.3 } else { 1.0 };
        let mut scene = Scene {
            load_pu: dice.between(0.05, 3.0) * mild,
            duration_min: dice.between(1.0, 1440.0),
            preload_pu: dice.between(0.0, 1.4),
            ambient_c: dice.between(-40.0, 55.0),
            top_oil_c: dice.coin().then(|| dice.between(-20.0, 120.0)),
            moisture: (dice.between(0.1, 9.0) * mild).max(0.1),
            moisture_std: Some(0.05 + dice.between(0.0, 3.0) * mild * mild),
            gas: dice.between(0.1, 14.0),
            altitude_m: dice.between(0.0, 5000.0),
            head_m: dice.between(0.0, 8.0),
            stage: if dice.coin() { Some(usize::from(dice.coin())) } else { None },
            cooling_lost_at_min: dice.coin().then(|| dice.between(0.0, 300.0)),
            history: dice.coin().then(|| {
                let row = |minute: f64| (minute, dice.between(0.0, 1.4));
                [-900.0, -400.0, -200.0, -30.0].map(row).to_vec()
            }),
            ..Scene::usual()
        };
        let most = [17.0, 8.6, 2.0, 0.1, 0.15, 49.0, 2.3, 0.5, scene.gas / 3.0, 1.0, 5.0, 0.15];
        let rest = [10.0, 5.0, 30.0, 15.0, 5.0];
        for (std, most) in scene.stds.0.iter_mut().zip(most.into_iter().chain(rest)) {
            *std = dice.between(0.0, most);
        }
        scene.sampling.draws = 256;
        let mut asked = scene.case();
        if dice.coin() {
            asked.request.hot_spot = HotSpotMoisture::Equilibrated;
        }
        let answer = assess(&asked);
        permitted += u32::from(answer.verdict.permits());
        sound(&answer, &format!("{scene:?}"));
    }
    assert!(permitted > 0 || cases < 20, "none of {cases} may go");
}

/// What a thermometer may read too low is stated above the reading.
#[test]
fn a_top_oil_that_may_be_hotter_than_read_takes_margin_away() {
    let scene = Scene { top_oil_c: Some(70.0), ..Scene::exact() };
    let with = |least: f64, most: f64| {
        let mut case = scene.case();
        case.unit.spread.measured_top_oil_k =
            Uncertain { spread: Spread::Interval { least, most }, stated: true };
        assess(&case).bubbling.margin_p05_k.unwrap()
    };
    let plain_k = scene.assessed().bubbling.margin_k.unwrap();
    // All of four kelvin stay for as long as the excess does; the 5 % point of a level spread is
    // within 5 % of its end.
    assert!(with(0.0, 4.0) < plain_k - 2.0, "{} {plain_k}", with(0.0, 4.0));
    // And none of them give it back, less what counts where the models are exact: the worst of the few draws.
    let (lower_k, hotter_k) = (with(-4.0, 0.0), with(0.0, 4.0));
    assert!(lower_k > hotter_k + 2.0, "{lower_k} {hotter_k} {plain_k}");
}

/// The load's error is that of its own row to the last minute, not that of the next.
#[test]
fn an_error_that_ends_with_the_overload_counts_to_its_end() {
    let scene = Scene { duration_min: 60.0, ..Scene::exact() };
    let spread_k = |rows: Vec<(f64, f64)>| {
        let mut case = scene.case();
        case.request.load_error = ForecastError::in_steps(LoadSteps::new(rows).unwrap()).unwrap();
        let band = assess(&case).spread.unwrap().margin_k;
        band.p95.unwrap() - band.p05.unwrap()
    };
    let (ends, stays) = (spread_k(vec![(0.0, 5.0), (60.0, 0.0)]), spread_k(vec![(0.0, 5.0)]));
    // What comes after the overload does not make its peak.
    assert!((ends - stays).abs() < 1.0e-6, "{ends} {stays}");
}
