//! The parts of a fleet under an engine that others wrote: `examples/fleet_dask`.
//!
//! Makes a virtual environment and installs the pinned engine into it, so it needs Python and the network
//! the first time.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const EXAMPLE: &str = "examples/fleet_dask";

fn ran(command: &mut Command) -> Option<Output> {
    command.output().ok().filter(|output| output.status.success())
}

/// Whether there is a Python that can make virtual environments.
fn python() -> bool {
    ran(Command::new("python3").args(["-c", "import venv, ensurepip"])).is_some()
}

/// Installs Python where that is possible without asking anybody.
fn install_python() {
    let apt = |arguments: &[&str]| ran(Command::new("apt-get").args(arguments));
    apt(&["update"]);
    apt(&["install", "-y", "python3", "python3-venv"]);
    assert!(
        python(),
        "this test needs python3 with the modules venv and ensurepip: install python3 and python3-venv"
    );
}

/// A virtual environment with the pinned engine, made once for each list of requirements.
fn environment() -> PathBuf {
    let requirements = Path::new(EXAMPLE).join("requirements.txt");
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("fleet-dask");
    let python_in = folder.join("bin/python");
    let installed = folder.join("installed.txt");
    let wanted = fs::read_to_string(&requirements).unwrap();
    if fs::read_to_string(&installed).is_ok_and(|own| own == wanted) && python_in.exists() {
        return python_in;
    }
    if !python() {
        install_python();
    }
    let _ = fs::remove_dir_all(&folder);
    let made = ran(Command::new("python3").arg("-m").arg("venv").arg(&folder));
    assert!(made.is_some(), "python3 -m venv could not make {}", folder.display());
    let pip = Command::new(&python_in)
        .args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-r"])
        .arg(&requirements)
        .output()
        .unwrap();
    let words = String::from_utf8_lossy(&pip.stderr);
    assert!(pip.status.success(), "pip could not install the engine (no network?): {words}");
    fs::write(&installed, wanted).unwrap();
    python_in
}

#[test]
fn parts_under_a_dask_cluster_merge_to_the_bytes_of_a_single_run() {
    let program = assert_cmd::cargo::cargo_bin("bubblemargin");
    let output = Command::new(environment())
        .arg(Path::new(EXAMPLE).join("run.py"))
        .arg(program)
        .args(["demo-data/fleet/units", "demo-data/fleet/loads.csv", "3"])
        .output()
        .unwrap();
    let words = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{words}");
    let merged = String::from_utf8(output.stdout).unwrap();
    assert_eq!(merged.lines().count(), 10, "a notice, a header and eight units: {merged}");
    assert!(merged.contains("harrowgill-t2"));
}
