//! Whatever is changed, removed or put elsewhere is found, and the entry is named.

use super::run::run;
use super::scene::{ENTRIES, attacked, faults, scene};
use bubblemargin::record::chain::Link;
use bubblemargin::record::store::Store;
use bubblemargin::record::verify::Noted;
use rusqlite::{Connection, params};
use std::path::Path;

fn execute(path: &Path, sql: &str) {
    attacked(path, |connection| connection.execute_batch(sql).unwrap());
}

#[test]
fn an_untouched_record_is_whole() {
    let path = scene("untouched");
    assert!(faults(&path).is_empty());
    attacked(&path, |_| {});
    assert!(faults(&path).is_empty(), "taking the triggers off and on changes nothing");
}

#[test]
fn every_change_of_every_column_of_every_entry_names_the_entry() {
    let path = scene("columns");
    for seq in 1..=ENTRIES {
        for column in ["id", "kind", "written", "previous", "body", "hash"] {
            let whole = std::fs::read(&path).unwrap();
            // A digit or letter more, as in a slip of the pen.
            execute(
                &path,
                &format!("UPDATE entry SET {column} = {column} || '0' WHERE seq = {seq}"),
            );
            let found = faults(&path);
            assert!(!found.is_empty(), "{column} of {seq}");
            assert!(found[0].starts_with(&format!("entry {seq} (")), "{column}: {found:?}");
            assert!(found[0].contains("was changed"), "{column} of {seq}: {found:?}");
            std::fs::write(&path, whole).unwrap();
        }
    }
}

#[test]
fn one_letter_in_the_body_of_one_entry_is_that_entry_alone() {
    let path = scene("letter");
    execute(
        &path,
        "UPDATE entry SET body = replace(body, 'A hospital.', 'a hospital.') WHERE seq = 3",
    );
    let found = faults(&path);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].starts_with("entry 3 (") && found[0].contains("was changed"), "{found:?}");
    let ran = run(&["record", "verify", path.to_str().unwrap()]);
    assert_eq!(ran.code, 3);
    assert!(ran.stdout.starts_with("NOT WHOLE") && ran.stdout.contains("entry 3 ("));
    let shown = run(&["record", "show", path.to_str().unwrap(), "3"]);
    assert_eq!(shown.code, 3);
    assert!(shown.stdout.contains("CHANGED"));
    assert!(run(&["record", "list", path.to_str().unwrap()]).stdout.contains("CHANGED"));
}

#[test]
fn a_text_that_became_bytes_is_found() {
    let path = scene("blob");
    execute(&path, "UPDATE entry SET body = CAST(body AS BLOB) WHERE seq = 2");
    assert_eq!(faults(&path), ["entry 2 was changed: its body is not text"]);
    execute(
        &path,
        "UPDATE entry SET body = NULL WHERE 0; UPDATE entry SET body = x'ff' WHERE seq = 2",
    );
    assert_eq!(faults(&path), ["entry 2 was changed: its body is not text"]);
}

#[test]
fn a_removed_entry_is_named() {
    let path = scene("removed");
    execute(&path, "DELETE FROM entry WHERE seq IN (2, 3)");
    assert_eq!(faults(&path)[0], "entries 2 to 3 were removed: nothing stands there");
    let path = scene("removed-first");
    execute(&path, "DELETE FROM entry WHERE seq = 1");
    assert_eq!(faults(&path), ["entry 1 was removed: nothing stands there"]);
}

#[test]
fn a_removed_entry_whose_gap_was_closed_is_found() {
    let path = scene("closed");
    execute(
        &path,
        "DELETE FROM entry WHERE seq = 2; UPDATE entry SET seq = seq - 1 WHERE seq > 2; UPDATE head SET count = 4",
    );
    let found = faults(&path);
    assert!(found[0].starts_with("entry 2 (") && found[0].contains("was changed"), "{found:?}");
}

