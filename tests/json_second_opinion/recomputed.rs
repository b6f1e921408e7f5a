//! The demonstration case computed again from the standards, without the program's formulas.

use crate::equations::{Equations, State};
use crate::solution::{Front, Model};
use bubblemargin::assessment::case::{Case, StartFrom};
use bubblemargin::thermal::cooling::{Control, Cooling, Sensor};

/// Steps of the search for a peak, min: far finer than the hot spot bends.
const PEAK_STEP_MIN: f64 = 0.25;

/// Two stages, of which the stronger one starts by itself.
pub(crate) fn cooling(case: &Case) -> Cooling {
    let stages = &case.unit.thermal.as_ref().unwrap().stages;
    let stages: Vec<_> = stages.iter().map(|data| data.stage.clone()).collect();
    assert_eq!(stages.len(), 2, "the demonstration unit has two stages");
    assert!(stages[1].switching.is_some(), "its fans start by themselves");
    Cooling { stages, control: Control::Automatic, lost_at_min: case.request.cooling_lost_at_min }
}

/// Part by part the hotter of two states; the third part is subtracted.
fn hotter(one: &Front, other: &Front) -> State {
    let (one, other) = (one.state, other.state);
    [one[0].max(other[0]), one[1].max(other[1]), one[2].min(other[2])].into()
}

/// The ends of what the fans' controls allow after a long time at a load: a state at least as hot
/// as with fans, and without them at the temperature that starts them; and the coolest, which is
/// where they stop if they cycle.
fn settled(model: &Model<'_>, minute: f64, load_pu: f64) -> (Front, Front) {
    let ambient_c = model.ambient_c(minute);
    let without = model.steady(0, load_pu, ambient_c);
    let front = model.begin(minute, without, 0);
    if front.stage == 0 {
        return (front, model.begin(minute, without, 0));
    }
    let switching = model.cooling.stages[1].switching.unwrap();
    let sensed_c = match switching.sensor {
        Sensor::TopOil => model.top_oil_c(&front),
        Sensor::Winding => model.hot_spot_c(&front),
    };
    let at = |sensor_c: f64| {
        let mut state = without;
        state[0] += sensor_c - sensed_c;
        model.begin(minute, state, 0)
    };
    let about_to_start = at(switching.start_c);
    let mut with = model.begin(minute, model.steady(1, load_pu, ambient_c), 1);
    if with.stage != 1 {
        return (about_to_start, at(switching.stop_c));
    }
    let coolest = model.begin(minute, with.state, 1);
    with.state = hotter(&about_to_start, &with);
    (with, coolest)
}

/// Without fans, which are just about to start, after a long time at a load.
fn waiting(model: &Model<'_>, minute: f64, load_pu: f64) -> Front {
    let mut state = model.steady(0, load_pu, model.ambient_c(minute));
    let front = model.begin(minute, state, 0);
    assert!(front.stage == 1, "its fans start by the oil, at the rated load surely");
    state[0] +=
        model.cooling.stages[1].switching.unwrap().start_c - 1.0e-3 - model.top_oil_c(&front);
    model.begin(minute, state, 0)
}

/// The state at minute 0: part by part the hotter of histories that began in the hottest state of the rated load, or of
/// their own highest, without fans at the same load, and in the coolest after none.
pub(crate) fn after_history(case: &Case, cooling: &Cooling, equations: Equations) -> Front {
    let StartFrom::History(history) = &case.request.start else {
        unreachable!("the demonstration case has a history")
    };
    // The history's own ambient to its last row, then the forecast's to minute 0.
    let forecast = case.request.ambient.knots();
    let ambient: Vec<(f64, f64)> = match &history.ambient {
        None => forecast.to_vec(),
        Some(own) => {
            let last_min = own.knots().last().unwrap().0;
            let later = forecast.iter().filter(|knot| knot.0 > last_min && knot.0 <= 0.0);
            own.knots().iter().chain(later).copied().collect()
        }
    };
    assert!(forecast.iter().any(|knot| knot.0 == 0.0), "the demo's forecast has a row at minute 0");
    let load = history.load.steps();
    let cooling = Cooling { lost_at_min: None, ..cooling.clone() };
    let model = Model { equations, added_rise_k: 0.0, cooling: &cooling, load, ambient: &ambient };
    let highest_pu = load.iter().map(|step| step.1).fold(1.0, f64::max);
    let (mut hot, _) = settled(&model, load[0].0, highest_pu);
    let (_, mut cool) = settled(&model, load[0].0, 0.0);
    let mut waiting = waiting(&model, load[0].0, highest_pu);
    for front in [&mut hot, &mut cool, &mut waiting] {
        model.advance(front, 0.0);
    }
    let stage = hot.stage.min(cool.stage).min(waiting.stage);
    hot.state = hotter(&hot, &cool);
    hot.state = hotter(&hot, &waiting);
    if waiting.stage > cool.stage {
        // From some beginning between the two the fans start just now.
        let start_c = model.cooling.stages[1].switching.unwrap().start_c;
        cool.state[0] += (start_c - model.top_oil_c(&cool)).max(0.0);
        hot.state = hotter(&hot, &cool);
    }
    let mut front = model.begin(0.0, hot.state, stage);
    front.changes += hot.changes;
    front
}

