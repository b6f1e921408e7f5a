//! The search the other way round: how wet the paper may be.

use crate::brute_force::near_the_limit;
use bubblemargin::planning::answer::planned;
use bubblemargin::planning::needed_water::Needed;

#[test]
fn the_moisture_found_leaves_just_the_margin_that_is_required() {
    for draws in [0, 256] {
        let answer = near_the_limit(draws).answer();
        let water = answer.outages[0].water.clone().unwrap();
        assert_eq!(water.found, Needed::Within);
        let spare_k = water.margin_low_k.unwrap() - water.required_k.unwrap();
        // The issue asks for 0.05 K; a step of the search is a hundredth of that.
        assert!((0.0..0.05).contains(&spare_k), "{spare_k}");
    }
}

#[test]
fn a_little_wetter_no_start_goes_and_a_little_drier_one_does() {
    let scene = near_the_limit(256);
    let at_most = scene.answer().outages[0].water.clone().unwrap().at_most_percent.unwrap();
    let with = |percent: f64| {
        let mut question = scene.question(Vec::new());
        for template in &mut question.templates[1..] {
            template.while_out.water_as_percent = Some(percent);
            template.after_trip.water_as_percent = Some(percent);
        }
        let answer = planned(&question);
        answer.outages[0].with_next_trip.clone().unwrap().go_starts
    };
    // Another start may let it be a hair wetter, where the draws weigh differently: 0.02 % is about a fifth
    // of a kelvin. An estimate lies up to a kelvin and a half low: 0.15 %.
    assert_eq!(with(at_most + 0.02), 0);
    assert!(with(at_most - 0.15) > 0);
}
