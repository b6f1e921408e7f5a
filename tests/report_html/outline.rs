//! The layout: which parts in which order, without the numbers.

use crate::made::reports;
use std::fmt::Write;

/// Headings, tables with their heads, pictures and the classes of blocks, one below the other.
fn outline(report: &str) -> String {
    let body = &report[report.find("<main>").unwrap()..];
    let mut lines = String::new();
    for piece in body.split('<').skip(1) {
        let (tag, text) = piece.split_once('>').unwrap();
        let name = tag.split_whitespace().next().unwrap();
        let text = text.trim();
        match name {
            "h1" | "h2" | "h3" | "dt" => writeln!(lines, "{name} {text}").unwrap(),
            "th" if tag.contains("scope=\"col\"") => writeln!(lines, "  column {text}").unwrap(),
            "table" | "figure" | "section" | "dl" | "footer" | "header" | "ul" => {
                writeln!(lines, "{tag}").unwrap();
            }
            _ => {}
        }
    }
    lines
}

#[test]
fn the_layout_of_a_check() {
    let reports = reports();
    let report = &reports.iter().find(|(name, _)| *name == "check-no-go").unwrap().1;
    insta::assert_snapshot!(outline(report));
}

#[test]
fn the_layout_of_ratings() {
    let reports = reports();
    let report = &reports.iter().find(|(name, _)| *name == "rate").unwrap().1;
    insta::assert_snapshot!(outline(report));
}
