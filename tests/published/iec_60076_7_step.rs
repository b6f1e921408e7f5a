//! The load steps of the 250 MVA unit of the annex of IEC 60076-7.

use super::printed::{Printed, assert_within, rows};
use bubblemargin::thermal::cooling::{Control, Cooling, Stage};
use bubblemargin::thermal::detailed::{
    Conductor, Detail, Figures, Flow, Heat, HeatCapacity, Losses, Rated, through,
};
use bubblemargin::thermal::iec::{Iec, IecConstants};
use bubblemargin::thermal::ieee::IeeeConstants;
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use bubblemargin::thermal::trajectory::{Plan, Sample, simulate};
use bubblemargin::thermal::{Nameplate, State};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Row {
    minute: f64,
    top_oil_c: Printed,
    hot_spot_c: Printed,
}

const AMBIENT_C: f64 = 25.6;
const START_C: f64 = AMBIENT_C + 12.7;
const TOP_OIL_RISE_K: f64 = 38.3;
const GRADIENT_K: f64 = 14.5;
const HOT_SPOT_FACTOR: f64 = 1.4;
const LOSS_RATIO: f64 = 1000.0;
const LOADS: [(f64, f64); 6] =
    [(0.0, 1.0), (190.0, 0.6), (365.0, 1.5), (500.0, 0.3), (705.0, 2.1), (730.0, 0.0)];
const END_MIN: f64 = 745.0;

fn nameplate() -> Nameplate {
    Nameplate {
        top_oil_rise_k: TOP_OIL_RISE_K,
        hot_spot_gradient_k: HOT_SPOT_FACTOR * GRADIENT_K,
        loss_ratio: LOSS_RATIO,
    }
}

fn table() -> Vec<Row> {
    rows(include_str!("iec_60076_7_step/temperatures.csv"))
}

fn stage() -> Stage {
    Stage {
        name: "ONAF".to_owned(),
        rating_pu: 1.0,
        gradient_typical: false,
        nameplate: nameplate(),
        iec: IecConstants {
            x: 0.8,
            y: 1.3,
            k11: 0.5,
            k21: 2.0,
            k22: 2.0,
            oil_time_constant_min: 150.0,
            winding_time_constant_min: 7.0,
        },
        // Not used by the example.
        ieee: IeeeConstants {
            n: f64::NAN,
            below_rating: 1.0,
            m: f64::NAN,
            oil_time_constant_min: f64::NAN,
            winding_time_constant_min: f64::NAN,
            correct_time_constant: false,
        },
        detailed: Figures::typical(Flow::ONAF),
        switching: None,
    }
}

