//! A year of hourly starts for three outages of five days, three days and one on two units that carry for each other.

#[path = "plan/year.rs"]
mod year;

use bubblemargin::planning::answer::planned;
use divan::{Bencher, black_box};
use year::question;

fn main() {
    divan::main();
}

/// The whole year; with a next trip at every hour too or without, with draws or none.
#[divan::bench(args = [(false, 1024), (true, 1024), (true, 0)], sample_count = 3, sample_size = 1)]
fn a_year_of_starts(bencher: Bencher<'_, '_>, (trips, draws): (bool, u32)) {
    let question = question(8760, trips, draws).inspect_err(|error| eprintln!("{error}")).ok();
    bencher.bench_local(|| question.as_ref().map(|question| planned(black_box(question))));
}

/// Cost against hours.
#[divan::bench(args = [876, 2920, 8760], sample_count = 3, sample_size = 1)]
fn hours(bencher: Bencher<'_, '_>, hours: usize) {
    let question = question(hours, false, 1024).inspect_err(|error| eprintln!("{error}")).ok();
    bencher.bench_local(|| question.as_ref().map(|question| planned(black_box(question))));
}
