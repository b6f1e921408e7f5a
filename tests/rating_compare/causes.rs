//! Which input caused a change.

use super::scene::{Inputs, PROBE, T1, T2, compared, rated, ratings, read_back};
use bubblemargin::rating::compare::{Change, Comparison, Differs, LEAST_CHANGE_PU, compare};
use bubblemargin::rating::inputs::InputPart;
use bubblemargin::rating::{Limiting, Ratings};

/// Sums and differences of a few doubles around 1.
const DUST_PU: f64 = 1.0e-9;

/// The names of inputs that move ratings, and of those that differ.
fn names(found: &Comparison) -> (Vec<&str>, Vec<&str>) {
    let moving =
        found.causes.iter().filter(|own| own.effect.as_ref().is_some_and(|own| own.moved > 0));
    let all = found.causes.iter().map(|own| own.name.as_str());
    (moving.map(|own| own.name.as_str()).collect(), all.collect())
}

fn shares_add_up(change: &Change) {
    let singly: f64 = change.by.iter().map(|share| share.change_pu).sum();
    let all = singly + change.together_pu + change.rest_pu;
    assert!((all - change.change_pu).abs() < DUST_PU, "{change:?}");
}

#[test]
fn nothing_changes_where_no_input_differs() {
    let found = compared(&Inputs::of(T2), &Inputs::of(T2));
    assert_eq!((found.compared, found.changed.len(), found.causes.len()), (4, 0, 0));
    assert!(found.appeared.is_empty() && found.vanished.is_empty() && found.all_put_back.is_none());
}

#[test]
fn a_change_of_one_section_is_owed_to_it_alone() {
    let wetter = Inputs::of(T1).with("percent: 1.0,", "percent: 3.6,");
    let found = compared(&Inputs::of(T1), &wetter);
    assert_eq!(names(&found), (vec!["unit.moisture"], vec!["unit.moisture"]));
    assert!(!found.changed.is_empty());
    for change in &found.changed {
        assert!(change.change_pu < -LEAST_CHANGE_PU, "water takes from a rating: {change:?}");
        assert_eq!(change.new_governs, Limiting::Bubbling);
        assert_eq!((change.by.len(), change.by[0].name.as_str()), (1, "unit.moisture"));
        assert!((change.by[0].change_pu - change.change_pu).abs() < DUST_PU, "{change:?}");
        assert!(change.together_pu.abs() < DUST_PU && change.rest_pu.abs() < DUST_PU);
    }
    let first = &found.changed[0];
    assert!(found.changed.iter().all(|own| own.change_pu.abs() <= first.change_pu.abs()));
    assert_eq!(found.causes[0].how, Differs::Changed);
    assert_eq!(found.all_put_back, found.causes[0].effect, "one input is all of them");
}

#[test]
fn two_changes_are_told_apart() {
    let old = Inputs::of(T2);
    let new = Inputs::of(T2)
        .with("top_oil_rise_k: 52", "top_oil_rise_k: 70")
        .with("percent: 3.3,", "percent: 2.9,")
        .with("serial: FM-4002", "serial: FM-4003");
    let found = compared(&old, &new);
    let (moving, all) = names(&found);
    assert_eq!(moving, ["unit.thermal", "unit.moisture"], "what moves more stands first");
    assert_eq!(all, ["unit.thermal", "unit.moisture", "unit.serial"]);
    let most = |index: usize| found.causes[index].effect.as_ref().unwrap().most_pu;
    assert!(most(0) < 0.0 && most(1) > 0.0, "hotter oil takes, drier paper gives");
    for change in &found.changed {
        shares_add_up(change);
        assert!(change.rest_pu.abs() < DUST_PU, "all put back is the old unit: {change:?}");
    }
    // Each alone is what a table of its own says.
    let alone = compared(&old.clone().with("percent: 3.3,", "percent: 2.9,"), &new);
    let of = |found: &Comparison, name: &str| {
        found.causes.iter().find(|own| own.name == name).unwrap().effect.clone()
    };
    assert_eq!(of(&alone, "unit.thermal"), of(&found, "unit.thermal"));
}

#[test]
fn a_section_that_no_rating_depends_on_moves_none() {
    let found =
        compared(&Inputs::of(T2), &Inputs::of(T2).with("serial: FM-4002", "serial: FM-4009"));
    assert_eq!(names(&found), (vec![], vec!["unit.serial"]));
    assert!(found.changed.is_empty() && found.causes[0].effect.is_some());
}

/// Ratings made up so that one input takes as much as the other gives.
#[test]
fn changes_that_cancel_out_are_named_all_the_same() {
    let new = ratings(&Inputs::of(T2).with("made: 1987", "made: 1988").with("FM-4002", "FM-4003"));
    let cells = |load_pu: f64| {
        let mut cells = new.cells.clone();
        for cell in &mut cells {
            cell.load_pu = Some(load_pu);
        }
        cells
    };
    let new = Ratings { cells: cells(1.0), ..new.clone() };
    let old = Ratings { cells: cells(1.0), inputs: Inputs::of(T2).parts(), ..new.clone() };
    let made_up = |parts: &[InputPart]| {
        let is = |name: &str, words: &str| {
            let part = parts.iter().find(|part| part.name == name).unwrap();
            part.text.as_ref().unwrap().contains(words)
        };
        let taken = if is("unit.made", "1987") { 0.1 } else { 0.0 };
        let given = if is("unit.serial", "FM-4002") { 0.1 } else { 0.0 };
        Ok(cells(1.0 + taken - given))
    };
    let found = compare(&read_back(&old), &new, &made_up);
    assert!(found.changed.is_empty());
    let most = |name: &str| {
        let cause = found.causes.iter().find(|own| own.name == name).unwrap();
        cause.effect.as_ref().unwrap().most_pu
    };
    assert!((most("unit.serial") - 0.1).abs() < DUST_PU);
    assert!((most("unit.made") + 0.1).abs() < DUST_PU);
    assert_eq!(found.all_put_back.unwrap().moved, 0);
}

