//! The block `heat_run:`: what a report prints, in place of the keys beside it or with them.

use crate::run::{T1, check, json, run, scratch, written};
use serde_json::Value;
use std::fs;

const ASKED: [&str; 12] = [
    "--load",
    "1.1",
    "--for",
    "2h",
    "--preload",
    "0.6",
    "--preload-from",
    "0.6",
    "--ambient",
    "20",
    "--format=json",
    "--draws=256",
];

/// The rises and losses of the dry unit as its profile states them.
pub(crate) const KEYS: &str = "  top_oil_rise_k: 50
  hot_spot_gradient_k: 24 # H × gr, 1.25 × 19.2 K; a heat-run report prints gr
  loss_ratio: 6
  heat_run: 1987-05-12
";
pub(crate) const ONAN: &str = "constants: onan, top_oil_rise_k: 48, hot_spot_gradient_k: 17 }";

/// The same as a report prints it: 60.2 K less 41 K is gr, 74 K less 50 K is H × gr.
pub(crate) const REPORT: &str = "  heat_run:
    date: 1987-05-12
    liquid: mineral
    ambient_c: 20
    top_oil_rise_k: 50
    average_oil_rise_k: 41
    bottom_oil_rise_k: 32
    average_winding_rise_k: 60.2
    hot_spot_rise_k: 74
    guaranteed_winding_rise_k: 65
    losses:
      { no_load_kw: 22, load_kw: 132, i2r_kw: 108, winding_eddy_kw: 10, stray_kw: 14, at_c: 75, base_mva: 40 }
    masses: { active_kg: 32000, tank_kg: 11000, oil_kg: 18500, winding_kg: 6000 }
    conductor: copper
    hot_spot_height_pu: 1
    hot_spot_eddy_pu: 0.2
";

/// The dry unit with other keys of its thermal data, and pieces of text replaced.
pub(crate) fn unit(test: &str, keys: &str, pieces: &[(&str, &str)]) -> String {
    let mut whole = fs::read_to_string(T1).unwrap();
    for (from, to) in [&[(KEYS, keys)], pieces].concat() {
        assert!(whole.contains(from), "{from} stands in the profile");
        whole = whole.replace(from, to);
    }
    written(&scratch(test), "unit.yaml", whole)
}

/// What the lag forms make of it, and the paper: the detailed model knows more of a block than of the keys.
fn lags(test: &str, keys: &str, pieces: &[(&str, &str)]) -> Value {
    let said = said(test, keys, pieces);
    // From the load before alone: which lower one counts is for the hottest model to say.
    let models = said[1]["by_model"].as_array().unwrap();
    let names: Vec<&str> = models.iter().map(|model| model["model"].as_str().unwrap()).collect();
    assert_eq!(names, ["iec-60076-7", "ieee-c57.91", "ieee-c57.91-detailed"]);
    let inception = &said[2]["inception_c"];
    serde_json::json!([models[0], models[1], inception])
}

/// What an answer says without the names and hashes of its files.
fn said(test: &str, keys: &str, pieces: &[(&str, &str)]) -> Value {
    let ran = check(&unit(test, keys, pieces), &ASKED);
    assert!([0, 3].contains(&ran.code), "{keys}: {}", ran.stderr);
    let answer = json(&ran);
    let parts = ["verdict", "peak", "bubbling", "findings", "spread", "largest_load_pu", "ageing"];
    parts.iter().map(|part| answer[*part].clone()).collect()
}

fn number(answer: &Value, place: &str) -> f64 {
    answer.pointer(place).unwrap().as_f64().unwrap()
}

/// Numbers of one answer are those of the other to rounding: 60.2 − 41 is 19.2 only nearly.
fn same(one: &Value, other: &Value, place: &str) {
    match (one, other) {
        (Value::Number(one), Value::Number(other)) => {
            let (one, other) = (one.as_f64().unwrap(), other.as_f64().unwrap());
            assert!((one - other).abs() <= 1.0e-6 * one.abs().max(1.0), "{place}: {one} {other}");
        }
        (Value::Array(one), Value::Array(other)) => {
            assert_eq!(one.len(), other.len(), "{place}");
            for (index, (one, other)) in one.iter().zip(other).enumerate() {
                same(one, other, &format!("{place}/{index}"));
            }
        }
        (Value::Object(one), Value::Object(other)) => {
            assert!(one.keys().eq(other.keys()), "{place}");
            for (key, one) in one {
                same(one, &other[key], &format!("{place}/{key}"));
            }
        }
        (one, other) => assert_eq!(one, other, "{place}"),
    }
}

