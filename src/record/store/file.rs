//! The file of a record: made whole or not at all, and opened only if it is one.

use super::StoreError;
use super::schema::{APPLICATION_ID, VERSION, make};
use crate::input::InputError;
use rusqlite::config::DbConfig;
use rusqlite::{Connection, ErrorCode, OpenFlags};
use std::fs::{self, File};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

/// A database is never shorter, bytes; what is shorter is taken for an empty one.
const HEADER: u64 = 512;

const A_RECORD: &str = "a record of authorisations, or no file where one is to begin";

/// Makes an empty record where nothing stands. It is made beside its place and put there whole, so that nobody ever
/// finds half of one, and of several who make it at once one is first.
pub(super) fn made(path: &Path) -> Result<(), StoreError> {
    static MADE: AtomicU32 = AtomicU32::new(0);
    let Some(name) = path.file_name() else {
        return Err(refused(path, "no file name", A_RECORD));
    };
    let mut beside = std::ffi::OsString::from(".");
    beside.push(name);
    let number = MADE.fetch_add(1, Ordering::Relaxed);
    beside.push(format!(".{}-{number}.new", std::process::id()));
    let beside = path.with_file_name(beside);
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let folder = folder.unwrap_or(Path::new("."));
    if !folder.is_dir() {
        return Err(refused(path, "no such folder", "a file in a folder that is there"));
    }
    let put = empty(&beside).and_then(|()| match fs::hard_link(&beside, path) {
        Err(error) if error.kind() != ErrorKind::AlreadyExists => Err(StoreError::io(path, error)),
        _ => synced(folder).map_err(|error| StoreError::io(path, error)),
    });
    for leftover in [beside.clone(), ending(&beside, "-wal"), ending(&beside, "-shm")] {
        // Of no use any more; that it may not go changes nothing.
        let _ = fs::remove_file(leftover);
    }
    put
}

fn ending(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

fn empty(path: &Path) -> Result<(), StoreError> {
    let failed = |source| StoreError::Database { path: path.to_owned(), source };
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
    let mut connection = Connection::open_with_flags(path, flags).map_err(failed)?;
    make(&mut connection).map_err(failed)?;
    connection.pragma_update(None, "journal_mode", "WAL").map_err(failed)?;
    connection.close().map_err(|(_, error)| failed(error))?;
    // Nobody else has it open, so that opening and closing it takes no lock from anybody.
    File::open(path).and_then(|file| file.sync_all()).map_err(|error| StoreError::io(path, error))
}

/// The name in its folder is durable as well.
#[cfg(unix)]
fn synced(folder: &Path) -> std::io::Result<()> {
    File::open(folder)?.sync_all()
}

#[cfg(not(unix))]
fn synced(_: &Path) -> std::io::Result<()> {
    Ok(())
}

/// Refuses what is no record, without touching it. A file is looked into by the database alone: closing it after
/// reading it directly would drop the locks that other connections of this process hold on it.
pub(super) fn recognised(path: &Path) -> Result<(), StoreError> {
    let metadata = path.metadata().map_err(|error| refused(path, &error.to_string(), A_RECORD))?;
    if !metadata.is_file() {
        return Err(refused(path, "no regular file", A_RECORD));
    }
    if metadata.len() == 0 {
        return Err(refused(path, "an empty file", A_RECORD));
    }
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let marks = Connection::open_with_flags(path, flags).and_then(|connection| {
        connection.busy_timeout(super::PATIENCE)?;
        let mark = |name| connection.pragma_query_value(None, name, |row| row.get::<_, i32>(0));
        Ok((mark("application_id")?, mark("user_version")?))
    });
    match marks {
        Ok((APPLICATION_ID, VERSION)) => Ok(()),
        Ok((APPLICATION_ID, version)) => {
            let found = format!("a record of another version, {version}");
            Err(refused(path, &found, &format!("a record of version {VERSION}")))
        }
        Ok(_) if metadata.len() < HEADER => Err(refused(path, "no record", A_RECORD)),
        Ok(_) => Err(refused(path, "a database of something else", A_RECORD)),
        Err(error) if error.sqlite_error_code() == Some(ErrorCode::NotADatabase) => {
            Err(refused(path, "no record", A_RECORD))
        }
        Err(error) if error.sqlite_error_code() == Some(ErrorCode::CannotOpen) => {
            let accepted = "a record in a folder that can be written to; a copy of it would do";
            Err(refused(path, &error.to_string(), accepted))
        }
        Err(source) => Err(StoreError::Database { path: path.to_owned(), source }),
    }
}

/// Whether the file is marked as one that may not be written to, whoever asks.
pub(super) fn is_read_only(path: &Path) -> bool {
    path.metadata().is_ok_and(|metadata| metadata.permissions().readonly())
}

pub(super) fn refused(path: &Path, found: &str, accepted: &str) -> StoreError {
    InputError::new(&path.display().to_string(), found, accepted).into()
}

/// Commits wait for the disk, and nothing in the file runs unasked.
pub(super) fn configured(connection: &Connection) -> rusqlite::Result<()> {
    connection.busy_timeout(super::PATIENCE)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    connection.pragma_update(None, "trusted_schema", false)?;
    connection.pragma_update(None, "cell_size_check", true)?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    // Where a plain sync does not reach the disk (macOS) this one does; elsewhere it is the same.
    connection.pragma_update(None, "fullfsync", true)?;
    connection.pragma_update(None, "checkpoint_fullfsync", true)
}
