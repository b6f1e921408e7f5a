//! Text for the terminal: 80 columns, verdict first, readable without colour.

use super::answer::{answer, in_rows, labelled, question};
use super::chart;
use super::spread_words::{self, deciding};
use super::time_words;
use super::uncertainty_text;
use super::view::{
    decimals_of, down, down_or_dash, duration, duration_down, figures, near, near_or_dash,
    severity, shape, wrapped,
};
use super::wetness_words::in_three_lines;
use crate::assessment::limits::LimitLine;
use crate::assessment::{Assessment, Tool};
use crate::rules::finding::{Finding, Severity};
use crate::rules::verdict::Verdict;
use anstyle::{AnsiColor, Style};
use std::ops::Range;
use tabled::builder::Builder;
use tabled::settings::{Alignment, Padding, Style as TableStyle, object::Columns};

/// Width that every line keeps within.
pub const WIDTH: usize = 80;

/// What every answer says, whatever the verdict.
pub const NOTICE: &str = "A calculation aid: it authorises nothing. Local operating rules, the maker's limits and \
     licensed people decide. It rates the transformer only, not the lines, breakers and cables in series with it.";

/// The whole answer. Styles are ANSI; strip them where colour is not wanted.
pub fn rendered(assessment: &Assessment) -> String {
    let sections = [
        headline(assessment),
        question(assessment),
        answer(assessment),
        titled("Moisture evidence", &in_rows(&in_three_lines(&assessment.moisture))),
        limits(assessment),
        chart::drawn(assessment).map_or_else(String::new, |chart| titled("Temperatures", &chart)),
        watch_card(assessment),
        uncertainty_text::sections(assessment),
        findings(&assessment.findings),
        kept(&assessment.findings),
        footer(&assessment.tool, &assessment.inputs_sha256),
    ];
    joined(sections.into())
}

/// The sections that say something, with a blank line between them.
pub(super) fn joined(sections: Vec<String>) -> String {
    let kept: Vec<String> = sections.into_iter().filter(|section| !section.is_empty()).collect();
    kept.join("\n\n") + "\n"
}

/// One word, one number, one time, one reason.
fn headline(assessment: &Assessment) -> String {
    let style = verdict_style(assessment.verdict);
    let word =
        format!("{style}{} {}{style:#}", shape(assessment.verdict), assessment.verdict.in_words());
    let drawn = assessment.spread.is_some();
    let margin = format!("margin {}", deciding(assessment.bubbling.margin_low_k, drawn));
    let line = beside(&format!("{word}   {margin}"), &time_words::headline(assessment));
    beside(&line, reason(assessment))
}

/// The next part, on the same line where it fits.
fn beside(line: &str, next: &str) -> String {
    let plain = anstream::adapter::strip_str(line).to_string();
    let wide = plain.lines().last().unwrap_or("").chars().count() + 3 + next.chars().count();
    if wide <= WIDTH { format!("{line}   {next}") } else { format!("{line}\n    {next}") }
}

fn reason(assessment: &Assessment) -> &'static str {
    match assessment.verdict {
        Verdict::Go => "all limits kept",
        Verdict::GoWithCautions | Verdict::CannotDecide | Verdict::NoGo => {
            assessment.findings.first().map_or("", |finding| finding.code)
        }
    }
}

/// Meanings of IEC 60073: red danger, yellow caution, green safe; undecided has no colour.
pub(super) fn verdict_style(verdict: Verdict) -> Style {
    let colour = match verdict {
        Verdict::Go => Some(AnsiColor::Green),
        Verdict::GoWithCautions => Some(AnsiColor::Yellow),
        Verdict::NoGo => Some(AnsiColor::Red),
        Verdict::CannotDecide => None,
    };
    Style::new().bold().fg_color(colour.map(Into::into))
}

pub(super) fn titled(title: &str, body: &str) -> String {
    format!("{title}\n{body}")
}

fn table(builder: Builder) -> String {
    aligned(builder, 1..5)
}

/// A table without lines, some columns of it aligned to the right.
pub(super) fn aligned(builder: Builder, right: Range<usize>) -> String {
    let mut table = builder.build();
    table.with(TableStyle::blank()).with(Padding::new(1, 1, 0, 0));
    table.modify(Columns::new(right), Alignment::right());
    table.to_string().lines().map(str::trim_end).collect::<Vec<_>>().join("\n")
}

fn limits(assessment: &Assessment) -> String {
    if assessment.limits.is_empty() {
        return String::new();
    }
    let mut builder = Builder::default();
    builder.push_record(["  limit on", "value", "limit", "left", "reached", "source"]);
    for line in &assessment.limits {
        let [name, rest @ ..] = limit_row(line);
        builder.push_record([vec![format!("  {name}")], rest.into()].concat());
    }
    let taken_off = taken_off(assessment).map_or_else(String::new, |words| {
        format!("\n    {}", wrapped(&words, WIDTH - 4).join("\n    "))
    });
    titled("Limits (reached: if the load is held on)", &format!("{}{taken_off}", table(builder)))
}

