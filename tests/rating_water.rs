//! What a drier or wetter paper would carry, and permissible time against load.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "../benches/demo/case.rs"]
mod demo;

use bubblemargin::assessment::assess;
use bubblemargin::rating::capability::{Capability, DURATIONS_MIN, capability};
use bubblemargin::rating::question::{Ambient, Question};
use bubblemargin::rating::table::cells;
use bubblemargin::rating::water::{CostOfWater, Starts, cost_of_water};
use bubblemargin::rating::{Cell, Limiting};
use bubblemargin::report::{rate_capability, rate_water};
use bubblemargin::rules::limits::LimitSet;
use bubblemargin::unit::defaults::Catalogue;

/// A search without draws ends so close below the largest load, pu.
const SEARCH_PU: f64 = 1.0e-4;

/// A search with draws may end so far below the largest load, pu.
const SEARCH_WITH_DRAWS_PU: f64 = 0.002;

const DRIED_TO: f64 = 1.0;

fn question(draws: u32, sets: &[&str]) -> Question {
    let template = demo::demo(draws).unwrap();
    let catalogue = Catalogue::embedded();
    // Short enough for every set.
    let set = |name: &&str| LimitSet::named(name, template.unit.size_class, 20.0, &catalogue);
    let sets: Vec<LimitSet> = sets.iter().map(|name| set(name).unwrap()).collect();
    Question {
        template,
        durations_min: vec![Some(30.0), Some(240.0), None],
        ambients: vec![Ambient::constant(25.0)],
        preloads_pu: vec![0.65],
        sets,
    }
}

const SETS: [&str; 2] = ["iec-short-time-emergency", "iec-long-time-emergency"];

fn cost(question: &Question) -> CostOfWater {
    cost_of_water(question, DRIED_TO).unwrap()
}

fn at(cost: &CostOfWater, percent: f64) -> &[Cell] {
    let found = cost.curve.iter().find(|at| at.moisture_percent.to_bits() == percent.to_bits());
    &found.unwrap().cells
}

#[test]
fn at_its_own_moisture_the_curve_is_the_table() {
    for draws in [0, 256] {
        let mut question = question(draws, &SETS[1..]);
        let cost = cost(&question);
        assert_eq!(at(&cost, cost.counting_moisture_percent), cells(&question));
        question.template.water_as_percent = Some(cost.counting_moisture_percent + 0.5);
        assert_ne!(at(&cost, cost.counting_moisture_percent), cells(&question));
    }
}

#[test]
fn a_case_as_if_at_its_own_moisture_is_the_case() {
    let mut case = demo::demo(256).unwrap();
    let as_it_is = assess(&case);
    let own = as_it_is.bubbling.counting_moisture_percent.unwrap();
    case.water_as_percent = Some(own);
    let json = |assessment| serde_json::to_string(&assessment).unwrap();
    let expected = json(as_it_is);
    assert_eq!(json(assess(&case)), expected);
    case.water_as_percent = Some(own / 2.0);
    let bubbling = assess(&case).bubbling;
    assert!(bubbling.best_moisture_percent.unwrap() < own / 2.0);
    assert_ne!(json(assess(&case)), expected);
}

#[test]
fn what_is_no_moisture_is_never_a_rating() {
    for nonsense in [f64::NAN, f64::INFINITY, -1.0, 101.0] {
        let mut question = question(0, &SETS[1..]);
        question.template.water_as_percent = Some(nonsense);
        assert!(cells(&question).iter().all(|cell| cell.load_pu.is_none()), "{nonsense}");
        assert!(cost_of_water(&question, DRIED_TO).is_none());
    }
    let cost = cost_of_water(&question(0, &SETS[1..]), f64::NAN).unwrap();
    assert!(cost.durations.iter().all(|own| own.dried_pu.is_none() && own.loss_pu.is_none()));
}

#[test]
fn wetter_is_never_rated_higher_and_drier_never_lower() {
    for (draws, close_pu) in [(0, SEARCH_PU), (256, SEARCH_WITH_DRAWS_PU)] {
        let cost = cost(&question(draws, &SETS[1..]));
        for pair in cost.curve.windows(2) {
            for (dry, wet) in pair[0].cells.iter().zip(&pair[1].cells) {
                let (dry_pu, wet_pu) = (dry.load_pu.unwrap(), wet.load_pu.unwrap());
                assert!(wet_pu <= dry_pu + close_pu, "{draws}: {dry:?} {wet:?}");
            }
        }
        for own in &cost.durations {
            // The demo's unit is far wetter than the dried one and bubbling governs it.
            assert!(own.loss_pu.unwrap() > 0.05, "{own:?}");
        }
    }
}

#[test]
fn bubbling_starts_to_govern_where_it_says() {
    let question = question(0, &SETS[1..]);
    let cost = cost(&question);
    for (index, own) in cost.durations.iter().enumerate() {
        assert_eq!(own.bubbling.starts, Starts::Within);
        let percent = own.bubbling.percent.unwrap();
        let governs = |percent: f64| {
            let mut question = question.clone();
            question.template.water_as_percent = Some(percent);
            cells(&question)[index].governs.what
        };
        // The bracket is 0.05 % wide.
        assert_ne!(governs(percent - 0.1), Limiting::Bubbling);
        assert_eq!(governs(percent + 0.1), Limiting::Bubbling);
    }
}

