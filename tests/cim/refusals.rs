//! What is not written.

use crate::graph::Read;
use crate::made::{cell, falling, ratings};
use crate::{CREATED, written};
use bubblemargin::rating::{Cell, Ratings};
use bubblemargin::report::rate_cim::{CimError, rdf_xml};

fn refused(units: &[&Ratings], winding: Option<&str>) -> String {
    rdf_xml(units, winding, CREATED).unwrap_err().to_string()
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
        assert!(matches!(error, CimError::Text { .. }), "{error}");
    }
}
