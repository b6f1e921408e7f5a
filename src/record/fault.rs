//! What verifying a record can find, in words.

/// Something that is not as it was written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// What stands there is not what was hashed.
    #[error("entry {seq} ({id}) was changed: it does not match its hash")]
    Changed {
        /// Where it stands.
        seq: i64,
        /// The id that stands there.
        id: String,
    },
    /// It stands in another place than it was written.
    #[error("entry {belongs} ({id}) was moved: it stands in place {seq}")]
    Moved {
        /// Where it stands.
        seq: i64,
        /// Where it was written.
        belongs: i64,
        /// Its id.
        id: String,
    },
    /// A field is not even text.
    #[error("entry {seq} was changed: its {field} is not text")]
    Unreadable {
        /// Where it stands.
        seq: i64,
        /// The field.
        field: &'static str,
    },
    /// The hash of the entry before is another one.
    #[error(
        "entry {seq} ({id}) does not follow what stands before it: entry {} was changed with its hash, or another \
         stands in its place",
        seq - 1
    )]
    DoesNotFollow {
        /// Where it stands.
        seq: i64,
        /// Its id.
        id: String,
    },
    /// Numbers that nothing stands under.
    #[error("{} removed: nothing stands there", numbers(*from, *to, "was", "were"))]
    Removed {
        /// The first.
        from: i64,
        /// The last.
        to: i64,
    },
    /// The file counts more entries than it holds.
    #[error("the end is cut off: {} missing", numbers(*from, *to, "is", "are"))]
    CutOff {
        /// The first.
        from: i64,
        /// The last.
        to: i64,
    },
    /// The file holds more entries than it counts.
    #[error("{} not written by this tool: the record counts {} only", numbers(*from, *to, "was", "were"), from - 1)]
    NotCounted {
        /// The first.
        from: i64,
        /// The last.
        to: i64,
    },
    /// A body that says something else than its columns, under a hash that fits.
    #[error("entry {seq} ({id}) contradicts itself: its {field} is another one in its body")]
    Contradicts {
        /// Where it stands.
        seq: i64,
        /// Its id.
        id: String,
        /// The field.
        field: &'static str,
    },
    /// The note about the end is missing.
    #[error("the head, which notes how many entries there are, is missing or not readable")]
    NoHead,
    /// The note about the end has another hash than the last entry.
    #[error("the head was changed, or entry {seq} with its hash: their hashes differ")]
    HeadDiffers {
        /// The last entry.
        seq: i64,
    },
    /// It is not as it was noted elsewhere.
    #[error("entry {seq} is not the one that was noted: {found}")]
    NotAsNoted {
        /// The number.
        seq: i64,
        /// What was found.
        found: String,
    },
    /// The tables or what guards them are not as made.
    #[error("the file's guards against change were altered: {what}")]
    Unguarded {
        /// What is not as made.
        what: String,
    },
    /// The file itself is damaged.
    #[error("the file is damaged: {what}")]
    Damaged {
        /// What the database says.
        what: String,
    },
}

fn numbers(from: i64, to: i64, one: &str, many: &str) -> String {
    if from == to {
        format!("entry {from} {one}")
    } else {
        format!("entries {from} to {to} {many}")
    }
}
