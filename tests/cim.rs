//! The export of ratings as operational limits, read back by a general-purpose RDF library.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap or a panic is a failed test"
)]

#[path = "cim/graph.rs"]
mod graph;
#[path = "cim/made.rs"]
mod made;

use bubblemargin::rating::{Cell, NOTICE, Ratings};
use bubblemargin::report::rate_cim::{CimError, rdf_xml};
use graph::{MODEL, Read};
use made::{cell, falling, ratings};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::collections::BTreeSet;

const CREATED: &str = "2026-10-20T09:30:00Z";

fn written(units: &[&Ratings]) -> String {
    rdf_xml(units, Some("LV"), CREATED).unwrap()
}

fn of(cells: Vec<Cell>) -> Read {
    Read::of(&written(&[&ratings("t1", cells)]))
}

fn refused(units: &[&Ratings], winding: Option<&str>) -> String {
    rdf_xml(units, winding, CREATED).unwrap_err().to_string()
}

/// Every limit as (duration in s, or `None` where it is infinite; current in A), the shortest first.
fn limits(read: &Read) -> Vec<(Option<f64>, f64)> {
    let limit = |id: &String| {
        let of_type = read.one(id, "OperationalLimit.OperationalLimitType");
        let duration = read.maybe(&of_type, "OperationalLimitType.acceptableDuration");
        let infinite = read.one(&of_type, "OperationalLimitType.isInfiniteDuration");
        assert_eq!(infinite, duration.is_none().to_string(), "no duration beside an infinite one");
        assert_eq!(read.one(id, "CurrentLimit.value"), read.one(id, "CurrentLimit.normalValue"));
        let a: f64 = read.one(id, "CurrentLimit.value").parse().unwrap();
        (duration.map(|seconds| seconds.parse().unwrap()), a)
    };
    let mut all: Vec<(Option<f64>, f64)> = read.all("CurrentLimit").iter().map(limit).collect();
    let seconds = |limit: &(Option<f64>, f64)| limit.0.unwrap_or(f64::INFINITY);
    all.sort_by(|one, other| seconds(one).total_cmp(&seconds(other)));
    all
}

#[test]
fn every_limit_points_to_a_set_and_a_type_that_are_there() {
    let emergency =
        falling().into_iter().map(|cell| Cell { limits: "emergency".to_owned(), ..cell });
    let cells: Vec<Cell> = falling().into_iter().chain(emergency).collect();
    let (one, two) = (ratings("t1", cells.clone()), ratings("t2", cells));
    let read = Read::of(&written(&[&one, &two]));
    let counts =
        ["PowerTransformer", "OperationalLimitSet", "OperationalLimitType", "CurrentLimit"]
            .map(|class| read.all(class).len());
    assert_eq!(counts, [2, 4, 4, 16]);
    let (sets, types) = (read.all("OperationalLimitSet"), read.all("OperationalLimitType"));
    for limit in read.all("CurrentLimit") {
        assert!(sets.contains(&read.one(&limit, "OperationalLimit.OperationalLimitSet")));
        assert!(types.contains(&read.one(&limit, "OperationalLimit.OperationalLimitType")));
    }
    for set in sets {
        let terminal = read.one(&set, "OperationalLimitSet.Terminal");
        let transformer = read.one(&terminal, "Terminal.ConductingEquipment");
        assert!(read.all("PowerTransformer").contains(&transformer));
        let unit = read.one(&transformer, "IdentifiedObject.name");
        assert!(read.one(&set, "IdentifiedObject.name").starts_with(&format!("{unit} LV ")));
    }
    for of_type in types {
        let direction = read.one(&of_type, "OperationalLimitType.direction");
        assert!(direction.ends_with("CIM100#OperationalLimitDirectionKind.absoluteValue"));
    }
}

