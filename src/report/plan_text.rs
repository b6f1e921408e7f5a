//! What becomes of a plan, as text: one word for each outage, then when, and what would have to give.

use super::answer::{in_rows, indented, judged_for};
use super::plan_calendar::{MEANING, calendar};
use super::plan_orders::unpaged;
use super::plan_words::{
    chance, deciding, in_full, kelvin, long, verdict, when, when_in_year, zone,
};
use super::text::{WIDTH, aligned, findings, footer_with, joined, verdict_style};
use super::view::{down, near, near_or_dash, shape, up, up_or_dash, wrapped};
use super::{in_service_words, plan_bought, plan_derating};
use crate::planning::answer::PlanAnswer;
use crate::planning::needed_water::{Needed, NeededWater};
use crate::planning::outage::{CaseAnswer, OutageAnswer, StartAnswer};
use crate::planning::transfer::{Span, Transfer};
use crate::rules::verdict::Verdict;
use tabled::builder::Builder;

/// Windows that are listed; the calendar has all of them.
const LISTED: usize = 8;

/// Columns of the name of an outage in the summary.
const NAME: usize = 22;

/// The whole answer. Styles are ANSI; strip them where colour is not wanted.
pub fn rendered(answer: &PlanAnswer) -> String {
    let mut sections = vec![headline(answer), indented(&under(answer))];
    sections.push(summary(answer));
    sections.push(findings(&answer.cautions));
    sections.extend(answer.outages.iter().map(|one| outage(answer, one)));
    sections.extend(answer.derating.as_ref().map(|one| plan_derating::text(one, &answer.outages)));
    if !answer.bought.is_empty() {
        sections.push(plan_bought::text(&answer.bought, answer.mva, answer.currency.as_deref()));
    }
    sections.push(footer(answer));
    sections.extend(answer.orders.as_ref().map(unpaged));
    joined(sections)
}

/// One word for the plan, and which of it.
fn headline(answer: &PlanAnswer) -> String {
    let all = answer.outages.len();
    let worst = answer.outages.iter().map(verdict).max().unwrap_or(Verdict::CannotDecide);
    let going = answer.outages.iter().filter(|outage| verdict(outage).permits()).count();
    let style = verdict_style(worst);
    let word = format!("{style}{} {}{style:#}", shape(worst), worst.in_words());
    format!("{word}   {going} of {all} planned outages have a window   {}", answer.plan)
}

pub(super) fn under(answer: &PlanAnswer) -> Vec<String> {
    let site = answer.site.as_ref().map_or_else(String::new, |site| format!(", {site}"));
    let paper = &answer.paper;
    let asked = &answer.asked;
    let first = [
        format!("{}{site}", answer.unit),
        format!(
            "{} % water counts, bubbles at {} °C",
            up_or_dash(paper.counting_moisture_percent, 2),
            near_or_dash(paper.inception_c, 1)
        ),
        format!(
            "forecasts from {} to {}, times in {}",
            when_in_year(&asked.from),
            when_in_year(&asked.until),
            zone(&asked.from)
        ),
        format!("limits {}; after a trip {}", asked.limits, asked.next_trip_limits),
        judged_for(asked.as_of.as_deref()),
    ];
    let last = [
        "within the entered forecasts and limits; local rules decide".to_owned(),
        "cautions are not told apart here: ask check on the day".to_owned(),
    ];
    let voltage = in_service_words::line(&in_service_words::Counted {
        voltage_pu: asked.voltage_pu,
        voltage_std_percent: asked.voltage_std_percent,
        tap: None,
    });
    let lines = first.into_iter().chain(voltage).chain(last);
    lines.flat_map(|line| wrapped(&line, WIDTH - 4)).collect()
}

/// A line for each outage.
fn summary(answer: &PlanAnswer) -> String {
    let mut builder = Builder::default();
    builder.push_record(["  ", "outage", "starts that go", "best start", "margin"]);
    for (number, outage) in answer.outages.iter().enumerate() {
        let case = deciding(outage);
        let verdict = verdict(outage);
        builder.push_record([
            format!("  {} {}", number + 1, shape(verdict)),
            super::view::cut(&outage.name, NAME),
            format!("{} of {}", case.go_starts, outage.starts),
            case.best.as_ref().map_or_else(|| "-".to_owned(), |best| when(&best.start)),
            case.best.as_ref().map_or_else(|| "-".to_owned(), |best| kelvin(best.margin_low_k)),
        ]);
    }
    aligned(builder, 2..5)
}

fn outage(answer: &PlanAnswer, outage: &OutageAnswer) -> String {
    let (case, verdict) = (deciding(outage), verdict(outage));
    let style = verdict_style(verdict);
    let title =
        format!("{}\n    {style}{} {}{style:#}", outage.name, shape(verdict), verdict.in_words());
    let mut parts = vec![title, in_rows(&rows(answer, outage, case))];
    if !case.windows.is_empty() {
        parts.push(windows(case));
    }
    let days = calendar(&case.each).into_iter().chain([MEANING.to_owned()]);
    parts.extend(days.map(|line| format!("    {line}")));
    parts.join("\n")
}

