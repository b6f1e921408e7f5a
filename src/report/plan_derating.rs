//! What the unit may carry against moisture, as text.

use super::plan_words::when_in_year;
use super::text::{WIDTH, aligned, titled};
use super::view::{down, near, up, wrapped};
use crate::planning::derating::{AtMoisture, Carries, Derating};
use crate::planning::needed_water::Needed;
use crate::planning::outage::OutageAnswer;
use tabled::builder::Builder;

/// A row for each moisture; then at which one each outage stops working.
pub(super) fn text(derating: &Derating, outages: &[OutageAnswer]) -> String {
    let mut builder = Builder::default();
    let first = derating.rows.first();
    let emergency = first.iter().flat_map(|row| &row.emergency);
    let lengths = emergency.map(|one| super::view::duration(one.duration_min));
    let heads = ["  water", "continuous", "cyclic peak"].into_iter().map(str::to_owned);
    builder.push_record(heads.chain(lengths));
    for row in &derating.rows {
        builder.push_record(record(derating, row));
    }
    let under = format!(
        "continuous and cyclic under {}, an emergency under {} from {} pu; the cycle is that of {}; * as wet as it is",
        derating.limits,
        derating.emergency_limits,
        near(derating.preload_pu, 2),
        when_in_year(&derating.cycle_of)
    );
    let mut lines = vec![aligned(builder, 0..1)];
    lines.extend(wrapped(&under, WIDTH - 4).iter().map(|line| format!("    {line}")));
    lines.extend(outages.iter().filter_map(stops));
    let title = format!(
        "Derating against moisture at {} °C (pu, and what governs)",
        near(derating.ambient_c, 0)
    );
    titled(&title, &lines.join("\n"))
}

fn record(derating: &Derating, row: &AtMoisture) -> Vec<String> {
    let own = row.moisture_percent.to_bits() == derating.counting_percent.to_bits();
    let mark = if own { "*" } else { " " };
    let emergency = row.emergency.iter().map(|one| words(&one.carries));
    let first = [
        format!("  {} % {mark}", up(row.moisture_percent, 2)),
        words(&row.continuous),
        words(&row.cyclic),
    ];
    first.into_iter().chain(emergency).collect()
}

fn words(carries: &Carries) -> String {
    let governs = carries.governs.what.name().replace('-', " ");
    match carries.load_pu {
        Some(pu) => format!("{} {governs}", down(pu, 2)),
        None => format!("none: {governs}"),
    }
}

/// From which moisture on an outage has no start any more.
fn stops(outage: &OutageAnswer) -> Option<String> {
    let water = outage.water.as_ref()?;
    let words = match (water.found, water.at_most_percent) {
        (Needed::Within, Some(percent)) => format!("stops working above {} %", down(percent, 2)),
        (Needed::Any, _) => "works however wet it is".to_owned(),
        (Needed::Within | Needed::NotWater, _) => "does not work however dry it is".to_owned(),
    };
    Some(wrapped(&format!("{}: {words}", outage.name), WIDTH - 4).join("\n    "))
        .map(|line| format!("    {line}"))
}
