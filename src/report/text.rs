//! Text for the terminal: 80 columns, verdict first, readable without colour.

use super::answer::{answer, labelled, question};
use super::chart;
use super::view::{
    decimals_of, down, down_or_dash, duration, figures, near, near_or_dash, severity, shape,
    wrapped,
};
use crate::assessment::Assessment;
use crate::assessment::limits::LimitLine;
use crate::rules::finding::{Finding, Severity};
use crate::rules::verdict::Verdict;
use anstyle::{AnsiColor, Style};
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
        limits(assessment),
        chart::drawn(assessment).map_or_else(String::new, |chart| titled("Temperatures", &chart)),
        watch_card(assessment),
        findings(assessment),
        footer(assessment),
    ];
    let kept: Vec<String> = sections.into_iter().filter(|section| !section.is_empty()).collect();
    kept.join("\n\n") + "\n"
}

/// One word, one number, one time, one reason.
fn headline(assessment: &Assessment) -> String {
    let style = verdict_style(assessment.verdict);
    let word =
        format!("{style}{} {}{style:#}", shape(assessment.verdict), assessment.verdict.in_words());
    let margin = match assessment.bubbling.margin_low_k {
        Some(margin) => format!("margin {} K", down(margin, 1)),
        None => "margin unknown".to_owned(),
    };
    let time = match assessment.time_to_limit_min {
        Some(minutes) => format!("limit reached at {}", duration(minutes)),
        None if assessment.bubbling.margin_low_k.is_some() => {
            format!("no limit within {}", duration(assessment.horizon_min))
        }
        None => "time unknown".to_owned(),
    };
    let line = format!("{word}   {margin}   {time}");
    let reason = reason(assessment);
    let wide = anstream::adapter::strip_str(&line).to_string().chars().count() + 3 + reason.len();
    if wide <= WIDTH { format!("{line}   {reason}") } else { format!("{line}\n    {reason}") }
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
fn verdict_style(verdict: Verdict) -> Style {
    let colour = match verdict {
        Verdict::Go => Some(AnsiColor::Green),
        Verdict::GoWithCautions => Some(AnsiColor::Yellow),
        Verdict::NoGo => Some(AnsiColor::Red),
        Verdict::CannotDecide => None,
    };
    Style::new().bold().fg_color(colour.map(Into::into))
}

fn titled(title: &str, body: &str) -> String {
    format!("{title}\n{body}")
}

fn table(builder: Builder) -> String {
    let mut table = builder.build();
    table.with(TableStyle::blank()).with(Padding::new(1, 1, 0, 0));
    table.modify(Columns::new(1..5), Alignment::right());
    table.to_string().lines().map(str::trim_end).collect::<Vec<_>>().join("\n")
}

fn limits(assessment: &Assessment) -> String {
    if assessment.limits.is_empty() {
        return String::new();
    }
    let mut builder = Builder::default();
    builder.push_record(["  limit on", "value", "limit", "left", "reached", "source"]);
    for line in &assessment.limits {
        builder.push_record(limit_row(line));
    }
    titled("Limits (reached: if the last load went on)", &table(builder))
}

fn limit_row(line: &LimitLine) -> [String; 6] {
    let decimals = decimals_of(line.unit);
    [
        format!("  {}", line.quantity),
        near_or_dash(line.value, decimals),
        format!("{} {}", near(line.limit, decimals), line.unit),
        down_or_dash(line.margin, decimals),
        line.reached_at_min.map_or_else(|| "-".to_owned(), duration),
        line.source.clone(),
    ]
}

fn watch_card(assessment: &Assessment) -> String {
    if assessment.watch.is_empty() {
        let text =
            "None: this overload is not to be run. Check a load that passes to get its watch card.";
        return titled("Watch card", &format!("    {}", wrapped(text, WIDTH - 4).join("\n    ")));
    }
    let mut builder = Builder::default();
    builder.push_record(["  at", "expect top oil", "stop above"]);
    for point in &assessment.watch {
        builder.push_record([
            format!("  {}", duration(point.at_min)),
            format!("{} °C", near(point.expected_top_oil_c, 1)),
            format!("{} °C", down(point.stop_above_c, 1)),
        ]);
    }
    let stop = format!(
        "At the stop value, at the end, or on any alarm: take the load back to {} pu or as the local rules say, \
         keep the cooling running, and do not take the overload on again. Stop too if the cooling counted on stops.",
        near(assessment.asked.drop_back_pu, 2)
    );
    titled(
        "Watch card",
        &format!("{}\n    {}", table(builder), wrapped(&stop, WIDTH - 4).join("\n    ")),
    )
}

fn findings(assessment: &Assessment) -> String {
    let of = |wanted: &[Severity]| -> Vec<&Finding> {
        assessment.findings.iter().filter(|finding| wanted.contains(&finding.severity)).collect()
    };
    let sections = [
        ("Findings that weigh", of(&[Severity::Stop, Severity::Unknown, Severity::Caution])),
        ("Notes", of(&[Severity::Notice])),
    ];
    let written = sections.iter().filter(|(_, found)| !found.is_empty());
    let mut texts: Vec<String> = written
        .map(|(title, found)| {
            titled(
                title,
                &found
                    .iter()
                    .flat_map(|finding| finding_lines(finding))
                    .collect::<Vec<_>>()
                    .join("\n"),
            )
        })
        .collect();
    texts.push(kept(&of(&[Severity::Pass])));
    texts.join("\n\n")
}

/// Passes in few words: what was kept, at which value, against which limit.
fn kept(passes: &[&Finding]) -> String {
    let one = |finding: &&Finding| {
        let figures = figures(finding);
        if figures.is_empty() {
            finding.code.to_owned()
        } else {
            format!("{} ({figures})", finding.code)
        }
    };
    let all = passes.iter().map(one).collect::<Vec<_>>().join("; ");
    titled("Limits kept", &format!("    {}", wrapped(&all, WIDTH - 4).join("\n    ")))
}

fn finding_lines(finding: &Finding) -> Vec<String> {
    let figures = figures(finding);
    let figures = if figures.is_empty() { figures } else { format!(" ({figures})") };
    let text = format!("{}{figures} [{}]", finding.text, finding.code);
    labelled(severity(finding.severity), &text, "CAUTION".len())
}

fn footer(assessment: &Assessment) -> String {
    let tool = &assessment.tool;
    let identity = format!(
        "{} {}, inputs sha256 {}",
        tool.name,
        tool.version,
        &assessment.inputs_sha256.get(..16).unwrap_or("")
    );
    let explain = format!("Every code: `{} explain CODE`. All figures: --format json.", tool.name);
    let lines = [NOTICE.to_owned(), explain, identity];
    lines.iter().flat_map(|line| wrapped(line, WIDTH)).collect::<Vec<_>>().join("\n")
}
