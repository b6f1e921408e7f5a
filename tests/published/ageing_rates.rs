//! Relative ageing rates of IEC 60076-7 and IEEE C57.91, 22 values.

use super::printed::{Printed, assert_within, rows};
use bubblemargin::ageing::rate::AgeingRate;
use bubblemargin::quantities::Celsius;
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Row {
    hot_spot_c: f64,
    kraft: Printed,
    upgraded: Printed,
}

fn table() -> Vec<Row> {
    let rows = rows(include_str!("ageing_rates/ageing_rate.csv"));
    assert_eq!(rows.len(), 11, "the printed table has eleven rows");
    rows
}

fn check(rate: AgeingRate, column: impl Fn(&Row) -> &Printed) {
    for row in table() {
        let printed = column(&row);
        let computed = rate.at(Celsius::new(row.hot_spot_c).unwrap());
        let what = format!("{rate:?} at {} °C", row.hot_spot_c);
        assert_within(printed.half_unit(), computed, printed.number(), &what);
    }
}

/// IEC 60076-7: V = 2^((θh − 98)/6).
#[test]
fn kraft_paper_ages_as_the_iec_guide_prints() {
    check(AgeingRate::Kraft, |row| &row.kraft);
}

/// IEC 60076-7 table and `F_AA` of IEEE C57.91.
#[test]
fn thermally_upgraded_paper_ages_as_both_guides_print() {
    check(AgeingRate::ThermallyUpgraded, |row| &row.upgraded);
}
