//! The preload that leaves a unit at least as hot as its history: held against runs through the history.

use crate::brute_force::near_the_limit;
use bubblemargin::assessment::assess;
use bubblemargin::assessment::case::{Resolution, StartFrom};
use bubblemargin::assessment::planned::Planned;
use bubblemargin::loading::history::History;
use bubblemargin::planning::parts::Parts;
use bubblemargin::planning::stretch::Load;
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps};

/// The history that is carried before the start, min: eight of the longest time constants and more.
const BEFORE_MIN: f64 = 2880.0;

fn before(minutes: &[(f64, f64)], start_min: f64) -> Vec<(f64, f64)> {
    let from_min = start_min - BEFORE_MIN;
    let own = minutes.iter().filter(|at| at.0 >= from_min && at.0 < start_min);
    own.map(|at| (at.0 - start_min, at.1)).collect()
}

#[test]
fn a_start_is_never_cooler_than_the_history_leaves_it() {
    let question = near_the_limit(0).question(Vec::new());
    let (plan, templates) = (&question.plan, &question.templates);
    let outage = &plan.outages[0];
    let parts = Parts::of(plan, outage, templates);
    let mut most_k = 0.0_f64;
    for part in &parts.parts {
        let own = &templates[part.unit];
        let trip = part.trip.is_some();
        let template = if trip { &own.after_trip } else { &own.while_out };
        let was = if trip { &outage.carries[0] } else { &plan.units[part.unit].normally };
        let planned = Planned::of(template);
        for place in (0..part.judged.len()).step_by(11) {
            let mut case = planned.case(part.stretch.start(place, Load::Planned));
            case.request.resolution = Resolution::Minutes;
            let steady = assess(&case).peak.unwrap();
            let start_min = part.stretch.starts_min[place];
            case.request.start = StartFrom::History(History {
                load: LoadSteps::new(before(was.load.steps(), start_min)).unwrap(),
                ambient: AmbientLine::new(before(plan.ambient.knots(), start_min)),
            });
            let through = assess(&case).peak.unwrap();
            let hotter_k = steady.hot_spot_c - through.hot_spot_c;
            // The history's own beginning is forgotten to e^-8 of some tens of kelvin; the parts of the
            // gradient that lag are forgotten within two hours and weigh less than this.
            assert!(hotter_k > -0.05, "{place} {trip}: {hotter_k}");
            most_k = most_k.max(hotter_k);
        }
    }
    // And it is not hotter at all costs.
    assert!(most_k < 4.0, "{most_k}");
}
