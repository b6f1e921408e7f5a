//! Everything of a `check` but the processor start: reading, one evaluation, the whole assessment with
//! and without draws.
//!
//! The search for the largest loads is what `assess_without_draws` takes beyond `one_evaluation`.

#[path = "demo/case.rs"]
mod demo;

use bubblemargin::assessment::assess;
use bubblemargin::assessment::basis::Basis;
use bubblemargin::assessment::case::{Case, DEFAULT_DRAWS};
use bubblemargin::assessment::evaluation::Evaluation;
use bubblemargin::input::InputError;
use bubblemargin::input::rows::Rows;
use bubblemargin::input::table::{Table, Zero};
use bubblemargin::loading::long_history::HistoryRows;
use demo::demo;
use divan::counter::BytesCount;
use divan::{Bencher, black_box};
use std::fmt::Write;

fn main() {
    divan::main();
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
