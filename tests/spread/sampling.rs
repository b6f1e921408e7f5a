//! How many draws, which seed, how many processors; and what the causes say.

use crate::scene::{Scene, Stds};
use assert_cmd::Command;
use bubblemargin::assessment::case::Sampling;
use bubblemargin::assessment::spread::Spread;
use bubblemargin::assessment::spread::inputs::Quantity;
use bubblemargin::report::json;

/// With so many draws the rest of the error does not matter beside those of fewer.
fn reference(many: u32) -> Spread {
    Scene::usual().drawn(many, 77).spread()
}

fn draws_from_environment(few: u32) -> u32 {
    std::env::var("SPREAD_MANY").ok().and_then(|n| n.parse().ok()).unwrap_or(few)
}

/// Errors shrink with the draws at least as those of independent draws would: four standard errors
/// of those, √(p(1 − p)/n), and of the 5 % point √(0.05·0.95/n) over its density, 0.103 per
/// standard deviation of about 9 K.
#[test]
fn more_draws_come_closer() {
    let many = draws_from_environment(4096);
    let best = reference(many);
    let std = (best.margin_k.p95.unwrap() - best.margin_k.p05.unwrap()) / 3.29;
    let mut draws = 256;
    while draws < many {
        let found = Scene::usual().drawn(draws, 1).spread();
        // The usual number is doubled where it needs to be.
        assert!(found.sampling.draws >= draws as usize && found.sampling.seed == 1);
        let n = f64::from(draws);
        let p = best.below_required.probability;
        let apart = (found.below_required.probability - p).abs();
        assert!(apart <= 4.0 * (p * (1.0 - p) / n).sqrt(), "{draws}: {apart}");
        let apart_k = (found.margin_k.p05.unwrap() - best.margin_k.p05.unwrap()).abs();
        let within_k = 4.0 * (0.05 * 0.95 / n).sqrt() / 0.1031 * std;
        assert!(apart_k <= within_k, "{draws}: {apart_k} K of {within_k}");
        draws *= 4;
    }
}

/// The scatter over seeds against the standard error that each of them reports. Twelve seeds know
/// their own scatter to 1/√(2·11), a fifth, and each reported error to a fifth: a factor of two
/// either way is beyond four of the two together.
#[test]
fn the_standard_error_is_honest() {
    let found: Vec<_> =
        (0..12).map(|seed| Scene::usual().drawn(256, 100 + seed).spread().below_required).collect();
    let mean = found.iter().map(|chance| chance.probability).sum::<f64>() / 12.0;
    let square = |chance: &f64| (chance - mean).powi(2);
    let real = (found.iter().map(|c| square(&c.probability)).sum::<f64>() / 11.0).sqrt();
    let told = found.iter().map(|chance| chance.standard_error).sum::<f64>() / 12.0;
    assert!((0.5..=2.0).contains(&(real / told)), "{real} and {told}");
}

#[test]
fn another_seed_gives_other_digits_and_the_same_answer() {
    let (one, same, other) = (
        Scene::usual().drawn(1024, 1).assessed(),
        Scene::usual().drawn(1024, 1).assessed(),
        Scene::usual().drawn(1024, 2).assessed(),
    );
    let text = |answer| json::pretty(answer).unwrap();
    assert_eq!(text(&one), text(&same));
    let (one, other) = (one.spread.unwrap(), other.spread.unwrap());
    assert!((one.sampling.draws, one.sampling.seed) == (1024, 1) && other.sampling.seed == 2);
    let apart = one.below_required.probability - other.below_required.probability;
    let apart_k = one.margin_k.p05.unwrap() - other.margin_k.p05.unwrap();
    assert!(apart_k.abs() > 0.0, "other digits");
    // Five of both errors together.
    let error = one.below_required.standard_error.hypot(other.below_required.standard_error);
    assert!(apart.abs() <= 5.0 * error, "{apart} {error}");
}

/// The whole JSON of the binary, on one processor and on two.
#[test]
fn the_digits_do_not_depend_on_the_processors() {
    let run = |threads: &str| {
        let output = Command::cargo_bin("bubblemargin")
            .unwrap()
            .args(["check", "demo-data/units/fellmoor-t2.yaml"])
            .args(["--loading", "demo-data/loading/evening-transfer.csv"])
            .args(["--ambient-file", "demo-data/ambient/warm-evening.csv"])
            .args(["--preload", "0.65", "--as-of", "2026-10-20", "--draws", "512"])
            .args(["--format", "json"])
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .unwrap();
        assert!(!output.stdout.is_empty());
        String::from_utf8(output.stdout).unwrap()
    };
    let (one, two) = (run("1"), run("2"));
    assert!(one.contains("\"draws\": 512") && one.contains("\"seed\": 1"));
    assert_eq!(one, two);
}

#[test]
fn causes_add_up_and_the_greatest_comes_first() {
    let sampling = Sampling { draws: 256, seed: 1, why: true, ..Sampling::default() };
    let usual = Scene { sampling, ..Scene::usual() };
    let why = usual.spread().why;
    let first: f64 = why.iter().map(|cause| cause.first_order.probability).sum();
    let error: f64 = why.iter().map(|cause| cause.first_order.standard_error).sum();
    // First orders share out no more than the whole variance, within what they may be off.
    assert!(first <= 1.0 + error, "{first} {error}");
    assert!(first > 0.7, "the margin is nearly a sum of its causes: {first}");
    for cause in &why {
        let (one, all) = (cause.first_order, cause.total);
        let error = one.standard_error.hypot(all.standard_error);
        assert!(all.probability >= one.probability - 4.0 * error, "{cause:?}");
    }
    assert!(why.windows(2).all(|two| two[0].total.probability >= two[1].total.probability));
    let again = usual.spread().why;
    assert_eq!(format!("{why:?}"), format!("{again:?}"));
    // Made to be the greatest: ten kelvin against some tenths of the others.
    let small = Stds(Stds::USUAL.0.map(|std| std / 10.0));
    for (name, std, quantity) in
        [("correlation_k", 10.0, Quantity::Correlation), ("ambient_k", 10.0, Quantity::Ambient)]
    {
        let scene = Scene { moisture_std: None, ..usual.with_stds(small.with(name, std)) };
        assert_eq!(scene.spread().why[0].quantity, quantity, "{name}");
    }
}
