//! The demo plan reads as it stands in its files.

use crate::scene::Folder;
use approx::assert_relative_eq;
use bubblemargin::planning::plan::Plan;
use bubblemargin::planning::read::read_plan;
use bubblemargin::unit::defaults::Catalogue;

fn demo() -> Plan {
    let text = Folder::demo().read("outages.yaml").1;
    read_plan("outages.yaml", &text, &Catalogue::embedded(), &mut Folder::demo(), None).unwrap()
}

/// The figure of a demo file at a time, as printed in it.
fn printed(file: &str, time: &str) -> f64 {
    let text = Folder::demo().read(file).1;
    let row = text.lines().find(|line| line.starts_with(time)).unwrap();
    row.split(',').nth(1).unwrap().parse().unwrap()
}

#[test]
fn everything_stated_is_there() {
    let plan = demo();
    assert_eq!(plan.name, "fellmoor-winter");
    assert_eq!(plan.limits, "iec-normal-cyclic");
    assert_eq!(plan.next_trip_limits, "iec-long-time-emergency");
    assert_eq!(plan.currency.as_deref(), Some("EUR"));
    assert_eq!(plan.begins.to_rfc3339(), "2026-10-19T00:00:00+00:00");
    let names: Vec<&str> = plan.units.iter().map(|unit| unit.name.as_str()).collect();
    assert_eq!(names, ["fellmoor-t1", "fellmoor-t2"]);
    assert_eq!((plan.outages.len(), plan.options.len()), (4, 4));
    let first = &plan.outages[0];
    assert_eq!((first.name.as_str(), &first.out[..]), ("T1 tap-changer overhaul", &[0][..]));
    assert_eq!((first.carries[0].unit, first.next_trips[0].carries[0].unit), (1, 1));
    assert_eq!(first.next_trips[0].name, "33 kV infeed from Thornhallow trips");
    // Two weeks and six hours after the first row; 116.5 days more until the latest end.
    assert_relative_eq!(first.earliest_min, (14.0 * 24.0 + 6.0) * 60.0);
    assert_relative_eq!(first.latest_min - first.earliest_min, 116.5 * 1440.0);
    assert_relative_eq!(first.duration_min, 5.0 * 1440.0);
    assert_eq!(first.recall_min, Some(480.0));
    assert_eq!(plan.outages[2].recall_min, None);
    assert!(plan.outages[2].next_trips.is_empty());
    assert_eq!(plan.options[0].dries_to_percent, Some(2.0));
    assert_eq!(plan.options[2].gas_to_percent, Some(3.0));
    assert_eq!(plan.options[3].cost, Some(40_000.0));
    // Nine months of humantime: 30.44 days each.
    assert_relative_eq!(plan.options[0].takes_min.unwrap(), 9.0 * 30.44 * 1440.0);
}

#[test]
fn loads_are_shares_of_what_is_printed() {
    let plan = demo();
    let time = "2027-01-06T18:00:00+00:00";
    let minute = (79.0 * 24.0 + 18.0) * 60.0;
    let mva = printed("loading/fellmoor-winter.csv", time);
    assert!(mva > 40.0, "a cold evening is above the rating of one unit: {mva}");
    for (carried, share) in [
        (&plan.units[0].normally, 0.5),
        (&plan.outages[0].carries[0], 1.0),
        (&plan.outages[0].next_trips[0].carries[0], 1.15),
        (&plan.outages[2].carries[0], 1.25),
    ] {
        assert_relative_eq!(carried.load.at(minute), share * mva / 40.0);
        assert_relative_eq!(carried.load.at(minute + 59.0), share * mva / 40.0);
        assert_relative_eq!(carried.until_min, 161.0 * 1440.0);
        assert!(carried.error.is_none());
    }
    let ambient = printed("ambient/fellmoor-winter.csv", time);
    assert_relative_eq!(plan.ambient.at(minute), ambient);
    assert_relative_eq!(plan.ambient_until_min, 161.0 * 1440.0);
    let highest = plan.ambient.knots().iter().map(|knot| knot.1).fold(f64::MIN, f64::max);
    assert_relative_eq!(plan.ambient.at(plan.ambient_until_min + 60.0), highest);
}

#[test]
fn some_weeks_are_mild_and_some_are_not() {
    let plan = demo();
    let alone = &plan.outages[0].carries[0].load;
    let greatest = |week: f64| alone.greatest_between(week * 10_080.0, (week + 1.0) * 10_080.0);
    assert!((0.75..0.95).contains(&greatest(0.0)), "{}", greatest(0.0));
    let coldest = (0..23).map(|week| greatest(f64::from(week))).fold(0.0, f64::max);
    assert!((1.15..1.25).contains(&coldest), "{coldest}");
}

#[test]
fn a_unit_that_is_handed_over_counts_instead_of_its_profile() {
    let text = Folder::demo().read("outages.yaml").1;
    let mut other = demo().units[1].unit.clone();
    other.rated_mva = 80.0;
    let catalogue = Catalogue::embedded();
    let plan =
        read_plan("o.yaml", &text, &catalogue, &mut Folder::demo(), Some(other.clone())).unwrap();
    assert_relative_eq!(plan.units[1].unit.rated_mva, 80.0);
    let half = demo().units[1].normally.load.at(0.0) / 2.0;
    assert_relative_eq!(plan.units[1].normally.load.at(0.0), half);

    other.name = "fellmoor-t3".to_owned();
    let refused = read_plan("o.yaml", &text, &catalogue, &mut Folder::demo(), Some(other));
    let refused = refused.unwrap_err();
    assert_eq!(refused.key.as_deref(), Some("units"));
    assert!(refused.found.contains("fellmoor-t3"), "{refused}");
}

#[test]
fn windows_line_ends_change_nothing() {
    let text = Folder::demo().read("outages.yaml").1.replace('\n', "\r\n");
    let plan =
        read_plan("o.yaml", &text, &Catalogue::embedded(), &mut Folder::demo(), None).unwrap();
    assert_eq!(plan.outages[0].name, demo().outages[0].name);
    assert_eq!(plan.outages[0].carries[0].load, demo().outages[0].carries[0].load);
}
