//! What can be seen only from inside: how commits are made, and a file that may not grow.

use super::super::entry::{AfterEvent, Authorisation, Identity, People, Question, When};
use super::*;
use crate::record::decision::Decision;
use std::fs;

fn fresh(test: &str) -> PathBuf {
    let name = format!("bubblemargin-{test}-{}.db", std::process::id());
    let path = std::env::temp_dir().join(name);
    let _ = fs::remove_file(&path);
    path
}

fn draft(bytes: usize) -> Draft {
    let authorisation = Authorisation {
        unit: Identity { name: "t1".to_owned(), site: None, serial: None },
        question: Question {
            command: Vec::new(),
            steps: vec![(0.0, 1.2)],
            end_min: 60.0,
            start: None,
            required_end: None,
            drop_back_pu: 0.7,
            top_oil_by: None,
            tap: None,
            as_of: None,
        },
        inputs: Vec::new(),
        assessment: serde_json::Value::Null,
        answer: "x".repeat(bytes),
        cautions: Vec::new(),
        people: People::default(),
        decision: Decision::None,
        reason: None,
        departure: None,
        in_words: String::new(),
    };
    let utc = "2026-10-20T18:00:00Z".to_owned();
    let written = When { local: utc.clone(), utc };
    Draft { written, content: Content::Authorisation(Box::new(authorisation)) }
}

#[test]
fn commits_wait_for_the_disk() {
    let path = fresh("durable");
    let store = Store::open(&path).unwrap();
    let value =
        |name| store.connection.pragma_query_value(None, name, |row| row.get::<_, i64>(0)).unwrap();
    // 2 is FULL.
    assert_eq!((value("synchronous"), value("fullfsync"), value("trusted_schema")), (2, 1, 0));
    let mode =
        store.connection.pragma_query_value(None, "journal_mode", |row| row.get::<_, String>(0));
    assert_eq!(mode.unwrap(), "wal".to_owned());
    drop(store);
    fs::remove_file(path).unwrap();
}

#[test]
fn a_file_that_may_not_grow_refuses_one_entry_and_loses_none() {
    let path = fresh("pages");
    let mut store = Store::open(&path).unwrap();
    let first = store.append(&draft(100)).unwrap();
    let pages: i64 =
        store.connection.pragma_query_value(None, "page_count", |row| row.get(0)).unwrap();
    store.connection.pragma_update(None, "max_page_count", pages + 2).unwrap();
    let refused = store.append(&draft(100_000)).unwrap_err();
    assert!(matches!(refused, StoreError::Database { .. }), "{refused}");
    assert!(refused.to_string().contains("full"), "{refused}");
    let found = store.verify(&[]).unwrap();
    assert!(found.is_whole() && found.entries == 1, "{found:?}");
    let second = store.append(&draft(100)).unwrap();
    assert_eq!((first.entry, second.entry), (1, 2), "a small one still fits");
    assert_eq!(second.id, format!("{}-2", first.id), "the same second and unit");
    drop(store);
    assert!(Store::open_to_read(&path).unwrap().verify(&[]).unwrap().is_whole());
    fs::remove_file(path).unwrap();
}

#[test]
fn an_entry_that_is_too_large_is_refused_whole() {
    let path = fresh("large");
    let mut store = Store::open(&path).unwrap();
    let refused = store.append(&draft(MOST_BODY)).unwrap_err();
    assert!(matches!(refused, StoreError::Refused(_)), "{refused}");
    assert_eq!(store.verify(&[]).unwrap().entries, 0);
    drop(store);
    fs::remove_file(path).unwrap();
}

#[test]
fn what_came_of_it_is_about_an_authorisation_that_is_there() {
    let path = fresh("after");
    let mut store = Store::open(&path).unwrap();
    let of = store.append(&draft(1)).unwrap().id;
    let after = |of: &str| AfterEvent {
        of: of.to_owned(),
        unit: "t1".to_owned(),
        by: "J".to_owned(),
        load_pu: Some(1.2),
        peak_top_oil_c: None,
        peak_hot_spot_c: None,
        ended: None,
        oil_sample: None,
        note: None,
    };
    let written = draft(1).written;
    let own = store.append(&Draft::after_event(after(&of), written.clone())).unwrap();
    assert!(own.id.ends_with("-t1-after"));
    for other in ["none", own.id.as_str()] {
        let refused = store.append(&Draft::after_event(after(other), written.clone()));
        assert!(matches!(refused, Err(StoreError::Refused(_))));
    }
    drop(store);
    fs::remove_file(path).unwrap();
}

#[test]
fn a_store_can_be_handed_to_another_thread() {
    fn is_send<T: Send>() {}
    is_send::<Store>();
}
