//! Windings and series elements of a profile, and the facility rating they lead to.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

use bubblemargin::rating::facility::{FacilityBasis, FacilityRating, facility_rating};
use bubblemargin::rating::{Cell, Governs, Limiting, Winding};
use bubblemargin::unit::Unit;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::facility::{ElementKind, SeriesElement, ShortLimit};
use bubblemargin::unit::validate::read_unit;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

const HEAD: &str = "unit: t\nsize_class: medium\nrated: { mva: 40, cooling: ONAF }\npaper: kraft\n\
                    liquid: mineral\n";
const WINDINGS: &str = "windings:\n  - { name: HV, kv: 132 }\n  - { name: LV, kv: 33 }\n";

/// A profile with these elements; each stands on a line of its own from line 10 on.
fn with_elements(elements: &str) -> String {
    format!("{HEAD}{WINDINGS}series_elements:\n{elements}")
}

fn read(text: &str) -> Unit {
    read_unit("t.yaml", text, &Catalogue::embedded()).unwrap()
}

/// What a refusal names: line, key, found, accepted.
fn refused(text: &str) -> (usize, String, String, String) {
    let error = read_unit("t.yaml", text, &Catalogue::embedded()).unwrap_err();
    assert_eq!(error.place, "t.yaml");
    (error.line.unwrap_or(0), error.key.unwrap_or_default(), error.found, error.accepted)
}

fn cell(load_pu: Option<f64>, duration_min: Option<f64>) -> Cell {
    Cell {
        limits: "normal".to_owned(),
        preload_pu: 0.5,
        ambient_c: 20.0,
        from_min: None,
        duration_min,
        load_pu,
        held_by: None,
        governs: Governs { what: Limiting::HotSpot, code: None, words: String::new() },
        allowance_k: None,
        facility: None,
    }
}

fn windings() -> Vec<Winding> {
    let winding = |name: &str, kv, rated_a| Winding { name: name.to_owned(), kv, rated_a };
    vec![winding("HV", 132.0, 175.0), winding("LV", 33.0, 700.0)]
}

fn element(name: &str, continuous_a: Option<f64>, short: &[(f64, f64)]) -> SeriesElement {
    SeriesElement {
        name: name.to_owned(),
        kind: ElementKind::Cable,
        winding: "LV".to_owned(),
        continuous_a,
        short: short.iter().map(|&(minutes, a)| ShortLimit { minutes, a }).collect(),
    }
}

fn rated(cell: &Cell, elements: &[SeriesElement]) -> FacilityRating {
    facility_rating(cell, &windings(), elements).unwrap()
}

#[test]
fn rated_currents_follow_from_power_and_voltage() {
    let unit = read(&format!("{HEAD}{WINDINGS}  - {{ name: TV, kv: 11, mva: 10 }}\n"));
    let currents: Vec<f64> = unit.windings.iter().map(|winding| winding.rated_a).collect();
    // By hand: 40 MVA / (√3 · 132 kV) and so on, in A to two decimals.
    for (current, by_hand) in currents.iter().zip([174.95, 699.82, 524.86]) {
        assert!((current - by_hand).abs() < 0.005, "{current} A, by hand {by_hand} A");
    }
    assert!(read(HEAD).windings.is_empty() && read(HEAD).series_elements.is_empty());
}

#[test]
fn what_holds_for_an_hour_holds_for_half_an_hour() {
    let entry = "  - { name: 33 kV cable, kind: cable, winding: LV, continuous_a: 800, \
                 for: [ { minutes: 60, a: 900 }, { minutes: 15, a: 1100 } ] }\n";
    let unit = read(&with_elements(entry));
    let cable = &unit.series_elements[0];
    let limit = |minutes: f64| cable.limit_a(Some(minutes)).unwrap();
    let limits = [5.0, 15.0, 15.5, 30.0, 60.0, 61.0, 1440.0].map(limit);
    let entered = [1100.0, 1100.0, 900.0, 900.0, 900.0, 800.0, 800.0];
    assert!(limits.iter().zip(entered).all(|(limit, a)| (limit - a).abs() < 1.0e-9), "{limits:?}");
    assert_eq!(cable.limit_a(None), Some(800.0));
    assert_eq!(cable.limit_a(Some(f64::NAN)), None);
}

