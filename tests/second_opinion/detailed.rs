//! The detailed model against its equations, written again and solved by a general-purpose library.

use crate::detailed_equations::{Equations, Temperatures, temperatures};
use crate::dice::Dice;
use bubblemargin::thermal::Nameplate;
use bubblemargin::thermal::cooling::{Control, Cooling};
use bubblemargin::thermal::detailed::{
    Conductor, Course, Detail, Flow, Heat, HeatCapacity, Losses, Rated, through,
};
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use bubblemargin::thermal::trajectory::Plan;

pub(crate) const UNTIL_MIN: f64 = 600.0;

/// A unit and what is imposed on it, everything in a plausible range.
#[derive(Clone)]
pub(crate) struct Invented {
    pub(crate) nameplate: Nameplate,
    pub(crate) detail: Detail,
    pub(crate) load: Vec<(f64, f64)>,
    pub(crate) ambient: Vec<(f64, f64)>,
}

impl Invented {
    pub(crate) fn of(dice: &mut Dice) -> Self {
        let top_k = dice.between(35.0, 60.0);
        let bottom_k = top_k * dice.between(0.35, 0.75);
        let flow = match dice.between(0.0, 4.0) {
            kind if kind < 1.0 => Flow::ONAN,
            kind if kind < 2.0 => Flow::ONAF,
            kind if kind < 3.0 => Flow::OF,
            _ => Flow::OD,
        };
        let gradient_k = dice.between(10.0, 30.0);
        // The average winding lies a gradient, less what the hot spot has on top, above the average oil.
        let winding_rise_k = f64::midpoint(top_k, bottom_k) + gradient_k / dice.between(1.1, 1.5);
        Self {
            nameplate: Nameplate {
                top_oil_rise_k: top_k,
                // The hot spot is no cooler than the average winding.
                hot_spot_gradient_k: gradient_k.max(winding_rise_k - top_k + 2.0),
                loss_ratio: 0.0,
            },
            detail: Detail {
                rated_ambient_c: dice.between(20.0, 30.0),
                guaranteed_winding_rise_k: 65.0,
                winding_rise_k,
                bottom_oil_rise_k: bottom_k,
                losses: Losses {
                    at_c: 75.0,
                    winding: 180.0,
                    winding_eddy: dice.between(2.0, 25.0),
                    stray: dice.between(5.0, 40.0),
                    core: dice.between(20.0, 60.0),
                },
                conductor: if dice.coin() { Conductor::Copper } else { Conductor::Aluminium },
                hot_spot_eddy_pu: dice.between(0.1, 0.4),
                hot_spot_height_pu: 1.0,
                winding_time_constant_min: dice.between(4.0, 10.0),
                heat_capacity: HeatCapacity::TimeConstant { oil_min: dice.between(90.0, 240.0) },
                flow,
            },
            load: by_the_hour(dice, 0.2, 1.5),
            ambient: by_the_hour(dice, -10.0, 38.0),
        }
    }

    pub(crate) fn rated(&self) -> Rated {
        Rated::of(&self.nameplate, &self.detail, 1.0)
    }

    pub(crate) fn lines(&self) -> (LoadSteps, AmbientLine) {
        let load = LoadSteps::new(self.load.clone()).unwrap();
        (load, AmbientLine::new(self.ambient.clone()).unwrap())
    }

    /// Steady under what is imposed first.
    pub(crate) fn begin(&self) -> Heat {
        self.rated().steady_at(self.load[0].1, self.ambient[0].1)
    }

    /// Ten hours from the steady state, with a sample every five minutes.
    pub(crate) fn course(&self, finer: f64) -> Course {
        self.course_with(0.0, finer)
    }

    /// The same with a measured excess of the top oil.
    pub(crate) fn course_with(&self, added_rise_k: f64, finer: f64) -> Course {
        let (load, ambient) = self.lines();
        let samples: Vec<f64> = (0..120).map(|five| 5.0 * f64::from(five)).collect();
        let minutes = breakpoints(0.0, UNTIL_MIN, &load, &ambient, &samples);
        self.through(&minutes, added_rise_k, finer)
    }

    /// A course with these breakpoints.
    pub(crate) fn through(&self, minutes: &[f64], added_rise_k: f64, finer: f64) -> Course {
        let (load, ambient) = self.lines();
        let cooling = Cooling { stages: Vec::new(), control: Control::Fixed(0), lost_at_min: None };
        let plan = Plan { cooling: &cooling, load: &load, ambient: &ambient, breakpoints: minutes };
        let (pu, ambient_c) = (self.load[0].1, self.ambient[0].1 + added_rise_k);
        let begin = self.rated().steady_at(pu, ambient_c);
        through(&[self.rated()], &plan, (begin, 0), added_rise_k, finer)
    }

