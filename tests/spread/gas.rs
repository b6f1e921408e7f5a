//! Gas in oil: its spread ends at no edge, an old figure gives way by degrees, and less known is never better.

use crate::scene::{Scene, Stds};
use bubblemargin::assessment::{Assessment, assess};
use bubblemargin::bubbling::gas_age::Standing;
use bubblemargin::unit::spread::{Spread, Uncertain};
use chrono::{Days, NaiveDate};

/// Gas alone is uncertain, so that what is compared is its own effect; 512 draws.
fn with_gas(gas: f64, std: f64) -> Scene {
    Scene { gas, load_pu: 1.0, ..Scene::exact() }.with_stds(Stds::NONE.with("gas_percent", std))
}

fn low_k(answer: &Assessment) -> Option<f64> {
    answer.bubbling.margin_low_k
}

/// Steepest of the gas term here: e^(0.473·2.5)·1.585·10.5^0.585/30 = 0.68 K per %, and 1.3 times that at
/// the gas of the 5 % point, 13 %.
const STEEPEST_K_PER_PERCENT: f64 = 0.9;

#[test]
fn the_margin_falls_without_a_step_up_to_the_end_of_the_range_in_gas() {
    let mut before: Option<f64> = None;
    let mut undecided = 0;
    for step in 0..=60 {
        let gas = 8.0 + 0.05 * f64::from(step);
        let answer = with_gas(gas, 1.5).assessed();
        if gas > 10.5 + 1.0e-9 {
            undecided += 1;
            assert!(low_k(&answer).is_none() && !answer.verdict.permits(), "{gas}");
            continue;
        }
        let now = low_k(&answer).unwrap();
        if let Some(before) = before {
            let fell = before - now;
            assert!((0.0..=0.05 * STEEPEST_K_PER_PERCENT).contains(&fell), "{gas}: {fell} K");
        }
        before = Some(now);
    }
    assert_eq!(undecided, 10);
}

#[test]
fn gas_that_is_less_certain_never_leaves_more_margin() {
    // From 9 % on the correlation with gas is the lower one in every case.
    for gas in [9.0, 10.0, 10.4, 10.5] {
        let margins: Vec<f64> = [0.0, 0.1, 0.5, 1.0, 1.5, 2.0]
            .map(|std| low_k(&with_gas(gas, std).assessed()).unwrap())
            .to_vec();
        for pair in margins.windows(2) {
            // At least 0.1 % more, at half a kelvin per %.
            assert!(pair[1] < pair[0] - 0.02, "{gas}: {margins:?}");
        }
    }
}

/// What somebody states as an interval is no measuring error: beyond the range nothing can be said of it.
#[test]
fn an_interval_that_reaches_beyond_the_range_is_not_carried_on() {
    let mut case = with_gas(10.0, 0.0).case();
    let interval =
        |most| Some(Uncertain { spread: Spread::Interval { least: 9.0, most }, stated: true });
    case.unit.spread.gas_percent = interval(10.5);
    assert!(low_k(&assess(&case)).is_some());
    case.unit.spread.gas_percent = interval(14.0);
    let answer = assess(&case);
    assert!(low_k(&answer).is_none() && !answer.verdict.permits());
}

fn day(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).unwrap()
}

/// The usual uncertain question with this much gas, sampled on a day and asked about on 2026-10-20.
fn sampled(gas: f64, taken: Option<NaiveDate>) -> Assessment {
    let mut case = Scene { gas, load_pu: 1.1, ..Scene::usual() }.case();
    case.as_of = Some(day(2026, 10, 20));
    case.unit.gas.as_mut().unwrap().sampled = taken;
    assess(&case)
}

/// In half a year 8 % of gas, at most 1 K each: 0.05 K a day, and the 5 % point of 512 draws moves evenly.
const A_DAY_K: f64 = 0.06;

/// No quantile of the gas falls with age; what is taken back for the median moves by less than this, by the detailed model too.
const TAKEN_BACK_K: f64 = 0.01;

#[test]
fn a_day_older_changes_little_and_never_for_the_better() {
    let mut before = low_k(&sampled(2.0, Some(day(2026, 10, 20)))).unwrap();
    let (fresh, mut falling) = (before, 0);
    for days in (340..=580).step_by(8) {
        let taken = day(2026, 10, 20) - Days::new(days);
        let now = low_k(&sampled(2.0, Some(taken))).unwrap();
        let fell = before - now;
        assert!((-TAKEN_BACK_K..=8.0 * A_DAY_K).contains(&fell), "{days} days: {fell} K");
        falling += u32::from(fell > 0.01);
        before = now;
    }
    // Little gas hardly counts: the correlation without it is the lower one.
    assert!((10..=25).contains(&falling), "{falling} of the 23 steps in the half year");
    assert!(fresh - before > 1.5, "{fresh} K fresh, {before} K old");
}

#[test]
fn an_undated_or_future_or_old_low_figure_is_worth_what_an_assumed_one_is() {
    let lowest = low_k(&sampled(2.0, Some(day(1990, 1, 1)))).unwrap();
    for taken in [None, Some(day(2030, 1, 1))] {
        assert!((low_k(&sampled(2.0, taken)).unwrap() - lowest).abs() < 1.0e-9, "{taken:?}");
    }
    let mut case = Scene { gas: 2.0, load_pu: 1.1, ..Scene::usual() }.case();
    let gas = case.unit.gas.as_mut().unwrap();
    (gas.total, gas.assumed) = (gas.saturated, Some("test".to_owned()));
    case.unit.spread.gas_percent = case.unit.spread.gas_percent_saturated;
    assert!((low_k(&assess(&case)).unwrap() - lowest).abs() < 1.0e-9);
}

#[test]
fn without_a_day_of_the_question_the_age_is_not_judged() {
    let mut case = Scene { gas: 2.0, load_pu: 1.1, ..Scene::usual() }.case();
    case.as_of = None;
    case.unit.gas.as_mut().unwrap().sampled = None;
    let gas = assess(&case).bubbling.gas.unwrap();
    assert_eq!((gas.percent, gas.fell_back, gas.standing), (2.0, false, Standing::NotJudged));
}

/// Its spread upwards stays too: 9.9 % that may be 11 is not 10 % at most because it is old.
#[test]
fn an_old_figure_never_leaves_more_margin_than_the_same_figure_fresh() {
    let mut lower = 0;
    for gas in [0.5, 4.0, 8.0, 9.5, 9.9, 10.0, 10.4] {
        let fresh = sampled(gas, Some(day(2026, 9, 3)));
        let old = sampled(gas, Some(day(1990, 1, 1)));
        let (fresh_k, old_k) = (low_k(&fresh).unwrap(), low_k(&old).unwrap());
        assert!(old_k <= fresh_k + TAKEN_BACK_K, "{gas}: {fresh_k} K fresh, {old_k} K old");
        lower += u32::from(old_k < fresh_k - 0.05);
    }
    assert!(lower >= 3, "{lower} of 7 differ");
}