#[test]
fn a_limit_for_a_time_may_be_known_where_the_continuous_one_is_not() {
    let entry = "  - { name: CT, kind: current-transformer, winding: LV, continuous_a: unknown, \
                 for: [ { minutes: 15, a: 1100 } ] }\n";
    let unit = read(&with_elements(entry));
    let transformer = &unit.series_elements[0];
    assert_eq!(transformer.kind, ElementKind::CurrentTransformer);
    assert_eq!(transformer.limit_a(Some(10.0)), Some(1100.0));
    assert_eq!(transformer.limit_a(Some(20.0)), None);
    assert_eq!(transformer.limit_a(None), None);
}

#[test]
fn contradictions_are_refused_where_they_stand() {
    let cable = |rest: &str| {
        with_elements(&format!("  - {{ name: Cable, kind: cable, winding: LV, {rest} }}\n"))
    };
    for (text, line, key, found) in [
        (cable("continuous_a: 800").replace("LV, c", "MV, c"), 10, "series_elements.winding", "MV"),
        (
            cable("continuous_a: 800, for: [ { minutes: 15, a: 700 } ]"),
            10,
            "series_elements.for",
            "700 A for 15 min and 800 A for any time",
        ),
        (
            cable("continuous_a: 800, for: [ { minutes: 60, a: 1000 }, { minutes: 15, a: 900 } ]"),
            10,
            "series_elements.for",
            "900 A for 15 min and 1000 A for 60 min",
        ),
        (
            cable("continuous_a: 800, for: [ { minutes: 15, a: 900 }, { minutes: 15, a: 900 } ]"),
            10,
            "series_elements.for",
            "two entries for 15 min",
        ),
        (cable("continuous_a: 800, for: []"), 10, "series_elements.for", "an empty list"),
        (cable("continuous_a: -5"), 10, "series_elements.continuous_a", "-5"),
        (cable("continuous_a: .nan"), 10, "series_elements.continuous_a", ".nan"),
        (cable("continuous_a: 800, ampere: 5"), 10, "series_elements.ampere", "the unknown key"),
        (cable("continuous_a: 800").replace("Cable", "Transformer"), 10, ".name", "Transformer"),
        (
            cable("continuous_a: 800")
                + "  - { name: CABLE, kind: line, winding: HV, continuous_a: 1 }\n",
            11,
            "series_elements",
            "two elements named CABLE",
        ),
        (format!("{HEAD}windings: []\n"), 0, "windings", "an empty list"),
        (format!("{HEAD}{WINDINGS}series_elements: []\n"), 0, "series_elements", "an empty list"),
        (
            format!("{HEAD}{WINDINGS}  - {{ name: hv, kv: 11 }}\n"),
            9,
            "windings",
            "two windings named hv",
        ),
        (format!("{HEAD}windings:\n  - {{ name: HV, kv: 0 }}\n"), 7, "windings.kv", "0"),
        (
            format!("{HEAD}windings:\n  - {{ name: HV, kv: 132, mva: 41 }}\n"),
            7,
            "windings.mva",
            "41 MVA for HV",
        ),
    ] {
        let (at, named, what, accepted) = refused(&text);
        assert_eq!(at, line, "{text}\n{what}");
        assert!(named.ends_with(key), "{named} for {key}");
        assert!(what.contains(found), "{what} for {found}");
        assert!(!accepted.is_empty());
    }
}

#[test]
fn an_element_needs_the_windings() {
    let text = with_elements("  - { name: Cable, kind: cable, winding: LV, continuous_a: 8 }\n");
    let (line, _, found, accepted) = refused(&text.replace(WINDINGS, ""));
    assert_eq!((line, found.as_str()), (7, "LV"));
    assert!(accepted.contains("the key windings"), "{accepted}");
    let (_, key, ..) = refused(&text.replace(", continuous_a: 8", ""));
    assert_eq!(key, "series_elements.continuous_a", "silence is not `unknown`");
}

#[test]
fn the_lowest_element_is_named() {
    let (cable, breaker) =
        (element("cable", Some(770.0), &[(15.0, 1050.0)]), element("breaker", Some(1250.0), &[]));
    let elements = [cable, breaker];
    let short = rated(&cell(Some(1.4), Some(15.0)), &elements);
    assert_eq!((short.lowest.as_str(), short.load_pu), ("transformer", Some(1.4)));
    let long = rated(&cell(Some(1.2), None), &elements);
    assert_eq!(long.lowest, "cable");
    // 770 A in a winding of 700 A are 1.1 pu, 192.5 A in the other; noise of one division.
    assert!((long.load_pu.unwrap() - 1.1).abs() < 1.0e-12);
    assert!((long.a[0].a - 192.5).abs() < 1.0e-9 && (long.a[1].a - 770.0).abs() < 1.0e-9);
    assert_eq!((long.a[0].winding.as_str(), long.basis), ("HV", FacilityBasis::Lowest));
}

