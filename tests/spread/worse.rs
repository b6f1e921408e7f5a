//! What must hold whatever the case: more doubt earns nothing, and worse is never better.

use crate::dice::Dice;
use crate::scene::{NAMES, Scene, Stds};
use bubblemargin::rules::verdict::Verdict;

/// Cases of each property; raised by the environment for a long run.
fn cases(few: u64) -> u64 {
    std::env::var("SPREAD_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(few)
}

/// A question with usual spreads, somewhere around the limit.
fn scene(dice: &mut Dice) -> Scene {
    let load_pu = dice.between(0.8, 1.5);
    let mut stds = Stds::USUAL;
    for std in &mut stds.0 {
        *std *= dice.between(0.0, 1.0);
    }
    Scene {
        load_pu,
        duration_min: dice.between(20.0, 500.0),
        preload_pu: load_pu * dice.between(0.3, 0.9),
        ambient_c: dice.between(-10.0, 38.0),
        top_oil_c: dice.coin().then(|| dice.between(30.0, 80.0)),
        moisture: dice.between(0.8, 3.5),
        moisture_std: Some(dice.between(0.05, 0.4)),
        gas: dice.between(0.5, 9.5),
        altitude_m: dice.between(0.0, 2000.0),
        head_m: dice.between(0.7, 4.0),
        stage: if dice.coin() { Some(1) } else { None },
        stds,
        ..Scene::usual()
    }
}

fn p05_k(scene: &Scene) -> (f64, f64) {
    let answer = scene.assessed();
    let low = |k: Option<f64>| k.unwrap_or(f64::NEG_INFINITY);
    (low(answer.bubbling.margin_p05_k), low(answer.bubbling.margin_low_k))
}

/// By how much more doubt about a quantity, or about all of them, raises the 5 % point and the
/// margin that the verdict uses, K: the worst of many cases, with the case.
fn worst_rise(few: u64, seed: u64, which: Option<usize>) -> ((f64, String), (f64, String)) {
    let (mut p05, mut low) = ((0.0, String::new()), (0.0, String::new()));
    for case in 0..cases(few) {
        let mut dice = Dice(seed + case);
        let better = scene(&mut dice);
        let factor = dice.between(1.5, 3.0);
        let mut stds = better.stds;
        for (index, std) in stds.0.iter_mut().enumerate() {
            if which.is_none_or(|which| which == index) {
                *std *= factor;
            }
        }
        // Held to what the reader accepts of the scene's unit.
        let most = [17.0, 8.6, 2.0, 0.1, 0.15, 50.0, 2.3, 0.5, better.gas / 3.0, 1.0, 5.0, 0.15, 10.0, 5.0, 30.0, 15.0];
        for (std, most) in stds.0.iter_mut().zip(most) {
            *std = std.min(most);
        }
        let ((before_k, before_low_k), (after_k, after_low_k)) =
            (p05_k(&better), p05_k(&better.with_stds(stds)));
        for (worst, rise_k) in
            [(&mut p05, after_k - before_k), (&mut low, after_low_k - before_low_k)]
        {
            if rise_k > worst.0 {
                *worst = (rise_k, format!("{better:?} x{factor}"));
            }
        }
    }
    (p05, low)
}

#[test]
#[ignore = "long"]
fn look() {
    let draws: u32 = std::env::var("SPREAD_DRAWS").ok().and_then(|n| n.parse().ok()).unwrap_or(512);
    for index in [0usize, 1, 2, 3, 5, 7, 8, 13, 14, 15, 99] {
        let mut rises: Vec<(f64, f64, f64, bool, bool)> = Vec::new();
        for case in 0..cases(40) {
            let mut dice = Dice(1000 + case);
            let better = scene(&mut dice);
            let factor = dice.between(1.5, 3.0);
            let mut stds = better.stds;
            let most = [17.0, 8.6, 2.0, 0.1, 0.15, 50.0, 2.3, 0.5, better.gas / 3.0, 1.0, 5.0, 0.15, 10.0, 5.0, 30.0, 15.0];
            for (at, std) in stds.0.iter_mut().enumerate() {
                if at == index || index == 99 {
                    *std = (*std * factor).min(most[at]);
                }
            }
            let of = |scene: &Scene| {
                let mut case = scene.case();
                case.request.loading.end_min = scene.duration_min;
                let answer = scene.drawn(draws, 1).assessed();
                let spread = answer.spread.unwrap();
                let shift = spread.margin_k.p50.unwrap_or(f64::NAN) - answer.bubbling.margin_k.unwrap_or(f64::NAN);
                (spread.margin_k.p05.unwrap_or(f64::NEG_INFINITY), shift, answer.bubbling.margin_counting_k.unwrap_or(f64::NAN))
            };
            let (a, b) = (of(&better), of(&better.with_stds(stds)));
            let low = |x: (f64, f64, f64)| x.0.min(x.2);
            let fixed = |x: (f64, f64, f64)| (x.0 - x.1.max(0.0)).min(x.2);
            rises.push((low(b) - low(a), fixed(b) - fixed(a), b.1 - a.1, better.stage.is_none(), better.top_oil_c.is_some()));
        }
        for (name, automatic, measured) in [("fixed", false, false), ("fixed measured", false, true), ("auto", true, false), ("auto measured", true, true)] {
            let own: Vec<_> = rises.iter().filter(|r| r.3 == automatic && r.4 == measured).collect();
            let worst = own.iter().map(|r| r.0).fold(0.0, f64::max);
            let fixed = own.iter().map(|r| r.1).fold(0.0, f64::max);
            let share = own.iter().filter(|r| r.0 > 0.05).count();
            println!("{index} {name}: n {} worst {worst:.3} over .05: {share}, with take-back {fixed:.3}", own.len());
        }
    }
}

#[test]
#[ignore = "long"]
fn measure() {
    for which in (0..NAMES.len()).map(Some).chain([None]) {
        if which == Some(11) {
            continue;
        }
        let (p05, low) = worst_rise(40, 1000, which);
        let name = which.map_or("all", |which| NAMES[which]);
        println!("{name}: p05 {:.4} low {:.4}\n   {}", p05.0, low.0, p05.1);
    }
}

#[test]
#[ignore = "long"]
fn measure_worse() {
    let ways: [(&str, fn(&mut Scene, f64)); 6] = [
        ("load", |s, by| s.load_pu *= 1.0 + 0.1 * by),
        ("ambient", |s, by| s.ambient_c += 4.0 * by),
        ("moisture", |s, by| s.moisture += 0.5 * by),
        ("gas", |s, by| s.gas = (s.gas + 2.0 * by).min(10.5)),
        ("longer", |s, by| s.duration_min += 60.0 * by),
        ("altitude", |s, by| s.altitude_m += 300.0 * by),
    ];
    for (name, way) in ways {
        let (mut worst, mut which) = (0.0, String::new());
        for case in 0..cases(40) {
            let mut dice = Dice(5000 + case);
            let better = scene(&mut dice);
            let mut worse = better.clone();
            way(&mut worse, dice.between(0.0, 1.0));
            let ((before_k, _), (after_k, _)) = (p05_k(&better), p05_k(&worse));
            if after_k - before_k > worst {
                worst = after_k - before_k;
                which = format!("{better:?}\n   {worse:?}");
            }
        }
        println!("{name}: {worst:.5}\n   {which}");
    }
    let _ = Verdict::Go;
}
