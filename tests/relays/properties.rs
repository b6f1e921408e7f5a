//! Worse never gives a milder answer about protection.
//!
//! The seed is fixed so that a run can be repeated; the properties were run with 500 cases each.

use crate::question::Question;
use crate::scene::{Scene, permitted};
use bubblemargin::rating::protection::{Answer, Protection};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// Every kind of device that trips, without pick-ups inside the loads that are tried.
const RELAYS: &str = "  - { name: image, function: thermal-image, k: 1.1, base_current_pu: 1.0, time_constant_min: 40 }
  - { name: delay, function: overcurrent, purpose: overload, curve: definite-time, setting_pu: 1.2, delay_s: 900, supervised_top_oil_c: 80 }
  - { name: inverse, function: overcurrent, purpose: overload, curve: very-inverse, setting_pu: 1.15, time_multiplier: 5 }
  - { name: winding, function: winding-temperature, trip_c: 125 }
  - { name: oil, function: oil-temperature, trip_c: 95 }";

prop_compose! {
    /// Questions that reach past the range of the correlations on both sides.
    fn scene()(
        load_pu in 0.8..1.5_f64, duration_min in 15.0..480.0_f64, preload_pu in 0.3..1.0_f64,
        ambient_c in -20.0..40.0_f64, moisture in 0.2..7.0_f64, gas in 1.0..11.0_f64, stage in 0usize..2,
    ) -> Scene {
        let question = Question { preload_pu, ambient_c, moisture, gas, stage, ..Question::easy() };
        Scene { question, permitted: vec![permitted(load_pu, duration_min)], ..Scene::dry() }.with(RELAYS)
    }
}

fn acting(found: &Protection) -> Vec<Answer> {
    let together = found.together.iter().map(|all| all.acts_before.answer);
    found.relays.iter().map(|relay| relay.acts_before.answer).chain(together).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, rng_seed: RngSeed::Fixed(1), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn wetter_never_turns_a_no_into_a_yes(drier in scene(), more in 0.0..3.0_f64) {
        let moisture = drier.question.moisture + more;
        let wetter = Scene { question: Question { moisture, ..drier.question }, ..drier.clone() };
        let pairs = acting(&drier.answer()).into_iter().zip(acting(&wetter.answer()));
        for (drier_answer, wetter_answer) in pairs {
            prop_assert!(wetter_answer != Answer::Yes || drier_answer == Answer::Yes, "{drier_answer:?}");
        }
    }

    #[test]
    fn a_larger_allowance_never_turns_a_no_into_a_yes(scene in scene(), more in 0.0..30.0_f64) {
        let mut doubtful = scene.clone();
        doubtful.permitted[0].allowance_k += more;
        let pairs = acting(&scene.answer()).into_iter().zip(acting(&doubtful.answer()));
        for (sure, doubtful) in pairs {
            prop_assert!(doubtful != Answer::Yes || sure == Answer::Yes);
        }
    }

    #[test]
    fn a_higher_trip_never_shortens_what_is_let_through(scene in scene(), more in 0.0..40.0_f64) {
        let higher = scene.relays.replace("trip_c: 125", &format!("trip_c: {}", 125.0 + more))
            .replace("trip_c: 95", &format!("trip_c: {}", 95.0 + more));
        let raised = Scene { relays: higher, ..scene.clone() };
        for (low, high) in scene.answer().relays.iter().zip(&raised.answer().relays) {
            let (low, high) = (&low.lets_through, &high.lets_through);
            prop_assert!(high.answer <= low.answer);
            let never = f64::INFINITY;
            for (low, high) in low.loads.iter().zip(&high.loads) {
                prop_assert!(high.trip_min.unwrap_or(never) >= low.trip_min.unwrap_or(never));
            }
        }
    }

    #[test]
    fn a_longer_permitted_load_is_never_let_through_sooner(scene in scene(), more in 0.0..300.0_f64) {
        let mut longer = scene.clone();
        longer.permitted[0].duration_min = scene.permitted[0].duration_min.map(|min| min + more);
        for (short, long) in scene.answer().relays.iter().zip(&longer.answer().relays) {
            prop_assert!(long.lets_through.answer >= short.lets_through.answer);
        }
    }
}
