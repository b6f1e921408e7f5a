//! Entries of a record as pages show them.

use super::check_view::kind;
use super::record_shown::{after_rows, asked, files, who};
use super::record_words::{answered, decision, printable, printable_lines};
use crate::record::decision::Departure;
use crate::record::entry::{AfterEvent, Authorisation, Caution, Content, Entry};
use crate::record::verify::{Row, Verification};
use crate::rules::verdict::Verdict;

/// Rows with labels.
type Rows = Vec<(&'static str, String)>;

/// An entry in one line.
#[derive(Debug)]
pub struct RecordLine {
    /// Its number.
    pub seq: i64,
    /// Its id.
    pub id: String,
    /// When it was written.
    pub written: String,
    /// Name of the unit.
    pub unit: String,
    /// The name of the answer's shape.
    pub kind: &'static str,
    /// The answer, or what the entry is about.
    pub answer: String,
    /// What was decided.
    pub decision: String,
    /// Who decided, or says so.
    pub by: String,
    /// Whether it goes against the answer, or is not what was written.
    pub worn: bool,
}

/// An entry in full.
#[derive(Debug)]
pub struct RecordView {
    /// Its number.
    pub seq: i64,
    /// Its id.
    pub id: String,
    /// When it was written, in local time and in UTC.
    pub written: [String; 2],
    /// Whether it is not what was written.
    pub changed: bool,
    /// The decision in a sentence.
    pub in_words: String,
    /// Whether it goes against the answer.
    pub overridden: bool,
    /// Titles with rows.
    pub sections: Vec<(&'static str, Rows)>,
    /// What weighed: the code, and whether it was acknowledged.
    pub cautions: Vec<Caution>,
    /// The files kept.
    pub files: Vec<String>,
    /// The answer in words.
    pub answer: String,
    /// What came of it.
    pub afterwards: Vec<(String, Rows)>,
    /// Hash of the entry before, and its own.
    pub hashes: [String; 2],
}

/// An entry in one line. One that cannot be read says so.
pub fn line(row: &Row) -> RecordLine {
    let unreadable = RecordLine {
        seq: row.seq,
        id: printable(&row.id),
        written: printable(&row.written),
        unit: "-".to_owned(),
        kind: "unknown",
        answer: "NOT READABLE".to_owned(),
        decision: "verify the record".to_owned(),
        by: "-".to_owned(),
        worn: true,
    };
    let Ok(entry) = row.entry() else {
        return unreadable;
    };
    let (kind, answer, decision, by, worn) = match &entry.content {
        Content::Authorisation(own) => {
            let (word, margin) = answered(&own.assessment);
            let by = own.people.authorised_by.as_deref().unwrap_or("-");
            let overridden = own.departure == Some(Departure::Overridden);
            let decision = decision(own.decision, own.departure).to_owned();
            (shape(own), format!("{word}, {margin}"), decision, printable(by), overridden)
        }
        Content::AfterEvent(after) => {
            let of = format!("after {}", printable(&after.of));
            ("note", of, "what came of it".to_owned(), printable(&after.by), false)
        }
    };
    let changed = if row.fits() { "" } else { "CHANGED since it was written: " };
    RecordLine {
        unit: printable(entry.content.unit()),
        written: printable(&entry.written.local),
        kind,
        answer: format!("{changed}{answer}"),
        decision,
        by,
        worn: worn || !row.fits(),
        ..unreadable
    }
}

fn shape(own: &Authorisation) -> &'static str {
    let verdict = own.assessment.get("verdict").cloned().unwrap_or_default();
    serde_json::from_value::<Verdict>(verdict).map_or("unknown", kind)
}

/// An entry in full, with what came of it.
pub fn full(row: &Row, entry: &Entry, afterwards: &[(Row, AfterEvent)]) -> RecordView {
    let came = |(row, after): &(Row, AfterEvent)| {
        (format!("What came of it (entry {})", row.seq), after_rows(after))
    };
    let view = RecordView {
        seq: row.seq,
        id: printable(&row.id),
        written: [printable(&entry.written.local), printable(&entry.written.utc)],
        changed: !row.fits(),
        in_words: String::new(),
        overridden: false,
        sections: Vec::new(),
        cautions: Vec::new(),
        files: Vec::new(),
        answer: String::new(),
        afterwards: afterwards.iter().map(came).collect(),
        hashes: [printable(&row.previous), printable(&row.hash)],
    };
    match &entry.content {
        Content::Authorisation(own) => RecordView {
            in_words: printable(&own.in_words),
            overridden: own.departure == Some(Departure::Overridden),
            sections: vec![("Decision", who(own)), ("What was asked", asked(own))],
            cautions: own.cautions.iter().map(fit_to_print).collect(),
            files: files(own),
            answer: printable_lines(&own.answer),
            ..view
        },
        Content::AfterEvent(after) => RecordView {
            in_words: format!("What came of {}.", printable(&after.of)),
            sections: vec![("What came of it", after_rows(after))],
            ..view
        },
    }
}

fn fit_to_print(caution: &Caution) -> Caution {
    Caution { text: caution.text.as_deref().map(printable), ..caution.clone() }
}

/// Whether the record is whole, in a line, and what is not.
pub fn wholeness(found: &Verification) -> (String, Vec<String>) {
    let faults = found.faults.iter().map(|fault| printable(&fault.to_string())).collect();
    let last = found.last.as_ref().map_or_else(String::new, |(seq, _, hash)| {
        format!(" Last: entry {seq}, hash {}: note both elsewhere.", printable(hash))
    });
    let word = if found.is_whole() { "WHOLE" } else { "NOT WHOLE" };
    (format!("{word}: {} entries.{last}", found.entries), faults)
}
