//! The demo's fleet, and small fleets made of its units.

use super::run::{Ran, run, scratch};
use serde_json::Value;
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

pub(crate) const UNITS: &str = "demo-data/fleet/units";
pub(crate) const LOADS: &str = "demo-data/fleet/loads.csv";
/// The contingency of the README, with few draws.
pub(crate) const ASKED: [&str; 8] =
    ["--times-peak", "2", "--for", "4h", "--as-of", "2026-10-20", "--draws", "256"];

/// The demo's fleet with its loads.
pub(crate) fn demo(flags: &[&str]) -> Ran {
    run(&[&["fleet", UNITS, "--loads", LOADS], &ASKED[..], flags].concat())
}

pub(crate) fn json(ran: &Ran) -> Value {
    assert!(ran.stdout.starts_with('{'), "{}", ran.stderr);
    serde_json::from_str(&ran.stdout).unwrap()
}

/// The row of a unit.
pub(crate) fn row<'a>(answer: &'a Value, unit: &str) -> &'a Value {
    let rows = answer["units"].as_array().unwrap();
    rows.iter().find(|row| row["unit"] == unit).unwrap()
}

/// A scratch folder that is empty.
pub(crate) fn empty(test: &str) -> PathBuf {
    let folder = scratch(test);
    fs::remove_dir_all(&folder).unwrap();
    scratch(test)
}

/// A folder with copies of some units of the demo, under their own names.
pub(crate) fn some_units(folder: &Path, units: &[&str]) -> String {
    let own = folder.join("units");
    fs::create_dir_all(&own).unwrap();
    for unit in units {
        let name = format!("{unit}.yaml");
        fs::copy(Path::new(UNITS).join(&name), own.join(&name)).unwrap();
    }
    own.to_str().unwrap().to_owned()
}

/// Many units: those of the demo again and again under other names, and a day of hours of each.
pub(crate) fn many(folder: &Path, count: usize) -> (String, String) {
    let own = folder.join("units");
    fs::create_dir_all(&own).unwrap();
    let profiles: Vec<(String, String)> = ["harrowgill-t1", "harrowgill-t2", "stanebeck-t2"]
        .iter()
        .map(|unit| {
            let text = fs::read_to_string(format!("{UNITS}/{unit}.yaml")).unwrap();
            (format!("unit: {unit}\n"), text)
        })
        .collect();
    let mut loads = "unit,time,load_pu,ambient_c\n".to_owned();
    for index in 0..count {
        let unit = format!("unit-{index:03}");
        let (line, text) = &profiles[index % profiles.len()];
        let text = text.replace(line, &format!("unit: {unit}\n"));
        fs::write(own.join(format!("{unit}.yaml")), text).unwrap();
        for hour in 0..24 {
            let hundredths = 40 + (index + hour) % 24;
            writeln!(loads, "{unit},2026-10-01T{hour:02}:00:00Z,0.{hundredths},{hour}").unwrap();
        }
    }
    let path = folder.join("loads.csv");
    fs::write(&path, loads).unwrap();
    (own.to_str().unwrap().to_owned(), path.to_str().unwrap().to_owned())
}
