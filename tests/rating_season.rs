//! Ambients by season from an ambient history.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

use bubblemargin::input::InputError;
use bubblemargin::rating::season::{LEAST_DAYS, Season, Seasons, USUAL_PERCENTILE, seasons};
use chrono::{Days, NaiveDate};
use std::fmt::Write;

/// Figures are taken from the text of a file, not computed.
const SAME_C: f64 = 1.0e-12;

/// A history with rows every three hours for so many days; `highest` gives a day's highest ambient, at 15:00.
fn history(from: &str, days: u64, highest: impl Fn(u64) -> f64) -> String {
    let first: NaiveDate = from.parse().unwrap();
    let mut text = "time,ambient_c\n".to_owned();
    for day in 0..days {
        let date = first.checked_add_days(Days::new(day)).unwrap();
        for hour in (0..24).step_by(3) {
            let ambient_c = if hour == 15 { highest(day) } else { -5.0 };
            writeln!(text, "{date}T{hour:02}:00:00+01:00,{ambient_c}").unwrap();
        }
    }
    text
}

fn read(text: &str, percentile: f64) -> Result<Seasons, InputError> {
    seasons("ambient.csv", text.as_bytes(), percentile)
}

fn season<'a>(found: &'a Seasons, name: &str) -> &'a Season {
    found.seasons.iter().find(|own| own.name == name).unwrap()
}

/// Whether an ambient is there and is this one.
fn is(found: Option<f64>, wanted_c: f64) -> bool {
    found.is_some_and(|own| (own - wanted_c).abs() < SAME_C)
}

/// By hand: highest ambients of 40 days of June and July are 1 to 40 °C in disorder; 95 % of 40 days are 38,
/// and 38 days do not exceed 38 °C. 90 % are 36. 96 % are 38.4, so that the 39th counts.
#[test]
fn the_percentile_is_of_the_highest_ambient_of_each_day() {
    #[allow(clippy::cast_precision_loss, reason = "up to 40")]
    let text = history("2025-06-01", 40, |day| (day * 7 % 40 + 1) as f64);
    for (percentile, wanted_c) in
        [(95.0, 38.0), (90.0, 36.0), (96.0, 39.0), (100.0, 40.0), (50.0, 20.0)]
    {
        let found = read(&text, percentile).unwrap();
        let summer = season(&found, "Jun-Aug");
        assert!(is(summer.ambient_c, wanted_c), "{percentile}: {summer:?}");
        assert!(is(summer.highest_c, 40.0) && is(Some(found.highest_c), 40.0));
        // June, July and August have 92 days.
        assert_eq!(
            (summer.days, summer.days_in_part, summer.days_in_all, summer.years),
            (40, 0, 92, 1)
        );
    }
    let found = read(&text, USUAL_PERCENTILE).unwrap();
    assert_eq!((found.from.as_str(), found.until.as_str()), ("2025-06-01", "2025-07-10"));
    assert!(season(&found, "Jun-Aug").in_words().starts_with("only 40 of 92 days in 1 year"));
    let winter = season(&found, "Dec-Feb");
    assert_eq!(
        (winter.ambient_c, winter.days, winter.days_in_all, winter.highest_c),
        (None, 0, 0, None)
    );
}

#[test]
fn fewer_than_four_weeks_give_none_and_say_so() {
    for (days, wanted) in [(LEAST_DAYS - 1, false), (LEAST_DAYS, true)] {
        let found = read(&history("2025-06-01", days as u64, |_| 20.0), 95.0).unwrap();
        let summer = season(&found, "Jun-Aug");
        assert_eq!((summer.days, summer.ambient_c.is_some()), (days, wanted));
        assert!(is(summer.highest_c, 20.0), "the highest on record is one all the same");
        assert_eq!(
            summer.in_words().starts_with("none: 27 of 92 days"),
            !wanted,
            "{}",
            summer.in_words()
        );
    }
}

/// December counts to the winter of the next year: 2 December 2024 to 28 February 2025 are 89 days of the 90 of one winter.
#[test]
fn a_winter_is_one_over_the_turn_of_the_year() {
    let found = read(&history("2024-12-02", 89, |_| 7.0), 95.0).unwrap();
    let winter = season(&found, "Dec-Feb");
    assert_eq!((winter.days, winter.days_in_all, winter.years), (89, 90, 1));
    let found = read(&history("2024-01-01", 366, |_| 7.0), 95.0).unwrap();
    let winter = season(&found, "Dec-Feb");
    // January and February 2024 (60 days of 91, a leap year) and December 2024 (31 days of 90).
    assert_eq!((winter.days, winter.days_in_all, winter.years), (91, 181, 2));
    for (name, days) in [("Mar-May", 92), ("Jun-Aug", 92), ("Sep-Nov", 91)] {
        assert_eq!((season(&found, name).days, season(&found, name).days_in_all), (days, days));
        assert_eq!(season(&found, name).in_words(), format!("{days} of {days} days in 1 year."));
    }
}

