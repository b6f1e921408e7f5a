//! The text of a comparison.

use super::scene::{Inputs, PROBE, T1, T2, compared, rated, ratings, read_back};
use bubblemargin::rating::compare::{Comparison, compare};
use bubblemargin::report::rate_changes::rendered;

fn plain(found: &Comparison) -> String {
    let text = anstream::adapter::strip_str(&rendered(found)).to_string();
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    assert!(text.lines().all(|line| line == line.trim_end()), "{text}");
    text
}

/// The first line, unwrapped.
fn headline(text: &str) -> String {
    text.split("\n\n").next().unwrap().replace('\n', " ")
}

#[test]
fn says_first_how_many_changed_and_why() {
    let wetter = Inputs::of(T1).with("percent: 1.0,", "percent: 3.6,");
    let text = plain(&compared(&Inputs::of(T1), &wetter));
    let first = headline(&text);
    assert!(first.starts_with("4 of 4 ratings changed, most: -"), "{first}");
    assert!(first.ends_with("; cause: moisture"), "{first}");
    assert!(text.contains("→ bubbling"), "what governs changed: {text}");
    let text = plain(&compared(&Inputs::of(T2), &Inputs::of(T2)));
    assert_eq!(headline(&text), "none of 4 ratings changed since 2026-10-20");
    assert!(text.contains("No input differs."));
}

#[test]
fn names_several_causes_and_what_is_not_told() {
    let new = Inputs::of(T2)
        .with("top_oil_rise_k: 52", "top_oil_rise_k: 70")
        .with("percent: 3.3,", "percent: 2.4,")
        .with("serial: FM-4002", "serial: FM-4003");
    let text = plain(&compared(&Inputs::of(T2), &new));
    assert!(headline(&text).ends_with("causes: thermal, moisture"), "{text}");
    assert!(text.contains("move no rating alone: serial."), "{text}");
    assert!(text.contains("all together"), "{text}");
    let mut new = Inputs::of(T2).with("fellmoor-t2-probe.csv", "second-probe.csv");
    new.files = vec![("second-probe.csv".to_owned(), PROBE.to_owned())];
    let text = plain(&compared(&Inputs::of(T2), &new.with("percent: 3.3,", "percent: 2.4,")));
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