/// Calls `see` with the minute, top oil and hot spot of one form at ascending minutes.
pub(crate) fn solve(
    case: &Case,
    equations: Equations,
    load: &[(f64, f64)],
    minutes: impl IntoIterator<Item = f64>,
    mut see: impl FnMut(f64, f64, f64),
) {
    let cooling = cooling(case);
    let start = after_history(case, &cooling, equations);
    let ambient = case.request.ambient.knots();
    let model = Model { equations, added_rise_k: 0.0, cooling: &cooling, load, ambient };
    let mut front = model.begin(0.0, start.state, start.stage);
    for minute in minutes {
        model.advance(&mut front, minute);
        see(minute, model.top_oil_c(&front), model.hot_spot_c(&front));
    }
}

/// Highest top oil and hot spot of one form until an hour after the overload, °C.
fn peaks_by_c(case: &Case, equations: Equations, load: &[(f64, f64)]) -> (f64, f64) {
    let (mut top_oil_c, mut hot_spot_c) = (f64::MIN, f64::MIN);
    let until_min = case.request.loading.end_min + 60.0;
    let steps = std::iter::successors(Some(0.0), |minute| Some(minute + PEAK_STEP_MIN));
    let minutes = steps.take_while(|minute| *minute <= until_min);
    solve(case, equations, load, minutes, |_, oil_c, hot_c| {
        top_oil_c = top_oil_c.max(oil_c);
        hot_spot_c = hot_spot_c.max(hot_c);
    });
    (top_oil_c, hot_spot_c)
}

/// Clause 7 with the ambient at once or through the oil: by which the load that is asked gets hotter.
pub(crate) fn hotter_clause_7(case: &Case) -> Equations {
    let load = case.request.loading.load.steps();
    let [at_once, lagged] = [Equations::Ieee, Equations::IeeeLagged]
        .map(|equations| (peaks_by_c(case, equations, load).1, equations));
    if lagged.0 > at_once.0 { lagged.1 } else { at_once.1 }
}

/// Highest top oil and hot spot of the hottest form until an hour after the overload, °C.
pub(crate) fn peaks_c(case: &Case, load: &[(f64, f64)]) -> (f64, f64) {
    let all = [Equations::Iec, Equations::Ieee, Equations::IeeeLagged]
        .map(|equations| peaks_by_c(case, equations, load));
    all.into_iter().fold((f64::MIN, f64::MIN), |most, one| (most.0.max(one.0), most.1.max(one.1)))
}

/// Pressure at the hot spot, Pa: 101325·(1 − 2.25577e-5·h)^5.25588, and 880 kg/m³ of oil at
/// 20 °C less 7.5e-4 per kelvin, taken at 115 °C.
pub(crate) fn pressure_pa(case: &Case) -> f64 {
    let around = &case.unit.surroundings;
    let (altitude_m, head_m) = (around.altitude.unwrap().value(), around.head.unwrap().value());
    let atmosphere = 101_325.0 * (1.0 - 2.255_77e-5 * altitude_m).powf(5.255_88);
    atmosphere + 880.0 * (1.0 - 7.5e-4 * 95.0) * 9.806_65 * head_m
}

/// The lower of Oommen–Lindgren with gas and Fessler's isotherm, °C, for water as new paper would hold it.
pub(crate) fn inception_c(case: &Case, moisture_percent: f64) -> f64 {
    let w = moisture_percent;
    let vg = case.unit.gas.as_ref().unwrap().total.value();
    let pressure_pa = pressure_pa(case);
    let mmhg = pressure_pa / 133.322_387_415;
    let without_gas = 6996.7 / (22.454 + 1.4495 * w.ln() - mmhg.ln()) - 273.0;
    let oommen_lindgren = without_gas - (0.473 * w).exp() * vg.powf(1.585) / 30.0;
    let atm = pressure_pa / 101_325.0;
    let fessler = 4725.6 / (w / 100.0 / (2.173e-7 * atm.powf(0.6685))).ln() - 273.15;
    oommen_lindgren.min(fessler)
}