#[test]
fn two_entries_that_changed_places_are_both_named() {
    let path = scene("swapped");
    execute(
        &path,
        "UPDATE entry SET seq = 99 WHERE seq = 2; UPDATE entry SET seq = 2 WHERE seq = 4; \
         UPDATE entry SET seq = 4 WHERE seq = 99",
    );
    let found = faults(&path);
    assert!(
        found
            .iter()
            .any(|fault| fault.starts_with("entry 4 (") && fault.ends_with("stands in place 2")),
        "{found:?}"
    );
    assert!(
        found
            .iter()
            .any(|fault| fault.starts_with("entry 2 (") && fault.ends_with("stands in place 4")),
        "{found:?}"
    );
}

#[test]
fn an_end_cut_off_is_found() {
    let path = scene("cut");
    execute(&path, "DELETE FROM entry WHERE seq > 3");
    assert_eq!(faults(&path), ["the end is cut off: entries 4 to 5 are missing"]);
    let path = scene("all-cut");
    execute(&path, "DELETE FROM entry");
    assert_eq!(faults(&path), ["the end is cut off: entries 1 to 5 are missing"]);
}

#[test]
fn a_head_that_was_replaced_or_removed_is_found() {
    let path = scene("head");
    execute(&path, "UPDATE head SET hash = (SELECT hash FROM entry WHERE seq = 1)");
    assert_eq!(
        faults(&path),
        ["the head was changed, or entry 5 with its hash: their hashes differ"]
    );
    execute(&path, "UPDATE head SET count = 3");
    assert_eq!(
        faults(&path),
        ["entries 4 to 5 were not written by this tool: the record counts 3 only"]
    );
    execute(&path, "DELETE FROM head");
    assert_eq!(
        faults(&path),
        ["the head, which notes how many entries there are, is missing or not readable"]
    );
}

/// Makes the hash of an entry anew after it was changed.
fn rehash(connection: &Connection, seq: i64) -> String {
    let hash = connection
        .query_row(
            "SELECT id, kind, written, previous, body FROM entry WHERE seq = ?1",
            [seq],
            |row| {
                let text = |index| row.get::<_, String>(index);
                let (id, kind, written) = (text(0)?, text(1)?, text(2)?);
                let (previous, body) = (text(3)?, text(4)?);
                let link = Link {
                    seq,
                    id: &id,
                    kind: &kind,
                    written: &written,
                    previous: &previous,
                    body: &body,
                };
                Ok(link.hash())
            },
        )
        .unwrap();
    connection.execute("UPDATE entry SET hash = ?1 WHERE seq = ?2", params![hash, seq]).unwrap();
    hash
}

fn falsified(connection: &Connection, seq: i64) {
    let sql = "UPDATE entry SET body = replace(body, 'A. Engineer', 'B. Engineer') WHERE seq = ?1";
    connection.execute(sql, [seq]).unwrap();
}

#[test]
fn an_entry_changed_with_its_hash_is_found_by_the_next() {
    let path = scene("rehashed");
    attacked(&path, |connection| {
        falsified(connection, 2);
        rehash(connection, 2);
    });
    let found = faults(&path);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("entry 2 was changed with its hash"), "{found:?}");
    let path = scene("rehashed-last");
    attacked(&path, |connection| {
        let sql = "UPDATE entry SET body = replace(body, '88.5', '78.5') WHERE seq = 5";
        connection.execute(sql, []).unwrap();
        rehash(connection, 5);
    });
    assert_eq!(
        faults(&path),
        ["the head was changed, or entry 5 with its hash: their hashes differ"]
    );
}

