//! The hot-spot gradient: H × gr as one figure or as two, and whether the one figure is rather gr.

use crate::run::{T1, altered, check, json, run, scratch};
use serde_json::Value;

const ASKED: [&str; 9] =
    ["--load", "1.1", "--for", "2h", "--preload", "0.6", "--ambient", "20", "--format=json"];

/// Replaces the gradient of the dry unit, 24 K.
fn with_gradient(test: &str, keys: &str) -> String {
    altered(&scratch(test), "hot_spot_gradient_k: 24 #", &format!("{keys} #"))
}

fn answer(test: &str, keys: &str) -> Value {
    let ran = check(&with_gradient(test, keys), &ASKED);
    assert!([0, 3].contains(&ran.code), "{keys}: {}", ran.stderr);
    json(&ran)
}

fn number(answer: &Value, place: &str) -> f64 {
    answer.pointer(place).unwrap().as_f64().unwrap()
}

/// The finding of a code, if it arose.
fn finding<'a>(answer: &'a Value, code: &str) -> Option<&'a Value> {
    answer["findings"].as_array().unwrap().iter().find(|finding| finding["code"] == code)
}

#[test]
fn the_average_gradient_times_the_factor_is_the_hot_spot_gradient() {
    let test = "gradient-product";
    let margin = |keys: &str| number(&answer(test, keys), "/bubbling/margin_low_k");
    let product_k = margin("hot_spot_gradient_k: 24");
    // 19.2 × 1.25 is 24 to the last digit.
    for keys in [
        "average_gradient_k: 19.2\n  hot_spot_factor: 1.25",
        "average_gradient_k: 19.2\n  hot_spot_factor: 1.25\n  hot_spot_gradient_k: 24",
    ] {
        assert!((margin(keys) - product_k).abs() < 1.0e-9, "{keys}");
    }
    // Of two that agree within their rounding the hotter one counts.
    let hotter_k =
        margin("average_gradient_k: 19.2\n  hot_spot_factor: 1.25\n  hot_spot_gradient_k: 23.6");
    assert!((hotter_k - product_k).abs() < 1.0e-9);
}

#[test]
fn figures_that_contradict_or_belong_to_nothing_are_refused_where_they_stand() {
    for (keys, key, accepted) in [
        (
            "hot_spot_gradient_k: 20\n  average_gradient_k: 20\n  hot_spot_factor: 1.3",
            "thermal.hot_spot_gradient_k",
            "26 K (hot_spot_factor × average_gradient_k)",
        ),
        (
            "hot_spot_gradient_k: 24\n  average_gradient_k: 20",
            "thermal.average_gradient_k",
            "hot_spot_factor beside it",
        ),
        ("hot_spot_factor: 1.3", "thermal.hot_spot_factor", "average_gradient_k beside it"),
        (
            "hot_spot_gradient_k: 24\n  hot_spot_factor: 1.3",
            "thermal.hot_spot_factor",
            "average_gradient_k beside it",
        ),
        (
            "average_gradient_k: 60\n  hot_spot_factor: 1.5",
            "thermal.average_gradient_k",
            "a product of",
        ),
        (
            "average_gradient_k: 20\n  hot_spot_factor: 0.9",
            "thermal.hot_spot_factor",
            "from 1 to 3",
        ),
        ("average_gradient_k: .nan", "thermal.average_gradient_k", "from 2 to 60"),
    ] {
        let ran = run(&["validate", &with_gradient("gradient-refused", keys)]);
        assert_eq!(ran.code, 2, "{keys}");
        assert!(
            ran.stderr.contains(key) && ran.stderr.contains("line 1"),
            "{keys}\n{}",
            ran.stderr
        );
        assert!(ran.stderr.contains(accepted), "{keys}\n{}", ran.stderr);
    }
}

