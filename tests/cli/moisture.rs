//! Moisture evidence as its users enter it: what is refused, what is shown and does not count, and
//! what local rules may do about it.

use crate::run::{AS_OF, EVENING, Ran, T1, T2, altered, check, json, run, scratch, written};
use std::fs;
use std::path::Path;

const EASY: [&str; 8] = ["--load", "0.95", "--for", "1h", "--preload", "0.6", "--ambient", "20"];

/// The one witness of the dry unit, as its profile states it.
const OWN: &str = "  - { method: dielectric-response, percent: 1.0, std: 0.2, date: 2026-10-02, oil_c: 33, location: bulk }\n";

/// The dry unit with other witnesses than its own.
pub(crate) fn with(folder: &Path, witnesses: &[&str]) -> String {
    let lines: Vec<String> =
        witnesses.iter().map(|witness| format!("  - {{ {witness} }}\n")).collect();
    altered(folder, OWN, &lines.concat())
}

/// The dry unit with a further witness.
pub(crate) fn beside(folder: &Path, witness: &str) -> String {
    altered(folder, OWN, &format!("{OWN}  - {{ {witness} }}\n"))
}

pub(crate) fn easy(unit: &str) -> Ran {
    check(unit, &EASY)
}

pub(crate) fn counting_percent(ran: &Ran) -> Option<f64> {
    json(ran)["bubbling"]["counting_moisture_percent"].as_f64()
}

pub(crate) fn easy_json(unit: &str) -> Ran {
    check(unit, &[&EASY[..], &["--format", "json"]].concat())
}

/// Runs under local rules with a moisture section.
pub(crate) fn under(folder: &Path, unit: &str, moisture: &str) -> Ran {
    let text = format!("rules: test\nissued_by: nobody\nmoisture: {moisture}\n");
    let rules = written(folder, "rules.yaml", text);
    check(unit, &[&EASY[..], &["--rules", &rules, "--format", "json"]].concat())
}

/// Findings of one code, as severity and text.
pub(crate) fn findings(ran: &Ran, code: &str) -> Vec<(String, String)> {
    let answer = json(ran);
    let all = answer["findings"].as_array().unwrap();
    let of_code = all.iter().filter(|finding| finding["code"] == code);
    let text = |finding: &serde_json::Value, key: &str| finding[key].as_str().unwrap().to_owned();
    of_code.map(|finding| (text(finding, "severity"), text(finding, "text"))).collect()
}

/// Refused with exit code 2, nothing printed, and an error that names all of these.
pub(crate) fn refused(ran: &Ran, named: &[&str]) {
    assert_eq!(ran.code, 2, "{named:?}: {}", ran.stdout);
    assert!(ran.stdout.is_empty());
    for part in named {
        assert!(ran.stderr.contains(part), "{part} in {}", ran.stderr);
    }
}

