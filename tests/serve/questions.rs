//! What is not a question of the command line is none here, and what would touch files never is.

use crate::client::{Reply, encoded};
use crate::server::{AS_OF, Server, UNITS, printed};
use std::fs;

const USUAL: &str = "unit=fellmoor-t1&load=1.1&for=2h&preload=0.6&ambient=20&draws=0";

fn refused(reply: &Reply, key: &str, asked: &str) {
    assert_eq!(reply.status, 400, "{asked}: {}", reply.body);
    let error = &reply.json()["error"];
    assert_eq!(error["key"].as_str().unwrap().trim_start_matches('-'), key, "{asked}: {error}");
    for told in ["place", "found", "accepted"] {
        assert!(!error[told].as_str().unwrap().is_empty(), "{asked}: {error}");
    }
}

/// Every flag in the help of a command whose value is called so.
fn flags_that_take(command: &str, values: &[&str]) -> Vec<String> {
    let help = printed(&[command, "--help"]);
    let flag = |line: &str| {
        let (flag, value) = line.trim().strip_prefix("--")?.split_once(" <")?;
        values.contains(&value.split('>').next()?).then(|| flag.to_owned())
    };
    help.lines().filter_map(flag).collect()
}

#[test]
fn no_command_takes_a_path_from_outside() {
    let server = Server::started(&[
        UNITS,
        "--as-of",
        AS_OF,
        "--outages",
        "demo-data/outages.yaml",
        "--loads",
        "demo-data/fleet/loads.csv",
    ]);
    let folder = crate::server::scratch("no-path");
    let path = folder.join("written");
    let mut seen = 0;
    for command in ["check", "moisture", "rate", "plan", "fleet"] {
        let values = ["FILE", "PATH", "DIR", "FOLDER"];
        for flag in flags_that_take(command, &values) {
            let asked =
                format!("/api/{command}?{flag}={}&{USUAL}", encoded(path.to_str().unwrap()));
            refused(&server.get(&asked), &flag, &asked);
            let page =
                format!("/unit/fellmoor-t1?{USUAL}&{flag}={}", encoded(path.to_str().unwrap()));
            assert_eq!(server.get(&page).status, 400, "{page}");
            seen += 1;
        }
        for flag in ["format", "part", "profiles", "help", "version", "h", "", "-", "--load"] {
            let asked = format!("/api/{command}?{USUAL}&{flag}=json");
            assert_eq!(server.get(&asked).status, 400, "{asked}");
        }
    }
    assert!(seen > 12, "the help names the flags that take paths: {seen}");
    assert_eq!(fs::read_dir(folder).unwrap().count(), 0, "nothing was written");
}

#[test]
fn a_value_that_looks_like_a_flag_is_a_value() {
    let server = Server::of_the_demo();
    for (flag, value) in [
        ("preload", "--out=/tmp/x"),
        ("preload", "0.6 --out=/tmp/x"),
        ("ambient", "--rules=/etc/passwd"),
        ("cooling", "--history=/etc/passwd"),
        ("limits", "../../etc/passwd"),
        ("condition", "--out=x"),
        ("as-of", "@/etc/passwd"),
    ] {
        let others: String = USUAL
            .split('&')
            .filter(|own| !own.starts_with(&format!("{flag}=")))
            .map(|own| format!("{own}&"))
            .collect();
        let asked = format!("/api/check?{others}{flag}={}", encoded(value));
        let reply = server.get(&asked);
        assert_eq!(reply.status, 400, "{asked}: {}", reply.body);
        assert!(!reply.body.contains("root:"), "{asked}");
    }
}

