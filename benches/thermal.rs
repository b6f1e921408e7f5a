//! The thermal kernel: a year, ten thousand draws, how the cost grows, and what the machine can do at
//! most.
//!
//! The work of one step of one draw, counted in the source (`thermal/stride.rs`, `thermal/lanes.rs`):
//!
//! | case | transcendental functions | multiply-adds of state and peaks |
//! |---|---|---|
//! | factors shared | none | 5 multiplications, 6 additions, 2 comparisons |
//! | exponents drawn | 2 short exponentials (21 operations each) | the same |
//! | nothing shared | 2 exponentials (35), 2 logarithms (40 and a division) each load | the same |
//! | a year, hot spot and ageing | 3 exponentials, 2 logarithms | 9, 10, 2 (the ambient ramps) |
//!
//! No multiply-add is fused: that would give other digits on other processors. How far each case is
//! from the floor measured below is in `DEVELOPERS.md`, section "Speed".

#[path = "cases/invented.rs"]
mod invented;

use bubblemargin::ageing::rate::AgeingRate;
use bubblemargin::thermal::ensemble::{Common, Doubt, Steps};
use bubblemargin::thermal::lanes::{Work, exp, ln, wide};
use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use invented::{Draw, NOMINAL, lags, peaks, steps, three_models, through};

fn main() {
    divan::main();
}

const DRAWS: u32 = 10_000;
const DAY: u32 = 1_440;
const YEAR: u32 = 525_600;

/// Another load in every minute.
fn loads(count: u32) -> Vec<f64> {
    let load = |k: u32| 0.9 + 0.3 * (f64::from(k) / 229.0).sin() + 0.001 * f64::from(k % 13);
    (0..count).map(load).collect()
}

fn draws(count: u32) -> Vec<Draw> {
    let of = |j: u32| {
        let off = |value: f64, pace: f64| value * (1.0 + 0.05 * (f64::from(j) * pace).sin());
        Draw {
            top_oil_rise_k: off(NOMINAL.top_oil_rise_k, 0.7),
            gradient_k: off(NOMINAL.gradient_k, 1.1),
            oil_min: off(NOMINAL.oil_min, 1.3),
            winding_min: off(NOMINAL.winding_min, 1.7),
            x: off(NOMINAL.x, 2.1),
            y: off(NOMINAL.y, 2.3),
        }
    };
    (0..count).map(of).collect()
}

/// Counts the steps of draws, so that the throughput is that of step-draws: 1 Gitem/s is a nanosecond each.
fn ensemble(bencher: Bencher<'_, '_>, (count, minutes): (u32, u32), common: Common) {
    let load = |_minute: f64| 0.03;
    let doubt = match common {
        Common::Nothing => Doubt { load: Some(&load), ambient_k: None },
        Common::Factors | Common::Logarithms => Doubt::NONE,
    };
    let steps: Option<Steps> = steps(&loads(minutes), doubt);
    let mut draws = draws(count);
    if common == Common::Factors {
        for draw in &mut draws {
            (draw.x, draw.y) = (NOMINAL.x, NOMINAL.y);
        }
    }
    let lags = lags(&draws);
    let error = |draw: usize| if draw.is_multiple_of(2) { 0.5 } else { -1.0 };
    bencher
        .counter(ItemsCount::new(u64::from(count) * u64::from(minutes)))
        .bench(|| steps.as_ref().map(|steps| peaks(black_box(steps), &lags, common, error)));
}

#[divan::bench]
fn draws_factors_shared(bencher: Bencher<'_, '_>) {
    ensemble(bencher, (DRAWS, DAY), Common::Factors);
}

#[divan::bench]
fn draws_exponents_drawn(bencher: Bencher<'_, '_>) {
    ensemble(bencher, (DRAWS, DAY), Common::Logarithms);
}

/// As in `check` where load and losses are in doubt.
#[divan::bench(sample_count = 20)]
fn draws_nothing_shared(bencher: Bencher<'_, '_>) {
    ensemble(bencher, (DRAWS, DAY), Common::Nothing);
}

/// Linear in the draws over two decades.
#[divan::bench(args = [100, 1_000, 10_000])]
fn linear_in_draws(bencher: Bencher<'_, '_>, count: u32) {
    ensemble(bencher, (count, DAY), Common::Factors);
}

/// Linear in the steps over two decades.
#[divan::bench(args = [144, 1_440, 14_400])]
fn linear_in_steps(bencher: Bencher<'_, '_>, minutes: u32) {
    ensemble(bencher, (1_000, minutes), Common::Factors);
}

/// A series of one-minute samples, hot spot and ageing of kraft paper.
#[divan::bench(args = [YEAR / 100, YEAR / 10, YEAR])]
fn year_hot_spot_and_ageing(bencher: Bencher<'_, '_>, minutes: u32) {
    let load_pu = loads(minutes);
    let ambient = |k: u32| 10.0 + 5.0 * (f64::from(k) / 228.0).sin();
    let ambient_c: Vec<f64> = (0..=minutes).map(ambient).collect();
    bencher.counter(ItemsCount::new(minutes)).bench(|| {
        let mut hours = 0.0;
        let peak_c = through(black_box(&load_pu), &ambient_c, |hot_spots_c| {
            hours += AgeingRate::Kraft.hours_used_evenly(1.0, hot_spots_c);
        });
        (peak_c, hours)
    });
}

/// The same series through all three models; linear in the minutes.
#[divan::bench(args = [YEAR / 100, YEAR / 10, YEAR], sample_count = 20)]
fn year_three_models(bencher: Bencher<'_, '_>, minutes: u32) {
    let load_pu = loads(minutes);
    let ambient = |k: u32| 10.0 + 5.0 * (f64::from(k) / 228.0).sin();
    let ambient_c: Vec<f64> = (0..=minutes).map(ambient).collect();
    bencher
        .counter(ItemsCount::new(minutes))
        .bench(|| three_models(black_box(&load_pu), &ambient_c));
}

/// Numbers that stay in the fastest memory.
const FEW: u32 = 1_024;

/// An elementary function on some numbers, as wide as the processor has it.
struct Each<'a, F>(&'a mut [f64], F);

impl<F: Fn(f64) -> f64> Work for Each<'_, F> {
    type Answer = ();

    #[allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]
    #[inline(always)]
    fn run(self) {
        for value in self.0 {
            *value = self.1(*value);
        }
    }
}

fn floor(bencher: Bencher<'_, '_>, function: impl Fn(f64) -> f64 + Copy + Sync) {
    let from: Vec<f64> = (0..FEW).map(|k| 0.3 + f64::from(k) / 512.0).collect();
    bencher.counter(ItemsCount::new(FEW)).with_inputs(|| from.clone()).bench_local_refs(|values| {
        wide(Each(values, function));
    });
}

#[divan::bench]
fn floor_exp(bencher: Bencher<'_, '_>) {
    floor(bencher, exp);
}

#[divan::bench]
fn floor_ln(bencher: Bencher<'_, '_>) {
    floor(bencher, ln);
}

/// Thirty-two multiplications with an addition each for every item, as in a step of three lags.
#[divan::bench]
fn floor_multiply_add_times_32(bencher: Bencher<'_, '_>) {
    floor(bencher, |value| {
        let mut parts = [value; 4];
        for _ in 0..8 {
            for part in &mut parts {
                *part = *part * 0.987 + 0.013;
            }
        }
        parts.iter().sum()
    });
}
