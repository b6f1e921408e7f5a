//! Every cell through `check`: what is rated goes, and 1 % more does not.

use super::asked::{LONG_TIME, check, set, table, unit, wet};
use bubblemargin::assessment::assess;
use bubblemargin::assessment::case::DEFAULT_DRAWS;
use bubblemargin::assessment::rated::FromStart;
use bubblemargin::rating::table::cells;
use bubblemargin::rating::{Cell, Limiting};
use bubblemargin::rules::verdict::Verdict;
use bubblemargin::unit::Unit;

/// A continuous load is one that is carried until the state has settled.
fn minutes(unit: &Unit, duration_min: Option<f64>, draws: u32) -> f64 {
    let any = check(unit, (1.0, 60.0), (0.5, 20.0), (set(LONG_TIME, unit), draws));
    duration_min.unwrap_or_else(|| FromStart::of(&any).settled_after_min())
}

fn verdict(unit: &Unit, load: (f64, f64), from: (f64, f64), draws: u32) -> Verdict {
    assess(&check(unit, load, from, (set(LONG_TIME, unit), draws))).verdict
}

/// Where a rating is held down, 1 % more fails where it is held.
fn holds(unit: &Unit, cell: &Cell, draws: u32) {
    let from = (cell.preload_pu, cell.ambient_c);
    let long_min = minutes(unit, cell.duration_min, draws);
    let Some(load_pu) = cell.load_pu else {
        let found = verdict(unit, (0.05, long_min), from, draws);
        let held = cell.held_by.is_some();
        assert!(held || !found.permits(), "nothing is rated, but 0.05 pu goes: {cell:?}");
        return;
    };
    let rated = verdict(unit, (load_pu, long_min), from, draws);
    assert!(rated.permits(), "{rated:?}: {cell:?}");
    let (from, long_min) = cell.held_by.map_or((from, long_min), |held| {
        let long_min = minutes(unit, held.duration_min, draws);
        ((held.preload_pu, held.ambient_c), long_min)
    });
    let above = verdict(unit, (1.01 * load_pu, long_min), from, draws);
    assert!(!above.permits(), "1 % more goes too, {above:?}: {cell:?}");
}

#[test]
fn every_rating_of_the_wet_unit_goes_and_one_per_cent_more_does_not() {
    let unit = wet();
    let durations = [Some(15.0), Some(60.0), Some(480.0), None];
    let question = table(&unit, &durations, &[0.0, 20.0, 35.0], &[0.5, 0.9], DEFAULT_DRAWS);
    let found = cells(&question);
    assert_eq!(found.len(), 24);
    assert!(found.iter().filter(|cell| cell.governs.what == Limiting::Bubbling).count() > 12);
    for cell in &found {
        holds(&unit, cell, DEFAULT_DRAWS);
    }
}

#[test]
fn the_same_without_draws_for_the_dry_unit() {
    let unit = unit(include_str!("../../demo-data/units/fellmoor-t1.yaml"));
    let durations = [Some(15.0), Some(30.0), Some(240.0), Some(1440.0), None];
    let found = cells(&table(&unit, &durations, &[-10.0, 10.0, 25.0, 40.0], &[0.4, 0.7, 1.0], 0));
    assert_eq!(found.len(), 60);
    for cell in &found {
        holds(&unit, cell, 0);
    }
}

/// The search begins at the load before the overload: nothing below it may fail where more passes.
#[test]
fn every_load_below_a_rating_goes_too() {
    let dry = unit(include_str!("../../demo-data/units/fellmoor-t1.yaml"));
    for unit in [wet(), dry] {
        let durations = [Some(15.0), Some(240.0), Some(1440.0)];
        let found = cells(&table(&unit, &durations, &[-10.0, 20.0, 40.0], &[0.4, 0.7, 1.0], 0));
        for cell in &found {
            let from = (cell.preload_pu, cell.ambient_c);
            let long_min = minutes(&unit, cell.duration_min, 0);
            let below = (1..40).map(|step| 0.05 * f64::from(step));
            for load_pu in below.take_while(|pu| cell.load_pu.is_some_and(|rated| *pu < rated)) {
                let found = verdict(&unit, (load_pu, long_min), from, 0);
                assert!(found.permits(), "{load_pu} pu: {found:?}: {cell:?}");
            }
        }
    }
}

#[test]
fn every_rating_says_what_governs_it() {
    let found = cells(&table(&wet(), &[Some(60.0), None], &[0.0, 40.0], &[0.5, 1.0], 256));
    for cell in found {
        assert!(cell.governs.code.is_some(), "{cell:?}");
        assert_ne!(cell.governs.what, Limiting::Nothing, "{cell:?}");
    }
}

#[test]
fn a_unit_of_unknown_gas_is_not_rated() {
    let text = include_str!("../../demo-data/units/fellmoor-t1.yaml");
    let known = "gases: { N2: 41500, O2: 11800, CO2: 1900, CO: 310, H2: 12, CH4: 6, C2H6: 3, C2H4: 5, C2H2: 0 }";
    assert!(text.contains(known));
    let unit =
        unit(&text.replace(known, "gases: { H2: 12 }").replace("preservation: conservator, ", ""));
    for draws in [0, 256] {
        for cell in cells(&table(&unit, &[Some(60.0), None], &[0.0, 20.0], &[0.5], draws)) {
            assert_eq!((cell.load_pu, cell.governs.what), (None, Limiting::Unknown), "{cell:?}");
        }
    }
}

#[test]
fn a_standing_alarm_of_the_gas_relay_leaves_no_rating() {
    let text = include_str!("../../demo-data/units/fellmoor-t1.yaml");
    let alarm = text.replace("gas_relay_alarm: false", "gas_relay_alarm: true");
    assert_ne!(text, alarm);
    for cell in cells(&table(&unit(&alarm), &[Some(60.0), None], &[20.0], &[0.5], 0)) {
        assert_eq!((cell.load_pu, cell.governs.what), (None, Limiting::Condition), "{cell:?}");
    }
}
