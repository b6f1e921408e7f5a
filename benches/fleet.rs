//! A fleet from files to the answer, by number of units and by number of hours, without draws: the cost is
//! linear in both.

use divan::{Bencher, black_box};
use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

/// Hours of a year.
const YEAR: usize = 8760;

fn main() {
    divan::main();
}

#[divan::bench(args = [10, 100, 1000], sample_count = 3, sample_size = 1)]
fn units_with_a_year_of_hours(bencher: Bencher<'_, '_>, units: usize) {
    timed(bencher, units, YEAR);
}

#[divan::bench(args = [88, 876, YEAR], sample_count = 3, sample_size = 1)]
fn hours_of_a_hundred_units(bencher: Bencher<'_, '_>, hours: usize) {
    timed(bencher, 100, hours);
}

/// A whole run of the program, as somebody would wait for it.
fn timed(bencher: Bencher<'_, '_>, units: usize, hours: usize) {
    let folder = std::env::temp_dir().join(format!("bubblemargin-fleet-{units}-{hours}"));
    let made = made(&folder, units, hours);
    if let Err(error) = &made {
        eprintln!("{}: {error}", folder.display());
        return;
    }
    bencher.bench(|| {
        let ended = Command::new(env!("CARGO_BIN_EXE_bubblemargin"))
            .arg("fleet")
            .arg(folder.join("units"))
            .arg("--loads")
            .arg(folder.join("loads.csv"))
            .args(["--times-peak", "2", "--for", "4h", "--as-of", "2026-10-20", "--draws", "0"])
            .args(["--format", "csv"])
            .stdout(Stdio::null())
            .status();
        black_box(ended.ok())
    });
    // What is left behind in a temporary folder is no error of the bench.
    let _ = fs::remove_dir_all(&folder);
}

/// Invented units: those of the demo again and again, with loads and ambients from sums of sines.
fn made(folder: &Path, units: usize, hours: usize) -> std::io::Result<()> {
    let profiles = [
        include_str!("../demo-data/fleet/units/harrowgill-t1.yaml"),
        include_str!("../demo-data/fleet/units/harrowgill-t2.yaml"),
        include_str!("../demo-data/fleet/units/stanebeck-t1.yaml"),
        include_str!("../demo-data/fleet/units/withybank-t1.yaml"),
        include_str!("../demo-data/fleet/units/coldwath-t2.yaml"),
    ];
    fs::create_dir_all(folder.join("units"))?;
    let mut loads = std::io::BufWriter::new(fs::File::create(folder.join("loads.csv"))?);
    std::io::Write::write_all(&mut loads, b"unit,time,load_pu,ambient_c\n")?;
    for index in 0..units {
        let unit = format!("unit-{index:05}");
        let profile: String = profiles[index % profiles.len()]
            .lines()
            .map(|line| match line.strip_prefix("unit:") {
                Some(_) => format!("unit: {unit}\n"),
                None => format!("{line}\n"),
            })
            .collect();
        fs::write(folder.join("units").join(format!("{unit}.yaml")), profile)?;
        std::io::Write::write_all(&mut loads, rows(&unit, index % 7, hours).as_bytes())?;
    }
    std::io::Write::flush(&mut loads)
}

fn rows(unit: &str, kind: usize, hours: usize) -> String {
    let mut rows = String::with_capacity(hours * 48);
    let begins = chrono::NaiveDateTime::default();
    #[allow(clippy::cast_precision_loss, reason = "hours of a year")]
    for hour in 0..hours {
        let (at, shift) = (hour as f64, kind as f64);
        let day = at * std::f64::consts::TAU / 24.0;
        let load_pu = 0.45
            + 0.01 * shift
            + 0.15 * (day - 3.4 + shift).sin()
            + 0.05 * (day / 7.0 + shift).sin();
        let ambient_c = 12.0 + 8.0 * (day / 365.0 - 1.9).sin() + 5.0 * (day - 2.4).sin();
        let time = begins + chrono::TimeDelta::minutes(60 * i64::try_from(hour).unwrap_or(0));
        // Writing to a string cannot fail.
        let _ = writeln!(
            rows,
            "{unit},{},{load_pu:.3},{ambient_c:.1}",
            time.format("%Y-%m-%dT%H:%M:%SZ")
        );
    }
    rows
}
