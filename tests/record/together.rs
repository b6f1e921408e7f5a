//! Several processes that write at once wait for each other; the record has one beginning.

use super::run::{T1, json};
use super::scene::{LIGHT, asked, faults, fresh};
use super::writer::{acknowledged, writer};
use bubblemargin::record::store::Store;
use std::collections::BTreeSet;

#[test]
fn four_processes_that_write_at_once_lose_nothing() {
    let path = fresh("together");
    let writers: Vec<_> = (0..4).map(|_| writer(&path, 24)).collect();
    let outputs: Vec<_> =
        writers.into_iter().map(|child| child.wait_with_output().unwrap()).collect();
    let mut all = BTreeSet::new();
    for output in &outputs {
        assert!(output.status.success());
        let printed = String::from_utf8(output.stdout.clone()).unwrap();
        let ids = acknowledged(&printed);
        assert_eq!(ids.len(), 24, "{printed}");
        all.extend(ids.into_iter().map(str::to_owned));
    }
    assert_eq!(all.len(), 4 * 24, "every id once");
    assert!(faults(&path).is_empty());
    let rows = Store::open_to_read(&path).unwrap().list().unwrap();
    assert_eq!(rows.iter().map(|row| row.id.clone()).collect::<BTreeSet<_>>(), all);
}

#[test]
fn commands_that_make_the_same_record_at_once_make_one() {
    for round in 0..3 {
        let path = fresh(&format!("begin-{round}"));
        let threads: Vec<_> = (0..4)
            .map(|_| {
                let path = path.clone();
                std::thread::spawn(move || asked(T1, &LIGHT, &path, &["--format", "json"]))
            })
            .collect();
        let mut numbers = BTreeSet::new();
        for thread in threads {
            let ran = thread.join().unwrap();
            assert_eq!(ran.code, 0, "{}", ran.stderr);
            numbers.insert(json(&ran)["record"]["entry"].as_i64().unwrap());
        }
        assert_eq!(numbers, BTreeSet::from([1, 2, 3, 4]));
        assert!(faults(&path).is_empty());
        let left = std::fs::read_dir(path.parent().unwrap()).unwrap().count();
        assert_eq!(left, 1, "nothing is left beside it");
    }
}

/// A page serves requests on threads, each with a connection of its own.
#[test]
fn threads_of_one_process_write_and_read_at_once() {
    let path = super::scene::scene("threads");
    let row = Store::open_to_read(&path).unwrap().read_number(5).unwrap();
    let entry = row.entry().unwrap();
    let draft =
        bubblemargin::record::draft::Draft { written: entry.written, content: entry.content };
    std::thread::scope(|scope| {
        for _ in 0..4 {
            scope.spawn(|| {
                for _ in 0..10 {
                    Store::open(&path).unwrap().append(&draft).unwrap();
                    assert!(faults(&path).is_empty());
                }
            });
        }
    });
    assert_eq!(Store::open_to_read(&path).unwrap().list().unwrap().len(), 45);
}
