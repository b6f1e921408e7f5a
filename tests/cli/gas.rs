//! Gas in oil as its users state it: the age of a sample, and fault gas beside what is said of it.

use crate::moisture::{easy, easy_json, findings, refused};
use crate::run::{Ran, T1, altered, check, json, scratch, written};
use std::fs;

const REPORT: &str = "  sampled: 2026-09-03
  gases: { N2: 41500, O2: 11800, CO2: 1900, CO: 310, H2: 12, CH4: 6, C2H6: 3, C2H4: 5, C2H2: 0 }
";

/// The dry unit with another gas report, its keys one below the other.
fn with_gas(test: &str, report: &str) -> String {
    altered(&scratch(test), REPORT, report)
}

fn gas(ran: &Ran) -> serde_json::Value {
    json(ran)["bubbling"]["gas"].clone()
}

fn margin_k(ran: &Ran) -> f64 {
    json(ran)["bubbling"]["margin_low_k"].as_f64().unwrap()
}

#[test]
fn a_low_figure_of_an_old_undated_or_future_sample_counts_as_saturated_oil_with_a_caution() {
    let fresh = easy_json(&with_gas("gas-fresh", "  sampled: 2026-09-03\n  total_percent: 2.0\n"));
    assert_eq!((fresh.code, gas(&fresh)["percent"].as_f64()), (0, Some(2.0)));
    assert_eq!(json(&fresh)["verdict"], "go");
    for (sampled, code, standing) in [
        ("  sampled: 1990-05-04\n", "bubbling-gas-sample-old", "old"),
        ("  sampled: 2030-05-04\n", "bubbling-gas-sample-later", "dated-later"),
        ("", "bubbling-gas-sample-undated", "undated"),
    ] {
        let ran = easy_json(&with_gas("gas-old", &format!("{sampled}  total_percent: 2.0\n")));
        assert_eq!(json(&ran)["verdict"], "go-with-cautions", "{code}");
        let (severity, text) = findings(&ran, code)[0].clone();
        assert_eq!(severity, "caution");
        assert!(text.contains("10.0 % of gas is counted, not the 2.0 % stated"), "{text}");
        let line = gas(&ran);
        assert_eq!(
            (line["percent"].as_f64(), line["standing"].as_str()),
            (Some(10.0), Some(standing))
        );
        assert_eq!(line["fell_back"], true);
        assert_eq!(json(&ran)["bubbling"]["gas_assumed"], true);
        assert!(margin_k(&ran) <= margin_k(&fresh), "{code}");
    }
}

/// What gas is worth grows with the water: in wet paper an old low figure costs kelvins.
#[test]
fn in_wet_paper_an_old_low_figure_is_worth_what_saturated_oil_is() {
    let with = |report: &str| {
        let text = fs::read_to_string(with_gas("gas-wet", report)).unwrap();
        let text = text.replace("percent: 1.0, std: 0.2", "percent: 3.0, std: 0.2");
        margin_k(&easy_json(&written(&scratch("gas-wet"), "wet.yaml", text)))
    };
    let fresh_k = with("  sampled: 2026-09-03\n  total_percent: 2.0\n");
    let old_k = with("  sampled: 1990-05-04\n  total_percent: 2.0\n");
    let assumed_k = with("  sampled: 2026-09-03\n  gases: { H2: 10 }\n");
    assert!(old_k < fresh_k - 1.5, "{fresh_k} K fresh, {old_k} K old");
    assert!((old_k - assumed_k).abs() < 1.0e-9, "{assumed_k} K assumed, {old_k} K old");
}

#[test]
fn an_old_sample_says_its_age_and_its_limit_and_a_local_rule_tightens_it() {
    let unit = with_gas("gas-age", "  sampled: 2025-07-20\n  total_percent: 2.0\n");
    let ran = easy_json(&unit);
    let answer = json(&ran);
    let all = answer["findings"].as_array().unwrap();
    let old = all.iter().find(|finding| finding["code"] == "bubbling-gas-sample-old").unwrap();
    assert!((old["measured"]["value"].as_f64().unwrap() - 15.0).abs() < 0.05);
    assert_eq!(old["limit"]["value"], 12.0);
    // Three of six months past the limit: half of the way from 2 to 10 %.
    let half = gas(&ran)["percent"].as_f64().unwrap();
    assert!((5.8..6.2).contains(&half), "{half}");
    let rules = |months: &str| {
        let text = format!("rules: test\nissued_by: nobody\ngas: {{ oldest_months: {months} }}\n");
        written(&scratch("gas-rules"), "rules.yaml", text)
    };
    let flags = ["--load", "1.05", "--for", "1h", "--preload", "0.6", "--ambient", "20"];
    let under = |months: &str, unit: &str| {
        check(unit, &[&flags[..], &["--rules", &rules(months), "--format", "json"]].concat())
    };
    assert_eq!(gas(&under("6", &unit))["percent"].as_f64(), Some(10.0));
    assert_eq!(
        gas(&under("18", &unit))["percent"].as_f64(),
        Some(half),
        "a longer one loosens nothing"
    );
    refused(&under("36", &unit), &["line 3", "gas.oldest_months", "24 months or less"]);
}