#[test]
fn the_chosen_winding_is_an_end_of_the_transformer() {
    let unit = ratings("t1", falling());
    for (winding, number, kv, continuous_a) in [("HV", "1", "132", 174.9), ("LV", "2", "33", 699.8)]
    {
        let read = Read::of(&rdf_xml(&[&unit], Some(winding), CREATED).unwrap());
        let end = read.only("PowerTransformerEnd");
        let transformer = read.one(&end, "PowerTransformerEnd.PowerTransformer");
        assert_eq!(transformer, read.only("PowerTransformer"));
        assert_eq!(read.one(&end, "TransformerEnd.Terminal"), read.only("Terminal"));
        assert_eq!(read.one(&end, "TransformerEnd.endNumber"), number, "the highest voltage first");
        assert_eq!(read.one(&end, "PowerTransformerEnd.ratedU"), kv);
        let last = limits(&read).pop().unwrap();
        // Both are printed with one decimal; they differ by noise of reading, if at all.
        assert!(last.0.is_none() && (last.1 - continuous_a).abs() < 1.0e-9);
    }
}

#[test]
fn durations_and_currents_are_those_of_the_ratings() {
    let read = of(falling());
    // 1.5, 1.5, 1.2 and 1.0 pu of 699.82 A, rounded down to a tenth.
    let by_hand =
        [(Some(900.0), 1049.7), (Some(1800.0), 1049.7), (Some(14_400.0), 839.7), (None, 699.8)];
    assert_eq!(limits(&read), by_hand);
    let set = read.only("OperationalLimitSet");
    let name = read.one(&set, "IdentifiedObject.name");
    assert_eq!(name, "t1 LV normal, preload 0.65 pu, ambient 27 °C");
    let about = read.one(&set, "IdentifiedObject.description");
    assert!(about.contains("The normal limits <of the guide> [iec-60076-7-2018]"), "{about}");
    let limit = read.named("CurrentLimit", "4 h");
    let why = read.one(&limit, "IdentifiedObject.description");
    assert_eq!(why, "Governed by: hot spot 120.4 °C, limit 120 °C");
}

#[test]
fn a_rating_that_is_missing_is_named_and_no_limit() {
    let mut cells = falling();
    cells[3].load_pu = None;
    cells[3].governs.words = "no load passes".to_owned();
    cells[2].load_pu = Some(0.0);
    let read = of(cells);
    assert_eq!(limits(&read).len(), 2, "nor is a current of nothing a limit");
    let set = read.only("OperationalLimitSet");
    let about = read.one(&set, "IdentifiedObject.description");
    assert!(about.contains("No rating for 4 h: hot spot 120.4 °C, limit 120 °C."), "{about}");
    assert!(about.contains("No rating for continuous: no load passes."), "{about}");
    assert_eq!(read.all("OperationalLimitType").len(), 4, "its type is still there");
}

#[test]
fn ratings_that_rise_with_the_duration_are_not_written() {
    let rising = |minutes, load| vec![cell(minutes, load), cell(None, Some(1.0))];
    let unit = ratings("t1", rising(Some(15.0), Some(0.9)));
    let error = refused(&[&unit], Some("LV"));
    assert!(
        error.contains("699.8 A (continuous)") && error.contains("629.8 A (15 min)"),
        "{error}"
    );
    let unit = ratings("t1", rising(Some(15.0), None));
    let error = refused(&[&unit], Some("LV"));
    assert!(error.contains("found 699.8 A (continuous)") && error.contains("no rating (15 min)"));
}

