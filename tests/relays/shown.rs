//! The text of the answers.

use crate::scene::{RELAYS, Scene};
use bubblemargin::rating::protection::Permitted;
use bubblemargin::report::rate_relays::rendered;
use unicode_width::UnicodeWidthStr;

fn plain(scene: &Scene) -> String {
    anstream::adapter::strip_str(&rendered(&scene.answer())).to_string()
}

#[test]
fn what_must_not_be_overlooked_comes_first() {
    let wet = plain(&Scene::wet());
    assert!(wet.starts_with("The paper may bubble before overload is released to trip."), "{wet}");
    assert!(wet.contains("The paper may bubble before winding trips."));
    assert!(plain(&Scene::dry()).starts_with("Protection\n"));
}

#[test]
fn the_two_answers_stand_apart() {
    let text = plain(&Scene::wet());
    let at = |words: &str| text.find(words).unwrap_or_else(|| unreachable!("{words}\n{text}"));
    let through = at("1. Does protection let the permitted loads through?  NO");
    let before = at("2. Would protection act before the paper bubbles?  NO");
    let settings = at("Settings that satisfy both");
    let criterion = at("Relay loadability criterion, not a permitted temperature");
    assert!(through < before && before < settings && settings < criterion);
    assert!(text.contains("generic first-order"));
    // Where the cited rule binds stands beside its figures and in each finding that cites it.
    let one_line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(one_line.contains("NERC PRC-023-4 of 2014, from memory: binds in North America only"));
    let findings = Scene::wet().answer().findings;
    let mut cites = findings.iter().filter(|own| own.code == "relay-loadability").peekable();
    assert!(cites.peek().is_some());
    assert!(cites.all(|own| own.text.contains("NERC PRC-023-4, North America, from memory")));
}

#[test]
fn every_line_fits_the_terminal() {
    let long = RELAYS
        .replace(
            "name: winding",
            "name: a winding indicator with a name beyond all reason 東京東京東京東京東京",
        )
        .replace("name: backup", "name: backup overcurrent on the high side");
    let always = Permitted { duration_min: None, load_pu: 1.0, allowance_k: 0.0 };
    let unknown = Permitted { allowance_k: f64::NAN, ..always };
    for scene in [Scene::dry(), Scene::wet()] {
        for permitted in [scene.permitted.clone(), vec![always], vec![unknown], Vec::new()] {
            let scene = Scene { relays: long.clone(), permitted, ..scene.clone() };
            for line in plain(&scene).lines() {
                assert!(line.width() <= 80, "{} columns: {line}", line.width());
            }
        }
    }
}