#[test]
fn a_witness_that_contradicts_itself_is_refused_with_file_line_and_key() {
    let folder = scratch("moisture-keys");
    let cases = [
        ("ppm: 20, oil_c: 60, std: 0.3", "witness 1.std", "only together with percent"),
        ("percent: 2, std_ppm: 5", "witness 1.std_ppm", "only together with ppm"),
        ("percent: 2, std_rs_percent: 1", "witness 1.std_rs_percent", "only together with"),
        ("percent: 2, std: 0.2, steady_h: 9", "witness 1.steady_h", "only together with"),
        ("ppm: 20, oil_c: 60, exposure_min: 5", "witness 1.exposure_min", "only together with"),
        ("ppm: 20, percent: 2, oil_c: 60", "witness 1", "exactly one of them"),
        ("ppm: 20, rs_percent: 12, oil_c: 60", "witness 1", "exactly one of them"),
        ("oil_c: 60, method: oil-sample", "witness 1", "exactly one of them"),
        ("ppm: 20, oil_c: 60, method: dielectric-response", "witness 1.method", "oil sample"),
        ("percent: 2, std: 0.2, method: oil-sample", "witness 1", "ppm for an oil sample"),
        ("rs_percent: 101, oil_c: 60", "moisture.rs_percent", "0.1 to 100 (% of saturation)"),
        ("rs_percent: -1, oil_c: 60", "moisture.rs_percent", "0.1 to 100 (% of saturation)"),
        ("ppm: .nan, oil_c: 60", "moisture.ppm", "0.1 to 2000 (ppm by mass)"),
        ("ppm: 20, oil_c: .inf", "moisture.oil_c", "-50 to 115"),
        // 60 °C in Fahrenheit; hot oil with little water would mean dry paper.
        ("ppm: 20, oil_c: 140", "moisture.oil_c", "-50 to 115"),
        ("percent: 0.02, std: 0.2", "moisture.percent", "not a fraction"),
        ("percent: 2, std: 0", "moisture.std", "no method is better than 0.05"),
        ("yearly_increase_percent: -0.1", "moisture.yearly_increase_percent", "0.01 to 1"),
        ("percent: 2, std: 0.2, location: sump", "moisture.location", "top-of-winding"),
        (
            "percent: 2, std: 0.2, set_aside: { by: A. Nother }",
            "moisture.set_aside.why",
            "required",
        ),
        (
            "percent: 2, std: 0.2, set_aside: { by: ' ', why: x }",
            "moisture.set_aside.by",
            "printable",
        ),
        ("percent: 2, ppmm: 20", "moisture.ppmm", "unknown key"),
    ];
    let own_line =
        fs::read_to_string(T1).unwrap().lines().position(|line| format!("{line}\n") == OWN);
    let line = format!("line {}", own_line.unwrap() + 1);
    for (witness, key, accepted) in cases {
        let unit = with(&folder, &[witness]);
        refused(&easy(&unit), &[&unit, &line, key, accepted]);
        refused(&run(&["validate", &unit]), &[&unit, &line, key, accepted]);
    }
}

#[test]
fn a_series_comes_from_the_profiles_own_folder_and_is_read_strictly() {
    let folder = scratch("moisture-series");
    written(folder.parent().unwrap(), "outside.csv", "minute,rs_percent,oil_c\n0,12,60\n");
    for name in [
        "../outside.csv",
        "/etc/hostname",
        "a/../../outside.csv",
        "./a.csv",
        "~/a.csv",
        "'a\\b.csv'",
        "C:/a.csv",
    ] {
        let unit = with(&folder, &[&format!("series: {name}")]);
        refused(&easy(&unit), &[&unit, "witness 1.series", "in the profile's folder or below it"]);
    }
    let unit = with(&folder, &["series: probe.csv"]);
    let _ = fs::remove_file(folder.join("probe.csv"));
    refused(&easy(&unit), &["probe.csv", "a file that can be read"]);
    let header = "minute,rs_percent,oil_c\n";
    let cases = [
        (String::new(), "an empty file"),
        (header.to_owned(), "no rows"),
        (format!("{header}0,NaN,60\n"), "line 2, column rs_percent"),
        (format!("{header}0,12,60\n60,12,inf\n"), "line 3, column oil_c"),
        (format!("{header}0,120,60\n"), "0.1 to 100 (% of saturation)"),
        (format!("{header}0,,60\n"), "an empty cell"),
        (format!("{header}0,12,60\n0,12,60\n"), "each time once"),
        (format!("{header}60,12,60\n0,12,60\n"), "line 3, column minute"),
        ("minute,rs_percent,oil_c,ppm\n0,12,60,20\n".to_owned(), "the column \"ppm\""),
        ("minute,rs_percent\n0,12\n".to_owned(), "no column oil_c"),
        ("rs_percent,oil_c\n12,60\n".to_owned(), "either the column minute or the column time"),
        ("time,rs_percent,oil_c\n2026-10-01 12:00,12,60\n".to_owned(), "2026-10-01 12:00"),
    ];
    for (text, found) in cases {
        written(&folder, "probe.csv", &text);
        refused(&easy(&unit), &["probe.csv", found]);
    }
}

