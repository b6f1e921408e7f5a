//! The day for which evidence was judged stands wherever its age or its dates do, and never is today's by mistake.

use super::run::{EVENING, T1, T2, json, run};

/// A day that is neither that of the demo nor, by any likelihood, today.
const DAY: &str = "2027-02-03";
const ONE_CELL: [&str; 10] = [
    "--for",
    "1h",
    "--ambient",
    "20",
    "--limits",
    "iec-long-time-emergency",
    "--draws",
    "0",
    "--as-of",
    DAY,
];

fn printed(command: &[&str]) -> String {
    let ran = run(command);
    assert!([0, 3, 4].contains(&ran.code), "{command:?}: {}", ran.stderr);
    ran.stdout
}

fn rated(format: &[&str]) -> String {
    printed(&[&["rate", T2], &ONE_CELL[..], format].concat())
}

#[test]
fn ratings_carry_the_day_asked_for_in_every_format() {
    let answer = json(&run(&[&["rate", T2], &ONE_CELL[..], &["--format", "json"]].concat()));
    assert_eq!(
        (answer["date"].as_str(), answer["asked"]["as_of"].as_str()),
        (Some(DAY), Some(DAY))
    );
    let csv = rated(&["--format", "csv"]);
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    let at = rows.headers().unwrap().iter().position(|name| name == "date").unwrap();
    let days: Vec<String> = rows.records().map(|row| row.unwrap()[at].to_owned()).collect();
    assert_eq!(days, [DAY]);
    let judged = format!("evidence judged for {DAY}");
    for format in [
        &["--format", "text"][..],
        &["--format", "html"],
        &["--format", "csv", "--show", "water"],
        &["--format", "cim", "--winding", "HV"],
    ] {
        let text = rated(format).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(text.contains(&judged), "{format:?}: {text}");
    }
    // No clock: the same question has the same bytes, but for the time at which an XML document was made.
    assert_eq!(csv, rated(&["--format", "csv"]));
}

#[test]
fn every_answer_that_shows_the_age_of_evidence_names_the_day() {
    let of_plan = ["plan", T2, "--draws", "0", "--outages", "demo-data/outages.yaml"];
    let fleet = [
        "fleet",
        "demo-data/fleet/units",
        "--loads",
        "demo-data/fleet/loads.csv",
        "--times-peak",
        "2",
        "--for",
        "4h",
        "--draws",
        "0",
    ];
    let history = ["history", T2, "--history", "demo-data/history/afternoon.csv"];
    let check = [&["check", T1], &EVENING[..6], &["--draws", "0"]].concat();
    let html = ["--format", "html"];
    let orders = ["--show", "orders"];
    let commands: [Vec<&str>; 10] = [
        check.clone(),
        [&check[..], &html].concat(),
        vec!["moisture", T2],
        [&["moisture", T2], &html[..]].concat(),
        vec!["moisture", T2, "--format", "svg"],
        [&of_plan[..], &orders].concat(),
        [&of_plan[..], &orders, &html].concat(),
        fleet.to_vec(),
        [&fleet[..], &html].concat(),
        history.to_vec(),
    ];
    for command in commands {
        let text = printed(&[&command[..], &["--as-of", DAY]].concat());
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(text.contains(&format!("judged for {DAY}")), "{command:?}: {text}");
    }
}
