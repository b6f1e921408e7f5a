//! What two editions tell of the clause 7 form: the ambient at once or through the oil's lag, and two exponents for forced oil.

use crate::dice::Dice;
use crate::equations::Equations;
use crate::solution;
use bubblemargin::thermal::cooling::{Control, Cooling, Stage};
use bubblemargin::thermal::iec::{Iec, IecConstants};
use bubblemargin::thermal::ieee::{Ieee, IeeeConstants};
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use bubblemargin::thermal::trajectory::{Plan, Run};
use bubblemargin::thermal::{Form, Model};

const UNITS: usize = 40;

fn run<M: Form>(form: &M, stage: &Stage, (load, ambient): (&LoadSteps, &AmbientLine)) -> Run {
    let cooling =
        Cooling { stages: vec![stage.clone()], control: Control::Fixed(0), lost_at_min: None };
    let samples: Vec<f64> = (0..600).map(f64::from).collect();
    let minutes = breakpoints(0.0, 600.0, load, ambient, &samples);
    let start = form.steady(stage, load.at(0.0), ambient.at(0.0));
    form.run(&Plan { cooling: &cooling, load, ambient, breakpoints: &minutes }, start, 0)
}

fn lines(dice: &mut Dice) -> (LoadSteps, AmbientLine) {
    let at = |hour: u32| f64::from(60 * hour);
    let load = (0..10).map(|hour| (at(hour), dice.between(0.2, 1.5))).collect();
    let load = LoadSteps::new(load).unwrap();
    let ambient = (0..11).map(|hour| (at(hour), dice.between(-10.0, 38.0))).collect();
    (load, AmbientLine::new(ambient).unwrap())
}

/// With the oil's constants of the IEC form, which takes the ambient through the oil's lag, it is the same oil: to rounding.
#[test]
fn with_a_lag_the_oil_is_that_of_the_iec_form() {
    let mut dice = Dice(71);
    for unit in 0..UNITS {
        let stage = dice.stage("only", 1.0);
        let IecConstants { x, k11, oil_time_constant_min, .. } = stage.iec;
        let ieee = IeeeConstants {
            n: x,
            below_rating: 1.0,
            oil_time_constant_min: k11 * oil_time_constant_min,
            correct_time_constant: false,
            ..stage.ieee
        };
        let stage = Stage { ieee, ..stage };
        let (load, ambient) = lines(&mut dice);
        let iec = run(&Iec::default(), &stage, (&load, &ambient));
        let ieee = run(&Ieee::LAGGED, &stage, (&load, &ambient));
        for (iec, ieee) in iec.samples.iter().zip(&ieee.samples) {
            assert!(
                (iec.top_oil_c - ieee.top_oil_c).abs() < 1.0e-9,
                "unit {unit}: {iec:?} {ieee:?}"
            );
        }
    }
}

/// The hotter of two exponents under every load; never cooler than by either over time.
#[test]
fn of_two_exponents_the_hotter_counts_under_every_load() {
    let mut dice = Dice(72);
    for unit in 0..UNITS {
        let stage = dice.stage("only", 1.0);
        let with = |n: f64, below: f64| {
            let ieee = IeeeConstants {
                n,
                below_rating: below / n,
                correct_time_constant: false,
                ..stage.ieee
            };
            Stage { ieee, ..stage.clone() }
        };
        let (both, greater, smaller) = (with(0.9, 0.8), with(0.9, 0.9), with(0.8, 0.8));
        let rise_k = |stage: &Stage, load_pu: f64| {
            Ieee::default().steady_state(stage, load_pu, 0.0).top_oil_c
        };
        for load_pu in [0.0, 0.3, 0.7, 0.99, 1.0, 1.01, 1.3, 2.0] {
            let hotter_k = rise_k(&greater, load_pu).max(rise_k(&smaller, load_pu));
            let off_k = rise_k(&both, load_pu) - hotter_k;
            assert!(off_k.abs() < 1.0e-9, "unit {unit} at {load_pu} pu: {off_k}");
        }
        let (load, ambient) = lines(&mut dice);
        let [both, greater, smaller] =
            [both, greater, smaller].map(|stage| run(&Ieee::default(), &stage, (&load, &ambient)));
        for (at, sample) in both.samples.iter().enumerate() {
            let either_c = greater.samples[at].hot_spot_c.max(smaller.samples[at].hot_spot_c);
            assert!(sample.hot_spot_c > either_c - 1.0e-9, "unit {unit}: {sample:?} {either_c}");
        }
    }
}

/// The same equations by a general-purpose library: no farther off than with the ambient at once.
#[test]
fn with_a_lag_the_form_agrees_with_an_ode_library() {
    let mut dice = Dice(74);
    for unit in 0..UNITS {
        let stage = dice.stage("only", 1.0);
        let ieee = IeeeConstants { correct_time_constant: false, ..stage.ieee };
        let stage = Stage { ieee, ..stage };
        let (load, ambient) = lines(&mut dice);
        let ours = run(&Ieee::LAGGED, &stage, (&load, &ambient));
        let cooling =
            Cooling { stages: vec![stage], control: Control::Fixed(0), lost_at_min: None };
        let model = solution::Model {
            equations: Equations::IeeeLagged,
            added_rise_k: 0.0,
            cooling: &cooling,
            load: load.steps(),
            ambient: ambient.knots(),
        };
        let begin = model.steady(0, load.at(0.0), ambient.at(0.0));
        let mut front = model.begin(0.0, begin, 0);
        for sample in &ours.samples {
            model.advance(&mut front, sample.minute);
            let off_k = sample.hot_spot_c - model.hot_spot_c(&front);
            assert!(off_k.abs() < 1.0e-5, "unit {unit} at {} min: {off_k}", sample.minute);
        }
    }
}
