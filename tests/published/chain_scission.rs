//! Lives by chain scission: 3 values of IEC 60076-7, 4 facts of common practice (no source).

use super::printed::{Printed, assert_within, rows};
use bubblemargin::ageing::rate::AgeingRate;
use bubblemargin::ageing::scission::{
    AgeingSet, DP_END, DP_NEW, DP_NEW_RANGE, HOURS_PER_YEAR, Rate, life_hours, rate,
};
use bubblemargin::quantities::{Celsius, MoisturePercent};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Life {
    water_percent: f64,
    temperature_c: f64,
    years: Printed,
}

#[derive(Debug, Deserialize)]
struct Row {
    fact: String,
    value: String,
    check: String,
}

fn kraft(set: AgeingSet, water_percent: f64, temperature_c: f64) -> Rate {
    let water = MoisturePercent::new(water_percent).unwrap();
    let temperature = Celsius::new(temperature_c).unwrap();
    rate(set, AgeingRate::Kraft, water, temperature).unwrap()
}

fn years(rate: Rate) -> f64 {
    life_hours(rate, DP_NEW, DP_END).unwrap() / HOURS_PER_YEAR
}

/// The one fact that begins so; common practice, no source.
fn fact(beginning: &str) -> Row {
    let table: Vec<Row> = rows(include_str!("common_practice/trade_facts.csv"));
    let mut found = table.into_iter().filter(|row| row.fact.starts_with(beginning));
    let row = found.next().expect("a fact that begins so");
    assert!(found.next().is_none(), "only one fact begins so");
    row
}

/// IEC 60076-7:2018: kraft without air at 80 °C.
#[test]
fn kraft_without_air_lives_as_long_as_published() {
    let table: Vec<Life> = rows(include_str!("chain_scission/lives.csv"));
    assert_eq!(table.len(), 3);
    for row in table {
        let rate = kraft(AgeingSet::IecWithoutAir, row.water_percent, row.temperature_c);
        let what = format!("years at {} %", row.water_percent);
        assert_within(row.years.half_unit(), years(rate), row.years.number(), &what);
        assert!(!rate.floor);
    }
}

/// Common practice, no source. The set with air is left out: see SOURCE.md.
#[test]
fn kraft_lives_as_long_as_the_trade_says() {
    let dry = fact("life of dry kraft at 70 C");
    assert_eq!(dry.check, "any ageing set used must give 150 to 400");
    let wet = fact("life of kraft at 3 % water and 90 C");
    assert!(wet.check.starts_with("any ageing set used must give 1 to 4;"));
    for set in [AgeingSet::IecWithoutAir, AgeingSet::EmsleyStevens] {
        let dry_years = years(kraft(set, 0.5, 70.0));
        assert!((150.0..=400.0).contains(&dry_years), "{set:?}: {dry_years}");
        let wet_rate = kraft(set, 3.0, 90.0);
        let wet_years = years(wet_rate);
        assert!((1.0..=4.0).contains(&wet_years) && !wet_rate.floor, "{set:?}: {wet_years}");
    }
}

/// The disagreement that SOURCE.md states, so that it cannot change unseen.
#[test]
fn air_shortens_the_life_of_dry_kraft_far_below_the_trades_figure() {
    // To the whole year that SOURCE.md states.
    assert_within(0.5, years(kraft(AgeingSet::IecWithAir, 0.5, 70.0)), 36.0, "years with air");
    assert!(kraft(AgeingSet::IecWithAir, 3.0, 90.0).floor, "published for dry paper only");
}

/// Common practice, no source.
#[test]
fn the_trades_degrees_of_polymerisation_are_accepted() {
    let new: f64 = fact("degree of polymerisation of new paper").value.parse().unwrap();
    assert!(DP_NEW_RANGE.contains(&new) && DP_NEW_RANGE.contains(&DP_NEW));
    let end: f64 = fact("degree of polymerisation at end of life").value.parse().unwrap();
    // The same whole number.
    assert_within(0.0, DP_END, end, "end of life");
}
