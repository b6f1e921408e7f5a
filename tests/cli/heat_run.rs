//! Heat runs: made-up logs of known constants, what comes back, and what is refused.

use crate::run::{run, scratch, written};
use bubblemargin::heat_run::fit::{Fit, Shape};
use bubblemargin::heat_run::log::{self, Log};
use bubblemargin::heat_run::{
    Cold, Conductor, Cooling, Estimate, HeatRun, Question, Reason, worked,
};
use std::fmt::Write;

const DEMO: &str = "demo-data/heat-run/fellmoor-t2-heat-run.csv";
const DEMO_FLAGS: [&str; 10] = [
    "--rated-losses",
    "230",
    "--cooling",
    "onaf",
    "--cold-ohm",
    "0.4120",
    "--cold-c",
    "19.5",
    "--conductor",
    "cu",
];
const HEADER: &str =
    "minute,period,losses_kw,load_pu,ambient_c,top_oil_c,bottom_oil_c,resistance_ohm\n";
const COLD: Cold = Cold { ohm: 0.4, temperature_c: 20.0, conductor: Conductor::Copper };

/// Normal deviates with a fixed seed: a multiplicative generator and Box-Muller.
struct Noise(u64);

impl Noise {
    fn unit(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (f64::from(u32::try_from(self.0 >> 32).unwrap()) + 0.5) / 4_294_967_296.0
    }

