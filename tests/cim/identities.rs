//! Identities: unique, the same in every run, and those of what a rating is for.

use crate::graph::{MODEL, Read};
use crate::made::{falling, ratings};
use crate::{limits, of, written};
use bubblemargin::rating::{Cell, Ratings};
use bubblemargin::report::rate_cim::rdf_xml;
use std::collections::BTreeSet;

#[test]
fn identities_are_unique_and_the_same_in_two_runs() {
    let unit = ratings("t1", falling());
    let first = written(&[&unit]);
    assert_eq!(first, written(&[&unit]), "nothing in it is random");
    let later = rdf_xml(&[&unit], Some("LV"), "2027-01-01T00:00:00Z").unwrap();
    let identities = Read::of(&first).identities();
    assert_eq!(identities, Read::of(&later).identities(), "a later run of the same values");
    let unique: BTreeSet<&String> = identities.iter().collect();
    // A header, a transformer with an end and a terminal, a set, four types, four limits.
    assert_eq!((identities.len(), unique.len()), (13, 13));
    for class in ["OperationalLimitSet", "OperationalLimitType", "CurrentLimit", "Terminal"] {
        for id in Read::of(&first).all(class) {
            let master = Read::of(&first).one(&id, "IdentifiedObject.mRID");
            assert_eq!(id, format!("urn:uuid:#_{master}"));
        }
    }
}

/// The same five computed by another implementation of version 5, from the names in `identity.rs`: whoever
/// changes them takes every limit in a receiving model for a new one.
#[test]
fn identities_are_those_of_another_implementation() {
    let read = of(falling());
    let own = |id: &str| id.strip_prefix("urn:uuid:#_").unwrap().to_owned();
    let set = own(&read.only("OperationalLimitSet"));
    assert_eq!(set, "4adacead-8fa9-5979-b028-081c21ceae08");
    assert_eq!(own(&read.only("PowerTransformer")), "78458508-af47-5cce-be6f-7821fe7cc31b");
    for (class, name, id) in [
        ("OperationalLimitType", "15 min", "7d8f20a8-4032-5b23-82e3-0aaefdc084ae"),
        ("OperationalLimitType", "continuous", "90dac2cf-c47c-5cb3-968f-84de90f6af73"),
        ("CurrentLimit", "15 min", "8f574404-db3b-5e2d-99dc-749f1befd0f6"),
    ] {
        assert_eq!(own(&read.named(class, name)), id, "{class} {name}");
    }
}

#[test]
fn a_new_value_changes_the_model_and_no_limit() {
    let (before, mut after) = (ratings("t1", falling()), ratings("t1", falling()));
    after.cells[0].load_pu = Some(1.55);
    after.inputs_sha256 = "f".repeat(64);
    after.date = "2027-01-01".to_owned();
    let header = format!("{MODEL}FullModel");
    let same = Ratings { cells: falling(), ..after.clone() };
    let [before, after, same] = [&before, &after, &same].map(|unit| Read::of(&written(&[unit])));
    assert_eq!(before.only(&header), same.only(&header), "other evidence, the same limits");
    assert_ne!(before.only(&header), after.only(&header), "as the header's standard wants it");
    for class in [
        "PowerTransformer",
        "Terminal",
        "OperationalLimitSet",
        "OperationalLimitType",
        "CurrentLimit",
    ] {
        assert_eq!(before.all(class), after.all(class));
    }
    assert!(limits(&before)[0].1 < limits(&after)[0].1);
}

#[test]
fn each_condition_makes_a_set_of_its_own() {
    let mut cells = Vec::new();
    let mut add = |change: &dyn Fn(&mut Cell)| {
        for mut cell in falling() {
            change(&mut cell);
            cells.push(cell);
        }
    };
    add(&|_| ());
    add(&|cell| cell.limits = "emergency".to_owned());
    add(&|cell| cell.preload_pu = 0.7);
    add(&|cell| cell.ambient_c = -27.0);
    add(&|cell| cell.from_min = Some(27.0));
    let read = of(cells);
    assert_eq!((read.all("OperationalLimitSet").len(), read.all("CurrentLimit").len()), (5, 20));
    let name = "t1 LV normal, preload 0.65 pu, from minute 27 of the forecast, ambient 27 °C there";
    read.named("OperationalLimitSet", name);
}

/// Steps of 5 °F leave digits of noise; the same condition is the same set in every run. What a forecast
/// gives for an hour is a value and no condition.
#[test]
fn noise_in_a_condition_and_the_forecast_itself_change_no_identity() {
    let at = |ambient_c: f64, from_min: Option<f64>| {
        let warm = |cell: Cell| Cell { ambient_c, from_min, ..cell };
        of(falling().into_iter().map(warm).collect()).all("CurrentLimit")
    };
    assert_eq!(at(80.0 / 3.0, None), at(26.667, None));
    assert_eq!(at(-0.0, None), at(0.0, None));
    assert_ne!(at(26.6, None), at(26.7, None));
    assert_eq!(at(20.0, Some(60.0)), at(25.0, Some(60.0)));
    assert_ne!(at(20.0, Some(60.0)), at(20.0, Some(120.0)));
}
