//! The answer of `moisture` as people see it: its text at 80 columns, and its SVG.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

use assert_cmd::Command;
use quick_xml::Reader;
use quick_xml::events::Event;
use std::fmt::Write;
use std::fs;
use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What every unit here has beside its moisture evidence.
const UNIT: &str = "unit: odd
made: 1987
size_class: medium
rated: { mva: 40, cooling: ONAF }
paper: kraft
liquid: mineral
thermal: { constants: onaf, top_oil_rise_k: 50, hot_spot_gradient_k: 24, loss_ratio: 6 }
cooling_stages: [ { name: ONAF, rating_pu: 1 } ]
oil: { preservation: conservator, altitude_m: 210, head_above_hot_spot_m: 1.8 }
gas: { sampled: 2026-09-03, total_percent: 6.2 }
";

/// A profile of that unit, written where the command can read it; tests run side by side, so each
/// gets a file of its own.
fn profile(name: &str, more: &str) -> String {
    static WRITTEN: AtomicUsize = AtomicUsize::new(0);
    let number = WRITTEN.fetch_add(1, Ordering::Relaxed);
    let file = format!("wetness-{name}-{number}.yaml");
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(file);
    fs::write(&path, format!("{UNIT}{more}")).unwrap();
    path.display().to_string()
}

/// What `moisture` says; anything but an answer, decided or not, is a failed test.
fn moisture(unit: &str, format: &str) -> String {
    let day = ["--as-of", "2026-10-20", "--format", format];
    let mut command = Command::cargo_bin("bubblemargin").unwrap();
    let output = command.args(["moisture", unit]).args(day).env("NO_COLOR", "1").output().unwrap();
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(matches!(output.status.code(), Some(0 | 4)), "{unit}: {complaint}");
    String::from_utf8(output.stdout).unwrap()
}

fn demo(unit: &str) -> String {
    format!("demo-data/units/{unit}.yaml")
}

fn evidence(witnesses: &[&str]) -> String {
    let lines = witnesses.iter().map(|witness| format!("  - {{ {witness} }}\n"));
    format!("moisture:\n{}", lines.collect::<String>())
}

const RESPONSE: &str = "method: dielectric-response, percent: 2.6, date: 2026-09-04";
const SAMPLE: &str = "method: paper-sample, percent: 2.4, std: 0.3, date: 2026-09-03";
const OIL: &str = "method: oil-sample, ppm: 24, oil_c: 62, date: 2026-09-03";
const ASSUMED: &str = "method: assumed, yearly_increase_percent: 0.08";
const VERY_WET: &str = "method: paper-sample, percent: 19.9, std: 10, date: 2026-09-03";

/// A dozen odd profiles.
fn odd() -> Vec<(&'static str, String)> {
    let long = |letter: &str| letter.repeat(200);
    let note = format!("{SAMPLE}, note: {}", long("x"));
    let words = format!("{}, note: {}", SAMPLE.replace("2.4", "2.5"), "word ".repeat(39));
    let aside = format!("{RESPONSE}, set_aside: {{ by: {}, why: {} }}", long("b"), long("y"));
    let twelve: Vec<String> = (0..12)
        .map(|at| format!("method: paper-sample, percent: {}, date: 20{}-01-01", 1 + at, 15 + at))
        .collect();
    let twelve: Vec<&str> = twelve.iter().map(String::as_str).collect();
    vec![
        ("none", String::new()),
        ("cold", evidence(&["method: oil-sample, ppm: 6, oil_c: 20, date: 2026-09-03"])),
        ("no-temperature", evidence(&["method: oil-sample, ppm: 20, date: 2026-09-03"])),
        ("assumed", evidence(&[ASSUMED])),
        ("no-uncertainty", evidence(&["percent: 2.5, date: 2026-09-03", OIL])),
        ("agree", evidence(&[SAMPLE, RESPONSE])),
        ("wet", evidence(&[VERY_WET, RESPONSE, OIL])),
        (
            "one-method",
            evidence(&[SAMPLE, &SAMPLE.replace("2.4", "2.5"), &SAMPLE.replace("2.4", "2.6")]),
        ),
        ("long-note", evidence(&[&note, &words])),
        ("long-decision", evidence(&[&aside, SAMPLE])),
        ("twelve", evidence(&twelve)),
        ("long-site", format!("site: {}\n{}", long("W"), evidence(&[RESPONSE]))),
        ("very-dry", evidence(&["method: dielectric-response, percent: 0.2, std: 0.05"])),
        (
            "raised",
            evidence(&[RESPONSE, "method: oil-sample, ppm: 44, oil_c: 61, date: 2020-09-04"]),
        ),
        ("aged", format!("{}paper_condition: {{ dp: 210 }}\n", evidence(&[RESPONSE]))),
    ]
}

