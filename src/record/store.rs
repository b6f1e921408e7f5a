//! The file that entries are added to: a database (`SQLite`) in WAL mode, and the only place that knows so.
//!
//! An entry and the head (count and last hash) are written in one transaction that is on the disk before
//! [`Store::append`] returns. Several connections, threads and processes may write at once; they wait for each other.
//! A connection may be handed to another thread, and opening one for each request is cheap.

mod file;
mod rows;
mod schema;

use super::chain::Link;
use super::draft::Draft;
use super::entry::Content;
use super::fault::Fault;
use super::verify::{Head, Noted, Row, Verification, Verifier};
use crate::input::{InputError, shown};
use rows::{ALL, FIELDS, add, free_id, head, row_of, sound_end};
use rusqlite::{Connection, OpenFlags, OptionalExtension, TransactionBehavior, params};
use serde::Serialize;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Largest body of an entry, bytes.
pub const MOST_BODY: usize = 8 << 20;

/// How long one writer waits for the others.
const PATIENCE: Duration = Duration::from_secs(20);

/// A record that is open.
#[derive(Debug)]
pub struct Store {
    connection: Connection,
    path: PathBuf,
}

/// An entry that is written, and on the disk.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Written {
    /// Its number, from 1.
    pub entry: i64,
    /// Its id.
    pub id: String,
    /// Its hash: note it with the number outside the record.
    pub hash: String,
}

/// Why a record cannot be opened, read or added to.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The file or the entry is not what it must be.
    #[error(transparent)]
    Refused(#[from] InputError),
    /// The last entry does not fit the head, so that nothing is added to it.
    #[error("{}: nothing is added to a record that is not whole: {fault}", path.display())]
    NotWhole {
        /// The file.
        path: PathBuf,
        /// What is not as it was written.
        fault: Box<Fault>,
    },
    /// The database failed: a full disk, a failing disk, or others who write for too long.
    #[error("{}: {source}", path.display())]
    Database {
        /// The file.
        path: PathBuf,
        /// What it says.
        source: rusqlite::Error,
    },
    /// The file system failed.
    #[error("{}: {source}", path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// What it says.
        source: std::io::Error,
    },
}

impl StoreError {
    fn io(path: &Path, source: std::io::Error) -> Self {
        Self::Io { path: path.to_owned(), source }
    }
}

impl Store {
    /// Opens a record to add to it; where nothing stands, an empty one is made.
    ///
    /// # Errors
    /// [`StoreError::Refused`] if something else stands there or it cannot be written to.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        if path.symlink_metadata().is_err_and(|error| error.kind() == std::io::ErrorKind::NotFound)
        {
            file::made(path)?;
        }
        file::recognised(path)?;
        let cannot = || file::refused(path, "a file that cannot be written to", "one that can");
        if file::is_read_only(path) {
            return Err(cannot());
        }
        let store = Self::connected(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        if store.connection.is_readonly("main").map_err(|source| store.failed(source))? {
            return Err(cannot());
        }
        Ok(store)
    }

    /// Opens a record to read it. Nothing in it changes, and nothing is made.
    ///
    /// # Errors
    /// [`StoreError::Refused`] if no record stands there.
    pub fn open_to_read(path: &Path) -> Result<Self, StoreError> {
        file::recognised(path)?;
        // Who may write tidies up behind the database when it is closed.
        let read_only = file::is_read_only(path);
        let flags = if read_only {
            OpenFlags::SQLITE_OPEN_READ_ONLY
        } else {
            OpenFlags::SQLITE_OPEN_READ_WRITE
        };
        let store = Self::connected(path, flags)?;
        let set = store.connection.pragma_update(None, "query_only", true);
        set.map_err(|source| store.failed(source))?;
        Ok(store)
    }

    fn connected(path: &Path, flags: OpenFlags) -> Result<Self, StoreError> {
        let failed = |source| StoreError::Database { path: path.to_owned(), source };
        let flags = flags | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = Connection::open_with_flags(path, flags).map_err(failed)?;
        file::configured(&connection).map_err(failed)?;
        Ok(Self { connection, path: path.to_owned() })
    }

    /// Adds an entry; once it returns, the entry is on the disk. After an error other than
    /// [`StoreError::Database`] nothing was added; after that one look whether it was.
    ///
    /// # Errors
    /// [`StoreError`]: the record is not whole, the entry is too large or about an authorisation that is not there,
    /// or the disk is full or failing.
    pub fn append(&mut self, draft: &Draft) -> Result<Written, StoreError> {
        let path = self.path.clone();
        let failed = |source| StoreError::Database { path: path.clone(), source };
        let transaction = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(failed)?;
        let head = sound_end(&transaction)
            .map_err(failed)?
            .map_err(|fault| StoreError::NotWhole { path: path.clone(), fault: Box::new(fault) })?;
        if let Content::AfterEvent(after) = &draft.content {
            let of: Option<String> = transaction
                .query_row("SELECT kind FROM entry WHERE id = ?1", [&after.of], |row| row.get(0))
                .optional()
                .map_err(failed)?;
            if of.as_deref() != Some("authorisation") {
                return Err(not_there(&path, &after.of));
            }
        }
        let id = free_id(&transaction, &draft.wanted_id()).map_err(failed)?;
        let body = body(&path, draft, &id)?;
        let (kind, written) = (draft.content.kind(), draft.written.utc.as_str());
        let (seq, previous) = (head.count + 1, head.hash.as_str());
        let hash = Link { seq, id: &id, kind, written, previous, body: &body }.hash();
        add(&transaction, params![seq, id, kind, written, previous, body, hash]).map_err(failed)?;
        transaction.commit().map_err(failed)?;
        Ok(Written { entry: seq, id, hash })
    }

