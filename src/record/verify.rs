//! Whether a record is whole: what was changed, removed, put elsewhere or cut off.

use super::chain::{Link, NONE_BEFORE};
use super::entry::Entry;
use super::fault::Fault;
use crate::input::{json, shown};
use std::collections::BTreeMap;

/// An entry as it stands in the file, whatever was done to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Its number.
    pub seq: i64,
    /// Its id.
    pub id: String,
    /// Its kind.
    pub kind: String,
    /// When it was written, UTC.
    pub written: String,
    /// Hash of the entry before.
    pub previous: String,
    /// Its body.
    pub body: String,
    /// Its hash.
    pub hash: String,
}

impl Row {
    /// The hash that belongs to what stands there.
    pub fn computed(&self) -> String {
        self.computed_as(self.seq)
    }

    /// Whether it is what was written.
    pub fn fits(&self) -> bool {
        self.computed() == self.hash
    }

    /// What it says.
    ///
    /// # Errors
    /// If its body is not an entry of this version, or has a key twice.
    pub fn entry(&self) -> Result<Entry, serde_json::Error> {
        json::own(&self.body)
    }

    fn computed_as(&self, seq: i64) -> String {
        let Self { id, kind, written, previous, body, .. } = self;
        Link { seq, id, kind, written, previous, body }.hash()
    }
}

/// What the file says about its own end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    /// How many entries there are.
    pub count: i64,
    /// Hash of the last.
    pub hash: String,
}

/// A number and hash that were noted elsewhere.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Noted {
    /// Number of the entry.
    pub seq: i64,
    /// Its hash, or how that begins: 16 digits at least.
    pub hash: String,
}

/// Fewest digits of a noted hash. 64 bits cannot be aimed at.
const FEWEST_DIGITS: usize = 16;

impl Noted {
    /// Reads `N:HASH`.
    ///
    /// # Errors
    /// What is accepted.
    pub fn parse(text: &str) -> Result<Self, String> {
        let parts = text.split_once(':');
        let found = parts.and_then(|(seq, hash)| {
            let seq = seq.trim().parse::<i64>().ok().filter(|seq| *seq > 0)?;
            let hash = hash.trim().to_ascii_lowercase();
            let is_hash = hash.chars().all(|c| c.is_ascii_hexdigit());
            let fits = is_hash && (FEWEST_DIGITS..=NONE_BEFORE.len()).contains(&hash.len());
            fits.then_some(Self { seq, hash })
        });
        found.ok_or_else(|| {
            format!("the number of an entry and at least {FEWEST_DIGITS} digits of its hash, such as 3:0123456789abcdef")
        })
    }
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verification {
    /// How many entries stand in the file.
    pub entries: i64,
    /// The last of them: number, id and hash.
    pub last: Option<(i64, String, String)>,
    /// What is not as it was written, in order.
    pub faults: Vec<Fault>,
}

impl Verification {
    /// Whether every entry is there, as it was written and where it was written.
    pub fn is_whole(&self) -> bool {
        self.faults.is_empty()
    }
}

/// Goes through entries in the order of their numbers and keeps what is needed to judge them.
#[derive(Debug, Default)]
pub struct Verifier {
    faults: Vec<Fault>,
    entries: i64,
    /// Number of the last entry, and the hashes that the next one may name, if they are known.
    last: Option<(i64, Option<[String; 2]>)>,
    last_seen: Option<(i64, String, String)>,
    /// Number after the one that holds this hash.
    after: BTreeMap<String, i64>,
    /// Entries that do not match their hash.
    odd: Vec<(usize, Row)>,
}

impl Verifier {
    /// The next entry.
    pub fn row(&mut self, row: Row) {
        self.gap_before(row.seq);
        let computed = row.computed();
        let id = shown(&row.id);
        let before = match &self.last {
            Some((seq, hashes)) => hashes.clone().filter(|_| *seq == row.seq - 1),
            None => (row.seq == 1).then(|| [NONE_BEFORE.to_owned(), NONE_BEFORE.to_owned()]),
        };
        let fits = computed == row.hash;
        if fits {
            if before.is_some_and(|hashes| !hashes.contains(&row.previous)) {
                self.faults.push(Fault::DoesNotFollow { seq: row.seq, id: id.clone() });
            }
            self.contradictions(&row, &id);
        } else {
            // Where it belongs is known once every hash has been seen.
            self.faults.push(Fault::Changed { seq: row.seq, id: id.clone() });
            self.odd.push((self.faults.len() - 1, row.clone()));
        }
        self.after.insert(row.hash.clone(), row.seq + 1);
        self.last = Some((row.seq, Some([row.hash.clone(), computed])));
        self.last_seen = Some((row.seq, id, row.hash));
        self.entries += 1;
    }