#[test]
fn what_is_no_number_is_refused_by_name() {
    let server = Server::of_the_demo();
    for (flag, values) in [
        ("load", ["NaN", "inf", "-inf", "-1", "1e400", "", " ", "0x1", "1,2", "١"]),
        ("preload", ["NaN", "inf", "infinity", "-0.1", "1e400", "", "--", "null", "1.0.0", "9e9"]),
        ("ambient", ["NaN", "inf", "-300", "1e400", "1e9", "", "hot", "20C", "20;", "\u{0}"]),
        (
            "for",
            ["NaN", "inf", "-1h", "1e400h", "0", "", "h", "99999999999999999y", "1", "\u{1f4a9}"],
        ),
        (
            "draws",
            ["NaN", "-1", "1", "1e3", "99999999999999999999", "", "0.5", "255", "1048577", "true"],
        ),
        ("seed", ["NaN", "-1", "1.5", "99999999999999999999", "", "x", "1e3", "0x1", "--", "inf"]),
    ] {
        for value in values {
            let named = format!("{flag}=");
            let others: Vec<&str> =
                USUAL.split('&').filter(|own| !own.starts_with(&named)).collect();
            let asked = format!("/api/check?{}&{named}{}", others.join("&"), encoded(value));
            refused(&server.get(&asked), flag, &asked);
        }
    }
}

#[test]
fn what_is_unknown_double_or_missing_is_refused_by_name() {
    let server = Server::of_the_demo();
    for (key, question) in [
        ("cheese", format!("{USUAL}&cheese=1")),
        ("PRELOAD", format!("{USUAL}&PRELOAD=1")),
        ("load", format!("{USUAL}&load=1.2")),
        ("preload", format!("{USUAL}&preload=0.6")),
        ("why", format!("{USUAL}&why=perhaps")),
        ("unit", format!("{USUAL}&unit=fellmoor-t1")),
        ("unit", "load=1.1&for=2h&preload=0.6&ambient=20".to_owned()),
        ("step", "unit=fellmoor-t1&step=1.2:&preload=0.6&ambient=20".to_owned()),
        ("step", "unit=fellmoor-t1&step=:2h&preload=0.6&ambient=20".to_owned()),
        ("step", "unit=fellmoor-t1&step=1.2&preload=0.6&ambient=20".to_owned()),
        ("step", format!("{USUAL}&step=1.2:2h")),
    ] {
        let reply = server.get(&format!("/api/check?{question}"));
        assert_eq!(reply.status, 400, "{question}: {}", reply.body);
        let error = reply.json()["error"].to_string();
        assert!(error.contains(key), "{question} names {key}: {error}");
    }
    let unknown = server.get(&format!("/api/check?{USUAL}&cheese=1")).json();
    assert!(unknown["error"]["accepted"].as_str().unwrap().contains("preload, "), "{unknown}");
}

#[test]
fn half_a_step_on_the_page_is_refused_and_not_left_out() {
    let server = Server::of_the_demo();
    let question = "step_pu=1.2&step_for=&step_pu=0.9&step_for=1h&preload=0.6&ambient=20";
    let reply = server.get(&format!("/unit/fellmoor-t1?{question}"));
    assert_eq!(reply.status, 400);
    assert!(reply.body.contains("This cannot be asked") && !reply.body.contains("class=\"verdict"));
}

#[test]
fn too_much_in_one_question_is_refused() {
    let server = Server::of_the_demo();
    let many = "&condition=oil_level%3Dlow".repeat(70);
    refused(&server.get(&format!("/api/check?{USUAL}{many}")), "question", "70 conditions");
    let long = "x".repeat(8200);
    assert_eq!(server.get(&format!("/api/check?{USUAL}&cooling={long}")).status, 414);
    assert_eq!(server.get(&format!("/unit/fellmoor-t1?{long}")).status, 414);
}

#[test]
fn a_question_for_hours_is_refused() {
    let server = Server::of_the_demo();
    let usual = USUAL.replace("&draws=0", "");
    refused(&server.get(&format!("/api/check?{usual}&draws=1048576")), "draws", "a million draws");
    let list =
        |count: usize| (0..count).map(|own| format!("0.{own:03}")).collect::<Vec<_>>().join(",");
    let table = format!("preload={}&ambient={}", list(100), list(100));
    let reply = server.get(&format!("/api/rate?unit=fellmoor-t1&draws=0&{table}"));
    refused(&reply, "question", "80 000 cells");
    let page = server.get(&format!("/unit/fellmoor-t1/ratings?{table}"));
    assert_eq!(page.status, 400);
}