    /// Every entry, in order.
    ///
    /// # Errors
    /// [`StoreError`] if the record cannot be read.
    pub fn list(&self) -> Result<Vec<Row>, StoreError> {
        let mut rows = Vec::new();
        self.each(|row, _| rows.push(row))?;
        Ok(rows)
    }

    /// The entry of this id.
    ///
    /// # Errors
    /// [`StoreError::Refused`] if there is none.
    pub fn read(&self, id: &str) -> Result<Row, StoreError> {
        self.one("SELECT seq FROM entry WHERE id = ?1", id)?
            .ok_or_else(|| not_there(&self.path, id))
    }

    /// The entry of this number.
    ///
    /// # Errors
    /// [`StoreError::Refused`] if there is none.
    pub fn read_number(&self, seq: i64) -> Result<Row, StoreError> {
        let row = self.one("SELECT seq FROM entry WHERE seq = ?1", seq)?;
        row.ok_or_else(|| not_there(&self.path, &seq.to_string()))
    }

    /// What the file says about its own end.
    ///
    /// # Errors
    /// [`StoreError`] if the record cannot be read.
    pub fn head(&self) -> Result<Option<Head>, StoreError> {
        head(&self.connection).map_err(|source| self.failed(source))
    }

    /// Whether every entry is there, as and where it was written; with a number and hash noted elsewhere, whether it
    /// still is that record.
    ///
    /// # Errors
    /// [`StoreError`] if the record cannot be read at all.
    pub fn verify(&self, noted: &[Noted]) -> Result<Verification, StoreError> {
        let failed = |source| self.failed(source);
        // One state of the record throughout, whoever writes meanwhile.
        let _snapshot = self.connection.unchecked_transaction().map_err(failed)?;
        let mut verifier = Verifier::default();
        match schema::altered(&self.connection) {
            Ok(None) => {}
            Ok(Some(what)) => verifier.fault(Fault::Unguarded { what }),
            Err(error) => verifier.fault(Fault::Damaged { what: error.to_string() }),
        }
        let mut hashes = vec![None; noted.len()];
        let read = self.each(|row, odd| {
            for (_, hash) in noted.iter().zip(&mut hashes).filter(|(noted, _)| noted.seq == row.seq)
            {
                *hash = Some(row.hash.clone());
            }
            match odd {
                None => verifier.row(row),
                Some(field) => verifier.unreadable(row.seq, field),
            }
        });
        if let Err(error) = read {
            verifier.fault(Fault::Damaged { what: error.to_string() });
        }
        for what in self.damage() {
            verifier.fault(Fault::Damaged { what });
        }
        let head = head(&self.connection).unwrap_or(None);
        let noted: Vec<_> = noted.iter().cloned().zip(hashes).collect();
        Ok(verifier.finish(head.as_ref(), &noted))
    }

    /// What the database finds wrong with its own file.
    fn damage(&self) -> Vec<String> {
        let mut found = Vec::new();
        let checked = self.connection.pragma_query(None, "integrity_check", |row| {
            found.push(row.get::<_, String>(0)?);
            Ok(())
        });
        found.retain(|line| line != "ok");
        found.extend(checked.err().map(|error| error.to_string()));
        found
    }

    /// Every entry in the order of its number, and the first field of it that is not even text.
    fn each(&self, mut seen: impl FnMut(Row, Option<&'static str>)) -> Result<(), StoreError> {
        let failed = |source| self.failed(source);
        let mut statement = self.connection.prepare(ALL).map_err(failed)?;
        let mut rows = statement.query([]).map_err(failed)?;
        while let Some(row) = rows.next().map_err(failed)? {
            let (row, odd) = row_of(row).map_err(failed)?;
            seen(row, odd);
        }
        Ok(())
    }

    fn one(&self, which: &str, value: impl rusqlite::ToSql) -> Result<Option<Row>, StoreError> {
        let failed = |source| self.failed(source);
        let sql = format!("{FIELDS} WHERE seq = ({which})");
        let mut statement = self.connection.prepare(&sql).map_err(failed)?;
        let found = statement.query_row([value], row_of).optional().map_err(failed)?;
        Ok(found.map(|(row, _)| row))
    }

    fn failed(&self, source: rusqlite::Error) -> StoreError {
        StoreError::Database { path: self.path.clone(), source }
    }
}

fn body(path: &Path, draft: &Draft, id: &str) -> Result<String, StoreError> {
    let refused = |found: String, accepted: &str| file::refused(path, &found, accepted);
    let body = serde_json::to_string(&draft.with_id(id))
        .map_err(|error| refused(format!("an entry that is not JSON: {error}"), "plain data"))?;
    if body.len() > MOST_BODY {
        let accepted = format!("at most {MOST_BODY} bytes; the files of the case are kept in it");
        return Err(refused(format!("an entry of {} bytes", body.len()), &accepted));
    }
    Ok(body)
}

fn not_there(path: &Path, id: &str) -> StoreError {
    let found = format!("no such entry: {}", shown(id));
    file::refused(path, &found, "the id or number of one; `record list` shows them")
}

#[cfg(test)]
mod tests;