#[test]
fn what_can_only_be_put_back_together_is() {
    // Another file under another name, with wetter readings: neither the section nor the file alone is a unit.
    let mut new = Inputs::of(T2).with("fellmoor-t2-probe.csv", "second-probe.csv");
    new.files = vec![("second-probe.csv".to_owned(), PROBE.to_owned())];
    let new = new
        .with("percent: 3.3,", "percent: 2.9,")
        .with("percent: 1.6, std: 0.3", "percent: 1.7, std: 0.3");
    let found = compared(&Inputs::of(T2), &new);
    assert!(!found.changed.is_empty());
    let cause = |name: &str| found.causes.iter().find(|own| own.name == name).unwrap();
    let section = cause("unit.moisture");
    assert!(section.not_computed.as_ref().unwrap().contains("no such file"), "{section:?}");
    assert_eq!(cause("file.second-probe.csv").how, Differs::Added);
    assert_eq!(cause("file.fellmoor-t2-probe.csv").how, Differs::Removed);
    for change in &found.changed {
        shares_add_up(change);
        assert!((change.together_pu - change.change_pu).abs() < DUST_PU, "{change:?}");
    }
}

/// An earlier answer of another version: its ratings 0.05 pu higher, its inputs the same but for the program.
fn of_another_version() -> (Ratings, Ratings) {
    let new = ratings(&Inputs::of(T2));
    let mut old = new.clone();
    for cell in &mut old.cells {
        cell.load_pu = cell.load_pu.map(|load| load + 0.05);
    }
    let program =
        |part: &&mut InputPart| part.name == "version" || part.name.starts_with("profiles.limits");
    for part in old.inputs.iter_mut().filter(program) {
        let kept = part.text.is_some();
        *part = InputPart::of(&part.name, "other");
        part.text = part.text.take().filter(|_| kept);
    }
    (old, new)
}

#[test]
fn what_the_program_brings_is_said_to_be_out_of_reach() {
    let (old, new) = of_another_version();
    let never = |_: &[InputPart]| Err("must not be asked".to_owned());
    let found = compare(&read_back(&old), &new, &never);
    assert_eq!(found.changed.len(), 4);
    for change in &found.changed {
        assert!(change.by.is_empty() && (change.rest_pu + 0.05).abs() < DUST_PU, "{change:?}");
    }
    assert!(found.causes.len() > 1 && found.all_put_back.is_none());
    for cause in &found.causes {
        assert!(cause.not_computed.as_ref().unwrap().contains("cannot be put back"), "{cause:?}");
    }
}

#[test]
fn a_text_that_was_not_kept_is_said_to_be_lacking() {
    let (old, new) =
        (ratings(&Inputs::of(T1)), ratings(&Inputs::of(T1).with("percent: 1.0,", "percent: 3.6,")));
    let mut old = read_back(&old);
    let moisture = old.inputs.iter_mut().find(|part| part.name == "unit.moisture").unwrap();
    moisture.text = None;
    let found = compare(&old, &new, &rated);
    assert!(found.causes[0].not_computed.as_ref().unwrap().contains("too long"));
    assert!(found.changed.iter().all(|own| (own.rest_pu - own.change_pu).abs() < DUST_PU));
}

#[test]
fn ratings_of_one_table_alone_are_listed() {
    let old = ratings(&Inputs::of(T2));
    let mut new = old.clone();
    new.cells[0].ambient_c = 25.0;
    // What the last binary digit of a file may lose is no other place.
    new.cells[1].preload_pu += 1.0e-15;
    let found = compare(&read_back(&old), &new, &rated);
    assert_eq!((found.compared, found.appeared.len(), found.vanished.len()), (3, 1, 1));
    assert!((found.appeared[0].ambient_c - 25.0).abs() < DUST_PU);
    assert!((found.vanished[0].ambient_c - 20.0).abs() < DUST_PU);
}

#[test]
fn what_governs_counts_and_less_than_the_search_resolves_does_not() {
    let new = ratings(&Inputs::of(T2));
    let mut old = new.clone();
    old.cells[0].load_pu = old.cells[0].load_pu.map(|load| load + 0.9 * LEAST_CHANGE_PU);
    old.cells[1].load_pu = None;
    old.cells[2].governs.what = Limiting::Ageing;
    let found = compare(&read_back(&old), &new, &rated);
    assert_eq!(found.changed.len(), 2, "{:?}", found.changed);
    assert!(found.changed[0].old_pu.is_none() && found.changed[0].is_of_load());
    assert!(found.changed[1].old_governs == Limiting::Ageing && !found.changed[1].is_of_load());
}
