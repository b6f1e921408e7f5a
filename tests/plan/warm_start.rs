//! The preload that leaves a unit at least as hot as its history: held against runs through the history.

use crate::brute_force::near_the_limit;
use bubblemargin::assessment::basis::Basis;
use bubblemargin::assessment::case::{Case, Resolution, StartFrom};
use bubblemargin::assessment::course::Starts;
use bubblemargin::assessment::planned::Planned;
use bubblemargin::assessment::{Assessment, assess};
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

/// Both models at minute 0, from the start as stated.
fn starts(case: &Case) -> Starts {
    Basis::of(case).plant.unwrap().starts
}

/// What begins at a start: as the plan begins it, and as the whole history leaves it.
fn both(
    (stage, exact): (Option<usize>, bool),
    every: usize,
    mut look: impl FnMut((Assessment, Starts), (Assessment, Starts)),
) {
    let mut question = near_the_limit(0).question(Vec::new());
    for template in &mut question.templates {
        template.while_out.request.stage = stage;
        template.after_trip.request.stage = stage;
    }
    let (plan, templates) = (&question.plan, &question.templates);
    let outage = &plan.outages[0];
    for part in &Parts::of(plan, outage, templates).parts {
        let own = &templates[part.unit];
        let trip = part.trip.is_some();
        let template = if trip { &own.after_trip } else { &own.while_out };
        let was = if trip { &outage.carries[0] } else { &plan.units[part.unit].normally };
        let planned = Planned::of(template);
        for place in (0..part.judged.len()).step_by(every) {
            let mut case = planned.case(part.stretch.start(place, Load::Planned));
            case.request.resolution = Resolution::Minutes;
            if let (StartFrom::Preload(preload_pu), true) = (&case.request.start, exact) {
                case.request.preload_from_pu = *preload_pu;
            }
            let steady = (assess(&case), starts(&case));
            let start_min = part.stretch.starts_min[place];
            case.request.start = StartFrom::History(History {
                load: LoadSteps::new(before(was.load.steps(), start_min)).unwrap(),
                ambient: AmbientLine::new(before(plan.ambient.knots(), start_min)),
            });
            look(steady, (assess(&case), starts(&case)));
        }
    }
}

/// The history's own beginning is forgotten to e^-8 of some tens of kelvin, K.
const FORGOTTEN_K: f64 = 0.05;

#[test]
fn a_start_is_at_least_as_hot_as_the_history_leaves_it_in_both_forms() {
    both((None, true), 11, |steady, through| {
        let states = |starts: Starts| [starts.iec.start.state, starts.ieee.start.state];
        for (own, history) in states(steady.1).into_iter().zip(states(through.1)) {
            assert!(own.top_oil_c > history.top_oil_c - FORGOTTEN_K, "{own:?} {history:?}");
            assert!(own.hot_spot_c() > history.hot_spot_c() - FORGOTTEN_K, "{own:?} {history:?}");
        }
    });
}

#[test]
fn in_one_stage_it_stays_so_and_with_fans_the_worst_start_between_the_bounds_does() {
    let peak_c = |own: &(Assessment, Starts)| own.0.peak.as_ref().unwrap().hot_spot_c;
    both((Some(1), false), 11, |steady, through| {
        let hotter_k = peak_c(&steady) - peak_c(&through);
        // The quick part of the gradient is taken together with the oil; it weighs less than this.
        assert!(hotter_k > -0.3, "{hotter_k}");
    });
    // Hotter oil starts the fans earlier, and the peak is lower for it: that start alone is up to 9 K too cool.
    let (mut exact_k, mut counted_k) = (f64::INFINITY, f64::INFINITY);
    both((None, true), 11, |steady, through| {
        exact_k = exact_k.min(peak_c(&steady) - peak_c(&through));
    });
    both((None, false), 11, |steady, through| {
        counted_k = counted_k.min(peak_c(&steady) - peak_c(&through));
    });
    // Steady starts an eightieth of the load apart, and the parts of the gradient that lag: 0.32 K seen.
    assert!(exact_k < -0.5 && counted_k > -0.4, "{exact_k} {counted_k}");
}
