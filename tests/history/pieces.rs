//! A history gone through in pieces is the history gone through at once; worse is never better.

use super::run::T2;
use bubblemargin::ageing::rate::AgeingRate;
use bubblemargin::ageing::scission::{AgeingSet, scissions};
use bubblemargin::assessment::long_history::{
    HistoryAnswer, HistoryQuestion, LongHistory, Moment, SAMPLE_MIN,
};
use bubblemargin::loading::long_history::HistoryRow;
use bubblemargin::quantities::{Celsius, MoisturePercent};
use bubblemargin::thermal::Model;
use bubblemargin::thermal::cooling::{Control, Cooling};
use bubblemargin::thermal::detailed::Detailed;
use bubblemargin::thermal::iec::Iec;
use bubblemargin::thermal::ieee::Ieee;
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use bubblemargin::thermal::start::settled;
use bubblemargin::thermal::trajectory::{Plan, Run, Sample};
use bubblemargin::unit::Unit;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

fn unit() -> Unit {
    let text = std::fs::read_to_string(T2).unwrap();
    let text = text.replace("series: fellmoor-t2-probe.csv", "rs_percent: 20, oil_c: 50");
    read_unit(T2, &text, &Catalogue::embedded()).unwrap()
}

fn question(unit: Unit, stage: Option<usize>, chunk: usize) -> HistoryQuestion {
    let as_of = chrono::NaiveDate::from_ymd_opt(2026, 10, 20);
    HistoryQuestion {
        unit,
        local: None,
        as_of,
        ambient_c: None,
        stage,
        chunk,
        sample_min: SAMPLE_MIN,
        life_and_parts: true,
    }
}

fn gone_through(question: &HistoryQuestion, rows: &[HistoryRow]) -> (Vec<Moment>, HistoryAnswer) {
    let mut history = LongHistory::new(question);
    let mut moments = Vec::new();
    for row in rows {
        history.push(*row);
        moments.extend(history.take());
    }
    history.finish();
    moments.extend(history.take());
    (moments, history.answer(String::new()))
}

/// Five days in steps from a half to fifteen minutes, with hours of one load and fans that come and go.
fn rows() -> Vec<HistoryRow> {
    let mut rows = Vec::new();
    let mut minute = -200.0;
    while minute < 7000.0 {
        let slow = (minute * std::f64::consts::TAU / 1440.0).sin();
        let steady = (minute / 300.0).floor() % 3.0 < 1.0;
        let load_pu = if steady { 0.8 } else { 0.7 + 0.3 * slow + 0.02 * (minute * 0.3).sin() };
        rows.push(HistoryRow { minute, load_pu, ambient_c: Some(20.0 + 8.0 * slow) });
        minute += [0.5, 1.0, 1.0, 2.5, 15.0][rows.len() % 5];
    }
    rows
}

/// The same with one run over everything, sampled at the same minutes.
fn in_one_run<M: Model>(model: M, cooling: &Cooling, rows: &[HistoryRow], minutes: &[f64]) -> Run {
    let load = LoadSteps::new(rows.iter().map(|row| (row.minute, row.load_pu)).collect()).unwrap();
    let knots = rows.iter().map(|row| (row.minute, row.ambient_c.unwrap())).collect();
    let ambient = AmbientLine::new(knots).unwrap();
    let (first, last) = (minutes[0], minutes[minutes.len() - 1]);
    let breakpoints = breakpoints(first, last, &load, &ambient, minutes);
    let plan = Plan { cooling, load: &load, ambient: &ambient, breakpoints: &breakpoints };
    let start = settled(&model, cooling, rows[0].load_pu, ambient.at(first));
    model.run(&plan, start.hottest, start.steady.stage)
}

/// Rounding of a few thousand sums of doubles around 100.
const SAME: f64 = 1.0e-9;