#[test]
fn a_block_gives_the_answer_of_the_keys_that_follow_from_it() {
    let keys = "  top_oil_rise_k: 50\n  average_gradient_k: 19.2\n  hot_spot_factor: 1.25\n  loss_ratio: 6\n  heat_run: 1987-05-12\n";
    let expected = lags("block-keys", keys, &[]);
    same(&expected, &lags("block-same", REPORT, &[]), "");
    // Both beside each other say it once more.
    let both = keys.replace("  heat_run: 1987-05-12\n", REPORT);
    same(&expected, &lags("block-both", &both, &[]), "");
    // What more it says is for the detailed model.
    let detailed_c =
        |test: &str, keys: &str| number(&said(test, keys, &[]), "/1/by_model/2/hot_spot_c");
    let off_k = detailed_c("block-known", REPORT) - detailed_c("block-less-known", keys);
    assert!(off_k.abs() > 0.1, "{off_k}");
    // The block of the rated stage is that of the unit.
    let rated = "constants: onaf, start_top_oil_c: 60, stop_top_oil_c: 50 }";
    let report = "heat_run: { top_oil_rise_k: 50, average_oil_rise_k: 41, average_winding_rise_k: 60.2, hot_spot_rise_k: 74, losses: { no_load_kw: 22, load_kw: 132 } }";
    let in_stage = format!("constants: onaf, {report}, start_top_oil_c: 60, stop_top_oil_c: 50 }}");
    let dated = "  heat_run: 1987-05-12\n";
    same(&expected, &lags("block-rated", dated, &[(rated, &in_stage)]), "");
}

#[test]
fn the_date_alone_and_the_keys_beside_it_mean_what_they_did() {
    let expected = said("block-date", KEYS, &[]);
    let dated = KEYS.replace("heat_run: 1987-05-12", "heat_run: { date: 1987-05-12 }");
    assert_eq!(expected, said("block-dated", &dated, &[]));
    // Without a date no heat run is stated, and the figures are as uncertain as guarantees.
    let undated = KEYS.replace("heat_run: 1987-05-12", "heat_run: { conductor: copper }");
    let guaranteed = KEYS.replace("  heat_run: 1987-05-12\n", "");
    let undated = said("block-undated", &undated, &[]);
    assert_eq!(said("block-guaranteed", &guaranteed, &[]), undated);
    assert_ne!(expected, undated);
}

#[test]
fn figures_that_follow_are_the_units_own_and_those_that_do_not_stay_typical() {
    let code = "thermal-typical-values";
    let text = |keys: &str| {
        let answer = json(&check(&unit("block-typical", keys, &[]), &ASKED));
        let findings = answer["findings"].as_array().unwrap();
        let found = findings.iter().find(|own| own["code"] == code).unwrap();
        format!("{} {}", found["severity"], found["text"])
    };
    assert!(text(REPORT).contains("pass"), "{}", text(REPORT));
    let without = |from: &str| {
        assert!(REPORT.contains(from), "{from}");
        text(&REPORT.replace(from, ""))
    };
    assert!(without("no_load_kw: 22, ").contains("typical loss_ratio"));
    assert!(without("    hot_spot_rise_k: 74\n").contains("typical hot_spot_factor"));
    // Top oil follows from average and bottom oil, the average oil from top and bottom.
    assert!(without("    top_oil_rise_k: 50\n").contains("pass"));
    assert!(without("    average_oil_rise_k: 41\n").contains("pass"));
    let oil_alone = "  heat_run: { date: 1987-05-12, top_oil_rise_k: 50 }\n";
    assert!(text(oil_alone).contains("typical hot_spot_gradient_k, loss_ratio"));
}

