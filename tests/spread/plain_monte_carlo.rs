//! The spread again by plain Monte Carlo: a generator of our own, the differential equations of both lag
//! forms solved by an ODE library, pressure and inception temperature written again. Every draw goes through the detailed
//! model too, which is the program's (`tests/second_opinion/` solves its equations).
//!
//! Sources as in `json_second_opinion`; the distributions are those that the manual states: normal
//! and held within three standard uncertainties, water log-normal by its median and 95 % point.
//! Taken from the program: the profile as read, its standard uncertainties, and the moisture.

use crate::demo::demo;
use crate::dice::Dice;
use crate::equations::Equations;
use crate::recomputed::{inception_c, solve};
use bubblemargin::assessment::assess;
use bubblemargin::assessment::case::{Case, Sampling, StartFrom};
use bubblemargin::quantities::{GasPercent, Metres};
use bubblemargin::thermal::Model;
use bubblemargin::thermal::cooling::{Control, Cooling};
use bubblemargin::thermal::detailed::Detailed;
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use bubblemargin::thermal::start::settled;
use bubblemargin::thermal::trajectory::Plan;
use bubblemargin::unit::spread::{Spread, Uncertain};

/// Draws of our own; unoptimised each takes a twentieth of a second and more. With 4000 of them by the
/// environment both cases agree to 0.41 K at every point and 0.4 % in every probability.
fn own_draws() -> u32 {
    std::env::var("SPREAD_OWN_DRAWS").ok().and_then(|n| n.parse().ok()).unwrap_or(24)
}

/// Half of the nodes of the load error are up to 16 min late, 0.2 % of the load, and the peak is
/// looked for every 2 min: a tenth of a kelvin each, and once more as much for the program's own error
/// with 4096 draws (0.03 of a standard deviation of about 9 K).
const ALLOWED_K: f64 = 0.5;

impl Dice {
    /// A standard normal deviate, by Box and Muller, held within three.
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.between(1.0e-12, 1.0).ln()).sqrt();
        let z = radius * (std::f64::consts::TAU * self.between(0.0, 1.0)).cos();
        z.clamp(-3.0, 3.0)
    }

    fn about(&mut self, value: f64, uncertain: Option<Uncertain>) -> f64 {
        match uncertain.map(|uncertain| uncertain.spread) {
            None => value,
            Some(Spread::Std(std)) => value + std * self.normal(),
            Some(Spread::Interval { least, most }) => self.between(least, most),
        }
    }
}

/// The unit, its load and its weather in one draw.
fn drawn(case: &Case, dice: &mut Dice) -> (Case, Vec<(f64, f64)>) {
    let mut drawn = case.clone();
    let spread = &case.unit.spread;
    let thermal = case.unit.thermal.as_ref().unwrap();
    let rated = &thermal.stages[thermal.rated_stage].stage;
    let plate = &rated.nameplate;
    let rise = dice.about(plate.top_oil_rise_k, spread.top_oil_rise_k) / plate.top_oil_rise_k;
    let gradient = dice.about(plate.hot_spot_gradient_k, spread.hot_spot_gradient_k)
        / plate.hot_spot_gradient_k;
    let losses = dice.about(plate.loss_ratio, spread.loss_ratio) / plate.loss_ratio;
    let x = dice.about(0.0, spread.oil_exponent);
    let y = dice.about(0.0, spread.winding_exponent);
    let k21 = dice.about(0.0, spread.k21);
    let of = |tau: f64, drawn: f64| drawn / tau;
    let tau = rated.iec.oil_time_constant_min;
    let oil_tau = of(tau, dice.about(tau, spread.oil_time_constant_min));
    let tau = rated.iec.winding_time_constant_min;
    let winding_tau = of(tau, dice.about(tau, spread.winding_time_constant_min));
    let thermostat_k = dice.about(0.0, Some(spread.thermostat_k));
    let own = [dice.normal(), dice.normal(), dice.normal()];
    for stage in &mut drawn.unit.thermal.as_mut().unwrap().stages {
        let stage = &mut stage.stage;
        if let Some(set) = &mut stage.switching {
            set.start_c += thermostat_k;
            set.stop_c += thermostat_k;
        }
        stage.detailed = stage.detailed.off(&own);
        stage.nameplate.top_oil_rise_k *= rise;
        stage.nameplate.hot_spot_gradient_k *= gradient;
        stage.nameplate.loss_ratio *= losses;
        stage.iec.x += x;
        stage.ieee.n += x;
        stage.iec.y += y;
        stage.ieee.m += y / 2.0;
        stage.iec.k21 += k21;
        stage.iec.oil_time_constant_min *= oil_tau;
        stage.ieee.oil_time_constant_min *= oil_tau;
        stage.iec.winding_time_constant_min *= winding_tau;
        stage.ieee.winding_time_constant_min *= winding_tau;
    }
    let gas = drawn.unit.gas.as_mut().unwrap();
    gas.total = GasPercent::new(dice.about(gas.total.value(), spread.gas_percent)).unwrap();
    // A kilopascal of weather is as much as this oil weighs, at 115 °C.
    let metres_per_kpa = 1000.0 / (880.0 * (1.0 - 7.5e-4 * 95.0) * 9.806_65);
    let head = case.unit.surroundings.head.unwrap().value();
    let head = dice.about(head, spread.head_above_hot_spot_m)
        + metres_per_kpa * dice.about(0.0, Some(spread.weather_kpa));
    drawn.unit.surroundings.head = Some(Metres::new(head).unwrap());
    let load = in_error(&mut drawn, dice);
    (drawn, load)
}

