//! Texts that would control a terminal, turn words round or fill the disk.

use super::run::{T1, run};
use super::scene::{LIGHT, asked, attacked, fresh, scene};
use std::fmt::Write;

#[test]
fn hostile_names_are_refused_at_their_flag() {
    let path = fresh("hostile");
    let long = "x".repeat(121);
    for name in ["\u{1b}[2J", "a\nb", "a\tb", "a\u{7f}", "\u{202e}OG", "", "  ", &long] {
        for flag in ["--asked-by", "--authorised-by", "--received-by", "--top-oil-by", "--tap"] {
            let ran = asked(T1, &LIGHT, &path, &[flag, name]);
            assert_eq!(ran.code, 2, "{flag} {name:?}");
            assert!(ran.stderr.contains(flag), "{}", ran.stderr);
            assert!(!ran.stderr.contains('\u{1b}') && ran.stderr.len() < 500, "{}", ran.stderr);
        }
    }
    let long = "x".repeat(2001);
    for flag in ["--reason", "--repeat-back"] {
        assert_eq!(asked(T1, &LIGHT, &path, &[flag, &long]).code, 2);
    }
    assert!(!path.exists(), "nothing was recorded");
}

#[test]
fn names_in_other_scripts_and_with_quotes_are_kept() {
    let path = fresh("scripts");
    let name = "O'Brien \"Ö\" 李; DROP TABLE entry;--";
    let ran = asked(T1, &LIGHT, &path, &["--asked-by", name]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(run(&["record", "list", path.to_str().unwrap()]).stdout.contains(name));
}

/// Somebody else may have written the file.
#[test]
fn what_a_record_holds_cannot_control_a_terminal() {
    let path = scene("controls");
    attacked(&path, |connection| {
        connection
            .execute_batch(
                "UPDATE entry SET body = replace(body, 'A. Engineer', 'A\\u001b[2J\\u202e'), id = id || char(27) || '[31m' \
                 WHERE seq = 3; UPDATE entry SET body = 'x' || char(27, 7) WHERE seq = 4",
            )
            .unwrap();
    });
    let file = path.to_str().unwrap();
    for command in [
        &["record", "list", file][..],
        &["record", "show", file, "3"],
        &["record", "show", file, "4"],
        &["record", "verify", file],
        &["record", "verify", file, "--head", "3:0123456789abcdef"],
        &["record", "show", file, "\u{1b}[2J"],
    ] {
        let ran = run(command);
        let printed = ran.stdout + &ran.stderr;
        let controls = |c: char| c.is_control() && c != '\n' || c == '\u{202e}';
        assert!(!printed.contains(controls), "{command:?}: {printed:?}");
        assert!(!printed.is_empty());
    }
}

#[test]
fn a_case_too_large_to_keep_is_refused() {
    let path = fresh("large");
    let mut rows = String::from("# invented\nminute,load_pu,ambient_c\n");
    // Nine megabytes of history: minutes up to the overload.
    let most = 430_000;
    for minute in 0..=most {
        writeln!(rows, "{},0.65000000,20.0", minute - most).unwrap();
    }
    let history = super::run::written(path.parent().unwrap(), "history.csv", rows);
    let load =
        ["--load", "1.0", "--for", "2h", "--ambient", "25", "--history", &history, "--draws", "0"];
    let ran = asked(T1, &load, &path, &[]);
    assert_eq!(ran.code, 2, "{}", ran.stderr);
    assert!(ran.stderr.contains("at most 8388608 bytes"), "{}", ran.stderr);
    assert!(!path.exists());
}
