//! The trajectories against an independent solver: the same differential equations, written
//! again and handed to a general-purpose ODE library.
//!
//! Source of the equations: IEC 60076-7 (differential form) and IEEE C57.91 clause 7. Source of
//! the solver: the crate `ode_solvers`, an explicit Runge–Kutta method of order 5.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "second_opinion/clause_7.rs"]
mod clause_7;
#[path = "second_opinion/detailed.rs"]
mod detailed;
#[path = "second_opinion/detailed_balance.rs"]
mod detailed_balance;
#[path = "second_opinion/detailed_energy.rs"]
mod detailed_energy;
#[path = "second_opinion/detailed_equations.rs"]
mod detailed_equations;
#[path = "second_opinion/detailed_linear.rs"]
mod detailed_linear;
#[path = "second_opinion/detailed_minutes.rs"]
mod detailed_minutes;
#[path = "second_opinion/detailed_monotone.rs"]
mod detailed_monotone;
#[path = "second_opinion/detailed_stages.rs"]
mod detailed_stages;
#[path = "second_opinion/dice.rs"]
mod dice;
#[path = "second_opinion/equations.rs"]
mod equations;
#[path = "second_opinion/solution.rs"]
mod solution;

use bubblemargin::thermal::cooling::{Control, Cooling};
use bubblemargin::thermal::iec::Iec;
use bubblemargin::thermal::ieee::Ieee;
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use bubblemargin::thermal::trajectory::{Peak, Plan, Run, simulate};
use bubblemargin::thermal::{self, Form};
use dice::{Dice, UNTIL_MIN};
use equations::{Equations, State};
use solution::{Front, Model};

/// What a trajectory is held to while the stage is fixed, K: the error of the solver.
const SMOOTH_WITHIN_K: f64 = 1.0e-6;
/// What it is held to where stages change by themselves, K. Each side finds the moment to about
/// 1e-6 min; where the hot spot barely reaches a switching temperature that grows to a
/// thousandth of a kelvin.
const SWITCHED_WITHIN_K: f64 = 0.01;

/// A form that the equations written again can be compared with.
trait Rewritten: Form {
    const EQUATIONS: Equations;
    fn with_added_rise(added_rise_k: f64) -> Self;
    /// The state as ours; the equations written again remember the oil of the IEEE form as a rise.
    fn state(state: &State, ambient_c: f64) -> thermal::State;
}

impl Rewritten for Iec {
    const EQUATIONS: Equations = Equations::Iec;

    fn with_added_rise(added_rise_k: f64) -> Self {
        Self { added_rise_k }
    }

    fn state(state: &State, _ambient_c: f64) -> thermal::State {
        thermal::State { top_oil_c: state[0], gradient_1_k: state[1], gradient_2_k: state[2] }
    }
}

impl Rewritten for Ieee {
    const EQUATIONS: Equations = Equations::Ieee;

    fn with_added_rise(added_rise_k: f64) -> Self {
        Self { added_rise_k, ..Self::default() }
    }

    fn state(state: &State, ambient_c: f64) -> thermal::State {
        let top_oil_c = ambient_c + state[0];
        thermal::State { top_oil_c, gradient_1_k: state[1], gradient_2_k: 0.0 }
    }
}

/// What is imposed on a transformer, and what it comes from.
#[derive(Debug)]
struct Case {
    cooling: Cooling,
    load: Vec<(f64, f64)>,
    ambient: Vec<(f64, f64)>,
    preload_pu: f64,
    added_rise_k: f64,
    sample_every_min: f64,
}

impl Case {
    /// A random case; the cooling is controlled and lost as stated.
    fn random(seed: u64, control: Control) -> Self {
        let mut dice = Dice(seed);
        Self {
            cooling: Cooling { stages: dice.stages(), control, lost_at_min: None },
            load: dice.course(0.0, 1.8),
            ambient: dice.course(-20.0, 40.0),
            preload_pu: dice.between(0.0, 1.0),
            added_rise_k: if dice.coin() { 0.0 } else { dice.between(0.0, 8.0) },
            sample_every_min: 10.0,
        }
    }