#[test]
fn the_unknown_is_never_the_transformers_alone() {
    let known = element("breaker", Some(900.0), &[]);
    let unknown = element("cable", None, &[(15.0, 1000.0)]);
    let lost = SeriesElement { winding: "TV".to_owned(), ..element("line", Some(900.0), &[]) };
    let rating = rated(&cell(Some(1.2), None), &[known.clone(), unknown.clone(), lost]);
    assert_eq!((rating.load_pu, rating.basis), (None, FacilityBasis::Unknown));
    assert_eq!(rating.lowest, "cable, line");
    assert!(rating.a.is_empty());
    assert_eq!(rated(&cell(Some(1.2), Some(15.0)), &[known, unknown]).load_pu, Some(1.2));
    assert_eq!(facility_rating(&cell(Some(1.2), None), &windings(), &[]), None);
}

#[test]
fn without_a_rating_of_the_transformer_there_is_none() {
    let known = [element("breaker", Some(900.0), &[])];
    for load in [None, Some(f64::NAN), Some(f64::INFINITY)] {
        let rating = rated(&cell(load, None), &known);
        assert_eq!((rating.load_pu, rating.basis), (None, FacilityBasis::NoTransformerRating));
        assert_eq!(rating.lowest, "transformer");
    }
}

#[test]
fn a_load_before_that_the_cable_does_not_carry_leaves_no_rating() {
    let cable = [element("cable", Some(600.0), &[(15.0, 1000.0)])];
    let preload = |preload_pu| Cell { preload_pu, ..cell(Some(1.2), Some(15.0)) };
    assert_eq!(rated(&preload(0.85), &cable).load_pu, Some(1.2));
    let over = rated(&preload(0.86), &cable);
    assert_eq!((over.load_pu, over.basis), (None, FacilityBasis::PreloadTooHigh));
    assert_eq!(over.lowest, "cable");
    assert_eq!(rated(&preload(f64::NAN), &cable).load_pu, None);
}

prop_compose! {
    /// Elements as a profile lets them through: a longer time never has the greater current.
    fn any_element()(
        continuous in proptest::option::of(100.0..1500.0), more in proptest::collection::vec(0.0..300.0, 0..4),
        steps in proptest::collection::vec(1.0..200.0, 4),
    ) -> SeriesElement {
        let mut a = continuous.unwrap_or(400.0);
        let mut minutes: f64 = steps.iter().sum();
        let mut short = Vec::new();
        for (more, step) in more.iter().zip(&steps) {
            a += more;
            short.push((minutes, a));
            minutes -= step;
        }
        short.reverse();
        element("any", continuous, &short)
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, rng_seed: RngSeed::Fixed(5), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn never_above_the_transformer_and_never_more_for_longer(
        elements in proptest::collection::vec(any_element(), 1..4), load in 0.1..2.0,
        shorter in 1.0..900.0, longer in 0.0..900.0,
    ) {
        let at = |minutes| rated(&cell(Some(load), minutes), &elements).load_pu;
        let (short, long, ever) = (at(Some(shorter)), at(Some(shorter + longer)), at(None));
        for pu in [short, long, ever].into_iter().flatten() {
            prop_assert!(pu <= load);
            for element in &elements {
                // What is rated for longer holds for the shorter time as well.
                prop_assert!(element.limit_a(Some(shorter)).is_some_and(|a| pu <= a / 700.0));
            }
        }
        for (less, more) in [(long, short), (ever, long)] {
            // A rating for the longer time implies one for the shorter, not below it.
            if let Some(less) = less {
                prop_assert!(more.is_some_and(|more| less <= more));
            }
        }
    }

    #[test]
    fn one_more_element_never_raises_it(
        elements in proptest::collection::vec(any_element(), 1..4), one_more in any_element(),
        load in 0.1..2.0, minutes in 1.0..900.0,
    ) {
        let asked = cell(Some(load), Some(minutes));
        let before = rated(&asked, &elements).load_pu;
        let with = [&elements[..], &[one_more]].concat();
        if let Some(after) = rated(&asked, &with).load_pu {
            prop_assert!(before.is_some_and(|before| after <= before));
        }
    }
}
