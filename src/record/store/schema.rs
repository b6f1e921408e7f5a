//! The tables of a record, and the triggers that keep what is in them.

use rusqlite::Connection;

/// Marks the file as a record: "bubm".
pub(super) const APPLICATION_ID: i32 = 0x6275_626d;

/// Version of the tables.
pub(super) const VERSION: i32 = 1;

/// Every table and trigger: its name, and how it is made.
///
/// The triggers keep a slip from doing harm: an entry is never changed, deleted or replaced, and the head only moves
/// on by the entry that was added. They are no lock: whoever can write to the file can drop them, and then the hashes
/// tell.
const MADE: [(&str, &str); 9] = [
    (
        "entry",
        "CREATE TABLE entry (seq INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, kind TEXT NOT NULL, \
         written TEXT NOT NULL, previous TEXT NOT NULL, body TEXT NOT NULL, hash TEXT NOT NULL)",
    ),
    (
        "head",
        "CREATE TABLE head (one INTEGER PRIMARY KEY CHECK (one = 1), count INTEGER NOT NULL, hash TEXT NOT NULL)",
    ),
    (
        "entry_is_next",
        "CREATE TRIGGER entry_is_next BEFORE INSERT ON entry \
         WHEN NEW.seq IS NOT (SELECT count + 1 FROM head) OR EXISTS (SELECT 1 FROM entry WHERE id = NEW.id) \
         OR NEW.previous IS NOT (SELECT hash FROM head) \
         BEGIN SELECT RAISE(ABORT, 'entries are added at the end, one by one'); END",
    ),
    (
        "entry_stays",
        "CREATE TRIGGER entry_stays BEFORE UPDATE ON entry \
         BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END",
    ),
    (
        "entry_is_kept",
        "CREATE TRIGGER entry_is_kept BEFORE DELETE ON entry \
         BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END",
    ),
    (
        "head_moves_on",
        "CREATE TRIGGER head_moves_on BEFORE UPDATE ON head \
         WHEN NEW.one IS NOT 1 OR NEW.count IS NOT OLD.count + 1 \
         OR NEW.hash IS NOT (SELECT hash FROM entry WHERE seq = NEW.count) \
         BEGIN SELECT RAISE(ABORT, 'the head follows the entries'); END",
    ),
    (
        "head_is_kept",
        "CREATE TRIGGER head_is_kept BEFORE DELETE ON head \
         BEGIN SELECT RAISE(ABORT, 'the head is never deleted'); END",
    ),
    (
        "head_is_one",
        "CREATE TRIGGER head_is_one BEFORE INSERT ON head WHEN EXISTS (SELECT 1 FROM head) \
         BEGIN SELECT RAISE(ABORT, 'there is one head'); END",
    ),
    // Made by the database itself for the unique ids; it has no text.
    ("sqlite_autoindex_entry_1", ""),
];

/// Makes the tables of an empty record.
pub(super) fn make(connection: &mut Connection) -> rusqlite::Result<()> {
    let transaction = connection.transaction()?;
    transaction.pragma_update(None, "application_id", APPLICATION_ID)?;
    transaction.pragma_update(None, "user_version", VERSION)?;
    for (_, sql) in MADE.iter().filter(|(_, sql)| !sql.is_empty()) {
        transaction.execute_batch(sql)?;
    }
    let first = super::super::chain::NONE_BEFORE;
    transaction.execute("INSERT INTO head (one, count, hash) VALUES (1, 0, ?1)", [first])?;
    transaction.commit()
}

/// What is not as [`make`] made it, if anything.
pub(super) fn altered(connection: &Connection) -> rusqlite::Result<Option<String>> {
    let mut statement = connection
        .prepare("SELECT name, coalesce(sql, '') FROM main.sqlite_schema ORDER BY name")?;
    let found = statement
        .query_map([], |row| Ok((row.get::<_, String>(0)?, row.get::<_, String>(1)?)))?
        .collect::<rusqlite::Result<Vec<_>>>()?;
    let standing = |name: &str| found.iter().find(|(own, _)| own == name).map(|(_, sql)| sql);
    for (name, sql) in MADE {
        match standing(name) {
            None => return Ok(Some(format!("{name} is missing"))),
            Some(own) if own != sql => return Ok(Some(format!("{name} is another one"))),
            Some(_) => {}
        }
    }
    let known = |name: &str| MADE.iter().any(|(own, _)| *own == name);
    let foreign = found.iter().find(|(name, _)| !known(name));
    Ok(foreign.map(|(name, _)| format!("{} was added", crate::input::shown(name))))
}
