//! What drying and the like would buy, as text.

use super::plan_words::when_in_year;
use super::text::{WIDTH, aligned, titled};
use super::view::{cut, down, down_or_dash, near, up, up_or_dash, wrapped};
use crate::planning::bought::{Bought, Gain, OutageGain};
use crate::planning::derating::AtMoisture;
use tabled::builder::Builder;

/// Columns of the name of an option in the table.
const NAME: usize = 15;

/// A table of all options, then each in words.
pub(super) fn text(options: &[Bought], mva: f64, currency: Option<&str>) -> String {
    let mut builder = Builder::default();
    let unit = format!("{}/MVA·h", currency.unwrap_or("cost"));
    builder.push_record(["  option", "starts that go", "4 h, pu", "life, a", "MVA·h", &unit]);
    for option in options {
        builder.push_record(row(option));
    }
    let mut parts = vec![aligned(builder, 1..6)];
    parts.extend(options.iter().map(|option| in_words(option, mva, currency)));
    titled(
        "What it would buy (as it stands > with it, as if it were done already)",
        &parts.join("\n"),
    )
}

fn row(option: &Bought) -> [String; 6] {
    let starts = |of: fn(&Gain<usize>) -> usize| -> usize {
        option.outages.iter().map(|outage| of(&outage.go_starts)).sum()
    };
    let (before, after) = (starts(|gain| gain.before), starts(|gain| gain.after));
    let four = |row: &AtMoisture| {
        down_or_dash(row.emergency.last().and_then(|one| one.carries.load_pu), 2)
    };
    let life = option.life.as_ref().map(|life| &life.years);
    [
        format!("  {}", cut(&option.name, NAME)),
        format!("{before} > {after}"),
        format!("{} > {}", four(&option.carries.before), four(&option.carries.after)),
        life.map_or_else(
            || "-".to_owned(),
            |years| format!("{} > {}", down(years.before, 0), down(years.after, 0)),
        ),
        down(option.regained_mva_h, 0),
        option.cost_per_mva_h.map_or_else(|| "-".to_owned(), |cost| up(cost, 0)),
    ]
}

fn in_words(option: &Bought, mva: f64, currency: Option<&str>) -> String {
    let ready = option.ready.as_ref().map_or_else(
        || "at once".to_owned(),
        |ready| format!("from {} on, if it begins with the forecasts", when_in_year(ready)),
    );
    let cost = option
        .cost
        .map_or_else(String::new, |cost| format!(", {} {}", near(cost, 0), currency.unwrap_or("")));
    let continuous = [&option.carries.before, &option.carries.after].map(|row| {
        row.continuous
            .load_pu
            .map_or_else(|| "none".to_owned(), |pu| format!("{} MVA", down(pu * mva, 1)))
    });
    let water = up_or_dash(option.paper.counting_moisture_percent, 2);
    let [before, after] = &continuous;
    let words =
        format!("{}: {ready}{cost}; {water} % water; continuous {before} > {after}", option.name);
    let mut lines = wrapped(&words, WIDTH - 4);
    lines.extend(option.outages.iter().flat_map(outage));
    let lines = lines.iter().enumerate();
    let indent = |at: usize| if at == 0 { "    " } else { "      " };
    lines
        .map(|(at, line)| format!("{}{}", indent(at), line.trim_start()))
        .collect::<Vec<_>>()
        .join("\n")
}

fn outage(outage: &OutageGain) -> Vec<String> {
    let (goes, windows) = (&outage.go_starts, &outage.windows);
    let part = |times: Option<f64>| times.map_or_else(|| "none".to_owned(), |times| down(times, 2));
    let times = &outage.times_planned;
    let load = if times.before.is_none() && times.after.is_none() {
        String::new()
    } else {
        format!("; passes {} > {} times the planned load", part(times.before), part(times.after))
    };
    let text = format!(
        "{}: {} > {} starts ({} in this forecast), {} > {} windows{load}",
        outage.name,
        goes.before,
        goes.after,
        outage.go_starts_in_time,
        windows.before,
        windows.after
    );
    wrapped(&text, WIDTH - 6)
}
