//! Forecast errors over time, by where they come from, with and without a known voltage.

use super::*;
use approx::assert_relative_eq;

#[test]
fn an_error_that_ends_is_one_all_the_same() {
    let rows = |std: f64| LoadSteps::new(vec![(0.0, std), (60.0, 0.0)]).unwrap();
    assert!(ForecastError::in_steps(rows(2.0)).unwrap().is_some());
    assert!(!ForecastError::in_steps(rows(0.0)).unwrap().is_some());
    assert!(ForecastError::growing(0.0, 2.0, Origin::Usual).unwrap().is_some());
    assert!(!ForecastError::constant(0.0, Origin::Flag).unwrap().is_some());
}

#[test]
fn an_error_grows_as_the_root_of_time_for_a_day() {
    let error = ForecastError::growing(1.0, 5.0, Origin::Usual).unwrap();
    // A quarter of a day is half of the way: its root is one half, exactly.
    for (minute, std) in
        [(-60.0, 1.0), (0.0, 1.0), (360.0, 3.0), (1440.0, 5.0), (1.0e6, 5.0), (f64::NAN, 1.0)]
    {
        assert_relative_eq!(error.std_at(minute), std);
    }
}

#[test]
fn rows_of_a_load_are_held_and_those_of_an_ambient_joined() {
    let rows = vec![(-60.0, 0.0), (60.0, 2.0), (120.0, 6.0)];
    let load = ForecastError::in_steps(LoadSteps::new(rows.clone()).unwrap()).unwrap();
    let ambient = ForecastError::in_lines(AmbientLine::new(rows).unwrap()).unwrap();
    for (minute, step, line) in
        [(-100.0, 0.0, 1.0), (0.0, 0.0, 1.0), (60.0, 2.0, 2.0), (90.0, 2.0, 4.0), (500.0, 6.0, 6.0)]
    {
        assert_relative_eq!(load.std_at(minute), step);
        assert_relative_eq!(ambient.std_at(minute), line);
    }
}

#[test]
fn a_row_is_held_in_its_own_minutes_and_a_growing_error_at_the_end_of_its_span() {
    let rows = LoadSteps::new(vec![(0.0, 1.0), (15.0, 20.0)]).unwrap();
    let stated = ForecastError::in_steps(rows).unwrap();
    for (minute, std) in [(-500.0, 1.0), (0.0, 1.0), (14.9, 1.0), (15.0, 20.0), (900.0, 20.0)] {
        assert_relative_eq!(stated.held_from(minute), std);
    }
    assert!(stated.row_minutes().eq([0.0, 15.0]));
    assert_relative_eq!(stated.held_after(15.0).held_from(900.0), 1.0);
    let growing = ForecastError::growing(1.0, 5.0, Origin::Usual).unwrap();
    assert_relative_eq!(growing.held_from(-0.1), 1.0);
    assert_relative_eq!(growing.held_from(0.0), growing.std_at(16.0));
    assert_relative_eq!(growing.held_from(100.0), growing.std_at(128.0));
    assert!(growing.row_minutes().next().is_none());
}

#[test]
fn the_flag_counts_before_the_column_and_the_column_before_the_profile() {
    let profile = ForecastError::constant(3.0, Origin::Profile).unwrap();
    let column = || ForecastError::in_steps(LoadSteps::new(vec![(0.0, 2.0)]).unwrap());
    let counts = |stated: Option<f64>, rows: Option<ForecastError>| {
        profile.unless_stated(("--load-std", stated), ("load_std_percent", rows))
    };
    for (found, std, origin) in [
        (counts(Some(1.0), None), 1.0, Origin::Flag),
        (counts(None, column()), 2.0, Origin::Column),
        (counts(None, None), 3.0, Origin::Profile),
    ] {
        let found = found.unwrap();
        assert_relative_eq!(found.std_at(10.0), std);
        assert_eq!(found.origin(), origin);
    }
    let both = counts(Some(1.0), column()).unwrap_err();
    assert!(both.to_string().contains("load_std_percent"), "{both}");
}

#[test]
fn an_unknown_voltage_adds_in_quadrature_and_a_stated_one_nothing() {
    let own = ForecastError::growing(1.0, 5.0, Origin::Usual).unwrap();
    let unknown = own.clone().at_unknown_voltage();
    // √(1 + 3) and √(25 + 3).
    assert_relative_eq!(unknown.std_at(0.0), 2.0, max_relative = 1.0e-12);
    assert_relative_eq!(unknown.std_at(1440.0), 28.0_f64.sqrt(), max_relative = 1.0e-12);
    assert_relative_eq!(unknown.own_std_at(1440.0), 5.0);
    assert_relative_eq!(unknown.far_ahead(0.0, 9.0).std_at(0.0), 28.0_f64.sqrt());
    let rows = ForecastError::in_steps(LoadSteps::new(vec![(0.0, 1.0)]).unwrap());
    let rows = unknown.unless_stated(("--load-std", None), ("load_std_percent", rows));
    assert_relative_eq!(rows.unwrap().held_after(5.0).held_from(2.0), 2.0);
    let none = ForecastError::constant(0.0, Origin::Flag).unwrap().at_unknown_voltage();
    assert!(none.is_some() && !none.clone().at_stated_voltage().is_some());
    assert_eq!(unknown.at_stated_voltage(), own);
}

#[test]
fn what_is_no_standard_uncertainty_is_no_forecast_error() {
    for std in [-0.1, f64::NAN, f64::INFINITY] {
        assert!(ForecastError::constant(std, Origin::Flag).is_none());
        assert!(ForecastError::growing(0.0, std, Origin::Profile).is_none());
    }
    assert!(ForecastError::growing(3.0, 1.0, Origin::Profile).is_none(), "it would shrink");
    let rows = LoadSteps::new(vec![(0.0, 1.0), (60.0, -1.0)]).unwrap();
    assert!(ForecastError::in_steps(rows).is_none());
}
