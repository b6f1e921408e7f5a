//! A plan of a made-up year: seasons, days and a weather wave from sums of sines.

use bubblemargin::assessment::case::Sampling;
use bubblemargin::input::InputError;
use bubblemargin::planning::answer::PlanQuestion;
use bubblemargin::planning::read::{PlanFiles, read_plan};
use bubblemargin::planning::templates::Common;
use bubblemargin::unit::Unit;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit_with;
use std::f64::consts::TAU;
use std::fmt::Write;

const WET: &str = include_str!("../../demo-data/units/fellmoor-t2.yaml");
const DRY: &str = include_str!("../../demo-data/units/fellmoor-t1.yaml");
const PROBE: &str = include_str!("../../demo-data/units/fellmoor-t2-probe.csv");

/// Forecasts of so many hours, and whether a next trip may come.
struct Year(usize, bool);

/// The hour counted from some day of 2026.
fn time(hour: usize) -> String {
    #[allow(clippy::cast_possible_wrap, reason = "hours of a year")]
    let after = chrono::Duration::hours(hour as i64);
    (chrono::DateTime::UNIX_EPOCH + chrono::Duration::days(20_700) + after).to_rfc3339()
}

impl Year {
    fn rows(&self, column: &str, value: fn(f64) -> f64) -> String {
        let mut text = format!("time,{column}\n");
        for hour in 0..self.0 {
            #[allow(clippy::cast_precision_loss, reason = "hours of a year")]
            let value = value(hour as f64);
            // Writing to a string does not fail.
            let _ = writeln!(text, "{},{value:.2}", time(hour));
        }
        text
    }

    fn yaml(&self) -> String {
        let mut text = "plan: year\nseries: [ { name: town, file: load.csv } ]\nambient: ambient.csv\nunits:\n  \
             - { unit: fellmoor-t1, profile: dry.yaml, normally: [ { series: town, share: 0.5 } ] }\n  \
             - { unit: fellmoor-t2, profile: wet.yaml, normally: [ { series: town, share: 0.5 } ] }\noutages:\n"
            .to_owned();
        for (number, days, out, carrier) in [(1, 5, 1, 2), (2, 3, 2, 1), (3, 1, 1, 2)] {
            let carries = |share: f64| {
                format!("[ {{ unit: fellmoor-t{carrier}, series: town, share: {share} }} ]")
            };
            let next_trip = if self.1 {
                let carries = carries(1.1);
                format!(", recall: 8h, next_trip: [ {{ name: line, carries: {carries} }} ]")
            } else {
                String::new()
            };
            // Writing to a string does not fail.
            let _ = writeln!(
                text,
                "  - {{ name: number {number}, out: [ fellmoor-t{out} ], carries: {}, earliest: \"{}\", latest: \"{}\", duration: {days} days{next_trip} }}",
                carries(1.0),
                time(48),
                time(self.0 - 1)
            );
        }
        text
    }
}

impl PlanFiles for Year {
    fn text(&mut self, name: &str) -> Result<(String, String), InputError> {
        let text = if name == "load.csv" {
            self.rows("load_mva", |hour| {
                let evening = (((hour - 18.0) / 24.0 * TAU).cos()).max(0.0).powi(3);
                27.0 + 4.0 * (hour / 8760.0 * TAU).cos() + 9.0 * evening
            })
        } else {
            self.rows("ambient_c", |hour| {
                let (year, day) = (hour / 8760.0 * TAU, (hour - 15.0) / 24.0 * TAU);
                10.0 - 8.0 * year.cos() + 5.0 * day.cos() + 3.0 * (hour / 170.0).sin()
            })
        };
        Ok((name.to_owned(), text))
    }

    fn unit(&mut self, name: &str, catalogue: &Catalogue) -> Result<Unit, InputError> {
        let text = if name == "wet.yaml" { WET } else { DRY };
        read_unit_with(name, text, catalogue, &mut |probe| Ok((probe.to_owned(), PROBE.to_owned())))
    }
}

/// What is asked of the wet unit over so many hours.
///
/// # Errors
/// As the readers'.
pub(crate) fn question(hours: usize, trips: bool, draws: u32) -> Result<PlanQuestion, InputError> {
    let (catalogue, mut files) = (Catalogue::embedded(), Year(hours, trips));
    let plan = read_plan("plan.yaml", &files.yaml(), &catalogue, &mut files, None)?;
    let common = Common {
        local: None,
        as_of: None,
        inputs_sha256: String::new(),
        sampling: Sampling { draws, ..Sampling::default() },
    };
    let templates = common.templates(&plan, &catalogue)?;
    Ok(PlanQuestion {
        plan,
        templates,
        focus: 1,
        ambient_c: None,
        derating: false,
        options: Vec::new(),
    })
}