#[test]
fn without_a_factor_a_typical_one_counts_and_is_reported_as_typical() {
    let test = "gradient-typical";
    let own = answer(test, "average_gradient_k: 20\n  hot_spot_factor: 1.3");
    let typical = answer(test, "average_gradient_k: 20");
    let code = "thermal-typical-values";
    assert_eq!(finding(&own, code).unwrap()["severity"], "pass");
    let found = finding(&typical, code).unwrap();
    assert_eq!(found["severity"], "caution");
    assert!(found["text"].as_str().unwrap().contains("typical hot_spot_factor"), "{found}");
    // The temperatures are those of 1.3, a medium unit's; the spread is that of a typical gradient, 15 % and not 10 %.
    let hot = "/peak/hot_spot_c";
    assert!((number(&own, hot) - number(&typical, hot)).abs() < 1.0e-9);
    let std = |answer: &Value| {
        let inputs = answer["spread"]["inputs"].as_array().unwrap();
        let own = inputs.iter().find(|input| input["quantity"] == "hot-spot-gradient");
        own.unwrap()["p05"].to_string()
    };
    assert_ne!(std(&own), std(&typical));
    let low = "/bubbling/margin_low_k";
    assert!(number(&typical, low) < number(&own, low) - 0.1);
}

#[test]
fn a_stage_takes_the_factor_of_the_unit_for_its_own_average_gradient() {
    let folder = scratch("gradient-stage");
    let stage = "top_oil_rise_k: 48, hot_spot_gradient_k: 17 }";
    let hot_spot_c = |own: &str, factor: &str| {
        let unit = altered(&folder, stage, &format!("top_oil_rise_k: 48, {own} }}"));
        let whole = std::fs::read_to_string(&unit).unwrap();
        let unit = crate::run::written(
            &folder,
            "stage.yaml",
            whole.replace("  loss_ratio: 6", &format!("  loss_ratio: 6{factor}")),
        );
        let cooling = [&ASKED[..], &["--cooling", "ONAN"]].concat();
        let ran = check(&unit, &cooling);
        assert!([0, 3].contains(&ran.code), "{own}: {}", ran.stderr);
        let answer = json(&ran);
        [0, 1, 2].map(|model| number(&answer, &format!("/peak/by_model/{model}/hot_spot_c")))
    };
    let product = hot_spot_c("hot_spot_gradient_k: 18", "");
    let both = hot_spot_c("average_gradient_k: 12, hot_spot_factor: 1.5", "");
    let shared = hot_spot_c("average_gradient_k: 12", "\n  hot_spot_factor: 1.5");
    for model in [0, 1, 2] {
        assert!((both[model] - shared[model]).abs() < 1.0e-9, "{both:?} {shared:?}");
    }
    // The lag forms know the product alone; the detailed model knows the average winding too.
    for model in [0, 1] {
        assert!((both[model] - product[model]).abs() < 1.0e-9, "{both:?} {product:?}");
    }
    assert!((both[2] - product[2]).abs() > 0.1, "{both:?} {product:?}");
}

#[test]
fn a_gradient_as_low_as_an_average_one_gets_a_caution_that_asks() {
    let test = "gradient-low";
    let code = "thermal-gradient-low";
    for (keys, severity) in [
        ("hot_spot_gradient_k: 26", "pass"),
        ("hot_spot_gradient_k: 20.5", "pass"),
        ("hot_spot_gradient_k: 20", "caution"),
        ("hot_spot_gradient_k: 16", "caution"),
        ("hot_spot_gradient_k: 5", "caution"),
        // Whoever states both has answered the question, unless the product is hardly possible.
        ("average_gradient_k: 16\n  hot_spot_factor: 1.25", "notice"),
        ("average_gradient_k: 6\n  hot_spot_factor: 1.25", "caution"),
    ] {
        let answer = answer(test, keys);
        let found = finding(&answer, code).unwrap();
        assert_eq!(found["severity"], severity, "{keys}: {found}");
        if keys.ends_with("_k: 16") {
            let text = found["text"].as_str().unwrap();
            assert!(text.contains("ONAF") && text.contains("gr of the heat-run report"), "{text}");
            assert_eq!(answer["verdict"], "go-with-cautions");
        }
    }
    // What is typical needs no question, and the demonstration units have none.
    let typical = answer(test, "k21: 2.0");
    assert!(finding(&typical, code).is_none_or(|found| found["severity"] == "pass"));
    assert_eq!(json(&check(T1, &ASKED))["verdict"], "go");
}