pub(super) fn rows(
    answer: &PlanAnswer,
    outage: &OutageAnswer,
    case: &CaseAnswer,
) -> Vec<(&'static str, String)> {
    let mut rows = vec![("out", out(outage)), ("when", allowed(outage))];
    if let Some(best) = &case.best {
        rows.push(("best start", best_start(answer, best)));
        rows.push(("worst hour", worst_hour(best)));
    }
    if outage.with_next_trip.is_some() {
        rows.push(("next trip", next_trip(outage)));
    }
    rows.extend(outage.water.as_ref().map(|water| ("water", needed(water))));
    rows.extend(case.transfers.iter().flat_map(transfer));
    rows
}

fn out(outage: &OutageAnswer) -> String {
    let out = if outage.out.is_empty() { "elsewhere".to_owned() } else { outage.out.join(", ") };
    format!("{out}; {} carries; {}", outage.carriers.join(", "), long(outage.duration_min))
}

fn allowed(outage: &OutageAnswer) -> String {
    let recall =
        outage.recall_min.map_or_else(String::new, |min| format!(", recall {}", long(min)));
    format!("from {} to {}{recall}", in_full(&outage.earliest), in_full(&outage.latest))
}

fn best_start(answer: &PlanAnswer, best: &StartAnswer) -> String {
    let governs = best.governs.as_ref().map_or_else(String::new, |g| format!("; {}", g.words));
    format!(
        "{} to {}: margin {} of {} K required; {}{governs}",
        when(&best.start),
        when(&best.end),
        kelvin(best.margin_low_k),
        near(best.required_k, 1),
        chance(best, answer.asked.draws)
    )
}

fn worst_hour(best: &StartAnswer) -> String {
    let at = best.worst_hour.as_deref().map_or_else(|| "not known".to_owned(), when);
    let trip = best.trip.as_ref().map_or_else(String::new, |trip| {
        format!(", after {} at {}", lower_first(&trip.name), when(&trip.at))
    });
    format!("{at}, hot spot {} °C in {}{trip}", near_or_dash(best.hot_spot_c, 1), best.unit)
}

/// A name in the middle of a sentence stays as it was entered.
fn lower_first(name: &str) -> String {
    format!("\"{name}\"")
}

/// What the outage could do if nothing else tripped.
fn next_trip(outage: &OutageAnswer) -> String {
    format!(
        "counted at every hour of the outage; without it {} of {} starts go",
        outage.as_planned.go_starts, outage.starts
    )
}

fn needed(water: &NeededWater) -> String {
    let counts = up(water.counting_percent, 2);
    match (water.found, water.at_most_percent) {
        (Needed::Within, Some(percent)) => format!(
            "goes up to {} % water, and no wetter ({counts} % counts in {})",
            down(percent, 2),
            water.unit
        ),
        (Needed::Any, _) => format!("goes however wet {} is ({counts} % counts)", water.unit),
        (Needed::Within | Needed::NotWater, _) => {
            format!("no drying of {} lets it go: something else ends it", water.unit)
        }
    }
}

fn windows(case: &CaseAnswer) -> String {
    let mut builder = Builder::default();
    builder.push_record(["    start from", "up to", "starts", "least margin"]);
    for window in case.windows.iter().take(LISTED) {
        builder.push_record([
            format!("    {}", when(&window.first)),
            when(&window.last),
            window.starts.to_string(),
            format!("{} at {}", kelvin(window.worst.margin_low_k), when(&window.worst.start)),
        ]);
    }
    let table = aligned(builder, 2..3);
    match case.windows.len().checked_sub(LISTED).filter(|more| *more > 0) {
        Some(more) => format!("{table}\n     and {more} more: the calendar shows them"),
        None => table,
    }
}

fn transfer(transfer: &Transfer) -> Vec<(&'static str, String)> {
    let after =
        transfer.trip.as_ref().map_or_else(String::new, |trip| format!(", after \"{trip}\""));
    let who = format!("from {}{after}, if it starts {}", transfer.unit, when(&transfer.start));
    let Some(at_most_mva) = transfer.at_most_mva else {
        return vec![("transfer", format!("all of it {who}: no load passes there"))];
    };
    let text = format!(
        "up to {} MVA, {} MVA·h in all, {who}: no more than {} MVA may stay",
        up(transfer.most_mva, 1),
        up(transfer.mva_h, 0),
        down(at_most_mva, 1)
    );
    let span = |span: &Span| {
        let most = up(span.most_mva, 1);
        format!("{} to {}, up to {most} MVA", when(&span.from), when(&span.until))
    };
    // Every one: a time that is left out is a load that stays on the unit.
    let spans: Vec<String> = transfer.spans.iter().map(span).collect();
    vec![("transfer", text), ("at", spans.join("; "))]
}

fn footer(answer: &PlanAnswer) -> String {
    footer_with(answer.notice, &answer.tool, &answer.inputs_sha256)
}
