//! Snapshots of every text people read. A change here is a change of what they see: look at it.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

use assert_cmd::Command;

fn stdout(arguments: &[&str]) -> String {
    let output = Command::cargo_bin("bubblemargin")
        .unwrap()
        .args(arguments)
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    String::from_utf8(output.stdout).unwrap()
}

/// The hash changes with every profile file; what it is a hash of does not.
fn check(unit: &str, flags: &[&str]) -> String {
    let demo = ["check", unit, "--as-of", "2026-10-20"];
    let text = stdout(&[&demo, flags].concat());
    let hash = text.lines().last().unwrap();
    text.replace(hash, "[identity]")
}

const EVENING: [&str; 4] = [
    "--loading",
    "demo-data/loading/evening-transfer.csv",
    "--ambient-file",
    "demo-data/ambient/warm-evening.csv",
];

#[test]
fn dry_unit_on_a_warm_evening() {
    let flags = [&EVENING[..], &["--preload", "0.65"]].concat();
    insta::assert_snapshot!(check("demo-data/units/fellmoor-t1.yaml", &flags));
}

#[test]
fn wet_unit_on_a_warm_evening() {
    let flags = [&EVENING[..], &["--preload", "0.65"]].concat();
    insta::assert_snapshot!(check("demo-data/units/fellmoor-t2.yaml", &flags));
}

#[test]
fn wet_unit_at_a_lower_load_under_local_rules() {
    let flags = [
        "--load",
        "0.9",
        "--for",
        "2h",
        "--history",
        "demo-data/history/afternoon.csv",
        "--ambient",
        "25",
        "--top-oil",
        "61",
        "--rules",
        "profiles/rules/example.yaml",
    ];
    insta::assert_snapshot!(check("demo-data/units/fellmoor-t2.yaml", &flags));
}

#[test]
fn history_of_an_afternoon() {
    let unit = "demo-data/units/fellmoor-t2.yaml";
    let flags = ["--history", "demo-data/history/afternoon.csv", "--as-of", "2026-10-20"];
    let text = stdout(&[&["history", unit], &flags[..]].concat());
    let hash = text.lines().last().unwrap();
    insta::assert_snapshot!(text.replace(hash, "[identity]"));
}

#[test]
fn help_of_the_program() {
    insta::assert_snapshot!(stdout(&["--help"]));
}

#[test]
fn help_of_check() {
    insta::assert_snapshot!(stdout(&["check", "--help"]));
}

#[test]
fn explanation_of_the_margin() {
    insta::assert_snapshot!(stdout(&["explain", "bubbling-margin"]));
}

/// The day and the hash change; the rest does not.
#[test]
fn ratings_of_the_wet_unit() {
    let flags = [
        "--for",
        "15min,4h,continuous",
        "--ambient",
        "0,15,30",
        "--preload",
        "0.5,0.9",
        "--draws",
        "256",
    ];
    let text = stdout(
        &[&["rate", "demo-data/units/fellmoor-t2.yaml", "--as-of", "2026-10-20"], &flags[..]]
            .concat(),
    );
    let identity = text.lines().rfind(|line| line.starts_with("bubblemargin ")).unwrap();
    let whole = text.split_once(identity).unwrap().0;
    insta::assert_snapshot!(whole);
}

#[test]
fn fleet_of_the_demo() {
    let units = "demo-data/fleet/units";
    let flags = ["--loads", "demo-data/fleet/loads.csv", "--times-peak", "2", "--for", "4h"];
    let few = ["--as-of", "2026-10-20", "--draws", "256"];
    let text = stdout(&[&["fleet", units], &flags[..], &few].concat());
    let identity = text.lines().last().unwrap();
    insta::assert_snapshot!(text.replace(identity, "[identity]"));
}

#[test]
fn help_of_fleet() {
    insta::assert_snapshot!(stdout(&["fleet", "--help"]));
}

#[test]
fn help_of_rate() {
    insta::assert_snapshot!(stdout(&["rate", "--help"]));
}

#[test]
fn a_winter_of_planned_outages() {
    let asked = ["--outages", "demo-data/outages.yaml", "--as-of", "2026-10-20", "--draws", "0"];
    let text = stdout(
        &[&["plan", "demo-data/units/fellmoor-t2.yaml"], &asked[..], &["--show", "all"]].concat(),
    );
    let identity = |line: &str| {
        let own = line.starts_with("bubblemargin ");
        if own { "[identity]".to_owned() } else { line.to_owned() }
    };
    let lines: Vec<String> = text.lines().map(identity).collect();
    insta::assert_snapshot!(lines.join("\n"));
}
