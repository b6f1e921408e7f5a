//! A server of one test, stopped with it.

use std::fs::{self, File};
use std::io::{BufRead, BufReader};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};

pub(crate) const UNITS: &str = "demo-data/units";
/// The day on which the demo is asked about: its evidence is fresh, whatever today's date.
pub(crate) const AS_OF: &str = "2026-10-20";

/// A running server.
pub(crate) struct Server {
    pub(crate) child: Child,
    pub(crate) address: SocketAddr,
    /// What it said at the start, a line each.
    pub(crate) said: Vec<String>,
    log: PathBuf,
}

impl Server {
    /// The demo's units for the demo's day.
    pub(crate) fn of_the_demo() -> Self {
        Self::started(&[UNITS, "--as-of", AS_OF])
    }

    /// With these flags, on a free port of this machine unless they say otherwise.
    pub(crate) fn started(flags: &[&str]) -> Self {
        static STARTED: AtomicU32 = AtomicU32::new(0);
        let number = STARTED.fetch_add(1, Ordering::Relaxed);
        let log = scratch("logs").join(format!("{}-{number}", std::process::id()));
        let mut child = command(flags)
            .stdout(Stdio::piped())
            .stderr(File::create(&log).unwrap())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let said: Vec<String> = lines
            .by_ref()
            .map(Result::unwrap)
            .take_while(|line| !line.starts_with("A calculation aid"))
            .collect();
        let first = said.first().unwrap_or_else(|| panic!("{}", fs::read_to_string(&log).unwrap()));
        let address = first.trim_start_matches("http://").trim_end_matches('/').parse().unwrap();
        Self { child, address, said, log }
    }

    /// Its log up to now.
    pub(crate) fn log(&self) -> String {
        fs::read_to_string(&self.log).unwrap()
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// `serve` with these flags.
pub(crate) fn command(flags: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bubblemargin"));
    command.arg("serve").args(flags).env("NO_COLOR", "1");
    if !flags.contains(&"--listen") {
        command.args(["--listen", "127.0.0.1:0"]);
    }
    command
}

/// What a command of the command line prints.
pub(crate) fn printed(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_bubblemargin"))
        .args(arguments)
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(!output.stdout.is_empty(), "{arguments:?} prints: {complaint}");
    String::from_utf8(output.stdout).unwrap()
}

/// A scratch folder of one test.
pub(crate) fn scratch(test: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("serve").join(test);
    fs::create_dir_all(&folder).unwrap();
    folder
}

/// An empty scratch folder of one test with the dry unit's profile in it.
pub(crate) fn folder_with_a_unit(test: &str) -> PathBuf {
    let folder = scratch(test);
    fs::remove_dir_all(&folder).unwrap();
    fs::create_dir_all(&folder).unwrap();
    fs::copy(format!("{UNITS}/fellmoor-t1.yaml"), folder.join("t1.yaml")).unwrap();
    folder
}