#[test]
fn figures_of_oil_and_paper_that_cannot_be_right_are_refused() {
    let folder = scratch("moisture-figures");
    let own = "mass_kg: 18500 }";
    let solubility =
        |constants: &str| format!("mass_kg: 18500, water_solubility: {{ {constants} }} }}");
    let natural = solubility("a: 16.32, b: 3608, measured_by: A. Nother");
    let halved = solubility("a: 7.0895, b: 680, measured_by: A. Nother");
    let nobody = solubility("a: 7.0895, b: 1567");
    let condition = "dp_new: 1000, dp: 780, date: 2026-06-15, usual_hot_spot_c: 68";
    let cases = [
        (own, natural.as_str(), "oil.water_solubility.a", "log10 S"),
        (own, &halved, "oil.water_solubility", "30 to 250 ppm at 20 °C"),
        (own, &nobody, "oil.water_solubility.measured_by", "required"),
        ("made: 1987", "made: 1987\ndried: 1980-01-01", "dried", "before the unit was made (1987)"),
        (
            condition,
            "dp_new: 1000, dp: 1100",
            "paper_condition.dp",
            "at most that of the new paper, 1000",
        ),
        (condition, "dp_new: 1000, dp: 20", "paper_condition.dp", "100 to 1300"),
    ];
    for (from, to, key, accepted) in cases {
        let unit = altered(&folder, from, to);
        refused(&easy(&unit), &[&unit, "line ", key, accepted]);
    }
}

#[test]
fn local_rules_loosen_what_a_witness_must_fulfil_only_by_name() {
    let folder = scratch("moisture-loose");
    for (key, value) in [
        ("oldest_months", "36"),
        ("coldest_oil_c", "30"),
        ("least_ppm", "5"),
        ("steady_h", "1"),
        ("allow_drying_credit", "true"),
    ] {
        let alone = under(&folder, T1, &format!("{{ {key}: {value} }}"));
        let key_in_full = format!("moisture.{key}");
        refused(&alone, &["rules.yaml", &key_in_full, value, "moisture.decided"]);
        if key != "allow_drying_credit" {
            refused(&alone, &["line 3"]);
        }
        let named =
            format!("{{ {key}: {value}, decided: {{ by: A. Nother, why: our oil is known }} }}");
        assert_eq!(under(&folder, T1, &named).code, 0, "{key}");
    }
    for (moisture, key) in [
        ("{ counting_percent: 30 }", "moisture.counting_percent"),
        ("{ at_least_percent: .nan }", "moisture.at_least_percent"),
        ("{ decided: { by: A. Nother } }", "moisture.decided.why"),
        ("{ counting: 3 }", "moisture.counting"),
    ] {
        refused(&under(&folder, T1, moisture), &["rules.yaml", "line 3", key]);
    }
}

const COLD_SAMPLE: &str = "method: oil-sample, ppm: 6, oil_c: 20, date: 2026-09-03";

#[test]
fn a_cold_and_dry_sample_alone_answers_nothing_and_may_only_raise_beside_another() {
    let folder = scratch("moisture-cold");
    let alone = easy_json(&with(&folder, &[COLD_SAMPLE]));
    assert_eq!(alone.code, 4);
    assert!(counting_percent(&alone).is_none());
    let beside = easy_json(&beside(&folder, COLD_SAMPLE));
    assert_eq!(beside.code, 0);
    let (shown, own) =
        (counting_percent(&beside).unwrap(), counting_percent(&easy_json(T1)).unwrap());
    assert!(shown >= own, "it lowers nothing: {shown} and {own}");
    for ran in [alone, beside] {
        let refused = findings(&ran, "moisture-witness-wet-side");
        assert_eq!(refused.len(), 1);
        for reason in ["the oil was too cold for the method", "the oil was too dry for the method"]
        {
            assert!(refused[0].1.contains(reason), "{reason}: {}", refused[0].1);
        }
    }
}

#[test]
fn evidence_that_is_too_old_may_raise_and_does_not_stand_alone() {
    let folder = scratch("moisture-old");
    let old = |percent: &str| {
        format!("method: dielectric-response, percent: {percent}, std: 0.2, date: 2023-05-04")
    };
    let alone = easy_json(&with(&folder, &[&old("1.0")]));
    assert_eq!(alone.code, 4);
    assert!(findings(&alone, "moisture-witness-wet-side")[0].1.contains("too old"));
    let own = counting_percent(&easy_json(T1)).unwrap();
    let dry = counting_percent(&easy_json(&beside(&folder, &old("0.5")))).unwrap();
    assert!((dry - own).abs() < f64::EPSILON, "an old dry figure changes nothing");
    let wet = counting_percent(&easy_json(&beside(&folder, &old("2.4")))).unwrap();
    assert!(wet >= 2.4, "{wet}");
}

