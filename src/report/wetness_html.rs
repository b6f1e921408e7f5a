//! The answer of `moisture` as a report.

use super::answer::judged_for;
use super::check_inputs::age;
use super::document::{Document, Part, Section, Shown, findings};
use super::text::{NOTICE, titled};
use super::wetness_life::paper_life;
use super::wetness_svg::drawing;
use super::wetness_tables::{
    amounts, further_contradictions, measure_next, standing, without_each, witness_row,
};
use super::wetness_text::{headline, told, undecided_because};
use super::wetness_words::degrees;
use crate::assessment::moisture_answer::MoistureAnswer;
use crate::assessment::wetness::WitnessLine;
use askama::Template;
use chrono::NaiveDate;

/// The whole report.
///
/// # Errors
/// Only if the template cannot be filled, which it always can.
pub fn report(answer: &MoistureAnswer) -> Result<String, askama::Error> {
    let site = answer.site.as_ref().map_or_else(String::new, |site| format!(", {site}"));
    let day = judged_for(answer.as_of.as_deref());
    let hot_spot = answer.moisture.hot_spot_c.map_or_else(String::new, |hot_spot_c| {
        format!(", margins to a hot spot of {} °C", degrees(hot_spot_c))
    });
    let mut under =
        vec![format!("{day}{hot_spot}; within the entered evidence; local rules decide")];
    under.extend(undecided_because(answer));
    let document = Document {
        title: format!("{}{site}: water in paper", answer.unit),
        kind: (!answer.decided).then_some("unknown"),
        first: headline(answer).join(", ").trim_start_matches("[?] ").to_owned(),
        under,
        sections: sections(answer),
        signatures: ["sampled by, date", "judged by, date", "to be measured again by"],
        notice: NOTICE.to_owned(),
        identity: format!(
            "{} {}, inputs sha256 {}",
            answer.tool.name, answer.tool.version, answer.inputs_sha256
        ),
    };
    document.render().map(|page| page + "\n")
}

fn sections(answer: &MoistureAnswer) -> Vec<Section> {
    let moisture = &answer.moisture;
    let picture = drawing(&answer.unit, moisture, answer.decided);
    let picture = picture.map(|svg| Part::Picture(svg, "Water in paper by witness"));
    let told = Part::rows(told(answer));
    let mut sections =
        vec![Section::new("The evidence", std::iter::once(told).chain(picture).collect())];
    if !moisture.witnesses.is_empty() {
        sections.push(witnesses(answer));
    }
    let texts = [
        amounts(moisture),
        further_contradictions(moisture),
        without_each(moisture),
        measure_next(moisture),
        paper_life(&answer.life),
    ];
    sections.extend(texts.into_iter().filter_map(|text| {
        let (title, body) = text.split_once('\n')?;
        debug_assert_eq!(titled(title, body), text);
        Some(Section::new(title, vec![Part::Columns(body.to_owned())]))
    }));
    sections.extend(findings(&answer.findings));
    sections
}

fn witnesses(answer: &MoistureAnswer) -> Section {
    let as_of =
        answer.as_of.as_deref().and_then(|day| NaiveDate::parse_from_str(day, "%Y-%m-%d").ok());
    let row = |(index, own): (usize, &WitnessLine)| {
        let figures = witness_row(index, own).map(|text| Shown::text(text.trim().to_owned()));
        let rest = [age(own.date.as_deref(), as_of), standing(own)].map(Shown::text);
        figures.into_iter().chain(rest).collect()
    };
    let heads = [
        "witness",
        "read",
        "oil °C",
        "water, %",
        "upper 95 % bound, %",
        "bubbles with that, °C",
        "date and age",
        "standing",
    ];
    let rows = answer.moisture.witnesses.iter().enumerate().map(row).collect();
    Section::new("Witnesses", vec![Part::table(&heads, rows)])
}
