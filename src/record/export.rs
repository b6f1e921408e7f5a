//! A record as plain text, so that others can verify it without this program.

use super::chain::FORMAT;
use super::verify::{Head, Row};
use serde::Serialize;

/// A whole record.
#[derive(Debug, Serialize)]
pub struct Export {
    /// How hashes are formed ([`super::chain`]).
    pub format: &'static str,
    /// How many entries there are.
    pub count: Option<i64>,
    /// Hash of the last.
    pub last_hash: Option<String>,
    /// Every entry; `body` is the text that was hashed, to the byte.
    pub entries: Vec<Exported>,
}

/// One entry.
#[derive(Debug, Serialize)]
pub struct Exported {
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
    /// Its hash.
    pub hash: String,
    /// Its body.
    pub body: String,
}

impl Export {
    /// A record with what it says about its own end.
    pub fn of(rows: Vec<Row>, head: Option<Head>) -> Self {
        let (count, last_hash) = head.map(|head| (head.count, head.hash)).unzip();
        Self { format: FORMAT, count, last_hash, entries: rows.into_iter().map(exported).collect() }
    }
}

fn exported(row: Row) -> Exported {
    let Row { seq, id, kind, written, previous, body, hash } = row;
    Exported { seq, id, kind, written, previous, hash, body }
}