/// Errors of load and ambient, each the same share of its uncertainty all the time; answers the load.
fn in_error(case: &mut Case, dice: &mut Dice) -> Vec<(f64, f64)> {
    let (load_error, ambient_error) = (dice.normal(), dice.normal());
    let request = &mut case.request;
    let factor = |minute: f64| 1.0 + load_error * request.load_error.std_at(minute) / 100.0;
    let off_k = |minute: f64| ambient_error * request.ambient_error.std_at(minute);
    let plain = &request.loading.load;
    let mut nodes: Vec<f64> = (0..200).map(|node| f64::from(node) * 10.0).collect();
    nodes.extend(plain.steps().iter().map(|step| step.0).filter(|minute| minute % 10.0 != 0.0));
    nodes.sort_by(f64::total_cmp);
    let load = nodes.iter().map(|minute| (*minute, plain.at(*minute) * factor(minute + 5.0)));
    let load = load.collect();
    let mut knots: Vec<f64> = request.ambient.knots().iter().map(|knot| knot.0).collect();
    knots.extend((0..50).map(|knot| f64::from(knot) * 30.0));
    knots.sort_by(f64::total_cmp);
    knots.dedup();
    let knots = knots.iter().map(|minute| (*minute, request.ambient.at(*minute) + off_k(*minute)));
    let ambient = AmbientLine::new(knots.collect()).unwrap();
    if let StartFrom::History(history) = &mut request.start {
        let steps = history.load.steps().iter().map(|step| (step.0, step.1 * factor(0.0)));
        history.load = LoadSteps::new(steps.collect()).unwrap();
        if let Some(own) = &mut history.ambient {
            let knots = own.knots().iter().map(|knot| (knot.0, knot.1 + off_k(0.0)));
            *own = AmbientLine::new(knots.collect()).unwrap();
        }
    }
    request.ambient = ambient;
    load
}

fn hottest_c(case: &Case, load: &[(f64, f64)]) -> f64 {
    let mut hottest_c = f64::MIN;
    let until_min = case.request.loading.end_min + 20.0;
    for equations in [Equations::Iec, Equations::Ieee, Equations::IeeeLagged] {
        let minutes =
            (0..).map(|step| f64::from(step) * 2.0).take_while(|minute| *minute <= until_min);
        solve(case, equations, load, minutes, |_, _, hot_c| hottest_c = hottest_c.max(hot_c));
    }
    hottest_c.max(detailed_c(case, load, until_min))
}

