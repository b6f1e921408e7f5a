//! Everything of a `check` but the processor start: reading, one evaluation, the whole assessment with
//! and without draws.
//!
//! The search for the largest loads is what `assess_without_draws` takes beyond `one_evaluation`.

use bubblemargin::assessment::assess;
use bubblemargin::assessment::basis::Basis;
use bubblemargin::assessment::case::{
    Case, DEFAULT_DRAWS, HotSpotMoisture, Request, Sampling, StartFrom,
};
use bubblemargin::assessment::evaluation::Evaluation;
use bubblemargin::input::InputError;
use bubblemargin::input::rows::Rows;
use bubblemargin::input::table::{Table, Zero};
use bubblemargin::loading::ambient::{self, Forecast};
use bubblemargin::loading::load::Proposal;
use bubblemargin::loading::long_history::HistoryRows;
use bubblemargin::rules::limits::{LimitSet, usual_set};
use bubblemargin::unit::Condition;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit_with;
use divan::counter::BytesCount;
use divan::{Bencher, black_box};
use std::fmt::Write;

fn main() {
    divan::main();
}

/// The demo of the README, through the same readers.
fn demo(draws: u32) -> Result<Case, InputError> {
    let catalogue = Catalogue::embedded();
    let probe = include_str!("../demo-data/units/fellmoor-t2-probe.csv").to_owned();
    let unit = read_unit_with(
        "unit",
        include_str!("../demo-data/units/fellmoor-t2.yaml"),
        &catalogue,
        &mut |name| Ok((name.to_owned(), probe.clone())),
    )?;
    let mut zero = Zero(None);
    let load = include_str!("../demo-data/loading/evening-transfer.csv");
    let proposal = Proposal::from_csv("load", load, unit.rated_mva, &mut zero)?;
    let loading = proposal.followed_by(None, 0.65)?;
    let text = include_str!("../demo-data/ambient/warm-evening.csv");
    let Forecast { line, .. } = ambient::from_csv("ambient", text, loading.end_min, &mut zero)?;
    let set = usual_set(loading.end_min);
    let limits = LimitSet::named(set, unit.size_class, loading.end_min, &catalogue)?;
    Ok(Case {
        request: Request {
            loading,
            start: StartFrom::Preload(0.65),
            forecast_until_min: None,
            ambient: line,
            top_oil_c: None,
            stage: None,
            cooling_lost_at_min: None,
            condition: Condition::default(),
            hot_spot: HotSpotMoisture::Bulk,
            dried_to_percent: 1.0,
            load_error: unit.spread.load_percent.clone(),
            ambient_error: unit.spread.ambient_k.clone(),
            sampling: Sampling { draws, ..Sampling::default() },
        },
        unit,
        limits,
        local: None,
        as_of: None,
        inputs_sha256: String::new(),
    })
}

fn read(case: Result<Case, InputError>) -> Option<Case> {
    case.inspect_err(|error| eprintln!("{error}")).ok()
}

#[divan::bench(sample_count = 10)]
fn assess_with_draws(bencher: Bencher<'_, '_>) {
    let case = read(demo(DEFAULT_DRAWS));
    bencher.bench(|| case.as_ref().map(|case| assess(black_box(case))));
}

#[divan::bench(sample_count = 30)]
fn assess_without_draws(bencher: Bencher<'_, '_>) {
    let case = read(demo(0));
    bencher.bench(|| case.as_ref().map(|case| assess(black_box(case))));
}

#[divan::bench]
fn one_evaluation(bencher: Bencher<'_, '_>) {
    let case = read(demo(0));
    bencher.bench(|| {
        case.as_ref().map(|case| {
            let basis = Basis::of(black_box(case));
            Evaluation::of(case, &basis, &case.request.loading.load, None).verdict
        })
    });
}

/// Rows of a minute each, as CSV.
fn history(rows: u32) -> String {
    let mut text = String::from("minute,load_pu,ambient_c\n");
    for k in 0..rows {
        let slow = (f64::from(k) / 229.0).sin();
        // Writing to a string does not fail.
        let _ = writeln!(text, "{k},{:.4},{:.2}", 0.9 + 0.3 * slow, 10.0 + 5.0 * slow);
    }
    text
}

const COLUMNS: [&str; 3] = ["minute", "load_pu", "ambient_c"];
const YEAR: u32 = 525_600;

/// Cells of a year, row by row.
#[divan::bench(sample_count = 10)]
fn csv_rows_of_a_year(bencher: Bencher<'_, '_>) {
    let text = history(YEAR);
    bencher.counter(BytesCount::of_str(&text)).bench(|| {
        let mut rows = Rows::new("rows", black_box(text.as_bytes()), &COLUMNS)?;
        let mut count = 0;
        while rows.advance()? {
            count += 1;
        }
        Ok::<_, InputError>(count)
    });
}

/// The same as numbers, with times and order checked.
#[divan::bench(sample_count = 10)]
fn csv_history_of_a_year(bencher: Bencher<'_, '_>) {
    let text = history(YEAR);
    bencher.counter(BytesCount::of_str(&text)).bench(|| {
        let mut rows = HistoryRows::new("history", black_box(text.as_bytes()), 40.0, Zero(None))?;
        let mut greatest_pu = 0.0_f64;
        while let Some(row) = rows.next_row()? {
            greatest_pu = greatest_pu.max(row.load_pu);
        }
        Ok::<_, InputError>(greatest_pu)
    });
}

/// The table that schedules are read into, a month of minutes.
#[divan::bench(sample_count = 10)]
fn csv_table_of_a_month(bencher: Bencher<'_, '_>) {
    let text = history(YEAR / 12);
    bencher
        .counter(BytesCount::of_str(&text))
        .bench(|| Table::read("table", black_box(&text), &COLUMNS));
}