    fn model(&self, equations: Equations) -> Model<'_> {
        Model {
            equations,
            added_rise_k: self.added_rise_k,
            cooling: &self.cooling,
            load: &self.load,
            ambient: &self.ambient,
        }
    }

    fn run<F: Rewritten>(&self, start: &State) -> Run {
        let load = LoadSteps::new(self.load.clone()).unwrap();
        let ambient = AmbientLine::new(self.ambient.clone()).unwrap();
        let mut samples: Vec<f64> = self.cooling.lost_at_min.into_iter().collect();
        let mut minute = self.sample_every_min;
        while minute < UNTIL_MIN {
            samples.push(minute);
            minute += self.sample_every_min;
        }
        let minutes = breakpoints(0.0, UNTIL_MIN, &load, &ambient, &samples);
        let plan =
            Plan { cooling: &self.cooling, load: &load, ambient: &ambient, breakpoints: &minutes };
        let form = F::with_added_rise(self.added_rise_k);
        let start = F::state(start, self.ambient[0].1);
        simulate(&form, &plan, start, self.cooling.first())
    }

    /// Compares one form at every sample and at its peaks; answers how often the stage changed.
    fn compare<F: Rewritten>(&self) -> usize {
        let model = self.model(F::EQUATIONS);
        let stage = self.cooling.first();
        let start = model.steady(stage, self.preload_pu, self.ambient[0].1);
        let run = self.run::<F>(&start);
        let tolerance_k = self.tolerance_k();
        let mut front = model.begin(0.0, start, stage);
        for sample in &run.samples {
            let until_min = sample.minute;
            self.check_peak(&model, front, run.hot_spot, until_min, Model::hot_spot_c);
            self.check_peak(&model, front, run.top_oil, until_min, Model::top_oil_c);
            model.advance(&mut front, sample.minute);
            let what = format!("{} at {} min, {self:?}", F::NAME, sample.minute);
            let close = |ours, theirs| assert_close(tolerance_k, ours, theirs, &what);
            close(sample.ambient_c, model.ambient_c(sample.minute));
            close(sample.top_oil_c, model.top_oil_c(&front));
            close(sample.hot_spot_c, model.hot_spot_c(&front));
        }
        front.changes
    }

    /// The solver's curve goes through the peak, and never rises above it: not at any sample,
    /// nor anywhere between the samples on either side of the peak.
    fn check_peak<'a>(
        &self,
        model: &Model<'a>,
        mut front: Front,
        peak: Peak,
        until_min: f64,
        value_c: impl Fn(&Model<'a>, &Front) -> f64,
    ) {
        let tolerance_k = self.tolerance_k();
        let check_below = |front: &Front| {
            let found_c = value_c(model, front);
            assert!(found_c <= peak.value_c + tolerance_k, "{found_c} {peak:?}");
        };
        check_below(&front);
        let from_min = front.minute;
        if peak.at_min < from_min || peak.at_min > until_min {
            return;
        }
        let mut at_peak = front;
        model.advance(&mut at_peak, peak.at_min);
        assert_close(tolerance_k, peak.value_c, value_c(model, &at_peak), "the peak");
        for part in 1..20 {
            let share = f64::from(part) / 20.0;
            model.advance(&mut front, from_min + share * (until_min - from_min));
            check_below(&front);
        }
    }

    fn tolerance_k(&self) -> f64 {
        match self.cooling.control {
            Control::Fixed(_) => SMOOTH_WITHIN_K,
            Control::Automatic => SWITCHED_WITHIN_K,
        }
    }

    fn compare_both(&self) -> usize {
        self.compare::<Iec>() + self.compare::<Ieee>()
    }
}

/// A NaN on either side fails.
#[track_caller]
fn assert_close(tolerance_k: f64, ours: f64, theirs: f64, what: &str) {
    let apart = (ours - theirs).abs();
    assert!(apart <= tolerance_k, "{ours} and {theirs}: {what}");
}

#[test]
fn both_forms_agree_with_an_ode_solver_under_random_loads() {
    for seed in 0..24 {
        let changes = Case::random(seed, Control::Fixed(1)).compare_both();
        assert_eq!(changes, 0, "the stage is fixed");
    }
}

#[test]
fn both_forms_agree_with_an_ode_solver_when_fans_are_lost_midway() {
    for seed in 100..124 {
        let mut case = Case::random(seed, Control::Fixed(1));
        case.cooling.lost_at_min = Some(Dice(seed + 1000).between(1.0, 500.0));
        assert_eq!(case.compare_both(), 2, "once in each form");
    }
}