#[test]
fn pieces_of_any_size_are_the_whole() {
    let rows = rows();
    for corrected in [false, true] {
        let mut unit = unit();
        for data in &mut unit.thermal.as_mut().unwrap().stages {
            data.stage.ieee.correct_time_constant = corrected;
        }
        let stages = unit.thermal.as_ref().unwrap().stages.iter().map(|data| data.stage.clone());
        let cooling =
            Cooling { stages: stages.collect(), control: Control::Automatic, lost_at_min: None };
        let (moments, whole) = gone_through(&question(unit.clone(), None, usize::MAX), &rows);
        let minutes: Vec<f64> = moments.iter().map(|moment| moment.minute).collect();
        let iec = in_one_run(Iec::default(), &cooling, &rows, &minutes);
        let at_once = in_one_run(Ieee::default(), &cooling, &rows, &minutes);
        let lagged = in_one_run(Ieee::LAGGED, &cooling, &rows, &minutes);
        let detailed = in_one_run(Detailed::default(), &cooling, &rows, &minutes);
        assert!(iec.stages_used.iter().all(|used| *used), "the fans come and go");
        assert_eq!(iec.samples.len(), moments.len());
        // The detailed model's steps follow the pieces: each way is off by no more than 0.05 K.
        let near = |lags_c: f64, detailed_c: f64, moment_c: f64| {
            let within_k = if lags_c > detailed_c + 0.1 { SAME } else { 0.02 };
            assert!((lags_c.max(detailed_c) - moment_c).abs() < within_k);
        };
        let hottest_lag = |at: usize, of: fn(&Sample) -> f64| {
            let all = [&iec, &at_once, &lagged].map(|run| of(&run.samples[at]));
            all.into_iter().fold(f64::MIN, f64::max)
        };
        for (at, (detailed, moment)) in detailed.samples.iter().zip(&moments).enumerate() {
            let hot_c = hottest_lag(at, |sample| sample.hot_spot_c);
            let oil_c = hottest_lag(at, |sample| sample.top_oil_c);
            near(hot_c, detailed.hot_spot_c, moment.hot_spot_c);
            near(oil_c, detailed.top_oil_c, moment.top_oil_c);
        }
        let all = [&iec, &at_once, &lagged, &detailed].map(|run| run.hot_spot.value_c);
        let hottest = all.into_iter().fold(f64::MIN, f64::max);
        assert!((whole.hot_spot.as_ref().unwrap().value - hottest).abs() < 0.02);
        ageing_is_the_direct_sum(&moments, &whole);
        for chunk in [1, 7, 100, 1000] {
            let (own, answer) = gone_through(&question(unit.clone(), None, chunk), &rows);
            assert_eq!(own.len(), moments.len());
            for (one, other) in own.iter().zip(&moments) {
                assert!((one.minute - other.minute).abs() < SAME);
                assert!((one.hot_spot_c - other.hot_spot_c).abs() < 0.02, "chunks of {chunk}");
                assert!((one.top_oil_c - other.top_oil_c).abs() < 0.02, "chunks of {chunk}");
            }
            let (one, other) = (serde_json::to_value(answer), serde_json::to_value(&whole));
            same(&one.unwrap(), &other.unwrap(), &format!("chunks of {chunk}"));
        }
    }
}

/// Two answers, number by number.
fn same(one: &serde_json::Value, other: &serde_json::Value, place: &str) {
    use serde_json::Value::{Array, Number, Object};
    match (one, other) {
        (Number(one), Number(other)) => {
            let (one, other) = (one.as_f64().unwrap(), other.as_f64().unwrap());
            // A hundredth of a kelvin, and of what is made of it: hours of life double within 6 K.
            assert!(
                (one - other).abs() <= 0.01 * other.abs().max(1.0),
                "{place}: {one} and {other}"
            );
        }
        (Array(one), Array(other)) => {
            assert_eq!(one.len(), other.len(), "{place}");
            one.iter().zip(other).for_each(|(one, other)| same(one, other, place));
        }
        (Object(one), Object(other)) => {
            assert!(one.keys().eq(other.keys()), "{place}");
            for (key, one) in one {
                same(one, &other[key], &format!("{place}, {key}"));
            }
        }
        _ => assert_eq!(one, other, "{place}"),
    }
}

fn ageing_is_the_direct_sum(moments: &[Moment], answer: &HistoryAnswer) {
    let course: Vec<(f64, Celsius)> = moments
        .iter()
        .map(|moment| (moment.minute, Celsius::new(moment.hot_spot_c).unwrap()))
        .collect();
    let paper = answer.paper.as_ref().unwrap();
    let direct = AgeingRate::Kraft.hours_used(&course);
    assert!((paper.hours / direct - 1.0).abs() < SAME);
    let water = MoisturePercent::new(answer.bubbling.counting_moisture_percent.unwrap()).unwrap();
    assert_eq!(paper.with_water.len(), AgeingSet::ALL.len());
    for cost in &paper.with_water {
        let direct = scissions(cost.set, AgeingRate::Kraft, water, &course).unwrap();
        assert!((cost.hours / direct.reference_hours - 1.0).abs() < SAME, "{:?}", cost.set);
        assert_eq!(cost.at_least, direct.floor);
    }
}

fn smallest_margin_k(rows: &[HistoryRow], stage: usize) -> f64 {
    gone_through(&question(unit(), Some(stage), 64), rows).1.bubbling.margin_k.unwrap()
}

prop_compose! {
    fn any_history()(rows in proptest::collection::vec((1.0..120.0_f64, 0.2..1.5_f64, -20.0..40.0_f64), 2..40)) -> Vec<HistoryRow> {
        let mut minute = 0.0;
        let mut row = |(step_min, load_pu, ambient_c)| {
            minute += step_min;
            HistoryRow { minute, load_pu, ambient_c: Some(ambient_c) }
        };
        rows.into_iter().map(&mut row).collect()
    }
}

// One stage throughout: with stages that start by themselves a hotter moment may start the fans.
proptest! {
    #![proptest_config(ProptestConfig { cases: 60, rng_seed: RngSeed::Fixed(1), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_hotter_ambient_never_raises_the_smallest_margin(rows in any_history(), more in 0.0..15.0_f64, stage in 0usize..2) {
        let hotter: Vec<HistoryRow> =
            rows.iter().map(|row| HistoryRow { ambient_c: row.ambient_c.map(|c| c + more), ..*row }).collect();
        prop_assert!(smallest_margin_k(&hotter, stage) <= smallest_margin_k(&rows, stage) + SAME);
    }

    #[test]
    fn more_load_never_raises_the_smallest_margin(rows in any_history(), more in 1.0..1.5_f64, stage in 0usize..2) {
        let heavier: Vec<HistoryRow> =
            rows.iter().map(|row| HistoryRow { load_pu: row.load_pu * more, ..*row }).collect();
        prop_assert!(smallest_margin_k(&heavier, stage) <= smallest_margin_k(&rows, stage) + SAME);
    }
}