#[test]
fn what_is_no_number_or_stands_twice_is_not_written() {
    let changed = |change: fn(&mut Cell)| {
        let mut cells = falling();
        change(&mut cells[1]);
        rdf_xml(&[&ratings("t1", cells)], Some("LV"), CREATED).unwrap_err()
    };
    for (error, quantity) in [
        (changed(|cell| cell.load_pu = Some(f64::NAN)), "load"),
        (changed(|cell| cell.load_pu = Some(-0.1)), "load"),
        (changed(|cell| cell.load_pu = Some(f64::INFINITY)), "load"),
        (changed(|cell| cell.duration_min = Some(f64::NAN)), "duration"),
        (changed(|cell| cell.duration_min = Some(0.0)), "duration"),
        (changed(|cell| cell.duration_min = Some(f64::INFINITY)), "duration"),
        (changed(|cell| cell.preload_pu = f64::NAN), "preload"),
        (changed(|cell| cell.ambient_c = f64::INFINITY), "ambient"),
    ] {
        let right =
            matches!(&error, CimError::NotANumber { quantity: named, .. } if *named == quantity);
        assert!(right, "{error} for {quantity}");
    }
    let twice = changed(|cell| cell.duration_min = Some(15.0));
    assert!(matches!(twice, CimError::Twice { .. }), "{twice}");
}

#[test]
fn a_winding_that_the_unit_does_not_state_is_refused() {
    let mut unit = ratings("t1", falling());
    let error = refused(&[&unit], Some("TV"));
    assert_eq!(error, "t1, winding\n  found:    TV\n  accepted: one of LV, HV");
    assert!(refused(&[&unit], None).contains("no choice of a winding"));
    unit.unit.windings.truncate(1);
    assert!(rdf_xml(&[&unit], None, CREATED).is_ok(), "the only one needs no choice");
    unit.unit.windings[0].rated_a = f64::NAN;
    assert!(refused(&[&unit], None).contains("NaN A rated in LV"));
    unit.unit.windings.clear();
    assert!(refused(&[&unit], Some("LV")).contains("a profile with the key windings"));
    assert!(refused(&[], Some("LV")).contains("no rated unit"));
}

#[test]
fn two_units_of_one_name_at_one_site_are_refused() {
    let (one, mut other) = (ratings("t1", falling()), ratings("t1", falling()));
    assert!(refused(&[&one, &other], Some("LV")).contains("two units named t1"));
    other.unit.site = Some("Elsewhere".to_owned());
    let read = Read::of(&written(&[&one, &other]));
    assert_eq!(read.all("CurrentLimit").len(), 8);
}

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
    after.cells[1].governs.words = "top oil".to_owned();
    let (before, after) = (Read::of(&written(&[&before])), Read::of(&written(&[&after])));
    let header = format!("{MODEL}FullModel");
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

#[test]
fn the_header_says_what_made_it_and_that_it_is_the_transformer_only() {
    let mut other = ratings("t2", falling());
    other.assumptions.push("Gas assumed".to_owned());
    let text = written(&[&ratings("t1", falling()), &other]);
    let root = text.lines().take(8).collect::<Vec<_>>().join("\n");
    for namespace in [
        "http://iec.ch/TC57/CIM100#",
        "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
        "http://iec.ch/TC57/61970-552/ModelDescription/1#",
    ] {
        assert!(root.contains(namespace), "{root}");
    }
    let read = Read::of(&text);
    let header = read.only(&format!("{MODEL}FullModel"));
    assert!(header.starts_with("urn:uuid:"));
    let of_model = |property: &str| read.one(&header, &format!("{MODEL}Model.{property}"));
    assert_eq!(of_model("created"), CREATED);
    for property in ["version", "profile", "modelingAuthoritySet"] {
        assert!(!of_model(property).is_empty());
    }
    let about = of_model("description");
    let hash = "0123456789abcdef".repeat(4);
    for part in [
        NOTICE,
        concat!("bubblemargin ", env!("CARGO_PKG_VERSION"), ", methodology bubblemargin-rating-1"),
        "2026-10-20",
        &format!("t1: inputs SHA-256 {hash}."),
        "Assumption: Ambient held constant.",
        "Assumption (t2): Gas assumed.",
    ] {
        assert!(about.contains(part), "{part} in {about}");
    }
    assert_eq!(about.matches("Ambient held constant").count(), 1, "said once for both");
}

