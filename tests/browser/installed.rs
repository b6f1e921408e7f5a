//! The browser, its driver and a reader of PDF.

use std::process::Command;
use std::sync::OnceLock;

/// Programs, and the Debian packages that bring them.
const NEEDED: [(&str, &str); 3] =
    [("chromium", "chromium"), ("chromedriver", "chromium-driver"), ("pdftotext", "poppler-utils")];

fn there(program: &str) -> bool {
    let version = if program == "pdftotext" { "-v" } else { "--version" };
    Command::new(program).arg(version).output().is_ok_and(|output| output.status.success())
}

/// Makes sure, once, that they are there; says what to install where it cannot.
pub(crate) fn make_sure() {
    static SURE: OnceLock<()> = OnceLock::new();
    SURE.get_or_init(|| {
        let missing = || NEEDED.iter().filter(|(program, _)| !there(program));
        let packages: Vec<&str> = missing().map(|(_, package)| *package).collect();
        if packages.is_empty() {
            return;
        }
        let apt = |arguments: &[&str]| Command::new("apt-get").args(arguments).output();
        let _ = apt(&["update"]);
        // The pages name this family first; its widths are what the layout is tested with.
        let _ = apt(&[&["install", "-y", "fonts-dejavu-core"], &packages[..]].concat());
        let still: Vec<&str> = missing().map(|(_, package)| *package).collect();
        assert!(still.is_empty(), "these tests need a browser: install {}", still.join(" "));
    });
}
