//! The hash that holds entries together.
//!
//! ```text
//! hash = SHA-256 of, for each of these texts in this order: its length in bytes (8 bytes, least first), its bytes
//!        "bubblemargin-record-1", number (decimal), id, kind, written (UTC), hash of the entry before, body
//! ```
//! All texts are UTF-8, exactly as stored; hashes are 64 digits of lower-case hexadecimal. The first entry has number
//! 1 and 64 zeros for the hash before. Lengths are hashed, so that no two entries run into the same bytes.

use sha2::{Digest, Sha256};
use std::fmt::Write;

/// Name of this way to hash, and of the export.
pub const FORMAT: &str = "bubblemargin-record-1";

/// What stands for the hash before the first entry.
pub const NONE_BEFORE: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// What is hashed of an entry.
#[derive(Debug, Clone, Copy)]
pub struct Link<'a> {
    /// Number of the entry, from 1.
    pub seq: i64,
    /// Its id.
    pub id: &'a str,
    /// Its kind.
    pub kind: &'a str,
    /// When it was written, UTC.
    pub written: &'a str,
    /// Hash of the entry before.
    pub previous: &'a str,
    /// Its body.
    pub body: &'a str,
}

impl Link<'_> {
    /// The entry's hash.
    pub fn hash(&self) -> String {
        let seq = self.seq.to_string();
        let parts = [FORMAT, &seq, self.id, self.kind, self.written, self.previous, self.body];
        let mut hash = Sha256::new();
        for part in parts {
            hash.update((part.len() as u64).to_le_bytes());
            hash.update(part.as_bytes());
        }
        in_hexadecimal(hash)
    }
}

/// SHA-256 of a text, in hexadecimal.
pub fn sha256(text: &str) -> String {
    in_hexadecimal(Sha256::new_with_prefix(text))
}

fn in_hexadecimal(hash: Sha256) -> String {
    hash.finalize().iter().fold(String::new(), |mut hex, byte| {
        // Writing to a string cannot fail.
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}
