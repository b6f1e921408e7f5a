//! The text of a comparison.

use super::scene::{Inputs, PROBE, T1, T2, compared, rated, ratings, read_back};
use bubblemargin::rating::compare::{Change, Comparison, compare};
use bubblemargin::rating::inputs::InputPart;
use bubblemargin::report::rate_changes::rendered;

fn plain(found: &Comparison) -> String {
    let text = anstream::adapter::strip_str(&rendered(found)).to_string();
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    assert!(text.lines().all(|line| line == line.trim_end()), "{text}");
    text
}

/// What no longer holds, unwrapped.
fn no_longer(text: &str) -> String {
    text.split("\n\n").next().unwrap().replace('\n', " ")
}

/// The line after it, unwrapped.
fn headline(text: &str) -> String {
    text.split("\n\n").nth(1).unwrap().replace('\n', " ")
}

#[test]
fn says_first_how_many_changed_and_why() {
    let wetter = Inputs::of(T1).with("percent: 1.0,", "percent: 3.6,");
    let text = plain(&compared(&Inputs::of(T1), &wetter));
    let first = headline(&text);
    assert!(first.starts_with("4 of 4 ratings changed, most: -"), "{first}");
    assert!(first.ends_with("; cause: moisture"), "{first}");
    assert!(text.contains("→ bubbling"), "what governs changed: {text}");
    assert_eq!(no_longer(&text), "4 of 4 earlier ratings no longer hold.");
    let text = plain(&compared(&Inputs::of(T2), &Inputs::of(T2)));
    assert_eq!(headline(&text), "none of 4 ratings changed since 2026-10-20");
    assert!(text.contains("No input differs."));
    assert_eq!(no_longer(&text), "None of 4 earlier ratings is known to have fallen.");
}

#[test]
fn a_rating_that_rose_is_no_longer_held_against_and_those_that_fell_stand_first() {
    let new = ratings(&Inputs::of(T2));
    let mut old = new.clone();
    for (cell, change_pu) in old.cells.iter_mut().zip([-0.2, 0.03, 0.05, 0.0]) {
        cell.load_pu = cell.load_pu.map(|load| load + change_pu);
    }
    let found = compare(&read_back(&old), &new, &rated);
    let fell: Vec<bool> = found.changed.iter().map(Change::fell).collect();
    assert_eq!(fell, [true, true, false]);
    assert!(found.changed[0].change_pu < found.changed[1].change_pu, "the greatest fall first");
    assert_eq!((found.permitted_earlier, found.no_longer_hold, found.not_compared), (4, 2, 0));
    let text = plain(&found);
    assert_eq!(no_longer(&text), "2 of 4 earlier ratings no longer hold.");
    let first = headline(&text);
    // No input differs, so that the program computes otherwise.
    assert!(first.starts_with("3 of 4 ratings changed, most: +0.20 pu"), "{first}");
    assert!(first.ends_with("; cause: the program"), "{first}");
    assert!(text.contains("No input differs, yet ratings do: this program computes"), "{text}");
    assert_eq!(text.matches("bubbling   program").count(), 3, "owed to it in every row: {text}");
}

#[test]
fn another_version_is_named_as_the_cause() {
    let new = ratings(&Inputs::of(T2));
    let mut old = new.clone();
    for cell in &mut old.cells {
        cell.load_pu = cell.load_pu.map(|load| load + 0.05);
    }
    let version = old.inputs.iter_mut().find(|part| part.name == "version").unwrap();
    *version = InputPart::of("version", "0.0.9");
    let mut old = read_back(&old);
    "0.0.9".clone_into(&mut old.tool.version);
    let text = plain(&compare(&old, &new, &rated));
    let cause = format!(
        "cause: the program or its profile files (version 0.0.9 then, {} now)",
        new.tool.version
    );
    assert!(headline(&text).ends_with(&cause), "{text}");
}

#[test]
fn an_earlier_rating_that_is_not_in_the_table_is_not_said_to_hold() {
    let old = ratings(&Inputs::of(T2));
    let mut new = old.clone();
    new.cells.truncate(3);
    let text = plain(&compare(&read_back(&old), &new, &rated));
    let first = "None of 4 earlier ratings is known to have fallen; 1 is not in this table, so do not count on it.";
    assert_eq!(no_longer(&text), first);
}

#[test]
fn names_several_causes_and_what_is_not_told() {
    let new = Inputs::of(T2)
        .with("top_oil_rise_k: 52", "top_oil_rise_k: 70")
        .with("percent: 3.3,", "percent: 2.9,")
        .with("serial: FM-4002", "serial: FM-4003");
    let text = plain(&compared(&Inputs::of(T2), &new));
    assert!(headline(&text).ends_with("causes: thermal, moisture"), "{text}");
    assert!(text.contains("move no rating alone: serial."), "{text}");
    assert!(text.contains("all together"), "{text}");
    let mut new = Inputs::of(T2).with("fellmoor-t2-probe.csv", "second-probe.csv");
    new.files = vec![("second-probe.csv".to_owned(), PROBE.to_owned())];
    let text = plain(&compared(&Inputs::of(T2), &new.with("percent: 3.3,", "percent: 2.9,")));
    assert!(headline(&text).ends_with("inputs that act only together, see below"), "{text}");
    assert!(text.contains("moisture (changed): not told:"), "{text}");
}

#[test]
fn keeps_within_its_columns_whatever_the_figures() {
    let new = ratings(&Inputs::of(T2));
    let mut old = new.clone();
    let name = "a-very-long-name-of-a-limit-set-of-an-owner";
    let mut many = new.clone();
    many.cells.clear();
    old.cells.clear();
    for step in 0..40_u32 {
        let mut cell = new.cells[0].clone();
        cell.limits = format!("{name}-{}", step % 3);
        cell.from_min = (step % 2 == 0).then(|| 60.0 * f64::from(step));
        cell.ambient_c = -f64::from(step);
        cell.duration_min = Some(90.0 + 1440.0 * f64::from(step % 3));
        many.cells.push(cell.clone());
        cell.load_pu = (step % 5 != 0).then_some(0.5);
        old.cells.push(cell);
    }
    let text = plain(&compare(&read_back(&old), &many, &rated));
    assert!(text.contains("20 more changed"), "{text}");
    assert!(text.contains("none  "), "{text}");
}
