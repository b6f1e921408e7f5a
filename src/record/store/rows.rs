//! Rows of the record: how they are read whatever stands in them, and how one is added at a sound end.

use super::schema;
use crate::input::shown;
use crate::record::chain::NONE_BEFORE;
use crate::record::fault::Fault;
use crate::record::verify::{Head, Row};
use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension, Transaction};

pub(super) const FIELDS: &str = "SELECT seq, id, kind, written, previous, body, hash FROM entry";
pub(super) const ALL: &str =
    "SELECT seq, id, kind, written, previous, body, hash FROM entry ORDER BY seq";

/// A row as well as it can be read, and the first field that is not what it must be.
pub(super) fn row_of(row: &rusqlite::Row<'_>) -> rusqlite::Result<(Row, Option<&'static str>)> {
    let mut odd = None;
    let mut text = |index: usize, field: &'static str| -> rusqlite::Result<String> {
        let value = row.get_ref(index)?;
        if let ValueRef::Text(bytes) = value
            && let Ok(text) = std::str::from_utf8(bytes)
        {
            return Ok(text.to_owned());
        }
        odd = odd.or(Some(field));
        Ok(match value {
            ValueRef::Text(bytes) | ValueRef::Blob(bytes) => {
                String::from_utf8_lossy(bytes).into_owned()
            }
            ValueRef::Integer(number) => number.to_string(),
            ValueRef::Real(number) => number.to_string(),
            ValueRef::Null => String::new(),
        })
    };
    let (id, kind, written) = (text(1, "id")?, text(2, "kind")?, text(3, "time")?);
    let (previous, body) = (text(4, "hash of the entry before")?, text(5, "body")?);
    let hash = text(6, "hash")?;
    Ok((Row { seq: row.get(0)?, id, kind, written, previous, body, hash }, odd))
}

/// The head; `None` if it is missing or not readable.
pub(super) fn head(connection: &Connection) -> rusqlite::Result<Option<Head>> {
    let mut statement = connection.prepare("SELECT count, hash FROM head")?;
    let mut rows = statement.query([])?;
    let Some(row) = rows.next()? else {
        return Ok(None);
    };
    Ok(row.get(0).and_then(|count| Ok(Head { count, hash: row.get(1)? })).ok())
}

/// The head, if guards, head and last entry fit each other.
pub(super) fn sound_end(transaction: &Transaction<'_>) -> rusqlite::Result<Result<Head, Fault>> {
    if let Some(what) = schema::altered(transaction)? {
        return Ok(Err(Fault::Unguarded { what }));
    }
    let Some(head) = head(transaction)? else {
        return Ok(Err(Fault::NoHead));
    };
    let sql = format!("{FIELDS} ORDER BY seq DESC LIMIT 1");
    let fault = match transaction.query_row(&sql, [], row_of).optional()? {
        None if head.count == 0 && head.hash == NONE_BEFORE => None,
        None => Some(Fault::CutOff { from: 1, to: head.count }),
        Some((row, Some(field))) => Some(Fault::Unreadable { seq: row.seq, field }),
        Some((row, None)) if head.count > row.seq => {
            Some(Fault::CutOff { from: row.seq + 1, to: head.count })
        }
        Some((row, None)) if head.count < row.seq => {
            Some(Fault::NotCounted { from: head.count + 1, to: row.seq })
        }
        Some((row, None)) if !row.fits() => {
            Some(Fault::Changed { seq: row.seq, id: shown(&row.id) })
        }
        Some((row, None)) if row.hash != head.hash => Some(Fault::HeadDiffers { seq: row.seq }),
        Some((_, None)) => None,
    };
    Ok(fault.map_or(Ok(head), Err))
}

/// The wanted id, or the same with a number if it is taken.
pub(super) fn free_id(transaction: &Transaction<'_>, wanted: &str) -> rusqlite::Result<String> {
    let mut taken = transaction.prepare("SELECT 1 FROM entry WHERE id = ?1")?;
    let (mut id, mut number) = (wanted.to_owned(), 1);
    while taken.exists([&id])? {
        number += 1;
        id = format!("{wanted}-{number}");
    }
    Ok(id)
}

/// Adds an entry and moves the head on to it.
pub(super) fn add(
    transaction: &Transaction<'_>,
    entry: &[&dyn rusqlite::ToSql],
) -> rusqlite::Result<()> {
    transaction.execute(
        "INSERT INTO entry (seq, id, kind, written, previous, body, hash) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        entry,
    )?;
    transaction.execute("UPDATE head SET count = ?1, hash = ?2", [entry[0], entry[6]])?;
    Ok(())
}
