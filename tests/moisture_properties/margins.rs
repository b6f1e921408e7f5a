//! The same for the margin that decides, on whole questions near the thresholds.

use crate::unit::{asked, read};
use bubblemargin::assessment::brief::Brief;
use bubblemargin::assessment::case::Case;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed, TestRunner};
use std::cell::Cell;

/// Same draws on both sides; other water puts other draws about the 5 % point.
const SAME_DRAWS_K: f64 = 0.1;

/// What counts as near a threshold, K, and the thresholds.
const NEAR_K: f64 = 5.0;
const THRESHOLDS_K: [f64; 2] = [10.0, 20.0];

fn margin_k(case: &Case) -> f64 {
    Brief::of(case, false).bubbling.margin_low_k.unwrap_or(f64::NEG_INFINITY)
}

/// The deciding margin of a unit with this evidence under a load, K.
fn deciding_k(evidence: &[String], load_pu: f64, more: &str) -> f64 {
    let unit = read(&format!("paper_condition: {{ dp: 900, date: 2026-10-01 }}\n{more}"), evidence);
    margin_k(&asked(unit.unwrap(), load_pu, 1024))
}

/// Runs a property on so many cases and demands that a tenth of them lay near a threshold.
fn near_thresholds<S: Strategy>(
    cases: u32,
    strategy: &S,
    property: impl Fn(S::Value) -> Result<f64, TestCaseError>,
) {
    let config = Config {
        cases,
        rng_seed: RngSeed::Fixed(1),
        failure_persistence: None,
        ..Config::default()
    };
    let (near, all) = (Cell::new(0_u32), Cell::new(0_u32));
    let ran = TestRunner::new(config).run(strategy, |value| {
        let margin_k = property(value)?;
        all.set(all.get() + 1);
        let close = THRESHOLDS_K.iter().any(|threshold| (margin_k - threshold).abs() <= NEAR_K);
        near.set(near.get() + u32::from(close));
        Ok(())
    });
    ran.unwrap();
    assert!(near.get() * 10 >= all.get() && all.get() >= cases, "{} of {}", near.get(), all.get());
}

/// A wetter dielectric response, what its uncertainty is and grows to, a paper sample, and a load.
fn pair() -> impl Strategy<Value = (f64, f64, f64, f64, f64, f64)> {
    (1.4..3.4_f64, 1.0..5.0_f64, 0.3..1.0_f64, 0.25..0.6_f64, 1.0..1.3_f64, 1.0..3.0_f64)
}

fn response(percent: f64, std: f64) -> String {
    format!("method: dielectric-response, percent: {percent}, std: {std}, date: 2026-10-01")
}

fn sample(percent: f64, std: f64) -> String {
    format!(
        "method: paper-sample, percent: {percent}, std: {std}, date: 2026-10-02, exposure_min: 3"
    )
}

#[test]
fn less_certain_is_never_more_comfortable() {
    for choice in ["lower", "either"] {
        let more = format!("uncertainty: {{ correlation_k: {{ std: 4, choice: {choice} }} }}");
        near_thresholds(150, &pair(), |(percent, wider, share, std, load_pu, other)| {
            let good = 0.3_f64.hypot(0.1 * percent);
            let drier = sample(share * percent, std);
            let with = |times: f64| {
                deciding_k(&[response(percent, good * times), drier.clone()], load_pu, &more)
            };
            let (before, after) = (with(other), with(other * wider));
            prop_assert!(after <= before + SAME_DRAWS_K, "{before} K became {after} K");
            Ok(before)
        });
    }
}

#[test]
fn a_measurement_above_the_assessed_moisture_is_never_more_comfortable() {
    let wetter = (pair(), 0.0..1.5_f64);
    near_thresholds(150, &wetter, |((percent, _, share, std, load_pu, times), above)| {
        let evidence = [response(percent, 0.4), sample(share * percent, std)];
        let counts = crate::unit::assessed_percent(&evidence);
        let before = deciding_k(&evidence, load_pu, "");
        let third = response(counts + above, 0.4 * times).replace("2026-10-01", "2026-10-03");
        let after = deciding_k(&[&evidence[..], &[third]].concat(), load_pu, "");
        prop_assert!(after <= before + SAME_DRAWS_K, "{before} K became {after} K");
        Ok(before)
    });
}

