//! Total gas content from single gases: the example of ASTM D3612.

use super::printed::{assert_within, rows};
use bubblemargin::bubbling::gas;
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Row {
    gas: String,
    ppm: f64,
}

fn report() -> Vec<(String, f64)> {
    let rows: Vec<Row> = rows(include_str!("astm_d3612/gas_content.csv"));
    rows.into_iter().map(|row| (row.gas, row.ppm)).collect()
}

#[test]
fn the_total_is_the_sum_of_the_single_gases() {
    let total = gas::total(&report()).unwrap();
    // Half a unit of the last printed digit of 6.0289 %.
    assert_within(0.000_05, total.value(), 6.0289, "total gas in %");
}

/// N2 and O2 are most of the printed total, so a report without either gives none.
#[test]
fn without_nitrogen_or_oxygen_the_report_gives_no_total() {
    assert!(gas::names_nitrogen_and_oxygen(&report()));
    for lacking in ["N2", "O2"] {
        let mut rest = report();
        rest.retain(|(symbol, _)| symbol != lacking);
        assert!(!gas::names_nitrogen_and_oxygen(&rest), "without {lacking}");
    }
}

#[test]
fn every_gas_of_the_printed_report_is_known() {
    for (symbol, _) in report() {
        let known = gas::GASES.iter().any(|(known, _)| *known == symbol);
        assert!(known, "{symbol}");
    }
}