/// What the docs admit: who makes everything anew is found by what was noted elsewhere, and by nothing else.
#[test]
fn a_record_made_anew_is_found_by_a_noted_hash_alone() {
    let path = scene("anew");
    let whole = Store::open_to_read(&path).unwrap().verify(&[]).unwrap();
    let (seq, _, hash) = whole.last.unwrap();
    let noted = Noted::parse(&format!("{seq}:{}", &hash[..16])).unwrap();
    let first = Store::open_to_read(&path).unwrap().read_number(1).unwrap();
    let early = Noted::parse(&format!("1:{}", first.hash)).unwrap();
    attacked(&path, |connection| {
        falsified(connection, 2);
        let mut hash = rehash(connection, 2);
        for seq in 3..=ENTRIES {
            connection
                .execute("UPDATE entry SET previous = ?1 WHERE seq = ?2", params![hash, seq])
                .unwrap();
            hash = rehash(connection, seq);
        }
        connection.execute("UPDATE head SET hash = ?1", [hash]).unwrap();
    });
    assert!(faults(&path).is_empty());
    let store = Store::open_to_read(&path).unwrap();
    assert!(store.verify(std::slice::from_ref(&early)).unwrap().is_whole());
    let found = store.verify(&[early, noted]).unwrap();
    assert_eq!(found.faults.len(), 1);
    assert!(found.faults[0].to_string().starts_with("entry 5 is not the one that was noted"));
    let head = format!("{seq}:{hash}");
    assert_eq!(run(&["record", "verify", path.to_str().unwrap(), "--head", &head]).code, 3);
    assert_eq!(run(&["record", "verify", path.to_str().unwrap()]).code, 0);
}

#[test]
fn a_record_set_back_to_an_earlier_state_is_found_by_a_noted_hash() {
    let path = scene("back");
    let last = Store::open_to_read(&path).unwrap().read_number(ENTRIES).unwrap();
    execute(
        &path,
        "DELETE FROM entry WHERE seq > 3; UPDATE head SET count = 3, hash = (SELECT hash FROM entry WHERE seq = 3)",
    );
    assert!(faults(&path).is_empty());
    let head = format!("{ENTRIES}:{}", last.hash);
    let ran = run(&["record", "verify", path.to_str().unwrap(), "--head", &head]);
    assert!(ran.code == 3 && ran.stdout.contains("there is no such entry"), "{}", ran.stdout);
}

#[test]
fn guards_that_were_taken_away_or_added_to_are_found() {
    let path = scene("unguarded");
    let connection = Connection::open(&path).unwrap();
    connection.execute_batch("DROP TRIGGER entry_stays").unwrap();
    assert_eq!(
        faults(&path),
        ["the file's guards against change were altered: entry_stays is missing"]
    );
    let path = scene("added");
    let connection = Connection::open(&path).unwrap();
    let added =
        "CREATE TRIGGER more AFTER INSERT ON entry BEGIN UPDATE head SET count = count; END";
    connection.execute_batch(added).unwrap();
    assert_eq!(faults(&path), ["the file's guards against change were altered: more was added"]);
}

#[test]
fn nothing_is_added_to_a_record_whose_end_is_in_doubt() {
    for (test, sql) in [
        ("doubt-head", "UPDATE head SET count = 4"),
        ("doubt-cut", "DELETE FROM entry WHERE seq = 5"),
        ("doubt-last", "UPDATE entry SET body = body || ' ' WHERE seq = 5"),
        ("doubt-no-head", "DELETE FROM head"),
    ] {
        let path = scene(test);
        execute(&path, sql);
        let before = faults(&path);
        let after = ["record", "after", path.to_str().unwrap(), "3", "--by", "J", "--note", "x"];
        let ran = run(&after);
        assert_eq!(ran.code, 1, "{test}: {}", ran.stderr);
        assert!(
            ran.stderr.contains("nothing is added to a record that is not whole"),
            "{}",
            ran.stderr
        );
        assert_eq!(faults(&path), before, "{test}");
    }
}

#[test]
fn a_damaged_file_is_not_whole() {
    let path = scene("damaged");
    let mut bytes = std::fs::read(&path).unwrap();
    let place = bytes.windows(11).position(|window| window == b"A. Engineer").unwrap();
    // One bit, as a failing disk would leave it.
    bytes[place] ^= 1;
    std::fs::write(&path, bytes).unwrap();
    let found = faults(&path);
    assert!(found.len() == 1 && found[0].starts_with("entry 2 ("), "{found:?}");
}
