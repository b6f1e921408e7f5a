//! Inverse-time curves against printed operating times.

use super::printed::{Printed, assert_within, rows};
use bubblemargin::relay::inverse_time::{Curve, Overcurrent, Purpose, Timing};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Row {
    curve: Curve,
    multiple: f64,
    seconds: Printed,
}

#[test]
fn operates_at_the_printed_times() {
    let table: Vec<Row> = rows(include_str!("iec_60255_151/times.csv"));
    assert_eq!(table.len(), 6, "rows");
    for row in table {
        let what = format!("{:?} at {}", row.curve, row.multiple);
        let seconds = row.curve.seconds(row.multiple).unwrap();
        assert_within(row.seconds.half_unit(), seconds, row.seconds.number(), &what);
        let relay = Overcurrent {
            purpose: Purpose::Overload,
            timing: Timing::Inverse(row.curve, 0.5),
            setting_pu: 1.2,
            tolerance_percent: Some(0.0),
            supervised: None,
        };
        let half_s = relay.operates_s(1.2 * row.multiple).unwrap();
        // A quotient and a power of it: roundings of 1e-16, which the curve at 2 times makes 1e-13.
        assert_within(1.0e-11, half_s, 0.5 * seconds, "half the multiplier, half the time");
        assert!(relay.operates_s(1.2).is_none(), "not at the setting");
    }
}
