//! The block `heat_run:`: what a report prints, in place of the keys beside it or with them.

use crate::run::{Ran, T1, check, json, run, scratch, written};
use serde_json::Value;
use std::fs;

const ASKED: [&str; 10] = [
    "--load",
    "1.1",
    "--for",
    "2h",
    "--preload",
    "0.6",
    "--ambient",
    "20",
    "--format=json",
    "--draws=256",
];

/// The rises and losses of the dry unit as its profile states them.
const KEYS: &str = "  top_oil_rise_k: 50
  hot_spot_gradient_k: 24 # H × gr, 1.25 × 19.2 K; a heat-run report prints gr
  loss_ratio: 6
  heat_run: 1987-05-12
";
const ONAN: &str = "constants: onan, top_oil_rise_k: 48, hot_spot_gradient_k: 17 }";

/// The same as a report prints it: 60.2 K less 41 K is gr, 74 K less 50 K is H × gr.
const REPORT: &str = "  heat_run:
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
fn unit(test: &str, keys: &str, pieces: &[(&str, &str)]) -> String {
    let mut whole = fs::read_to_string(T1).unwrap();
    for (from, to) in [&[(KEYS, keys)], pieces].concat() {
        assert!(whole.contains(from), "{from} stands in the profile");
        whole = whole.replace(from, to);
    }
    written(&scratch(test), "unit.yaml", whole)
}