    /// What is imposed from one breakpoint to the next, as the equations take it, from a minute on.
    pub(crate) fn equations(&self, pair: [f64; 2], minute: f64) -> Equations {
        let (load, ambient) = self.lines();
        Equations {
            d: self.detail,
            n: self.nameplate,
            load: load.at(pair[0]),
            ambient_c: ambient.at(minute),
            per_min: (ambient.at(pair[1]) - ambient.at(pair[0])) / (pair[1] - pair[0]),
        }
    }
}

pub(crate) fn by_the_hour(dice: &mut Dice, least: f64, most: f64) -> Vec<(f64, f64)> {
    let mut values = vec![(0.0, dice.between(least, most))];
    while values.last().unwrap().0 < UNTIL_MIN {
        let (minute, _) = *values.last().unwrap();
        values.push((minute + dice.between(20.0, 120.0), dice.between(least, most)));
    }
    values
}

/// The library goes on in pieces of this, min, and the hot spot is lifted after each.
const PIECE_MIN: f64 = 0.1;

/// The state at each minute, by the library; no step goes across a change.
fn solved(invented: &Invented, minutes: &[f64]) -> Vec<Temperatures> {
    let mut y = temperatures(invented.begin());
    let mut seen = vec![y];
    for pair in minutes.windows(2) {
        let pieces = ((pair[1] - pair[0]) / PIECE_MIN).ceil();
        let length = (pair[1] - pair[0]) / pieces;
        let mut minute = pair[0];
        while minute < pair[1] - 0.5 * length {
            y = invented.equations([pair[0], pair[1]], minute).after(y, length);
            minute += length;
        }
        seen.push(y);
    }
    seen
}

/// The bound that the steps are chosen for, K; what the library's own steps may miss is far less.
const BOUND_K: f64 = 0.05;

#[test]
fn steps_stay_within_their_bound_of_an_ode_library() {
    let mut dice = Dice(11);
    let (mut worst_k, mut hottest_c) = (0.0_f64, 0.0_f64);
    for case in 0..20 {
        let invented = Invented::of(&mut dice);
        let course = invented.course(1.0);
        let minutes: Vec<f64> = course.samples.iter().map(|sample| sample.minute).collect();
        for (sample, heat) in course.samples.iter().zip(solved(&invented, &minutes)) {
            let apart_k = (sample.hot_spot_c - heat[1]).abs();
            assert!(apart_k < BOUND_K, "case {case}, minute {}: {apart_k} K", sample.minute);
            worst_k = worst_k.max(apart_k);
            hottest_c = hottest_c.max(sample.hot_spot_c);
        }
    }
    assert!(worst_k > 1.0e-6, "the two are not the same: {worst_k} K");
    assert!(hottest_c > 130.0, "some of the cases are hot: {hottest_c} °C");
}

/// So many times shorter are steps that count as the solution.
const FINER: f64 = 100.0;

/// What they leave, K: such steps are up to 0.15 min long, and where the oil beside the hot spot changes from the duct's
/// to the tank's top its slope jumps by some kelvins per minute.
const SOLVED_K: f64 = 1.0e-3;

#[test]
fn a_hundred_times_shorter_steps_change_less_than_the_bound_and_solve_the_equations() {
    let mut dice = Dice(12);
    for case in 0..8 {
        let invented = Invented::of(&mut dice);
        let (course, fine) = (invented.course(1.0), invented.course(FINER));
        let minutes: Vec<f64> = course.samples.iter().map(|sample| sample.minute).collect();
        let solved = solved(&invented, &minutes);
        for ((usual, fine), heat) in course.samples.iter().zip(&fine.samples).zip(solved) {
            let apart_k = (usual.hot_spot_c - fine.hot_spot_c).abs();
            let oil_k = (usual.top_oil_c - fine.top_oil_c).abs();
            assert!(
                apart_k.max(oil_k) < BOUND_K,
                "case {case}, minute {}: {apart_k} K",
                usual.minute
            );
            let library_k = (fine.hot_spot_c - heat[1]).abs();
            assert!(library_k < SOLVED_K, "case {case}, minute {}: {library_k} K", usual.minute);
        }
        let peak_k = (course.hot_spot.value_c - fine.hot_spot.value_c).abs();
        assert!(peak_k < BOUND_K, "case {case}: the peak by {peak_k} K");
    }
}