/// The hottest hot spot by the detailed model, °C: through the history, and then the load.
fn detailed_c(case: &Case, load: &[(f64, f64)], until_min: f64) -> f64 {
    let stages = case.unit.thermal.as_ref().unwrap().stages.iter().map(|data| data.stage.clone());
    let cooling =
        Cooling { stages: stages.collect(), control: Control::Automatic, lost_at_min: None };
    let history = match &case.request.start {
        StartFrom::History(history) => Some(history),
        StartFrom::Preload(_) => None,
    };
    let history = history.unwrap();
    let before = history.load.steps().iter().filter(|step| step.0 < 0.0);
    let steps: Vec<(f64, f64)> = before.chain(load).copied().collect();
    let before = history.ambient.iter().flat_map(|line| line.knots().to_vec());
    let now = case.request.ambient.knots();
    let knots = before.filter(|knot| knot.0 < now[0].0).chain(now.iter().copied());
    let (load, ambient) =
        (LoadSteps::new(steps).unwrap(), AmbientLine::new(knots.collect()).unwrap());
    let first_min = load.steps()[0].0;
    let samples: Vec<f64> = (0..10_000).map(f64::from).take_while(|at| *at <= until_min).collect();
    let breakpoints = breakpoints(first_min, until_min, &load, &ambient, &samples);
    let plan =
        Plan { cooling: &cooling, load: &load, ambient: &ambient, breakpoints: &breakpoints };
    let model = Detailed::default();
    let start = settled(&model, &cooling, load.at(first_min), ambient.at(first_min));
    let run = model.run(&plan, start.hottest, start.steady.stage);
    let after = run.samples.iter().filter(|sample| sample.minute >= 0.0);
    after.map(|sample| sample.hot_spot_c).fold(f64::MIN, f64::max)
}

fn margins_k(case: &Case, best: f64, upper: f64, seed: u64) -> Vec<f64> {
    let mut dice = Dice(seed);
    let mut margins: Vec<f64> = (0..own_draws())
        .map(|_| {
            let (case, load) = drawn(case, &mut dice);
            let water = best * ((upper / best).ln() / 1.645 * dice.normal()).exp();
            let correlation_k = dice.about(0.0, Some(case.unit.spread.correlation_k));
            let model_k = dice.about(0.0, Some(case.unit.spread.hot_spot_model_k));
            inception_c(&case, water) + correlation_k - hottest_c(&case, &load) - model_k
        })
        .collect();
    margins.sort_by(f64::total_cmp);
    margins
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "some thousands of draws"
)]
fn compare(case: &Case, seed: u64) {
    let answer = assess(case);
    let spread = answer.spread.as_ref().unwrap();
    let counting = answer.moisture.counting.as_ref().unwrap();
    let own = margins_k(case, counting.median_percent, counting.percent, seed);
    let n = f64::from(own_draws());
    let at = |share: f64| own[(share * (n - 1.0)) as usize];
    let std = (at(0.95) - at(0.05)) / 3.29;
    // √(q(1 − q)/n) over the density of a normal at that point.
    for (found, share, density) in [
        (spread.margin_k.p05, 0.05, 0.1031),
        (spread.margin_k.p50, 0.5, 0.3989),
        (spread.margin_k.p95, 0.95, 0.1031),
    ] {
        let error_k = std * (share * (1.0 - share) / n).sqrt() / density;
        let apart_k = found.unwrap() - at(share);
        assert!(apart_k.abs() <= 4.0 * error_k + ALLOWED_K, "{share}: {apart_k} K, {error_k} K");
    }
    for (found, below_k) in [(spread.below_zero, 0.0), (spread.below_required, 10.0)] {
        let share = own.iter().filter(|margin| **margin < below_k).count() as f64 / n;
        let error = (share * (1.0 - share)).max(1.0 / n).sqrt() / n.sqrt();
        let apart = (found.probability - share).abs();
        // What is allowed of the margin, by the density of a normal at its steepest.
        let allowed = ALLOWED_K * 0.4 / std + 4.0 * found.standard_error;
        assert!(apart <= 4.0 * error + allowed, "{below_k} K: {found:?} {share}");
    }
}

#[test]
fn plain_monte_carlo_agrees_on_the_demonstration_case() {
    compare(&demo(Sampling { draws: 2048, seed: 1, why: false, ..Sampling::default() }), 11);
}

/// A cool history, so that the fans start during the overload.
#[test]
fn plain_monte_carlo_agrees_where_the_fans_start_on_the_way() {
    let mut case = demo(Sampling { draws: 2048, seed: 1, why: false, ..Sampling::default() });
    if let StartFrom::History(history) = &mut case.request.start {
        history.load = LoadSteps::new(vec![(-360.0, 0.3)]).unwrap();
        history.ambient = None;
    }
    case.request.ambient = AmbientLine::new(vec![(0.0, 12.0), (2000.0, 12.0)]).unwrap();
    compare(&case, 12);
}