#[test]
fn names_that_look_like_markup_survive() {
    for nasty in [
        "</cim:PowerTransformer><x>",
        "a & b &amp; c &#x41; ]]> \"d\" 'e'",
        "<![CDATA[ x ]]>",
        "  two  blanks  ",
        "Übergabe Ω 变压器 🌊",
        "<!-- no comment -->",
    ] {
        let mut unit = ratings(nasty, falling());
        unit.unit.windings[0].name = nasty.to_owned();
        unit.cells.iter_mut().for_each(|cell| cell.governs.words = nasty.to_owned());
        unit.assumptions = vec![nasty.to_owned()];
        let read = Read::of(&rdf_xml(&[&unit], Some(nasty), nasty).unwrap());
        assert_eq!(read.one(&read.only("PowerTransformer"), "IdentifiedObject.name"), nasty);
        let both = format!("{nasty} {nasty}");
        assert_eq!(read.one(&read.only("Terminal"), "IdentifiedObject.name"), both);
        let limit = read.named("CurrentLimit", "continuous");
        let why = read.one(&limit, "IdentifiedObject.description");
        assert_eq!(why, format!("Governed by: {nasty}"));
        let header = read.only(&format!("{MODEL}FullModel"));
        assert_eq!(read.one(&header, &format!("{MODEL}Model.created")), nasty);
    }
}

#[test]
fn control_characters_are_refused() {
    for odd in
        ['\0', '\u{1f}', '\n', '\t', '\r', '\u{1b}', '\u{7f}', '\u{85}', '\u{fffe}', '\u{ffff}']
    {
        let text = format!("a{odd}b");
        let mut names = ratings(&text, falling());
        assert!(refused(&[&names], Some("LV")).contains("control character"), "{odd:?}");
        names.unit.name = "t1".to_owned();
        names.unit.site = Some(text.clone());
        assert!(refused(&[&names], Some("LV")).contains("control character"));
        names.unit.site = None;
        names.cells[0].governs.words.clone_from(&text);
        assert!(refused(&[&names], Some("LV")).contains("control character"));
        names.cells[0].governs.words.clear();
        names.cells.iter_mut().for_each(|cell| cell.limits.clone_from(&text));
        let error = rdf_xml(&[&names], Some("LV"), CREATED).unwrap_err();
        assert!(matches!(error, CimError::Text { .. }) && !error.to_string().contains(odd));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, rng_seed: RngSeed::Fixed(7), failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever the loads, the longest time has the smallest current, and none is above its rating.
    #[test]
    fn the_longest_time_has_the_smallest_current_and_none_is_rounded_up(
        mut loads in proptest::collection::vec(0.001..2.0, 4), rated_a in 1.0..20_000.0,
    ) {
        loads.sort_by(|one: &f64, other| other.total_cmp(one));
        let minutes = [Some(15.0), Some(30.0), Some(240.0), None];
        let cells = minutes.iter().zip(&loads).map(|(minutes, load)| cell(*minutes, Some(*load)));
        let mut unit = ratings("t1", cells.collect());
        unit.unit.windings[0].rated_a = rated_a;
        let limits = limits(&Read::of(&written(&[&unit])));
        for pair in limits.windows(2) {
            prop_assert!(pair[1].1 <= pair[0].1);
        }
        // A rating below 0.1 A gives no limit; the longest times go first.
        for ((duration, a), (minutes, load)) in limits.iter().zip(minutes.iter().zip(&loads)) {
            prop_assert_eq!(*duration, minutes.map(|minutes: f64| minutes * 60.0));
            let exact = load * rated_a;
            // 0.1 A and noise: a printed tenth is not exactly one.
            prop_assert!(*a <= exact && exact - a < 0.1 + 1.0e-9, "{} for {}", a, exact);
        }
        let written = loads.iter().filter(|load| *load * rated_a >= 0.1).count();
        prop_assert_eq!(limits.len(), written);
    }
}
