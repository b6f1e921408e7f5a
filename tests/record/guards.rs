//! The triggers keep a slip from doing harm.

use super::scene::{faults, scene};
use rusqlite::Connection;

#[test]
fn entries_and_head_refuse_to_be_changed() {
    let path = scene("guards");
    let connection = Connection::open(&path).unwrap();
    for (sql, words) in [
        ("UPDATE entry SET kind = 'x' WHERE seq = 1", "an entry is never changed"),
        ("DELETE FROM entry WHERE seq = 1", "an entry is never deleted"),
        ("DELETE FROM entry", "an entry is never deleted"),
        (
            "REPLACE INTO entry SELECT 6, id, kind, written, previous, body, hash FROM entry WHERE seq = 1",
            "one by one",
        ),
        (
            "REPLACE INTO entry SELECT seq, 'x', kind, written, previous, body, hash FROM entry WHERE seq = 1",
            "one by one",
        ),
        (
            "INSERT INTO entry SELECT 8, 'x', kind, written, previous, body, hash FROM entry WHERE seq = 1",
            "one by one",
        ),
        ("UPDATE head SET count = 4", "the head follows the entries"),
        ("UPDATE head SET count = 6", "the head follows the entries"),
        ("DELETE FROM head", "the head is never deleted"),
        ("REPLACE INTO head VALUES (1, 0, 'x')", "there is one head"),
    ] {
        let error = connection.execute_batch(sql).unwrap_err().to_string();
        assert!(error.contains(words), "{sql}: {error}");
    }
    drop(connection);
    assert!(faults(&path).is_empty());
}
