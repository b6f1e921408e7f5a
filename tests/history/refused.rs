//! What a history may not be, and that a refusal leaves no file behind.

use super::history;
use super::run::{T2, scratch, written};
use std::fs;

#[test]
fn refusals_name_file_line_key_found_and_accepted() {
    let folder = scratch("history-refused");
    let long = format!("minute,load_pu,ambient_c\n0,0.5,{}", "1".repeat(2 << 20));
    let open_quote =
        format!("minute,load_pu,ambient_c\n0,0.5,\"20\n{}", "1,0.5,20\n".repeat(300_000));
    for (text, line, words) in [
        ("minute,load_pu,ambient_c\n0,0.5,20\n5,0.5,20\n4,0.5,20\n", "line 4", "ascending"),
        ("minute,load_pu,ambient_c\n0,0.5,20\n0,0.6,20\n", "line 3", "each time once"),
        ("minute,load_pu,ambient_c\n0,0.5,20\n1e-9,0.6,20\n", "line 3", "apart"),
        ("minute,load_pu,ambient_c\n0,NaN,20\n", "column load_pu", "a number from 0 to 5"),
        ("minute,load_pu,ambient_c\n0,0.5,inf\n", "column ambient_c", "°C"),
        ("minute,load_pu,ambient_c\nnan,0.5,20\n", "column minute", "a number of minutes"),
        ("minute,load_pu,ambient_c\n0,,20\n", "line 2", "an empty cell"),
        ("minute,load_pu,ambient_c\n0,0.5\n", "line 2", "2 cells where the header has 3"),
        ("minute,load_pu,load_mva\n0,0.5,20\n", "both of load_pu", "either the column load_pu"),
        ("minute,ambient_c\n0,20\n", "none of load_pu", "either the column load_pu"),
        ("load_pu,ambient_c\n0.5,20\n", "the columns load_pu, ambient_c", "RFC 3339"),
        ("minute,load_pu,amb\n0,0.5,20\n", "the column \"amb\"", "out of minute"),
        ("minute,load_pu,load_pu\n0,0.5,20\n", "twice", "each column once"),
        ("minute,load_pu\n", "no rows", "at least one row"),
        ("", "an empty file", "a header line"),
        ("time,load_pu,ambient_c\nnoon,0.5,20\n", "column time", "RFC 3339"),
        (
            "time,load_pu\n2025-01-01T00:00:00+01:00,0.5\n2025-01-01T01:00:00+02:00,0.5\n",
            "line 3",
            "keep one offset",
        ),
        (long.as_str(), "line 2", "without the end of a row"),
        (open_quote.as_str(), "line 2", "without the end of a row"),
    ] {
        let file = written(&folder, "history.csv", text);
        let ran = history(T2, &file, &[]);
        let shown = text.get(..60).unwrap_or(text);
        assert_eq!(ran.code, 2, "{shown}\n{}{}", ran.stdout, ran.stderr);
        for part in ["history.csv", line, words, "found:", "accepted:"] {
            assert!(ran.stderr.contains(part), "{shown}\n{part} is not in {}", ran.stderr);
        }
        assert!(ran.stdout.is_empty());
    }
    let bytes = written(&folder, "history.csv", b"minute,load_pu\n0,0.5\n1,\xff\n");
    let ran = history(T2, &bytes, &[]);
    assert!(ran.code == 2 && ran.stderr.contains("line 3"), "{}", ran.stderr);
    let ran = history(T2, folder.to_str().unwrap(), &[]);
    assert!(ran.code == 2 && ran.stderr.contains("no regular file"), "{}", ran.stderr);
}

#[test]
fn flags_that_contradict_are_refused() {
    let folder = scratch("history-flags");
    let rows = "minute,load_pu,ambient_c\n0,0.5,20\n60,0.5,20\n";
    let file = written(&folder, "history.csv", rows);
    let bare = written(&folder, "bare.csv", "minute,load_pu\n0,0.5\n60,0.5\n");
    let out = folder.join("out.csv").to_str().unwrap().to_owned();
    for (file, flags) in [
        (&file, &["--ambient", "20"][..]),
        (&file, &["--every", "1h"]),
        (&file, &["--trajectory", &out, "--every", "0min"]),
        (&file, &["--trajectory", &out, "--out", &out]),
        (&file, &["--trajectory", &file]),
        (&file, &["--cooling", "OFAF"]),
        (&bare, &["--trajectory", &out]),
    ] {
        let ran = history(T2, file, flags);
        assert_eq!(ran.code, 2, "{flags:?}\n{}{}", ran.stdout, ran.stderr);
    }
    assert_eq!(fs::read_to_string(&file).unwrap(), rows, "the input is untouched");
}

/// A row that is refused late must leave neither a half file nor an old one replaced.
#[test]
fn a_late_refusal_leaves_the_files_as_they_were() {
    let folder = scratch("history-late");
    let mut rows = "minute,load_pu,ambient_c\n".to_owned();
    rows.extend((0..9000).map(|minute| format!("{minute},0.5,20\n")));
    rows.push_str("9000,x,20\n");
    let file = written(&folder, "history.csv", rows);
    let old = written(&folder, "trajectory.csv", "old\n");
    let out = folder.join("answer.txt");
    let ran = history(T2, &file, &["--trajectory", &old, "--out", out.to_str().unwrap()]);
    assert!(ran.code == 2 && ran.stderr.contains("line 9002"), "{}", ran.stderr);
    assert_eq!(fs::read_to_string(&old).unwrap(), "old\n");
    assert!(!out.exists());
    let left = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path());
    let half = |path: std::path::PathBuf| path.extension().is_some_and(|ending| ending == "part");
    assert!(!left.into_iter().any(half));
}

#[test]
fn marks_quotes_comments_and_windows_line_ends_are_read() {
    let folder = scratch("history-format");
    let plain = written(&folder, "plain.csv", "minute,load_pu,ambient_c\n0,0.5,20\n60,0.7,21\n");
    let other =
        "\u{feff}# a comment\r\n minute , load_pu,ambient_c\r\n0,\"0.5\", 20\r\n60,0.7 ,21\r\n";
    let other = written(&folder, "other.csv", other);
    let number = |file: &str| {
        super::run::json(&history(T2, file, &["--format", "json"]))["hot_spot"]["value"]
            .as_f64()
            .unwrap()
    };
    assert!((number(&plain) - number(&other)).abs() < 1.0e-12, "the same rows");
}