    /// An entry of which a field is not even text.
    pub fn unreadable(&mut self, seq: i64, field: &'static str) {
        self.gap_before(seq);
        self.faults.push(Fault::Unreadable { seq, field });
        // Nothing is known of its hash, so that the next entry cannot be held against it.
        self.last = Some((seq, None));
        self.last_seen = Some((seq, String::new(), String::new()));
        self.entries += 1;
    }

    /// Anything else that is not as it should be.
    pub fn fault(&mut self, fault: Fault) {
        self.faults.push(fault);
    }

    fn gap_before(&mut self, seq: i64) {
        let next = self.last.as_ref().map_or(1, |(last, _)| last + 1);
        if seq > next {
            self.faults.push(Fault::Removed { from: next, to: seq - 1 });
        }
    }

    fn contradictions(&mut self, row: &Row, id: &str) {
        let Ok(entry) = row.entry() else {
            return;
        };
        let kind = entry.content.kind();
        let pairs = [
            ("id", entry.id.as_str(), row.id.as_str()),
            ("kind", kind, &row.kind),
            ("written", &entry.written.utc, &row.written),
        ];
        for (field, inside, beside) in pairs {
            if inside != beside {
                let id = id.to_owned();
                self.faults.push(Fault::Contradicts { seq: row.seq, id, field });
            }
        }
    }

    /// Everything that was found, once the last entry was seen.
    pub fn finish(
        mut self,
        head: Option<&Head>,
        noted: &[(Noted, Option<String>)],
    ) -> Verification {
        for (place, row) in &self.odd {
            let belongs = self.after.get(&row.previous).copied();
            let first = (row.previous == NONE_BEFORE).then_some(1);
            if let Some(belongs) = belongs.or(first)
                && row.computed_as(belongs) == row.hash
            {
                self.faults[*place] = Fault::Moved { seq: row.seq, belongs, id: shown(&row.id) };
            }
        }
        let last = self.last_seen.as_ref().map_or(0, |(seq, _, _)| *seq);
        self.faults.extend(end(
            head,
            last,
            self.last.as_ref().and_then(|(_, hashes)| hashes.as_ref()),
        ));
        self.faults
            .extend(noted.iter().filter_map(|(noted, found)| against(noted, found.as_deref())));
        Verification { entries: self.entries, last: self.last_seen, faults: self.faults }
    }
}

fn end(head: Option<&Head>, last: i64, hashes: Option<&[String; 2]>) -> Option<Fault> {
    let Some(head) = head else {
        return Some(Fault::NoHead);
    };
    if head.count > last {
        return Some(Fault::CutOff { from: last + 1, to: head.count });
    }
    if head.count < last {
        return Some(Fault::NotCounted { from: head.count + 1, to: last });
    }
    let differs = match hashes {
        Some(hashes) => !hashes.contains(&head.hash),
        // The last entry could not be read, which is said already.
        None => last == 0 && head.hash != NONE_BEFORE,
    };
    differs.then_some(Fault::HeadDiffers { seq: last })
}

fn against(noted: &Noted, found: Option<&str>) -> Option<Fault> {
    let found = match found {
        Some(hash) if hash.starts_with(&noted.hash) => return None,
        Some(hash) => format!("its hash is {}", shown(hash)),
        None => "there is no such entry".to_owned(),
    };
    Some(Fault::NotAsNoted { seq: noted.seq, found })
}
