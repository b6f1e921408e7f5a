//! What leaves the program carries what it rests on.

use super::asked::{table, wet};
use bubblemargin::rating::answer::rated;
use bubblemargin::rating::protection::BubblesFirst;
use bubblemargin::rating::{METHODOLOGY, NOTICE};
use bubblemargin::report::{json, rate_csv, rate_html, rate_text};
use bubblemargin::rules::finding::{Finding, Severity};

#[test]
fn every_export_names_method_version_inputs_date_assumptions_and_the_notice() {
    let mut question = table(&wet(), &[Some(60.0), None], &[20.0, 30.0], &[0.7], 0);
    question.template.inputs_sha256 = "0123456789abcdef".repeat(4);
    let ratings = rated(&question, "2026-10-20");
    let csv = rate_csv::rows(&[&ratings]).unwrap();
    let exports = [json::pretty(&ratings).unwrap(), csv, rate_text::rendered(&ratings)];
    for export in exports {
        let plain = export.split_whitespace().collect::<Vec<_>>().join(" ");
        let parts = [METHODOLOGY, "2026-10-20", "0123456789abcdef", env!("CARGO_PKG_VERSION")];
        for part in parts.into_iter().chain([NOTICE]) {
            assert!(plain.contains(part), "{part} is missing in\n{export}");
        }
        assert!(ratings.assumptions.iter().all(|one| plain.contains(one)), "{export}");
    }
}

#[test]
fn a_row_of_csv_holds_the_figures_of_its_cell() {
    let ratings = rated(&table(&wet(), &[Some(60.0), None], &[20.0], &[0.7], 0), "2026-10-20");
    let csv = rate_csv::rows(&[&ratings]).unwrap();
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let rows: Vec<std::collections::HashMap<String, String>> =
        reader.deserialize().collect::<Result<_, _>>().unwrap();
    assert_eq!(rows.len(), ratings.cells.len());
    for (row, cell) in rows.iter().zip(&ratings.cells) {
        let load_pu: f64 = row["load_pu"].parse().unwrap();
        assert_eq!(load_pu.to_bits(), cell.load_pu.unwrap().to_bits());
        assert_eq!(row["duration_min"].parse().ok(), cell.duration_min);
        // 40 MVA at 33 kV: 40 000/(√3 · 33) A.
        let lv = row["a"].split(' ').find_map(|part| part.strip_prefix("LV=")).unwrap();
        let amperes: f64 = lv.parse().unwrap();
        assert!((amperes - load_pu * 40_000.0 / (3.0_f64.sqrt() * 33.0)).abs() < 1.0e-6);
    }
}

/// A relay may let loads through in the heat and trip under the greater ones that the cold permits.
#[test]
fn what_protection_does_at_the_coldest_ambient_alone_is_said_too() {
    let mut ratings = rated(&table(&wet(), &[Some(60.0)], &[0.0, 30.0], &[0.7], 0), "2026-10-20");
    let [coldest, warmest] = ratings.protection.as_mut_slice() else { unreachable!("two ends") };
    assert!(coldest.asked.ambient_c < warmest.asked.ambient_c);
    let text = "backup may trip under a permitted load.";
    let stop =
        Finding { text: text.to_owned(), severity: Severity::Stop, ..warmest.findings[0].clone() };
    coldest.findings.push(stop);
    let first = BubblesFirst { relay: "cold one".to_owned(), ..warmest.first[0].clone() };
    let words = "The paper may bubble before the cold one trips.".to_owned();
    coldest.first.push(BubblesFirst { words, ..first });
    for shown in [rate_text::rendered(&ratings), rate_html::report(&ratings).unwrap()] {
        let plain = shown.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(plain.contains(&format!("At 0 °C: {text}")), "{plain}");
        assert!(plain.contains("before the cold one trips"), "{plain}");
    }
}