/// The samples that `run` gives over the steps, at the printed minutes.
fn samples(run: impl Fn(&Plan<'_>) -> Vec<Sample>) -> Vec<Sample> {
    let (load, ambient) =
        (LoadSteps::new(LOADS.to_vec()).unwrap(), AmbientLine::constant(AMBIENT_C));
    let minutes = breakpoints(0.0, END_MIN, &load, &ambient, &[]);
    let cooling = Cooling { stages: vec![stage()], control: Control::Fixed(0), lost_at_min: None };
    let plan = Plan { cooling: &cooling, load: &load, ambient: &ambient, breakpoints: &minutes };
    run(&plan).split_off(1)
}

#[test]
fn the_iec_model_gives_the_listed_temperatures_but_for_minute_500() {
    let begin = State { top_oil_c: START_C, gradient_1_k: 0.0, gradient_2_k: 0.0 };
    let found = samples(|plan| simulate(&Iec::default(), plan, begin, 0).samples);
    for (row, found) in table().iter().zip(found) {
        assert_within(0.0, found.minute, row.minute, "the minute");
        let (oil_c, hot_c) = (row.top_oil_c.number(), row.hot_spot_c.number());
        let oil = format!("top oil at {} min", row.minute);
        let hot = format!("hot spot at {} min", row.minute);
        if (row.minute - 500.0).abs() < 0.5 {
            // 0.6 and 1.1 K above what is listed, as an independent recomputation found too. The list allows itself 1.1 K.
            assert_within(0.1, found.top_oil_c - oil_c, 0.6, &oil);
            assert_within(0.1, found.hot_spot_c - hot_c, 1.1, &hot);
        } else {
            // As near as the independent recomputation: half a printed digit, and as much for what was rounded before.
            assert_within(0.1, found.top_oil_c, oil_c, &oil);
            assert_within(0.1, found.hot_spot_c, hot_c, &hot);
        }
    }
}

/// What is not listed is typical (no source for this unit): bottom oil at 0.55 of the top's rise, a winding the listed
/// gradient above the average oil, of the load losses 85 % I²R and the rest half eddy and half stray, 1.5 times the
/// eddies at the hot spot, and the winding's time constant of the IEC model.
fn detail(oil_min: f64) -> Detail {
    let bottom_oil_rise_k = 0.55 * TOP_OIL_RISE_K;
    let load_loss = 100.0;
    Detail {
        rated_ambient_c: 20.0,
        guaranteed_winding_rise_k: 65.0,
        winding_rise_k: f64::midpoint(TOP_OIL_RISE_K, bottom_oil_rise_k) + GRADIENT_K,
        bottom_oil_rise_k,
        losses: Losses {
            at_c: 75.0,
            winding: 0.85 * load_loss,
            winding_eddy: 0.075 * load_loss,
            stray: 0.075 * load_loss,
            core: load_loss / LOSS_RATIO,
        },
        conductor: Conductor::Copper,
        hot_spot_eddy_pu: 1.5 * 0.075 / 0.85,
        hot_spot_height_pu: 1.0,
        winding_time_constant_min: 7.0,
        heat_capacity: HeatCapacity::TimeConstant { oil_min },
        flow: Flow::ONAF,
    }
}

/// How far the detailed model's hot spot lies above the listed one, K: the least and the most at each minute.
///
/// Found figures with about a kelvin on either side: they say how far two models disagree, not which is right. The list
/// is what the IEC model makes of these steps, whose top oil follows k11·τo = 75 min though the average oil has 150 min.
fn assert_above(oil_min: f64, above_k: [(f64, f64); 6]) {
    let rated = Rated::of(&nameplate(), &detail(oil_min), 1.0);
    let oil_c = rated.oil_under(START_C, AMBIENT_C);
    let begin = Heat { winding_c: START_C, hot_spot_c: START_C, oil_c };
    let found = samples(|plan| through(&[rated], plan, (begin, 0), 0.0, 1.0).samples);
    for ((row, found), (least_k, most_k)) in table().iter().zip(found).zip(above_k) {
        let above_k = found.hot_spot_c - row.hot_spot_c.number();
        let as_known = above_k > least_k && above_k < most_k;
        assert!(as_known, "{oil_min} min, minute {}: {above_k} K above", row.minute);
    }
}

/// With oil as fast as the IEC model's top oil the two are close up to 1.5 pu. At 2.1 pu for 25 min the detailed model is
/// hotter by the resistance of the hot winding, and it stays hotter after an overload: oil that has got hot by itself cools
/// down more slowly where less is taken off than in proportion.
#[test]
fn the_detailed_model_with_oil_as_fast_is_hotter_after_overloads() {
    let above_k = [(-4.5, -2.0), (-1.0, 1.0), (0.5, 3.0), (4.0, 6.5), (1.5, 4.0), (5.5, 8.0)];
    assert_above(75.0, above_k);
}

/// With the time constant of the average oil itself it has not got as far after two or three hours, and is hotter long
/// after an overload. The hot spot of the short overload is hotter all the same, above a top oil that is 6 K cooler.
#[test]
fn the_detailed_model_with_the_average_oil_is_slower_and_hotter_in_the_short_overload() {
    let above_k = [(-8.0, -5.0), (1.0, 3.5), (-8.5, -6.0), (12.0, 14.5), (0.2, 2.5), (0.5, 3.0)];
    assert_above(150.0, above_k);
}
