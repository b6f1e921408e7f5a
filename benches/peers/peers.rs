//! The Rust side of `benches/peers/peers.py`: reads the data that it wrote, runs the same cases through
//! the library's public interface, and prints times and results as JSON.
//!
//! `cargo run --release --example peers -- FOLDER MINUTES`

#![allow(clippy::print_stdout, reason = "its answer goes to standard output")]

#[path = "../cases/invented.rs"]
mod invented;

use bubblemargin::ageing::rate::AgeingRate;
use bubblemargin::thermal::ensemble::{Common, Doubt};
use invented::{Draw, detailed, lags, peaks, steps, three_models, through};
use serde_json::{Value, json};
use std::error::Error;
use std::fs;
use std::path::Path;
use std::time::Instant;

/// The best of so many runs counts.
const RUNS: usize = 50;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().collect();
    let [_, folder, part] = arguments.as_slice() else {
        return Err("peers FOLDER MINUTES: what peers.py wrote, and the part it solves".into());
    };
    let (folder, part): (_, usize) = (Path::new(folder), part.parse()?);
    if part == 0 {
        return begins(folder);
    }
    let draws = numbers(&folder.join("draws.f64"))?;
    let draws: Vec<Draw> = draws.as_chunks::<6>().0.iter().map(draw).collect();
    let steps = steps(&numbers(&folder.join("day_load_pu.f64"))?, Doubt::NONE).ok_or("no day")?;
    let load_pu = numbers(&folder.join("year_load_pu.f64"))?;
    let ambient_c = numbers(&folder.join("year_ambient_c.f64"))?;

    let shared: Vec<Draw> = draws
        .iter()
        .map(|draw| Draw { x: invented::NOMINAL.x, y: invented::NOMINAL.y, ..*draw })
        .collect();
    let (shared, drawn) = (lags(&shared), lags(&draws));
    let mean_peak = |lags, common| {
        let outcomes = peaks(&steps, lags, common, |_| 0.0);
        outcomes.iter().map(|outcome| outcome.hot_spot_c).sum::<f64>() / 1.0e4
    };
    let factors = || json!({ "mean_peak_c": mean_peak(&shared, Common::Factors) });
    let exponents = || json!({ "mean_peak_c": mean_peak(&drawn, Common::Logarithms) });
    let year = || {
        let mut hours = 0.0;
        let each = |hot_spots_c: &[f64]| {
            hours += AgeingRate::Kraft.hours_used_evenly(1.0, hot_spots_c);
        };
        let peak_c = through(&load_pu, &ambient_c, each);
        json!({ "peak_c": peak_c, "ageing_h": hours })
    };
    let part_of_year =
        || json!({ "peak_c": through(&load_pu[..part], &ambient_c[..=part], |_| ()) });
    let moved_pu = numbers(&folder.join("moved_load_pu.f64"))?;
    let three = |load_pu: &[f64]| {
        let [iec_c, ieee_c, detailed_c] = three_models(load_pu, &ambient_c);
        json!({ "iec_c": iec_c, "ieee_c": ieee_c, "detailed_c": detailed_c })
    };
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build()?;
    let answer = json!({
        "threads": rayon::current_num_threads(),
        "factors": timed(factors),
        "exponents": timed(exponents),
        "factors_one_core": one.install(|| timed(factors)),
        "exponents_one_core": one.install(|| timed(exponents)),
        "year_one_core": one.install(|| timed(year)),
        "year_three_models": one.install(|| timed(|| three(&load_pu))),
        "moved_three_models": one.install(|| timed(|| three(&moved_pu))),
        "part_one_core": one.install(|| timed(part_of_year)),
    });
    println!("{answer}");
    Ok(())
}

/// Writes where the detailed model begins, for the peer to begin there too.
fn begins(folder: &Path) -> Result<(), Box<dyn Error>> {
    for case in ["year", "moved"] {
        let load_pu = numbers(&folder.join(format!("{case}_load_pu.f64")))?;
        let ambient_c = numbers(&folder.join("year_ambient_c.f64"))?;
        let heat = detailed().steady_at(load_pu[0], ambient_c[0]);
        let parts = [heat.winding_c, heat.hot_spot_c, heat.oil_c];
        let bytes: Vec<u8> = parts.iter().flat_map(|part| part.to_le_bytes()).collect();
        fs::write(folder.join(format!("{case}_begin.f64")), bytes)?;
    }
    Ok(())
}

fn draw(&[top_oil_rise_k, gradient_k, oil_min, winding_min, x, y]: &[f64; 6]) -> Draw {
    Draw { top_oil_rise_k, gradient_k, oil_min, winding_min, x, y }
}

/// The result of a run and the time of the best, ms.
fn timed(run: impl Fn() -> Value) -> Value {
    let mut result = run();
    let mut best_ms = f64::INFINITY;
    for _ in 0..RUNS {
        let begun = Instant::now();
        result = run();
        best_ms = best_ms.min(begun.elapsed().as_secs_f64() * 1.0e3);
    }
    result["ms"] = json!(best_ms);
    result
}

/// Numbers in eight bytes each, the least significant first.
fn numbers(path: &Path) -> Result<Vec<f64>, Box<dyn Error>> {
    let bytes = fs::read(path)?;
    Ok(bytes.as_chunks::<8>().0.iter().map(|bytes| f64::from_le_bytes(*bytes)).collect())
}
