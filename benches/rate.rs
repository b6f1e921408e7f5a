//! A rating table of the demo's wet unit: 7 durations × 9 ambients × 6 preloads under one limit set, with
//! the 5 % point of all draws and without.

#[path = "demo/case.rs"]
mod demo;

use bubblemargin::assessment::case::DEFAULT_DRAWS;
use bubblemargin::input::InputError;
use bubblemargin::rating::question::{Ambient, Question};
use bubblemargin::rating::table::cells;
use demo::demo;
use divan::{Bencher, black_box};

fn main() {
    divan::main();
}

fn question(draws: u32) -> Result<Question, InputError> {
    let template = demo(draws)?;
    let durations = [15.0, 30.0, 60.0, 120.0, 240.0, 480.0, 1440.0];
    Ok(Question {
        sets: vec![template.limits.clone()],
        template,
        durations_min: durations.iter().copied().map(Some).collect(),
        ambients: (0..9).map(|step| Ambient::constant(5.0 * f64::from(step))).collect(),
        preloads_pu: [0.5, 0.6, 0.7, 0.8, 0.9, 1.0].to_vec(),
    })
}

#[divan::bench(args = [DEFAULT_DRAWS, 0], sample_count = 5)]
fn table(bencher: Bencher<'_, '_>, draws: u32) {
    let question = question(draws).inspect_err(|error| eprintln!("{error}")).ok();
    bencher.bench(|| question.as_ref().map(|question| cells(black_box(question)).len()));
}
