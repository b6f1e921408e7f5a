//! The answer of `moisture` as text: what counts first, the picture, then what it rests on.

use super::answer::{in_rows, indented, judged_for};
use super::text::{WIDTH, findings, footer, joined, titled};
use super::view::{down, shape, up};
use super::wetness_chart;
use super::wetness_life::paper_life;
use super::wetness_tables::{
    amounts, further_contradictions, measure_next, without_each, witnesses,
};
use super::wetness_words::{degrees, in_three_lines};
use crate::assessment::moisture_answer::MoistureAnswer;
use crate::rules::catalogue::Code;
use crate::rules::finding::{Finding, Severity};
use crate::rules::verdict::Verdict;
use anstyle::Style;

/// The whole answer. Styles are ANSI; strip them where colour is not wanted.
pub fn rendered(answer: &MoistureAnswer) -> String {
    let moisture = &answer.moisture;
    let picture = wetness_chart::drawn(answer);
    let sections = [
        first_line(answer),
        asked(answer),
        in_rows(&told(answer)),
        picture.map_or_else(String::new, |picture| titled("Water in paper", &picture)),
        witnesses(moisture),
        amounts(moisture),
        further_contradictions(moisture),
        without_each(moisture),
        measure_next(moisture),
        paper_life(&answer.life),
        findings(&besides_what_counts(answer)),
        footer(&answer.tool, &answer.inputs_sha256),
    ];
    joined(sections.into())
}

/// What counts, in bold, and under it what keeps it from being decided.
fn first_line(answer: &MoistureAnswer) -> String {
    let bold = Style::new().bold();
    let mut parts = headline(answer);
    let first = parts.remove(0);
    let mut line = format!("{bold}{first}{bold:#}");
    let mut width = first.chars().count();
    for part in parts {
        let fits = width + 3 + part.chars().count() <= WIDTH;
        line.push_str(if fits { "   " } else { "\n    " });
        width = if fits { width + 3 } else { 4 } + part.chars().count();
        line.push_str(&part);
    }
    let why = undecided_because(answer);
    if why.is_empty() { line } else { format!("{line}\n{}", indented(&why)) }
}

/// What counts, where it bubbles, and the margin, each a few words.
pub(super) fn headline(answer: &MoistureAnswer) -> Vec<String> {
    let Some(counting) = answer.moisture.counting.as_ref().filter(|_| answer.decided) else {
        let verdict = Verdict::CannotDecide;
        return vec![
            format!("{} {}", shape(verdict), verdict.in_words()),
            "how wet the paper is".to_owned(),
        ];
    };
    let hot_spot = answer.moisture.hot_spot_c.map_or_else(String::new, degrees);
    let margin = match counting.margin_k {
        Some(margin_k) if margin_k < 0.0 => {
            format!("margin {} K: bubbles below a {hot_spot} °C hot spot", down(margin_k, 1))
        }
        Some(margin_k) => format!("margin {} K to a {hot_spot} °C hot spot", down(margin_k, 1)),
        None => match counting.inception_below_c.zip(answer.moisture.hot_spot_c) {
            Some((below_c, hot_spot_c)) => {
                format!(
                    "margin below {} K to a {hot_spot} °C hot spot",
                    up(below_c - hot_spot_c, 1)
                )
            }
            None => "margin unknown".to_owned(),
        },
    };
    let at = if counting.inception_is_floor { "above" } else { "at" };
    let bubbles = match (counting.inception_c, counting.inception_below_c) {
        (Some(inception_c), _) => format!("bubbles {at} {} °C", down(inception_c, 1)),
        (None, Some(below_c)) => format!("bubbles below {} °C", up(below_c, 1)),
        (None, None) => "bubbling temperature unknown".to_owned(),
    };
    vec![format!("{} % water counts", up(counting.percent, 2)), bubbles, margin]
}

/// Why it cannot be decided.
pub(super) fn undecided_because(answer: &MoistureAnswer) -> Vec<String> {
    let unknown = answer.findings.iter().filter(|own| own.severity >= Severity::Unknown);
    unknown.map(|finding| finding.text.clone()).collect()
}

/// The three lines, and a fourth where no margin may be taken from them.
pub(super) fn told(answer: &MoistureAnswer) -> Vec<(&'static str, String)> {
    let mut rows = in_three_lines(&answer.moisture);
    if !answer.decided && answer.moisture.counting.is_some() {
        let words = "what counts leaves out what could not be read: take no margin from it";
        rows.push(("undecided", words.to_owned()));
    }
    rows
}

/// The findings but for what counts, which has been told under its code.
fn besides_what_counts(answer: &MoistureAnswer) -> Vec<Finding> {
    let counting = Code::MoistureCounting.explanation().code;
    answer.findings.iter().filter(|finding| finding.code != counting).cloned().collect()
}

/// What was asked of which unit.
fn asked(answer: &MoistureAnswer) -> String {
    let hot_spot = answer.moisture.hot_spot_c;
    let hot_spot = hot_spot.map_or_else(String::new, |hot_spot_c| {
        format!(", margins to a hot spot of {} °C", degrees(hot_spot_c))
    });
    let day = judged_for(answer.as_of.as_deref());
    let rules = answer.local_rules.as_ref();
    let site = answer.site.as_ref().map_or_else(String::new, |site| format!(", {site}"));
    let mut lines = vec![format!("{}{site}", answer.unit), format!("{day}{hot_spot}")];
    lines.extend(rules.map(|rules| format!("local rules: {rules}")));
    lines.push("within the entered evidence; local rules decide".to_owned());
    indented(&lines)
}
