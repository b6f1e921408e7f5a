//! The reports of the demo, made once.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

const T1: &str = "demo-data/units/fellmoor-t1.yaml";
const T2: &str = "demo-data/units/fellmoor-t2.yaml";
const EVENING: &str = "--loading demo-data/loading/evening-transfer.csv --ambient-file demo-data/ambient/warm-evening.csv --preload 0.65";

/// One report.
pub(crate) fn made(question: &str) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bubblemargin"));
    command.args(question.split_whitespace());
    command.args(["--as-of", "2026-10-20", "--format", "html"]);
    let output = command.output().unwrap();
    let words = String::from_utf8_lossy(&output.stderr);
    assert!([Some(0), Some(3)].contains(&output.status.code()), "{question}: {words}");
    String::from_utf8(output.stdout).unwrap()
}

/// Every report with its name.
pub(crate) fn reports() -> Vec<(&'static str, String)> {
    static MADE: OnceLock<Vec<(&'static str, String)>> = OnceLock::new();
    let all = || {
        vec![
            ("check-go", made(&format!("check {T1} {EVENING}"))),
            ("check-no-go", made(&format!("check {T2} {EVENING}"))),
            (
                "check-cautions",
                made(&format!(
                    "check {T2} --step 1.05:90min --step 0.95:2h --preload 0.65 --ambient 27"
                )),
            ),
            ("moisture", made(&format!("moisture {T2}"))),
            ("rate", made(&format!("rate {T2} --draws 256"))),
            ("plan", made(&format!("plan {T2} --outages demo-data/outages.yaml --draws 256"))),
            (
                "fleet",
                made(
                    "fleet demo-data/fleet/units --loads demo-data/fleet/loads.csv --times-peak 2 --for 4h --draws 0",
                ),
            ),
        ]
    };
    MADE.get_or_init(all).clone()
}

/// A folder for files of these tests.
pub(crate) fn scratch(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("report-html").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}