/// 2.3 % alone was a no-go at 7.8 K; with a contradicting sample of 1.2 % beside it a go at 12.1 K.
#[test]
fn a_drier_measurement_that_is_contradicted_never_helps() {
    near_thresholds(150, &pair(), |(percent, _, _, std, load_pu, _)| {
        let wetter = response(percent, 0.3);
        let drier = sample((percent - 2.2 * 0.5_f64.hypot(std)).max(0.1), std);
        let alone = deciding_k(std::slice::from_ref(&wetter), load_pu, "");
        let both = deciding_k(&[wetter, drier], load_pu, "");
        prop_assert!(both <= alone + SAME_DRAWS_K, "{alone} K became {both} K");
        Ok(alone)
    });
}

/// A reading on either side of a criterion's edge, and as it goes on beyond.
#[derive(Debug, Clone, Copy)]
struct Edge {
    what: &'static str,
    /// A further line of the profile.
    more: &'static str,
    witness: fn(f64) -> String,
    at: f64,
    /// The side on which it no longer fulfils what is asked, with a step of a hundredth of how far it is looked at.
    step: f64,
}

const EDGES: [Edge; 8] = [
    Edge {
        what: "cold oil",
        more: "",
        witness: |c| format!("ppm: 30, oil_c: {c}, steady_h: 12, date: 2026-10-01"),
        at: 50.0,
        step: -0.2,
    },
    Edge {
        what: "cold oil that reads drier",
        more: "",
        witness: |c| format!("ppm: 16, oil_c: {c}, steady_h: 12, date: 2026-10-01"),
        at: 50.0,
        step: -0.2,
    },
    Edge {
        what: "a dry sample",
        more: "",
        witness: |ppm| format!("ppm: {ppm}, oil_c: 62, steady_h: 12, date: 2026-10-01"),
        at: 15.0,
        step: -0.08,
    },
    Edge {
        what: "a load that had changed",
        more: "",
        witness: |h| format!("ppm: 25, oil_c: 60, steady_h: {h}, date: 2026-10-01"),
        at: 8.0,
        step: -0.08,
    },
    Edge {
        what: "a dry probe",
        more: "",
        witness: |rs| format!("rs_percent: {rs}, oil_c: 62, steady_h: 12, date: 2026-10-01"),
        at: 3.0,
        step: -0.02,
    },
    Edge {
        what: "a wet probe",
        more: "",
        witness: |rs| format!("rs_percent: {rs}, oil_c: 55, steady_h: 12, date: 2026-10-01"),
        at: 30.0,
        step: 0.4,
    },
    Edge {
        what: "a wet sample",
        more: "",
        witness: |ppm| {
            format!(
                "ppm: {ppm}, std_ppm: 2, std_oil_k: 0.5, oil_c: 55, steady_h: 12, date: 2026-10-01"
            )
        },
        at: 61.8,
        step: 0.6,
    },
    Edge {
        what: "a cold wet probe",
        more: "",
        witness: |c| format!("rs_percent: 23, oil_c: {c}, steady_h: 12, date: 2026-10-01"),
        at: 50.0,
        step: -0.2,
    },
];

/// The largest that a hundredth of the way may move the margin, K: on the way the standard uncertainty doubles
/// and the weight where it narrows goes from all to nothing, which is worth 20 K between them at most.
const MOVES_K: f64 = 1.0;

/// Dielectric response 1.2 % with oil at 40 ppm: go at 49 °C, no-go at 50 °C.
#[test]
fn no_edge_of_a_criterion_is_a_cliff() {
    for Edge { what, more, witness, at: edge, step } in EDGES {
        let at = |value: f64| deciding_k(&[response(1.6, 0.3), witness(value)], 1.1, more);
        let (inside, outside) = (at(edge - 1.0e-7 * step), at(edge + 1.0e-7 * step));
        assert!((inside - outside).abs() < AT_THE_EDGE_K, "{what}: {inside} K and {outside} K");
        let mut before = outside;
        for hundredth in 1..60 {
            let next = at(edge + step * f64::from(hundredth));
            assert!(
                (next - before).abs() < MOVES_K,
                "{what} at {hundredth}: {before} K became {next} K"
            );
            before = next;
        }
        assert!(before.is_finite(), "{what}: a poor measurement alone leaves nothing undecided");
    }
}

