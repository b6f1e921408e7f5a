//! Records as people read them.

use super::run::{T1, T2, run};
use super::scene::{EVENING_RECORDED, LIGHT, asked, fresh, scene};

#[test]
fn every_line_of_a_record_fits_eighty_columns() {
    let path = scene("columns80");
    let file = path.to_str().unwrap();
    let long =
        "A name that goes on and on and has a wordwithoutanyspaceinitthatislongerthanaline, and on";
    asked(T2, &EVENING_RECORDED, &path, &["--asked-by", long, "--repeat-back", &"x".repeat(300)]);
    let shown: Vec<Vec<&str>> = vec![
        vec!["list", file],
        vec!["verify", file],
        vec!["show", file, "1"],
        vec!["show", file, "3"],
        vec!["show", file, "5"],
        vec!["show", file, "6"],
    ];
    for command in shown {
        let ran = run(&[&["record"], &command[..]].concat());
        assert_eq!(ran.code, 0, "{}", ran.stderr);
        for line in ran.stdout.lines() {
            assert!(line.chars().count() <= 80, "{command:?}: {line}");
        }
    }
}

#[test]
fn a_recorded_answer_says_what_to_note() {
    let path = fresh("receipt");
    let ran = asked(T1, &LIGHT, &path, &[]);
    let mut last = ran.stdout.lines().rev();
    let hash = last.next().unwrap().strip_prefix("    hash ").unwrap();
    assert!(hash.len() == 64 && last.next().unwrap().starts_with("recorded as 2"));
    let head = format!("1:{}", &hash[..16]);
    let verified = run(&["record", "verify", path.to_str().unwrap(), "--head", &head]);
    assert_eq!(verified.code, 0, "{}", verified.stdout);
    assert!(verified.stdout.starts_with("WHOLE   1 entry, ") && verified.stdout.contains(hash));
}

#[test]
fn a_noted_hash_must_be_long_enough_to_tell() {
    let path = scene("short-head");
    for head in
        ["5", "5:", "5:0123", "0:0123456789abcdef", "x:0123456789abcdef", "5:0123456789abcdeg"]
    {
        let ran = run(&["record", "verify", path.to_str().unwrap(), "--head", head]);
        assert_eq!(ran.code, 2, "{head}");
    }
}

#[test]
fn an_html_answer_is_recorded_too() {
    let path = fresh("html");
    let ran = asked(T1, &LIGHT, &path, &["--format", "html"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.starts_with("<!") && ran.stderr.contains("recorded as "), "{}", ran.stderr);
}
