//! A plan whose answer is known by construction: a load far below every limit, but for one block far above.

use crate::scene::Scene;
use bubblemargin::planning::outage::OutageAnswer;

/// From this hour on for a day the substation needs twice the rating of either unit.
const FROM: usize = 240;
const UNTIL: usize = 264;

fn block(hour: usize) -> f64 {
    if (FROM..UNTIL).contains(&hour) { 80.0 } else { 14.0 }
}

fn mild(_hour: usize) -> f64 {
    5.0
}

fn outage(load_mva: fn(usize) -> f64, outages: &'static str) -> OutageAnswer {
    let scene = Scene { load_mva, ambient_c: mild, outages, draws: 0 };
    scene.answer().outages.remove(0)
}

/// Twelve hours between 3 and 19 November: 373 starts, the block lies 192 to 216 hours after the first.
const TWELVE_HOURS: &str = "  - { name: short, out: [ fellmoor-t1 ], carries: [ { unit: fellmoor-t2, series: town, share: 1.0 } ], earliest: 2026-11-03T00:00:00Z, latest: 2026-11-19T00:00:00Z, duration: 12h }\n";

#[test]
fn an_outage_goes_exactly_where_it_does_not_touch_the_block() {
    let found = outage(block, TWELVE_HOURS);
    assert_eq!(found.starts, 16 * 24 - 12 + 1);
    let (first, last) = (FROM - 48, UNTIL - 48);
    for (start, hour) in found.as_planned.each.iter().enumerate() {
        // The load of an hour counts from its own minute on: an outage that ends there does not carry it.
        let touches = start + 12 > first && start < last;
        assert_eq!(hour.verdict.permits(), !touches, "start {start}: {hour:?}");
    }
    let windows = &found.as_planned.windows;
    let ends: Vec<_> = windows.iter().map(|window| (&*window.first, &*window.last)).collect();
    assert_eq!(
        ends,
        [
            ("2026-11-03T00:00:00Z", "2026-11-10T12:00:00Z"),
            ("2026-11-12T00:00:00Z", "2026-11-18T12:00:00Z"),
        ]
    );
    assert!(found.as_planned.transfers.is_empty());
}

#[test]
fn a_next_trip_at_the_block_takes_the_starts_before_it_too() {
    let with_trip = "  - { name: short, out: [ fellmoor-t1 ], carries: [ { unit: fellmoor-t2, series: town, share: 0.3 } ], earliest: 2026-11-03T00:00:00Z, latest: 2026-11-19T00:00:00Z, duration: 12h, recall: 6h, next_trip: [ { name: line, carries: [ { unit: fellmoor-t2, series: town, share: 1.0 } ] } ] }\n";
    let found = outage(block, with_trip);
    // Without the trip it carries little; but in the first hours of the block its own load has just risen to the rating.
    let not_going = found.as_planned.each.iter().enumerate().filter(|own| !own.1.verdict.permits());
    let hours: Vec<usize> = not_going.map(|own| own.0).collect();
    assert!(hours.len() < 6 && hours.iter().all(|at| (192..200).contains(at)), "{hours:?}");
    let with = found.with_next_trip.unwrap();
    let (first, last) = (FROM - 48, UNTIL - 48);
    for (start, hour) in with.each.iter().enumerate() {
        // The last hour at which a trip may come is eleven hours after the start, and six are carried.
        let touches = start + 11 + 6 > first && start < last;
        assert_eq!(hour.verdict.permits(), !touches, "start {start}");
    }
}

#[test]
fn where_nothing_goes_the_excess_has_to_be_carried_elsewhere_while_it_lasts() {
    fn evenings(hour: usize) -> f64 {
        if (17..21).contains(&(hour % 24)) { 56.0 } else { 14.0 }
    }
    let two_days = "  - { name: long, out: [ fellmoor-t1 ], carries: [ { unit: fellmoor-t2, series: town, share: 1.0 } ], earliest: 2026-11-03T00:00:00Z, latest: 2026-11-08T00:00:00Z, duration: 2 days }\n";
    let found = outage(evenings, two_days);
    assert_eq!(found.as_planned.go_starts, 0);
    let transfer = &found.as_planned.transfers[0];
    assert!(transfer.at_most_mva.is_some(), "{transfer:?}");
    let at_most_mva = transfer.at_most_mva.unwrap();
    // Somewhat more than what it carries all day, and less than the evening's.
    assert!(at_most_mva > 14.0 && at_most_mva < 56.0, "{at_most_mva}");
    assert!((transfer.most_mva - (56.0 - at_most_mva)).abs() < 1.0e-9, "rounding alone");
    let hour = |instant: &str| instant[11..13].parse::<u32>().unwrap();
    let hours: Vec<(u32, u32)> =
        transfer.spans.iter().map(|span| (hour(&span.from), hour(&span.until))).collect();
    assert!(hours.iter().all(|(from, until)| *from >= 17 && *until <= 21), "{hours:?}");
    // Two evenings, one of which may lie at both ends.
    assert_eq!(hours.iter().map(|(from, until)| until - from).sum::<u32>(), 8);
    let energy_mva_h = 8.0 * (56.0 - at_most_mva);
    assert!((transfer.mva_h - energy_mva_h).abs() < 1.0e-6, "rounding alone");
}