#[test]
fn oil_kept_from_air_falls_back_on_what_such_oil_holds() {
    let unit = with_gas("gas-kept", "  sampled: 1990-05-04\n  total_percent: 1.1\n");
    let text = fs::read_to_string(&unit).unwrap();
    for (kept, percent) in [
        ("conservator-membrane,", 2.0),
        ("sealed, blanket_lowest_gauge_kpa: 0,", 8.4),
        ("nitrogen-blanket, blanket_lowest_gauge_kpa: 0,", 8.4),
    ] {
        let text = text.replace("preservation: conservator,", &format!("preservation: {kept}"));
        let ran = easy_json(&written(&scratch("gas-kept"), "kept.yaml", text));
        let counted = gas(&ran)["percent"].as_f64().unwrap();
        assert!((counted - percent).abs() < 0.05, "{kept}: {counted}");
    }
}

/// The dry unit with some gases of its report replaced, and what is said of fault gas.
fn with_gases(test: &str, gases: &[(&str, &str)], said: &str) -> Ran {
    let mut text = fs::read_to_string(T1).unwrap();
    for (from, to) in gases {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    let text = text.replace(" fault_gas: none,", said);
    easy_json(&written(&scratch(test), "unit.yaml", text))
}

const NONE: &str = " fault_gas: none,";

#[test]
fn hydrogen_and_acetylene_that_nobody_explains_leave_the_question_open() {
    let (acetylene, hydrogen) = (("C2H2: 0", "C2H2: 34"), ("H2: 12,", "H2: 690,"));
    for gases in [&[acetylene, hydrogen][..], &[acetylene], &[hydrogen]] {
        for said in [NONE, ""] {
            let ran = with_gases("fault-open", gases, said);
            assert_eq!(ran.code, 4, "{gases:?} {said}");
            assert_eq!(findings(&ran, "bubbling-fault-gas-contradiction")[0].0, "unknown");
        }
        let explained = with_gases("fault-open", gases, " fault_gas: explained,");
        assert_eq!(json(&explained)["verdict"], "go-with-cautions", "{gases:?}");
        assert!(findings(&explained, "bubbling-fault-gas-contradiction").is_empty());
        let unexplained = with_gases("fault-open", gases, " fault_gas: unexplained,");
        assert_eq!(unexplained.code, 3, "{gases:?}");
    }
}

#[test]
fn each_gas_above_its_typical_range_is_a_caution_with_gas_value_and_range() {
    for (from, to, words) in [
        ("H2: 12,", "H2: 160,", "160 ppm of hydrogen; 50 to 150 ppm is typical"),
        ("CH4: 6", "CH4: 140", "140 ppm of methane; 30 to 130"),
        ("C2H6: 3", "C2H6: 95", "95 ppm of ethane; 20 to 90"),
        ("C2H4: 5", "C2H4: 300", "300 ppm of ethylene; 60 to 280"),
        ("CO: 310", "CO: 700", "700 ppm of carbon monoxide; 400 to 600"),
        ("CO2: 1900", "CO2: 15000", "15000 ppm of carbon dioxide; 3800 to 14000"),
    ] {
        let ran = with_gases("fault-typical", &[(from, to)], NONE);
        let found = findings(&ran, "bubbling-fault-gas-above-typical");
        assert_eq!(
            (json(&ran)["verdict"].as_str(), found.len()),
            (Some("go-with-cautions"), 1),
            "{to}"
        );
        assert!(found[0].1.contains(words), "{}", found[0].1);
    }
    let both =
        with_gases("fault-typical", &[("H2: 12,", "H2: 160,"), ("CO: 310", "CO: 700")], NONE);
    assert_eq!(findings(&both, "bubbling-fault-gas-above-typical").len(), 2);
    let own = easy_json(T1);
    assert!(findings(&own, "bubbling-fault-gas-above-typical").is_empty());
}

#[test]
fn a_tap_changer_that_shares_the_oil_explains_acetylene_up_to_its_own_range() {
    let shared = |ppm: &str| {
        let mass = ("mass_kg: 18500 }", "mass_kg: 18500, shared_with_tap_changer: true }");
        with_gases("fault-shared", &[mass, ("C2H2: 0", &format!("C2H2: {ppm}"))], NONE)
    };
    assert_eq!(json(&shared("200"))["verdict"], "go");
    assert_eq!(shared("281").code, 4);
    assert_eq!(with_gases("fault-shared", &[("C2H2: 0", "C2H2: 5")], NONE).code, 0);
    assert_eq!(with_gases("fault-shared", &[("C2H2: 0", "C2H2: 5.1")], NONE).code, 4);
}

#[test]
fn the_text_of_an_answer_says_that_old_gas_is_assumed() {
    let ran = easy(&with_gas("gas-text", "  sampled: 1990-05-04\n  total_percent: 2.0\n"));
    assert!(ran.stdout.contains("10.0 % gas (assumed)"), "{}", ran.stdout);
}

/// The figures of the worst-case bound are not those of the standard that was named for them.
#[test]
fn gas_solubilities_name_no_standard_that_they_are_not_from() {
    for file in ["src/bubbling/partial_pressure.rs", "src/bubbling/gas.rs"] {
        let text = fs::read_to_string(file).unwrap();
        assert!(text.contains("gas-solubilities-25c"), "{file}");
    }
    let sources = fs::read_to_string("profiles/sources.yaml").unwrap();
    assert!(!sources.contains("gas solubilities at 25 °C.\""));
}
