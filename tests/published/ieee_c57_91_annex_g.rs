//! The worked example of Annex G of IEEE C57.91.

use super::printed::{assert_within, rows};
use bubblemargin::thermal::Nameplate;
use bubblemargin::thermal::cooling::{Control, Cooling};
use bubblemargin::thermal::detailed::{
    Conductor, Course, Detail, Flow, Heat, HeatCapacity, Losses, Rated, through,
};
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use bubblemargin::thermal::trajectory::Plan;
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Row {
    hour: f64,
    hot_spot_c: f64,
    top_oil_c: f64,
}

#[derive(Debug, Deserialize)]
struct Knot {
    hour: f64,
    load_pu: f64,
    ambient_c: f64,
}

const HOUR_MIN: f64 = 60.0;
const DAY_MIN: f64 = 24.0 * HOUR_MIN;

/// Days until the first one is forgotten: the printed day repeats itself.
const DAYS: u32 = 5;

/// Step of the printed scheme, min.
const PRINTED_MIN: f64 = 0.5;

const NAMEPLATE: Nameplate =
    Nameplate { top_oil_rise_k: 55.0, hot_spot_gradient_k: 25.0, loss_ratio: 0.0 };

/// Losses are stated at 28 MVA, 1 pu is 52.267 MVA. 4910 US gal of oil (231 in³ each) at 0.031621 lb/in³.
fn detail() -> Detail {
    let square = (52_267.0_f64 / 28_000.0).powi(2);
    Detail {
        rated_ambient_c: 30.0,
        guaranteed_winding_rise_k: 65.0,
        winding_rise_k: 63.0,
        bottom_oil_rise_k: 25.0,
        losses: Losses {
            at_c: 75.0,
            winding: 51_690.0 * square,
            winding_eddy: 0.0,
            stray: 21_078.0 * square,
            core: 36_986.0,
        },
        conductor: Conductor::Copper,
        hot_spot_eddy_pu: 0.0,
        hot_spot_height_pu: 1.0,
        winding_time_constant_min: 5.0,
        heat_capacity: HeatCapacity::Masses {
            active_kg: 75_600.0 * 0.453_592_37,
            tank_kg: 31_400.0 * 0.453_592_37,
            oil_kg: 4910.0 * 231.0 * 0.031_621 * 0.453_592_37,
        },
        flow: Flow::ONAF,
    }
}

fn knots() -> Vec<Knot> {
    rows(include_str!("ieee_c57_91_annex_g/day.csv"))
}

fn line(minute: f64, of: fn(&Knot) -> f64) -> f64 {
    let (knots, hour) = (knots(), minute.rem_euclid(DAY_MIN) / HOUR_MIN);
    let pair = knots.windows(2).find(|pair| hour <= pair[1].hour).unwrap();
    let share = (hour - pair[0].hour) / (pair[1].hour - pair[0].hour);
    of(&pair[0]) + share * (of(&pair[1]) - of(&pair[0]))
}

/// The load as steps of half a minute, each at its mean; the ambient as it is.
fn days() -> (LoadSteps, AmbientLine) {
    let count = DAYS * 2880;
    let load = (0..count).map(|step| {
        let minute = f64::from(step) * PRINTED_MIN;
        (minute, line(minute + 0.5 * PRINTED_MIN, |knot| knot.load_pu))
    });
    let ambient = (0..DAYS).flat_map(|day| {
        let knots = knots().into_iter().take(11);
        knots.map(move |knot| (f64::from(day) * DAY_MIN + knot.hour * HOUR_MIN, knot.ambient_c))
    });
    let last = (f64::from(DAYS) * DAY_MIN, line(0.0, |knot| knot.ambient_c));
    let ambient = AmbientLine::new(ambient.chain([last]).collect()).unwrap();
    (LoadSteps::new(load.collect()).unwrap(), ambient)
}

fn course() -> Course {
    let rated = Rated::of(&NAMEPLATE, &detail(), 1.0);
    let (load, ambient) = days();
    let until_min = f64::from(DAYS) * DAY_MIN;
    let minutes = breakpoints(0.0, until_min, &load, &ambient, &[]);
    let cooling = Cooling { stages: Vec::new(), control: Control::Fixed(0), lost_at_min: None };
    let plan = Plan { cooling: &cooling, load: &load, ambient: &ambient, breakpoints: &minutes };
    through(&[rated], &plan, (rated.steady_at(0.73, 30.0), 0), 0.0, 1.0)
}

/// The state of the scheme as printed, °C.
#[derive(Clone, Copy)]
struct Printed {
    winding: f64,
    hot_spot: f64,
    oil: f64,
    top: f64,
    bottom: f64,
    duct: f64,
    beside: f64,
}

fn viscosity(c: f64) -> f64 {
    (2797.3 / (c + 273.0)).exp()
}

