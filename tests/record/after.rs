//! What came of an overload is a further entry and changes no earlier one.

use super::run::{json, run};
use super::scene::{ENTRIES, faults, scene};
use bubblemargin::record::store::Store;

#[test]
fn what_came_of_it_is_added_and_shown_with_the_authorisation() {
    let path = scene("after");
    let file = path.to_str().unwrap();
    let before = Store::open_to_read(&path).unwrap().list().unwrap();
    let ran = run(&[
        "record",
        "after",
        file,
        &before[2].id,
        "--by",
        "J. Shift",
        "--load-carried",
        "1.28",
        "--peak-top-oil",
        "91.5",
        "--peak-hot-spot",
        "128",
        "--ended",
        "2026-10-20T19:40:00+01:00",
        "--oil-sample",
        "no",
        "--note",
        "Load shed early.",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.contains(", entry 6") && ran.stdout.contains("    hash "), "{}", ran.stdout);
    let rows = Store::open_to_read(&path).unwrap().list().unwrap();
    assert_eq!(rows[..5], before[..], "no earlier entry changed");
    let shown = run(&["record", "show", file, "3"]).stdout;
    for words in [
        "entry 5",
        "88.5 °C",
        "booked for 2026-10-21",
        "entry 6",
        "1.28 pu",
        "not booked",
        "Load shed early.",
    ] {
        assert!(shown.contains(words), "{words}: {shown}");
    }
    assert!(run(&["record", "show", file, "6"]).stdout.contains("128.0 °C"));
    assert!(faults(&path).is_empty());
}

#[test]
fn it_must_be_about_an_authorisation_that_is_there() {
    let path = scene("after-none");
    let file = path.to_str().unwrap();
    for (entry, words) in [
        ("99", "no such entry"),
        ("no-such-id", "no such entry"),
        // Entry 5 is an after-event itself.
        ("5", "no such entry"),
    ] {
        let ran = run(&["record", "after", file, entry, "--by", "J", "--note", "x"]);
        assert_eq!(ran.code, 2, "{entry}: {}", ran.stderr);
        assert!(ran.stderr.contains(words), "{entry}: {}", ran.stderr);
    }
    for flags in [
        &["--by", "J"][..],
        &["--note", "x"],
        &["--by", "\u{1b}", "--note", "x"],
        &["--by", "J", "--oil-sample", "soon"],
        &["--by", "J", "--peak-top-oil", "nan"],
        &["--by", "J", "--load-carried", "-1"],
    ] {
        assert_eq!(run(&[&["record", "after", file, "3"], flags].concat()).code, 2, "{flags:?}");
    }
    let export = json(&run(&["record", "export", file]));
    assert_eq!(export["count"].as_i64(), Some(ENTRIES));
}