/// The same file answers otherwise two years later, and the day is part of what was asked.
#[test]
fn the_age_of_evidence_is_judged_on_the_day_of_the_question() {
    let on = |day: &str| check(T1, &[&EASY[..], &[AS_OF[0], day, "--format", "json"]].concat());
    let (soon, late, before) = (on("2028-09-01"), on("2028-12-01"), on("2026-10-01"));
    assert_eq!((soon.code, late.code, before.code), (0, 4, 4));
    assert!(findings(&before, "moisture-witness-wet-side")[0].1.contains("dated after"));
    assert_ne!(json(&soon)["inputs_sha256"], json(&late)["inputs_sha256"]);
}

#[test]
fn local_rules_count_less_than_the_evidence_only_by_name() {
    let folder = scratch("moisture-lowered");
    let evidence = counting_percent(&easy_json(T1)).unwrap();
    let alone = under(&folder, T1, "{ counting_percent: 0.6 }");
    assert!((counting_percent(&alone).unwrap() - evidence).abs() < f64::EPSILON);
    assert_eq!(findings(&alone, "moisture-local-refused")[0].0, "caution");
    let named = under(
        &folder,
        T1,
        "{ counting_percent: 0.6, decided: { by: A. Nother, why: vapour-phase dried in spring } }",
    );
    assert!((counting_percent(&named).unwrap() - 0.6).abs() < f64::EPSILON);
    let lowered = findings(&named, "moisture-local-lowered");
    assert_eq!(lowered[0].0, "caution");
    assert!(lowered[0].1.contains("A. Nother") && lowered[0].1.contains("vapour-phase dried"));
    for raised in ["{ counting_percent: 2.5 }", "{ at_least_percent: 2.5 }"] {
        let ran = under(&folder, T1, raised);
        assert!((counting_percent(&ran).unwrap() - 2.5).abs() < f64::EPSILON);
        assert_eq!(findings(&ran, "moisture-local-raised").len(), 1);
    }
    let stays = under(&folder, T2, "{ at_least_percent: 0.5 }");
    let wet = counting_percent(&easy_json(T2)).unwrap();
    assert!((counting_percent(&stays).unwrap() - wet).abs() < f64::EPSILON);
}

#[test]
fn oil_near_saturation_leaves_the_question_open_unless_set_aside_by_name() {
    let folder = scratch("moisture-saturated");
    let sample = "method: oil-sample, ppm: 200, oil_c: 60, date: 2026-09-03";
    for unit in [with(&folder, &[sample]), beside(&folder, sample)] {
        let ran = easy_json(&unit);
        assert!([3, 4].contains(&ran.code), "open, or too wet already at the edge: {}", ran.code);
        assert_eq!(findings(&ran, "moisture-beyond-isotherm")[0].0, "unknown");
    }
    let aside = format!("{sample}, set_aside: {{ by: A. Nother, why: water in the bottle }}");
    let ran = easy_json(&beside(&folder, &aside));
    assert_eq!(ran.code, 0);
    let named = findings(&ran, "moisture-witness-set-aside");
    assert_eq!(named[0].0, "caution");
    assert!(named[0].1.contains("A. Nother") && named[0].1.contains("water in the bottle"));
    assert!(findings(&ran, "moisture-beyond-isotherm").is_empty());
}

#[test]
fn a_figure_with_neither_method_nor_uncertainty_leaves_the_question_open() {
    let folder = scratch("moisture-unsure");
    let code = "input-moisture-uncertainty-missing";
    for unit in [
        with(&folder, &["percent: 1, date: 2026-09-03"]),
        beside(&folder, "percent: 1, date: 2026-09-03"),
    ] {
        let ran = easy_json(&unit);
        assert_eq!(ran.code, 4);
        assert_eq!(findings(&ran, code)[0].0, "unknown");
    }
    for enough in [
        "percent: 1, std: 0.3, date: 2026-09-03",
        "percent: 1, method: paper-sample, date: 2026-09-03",
    ] {
        let ran = easy_json(&with(&folder, &[enough]));
        assert_eq!(ran.code, 0, "{enough}");
        assert!(findings(&ran, code).is_empty());
    }
}

#[test]
fn the_demo_units_contradictions_are_shown_and_its_wet_side_counts() {
    let ran = check(T2, &[&EVENING[..], &["--format", "json"]].concat());
    let pairs = findings(&ran, "moisture-contradiction");
    assert!(!pairs.is_empty() && pairs.iter().all(|(severity, _)| severity == "caution"));
    // The wettest witness of its profile.
    assert!(counting_percent(&ran).unwrap() >= 3.3);
}

