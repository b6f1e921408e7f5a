//! Units with an ester: what is known of mineral oil decides nothing for them.

use super::run::{AS_OF, Ran, T1, check, json, run, scratch, written};
use std::fs;
use std::path::Path;

const ASKED: [&str; 10] = [
    "--load",
    "0.9",
    "--for",
    "1h",
    "--preload",
    "0.6",
    "--ambient",
    "20",
    "--format=json",
    "--draws=256",
];
const ESTERS: [&str; 2] = ["natural-ester", "synthetic-ester"];

/// The dry unit with an ester, tested with it, and other text replaced.
fn unit(folder: &Path, ester: &str, replaced: &[(&str, &str)]) -> String {
    let mut text = fs::read_to_string(T1).unwrap();
    let filled = ("liquid: mineral", format!("liquid: {ester}"));
    let tested = ("  heat_run: ", format!("  heat_run_liquid: {ester}\n  heat_run: "));
    let own = [(filled.0, filled.1.as_str()), (tested.0, tested.1.as_str())];
    for (from, to) in [&own, replaced].concat() {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    written(folder, "unit.yaml", text)
}

/// A folder of profiles with a limit set of the owner's for both esters.
fn limits_for_esters(test: &str) -> String {
    let folder = scratch(test);
    fs::create_dir_all(folder.join("limits")).unwrap();
    let text = fs::read_to_string("profiles/limits/iec-long-time-emergency.yaml").unwrap();
    let text = text
        .replace("limits: iec-long-time-emergency", "limits: ours")
        .replace("liquids: [mineral]", "liquids: [natural-ester, synthetic-ester]");
    written(&folder, "limits/ours.yaml", text);
    folder.to_str().unwrap().to_owned()
}

fn severity(ran: &Ran, code: &str) -> Option<String> {
    let answer = json(ran);
    let found = answer["findings"].as_array().unwrap().iter().find(|own| own["code"] == code)?;
    Some(found["severity"].as_str().unwrap().to_owned())
}

fn is(ran: &Ran, code: &str, wanted: &str) {
    assert_eq!(severity(ran, code).as_deref(), Some(wanted), "{code}");
}

#[test]
fn limits_and_rises_of_mineral_oil_do_not_decide_for_an_ester() {
    let folder = scratch("ester-rises");
    let own = limits_for_esters("ester-rises-limits");
    let ours = ["--limits", "ours", "--profiles", &own];
    let typical = ("  top_oil_rise_k: 50\n", "");
    let undated = ("  heat_run: 1987-05-12\n", "");
    let silent = ("heat_run_liquid: ", "# ");
    for ester in ESTERS {
        // The maker's rises, and a limit set for mineral oil.
        let ran = check(&unit(&folder, ester, &[]), &ASKED);
        assert_eq!(ran.code, 4, "{ester}");
        is(&ran, "thermal-limit-set-does-not-hold", "unknown");
        is(&ran, "thermal-ester-figures", "caution");
        // A limit set for esters, and rises that are not the maker's.
        let refilled = (format!("heat_run_liquid: {ester}"), "heat_run_liquid: mineral");
        for lacking in [typical, undated, silent, (&refilled.0, refilled.1)] {
            let ran = check(&unit(&folder, ester, &[lacking]), &[&ASKED[..], &ours].concat());
            assert_eq!(ran.code, 4, "{ester} {lacking:?}");
            is(&ran, "thermal-limit-set-does-not-hold", "pass");
            is(&ran, "thermal-ester-figures", "unknown");
        }
        // Both.
        let ran = check(&unit(&folder, ester, &[]), &[&ASKED[..], &ours].concat());
        assert_eq!(ran.code, 0, "{ester}: {}", ran.stdout);
        assert_eq!(json(&ran)["verdict"], "go-with-cautions");
        is(&ran, "bubbling-ester", "caution");
        let words = ester.replace('-', " ");
        assert!(ran.stdout.contains(&format!("for a {words} they are read")), "{ester}");
    }
}

#[test]
fn a_limit_set_that_names_no_liquid_is_for_mineral_oil() {
    let own = limits_for_esters("ester-silent-limits");
    let path = format!("{own}/limits/ours.yaml");
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, text.replace(", liquids: [natural-ester, synthetic-ester]", "")).unwrap();
    let ester = unit(&scratch("ester-silent"), ESTERS[0], &[]);
    let ran = check(&ester, &[&ASKED[..], &["--limits", "ours", "--profiles", &own]].concat());
    assert_eq!(ran.code, 4);
    is(&ran, "thermal-limit-set-does-not-hold", "unknown");
}

#[test]
fn nobody_reads_the_oil_of_a_synthetic_ester_without_its_own_constants() {
    let folder = scratch("ester-oil");
    let own = limits_for_esters("ester-oil-limits");
    let ours = [&ASKED[..], &["--limits", "ours", "--profiles", &own]].concat();
    let sample = (
        "moisture:\n",
        "moisture:\n  - { method: oil-sample, ppm: 400, oil_c: 60, date: 2026-10-02, steady_h: 24, location: surface }\n",
    );
    let ran = check(&unit(&folder, "synthetic-ester", &[sample]), &ours);
    is(&ran, "moisture-witness-refused", "caution");
    is(&ran, "cooldown-solubility-missing", "caution");
    assert!(ran.stdout.contains("the solubility of water in this liquid is not known"));
    assert!(json(&ran)["cooldown"].is_null(), "nothing is computed of the oil");
    // As the only evidence it is none.
    let alone = (
        "  - { method: dielectric-response, percent: 1.0, std: 0.2, date: 2026-10-02, oil_c: 33, location: bulk }\n",
        "",
    );
    let ran = check(&unit(&folder, "synthetic-ester", &[sample, alone]), &ours);
    assert_eq!(ran.code, 4);
    is(&ran, "input-moisture-missing", "unknown");
    // With constants that somebody measured in it it counts.
    let constants = (
        "mass_kg: 18500 }",
        "mass_kg: 18500, water_solubility: { a: 5.9, b: 740, measured_by: our laboratory } }",
    );
    let ran = check(&unit(&folder, "synthetic-ester", &[sample, constants]), &ours);
    assert!(severity(&ran, "cooldown-solubility-missing").is_none(), "{}", ran.stderr);
    assert!(!json(&ran)["cooldown"].is_null());
    let mistyped = (
        "mass_kg: 18500 }",
        "mass_kg: 18500, water_solubility: { a: 7.09, b: 1567, measured_by: x } }",
    );
    let ran = check(&unit(&folder, "synthetic-ester", &[mistyped]), &ours);
    assert_eq!(ran.code, 2, "those of mineral oil are not its");
}

#[test]
fn a_history_of_an_ester_with_typical_rises_is_not_decided() {
    let folder = scratch("ester-history");
    let history = ["--history", "demo-data/history/afternoon.csv"];
    let asked = |unit: &str| run(&[&["history", unit], &history[..], &AS_OF].concat());
    assert_eq!(asked(&unit(&folder, ESTERS[0], &[])).code, 0);
    let ran = asked(&unit(&folder, ESTERS[0], &[("  top_oil_rise_k: 50\n", "")]));
    assert_eq!(ran.code, 4, "{}", ran.stderr);
    assert!(ran.stdout.contains("thermal-ester-figures"), "{}", ran.stdout);
}
