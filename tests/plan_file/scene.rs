//! A small plan in memory, and files from the demo.

use bubblemargin::input::InputError;
use bubblemargin::planning::plan::Plan;
use bubblemargin::planning::read::{PlanFiles, read_plan};
use bubblemargin::unit::Unit;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit_with;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// A plan of one unit of 40 MVA beside one of 20 MVA. Its outage stands from line 9 on.
pub(crate) const PLAN: &str = "\
plan: small
series:
  - { name: town, file: town.csv }
  - { name: mill, file: mill.csv }
ambient: ambient.csv
units:
  - { unit: a, profile: a.yaml, normally: [ { series: town, share: 0.5 } ] }
  - { unit: b, profile: b.yaml, normally: [] }
outages:
  - name: one
    out: [ b ]
    carries:
      - { unit: a, series: town, share: 1 }
    earliest: 2026-11-01T06:00:00Z
    latest: 2026-11-02T06:00:00Z
    duration: 8h
";

/// An option for it.
pub(crate) const OPTION: &str = "options:\n  - { name: dry, dries_to_percent: 1 }\n";

/// Files in memory by name, and how often a profile was read.
pub(crate) struct Memory {
    pub(crate) files: BTreeMap<String, String>,
    pub(crate) profiles_read: Vec<String>,
}

impl Memory {
    pub(crate) fn small() -> Self {
        let rows = |column: &str, figures: &[(&str, &str)]| {
            let rows = figures.iter().map(|(time, figure)| format!("{time},{figure}\n"));
            format!("time,{column}\n{}", rows.collect::<String>())
        };
        let hours = |column: &str, of: fn(u32) -> f64| {
            let hour =
                |at: u32| format!("2026-11-{:02}T{:02}:00:00Z,{}\n", 1 + at / 24, at % 24, of(at));
            format!("time,{column}\n{}", (0..=48).map(hour).collect::<String>())
        };
        let profile = |name: &str, mva: f64| {
            format!(
                "unit: {name}\nsize_class: medium\nrated: {{ mva: {mva}, cooling: ONAF }}\npaper: kraft\nliquid: mineral\nthermal: {{ constants: onaf }}\ncooling_stages: [ {{ name: ONAF, rating_pu: 1 }} ]\n"
            )
        };
        let files = [
            ("town.csv", hours("load_mva", |at| if at < 12 { 20.0 } else { 30.0 })),
            ("mill.csv", hours("load_mva", |at| if at % 2 == 0 { 4.0 } else { 8.0 })),
            ("ambient.csv", hours("ambient_c", |at| f64::from(at) / 4.0)),
            (
                "short.csv",
                rows("load_mva", &[("2026-11-01T00:00:00Z", "1"), ("2026-11-01T03:00:00Z", "1")]),
            ),
            ("a.yaml", profile("a", 40.0)),
            ("b.yaml", profile("b", 20.0)),
        ];
        let files = files.into_iter().map(|(name, text)| (name.to_owned(), text)).collect();
        Self { files, profiles_read: Vec::new() }
    }

    /// The same with another file.
    pub(crate) fn with(mut self, name: &str, text: &str) -> Self {
        self.files.insert(name.to_owned(), text.to_owned());
        self
    }

    fn named(&self, name: &str) -> Result<(String, String), InputError> {
        let missing = || InputError::new(name, "no such file", "a file");
        Ok((name.to_owned(), self.files.get(name).ok_or_else(missing)?.clone()))
    }
}

impl PlanFiles for Memory {
    fn text(&mut self, name: &str) -> Result<(String, String), InputError> {
        self.named(name)
    }

    fn unit(&mut self, name: &str, catalogue: &Catalogue) -> Result<Unit, InputError> {
        self.profiles_read.push(name.to_owned());
        let (place, text) = self.named(name)?;
        read_unit_with(&place, &text, catalogue, &mut |name| self.named(name))
    }
}

/// Reads a plan whose files are the small ones.
pub(crate) fn read(text: &str) -> Result<Plan, InputError> {
    read_with(text, Memory::small())
}

pub(crate) fn read_with(text: &str, mut files: Memory) -> Result<Plan, InputError> {
    read_plan("plan.yaml", text, &Catalogue::embedded(), &mut files, None)
}

/// A folder on disk.
pub(crate) struct Folder(pub(crate) PathBuf);

impl Folder {
    pub(crate) fn demo() -> Self {
        Self(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data"))
    }

    pub(crate) fn read(&self, name: &str) -> (String, String) {
        (name.to_owned(), std::fs::read_to_string(self.0.join(name)).unwrap())
    }
}

impl PlanFiles for Folder {
    fn text(&mut self, name: &str) -> Result<(String, String), InputError> {
        Ok(self.read(name))
    }

    fn unit(&mut self, name: &str, catalogue: &Catalogue) -> Result<Unit, InputError> {
        let (place, text) = self.read(name);
        read_unit_with(
            &place,
            &text,
            catalogue,
            &mut |name| Ok(self.read(&format!("units/{name}"))),
        )
    }
}