#[test]
fn oil_alone_is_a_weak_witness_and_an_assumption_no_measurement() {
    let folder = scratch("moisture-weak");
    for (witness, code) in [
        (
            "method: oil-sample, ppm: 20, oil_c: 60, steady_h: 12, date: 2026-09-03",
            "moisture-oil-only",
        ),
        ("yearly_increase_percent: 0.02", "moisture-assumed"),
        ("method: assumed, percent: 1.5, std: 0.3", "moisture-assumed"),
    ] {
        let ran = easy_json(&with(&folder, &[witness]));
        assert_eq!(
            (ran.code, json(&ran)["verdict"].as_str()),
            (0, Some("go-with-cautions")),
            "{witness}"
        );
        assert_eq!(findings(&ran, code)[0].0, "caution", "{witness}");
    }
}

/// The wet demo unit has four witnesses that contradict each other; both commands say so, and name
/// the one that governs.
#[test]
fn the_wet_demo_unit_names_the_witness_that_governs() {
    let ran = run(&["moisture", T2, AS_OF[0], AS_OF[1], "--format", "json"]);
    assert_eq!(ran.code, 0);
    let answer = json(&ran);
    let witnesses = answer["moisture"]["witnesses"].as_array().unwrap();
    let percents: Vec<f64> = witnesses.iter().map(|own| own["percent"].as_f64().unwrap()).collect();
    assert_eq!(percents.len(), 4);
    let inside = |percent: &f64| (1.55..3.45).contains(percent);
    assert!(percents.iter().all(inside), "between about 1.6 and 3.4 %: {percents:?}");
    assert!(witnesses.iter().all(|own| own["margin_low_k"].is_number()), "a margin under each");
    assert!(!answer["moisture"]["contradictions"].as_array().unwrap().is_empty());
    let governs = answer["moisture"]["counting"]["witness"].as_u64().unwrap();
    let method = witnesses[usize::try_from(governs).unwrap()]["method_in_words"].as_str().unwrap();
    let checked = check(T2, &[&EVENING[..], &["--format", "json"]].concat());
    assert!(findings(&checked, "moisture-counting")[0].1.contains(method));
    let counts = &answer["moisture"]["counting"]["percent"];
    assert_eq!(&json(&checked)["bubbling"]["counting_moisture_percent"], counts);
    let text = run(&["moisture", T2, AS_OF[0], AS_OF[1]]).stdout;
    for row in ["    contradict  ", "    believe     ", "    margin      "] {
        assert_eq!(text.matches(row).count(), 1, "{row}");
    }
}

/// Drier paper costs less life, by every published set that reaches so far, and drying less helps less.
#[test]
fn drying_is_told_in_life_that_the_overload_would_use() {
    // Wet, and not wetter than the published sets reach.
    let folder = scratch("moisture-dried");
    let unit = altered(&folder, "percent: 1.0, std: 0.2", "percent: 3.0, std: 0.2");
    let hours = |dried_to: &str| -> Vec<f64> {
        let answer = json(&check(
            &unit,
            &[&EVENING[..], &["--dried-to", dried_to, "--format", "json"]].concat(),
        ));
        let of = |key: &str| answer["ageing"][key].as_array().unwrap().clone();
        let within = |cost: &serde_json::Value| !cost["at_least"].as_bool().unwrap();
        let (wet, dried) = (of("with_water"), of("if_dried"));
        assert_eq!(wet.len(), dried.len());
        let pairs = wet.iter().zip(&dried).filter(|(wet, dried)| within(wet) && within(dried));
        let hours = |cost: &serde_json::Value| cost["hours"].as_f64().unwrap();
        pairs
            .map(|(wet, dried)| {
                assert!(hours(dried) < hours(wet));
                hours(dried)
            })
            .collect()
    };
    let (far, little) = (hours("0.8"), hours("2.5"));
    assert!(far.len() >= 2, "the spread of two sets at least");
    assert!(far.iter().zip(&little).all(|(far, little)| far < little));
    refused(&check(T2, &[&EVENING[..], &["--dried-to", "0"]].concat()), &["--dried-to", "0.1"]);
}
