//! A plan made of plain text, with loads and ambients made by the tests.

use bubblemargin::assessment::case::Sampling;
use bubblemargin::input::InputError;
use bubblemargin::planning::answer::{PlanAnswer, PlanQuestion, planned};
use bubblemargin::planning::plan::{Plan, PlanOption};
use bubblemargin::planning::read::{PlanFiles, read_plan};
use bubblemargin::planning::templates::Common;
use bubblemargin::unit::Unit;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit_with;
use chrono::NaiveDate;
use std::fmt::Write;
use std::sync::LazyLock;

/// Invented: a wet and a dry unit in parallel.
///
/// The wet one of the demo, somewhat drier: what the demo is assessed at leaves hardly a start.
pub(crate) static WET: LazyLock<String> = LazyLock::new(|| {
    let demo = include_str!("../../demo-data/units/fellmoor-t2.yaml");
    let drier = demo.replace("percent: 3.3, std: 0.4", "percent: 2.8, std: 0.3");
    // Of a cable box of unknown rating nothing above 1.2 pu would be decided.
    let drier = drier.replace("cable_box_pu: unknown", "cable_box_pu: 1.6");
    drier.replace("dp: 520", "dp: 900")
});
const DRY: &str = include_str!("../../demo-data/units/fellmoor-t1.yaml");
const PROBE: &str = include_str!("../../demo-data/units/fellmoor-t2-probe.csv");

/// Hours of the forecasts.
pub(crate) const HOURS: usize = 24 * 21;

/// What the tests differ in.
pub(crate) struct Scene {
    /// Load of the substation at an hour, MVA.
    pub(crate) load_mva: fn(usize) -> f64,
    /// Ambient at an hour, °C.
    pub(crate) ambient_c: fn(usize) -> f64,
    /// The outages, as YAML.
    pub(crate) outages: &'static str,
    pub(crate) draws: u32,
}

/// Files that are made when they are asked for.
struct Made<'a>(&'a Scene);

impl PlanFiles for Made<'_> {
    fn text(&mut self, name: &str) -> Result<(String, String), InputError> {
        let text = if name == "load.csv" { self.0.loads() } else { self.0.ambients() };
        Ok((name.to_owned(), text))
    }

    fn unit(&mut self, name: &str, catalogue: &Catalogue) -> Result<Unit, InputError> {
        let text = if name == "wet.yaml" { WET.as_str() } else { DRY };
        read_unit_with(name, text, catalogue, &mut |probe| Ok((probe.to_owned(), PROBE.to_owned())))
    }
}

impl Scene {
    /// Load over time, as a CSV file.
    pub(crate) fn loads(&self) -> String {
        rows("load_mva", self.load_mva)
    }

    /// Ambient over time, as a CSV file.
    pub(crate) fn ambients(&self) -> String {
        rows("ambient_c", self.ambient_c)
    }

    /// The plan file.
    pub(crate) fn yaml(&self) -> String {
        format!(
            "plan: test\nseries: [ {{ name: town, file: load.csv }} ]\nambient: ambient.csv\nunits:\n\
             \x20 - {{ unit: fellmoor-t1, profile: dry.yaml, normally: [ {{ series: town, share: 0.5 }} ] }}\n\
             \x20 - {{ unit: fellmoor-t2, profile: wet.yaml, normally: [ {{ series: town, share: 0.5 }} ] }}\n\
             outages:\n{}",
            self.outages
        )
    }

    /// The plan, read as the command reads it.
    pub(crate) fn plan(&self) -> Plan {
        let catalogue = Catalogue::embedded();
        read_plan("plan.yaml", &self.yaml(), &catalogue, &mut Made(self), None).unwrap()
    }

    /// The question about the wet unit.
    pub(crate) fn question(&self, options: Vec<(PlanOption, Unit)>) -> PlanQuestion {
        let plan = self.plan();
        let common = Common {
            local: None,
            as_of: NaiveDate::from_ymd_opt(2026, 10, 20),
            inputs_sha256: String::new(),
            sampling: Sampling { draws: self.draws, ..Sampling::default() },
        };
        let templates = common.templates(&plan, &Catalogue::embedded()).unwrap();
        PlanQuestion { plan, templates, focus: 1, ambient_c: None, derating: false, options }
    }

    /// What becomes of it.
    pub(crate) fn answer(&self) -> PlanAnswer {
        planned(&self.question(Vec::new()))
    }
}

fn rows(column: &str, value: fn(usize) -> f64) -> String {
    let mut text = format!("time,{column}\n");
    for hour in 0..HOURS {
        let (day, of_day) = (hour / 24, hour % 24);
        // Writing to a string does not fail.
        let _ = writeln!(text, "2026-11-{:02}T{of_day:02}:00:00Z,{:.3}", day + 1, value(hour));
    }
    text
}