    fn next(&mut self, std: f64) -> f64 {
        let (u, v) = (self.unit(), self.unit());
        std * (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}

/// A unit and how it is tested.
#[derive(Clone, Copy)]
struct Made {
    losses_kw: f64,
    load_pu: f64,
    top_k: f64,
    average_k: f64,
    gradient_k: f64,
    tau_min: f64,
    winding_min: f64,
    lasts_min: u32,
    held_min: u32,
    first_reading_min: f64,
    readings: u32,
    noise_k: f64,
}

const USUAL: Made = Made {
    losses_kw: 200.0,
    load_pu: 1.0,
    top_k: 50.0,
    average_k: 40.0,
    gradient_k: 20.0,
    tau_min: 150.0,
    winding_min: 6.0,
    lasts_min: 840,
    held_min: 60,
    first_reading_min: 1.5,
    readings: 40,
    noise_k: 0.3,
};

/// The rows of one test from minute `from` on.
fn rows(made: Made, from: u32, seed: u64) -> String {
    let mut noise = Noise(seed);
    let mut text = String::new();
    let mut row = |minute: u32, period: &str, rest: &str, share: f64| {
        let (top, average) = (20.0 + made.top_k * share, 20.0 + made.average_k * share);
        let mut read = |c: f64| c + noise.next(made.noise_k);
        let (top, bottom) = (read(top), read(2.0 * average - top));
        writeln!(text, "{},{period},{rest},20,{top},{bottom},", from + minute).unwrap();
    };
    let share = |minute: u32| 1.0 - (-f64::from(minute) / made.tau_min).exp();
    for minute in (0..=made.lasts_min).step_by(10) {
        row(minute, "total-losses", &format!("{},", made.losses_kw), share(minute));
    }
    // The current that is held keeps the oil where it is.
    let end = made.lasts_min;
    let held = (1..=made.held_min).step_by(5);
    for minute in held {
        row(end + minute, "held-current", &format!(",{}", made.load_pu), share(end));
    }
    let shutdown = from + end + made.held_min + 1;
    writeln!(text, "{shutdown},cooling,,,,,,").unwrap();
    let oil = 20.0 + made.average_k * share(end);
    for reading in 0..made.readings {
        let t = made.first_reading_min + 0.5 * f64::from(reading);
        let winding = oil - 0.1 * t + made.gradient_k * (-t / made.winding_min).exp();
        let ohm = 0.4 * (235.0 + winding + noise.next(made.noise_k)) / 255.0;
        writeln!(text, "{},cooling,,,,,,{ohm}", f64::from(shutdown) + t).unwrap();
    }
    text
}

fn made_log(tests: &[Made], seed: u64) -> Log {
    let text: String = (0_u32..)
        .zip(tests)
        .map(|(at, made)| rows(*made, at * 3000, seed + u64::from(at)))
        .collect();
    log::read("made up", &format!("{HEADER}{text}")).unwrap()
}

fn asked(tests: &[Made], seed: u64) -> Result<HeatRun, Reason> {
    let question = Question { rated_losses_kw: 200.0, cold: Some(COLD), cooling: Cooling::On };
    worked(&made_log(tests, seed), &question).map_err(|undecided| undecided.reason)
}

fn within(found: Estimate, truth: f64, times: f64) -> bool {
    (found.value - truth).abs() <= times * found.std_fit
}

#[test]
fn a_pure_exponential_is_extrapolated_exactly() {
    let points: Vec<(f64, f64)> = (3..40)
        .map(|i| f64::from(i) * 0.5)
        .map(|t| (t, 60.0 - 0.1 * t + 20.0 * (-t / 6.0).exp()))
        .collect();
    let fit = Fit::of(&points, Shape { sloped: true, tau: (0.5, 60.0) }).unwrap();
    assert!((fit.at(0.0) - 80.0).abs() < 1.0e-6, "{fit:?}");
    assert!((fit.tau - 6.0).abs() < 1.0e-6 && (fit.level - 60.0).abs() < 1.0e-6, "{fit:?}");
    let warm: Vec<(f64, f64)> = (0..60)
        .map(|i| f64::from(i) * 10.0)
        .map(|t| (t, 50.0 - 50.0 * (-t / 150.0).exp()))
        .collect();
    let fit = Fit::of(&warm, Shape { sloped: false, tau: (10.0, 1000.0) }).unwrap();
    assert!((fit.level - 50.0).abs() < 1.0e-6 && (fit.tau - 150.0).abs() < 1.0e-6, "{fit:?}");
}

#[test]
fn known_constants_come_back_and_the_intervals_cover_them() {
    for noise_k in [0.1, 0.5] {
        let made = Made { noise_k, ..USUAL };
        let (mut covered, mut far, mut effective) = ([0_u32; 5], 0_u32, 0_u32);
        for seed in 0..200 {
            let Ok(found) = asked(&[made], 1000 + seed * 7919) else { continue };
            effective += 1;
            let test = &found.tests[0];
            let winding = test.winding.as_ref().unwrap();
            let end = 20.0 + made.average_k * (1.0 - (-840.0_f64 / 150.0).exp());
            let each = [
                (test.top_oil.rise_k, 50.0),
                (test.top_oil.tau_min, 150.0),
                (test.average_oil.as_ref().unwrap().rise_k, 40.0),
                (winding.winding_c, end + 20.0),
                (winding.tau_min, 6.0),
            ];
            for (count, (estimate, truth)) in covered.iter_mut().zip(each) {
                let [least, most] = estimate.interval_95;
                *count += u32::from((least..=most).contains(&truth));
                // Three standard uncertainties, or one draw in some hundreds beyond.
                far += u32::from(!within(estimate, truth, 3.0));
            }
            let gradient = (winding.gradient_k.value - 20.0).abs();
            assert!(gradient <= 4.0 * winding.gradient_k.std, "{gradient}");
        }
        // At 0.5 K some logs are refused for their scatter.
        assert!(effective >= 190, "{effective} at {noise_k} K");
        assert!(far <= 10, "{far} of {} beyond 3 u at {noise_k} K", effective * 5);
        for count in covered {
            let share = f64::from(count) / f64::from(effective);
            assert!((0.90..=0.99).contains(&share), "{covered:?} of {effective} at {noise_k} K");
        }
    }
}

#[test]
fn two_loads_give_both_exponents() {
    let ratio: f64 = 0.65;
    let less = Made {
        losses_kw: 130.0,
        load_pu: 0.8,
        top_k: 50.0 * ratio.powf(0.85),
        average_k: 40.0 * ratio.powf(0.85),
        gradient_k: 20.0 * 0.8_f64.powf(1.6),
        ..USUAL
    };
    let found = asked(&[less, USUAL], 5).unwrap().at_rating;
    assert!(found.x_fitted && found.y_fitted && found.test == 1);
    assert!(within(found.x, 0.85, 3.0) && within(found.y, 1.6, 3.0), "{found:?}");
    let single = asked(&[USUAL], 5).unwrap().at_rating;
    assert!(!single.x_fitted && !single.y_fitted, "one load gives no exponent");
    let alike = Made { losses_kw: 195.0, load_pu: 0.97, ..USUAL };
    assert!(!asked(&[USUAL, alike], 5).unwrap().at_rating.x_fitted, "nor do two that are alike");
}

#[test]
fn rises_are_corrected_to_rated_losses_and_current() {
    let found =
        asked(&[Made { losses_kw: 180.0, load_pu: 0.95, noise_k: 0.001, ..USUAL }], 1).unwrap();
    let rating = found.at_rating;
    let top = 50.0 * (200.0_f64 / 180.0).powf(0.9);
    let gradient = 20.0 * (1.0 / 0.95_f64).powf(1.6);
    // A thousandth of a kelvin of noise; rises and gradient to a hundredth.
    assert!((rating.top_oil_rise_k.value - top).abs() < 0.01, "{rating:?}");
    assert!((rating.average_gradient_k.unwrap().value - gradient).abs() < 0.01, "{rating:?}");
    assert!(rating.top_oil_rise_k.std > 0.8, "thermometers, losses and exponent count");
}

#[test]
fn a_log_that_cannot_give_the_figures_is_refused() {
    let refused = |made: Made| asked(&[made], 3).unwrap_err();
    let slow = Made { tau_min: 400.0, ..USUAL };
    assert!(matches!(refused(slow), Reason::NotSteady { rate_k_per_h } if rate_k_per_h > 1.0));
    let small = Made { top_k: 8.0, average_k: 6.0, tau_min: 400.0, noise_k: 0.01, ..USUAL };
    assert!(
        matches!(refused(small), Reason::ShortWarmUp { tau_min: Some(tau), .. } if tau > 350.0)
    );
    let short = Made { lasts_min: 170, ..USUAL };
    assert!(matches!(refused(short), Reason::ShortWarmUp { tau_min: None, .. }));
    let few = Made { lasts_min: 100, ..USUAL };
    assert!(matches!(refused(few), Reason::FewRows { rows: 11 }));
    let sparse = Made { readings: 7, ..USUAL };
    assert_eq!(refused(sparse), Reason::FewReadings { readings: 7 });
    let late = Made { first_reading_min: 4.5, ..USUAL };
    assert!(matches!(refused(late), Reason::LateReading { first_min } if first_min > 4.4));
    let soon = Made { readings: 14, noise_k: 0.001, ..USUAL };
    assert!(matches!(refused(soon), Reason::ShortCooling { .. }));
    let brief = Made { held_min: 30, ..USUAL };
    assert!(matches!(refused(brief), Reason::ShortCurrent { .. }));
    let far = Made { losses_kw: 150.0, ..USUAL };
    assert!(matches!(refused(far), Reason::FarFromRatedLosses { .. }));
    let weak = Made { load_pu: 0.85, ..USUAL };
    assert!(matches!(refused(weak), Reason::FarFromRatedCurrent { .. }));
}

#[test]
fn uneven_losses_and_a_missing_cold_resistance_are_refused() {
    let mut uneven = made_log(&[USUAL], 3);
    uneven.tests[0].losses[5].losses_kw = Some(215.0);
    let question = Question { rated_losses_kw: 200.0, cold: None, cooling: Cooling::On };
    let reason = |log: &Log| worked(log, &question).unwrap_err().reason;
    assert!(matches!(reason(&uneven), Reason::UnevenLosses { .. }));
    assert_eq!(reason(&made_log(&[USUAL], 3)), Reason::NoColdResistance);
}

#[test]
fn the_demo_becomes_lines_that_a_profile_accepts() {
    let folder = scratch("heat-run");
    let plot = folder.join("fit.svg").display().to_string();
    let _ = std::fs::remove_file(&plot);
    let ran =
        run(&[&["heat-run", DEMO, "--date", "1987-06-02", "--plot", &plot], &DEMO_FLAGS[..]]
            .concat());
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.lines().all(|line| line.chars().count() <= 80), "{}", ran.stdout);
    assert!(std::fs::read_to_string(&plot).unwrap().starts_with("<svg"));
    // Two tests a few kelvin apart leave y to within a third: no line of a profile.
    assert!(ran.stdout.contains("\n  x: ") && !ran.stdout.contains("\n  y: "), "{}", ran.stdout);
    assert!(ran.stdout.contains("# y: ") && ran.stdout.contains("too uncertain"), "{}", ran.stdout);
    let thermal = ran.stdout.replace("thermal:", "thermal:\n  constants: onaf\n  loss_ratio: 6");
    let unit = std::fs::read_to_string(crate::run::T1).unwrap();
    let (before, rest) = unit.split_once("thermal:\n").unwrap();
    let after: Vec<&str> = rest.lines().skip_while(|line| line.starts_with(' ')).collect();
    let after = after.join("\n");
    let profile = written(&folder, "unit.yaml", format!("{before}{thermal}{after}"));
    let valid = run(&["validate", &profile]);
    assert_eq!(valid.code, 0, "{}{}", valid.stdout, valid.stderr);
    let json = run(&[&["heat-run", DEMO, "--format", "json"], &DEMO_FLAGS[..]].concat());
    let json: serde_json::Value = serde_json::from_str(&json.stdout).unwrap();
    let top = json["at_rating"]["top_oil_rise_k"]["value"].as_f64().unwrap();
    // The demo was made with 52 K, and thermometers of 0.15 K.
    assert!((top - 52.0).abs() < 0.5, "{top}");
}

#[test]
fn the_command_refuses_with_the_place_and_with_the_reason() {
    let folder = scratch("heat-run-refused");
    let whole = std::fs::read_to_string(DEMO).unwrap();
    let told = |name: &str, text: &str| {
        run(&[&["heat-run", &written(&folder, name, text)], &DEMO_FLAGS[..]].concat())
    };
    let backwards = told("backwards.csv", &whole.replacen("\n15,total", "\n45,total", 1));
    assert_eq!(backwards.code, 2);
    assert!(backwards.stderr.contains("line 8") && backwards.stderr.contains("earlier"));
    let word =
        told("word.csv", &whole.replacen("\n15,total-losses,", "\n15,total-losses,about", 1));
    assert_eq!(word.code, 2);
    assert!(word.stderr.contains("line 7, column losses_kw"), "{}", word.stderr);
    let period = told("period.csv", &whole.replacen("held-current", "warm", 1));
    assert_eq!(period.code, 2);
    assert!(period.stderr.contains("total-losses, held-current or cooling"));
    let early: Vec<&str> = whole.lines().take(5 + 20).collect();
    let early = told("early.csv", &early.join("\n"));
    assert_eq!(early.code, 4);
    assert!(early.stdout.starts_with("CANNOT DECIDE") && early.stdout.contains("K/h"));
}