/// So much at most moves over a ten-millionth of the way: the figure hardly does. What is left is other draws about the 5 % point.
const AT_THE_EDGE_K: f64 = 0.02;

#[test]
fn across_an_edge_the_deciding_margin_moves_no_more_than_the_figure_does() {
    let questions = (0..EDGES.len(), 0.8..2.4_f64, 0.2..0.6_f64, 0.85..1.25_f64);
    near_thresholds(200, &questions, |(which, percent, std, load_pu)| {
        let Edge { what, more, witness, at, step } = EDGES[which];
        let margin_k =
            |value: f64| deciding_k(&[response(percent, std), witness(value)], load_pu, more);
        let (inside, outside) = (margin_k(at - 1.0e-7 * step), margin_k(at + 1.0e-7 * step));
        let undecided = inside.is_infinite() && outside.is_infinite();
        prop_assert!(
            undecided || (inside - outside).abs() < AT_THE_EDGE_K,
            "{what}: {inside} K became {outside} K"
        );
        Ok(inside)
    });
}

/// The age of a measurement, day by day from inside its limit to years beyond.
#[test]
fn a_measurement_that_grows_old_is_no_cliff() {
    for percent in [1.0, 1.9, 3.0] {
        let on = |date: &str| {
            let old = format!(
                "method: paper-sample, percent: {percent}, std: 0.3, date: {date}, exposure_min: 3"
            );
            deciding_k(&[response(1.6, 0.3), old], 1.1, "")
        };
        let days =
            ["2024-10-22", "2024-10-21", "2024-10-20", "2024-10-19", "2024-10-18", "2024-10-17"];
        for pair in days.windows(2) {
            let (before, after) = (on(pair[0]), on(pair[1]));
            assert!(
                (before - after).abs() < 0.15,
                "{percent} % {}: {before} and {after} K",
                pair[1]
            );
        }
        assert!(on("1995-01-01") <= on("2026-09-01") + 15.0);
    }
}

/// The wet demo unit at its own largest load had 10.1 K; with only the measurement that its answer said to believe 2.0 K.
#[test]
fn four_measurements_decide_as_the_wettest_alone_where_a_dry_one_contradicts_it() {
    let wettest = response(3.3, 0.4);
    let all = [
        wettest.clone(),
        "rs_percent: 11, oil_c: 58, steady_h: 12, date: 2026-10-02".to_owned(),
        "ppm: 24, oil_c: 58, date: 2026-09-03".to_owned(),
        sample(1.6, 0.3),
    ];
    let (both, alone) = (deciding_k(&all, 1.05, ""), deciding_k(&[wettest], 1.05, ""));
    assert!((both - alone).abs() < SAME_DRAWS_K, "{both} K and {alone} K");
    // Set aside by name and reason, the contradiction is gone and what agrees narrows.
    let mut aside = all.clone();
    aside[3] =
        format!("{}, set_aside: {{ by: A. Engineer, why: from the top of the winding }}", all[3]);
    assert!(deciding_k(&aside, 1.05, "") > alone + 1.0);
}

/// A probe at 95 % of saturation was a go at 49.9 °C and could not be decided at 50.0 °C; the same at 20 °C.
#[test]
fn oil_near_saturation_is_never_left_out_of_account() {
    for (rs_percent, oil_c, steady_h) in
        [(95.0, 50.0, 12.0), (95.0, 49.9, 12.0), (99.9, 20.0, 12.0), (95.0, 55.0, 7.9)]
    {
        let probe = format!(
            "rs_percent: {rs_percent}, oil_c: {oil_c}, steady_h: {steady_h}, date: 2026-10-01"
        );
        let unit =
            read("paper_condition: { dp: 900, date: 2026-10-01 }", &[response(1.0, 0.2), probe]);
        let found = Brief::of(&asked(unit.unwrap(), 0.9, 256), false);
        assert!(!found.verdict.permits(), "{rs_percent} % at {oil_c} °C: {:?}", found.verdict);
        let open = found.findings.iter().any(|own| own.code == "moisture-beyond-isotherm");
        assert!(open, "{rs_percent} % at {oil_c} °C");
    }
}
