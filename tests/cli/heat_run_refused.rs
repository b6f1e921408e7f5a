//! A heat-run block that contradicts itself, the keys beside it or another block is refused where it stands.

use crate::heat_run_block::{KEYS, ONAN, REPORT, unit};
use crate::run::{Ran, run};

fn validated(test: &str, keys: &str, pieces: &[(&str, &str)]) -> Ran {
    run(&["validate", &unit(test, keys, pieces)])
}

/// Text of the report replaced, the key that is refused, and what the refusal says.
type Refused = (&'static str, &'static str, &'static str, &'static [&'static str]);

#[test]
fn a_report_that_contradicts_itself_is_refused_where_it_stands() {
    let cases: [Refused; 18] = [
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
            "    top_oil_rise_k: 50\n    average_oil_rise_k: 41\n    bottom_oil_rise_k: 32\n",
            "",
            "hot_spot_rise_k",
            &["74 alone", "top_oil_rise_k too"],
        ),
        (
            "    top_oil_rise_k: 50\n    average_oil_rise_k: 41\n",
            "",
            "bottom_oil_rise_k",
            &["32 alone", "top_oil_rise_k too"],
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
