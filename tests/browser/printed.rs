//! What comes out of the printer: the verdict on page 1, nothing that only a screen needs.

use crate::scene::{DOES_NOT_GO, GOES, Look, on_stage};
use fantoccini::wd::{PrintConfiguration, PrintPageRange};
use std::fs;
use std::path::Path;
use std::process::Command;

/// The text of a PDF.
fn text(pdf: &[u8], name: &str) -> String {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.pdf"));
    fs::write(&path, pdf).unwrap();
    let output = Command::new("pdftotext").arg("-layout").arg(&path).arg("-").output().unwrap();
    assert!(output.status.success());
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn the_verdict_is_on_the_first_page() {
    on_stage("printed", Look::default(), |scene| async move {
        let pages = [
            (GOES.to_owned(), "GO WITH CAUTIONS"),
            (DOES_NOT_GO.to_owned(), "NO-GO"),
            (DOES_NOT_GO.replace('?', "/report?"), "NO-GO"),
            (GOES.replace('?', "/report?"), "GO WITH CAUTIONS"),
        ];
        for (at, (page, word)) in pages.iter().enumerate() {
            scene.goto(page).await;
            let first = PrintConfiguration::builder()
                .page_ranges(vec![PrintPageRange::single(1)])
                .build()
                .unwrap();
            let printed = scene.browser.print(first).await.unwrap();
            let printed = text(&printed, &format!("first-page-{at}"));
            assert!(printed.contains(word), "{page}: {printed}");
            for said in ["margin to bubbling", "local rules decide", "hot spot"] {
                assert!(printed.contains(said), "{page}, {said}: {printed}");
            }
            assert!(!printed.contains("Proposed loading"), "the form is not printed");
        }
    });
}

#[test]
fn the_whole_report_is_printed() {
    on_stage("printed-whole", Look::default(), |scene| async move {
        scene.goto(&DOES_NOT_GO.replace('?', "/report?")).await;
        let printed = scene.browser.print(PrintConfiguration::default()).await.unwrap();
        let printed = text(&printed, "whole-report");
        for said in [
            "Cautions",
            "Watch card",
            "Limits",
            "Moisture evidence",
            "Inputs, with source and age",
            "Findings in full",
            "Formulas and sources",
            "authorised by, time",
            "it authorises nothing",
        ] {
            assert!(printed.contains(said), "{said}");
        }
    });
}
