//! A long file of loads is never in memory as a whole.

use super::scene::{UNITS, empty};
use std::fs::{self, File};
use std::io::{BufWriter, Write};
use std::process::{Command, Stdio};

/// Units with a year of hours each: about 60 MB of rows.
const COUNT: usize = 150;
const HOURS: usize = 8760;
/// A debug build takes about 16 MB, and two threads some units of 0.4 MB; the whole file would not fit below
/// this.
const MOST_KB: u64 = 40 * 1024;

/// The most memory that a process has had, kB; `None` where the system does not tell, or it is over.
fn peak_kb(process: u32) -> Option<u64> {
    let status = fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

#[test]
fn the_loads_of_a_fleet_stay_in_bounded_memory() {
    let folder = empty("fleet-memory");
    let units = folder.join("units");
    fs::create_dir_all(&units).unwrap();
    let profile = fs::read_to_string(format!("{UNITS}/harrowgill-t1.yaml")).unwrap();
    let path = folder.join("loads.csv");
    let mut loads = BufWriter::new(File::create(&path).unwrap());
    writeln!(loads, "unit,minute,load_pu,ambient_c").unwrap();
    for index in 0..COUNT {
        let unit = format!("a-unit-with-a-long-name-{index:03}");
        let text = profile.replace("unit: harrowgill-t1", &format!("unit: {unit}"));
        fs::write(units.join(format!("{unit}.yaml")), text).unwrap();
        for hour in 0..HOURS {
            writeln!(loads, "{unit},{},0.{},12.00", hour * 60, 40 + hour % 24).unwrap();
        }
    }
    drop(loads);
    let length = path.metadata().unwrap().len();
    assert!(length > MOST_KB * 1024, "{length} bytes");
    let mut child = Command::new(assert_cmd::cargo::cargo_bin("bubblemargin"))
        .args(["fleet".as_ref(), units.as_os_str(), "--loads".as_ref(), path.as_os_str()])
        .args(["--times-peak", "2", "--for", "4h", "--as-of", "2026-10-20", "--draws", "0"])
        .env("RAYON_NUM_THREADS", "2")
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut peak = None;
    while child.try_wait().unwrap().is_none() {
        peak = peak_kb(child.id()).max(peak);
        std::thread::sleep(std::time::Duration::from_millis(1));
    }
    assert_eq!(child.wait().unwrap().code(), Some(0));
    fs::remove_file(&path).unwrap();
    // Only Linux tells the peak of a process this way; there it must.
    if cfg!(target_os = "linux") {
        let peak_kb = peak.unwrap();
        println!("peak resident {peak_kb} kB");
        assert!(peak_kb < MOST_KB, "{peak_kb} kB");
    }
}