/// Every odd profile and the demonstration, as paths.
fn units() -> Vec<String> {
    let odd = odd().into_iter().map(|(name, more)| profile(name, &more));
    odd.chain(["fellmoor-t1", "fellmoor-t2"].map(demo)).collect()
}

/// The text nodes of an SVG; a document that is not well-formed is a failed test.
fn texts(svg: &str) -> Vec<(Option<String>, String)> {
    let mut reader = Reader::from_str(svg);
    let (mut found, mut class, mut text) = (Vec::new(), None, String::new());
    loop {
        match reader.read_event().unwrap() {
            Event::Start(start) => {
                let attributes: Vec<_> = start.attributes().map(Result::unwrap).collect();
                let own = attributes.iter().find(|own| own.key.as_ref() == b"class");
                class = own.map(|own| own.unescape_value().unwrap().into_owned());
                text.clear();
            }
            Event::Text(part) => text.push_str(&part.decode().unwrap()),
            Event::GeneralRef(name) => write!(text, "&{};", name.decode().unwrap()).unwrap(),
            Event::End(_) => {
                let unescaped = quick_xml::escape::unescape(&text).unwrap();
                found.push((class.take(), unescaped.trim().to_owned()));
                text.clear();
            }
            Event::Eof => return found,
            Event::Empty(_)
            | Event::CData(_)
            | Event::Comment(_)
            | Event::Decl(_)
            | Event::PI(_)
            | Event::DocType(_) => {}
        }
    }
}

fn of_class(svg: &str, wanted: &str) -> Vec<String> {
    let own = texts(svg).into_iter().filter(|(class, _)| class.as_deref() == Some(wanted));
    own.map(|(_, text)| text).collect()
}

#[test]
fn no_line_is_wider_than_the_screen() {
    for unit in units() {
        for line in moisture(&unit, "text").lines() {
            assert!(line.chars().count() <= 80, "{unit}: {line}");
            assert!(line == line.trim_end(), "{unit}: {line:?}");
        }
    }
}

#[test]
fn contradiction_belief_and_margin_stand_above_the_picture() {
    for unit in units() {
        let text = moisture(&unit, "text");
        let above = text.split("\nWater in paper\n").next().unwrap();
        let first = ["contradict ", "scatter ", "agree ", "witness ", "evidence "];
        let begins = |label: &str| above.lines().any(|line| line.trim_start().starts_with(label));
        assert!(first.iter().any(|label| begins(label)), "{unit}: {above}");
        assert!(begins("believe ") && begins("margin "), "{unit}: {above}");
    }
    let text = moisture(&demo("fellmoor-t2"), "text");
    assert!(text.starts_with("4.34 % water counts   bubbles at 114.6 °C"), "{text}");
    for words in [
        "contradict paper sample 1.60 % and dielectric response 3.30 %, 3.4 standard deviations",
        "believe the dielectric response: the hot end of a winding is drier than the bulk",
        "margin -5.4 K dielectric response, 5.7 K saturation probe, 1.8 K oil sample",
        "within the entered evidence; local rules decide",
    ] {
        assert!(flat(&text).contains(words), "{words}\n{text}");
    }
}

#[test]
fn a_witness_that_only_raises_is_named_where_it_does() {
    let text = moisture(&profile("raises", &odd_of("raised")), "text");
    assert!(flat(&text).contains("which may only raise, raises what counts"), "{text}");
    assert!(flat(&text).contains("|~w~| may only raise"), "{text}");
}

/// Text without its line breaks.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn odd_of(wanted: &str) -> String {
    odd().into_iter().find(|(name, _)| *name == wanted).unwrap().1
}

