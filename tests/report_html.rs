//! Reports as files: alone in the world, well-formed, small, and valid to a validator that others wrote.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::format_collect,
    clippy::format_push_string,
    reason = "what fails is a failed test; texts are small and need not be quick"
)]

#[path = "report_html/contrast.rs"]
mod contrast;
#[path = "report_html/hostile.rs"]
mod hostile;
#[path = "report_html/made.rs"]
mod made;
#[path = "report_html/outline.rs"]
mod outline;
#[path = "report_html/valid.rs"]
mod valid;

use made::reports;
use quick_xml::Reader;
use quick_xml::events::Event;
use std::collections::BTreeSet;

/// Largest report, bytes.
const MOST: usize = 300_000;

#[test]
fn every_report_stands_alone_and_is_small() {
    for (name, report) in reports() {
        assert!(report.len() < MOST, "{name}: {} bytes", report.len());
        let elsewhere = report.replace("http://www.w3.org/2000/svg", "");
        for forbidden in ["http://", "https://", "<script", " src=", "@import", "<link", " style="]
        {
            assert!(!elsewhere.contains(forbidden), "{name} holds {forbidden}");
        }
    }
}

/// The pictures of a report.
fn pictures(report: &str) -> Vec<&str> {
    let from = report.match_indices("<svg").map(|(at, _)| at);
    from.map(|at| &report[at..at + report[at..].find("</svg>").unwrap() + "</svg>".len()]).collect()
}

/// The names of all elements; fails where it is not well-formed.
fn elements(svg: &str) -> Vec<String> {
    let mut reader = Reader::from_str(svg);
    reader.config_mut().check_end_names = true;
    let mut names = Vec::new();
    loop {
        let event = reader.read_event().unwrap();
        if let Event::Start(own) | Event::Empty(own) = &event {
            names.push(String::from_utf8(own.name().as_ref().to_vec()).unwrap());
            own.attributes().for_each(|attribute| drop(attribute.unwrap()));
        }
        if matches!(event, Event::Eof) {
            return names;
        }
    }
}

#[test]
fn every_picture_is_well_formed_has_a_name_and_only_numbers() {
    for (name, report) in reports() {
        let drawn: Vec<&str> =
            pictures(&report).into_iter().filter(|svg| svg.contains("viewBox=\"0 0 9")).collect();
        assert!(!drawn.is_empty() || name.starts_with("fleet"), "{name} has no picture");
        for svg in pictures(&report) {
            let names = elements(svg);
            for word in ["NaN", "inf", "undefined", "null"] {
                assert!(!svg.contains(&format!("\"{word}")), "{name}: {word}");
            }
            if drawn.contains(&svg) {
                assert!(names.contains(&"title".to_owned()) && names.contains(&"desc".to_owned()));
            }
        }
    }
}

#[test]
fn ids_stand_once_and_whatever_is_referred_to_is_there() {
    for (name, report) in reports() {
        let after = |mark: &str| -> Vec<String> {
            let found = report.match_indices(mark).map(|(at, _)| &report[at + mark.len()..]);
            found.map(|rest| rest[..rest.find(['"', ')']).unwrap()].to_owned()).collect()
        };
        let ids = after(" id=\"");
        let once: BTreeSet<&String> = ids.iter().collect();
        assert_eq!(once.len(), ids.len(), "{name}: {ids:?}");
        for wanted in after("href=\"#").iter().chain(&after("url(#")) {
            assert!(once.contains(wanted), "{name} refers to {wanted}");
        }
    }
}

#[test]
fn what_every_report_has_to_say_is_said() {
    for (name, report) in reports() {
        for said in ["licensed people", "inputs sha256"] {
            assert!(report.contains(said), "{name}: {said}");
        }
    }
    let said_of_a_check = [
        "within the entered limits; local rules decide",
        "Watch card",
        "Moisture evidence",
        "Inputs, with source and age",
        "Findings in full",
        "Formulas and sources",
        "authorised by, time",
    ];
    for (name, report) in reports().into_iter().filter(|(name, _)| name.starts_with("check")) {
        for said in said_of_a_check {
            assert!(report.contains(said), "{name}: {said}");
        }
    }
}