fn validated(test: &str, keys: &str, pieces: &[(&str, &str)]) -> Ran {
    run(&["validate", &unit(test, keys, pieces)])
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
    let expected = said("block-keys", keys, &[]);
    same(&expected, &said("block-same", REPORT, &[]), "");
    // Both beside each other say it once more.
    let both = keys.replace("  heat_run: 1987-05-12\n", REPORT);
    same(&expected, &said("block-both", &both, &[]), "");
    // The block of the rated stage is that of the unit.
    let rated = "constants: onaf, start_top_oil_c: 60, stop_top_oil_c: 50 }";
    let report = "heat_run: { top_oil_rise_k: 50, average_oil_rise_k: 41, average_winding_rise_k: 60.2, hot_spot_rise_k: 74, losses: { no_load_kw: 22, load_kw: 132 } }";
    let in_stage = format!("constants: onaf, {report}, start_top_oil_c: 60, stop_top_oil_c: 50 }}");
    let dated = "  heat_run: 1987-05-12\n";
    same(&expected, &said("block-rated", dated, &[(rated, &in_stage)]), "");
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
        number(&json(&ran), "/peak/hot_spot_c")
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

/// Text of the report replaced, the key that is refused, and what the refusal says.
type Refused = (&'static str, &'static str, &'static str, &'static [&'static str]);

#[test]
fn a_report_that_contradicts_itself_is_refused_where_it_stands() {
    let cases: [Refused; 17] = [
        (
            "bottom_oil_rise_k: 32",
            "bottom_oil_rise_k: 51",
            "bottom_oil_rise_k",
            &["51", "up to the top oil, 50 K"],
        ),
        ("bottom_oil_rise_k: 32", "bottom_oil_rise_k: 4", "bottom_oil_rise_k", &["from 5 to 100"]),
        (
            "bottom_oil_rise_k: 32",
            "bottom_oil_rise_k: 35",
            "average_oil_rise_k",
            &["41", "42.5 K, midway"],
        ),
        (
            "average_oil_rise_k: 41\n    bottom_oil_rise_k: 32",
            "average_oil_rise_k: 52",
            "average_oil_rise_k",
            &["bottom oil is at 54 K", "from 5 K up to the top oil, 50 K"],
        ),
        (
            "average_oil_rise_k: 41\n    bottom_oil_rise_k: 32",
            "average_oil_rise_k: 27",
            "average_oil_rise_k",
            &["bottom oil is at 4 K"],
        ),
        (
            "average_winding_rise_k: 60.2",
            "average_winding_rise_k: 42",
            "average_winding_rise_k",
            &["1 K over the average oil", "from 2 to 60"],
        ),
        (
            "hot_spot_rise_k: 74",
            "hot_spot_rise_k: 60",
            "hot_spot_rise_k",
            &["at least the average winding rise, 60.2 K"],
        ),
        (
            "hot_spot_rise_k: 74",
            "hot_spot_rise_k: 66",
            "hot_spot_rise_k",
            &["16 K over the top oil", "from 19.2 to 57.6 K over it"],
        ),
        (
            "top_oil_rise_k: 50\n    average_oil_rise_k: 41\n    bottom_oil_rise_k: 32\n",
            "average_oil_rise_k: 41\n",
            "hot_spot_rise_k",
            &["74 alone", "top_oil_rise_k too"],
        ),
        ("i2r_kw: 108", "i2r_kw: 140", "losses.i2r_kw", &["140", "at most the load loss, 132 kW"]),
        ("stray_kw: 14", "stray_kw: 40", "losses.load_kw", &["parts of 158 kW", "to within 5 %"]),
        (
            "winding_eddy_kw: 10, stray_kw: 14",
            "winding_eddy_kw: 1, stray_kw: 1",
            "losses.load_kw",
            &["parts of 110 kW"],
        ),
        (
            "no_load_kw: 22",
            "no_load_kw: 2.2",
            "losses.load_kw",
            &["60 times the no-load loss", "from 0.5 to 50"],
        ),
        (
            "winding_kg: 6000",
            "winding_kg: 32000",
            "masses.winding_kg",
            &["less than the active part, 32000 kg"],
        ),
        (
            "oil_kg: 18500",
            "oil_kg: 21000",
            "masses.oil_kg",
            &["21000", "18500, as oil.mass_kg in line"],
        ),
        (
            "conductor: copper",
            "conductor: copper\n    winding_time_constant_min: 40",
            "winding_time_constant_min",
            &["kg of copper", "less than the active part, 32000 kg"],
        ),
        ("conductor: copper", "conductor: iron", "conductor", &["iron", "copper, aluminium"]),
    ];
    for (from, to, key, parts) in cases {
        assert!(REPORT.contains(from), "{from}");
        refused(
            &validated("block-refused", &REPORT.replace(from, to), &[]),
            to,
            &format!("thermal.heat_run.{key}"),
            parts,
        );
    }
}

/// Refused at a line and a key, with these words.
fn refused(ran: &Ran, what: &str, key: &str, parts: &[&str]) {
    assert_eq!(ran.code, 2, "{what}");
    assert!(ran.stderr.contains("unit.yaml, line "), "{what}\n{}", ran.stderr);
    assert!(ran.stderr.contains(key), "{what}: {key}\n{}", ran.stderr);
    for part in parts {
        assert!(ran.stderr.contains(part), "{what}: {part}\n{}", ran.stderr);
    }
}

#[test]
fn a_report_that_contradicts_the_keys_beside_it_is_refused() {
    let cases: [(&str, &str, &[&str]); 12] = [
        (
            "top_oil_rise_k: 51",
            "thermal.heat_run.top_oil_rise_k",
            &["50", "51, as thermal.top_oil_rise_k in line 12"],
        ),
        ("average_gradient_k: 21", "thermal.average_gradient_k", &["21", "19.2 K to within 1 K"]),
        ("hot_spot_gradient_k: 18", "thermal.hot_spot_gradient_k", &["18", "from 19.2 to 57.6 K"]),
        (
            "hot_spot_gradient_k: 26",
            "thermal.heat_run.hot_spot_rise_k",
            &["24 K over the top oil", "26 K over it"],
        ),
        ("loss_ratio: 6.4", "thermal.loss_ratio", &["6.4", "6 to within 5 %"]),
        (
            "heat_run_liquid: natural-ester",
            "thermal.heat_run.liquid",
            &["mineral oil", "natural ester"],
        ),
        ("x: 0.8", "thermal.x", &["0.8", "0.9, by two_loads.oil_exponent"]),
        ("n: 0.8", "thermal.n", &["0.9, by two_loads.oil_exponent"]),
        ("y: 1.3", "thermal.y", &["1.6, by two_loads.winding_exponent"]),
        ("m: 0.7", "thermal.m", &["0.8, by two_loads.winding_exponent"]),
        (
            "winding_time_constant_min: 7",
            "thermal.heat_run.winding_time_constant_min",
            &["6", "7, as thermal.winding_time_constant_min"],
        ),
        (
            "average_gradient_k: 19.2\n  hot_spot_factor: 1.4",
            "thermal.heat_run.hot_spot_rise_k",
            &["26.88 K over it"],
        ),
    ];
    let more = "    winding_time_constant_min: 6\n    two_loads: { oil_exponent: 0.9, winding_exponent: 1.6 }\n";
    for (key, place, parts) in cases {
        let keys = format!("  {key}\n{REPORT}{more}");
        refused(&validated("block-beside", &keys, &[]), key, place, parts);
    }
    let plate = ("cooling: ONAF }", "cooling: ONAF, average_winding_rise_k: 55 }");
    let ran = validated("block-plate", REPORT, &[plate]);
    refused(
        &ran,
        "guarantee",
        "thermal.heat_run.guaranteed_winding_rise_k",
        &["55, as rated.average_winding_rise_k"],
    );
    // By the gradient alone the bottom oil is where no oil is.
    let keys = "  top_oil_rise_k: 50\n  average_gradient_k: 19\n  heat_run: { average_winding_rise_k: 70 }\n";
    let ran = validated("block-bottom", keys, &[]);
    refused(
        &ran,
        "bottom",
        "thermal.heat_run.average_winding_rise_k",
        &["less a gradient of 19 K", "bottom oil is at 52 K"],
    );
}

#[test]
fn blocks_of_stages_and_of_the_unit_are_held_together() {
    let stage = |block: &str| format!("constants: onan, heat_run: {{ {block} }} }}");
    let cases: [(&str, &str, &[&str]); 8] = [
        ("losses: { load_kw: 132 }", "losses.load_kw", &["without losses.base_mva"]),
        (
            "losses: { load_kw: 132, base_mva: 24 }",
            "losses.load_kw",
            &["366.667 kW at the rating of the unit", "132 kW to within 5 %"],
        ),
        ("losses: { no_load_kw: 26 }", "losses.no_load_kw", &["22 kW to within 5 %"]),
        ("conductor: aluminium", "conductor", &["aluminium", "the same conductor"]),
        (
            "masses: { tank_kg: 9000 }",
            "masses.tank_kg",
            &["9000", "11000, as thermal.heat_run.masses.tank_kg in line"],
        ),
        ("liquid: synthetic-ester", "liquid", &["synthetic ester", "mineral oil"]),
        ("top_oil_rise_k: 48, bottom_oil_rise_k: 49", "bottom_oil_rise_k", &["49", "48 K"]),
        ("date: 1901-02-03", "thermal.heat_run", &[]),
    ];
    for (block, key, parts) in cases {
        if key == "thermal.heat_run" {
            let ran = validated("block-early", REPORT, &[(ONAN, &stage(block))]);
            refused(
                &ran,
                block,
                "cooling_stages.heat_run",
                &["1901-02-03, before the unit was made"],
            );
            continue;
        }
        let ran = validated("block-stages", REPORT, &[(ONAN, &stage(block))]);
        refused(&ran, block, &format!("cooling_stages.heat_run.{key}"), parts);
    }
    let rated =
        ("constants: onaf, start", "constants: onaf, heat_run: { date: 1988-01-02 }, start");
    refused(
        &validated("block-two-dates", REPORT, &[rated]),
        "dates",
        "cooling_stages.heat_run.date",
        &["1988-01-02", "1987-05-12"],
    );
    let rated =
        ("constants: onaf, start", "constants: onaf, heat_run: { top_oil_rise_k: 49 }, start");
    refused(
        &validated("block-two-rises", REPORT, &[rated]),
        "rises",
        "cooling_stages.heat_run.top_oil_rise_k",
        &["50, as thermal.heat_run.top_oil_rise_k"],
    );
}

#[test]
fn what_is_neither_a_date_nor_a_block_is_refused_and_so_is_an_unknown_key() {
    for (value, key, parts) in [
        ("12/05/87", "thermal.heat_run", &["12/05/87", "YYYY-MM-DD, or a block"][..]),
        ("1987", "thermal.heat_run", &["1987", "YYYY-MM-DD"]),
        ("true", "thermal.heat_run", &["true", "YYYY-MM-DD"]),
        ("[1987-05-12]", "thermal.heat_run", &["a date as YYYY-MM-DD"]),
        ("{ date: 12/05/87 }", "thermal.heat_run.date", &["12/05/87", "YYYY-MM-DD"]),
        ("{ top_oil: 50 }", "thermal.heat_run.top_oil", &["unknown key top_oil", "top_oil_rise_k"]),
        ("{ losses: { load_kw: 1 MW } }", "thermal.heat_run.losses.load_kw", &["1 MW", "(kW)"]),
        ("{ masses: { tank_kg: .nan } }", "thermal.heat_run.masses.tank_kg", &["from 5 to"]),
    ] {
        let keys = format!("  heat_run: {value}\n");
        refused(&validated("block-odd", &keys, &[]), value, key, parts);
    }
    let dated = (ONAN, "constants: onan, heat_run: 1987-05-12 }");
    refused(
        &validated("block-stage-date", KEYS, &[dated]),
        "date",
        "cooling_stages.heat_run",
        &["1987-05-12"],
    );
}

#[test]
fn a_cold_load_loss_counts_with_the_resistance_at_75_degrees() {
    // 100 kW of I²R at 20 °C are 121.6 kW at 75 °C, 12 kW of the rest 9.9 kW: six times 21.9 kW.
    let cold = "    losses: { no_load_kw: 21.913, load_kw: 112, i2r_kw: 100, at_c: 20 }\n";
    let keys = format!(
        "{}{cold}",
        KEYS.replace("heat_run: 1987-05-12", "heat_run:\n    date: 1987-05-12")
    );
    assert_eq!(validated("block-cold", &keys, &[]).code, 0);
    let slip = keys.replace("loss_ratio: 6", "loss_ratio: 5.1");
    refused(
        &validated("block-cold", &slip, &[]),
        "cold",
        "thermal.loss_ratio",
        &["5.1", "6 to within 5 %"],
    );
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