#[test]
fn a_stage_has_rises_of_its_own_and_the_losses_of_the_unit() {
    let at = |stage: &str, keys: &str| {
        let unit = unit("block-stage", keys, &[(ONAN, stage)]);
        let ran = check(&unit, &[&ASKED[..], &["--cooling", "ONAN"]].concat());
        assert!([0, 3].contains(&ran.code), "{stage}: {}", ran.stderr);
        let hottest =
            |model: usize| number(&json(&ran), &format!("/peak/by_model/{model}/hot_spot_c"));
        // By the lag forms: the detailed model knows more of a block.
        hottest(0).max(hottest(1))
    };
    let expected_c = at(ONAN, KEYS);
    let block = "heat_run: { top_oil_rise_k: 48, bottom_oil_rise_k: 34, average_winding_rise_k: 54, hot_spot_rise_k: 65 } }";
    let found_c = at(&format!("constants: onan, {block}"), KEYS);
    assert!((found_c - expected_c).abs() < 1.0e-6, "{found_c} {expected_c}");
    // Losses at the power of the stage, 24 MVA, are 0.36 of those at 40 MVA.
    let losses = "losses: { no_load_kw: 22, load_kw: 47.52, base_mva: 24 }";
    let block = format!(
        "constants: onan, top_oil_rise_k: 48, hot_spot_gradient_k: 17, heat_run: {{ {losses} }} }}"
    );
    let silent = KEYS.replace("  loss_ratio: 6\n", "");
    let found_c = at(&block, &silent);
    assert!((found_c - expected_c).abs() < 1.0e-6, "{found_c} {expected_c}");
}

#[test]
fn of_two_figures_that_agree_the_hotter_one_counts() {
    let hot_c = |keys: &str| number(&said("block-hotter", keys, &[]), "/1/hot_spot_c");
    let beside = |gradient: &str, hot: &str| {
        format!(
            "  top_oil_rise_k: 50\n  {gradient}\n  loss_ratio: 6\n  heat_run: {{ date: 1987-05-12, hot_spot_rise_k: {hot} }}\n"
        )
    };
    let expected_c = hot_c(&beside("hot_spot_gradient_k: 24.8", "74.8"));
    for (gradient, hot) in [
        ("hot_spot_gradient_k: 24.8", "74"),
        ("hot_spot_gradient_k: 24", "74.8"),
        ("average_gradient_k: 20\n  hot_spot_factor: 1.24", "74"),
        ("average_gradient_k: 20\n  hot_spot_factor: 1.2", "74.8"),
    ] {
        let found_c = hot_c(&beside(gradient, hot));
        assert!((found_c - expected_c).abs() < 1.0e-6, "{gradient} {hot}: {found_c} {expected_c}");
    }
}

#[test]
fn two_loads_and_the_cooling_curve_give_exponents_and_the_time_constant() {
    let keys = "x: 0.9\n  n: 0.9\n  y: 1.6\n  m: 0.8\n  winding_time_constant_min: 9\n  heat_run: 1987-05-12";
    let block = "heat_run: { date: 1987-05-12, winding_time_constant_min: 9, two_loads: { oil_exponent: 0.9, winding_exponent: 1.6 } }";
    let with = |keys: &str| KEYS.replace("heat_run: 1987-05-12", keys);
    let (expected, typical) =
        (said("block-constants", &with(keys), &[]), said("block-none", KEYS, &[]));
    same(&expected, &said("block-two-loads", &with(block), &[]), "");
    assert_ne!(expected, typical);
}

#[test]
fn the_schema_knows_both_forms() {
    let schema = json(&run(&["schema", "unit"]));
    let forms = schema["$defs"]["HeatRun"]["anyOf"].as_array().unwrap();
    assert_eq!(forms.len(), 2, "{forms:?}");
    let block = &schema["$defs"]["ReportFile"];
    assert_eq!(block["additionalProperties"], false);
    for key in ["date", "hot_spot_rise_k", "losses", "masses", "two_loads", "conductor"] {
        assert!(block["properties"][key].is_object(), "{key}");
    }
}