/// A day with a hole around its afternoon would count with the ambient of its night.
#[test]
fn days_with_holes_do_not_count() {
    let whole = history("2025-06-01", 40, |_| 30.0);
    let without = |parts: &[&str]| -> String {
        let kept = whole.lines().filter(|line| !parts.iter().any(|part| line.contains(part)));
        kept.flat_map(|line| [line, "\n"]).collect()
    };
    for (parts, days, in_part) in [
        (&["06-10T15", "06-12T15"][..], 38, 2),
        // Each day is judged by itself, from its midnight on.
        (&["06-11T00"], 40, 0),
        // A day without rows is none.
        (&["06-11T"], 39, 0),
        (&["06-01T00"], 40, 0),
        (&["06-01T00", "06-01T03"], 39, 1),
        (&["07-10T21"], 39, 1),
    ] {
        let found = read(&without(parts), 95.0).unwrap();
        let summer = season(&found, "Jun-Aug");
        assert_eq!((summer.days, summer.days_in_part), (days, in_part), "{parts:?}");
        assert!(is(summer.ambient_c, 30.0), "{parts:?}");
    }
    let found = read(
        &without(&["06-10T12", "06-10T18"])
            .replace("06-10T15:00:00+01:00,30", "06-10T15:00:00+01:00,41"),
        95.0,
    );
    let found = found.unwrap();
    assert!(is(Some(found.highest_c), 41.0), "also on a day that does not count");
    assert_eq!(found.highest_at, "2025-06-10T15:00");
}

/// The day is that of the clock of the place: 23:30 at +02:00 is still the day before in Greenwich terms.
#[test]
fn days_are_those_of_the_time_as_written() {
    let summer = history("2025-08-01", 31, |_| 25.0);
    let found = read(&summer.replace("+01:00", "+12:00"), 95.0).unwrap();
    assert_eq!(season(&found, "Jun-Aug").days, 31, "1 August in Fiji is July in Greenwich");
    assert_eq!(found.from, "2025-08-01");
    // A clock change within a file: one hour occurs twice, told apart by its zone.
    let change = "time,ambient_c\n2025-10-26T01:00:00+01:00,9\n2025-10-26T01:00:00+00:00,8\n";
    assert_eq!(read(change, 95.0).unwrap().seasons[3].days_in_part, 1);
}

#[test]
fn refusals_name_file_line_key_found_and_accepted() {
    let head = "time,ambient_c\n2025-06-01T00:00:00Z,20\n";
    for (text, line, words) in [
        (format!("{head}2025-06-01T01:00:00Z,NaN\n"), "line 3", "column ambient_c"),
        (format!("{head}2025-06-01T01:00:00Z,1e999\n"), "line 3", "a number from -60 to 60"),
        (format!("{head}2025-06-01T01:00:00Z,\n"), "line 3", "an empty cell"),
        (format!("{head}2025-06-01T01:00:00,20\n"), "line 3", "RFC 3339 time with its zone"),
        (format!("{head}2025-06-01T00:00:00Z,21\n"), "line 3", "each once"),
        (format!("{head}2025-05-31T23:00:00Z,21\n"), "line 3", "ascending"),
        (format!("{head}2025-05-31T23:30:00-02:00,21\n"), "line 3", "ascending"),
        (format!("{head}2225-06-01T00:00:00Z,21\n"), "line 3", "hundred years"),
        (format!("{head}2025-06-01T01:00:00Z\n"), "line 3", "1 cells where the header has 2"),
        ("time\n2025-06-01T00:00:00Z\n".to_owned(), "", "no column ambient_c"),
        ("ambient_c\n20\n".to_owned(), "", "no column time"),
        ("minute,ambient_c\n0,20\n".to_owned(), "line 1", "the column \"minute\""),
        ("time,ambient_c\n".to_owned(), "", "no rows"),
        (String::new(), "", "an empty file"),
    ] {
        let error = read(&text, 95.0).unwrap_err().to_string();
        for part in ["ambient.csv", line, words, "found:", "accepted:"] {
            assert!(error.contains(part), "{text}: {part} is not in {error}");
        }
    }
}

#[test]
fn a_percentile_that_is_none_gives_no_ambient() {
    let text = history("2025-06-01", 40, |_| 30.0);
    for percentile in [f64::NAN, -1.0, 0.0, 101.0, f64::INFINITY] {
        let found = read(&text, percentile).unwrap();
        assert!(found.seasons.iter().all(|own| own.ambient_c.is_none()), "{percentile}");
    }
}

#[test]
fn the_demo_covers_two_years() {
    let found = read(include_str!("../demo-data/ambient/fellmoor-two-years.csv"), 95.0).unwrap();
    // Two of each season: 90 + 90, 92, 92 and 91 days.
    let days: Vec<usize> = found.seasons.iter().map(|own| own.days).collect();
    assert_eq!(days, [180, 184, 184, 182]);
    assert!(found.seasons.iter().all(|own| own.years == 2 && own.days == own.days_in_all));
    let ambient = |name: &str| season(&found, name).ambient_c.unwrap();
    assert!(ambient("Jun-Aug") > ambient("Mar-May") && ambient("Mar-May") > ambient("Dec-Feb"));
    assert!(ambient("Jun-Aug") < found.highest_c);
}
