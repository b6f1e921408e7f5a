//! What is no record is refused in clear words and left as it is.

use super::run::{Ran, T1, run, scratch, written};
use super::scene::{LIGHT, asked, fresh, scene};
use std::fs;
use std::path::Path;

fn all(file: &Path) -> Vec<Ran> {
    let name = file.to_str().unwrap();
    vec![
        asked(T1, &LIGHT, file, &[]),
        run(&["record", "list", name]),
        run(&["record", "show", name, "1"]),
        run(&["record", "verify", name]),
        run(&["record", "export", name]),
        run(&["record", "after", name, "1", "--by", "J", "--note", "x"]),
    ]
}

fn refused(file: &Path, words: &str) {
    let before = fs::read(file).ok();
    for ran in all(file) {
        assert_eq!(ran.code, 2, "{words}: {}", ran.stderr);
        assert!(ran.stderr.contains(words), "{words}: {}", ran.stderr);
        assert!(ran.stdout.is_empty(), "found before the long work");
    }
    assert_eq!(fs::read(file).ok(), before, "{words}");
}

#[test]
fn a_foreign_database_an_empty_file_a_text_and_a_folder_are_refused() {
    let folder = scratch("record-foreign");
    let foreign = folder.join("foreign.db");
    let _ = fs::remove_file(&foreign);
    let connection = rusqlite::Connection::open(&foreign).unwrap();
    connection.execute_batch("CREATE TABLE entry (seq INTEGER)").unwrap();
    connection.close().unwrap();
    refused(&foreign, "a database of something else");
    refused(Path::new(&written(&folder, "empty.db", "")), "an empty file");
    refused(Path::new(&written(&folder, "text.db", "unit: a\n".repeat(99))), "no record");
    refused(Path::new(&written(&folder, "short.db", "x")), "no record");
    refused(&folder, "no regular file");
    // The words of the one are ours, those of the others the system's.
    refused(&folder.join("none/record.db"), "o such f");
}

#[test]
fn a_record_of_another_version_is_refused() {
    let path = scene("version");
    let connection = rusqlite::Connection::open(&path).unwrap();
    connection.pragma_update(None, "user_version", 2).unwrap();
    connection.close().unwrap();
    refused(&path, "a record of another version, 2");
}

#[test]
fn a_read_only_record_is_read_and_not_added_to() {
    let path = scene("read-only");
    let before = fs::read(&path).unwrap();
    let mut permissions = fs::metadata(&path).unwrap().permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&path, permissions.clone()).unwrap();
    let codes: Vec<i32> = all(&path).iter().map(|ran| ran.code).collect();
    let words = asked(T1, &LIGHT, &path, &[]).stderr;
    // So that the scratch folder can be cleared.
    #[allow(clippy::permissions_set_readonly_false, reason = "a scratch file")]
    permissions.set_readonly(false);
    fs::set_permissions(&path, permissions).unwrap();
    assert_eq!(codes, [2, 0, 0, 0, 0, 2]);
    assert!(words.contains("a file that cannot be written to"), "{words}");
    assert_eq!(fs::read(&path).unwrap(), before);
}

#[test]
fn reading_a_record_leaves_it_and_its_folder_as_they_are() {
    let path = scene("tidy");
    let before = fs::read(&path).unwrap();
    let listed = |path: &Path| {
        let names = fs::read_dir(path.parent().unwrap()).unwrap();
        names.map(|entry| entry.unwrap().file_name()).collect::<Vec<_>>()
    };
    let names = listed(&path);
    for ran in &all(&path)[1..5] {
        assert_eq!(ran.code, 0, "{}", ran.stderr);
    }
    assert_eq!(listed(&path).len(), names.len(), "{:?}", listed(&path));
    assert_eq!(names.len(), 1, "{names:?}");
    // The first and the last of them added an entry each.
    assert_ne!(fs::read(&path).unwrap(), before);
}

#[test]
fn only_checking_makes_a_record() {
    let path = fresh("none");
    let codes: Vec<i32> = all(&path)[1..].iter().map(|ran| ran.code).collect();
    // The first of them made it.
    assert_eq!(codes, [0; 5]);
    let path = fresh("none");
    assert_eq!(run(&["record", "list", path.to_str().unwrap()]).code, 2);
    assert!(!path.exists());
}

#[test]
fn the_record_is_not_taken_for_the_answer() {
    let path = scene("out");
    let before = fs::read(&path).unwrap();
    let ran = asked(T1, &LIGHT, &path, &["--out", path.to_str().unwrap()]);
    assert_eq!(ran.code, 2);
    let name = path.to_str().unwrap();
    assert_eq!(run(&["record", "export", name, "--out", name]).code, 2);
    assert_eq!(fs::read(&path).unwrap(), before);
}
