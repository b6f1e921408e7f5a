//! A year at one-minute steps in bounded memory.

use super::run::{AS_OF, T2, scratch};
use std::fs::{self, File};
use std::io::{BufWriter, Write};
use std::process::{Command, Stdio};

/// Rows of a year at one-minute steps.
const ROWS: u32 = 525_600;
/// A debug build takes about 16 MB; the whole file as text, 18 MB more, would not fit below this. 64 MB
/// were promised.
const MOST_KB: u64 = 32 * 1024;

fn year(path: &std::path::Path) {
    let mut file = BufWriter::new(File::create(path).unwrap());
    writeln!(file, "time,load_pu,ambient_c").unwrap();
    for minute in 0..ROWS {
        let angle = f64::from(minute) * std::f64::consts::TAU / 1440.0;
        let (load_pu, ambient_c) = (0.6 + 0.2 * angle.sin(), 12.0 + 6.0 * (angle - 0.5).sin());
        let (day, hour, minute) = (minute / 1440, minute / 60 % 24, minute % 60);
        let date = chrono::NaiveDate::from_yo_opt(2025, day + 1).unwrap();
        writeln!(file, "{date}T{hour:02}:{minute:02}:00Z,{load_pu:.4},{ambient_c:.2}").unwrap();
    }
}

/// The most memory that a process has had, kB; `None` where the system does not tell, or it is over.
fn peak_kb(process: u32) -> Option<u64> {
    let status = fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

#[test]
fn a_year_at_one_minute_steps_stays_in_bounded_memory() {
    let folder = scratch("history-year");
    let (file, out) = (folder.join("year.csv"), folder.join("trajectory.csv"));
    year(&file);
    let mut child = Command::new(assert_cmd::cargo::cargo_bin("bubblemargin"))
        .args(["history", T2, "--format", "json", "--every", "15min", AS_OF[0], AS_OF[1]])
        .args(["--history".as_ref(), file.as_os_str(), "--trajectory".as_ref(), out.as_os_str()])
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut peak = None;
    // The answer fits into the pipe, so that the process need not be read from to come to its end.
    while child.try_wait().unwrap().is_none() {
        peak = peak_kb(child.id()).max(peak);
        std::thread::sleep(std::time::Duration::from_millis(1));
    }
    let ended = child.wait_with_output().unwrap();
    assert_eq!(ended.status.code(), Some(0));
    let answer: serde_json::Value = serde_json::from_slice(&ended.stdout).unwrap();
    assert_eq!(answer["span"]["rows"], ROWS);
    assert_eq!(answer["parts"].as_array().unwrap().len(), 12);
    assert_eq!(fs::read_to_string(&out).unwrap().lines().count(), 1 + 365 * 96);
    fs::remove_file(&file).unwrap();
    // Only Linux tells the peak of a process this way; there it must.
    if cfg!(target_os = "linux") {
        let peak_kb = peak.unwrap();
        println!("peak resident {peak_kb} kB");
        assert!(peak_kb < MOST_KB, "{peak_kb} kB");
    }
}