/// What the bubbling limit is made of, where the draws weigh.
pub(super) fn taken_off(assessment: &Assessment) -> Option<String> {
    let bubbling = &assessment.bubbling;
    let required = near(assessment.asked.required_margin_k, 1);
    let off = match bubbling.margin_low_k {
        Some(low_k) => {
            let allowance_k = bubbling.margin_counting_k? - low_k;
            (allowance_k > 0.0)
                .then(|| format!("less {} K for uncertainty", near(allowance_k, 1)))?
        }
        None if spread_words::beyond_range(assessment) => {
            "without uncertainty, which is not known".to_owned()
        }
        None => return None,
    };
    let inception = near_or_dash(bubbling.inception_c, 1);
    Some(format!("bubbling limit: {inception} °C, less the required {required} K, {off}"))
}

pub(super) fn limit_row(line: &LimitLine) -> [String; 6] {
    let decimals = decimals_of(line.unit);
    // The others are as their sources state them.
    let round = if line.quantity == "bubbling" { down } else { near };
    [
        line.quantity.to_owned(),
        near_or_dash(line.value, decimals),
        format!("{} {}", round(line.limit, decimals), line.unit),
        down_or_dash(line.margin, decimals),
        line.reached_at_min.map_or_else(|| "-".to_owned(), duration_down),
        line.source.clone(),
    ]
}

/// Why there is no watch card.
pub(super) const NO_WATCH: &str =
    "None: this overload is not to be run. Check a load that passes to get its watch card.";

/// What to do at the stop value.
pub(super) fn stop_words(assessment: &Assessment) -> String {
    format!(
        "At the stop value, at the end, or on any alarm: reduce the load to {} pu or as the local rules say, \
         keep the cooling running, and do not take the overload on again. Stop too if the cooling counted on stops.",
        near(assessment.asked.drop_back_pu, 2)
    )
}

fn watch_card(assessment: &Assessment) -> String {
    if assessment.watch.is_empty() {
        let lines = wrapped(NO_WATCH, WIDTH - 4).join("\n    ");
        return titled("Watch card", &format!("    {lines}"));
    }
    let mut builder = Builder::default();
    builder.push_record(["  at", "expect top oil", "stop above"]);
    for point in &assessment.watch {
        builder.push_record([
            format!("  {}", duration(point.at_min)),
            format!("{} °C", near(point.expected_top_oil_c, 0)),
            format!("{} °C", down(point.stop_above_c, 0)),
        ]);
    }
    let words = guard_words(assessment).into_iter().chain([stop_words(assessment)]);
    let lines: Vec<String> = words.flat_map(|words| wrapped(&words, WIDTH - 4)).collect();
    titled("Watch card", &format!("{}\n    {}", table(builder), lines.join("\n    ")))
}

/// That the thermometer cannot guard this overload, and up to which load it can; `None` where it can.
pub(super) fn guard_words(assessment: &Assessment) -> Option<String> {
    let guard = assessment.watch_guard.as_ref().filter(|guard| !guard.guarded)?;
    let up_to = guard.guarded_up_to_pu.map_or_else(
        || "No lower load was found for which it can.".to_owned(),
        |load_pu| format!("It can guard this shape up to {} pu.", down(load_pu, 2)),
    );
    Some(format!(
        "The oil thermometer cannot guard this load: normal oil, read {} K too high, may already be above a stop \
         value. {up_to}",
        near(guard.tolerance_k, 0)
    ))
}

/// What weighs and what is worth knowing, in two sections.
pub(super) fn findings(found: &[Finding]) -> String {
    let sections: [(&str, &[Severity]); 2] = [
        ("Findings that weigh", &[Severity::Stop, Severity::Unknown, Severity::Caution]),
        ("Notes", &[Severity::Notice]),
    ];
    let written = sections.iter().filter_map(|(title, wanted)| {
        let of_them = found.iter().filter(|finding| wanted.contains(&finding.severity));
        let lines: Vec<String> = of_them.flat_map(finding_lines).collect();
        (!lines.is_empty()).then(|| titled(title, &lines.join("\n")))
    });
    written.collect::<Vec<_>>().join("\n\n")
}

/// Passes in few words: what was kept, at which value, against which limit.
fn kept(found: &[Finding]) -> String {
    let one = |finding: &Finding| {
        let figures = figures(finding);
        if figures.is_empty() {
            finding.code.to_owned()
        } else {
            format!("{} ({figures})", finding.code)
        }
    };
    let passes = found.iter().filter(|finding| finding.severity == Severity::Pass);
    let all = passes.map(one).collect::<Vec<_>>().join("; ");
    titled("Limits kept", &format!("    {}", wrapped(&all, WIDTH - 4).join("\n    ")))
}

fn finding_lines(finding: &Finding) -> Vec<String> {
    let figures = figures(finding);
    let figures = if figures.is_empty() { figures } else { format!(" ({figures})") };
    let text = format!("{}{figures} [{}]", finding.text, finding.code);
    labelled(severity(finding.severity), &text, "CAUTION".len())
}

/// What every answer says, and what computed it from what.
pub(super) fn footer(tool: &Tool, inputs_sha256: &str) -> String {
    footer_with(NOTICE, tool, inputs_sha256)
}

/// The same with another notice.
pub(super) fn footer_with(notice: &str, tool: &Tool, inputs_sha256: &str) -> String {
    let hash = inputs_sha256.get(..16).unwrap_or("");
    let identity = format!("{} {}, inputs sha256 {hash}", tool.name, tool.version);
    let explain = format!("Every code: `{} explain CODE`. All figures: --format json.", tool.name);
    let lines = [notice.to_owned(), explain, identity];
    lines.iter().flat_map(|line| wrapped(line, WIDTH)).collect::<Vec<_>>().join("\n")
}
