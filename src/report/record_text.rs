//! Lists, proofs and receipts of a record as text.

use super::answer::in_rows;
use super::record_words::{answered, decision, printable};
use super::text::{WIDTH, findings, joined, titled};
use super::view::wrapped;
use crate::record::entry::{Content, Entry};
use crate::record::store::Written;
use crate::record::verify::{Row, Verification};
use crate::rules::finding::Finding;

/// What a record can and cannot prove.
const LIMITS: &str = "Whoever can write to the file can make all of it anew, hashes and all. Only a number and hash noted elsewhere \
     would tell: verify with --head N:HASH.";

/// One entry after another, two lines each.
pub fn listed(rows: &[Row]) -> String {
    if rows.is_empty() {
        return "No entries.\n".to_owned();
    }
    let lines = rows.iter().flat_map(|row| match row.entry() {
        Ok(entry) => listed_entry(row, &entry),
        Err(_) => vec![format!("{:>5}  {}", row.seq, "NOT READABLE: verify the record")],
    });
    lines.collect::<Vec<_>>().join("\n") + "\n"
}

fn listed_entry(row: &Row, entry: &Entry) -> Vec<String> {
    let local = printable(&entry.written.local);
    let (what, who) = match &entry.content {
        Content::Authorisation(authorisation) => {
            let (verdict, margin) = answered(&authorisation.assessment);
            let decision = decision(authorisation.decision, authorisation.departure);
            let people = &authorisation.people;
            let by = |what: &str, who: &Option<String>| {
                who.as_ref().map(|who| format!("{what} {}", printable(who)))
            };
            let named = [
                by("asked", &people.asked_by),
                by("decided", &people.authorised_by),
                by("received", &people.received_by),
            ];
            let named = named.into_iter().flatten().collect::<Vec<_>>().join(", ");
            (format!("{verdict}, {margin} -> {decision}"), named)
        }
        Content::AfterEvent(after) => {
            (format!("after {}", printable(&after.of)), format!("by {}", printable(&after.by)))
        }
    };
    let odd = if row.fits() { "" } else { "CHANGED: verify the record. " };
    let first = format!("{local}  {odd}{what}");
    let second = format!("{}{}{who}", printable(&row.id), if who.is_empty() { "" } else { ": " });
    let mut lines = Vec::new();
    for (index, line) in
        [first, second].iter().flat_map(|text| wrapped(text, WIDTH - 7)).enumerate()
    {
        let number = if index == 0 { row.seq.to_string() } else { String::new() };
        lines.push(format!("{number:>5}  {line}"));
    }
    lines
}

/// What verifying found.
pub fn verified(found: &Verification) -> String {
    let entries = if found.entries == 1 {
        "1 entry".to_owned()
    } else {
        format!("{} entries", found.entries)
    };
    let head = if found.is_whole() {
        format!("WHOLE   {entries}, each as it was written and in its place")
    } else {
        let faults = found.faults.iter().flat_map(|fault| {
            let lines = wrapped(&printable(&fault.to_string()), WIDTH - 6);
            lines
                .into_iter()
                .enumerate()
                .map(|(index, line)| format!("  {} {line}", if index == 0 { "-" } else { " " }))
        });
        let faults = faults.collect::<Vec<_>>().join("\n");
        format!("NOT WHOLE   {entries} stand in it\n{faults}")
    };
    let last = found.last.as_ref().map_or_else(String::new, |(seq, id, hash)| {
        let rows = [("last", format!("entry {seq}, {}", printable(id))), ("hash", printable(hash))];
        titled("To note elsewhere", &in_rows(&rows))
    });
    joined(vec![head, last, wrapped(LIMITS, WIDTH).join("\n")])
}

/// What was found beside the answer when it was recorded.
pub fn beside(finding: &Finding) -> String {
    let body = findings(std::slice::from_ref(finding));
    format!("{body}\n")
}

/// What was written, and what to note.
pub fn receipt(written: &Written) -> String {
    let line = format!("recorded as {}, entry {}", written.id, written.entry);
    format!("{}\n    hash {}\n", wrapped(&line, WIDTH).join("\n"), written.hash)
}
