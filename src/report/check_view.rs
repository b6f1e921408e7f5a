//! A check as a page shows it: strings already rounded, pictures already drawn. The report file and the
//! operator's page share it, so that they cannot differ.

use super::answer::{WITHIN, answer_rows, asked, why};
use super::course_svg::{self, Size};
use super::spread_words::deciding;
use super::text::{NO_WATCH, guard_words, limit_row, stop_words, taken_off};
use super::view::{down, duration, figures, near};
use super::wetness_words::in_three_lines;
use super::{time_words, wetness_svg};
use crate::assessment::Assessment;
use crate::rules::finding::{Finding, Severity};
use crate::rules::verdict::Verdict;

/// A check as a page shows it.
#[derive(Debug)]
pub struct CheckView {
    /// Name of the unit.
    pub unit: String,
    /// Where it stands; empty if it is not stated.
    pub site: String,
    /// What was asked.
    pub asked: Vec<String>,
    /// The name of the verdict's shape and colour.
    pub kind: &'static str,
    /// The verdict in words.
    pub word: &'static str,
    /// What every verdict is subject to.
    pub within: &'static str,
    /// One reason.
    pub reason: String,
    /// The code of that reason.
    pub reason_code: &'static str,
    /// One number, one time, and the largest load that would pass.
    pub figures: [Figure; 3],
    /// What the answer rests on, each with its label.
    pub rows: Vec<(&'static str, String)>,
    /// The course as SVG.
    pub course: Option<String>,
    /// The moisture evidence as SVG.
    pub evidence: Option<String>,
    /// The evidence in words.
    pub evidence_rows: Vec<(&'static str, String)>,
    /// Limit, value, limit with unit, left, reached, source.
    pub limits: Vec<[String; 6]>,
    /// What the bubbling limit is made of.
    pub taken_off: Option<String>,
    /// What weighs: stops, unknowns and cautions.
    pub cautions: Vec<FindingView>,
    /// What to mind with every overload.
    pub always: Vec<FindingView>,
    /// What else there is to know.
    pub notes: Vec<FindingView>,
    /// Limits kept.
    pub kept: Vec<FindingView>,
    /// Readings to compare: when, expected top oil, stop above.
    pub watch: Vec<[String; 3]>,
    /// That the thermometer cannot guard the overload, where it cannot.
    pub guard_words: Option<String>,
    /// What to do at the stop value, or why there is no watch card.
    pub watch_words: String,
}

/// A figure beside the verdict.
#[derive(Debug)]
pub struct Figure {
    /// What it is.
    pub label: String,
    /// The figure with its unit.
    pub value: String,
}

/// A finding.
#[derive(Debug)]
pub struct FindingView {
    /// Its code.
    pub code: &'static str,
    /// The name of its shape and colour.
    pub kind: &'static str,
    /// How much it weighs, in words.
    pub weight: &'static str,
    /// What was found, with the figures.
    pub words: String,
    /// What would change it.
    pub remedy: String,
    /// Id of the source.
    pub source: String,
}

impl CheckView {
    /// What a page shows of an assessment.
    pub fn of(assessment: &Assessment, size: Size) -> Self {
        let found = |wanted: &[Severity]| -> Vec<FindingView> {
            let of_them = assessment.findings.iter();
            of_them.filter(|own| wanted.contains(&own.severity)).map(FindingView::of).collect()
        };
        let permits = !assessment.watch.is_empty();
        let (always, notes) =
            found(&[Severity::Notice]).into_iter().partition(|own| is_a_duty(own.code));
        Self {
            unit: assessment.unit.clone(),
            site: assessment.site.clone().unwrap_or_default(),
            asked: asked(assessment),
            kind: kind(assessment.verdict),
            word: assessment.verdict.in_words(),
            within: WITHIN,
            reason: why(assessment).unwrap_or_else(|| "All limits are kept.".to_owned()),
            reason_code: assessment.findings.first().map_or("", |finding| finding.code),
            figures: [margin(assessment), time_words::figure(assessment), largest(assessment)],
            rows: answer_rows(assessment),
            course: course_svg::svg(assessment, size),
            evidence: wetness_svg::drawing(
                &assessment.unit,
                &assessment.moisture,
                assessment.verdict != Verdict::CannotDecide,
            ),
            evidence_rows: in_three_lines(&assessment.moisture),
            limits: assessment.limits.iter().map(limit_row).collect(),
            taken_off: taken_off(assessment),
            cautions: found(&[Severity::Stop, Severity::Unknown, Severity::Caution]),
            always,
            notes,
            kept: found(&[Severity::Pass]),
            watch: watch(assessment),
            guard_words: guard_words(assessment),
            watch_words: if permits { stop_words(assessment) } else { NO_WATCH.to_owned() },
        }
    }
}

/// Whether a note asks for something to be done or minded, and does not only inform.
fn is_a_duty(code: &str) -> bool {
    const FAMILIES: [&str; 4] = ["accessory-", "relay-", "cooldown-", "local-"];
    const SINGLE: [&str; 2] = ["thermal-cooling-in-service", "thermal-short-circuit-strength"];
    FAMILIES.iter().any(|family| code.starts_with(family)) || SINGLE.contains(&code)
}

impl FindingView {
    fn of(finding: &Finding) -> Self {
        let figures = figures(finding);
        let figures = if figures.is_empty() { figures } else { format!(" ({figures})") };
        let (kind, weight) = match finding.severity {
            Severity::Stop => ("no-go", "stop"),
            Severity::Unknown => ("unknown", "unknown"),
            Severity::Caution => ("caution", "caution"),
            Severity::Notice => ("note", "note"),
            Severity::Pass => ("go", "kept"),
        };
        Self {
            code: finding.code,
            kind,
            weight,
            words: format!("{}{figures}", finding.text),
            remedy: finding.what_would_change_it.clone(),
            source: finding.source.clone(),
        }
    }
}

/// The name of a verdict's shape and of its colour.
pub fn kind(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::NoGo => "no-go",
        Verdict::CannotDecide => "unknown",
        Verdict::GoWithCautions => "caution",
        Verdict::Go => "go",
    }
}

fn margin(assessment: &Assessment) -> Figure {
    let required = near(assessment.asked.required_margin_k, 1);
    let drawn = assessment.spread.is_some();
    Figure {
        label: format!("margin to bubbling, needs {required} K"),
        value: deciding(assessment.bubbling.margin_low_k, drawn),
    }
}

fn largest(assessment: &Assessment) -> Figure {
    let load = assessment.largest_load_pu;
    let value = match load {
        Some(load_pu) => format!("{} pu", down(load_pu, 2)),
        None if assessment.verdict == Verdict::CannotDecide => "unknown".to_owned(),
        None if assessment.verdict.permits() => "not found".to_owned(),
        None => "none".to_owned(),
    };
    Figure { label: "largest load of this shape".to_owned(), value }
}

fn watch(assessment: &Assessment) -> Vec<[String; 3]> {
    let row = |point: &crate::assessment::watch::WatchPoint| {
        [
            duration(point.at_min),
            format!("{} °C", near(point.expected_top_oil_c, 0)),
            format!("{} °C", down(point.stop_above_c, 0)),
        ]
    };
    assessment.watch.iter().map(row).collect()
}
