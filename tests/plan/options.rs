//! What drying buys.

use crate::brute_force::near_the_limit;
use bubblemargin::planning::answer::planned;
use bubblemargin::planning::plan::PlanOption;

fn drying(percent: f64, takes_min: Option<f64>) -> PlanOption {
    PlanOption {
        name: format!("drying to {percent} %"),
        stands_in: ("plan.yaml".to_owned(), 1),
        dries_to_percent: Some(percent),
        gas_to_percent: None,
        preservation: None,
        cooling_stage: None,
        takes_min,
        cost: Some(1000.0),
    }
}

#[test]
fn drier_paper_never_loses_a_start_a_load_or_a_year() {
    let scene = near_the_limit(0);
    let unit = scene.plan().units[1].unit.clone();
    let options = [3.0, 2.0, 1.0].map(|percent| (drying(percent, None), unit.clone())).to_vec();
    let answer = planned(&scene.question(options));
    let gained: Vec<usize> =
        answer.bought.iter().map(|bought| bought.outages[0].go_starts.after).collect();
    let before = answer.bought[0].outages[0].go_starts.before;
    assert_eq!(before, answer.outages[0].with_next_trip.as_ref().unwrap().go_starts);
    assert!(before < gained[0] && gained.is_sorted(), "{before}, {gained:?}");
    for bought in &answer.bought {
        let (before, after) = (&bought.carries.before, &bought.carries.after);
        // A search may end 0.002 pu below the largest load.
        assert!(after.cyclic.load_pu.unwrap() > before.cyclic.load_pu.unwrap() - 0.002);
        let years = &bought.life.as_ref().unwrap().years;
        assert!(years.after > years.before);
        assert!(bought.regained_mva_h > 0.0);
        let worth = bought.cost_per_mva_h.unwrap() * bought.regained_mva_h;
        assert!((worth - 1000.0).abs() < 1.0e-6, "rounding alone: {worth}");
    }
}

#[test]
fn drying_to_more_than_counts_changes_nothing() {
    let scene = near_the_limit(0);
    let unit = scene.plan().units[1].unit.clone();
    let answer = planned(&scene.question(vec![(drying(5.0, None), unit)]));
    let bought = &answer.bought[0];
    assert_eq!(bought.outages[0].go_starts.before, bought.outages[0].go_starts.after);
    assert!(bought.regained_mva_h.abs() < 1.0e-9 && bought.cost_per_mva_h.is_none());
}

#[test]
fn an_option_counts_only_once_it_is_done() {
    let scene = near_the_limit(0);
    let unit = scene.plan().units[1].unit.clone();
    let ten_days = drying(1.0, Some(10.0 * 1440.0));
    let never = drying(1.0, Some(100.0 * 1440.0));
    let answer = planned(&scene.question(vec![(ten_days, unit.clone()), (never, unit)]));
    let (late, never) = (&answer.bought[0].outages[0], &answer.bought[1].outages[0]);
    assert!(late.go_starts_in_time > late.go_starts.before);
    assert!(late.go_starts_in_time < late.go_starts.after);
    assert_eq!(never.go_starts_in_time, never.go_starts.before);
    assert_eq!(never.go_starts.after, late.go_starts.after, "as if it were done");
}
