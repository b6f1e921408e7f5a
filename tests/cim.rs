//! The export of ratings as operational limits, read back by a general-purpose RDF library.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap or a panic is a failed test"
)]

#[path = "cim/graph.rs"]
mod graph;
#[path = "cim/identities.rs"]
mod identities;
#[path = "cim/made.rs"]
mod made;
#[path = "cim/refusals.rs"]
mod refusals;

use bubblemargin::rating::{Cell, NOTICE, Ratings};
use bubblemargin::report::rate_cim::rdf_xml;
use graph::{MODEL, Read};
use made::{cell, falling, ratings};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

const CREATED: &str = "2026-10-20T09:30:00Z";

fn written(units: &[&Ratings]) -> String {
    rdf_xml(units, Some("LV"), CREATED).unwrap()
}

fn of(cells: Vec<Cell>) -> Read {
    Read::of(&written(&[&ratings("t1", cells)]))
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
    assert!(
        about.contains("Limits: The normal limits <of the guide> [iec-60076-7-2018]"),
        "{about}"
    );
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