/// The scheme as printed, written again for this unit; gives (minute, hot spot, top oil) of the last day.
fn as_printed() -> Vec<(f64, f64, f64)> {
    let (zero, square) = (234.5, (52_267.0_f64 / 28_000.0).powi(2));
    let hotter = (zero + 95.0) / (zero + 75.0);
    let (i2r, stray, core) = (51_690.0 * square * hotter, 21_078.0 * square / hotter, 36_986.0);
    let total = i2r + stray + core;
    let hot_i2r = i2r * (110.0 + zero) / (95.0 + zero);
    // Average winding 93, hot spot 110, top oil 85, bottom oil 55, average oil and duct 70 °C.
    let winding_heat = 5.0 * i2r / 23.0;
    let pounds = 31_400.0 + 75_600.0 - winding_heat / 2.91;
    let heat = 3.51 * pounds + 13.92 * 4910.0 * 231.0 * 0.031_621;
    let mut now = Printed {
        winding: 93.0,
        hot_spot: 110.0,
        oil: 70.0,
        top: 85.0,
        bottom: 55.0,
        duct: 70.0,
        beside: 85.0,
    };
    let steps = 2880 * DAYS;
    let mut seen = Vec::new();
    for step in 0..steps {
        let minute = f64::from(step) * PRINTED_MIN;
        if step >= steps - 2880 {
            seen.push((minute.rem_euclid(DAY_MIN), now.hot_spot, now.top));
        }
        let load = line(minute, |knot| knot.load_pu).powi(2);
        let ambient = line(minute, |knot| knot.ambient_c);
        let warm = (now.winding + zero) / (95.0 + zero);
        let lost = if now.winding < now.duct {
            0.0
        } else {
            let film = viscosity(81.5) / viscosity(0.5 * (now.winding + now.duct));
            ((now.winding - now.duct) / 23.0).powf(1.25) * film.powf(0.25) * i2r
        };
        let winding = now.winding + PRINTED_MIN * (load * i2r * warm - lost) / winding_heat;
        let rise = 30.0 * (lost / i2r).sqrt();
        now.duct = now.bottom + 0.5 * rise;
        now.beside = if now.bottom + rise + 0.1 < now.top { now.top } else { now.bottom + rise };
        now.hot_spot = now.hot_spot.max(winding).max(now.beside);
        let warm_hot = (now.hot_spot + zero) / (110.0 + zero);
        let film = viscosity(97.5) / viscosity(0.5 * (now.hot_spot + now.beside));
        let lost_hot = ((now.hot_spot - now.beside) / 25.0).powf(1.25) * film.powf(0.25) * hot_i2r;
        now.hot_spot += PRINTED_MIN * (load * hot_i2r * warm_hot - lost_hot) / winding_heat;
        let out = total * ((now.oil - ambient).max(0.0) / 40.0).powf(1.0 / 0.9);
        now.oil += PRINTED_MIN * (lost + core + load * stray / warm - out) / heat;
        let half = 15.0 * (out / total).sqrt();
        (now.top, now.bottom, now.winding) =
            (now.oil + half, (now.oil - half).max(ambient), winding);
    }
    seen
}

#[test]
fn the_scheme_as_printed_gives_the_printed_temperatures() {
    let found = as_printed();
    for row in rows::<Row>(include_str!("ieee_c57_91_annex_g/temperatures.csv")) {
        let at_min = (row.hour * HOUR_MIN).rem_euclid(DAY_MIN);
        let (_, hot_c, oil_c) = found.iter().find(|row| (row.0 - at_min).abs() < 0.1).unwrap();
        assert_within(0.10, *hot_c, row.hot_spot_c, &format!("hot spot at {} h", row.hour));
        assert_within(0.10, *oil_c, row.top_oil_c, &format!("top oil at {} h", row.hour));
    }
}

#[test]
fn the_model_gives_the_printed_temperatures_and_ageing() {
    let course = course();
    let begin = f64::from(DAYS - 1) * DAY_MIN;
    for row in rows::<Row>(include_str!("ieee_c57_91_annex_g/temperatures.csv")) {
        let at_min = begin + row.hour * HOUR_MIN;
        let found = course.samples.iter().find(|sample| sample.minute >= at_min - 1.0e-6).unwrap();
        assert_within(0.10, found.hot_spot_c, row.hot_spot_c, &format!("hot spot, {} h", row.hour));
        assert_within(0.10, found.top_oil_c, row.top_oil_c, &format!("top oil, {} h", row.hour));
    }
    let day = course.samples.iter().filter(|sample| sample.minute >= begin);
    let rates: Vec<f64> = day
        .map(|sample| (15_000.0 / 383.0 - 15_000.0 / (sample.hot_spot_c + 273.0)).exp())
        .collect();
    let count = f64::from(u32::try_from(rates.len()).unwrap());
    let equivalent = rates.iter().sum::<f64>() / count;
    assert_within(0.005 * 1.509_297, equivalent, 1.509_297, "equivalent ageing");
}

#[test]
fn the_rated_load_returns_the_rated_temperatures() {
    let rated = Rated::of(&NAMEPLATE, &detail(), 1.0);
    let Heat { winding_c, hot_spot_c, oil_c } = rated.steady_at(1.0, 30.0);
    // The example guarantees 65 K and measured 63 K: the losses are those at the guaranteed temperature, so that the
    // winding makes a little less.
    assert_within(0.5, winding_c, 93.0, "average winding");
    assert_within(0.5, hot_spot_c, 110.0, "hot spot");
    assert_within(0.5, oil_c, 70.0, "average oil");
    let same = Detail { guaranteed_winding_rise_k: 63.0, ..detail() };
    let rated = Rated::of(&NAMEPLATE, &same, 1.0);
    let heat = rated.steady_at(1.0, 30.0);
    // Rounding of the iteration.
    assert_within(1.0e-6, heat.winding_c, 93.0, "average winding");
    assert_within(1.0e-6, heat.hot_spot_c, 110.0, "hot spot");
    assert_within(1.0e-6, heat.oil_c, 70.0, "average oil");
    assert_within(1.0e-6, rated.top_oil_c(&heat, 30.0), 85.0, "top oil");
}
