//! What becomes of a plan, as a report.

use super::document::{self, Document, Part, Section, Shown};
use super::plan_orders::{standing, unpaged};
use super::plan_text::{rows, under};
use super::plan_words::{deciding, kelvin, verdict, when};
use super::{plan_bought, plan_derating, plan_orders_changes, plan_svg};
use crate::planning::answer::PlanAnswer;
use crate::planning::orders::{Standing, StandingOrders};
use crate::planning::outage::{CaseAnswer, OutageAnswer};
use crate::rules::verdict::Verdict;
use askama::Template;

const SIGNATURES: [&str; 3] = ["planned by, date", "checked by, date", "approved by, date"];

/// The whole report.
///
/// # Errors
/// Only if the template cannot be filled, which it always can.
pub fn report(answer: &PlanAnswer) -> Result<String, askama::Error> {
    let worst = answer.outages.iter().map(verdict).max().unwrap_or(Verdict::CannotDecide);
    let going = answer.outages.iter().filter(|outage| verdict(outage).permits()).count();
    let all = answer.outages.len();
    let document = Document {
        title: format!("{}: planned outages, {}", answer.unit, answer.plan),
        kind: Some(super::check_view::kind(worst)),
        first: format!("{}: {going} of {all} planned outages have a window", worst.in_words()),
        under: under(answer),
        sections: sections(answer),
        signatures: SIGNATURES,
        notice: answer.notice.to_owned(),
        identity: format!(
            "{} {}, inputs sha256 {}",
            answer.tool.name, answer.tool.version, answer.inputs_sha256
        ),
    };
    document.render().map(|page| page + "\n")
}

/// The page of standing orders alone.
///
/// # Errors
/// Only if the template cannot be filled, which it always can.
pub fn orders(orders: &StandingOrders) -> Result<String, askama::Error> {
    let tool = &orders.tool;
    let kind = match orders.standing {
        Standing::Restricted => "caution",
        Standing::Ordinary => "go",
        Standing::Forbidden => "no-go",
        Standing::Undecided => "unknown",
    };
    let document = Document {
        title: format!("{}: standing orders", orders.unit.name),
        kind: Some(kind),
        first: standing(orders.standing).1.to_owned(),
        under: vec![format!("evidence judged for {}", orders.date)],
        sections: orders_sections(orders),
        signatures: SIGNATURES,
        notice: super::text::NOTICE.to_owned(),
        identity: format!("{} {}, inputs sha256 {}", tool.name, tool.version, orders.inputs_sha256),
    };
    document.render().map(|page| page + "\n")
}

fn orders_sections(orders: &StandingOrders) -> Vec<Section> {
    let changes = orders.changes.as_ref().map(|found| {
        let text = anstream::adapter::strip_str(&plan_orders_changes::rendered(found)).to_string();
        Section::new("Against the earlier orders", vec![Part::Columns(text)])
    });
    let own = Section::new("The orders", vec![Part::Columns(unpaged(orders))]);
    changes.into_iter().chain([own]).collect()
}

fn sections(answer: &PlanAnswer) -> Vec<Section> {
    let mut parts = vec![summary(answer)];
    parts.extend(plan_svg::calendar(answer).map(|svg| Part::Picture(svg, "Calendar of starts")));
    let mut sections = vec![Section::new("Which outages work, and when", parts)];
    sections.extend(document::findings(&answer.cautions));
    sections.extend(answer.outages.iter().map(|one| outage(answer, one)));
    let derating = answer.derating.as_ref();
    sections.extend(derating.and_then(|one| columns(&plan_derating::text(one, &answer.outages))));
    if !answer.bought.is_empty() {
        let text = plan_bought::text(&answer.bought, answer.mva, answer.currency.as_deref());
        sections.extend(columns(&text));
    }
    sections.extend(
        answer
            .orders
            .as_ref()
            .map(|orders| Section::new("Standing orders", vec![Part::Columns(unpaged(orders))])),
    );
    sections
}

/// A text with its title as a section.
fn columns(text: &str) -> Option<Section> {
    let (title, body) = text.split_once('\n')?;
    Some(Section::new(title, vec![Part::Columns(body.to_owned())]))
}

/// A line for each outage.
fn summary(answer: &PlanAnswer) -> Part {
    let row = |outage: &OutageAnswer| {
        let case = deciding(outage);
        let best = case.best.as_ref();
        let start = best.map_or_else(|| "-".to_owned(), |best| when(&best.start));
        let margin = best.map_or_else(|| "-".to_owned(), |best| kelvin(best.margin_low_k));
        vec![
            Shown::text(outage.name.clone()),
            Shown::verdict(verdict(outage)),
            Shown::text(format!("{} of {}", case.go_starts, outage.starts)),
            Shown::text(start),
            Shown::text(margin),
        ]
    };
    let heads = ["outage", "at its best start", "starts that go", "best start", "margin there"];
    Part::table(&heads, answer.outages.iter().map(row).collect())
}

fn outage(answer: &PlanAnswer, outage: &OutageAnswer) -> Section {
    let case = deciding(outage);
    let mut parts = vec![Part::rows(rows(answer, outage, case))];
    if !case.windows.is_empty() {
        parts.push(windows(case));
    }
    Section::new(outage.name.clone(), parts)
}

fn windows(case: &CaseAnswer) -> Part {
    let rows = case.windows.iter().map(|window| {
        let margin = kelvin(window.worst.margin_low_k);
        let worst = format!("{margin} at {}", when(&window.worst.start));
        [when(&window.first), when(&window.last), window.starts.to_string(), worst]
            .map(Shown::text)
            .into()
    });
    Part::table(&["start from", "up to", "starts", "least margin"], rows.collect())
}
