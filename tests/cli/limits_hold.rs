//! A limit set holds for a winding rise, a paper and a liquid, and decides nothing for other units.

use super::run::{AS_OF, Ran, T1, check, json, run, scratch, written};
use std::fs;
use std::path::Path;

const CODE: &str = "thermal-limit-set-does-not-hold";
const KRAFT: &str = "paper: kraft";
const ASKED: [&str; 10] = [
    "--load",
    "0.9",
    "--for",
    "25min",
    "--preload",
    "0.6",
    "--ambient",
    "20",
    "--format=json",
    "--draws=256",
];
const IEEE: [&str; 4] = [
    "ieee-normal",
    "ieee-planned-beyond-nameplate",
    "ieee-long-time-emergency",
    "ieee-short-time-emergency",
];

/// The dry unit with another paper and, where it is stated, a winding rise.
fn unit(folder: &Path, paper: &str, rise_k: Option<u32>) -> String {
    let whole = fs::read_to_string(T1).unwrap();
    let rated = "rated: { mva: 40, cooling: ONAF";
    assert!(whole.contains(KRAFT) && whole.contains(rated));
    let rise = rise_k.map_or_else(String::new, |k| format!(", average_winding_rise_k: {k}"));
    let text = whole.replace(KRAFT, &format!("paper: {paper}"));
    written(folder, "unit.yaml", text.replace(rated, &format!("{rated}{rise}")))
}

fn under(unit: &str, limits: &str, more: &[&str]) -> Ran {
    check(unit, &[&ASKED[..], &["--limits", limits], more].concat())
}

fn of_set(ran: &Ran) -> (String, String) {
    let answer = json(ran);
    let all = answer["findings"].as_array().unwrap();
    let own = all.iter().find(|finding| finding["code"] == CODE).unwrap();
    let text = |key: &str| own[key].as_str().unwrap().to_owned();
    (text("severity"), text("text"))
}

#[test]
fn a_55_k_kraft_unit_cannot_be_decided_under_a_65_k_set() {
    let unit = unit(&scratch("limits-kraft"), "kraft", Some(55));
    for set in IEEE {
        let ran = under(&unit, set, &[]);
        assert_eq!(ran.code, 4, "{set}");
        let (severity, text) = of_set(&ran);
        assert_eq!(severity, "unknown");
        for word in [set, "thermally upgraded paper", "kraft paper", "65 K", "55 K"] {
            assert!(text.contains(word), "{word}: {text}");
        }
        // To keep a ceiling that is not this unit's is no pass.
        let answer = json(&ran);
        let codes = answer["findings"].as_array().unwrap().iter();
        assert!(!codes.clone().any(|finding| finding["code"] == "thermal-hot-spot-limit"));
        assert!(answer["largest_load_pu"].is_null());
    }
}

#[test]
fn an_unstated_rise_is_not_guessed_and_a_stated_one_decides() {
    let folder = scratch("limits-upgraded");
    for (rise_k, code) in [(None, 4), (Some(55), 4), (Some(66), 4), (Some(65), 0)] {
        for set in IEEE {
            let ran = under(&unit(&folder, "thermally-upgraded", rise_k), set, &[]);
            assert_eq!(ran.code, code, "{rise_k:?} {set}");
        }
    }
    let (_, text) = of_set(&under(&unit(&folder, "thermally-upgraded", None), IEEE[0], &[]));
    assert!(text.contains("rated.average_winding_rise_k"), "{text}");
    // Kraft paper does not become another one by its rise.
    assert_eq!(under(&unit(&folder, "kraft", Some(65)), IEEE[0], &[]).code, 4);
}

#[test]
fn the_sets_taken_unasked_hold_for_both_papers_in_mineral_oil() {
    let folder = scratch("limits-iec");
    for paper in ["kraft", "thermally-upgraded"] {
        for rise_k in [None, Some(55), Some(65)] {
            let ran = check(&unit(&folder, paper, rise_k), &ASKED);
            assert_eq!((ran.code, of_set(&ran).0.as_str()), (0, "pass"), "{paper} {rise_k:?}");
        }
    }
}

#[test]
fn rate_and_fleet_decide_nothing_under_it_either() {
    let folder = scratch("limits-rate");
    let unit = unit(&folder, "kraft", None);
    let flags = ["--for", "30min,4h", "--ambient", "10", "--preload", "0.6", "--draws", "0"];
    let sets = ["--limits", "iec-long-time-emergency,ieee-long-time-emergency", "--format=json"];
    let ran = run(&[&["rate", &unit], &flags[..], &sets, &AS_OF].concat());
    let answer = json(&ran);
    let cells = answer["cells"].as_array().unwrap();
    assert_eq!(cells.len(), 4, "{}", ran.stderr);
    for cell in cells {
        let decided = cell["limits"] == "iec-long-time-emergency";
        assert_eq!(cell["load_pu"].is_f64(), decided, "{cell}");
        assert_eq!(cell["governs"]["code"] == CODE, !decided, "{cell}");
    }
    let contingency =
        ["--load", "1.0", "--preload", "0.5", "--ambient", "20", "--for", "2h", "--draws", "0"];
    let set = ["--limits", "ieee-long-time-emergency", "--format=json"];
    let ran = run(&[&["fleet", folder.to_str().unwrap()], &contingency[..], &set, &AS_OF].concat());
    let row = &json(&ran)["units"][0];
    assert_eq!(row["verdict"], "cannot-decide", "{} {row}", ran.stderr);
    assert_eq!(row["governs"]["code"], CODE);
}

/// A folder of profiles with one limit set in it.
fn profiles(test: &str, name: &str, text: &str) -> String {
    let folder = scratch(test);
    fs::create_dir_all(folder.join("limits")).unwrap();
    written(&folder, &format!("limits/{name}.yaml"), text);
    folder.to_str().unwrap().to_owned()
}

#[test]
fn a_set_of_the_owners_holds_for_what_it_says() {
    let name = "ieee-short-time-emergency";
    let embedded = fs::read_to_string(format!("profiles/limits/{name}.yaml")).unwrap();
    let silent: String = embedded
        .lines()
        .filter(|line| !line.starts_with("holds_for"))
        .fold(String::new(), |all, line| all + line + "\n");
    assert_ne!(silent, embedded);
    let kraft = unit(&scratch("limits-own"), "kraft", None);
    // An older copy of an embedded set does not hold for more than the embedded one.
    let copy = profiles("limits-own-copy", name, &silent);
    assert_eq!(under(&kraft, name, &["--profiles", &copy]).code, 4);
    // One under a name of its own applies as its owner entered it, and that is said.
    let own = profiles(
        "limits-own-name",
        "ours",
        &silent.replace(&format!("limits: {name}"), "limits: ours"),
    );
    let ran = under(&kraft, "ours", &["--profiles", &own]);
    assert_eq!((ran.code, of_set(&ran).0.as_str()), (0, "notice"));
    assert_eq!(json(&ran)["verdict"], "go-with-cautions");
    // What it says is strictly read.
    for (keys, found) in [
        ("holds_for: { papers: [cotton] }", "cotton"),
        ("holds_for: { winding_rise_k: 650 }", "650"),
        ("holds_for: { rise: 65 }", "rise"),
    ] {
        let text = silent.replace("classes:", &format!("{keys}\nclasses:"));
        let bad = profiles("limits-own-bad", name, &text);
        let ran = under(&kraft, name, &["--profiles", &bad]);
        assert_eq!(ran.code, 2, "{keys}");
        assert!(ran.stderr.contains(found), "{}", ran.stderr);
    }
}