#[test]
fn both_forms_agree_with_an_ode_solver_when_fans_start_by_themselves() {
    let mut changes = 0;
    for seed in 200..224 {
        let mut case = Case::random(seed, Control::Automatic);
        // As close as the samples of an assessment.
        case.sample_every_min = 1.0;
        changes += case.compare_both();
    }
    assert!(changes > 96, "only {changes} stage changes were compared");
}

#[test]
fn both_forms_agree_with_an_ode_solver_when_self_starting_fans_are_lost() {
    let mut changes = 0;
    for seed in 300..312 {
        let mut case = Case::random(seed, Control::Automatic);
        case.sample_every_min = 1.0;
        case.cooling.lost_at_min = Some(Dice(seed + 1000).between(1.0, 500.0));
        changes += case.compare_both();
    }
    assert!(changes > 24, "only {changes} stage changes were compared");
}

/// The exact update knows no step length: an interval equals the same interval cut in a hundred.
fn check_splitting<F: Rewritten>(seed: u64) {
    let mut dice = Dice(seed);
    let case = Case::random(seed, Control::Fixed(1));
    let form = F::with_added_rise(case.added_rise_k);
    let whole_min = dice.between(0.1, 300.0);
    let start_c = dice.between(-20.0, 40.0);
    let end_c = start_c + dice.between(-0.2, 0.2) * whole_min;
    let load = LoadSteps::new(vec![(0.0, dice.between(0.0, 1.8))]).unwrap();
    let ambient = AmbientLine::new(vec![(0.0, start_c), (whole_min, end_c)]).unwrap();
    let start = form.steady(&case.cooling.stages[1], case.preload_pu, start_c);
    let run = |parts: u32| {
        let part_min = whole_min / f64::from(parts);
        let mut minutes: Vec<f64> = (0..parts).map(|part| f64::from(part) * part_min).collect();
        minutes.push(whole_min);
        let plan =
            Plan { cooling: &case.cooling, load: &load, ambient: &ambient, breakpoints: &minutes };
        simulate(&form, &plan, start, 1).end
    };
    let (whole, cut) = (run(1), run(100));
    let oil_k = whole.top_oil_c - cut.top_oil_c;
    let hot_spot_k = whole.hot_spot_c() - cut.hot_spot_c();
    // A hundred roundings of about 1e-13 K each stay far below a nanokelvin.
    assert!(oil_k.abs() <= 1.0e-9, "{} top oil {oil_k} K", F::NAME);
    assert!(hot_spot_k.abs() <= 1.0e-9, "{} hot spot {hot_spot_k} K", F::NAME);
}

#[test]
fn an_interval_equals_the_same_interval_cut_in_a_hundred() {
    for seed in 400..464 {
        check_splitting::<Iec>(seed);
        check_splitting::<Ieee>(seed);
    }
}

/// The starting states of the comparisons above are our own steady states as well.
#[test]
fn the_steady_state_is_where_the_solver_comes_to_rest() {
    for seed in 500..512 {
        let case = Case::random(seed, Control::Fixed(1));
        for equations in [Equations::Iec, Equations::Ieee] {
            let load = [(0.0, case.load[0].1)];
            let ambient = [case.ambient[0]];
            let model = Model { load: &load, ambient: &ambient, ..case.model(equations) };
            let cold = model.steady(1, 0.0, ambient[0].1);
            let mut front = model.begin(0.0, cold, 1);
            // Twenty-four of the longest time constants leave 4e-11 of the rise.
            model.advance(&mut front, 24.0 * 264.0);
            let steady_c = match equations {
                Equations::Iec => steady_hot_spot_c::<Iec>(&case),
                Equations::Ieee | Equations::IeeeLagged => steady_hot_spot_c::<Ieee>(&case),
            };
            assert_close(SMOOTH_WITHIN_K, steady_c, model.hot_spot_c(&front), "steady state");
        }
    }
}

fn steady_hot_spot_c<F: Rewritten>(case: &Case) -> f64 {
    let form = F::with_added_rise(case.added_rise_k);
    let ambient_c = case.ambient[0].1;
    let state = form.steady(&case.cooling.stages[1], case.load[0].1, ambient_c);
    state.hot_spot_c()
}
