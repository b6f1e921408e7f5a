//! One entry of a record in words, fit to be printed and filed.

use super::answer::{in_rows, indented};
use super::record_words::{answered, command_line, decision, printable, printable_lines};
use super::text::{joined, titled};
use super::view::{duration, near};
use crate::record::entry::{
    AfterEvent, Authorisation, Caution, Content, Entry, InputText, OilSample, Question,
};
use crate::record::verify::Row;
use anstyle::Style;

const NOT_STATED: &str = "not stated";

/// An entry, with the entries that say what came of it.
pub fn rendered(row: &Row, entry: &Entry, afterwards: &[(Row, AfterEvent)]) -> String {
    let bold = Style::new().bold();
    let first = format!(
        "{bold}RECORD{bold:#}   entry {}   {}   {}",
        row.seq,
        printable(&row.id),
        entry.content.kind()
    );
    let changed = if row.fits() {
        String::new()
    } else {
        let word = "CHANGED: this entry does not match its hash; it is not what was written.";
        format!("{bold}{word}{bold:#}")
    };
    let when =
        [("written", printable(&entry.written.local)), ("in UTC", printable(&entry.written.utc))];
    let mut sections = vec![first, changed];
    match &entry.content {
        Content::Authorisation(authorisation) => {
            sections.push(indented(&[printable(&authorisation.in_words)]));
            sections.push(in_rows(&when));
            sections.extend(authorisation_sections(authorisation));
        }
        Content::AfterEvent(after) => {
            sections.push(in_rows(&when));
            sections.push(in_rows(&after_rows(after)));
        }
    }
    for (row, after) in afterwards {
        let title = format!("What came of it (entry {}, {})", row.seq, printable(&row.id));
        sections.push(titled(&title, &in_rows(&after_rows(after))));
    }
    let chain = [("before", printable(&row.previous)), ("hash", printable(&row.hash))];
    sections.push(titled("Hashes", &in_rows(&chain)));
    joined(sections)
}

fn stated(text: Option<&String>) -> String {
    text.map_or_else(|| NOT_STATED.to_owned(), |text| printable(text))
}

fn authorisation_sections(authorisation: &Authorisation) -> Vec<String> {
    vec![
        titled("Decision", &in_rows(&who(authorisation))),
        titled("What weighed", &cautions(&authorisation.cautions)),
        titled("What was asked", &in_rows(&asked(authorisation))),
        titled("Files, kept whole in the record", &indented(&files(authorisation))),
        titled("The answer in words", &printable_lines(&authorisation.answer)),
    ]
}

/// The answer, the decision, and who stands for it.
pub(super) fn who(authorisation: &Authorisation) -> Vec<(&'static str, String)> {
    let people = &authorisation.people;
    let (verdict, margin) = answered(&authorisation.assessment);
    vec![
        ("answer", format!("{verdict}, {margin}")),
        ("decision", decision(authorisation.decision, authorisation.departure).to_owned()),
        ("reason", stated(authorisation.reason.as_ref())),
        ("asked by", stated(people.asked_by.as_ref())),
        ("decided by", stated(people.authorised_by.as_ref())),
        ("received by", stated(people.received_by.as_ref())),
        ("repeated back", stated(people.repeat_back.as_ref())),
    ]
}

/// The files kept in the record.
pub(super) fn files(authorisation: &Authorisation) -> Vec<String> {
    let file = |file: &InputText| {
        let hash = file.sha256.get(..16).unwrap_or("");
        let (part, name, bytes) = (&file.part, &file.name, file.text.len());
        printable(&format!("{part}: {name}, {bytes} bytes, sha256 {hash}"))
    };
    authorisation.inputs.iter().map(file).collect()
}

fn cautions(cautions: &[Caution]) -> String {
    if cautions.is_empty() {
        return indented(&["nothing weighed".to_owned()]);
    }
    let line = |caution: &Caution| {
        let mark =
            if caution.acknowledged { "[x] acknowledged    " } else { "[ ] NOT acknowledged" };
        let said = caution.text.iter().map(|text| format!("\n{}", indented(&[printable(text)])));
        format!("    {mark}  {}{}", printable(&caution.code), said.collect::<String>())
    };
    cautions.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// What was asked.
pub(super) fn asked(authorisation: &Authorisation) -> Vec<(&'static str, String)> {
    let (unit, question) = (&authorisation.unit, &authorisation.question);
    vec![
        ("unit", printable(&unit.name)),
        ("site", stated(unit.site.as_ref())),
        ("serial number", stated(unit.serial.as_ref())),
        ("load", steps(question)),
        ("start", stated(question.start.as_ref())),
        ("required end", stated(question.required_end.as_ref())),
        ("then", format!("back to {} pu", near(question.drop_back_pu, 2))),
        ("top oil measured", stated(question.top_oil_by.as_ref())),
        ("tap", stated(question.tap.as_ref())),
        ("evidence judged for", stated(question.as_of.as_ref())),
        ("to ask it again", printable(&command_line(&question.command))),
    ]
}

/// Steps of the overload, in words; more than these are in the files.
const MOST_STEPS: usize = 12;

fn steps(question: &Question) -> String {
    let of_overload: Vec<&(f64, f64)> =
        question.steps.iter().filter(|(minute, _)| *minute < question.end_min).collect();
    let shown = of_overload.iter().take(MOST_STEPS);
    let each =
        shown.map(|(minute, load)| format!("{} pu from {} min", near(*load, 2), near(*minute, 0)));
    let each = each.collect::<Vec<_>>().join(", ");
    let rest = of_overload.len().saturating_sub(MOST_STEPS);
    let rest = if rest > 0 { format!(" and {rest} steps more") } else { String::new() };
    format!("{each}{rest}, for {}", duration(question.end_min))
}

/// What came of it.
pub(super) fn after_rows(after: &AfterEvent) -> Vec<(&'static str, String)> {
    let amount = |value: Option<f64>, decimals, unit: &str| {
        value.map_or_else(
            || NOT_STATED.to_owned(),
            |value| format!("{} {unit}", near(value, decimals)),
        )
    };
    let sample = match &after.oil_sample {
        Some(OilSample::Booked(day)) => format!("booked for {}", printable(day)),
        Some(OilSample::NotBooked) => "not booked".to_owned(),
        None => NOT_STATED.to_owned(),
    };
    vec![
        ("of", printable(&after.of)),
        ("load carried", amount(after.load_pu, 2, "pu")),
        ("highest top oil", amount(after.peak_top_oil_c, 1, "°C")),
        ("highest hot spot", amount(after.peak_hot_spot_c, 1, "°C")),
        ("ended", stated(after.ended.as_ref())),
        ("oil sample", sample),
        ("note", stated(after.note.as_ref())),
        ("says", printable(&after.by)),
    ]
}