#[test]
fn beyond_the_range_of_the_correlations_there_is_no_rating_and_a_reason() {
    // Above the range of 0.3 to 6 % whatever the paper's holding factor, which is no greater than 1.
    let cost = cost_of_water(&question(0, &SETS[1..]), 9.0).unwrap();
    for cell in at(&cost, 9.0) {
        assert!(cell.load_pu.is_none());
        assert_eq!(cell.governs.what, Limiting::Unknown);
        assert!(cell.governs.words.contains("outside the range"), "{}", cell.governs.words);
    }
}

#[test]
fn no_moisture_has_no_cost() {
    let mut question = question(0, &SETS[1..]);
    question.template.unit.witnesses.clear();
    assert!(cost_of_water(&question, DRIED_TO).is_none());
    assert!(cells(&question).iter().all(|cell| cell.load_pu.is_none()));
    // Without evidence there is nothing to scale.
    question.template.water_as_percent = Some(1.0);
    assert!(cells(&question).iter().all(|cell| cell.load_pu.is_none()));
}

#[test]
fn a_local_floor_does_not_raise_what_is_asked() {
    use bubblemargin::rules::local_file::read_local_rules;
    let mut question = question(0, &SETS[1..]);
    let without = cost(&question);
    let rules = "rules: fellmoor-example\nissued_by: nobody, invented\nmoisture:\n  at_least_percent: 4.5\n";
    question.template.local = Some(read_local_rules("rules", rules).unwrap());
    let with = cost(&question);
    assert!((with.counting_moisture_percent - 4.5).abs() < f64::EPSILON);
    assert_eq!(at(&with, 2.0)[0].load_pu, at(&without, 2.0)[0].load_pu);
}

fn found(question: &Question) -> Capability {
    capability(question, 0.65, &question.ambients[0])
}

#[test]
fn capability_never_rises_with_time_within_a_set() {
    for draws in [0, 256] {
        let found = found(&question(draws, &["iec-normal-cyclic", SETS[0], SETS[1]]));
        assert_eq!(found.curves.len(), 2);
        for curve in &found.curves {
            assert_eq!(curve.points.len(), DURATIONS_MIN.len() + 1);
            for pair in curve.points.windows(2) {
                let (one, other) = (&pair[0].cell, &pair[1].cell);
                let falls = other.load_pu.unwrap() <= one.load_pu.unwrap();
                assert!(falls || one.limits != other.limits, "{one:?} {other:?}");
            }
        }
    }
}

#[test]
fn capability_is_the_table_at_the_same_durations() {
    let mut question = question(0, &SETS);
    let found = found(&question);
    question.durations_min = DURATIONS_MIN.iter().copied().map(Some).chain([None]).collect();
    let table = cells(&question);
    let curve = &found.curves[0];
    assert_eq!((found.curves.len(), curve.step_at_min), (1, Some(30.0)));
    for point in &curve.points {
        assert!(table.contains(&point.cell));
        let short = point.cell.duration_min.is_some_and(|minutes| minutes < 30.0);
        assert_eq!(point.cell.limits, SETS[usize::from(!short)]);
        for (current, winding) in point.a.iter().zip(&question.template.unit.windings) {
            let expected = point.cell.load_pu.unwrap() * winding.rated_a;
            assert_eq!(current.a.to_bits(), expected.to_bits());
        }
        assert_eq!(point.a.len(), question.template.unit.windings.len());
    }
}

fn columns(text: &str, names: [&str; 3]) -> Vec<[String; 3]> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let header = reader.headers().unwrap().clone();
    let of = |name: &str| header.iter().position(|own| own == name).unwrap();
    let places = names.map(of);
    reader.records().map(|row| places.map(|at| row.as_ref().unwrap()[at].to_owned())).collect()
}

#[test]
fn csv_reads_back() {
    let question = question(0, &SETS);
    let cost = cost_of_water(&question, 9.0).unwrap();
    let read =
        columns(&rate_water::csv(&cost).unwrap(), ["moisture_percent", "duration_min", "load_pu"]);
    let cells = cost.curve.iter().flat_map(|at| at.cells.iter().map(|c| (at.moisture_percent, c)));
    let number = |text: &str| text.parse::<f64>().ok();
    let expected: Vec<_> = cells.map(|(m, c)| [Some(m), c.duration_min, c.load_pu]).collect();
    let got: Vec<_> = read.iter().map(|row| [0, 1, 2].map(|at| number(&row[at]))).collect();
    assert_eq!(got, expected);

    let found = found(&question);
    let read =
        columns(&rate_capability::csv(&found).unwrap(), ["duration_min", "load_pu", "governs"]);
    let points = &found.curves[0].points;
    assert_eq!(read.len(), points.len());
    for (row, point) in read.iter().zip(points) {
        assert_eq!(number(&row[0]), point.cell.duration_min);
        assert_eq!(number(&row[1]), point.cell.load_pu);
        assert_eq!(row[2], point.cell.governs.what.name());
    }
}

#[test]
fn text_fits_eighty_columns_and_pictures_are_well_formed() {
    let question = question(0, &["iec-normal-cyclic", SETS[0], SETS[1]]);
    // An unknown moisture too: there is nothing to draw at it.
    for cost in [9.0, DRIED_TO].map(|dried_to| cost_of_water(&question, dried_to).unwrap()) {
        let found = found(&question);
        for text in [rate_water::text(&cost), rate_capability::text(&found)] {
            assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
            assert!(text.contains("bubbling"), "{text}");
        }
        for svg in [rate_water::svg(&cost), rate_capability::svg(&found)] {
            let mut reader = quick_xml::Reader::from_str(&svg);
            while !matches!(reader.read_event().unwrap(), quick_xml::events::Event::Eof) {}
            assert!(!svg.contains("NaN"), "{svg}");
        }
    }
}
