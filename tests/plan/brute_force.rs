//! Every start tried one by one with `assess`, at full resolution and with all draws, against the search.

use crate::scene::Scene;
use bubblemargin::assessment::assess;
use bubblemargin::assessment::case::Resolution;
use bubblemargin::assessment::planned::Planned;
use bubblemargin::planning::parts::Parts;
use bubblemargin::planning::stretch::Load;

/// Daily peaks that grow through the limit and fall again, so that many starts lie near it.
fn rising(hour: usize) -> f64 {
    let (day, of_day) = (hour as f64 / 24.0, (hour % 24) as f64);
    let evening = (-((of_day - 18.0) / 3.0).powi(2)).exp();
    let wave = (day / 21.0 * std::f64::consts::PI).sin();
    18.0 + 8.0 * wave + (12.0 + 12.0 * wave) * evening
}

fn cold_nights(hour: usize) -> f64 {
    8.0 + 5.0 * ((hour as f64 - 15.0) / 24.0 * std::f64::consts::TAU).cos()
}

pub(crate) const NEAR_THE_LIMIT: &str = "  - { name: near, out: [ fellmoor-t1 ], carries: [ { unit: fellmoor-t2, series: town, share: 1.0 } ], earliest: 2026-11-03T00:00:00Z, latest: 2026-11-20T00:00:00Z, duration: 18h, recall: 4h, next_trip: [ { name: line, carries: [ { unit: fellmoor-t2, series: town, share: 1.1 } ] } ] }\n";

pub(crate) fn near_the_limit(draws: u32) -> Scene {
    Scene { load_mva: rising, ambient_c: cold_nights, outages: NEAR_THE_LIMIT, draws }
}

/// One start in so many; the numbers have no common divisor with a day.
const EVERY: usize = 5;

fn compared(draws: u32) {
    let question = near_the_limit(draws).question(Vec::new());
    let (plan, templates) = (&question.plan, &question.templates);
    let parts = Parts::of(plan, &plan.outages[0], templates);
    let (mut goes, mut drawn) = (0, 0);
    for part in &parts.parts {
        let own = &templates[part.unit];
        let template = if part.trip.is_none() { &own.while_out } else { &own.after_trip };
        let planned = Planned::of(template);
        for place in (0..part.judged.len()).step_by(EVERY) {
            let mut case = planned.case(part.stretch.start(place, Load::Planned));
            case.request.resolution = Resolution::Minutes;
            let (found, tried) = (&part.judged[place], assess(&case));
            let margin_k = tried.bubbling.margin_low_k;
            assert_eq!(
                found.verdict.permits(),
                tried.verdict.permits(),
                "{place}: {margin_k:?}, {found:?}"
            );
            goes += usize::from(found.verdict.permits());
            drawn += usize::from(found.all_draws);
            if found.all_draws {
                // Hours instead of minutes move a peak by some ten-thousandths of a kelvin.
                let off_k = found.margin_low_k().unwrap() - margin_k.unwrap();
                assert!(off_k.abs() < 0.005, "{place}: {off_k}");
            }
        }
    }
    let all: usize = parts.parts.iter().map(|part| part.judged.len().div_ceil(EVERY)).sum();
    assert!(goes > all / 10 && goes < all - all / 10, "starts on both sides: {goes} of {all}");
    assert!(draws == 0 || drawn < all, "draws were spared");
}

#[test]
fn without_draws_the_search_finds_what_every_start_finds() {
    compared(0);
}

#[test]
fn with_draws_the_search_finds_what_every_start_finds() {
    compared(256);
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let answer = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let answer = pool.install(|| near_the_limit(256).answer());
        serde_json::to_string(&answer).unwrap()
    };
    let one = answer(1);
    assert!(one == answer(2) && one == answer(7));
}