#[test]
fn what_is_missing_is_a_dash_and_never_a_number() {
    for unit in units() {
        let text = moisture(&unit, "text");
        for wrong in ["NaN", "inf", "None", "null", "Some("] {
            assert!(!text.contains(wrong), "{unit}: {wrong}\n{text}");
        }
    }
    let text = moisture(&profile("dash", &odd_of("no-temperature")), "text");
    let row = text.lines().find(|line| line.contains("1 oil sample")).unwrap();
    let cells: Vec<&str> = row.split_whitespace().collect();
    assert_eq!(cells, ["1", "oil", "sample", "20.0", "ppm", "-", "-", "-", "-"]);
    assert!(text.starts_with("[?] CANNOT DECIDE"), "{text}");
    assert!(!text.contains("K to a"), "a margin without evidence: {text}");
}

#[test]
fn what_cannot_be_decided_offers_no_margin_in_its_first_line() {
    let text = moisture(&profile("open", &odd_of("no-uncertainty")), "text");
    assert!(text.starts_with("[?] CANNOT DECIDE   how wet the paper is\n"), "{text}");
    assert!(flat(&text).contains("take no margin from it"), "{text}");
}

#[test]
fn the_second_axis_falls_as_water_rises() {
    let falls = |labels: Vec<String>, unit: &str| {
        let figures: Vec<f64> = labels.iter().filter_map(|label| label.parse().ok()).collect();
        assert!(figures.len() > 2, "{unit}: {labels:?}");
        assert!(figures.windows(2).all(|pair| pair[1] < pair[0]), "{unit}: {labels:?}");
    };
    for unit in ["fellmoor-t1", "fellmoor-t2"].map(demo).into_iter().chain(
        ["wet", "twelve", "agree"].map(|name| profile(&format!("axis-{name}"), &odd_of(name))),
    ) {
        let text = moisture(&unit, "text");
        let axis = text.lines().find(|line| line.contains("bubbles at, °C")).unwrap();
        let labels = axis.split_whitespace().skip(3).map(str::to_owned);
        falls(labels.collect(), &unit);
        falls(of_class(&moisture(&unit, "svg"), "inception"), &unit);
    }
}

#[test]
fn the_svg_is_well_formed_and_names_every_witness_and_what_counts() {
    for unit in units() {
        let found = texts(&moisture(&unit, "svg"));
        assert!(found.iter().any(|(_, text)| text.contains("local rules decide")), "{unit}");
        let json: serde_json::Value = serde_json::from_str(&moisture(&unit, "json")).unwrap();
        let witnesses = json["moisture"]["witnesses"].as_array().unwrap();
        let drawn = witnesses.iter().any(|own| !own["percent"].is_null());
        for (index, own) in witnesses.iter().enumerate().filter(|_| drawn) {
            let label = format!("{} {}", index + 1, own["method_in_words"].as_str().unwrap());
            assert!(found.iter().any(|(_, text)| *text == label), "{unit}: {label}");
        }
    }
    let svg = moisture(&demo("fellmoor-t2"), "svg");
    let counts = "4.34 % counts, bubbles at 114.6 °C";
    assert!(texts(&svg).iter().any(|(_, text)| text == counts), "{svg}");
    assert_eq!(svg, moisture(&demo("fellmoor-t2"), "svg"));
}

#[test]
fn text_from_a_profile_cannot_become_markup() {
    let hostile = r#""</text><script>alert(1)</script>&amp;\"'\uFFFE""#;
    let more = format!("site: {hostile}\n{}", evidence(&[RESPONSE]));
    let svg = moisture(&profile("hostile", &more), "svg");
    assert!(!svg.contains("<script"), "{svg}");
    let site = "</text><script>alert(1)</script>&amp;\"'\u{fffd}";
    assert!(texts(&svg).iter().any(|(_, text)| text == site), "{svg}");
}

#[test]
fn svg_text_is_large_enough_and_black_or_dark() {
    let svg = moisture(&profile("sizes", &odd_of("twelve")), "svg");
    let sizes = svg.split("font-size=\"").skip(1).map(|rest| rest.split('"').next().unwrap());
    assert!(sizes.map(|size| size.parse::<u32>().unwrap()).all(|size| size >= 12));
    for tag in svg.split("<text").skip(1) {
        assert!(tag.split('>').next().unwrap().contains("fill=\"#000000\""), "{tag}");
    }
}
