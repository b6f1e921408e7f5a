//! Parts computed apart and put together are the fleet computed at once, and nothing else is accepted.

use super::run::{Ran, run, written};
use super::scene::{ASKED, empty, many};
use bubblemargin::fleet::journal::row;
use bubblemargin::fleet::part::{Head, merged};
use bubblemargin::fleet::row::Row;
use std::fs;
use std::path::Path;

const FORMATS: [&str; 4] = ["text", "json", "csv", "html"];

/// The files of so many parts.
fn parts(folder: &Path, units: &str, loads: &str, of: usize) -> Vec<String> {
    let part = |part: usize| {
        let out = folder.join(format!("{part}-of-{of}.part")).to_str().unwrap().to_owned();
        let which = format!("{part}/{of}");
        let flags = ["--format", "part", "--part", &which, "--heat", "ambient", "--out", &out];
        let ran = run(&[&["fleet", units, "--loads", loads], &ASKED[..], &flags[..]].concat());
        assert!([0, 3, 4].contains(&ran.code), "{}", ran.stderr);
        out
    };
    (1..=of).map(part).collect()
}

fn merge(files: &[String], flags: &[&str]) -> Ran {
    let files: Vec<&str> = files.iter().map(String::as_str).collect();
    run(&[&["fleet", "merge"], &files[..], flags].concat())
}

#[test]
fn parts_put_together_are_the_same_bytes_as_a_single_run() {
    let folder = empty("fleet-parts");
    let (units, loads) = many(&folder, 11);
    let whole = |flags: &[&str]| {
        let heat = ["--heat", "ambient"];
        run(&[&["fleet", &units, "--loads", &loads], &ASKED[..], &heat, flags].concat())
    };
    // More parts than units leaves some of them empty.
    for of in [1, 2, 3, 13] {
        let mut files = parts(&folder, &units, &loads, of);
        files.reverse();
        for format in FORMATS {
            let flags = ["--format", format];
            let (single, merged) = (whole(&flags), merge(&files, &flags));
            assert!(single.stdout == merged.stdout, "{format} of {of} parts");
            assert_eq!((single.code, single.stdout.is_empty()), (merged.code, false));
        }
        let flags = ["--verdict", "no-go", "--top", "2", "--format", "csv"];
        assert!(whole(&flags).stdout == merge(&files, &flags).stdout);
    }
}

#[test]
fn parts_that_do_not_belong_together_are_refused() {
    let folder = empty("fleet-parts-refused");
    let (units, loads) = many(&folder, 6);
    let files = parts(&folder, &units, &loads, 3);
    let refused = |files: &[String], part: &str| {
        let ran = merge(files, &[]);
        assert_eq!((ran.code, ran.stdout.is_empty()), (2, true), "{part}");
        assert!(ran.stderr.contains(part), "{part}: {}", ran.stderr);
    };
    refused(&files[..2], "no part 3 of 3");
    refused(&[&files[..], &files[..1]].concat(), "each part once");
    refused(&[files[0].clone(), files[1].clone(), loads.clone()], "--format part");
    let changed = |name: &str, change: &dyn Fn(&str) -> String| {
        let text = fs::read_to_string(&files[2]).unwrap();
        let changed = change(&text);
        assert_ne!(text, changed, "{name}");
        vec![files[0].clone(), files[1].clone(), written(&folder, name, changed)]
    };
    refused(&changed("torn", &|text| text[..text.len() / 2].to_owned()), "torn");
    refused(
        &changed("row-gone", &|text| {
            let kept = text.lines().filter(|line| !line.contains("{\"unit\":\"unit-002\""));
            kept.collect::<Vec<_>>().join("\n") + "\n"
        }),
        "other content",
    );
    refused(
        &changed("edited", &|text| {
            text.replace("\"no-go\"", "\"go\"").replace("cannot-decide", "go")
        }),
        "other content",
    );
    refused(
        &changed("version", &|text| text.replacen("\"version\":\"", "\"version\":\"9", 1)),
        "version",
    );
    refused(&changed("empty", &|_| String::new()), "--format part");
    let other_day = |day: &str| {
        let out = folder.join("other-day").to_str().unwrap().to_owned();
        let flags = [
            "--format", "part", "--part", "3/3", "--heat", "ambient", "--out", &out, "--load",
            "1.1", "--for", "4h", "--draws", "256", "--as-of", day,
        ];
        run(&[&["fleet", &units, "--loads", &loads], &flags[..]].concat());
        out
    };
    refused(&[files[0].clone(), files[1].clone(), other_day("2026-10-21")], "other inputs");
    refused(&[files[0].clone(), parts(&folder, &units, &loads, 2)[1].clone()], "number of parts");
    fs::remove_file(format!("{units}/unit-005.yaml")).unwrap();
    let other = empty("fleet-parts-fewer");
    let fewer = parts(&other, &units, &loads, 3);
    refused(&[files[0].clone(), files[1].clone(), fewer[2].clone()], "units in the folder");
}

/// What no run writes, but a hand or a broken engine might: a part whose digest fits and whose units do not.
#[test]
fn a_unit_twice_or_missing_or_in_the_wrong_part_is_refused() {
    let folder = empty("fleet-parts-units");
    let (units, loads) = many(&folder, 6);
    let files = parts(&folder, &units, &loads, 2);
    let texts: Vec<String> = files.iter().map(|file| fs::read_to_string(file).unwrap()).collect();
    let head: Head = serde_json::from_str(texts[0].lines().next().unwrap()).unwrap();
    let rows_of = |text: &str| -> Vec<Row> { text.lines().filter_map(row).collect() };
    let (own, others) = (rows_of(&texts[0]), rows_of(&texts[1]));
    assert_eq!((own.len(), others.len()), (3, 3));
    let with = |rows: Vec<Row>| {
        let first = bubblemargin::fleet::part::written(&head, rows).unwrap();
        merged(&[("one".to_owned(), first), ("two".to_owned(), texts[1].clone())])
    };
    assert!(with(own.clone()).is_ok());
    let found = |rows: Vec<Row>| with(rows).unwrap_err().to_string();
    let twice = found([&own[..], &own[..1]].concat());
    assert!(twice.contains("unit-000 twice"), "{twice}");
    let missing = found(own[1..].to_vec());
    assert!(missing.contains("no row of unit-000"), "{missing}");
    let wrong = found([&own[..], &others[..1]].concat());
    assert!(wrong.contains("units of part 1/2"), "{wrong}");
}

#[test]
fn a_merge_into_a_part_or_over_a_part_is_refused() {
    let folder = empty("fleet-parts-out");
    let (units, loads) = many(&folder, 2);
    let files = parts(&folder, &units, &loads, 1);
    assert_eq!(merge(&files, &["--format", "part"]).code, 2);
    assert_eq!(merge(&files, &["--out", &files[0]]).code, 2);
    assert_eq!(merge(&["nowhere".to_owned()], &[]).code, 2);
    assert_eq!(run(&["fleet", "merge"]).code, 2);
}
