//! The detailed model against its equations, written again and solved by a general-purpose library.

use crate::dice::Dice;
use bubblemargin::thermal::Nameplate;
use bubblemargin::thermal::cooling::{Control, Cooling};
use bubblemargin::thermal::detailed::{
    Conductor, Course, Detail, Duct, Flow, Heat, HeatCapacity, Losses, Rated, through,
};
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use bubblemargin::thermal::trajectory::Plan;
use ode_solvers::{Dopri5, System, Vector3};

const UNTIL_MIN: f64 = 600.0;

/// A unit and what is imposed on it, everything in a plausible range.
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

    pub(crate) fn course(&self, finer: f64) -> Course {
        let rated = Rated::of(&self.nameplate, &self.detail, 1.0);
        let load = LoadSteps::new(self.load.clone()).unwrap();
        let ambient = AmbientLine::new(self.ambient.clone()).unwrap();
        let samples: Vec<f64> = (0..120).map(|five| 5.0 * f64::from(five)).collect();
        let minutes = breakpoints(0.0, UNTIL_MIN, &load, &ambient, &samples);
        let cooling = Cooling { stages: Vec::new(), control: Control::Fixed(0), lost_at_min: None };
        let plan =
            Plan { cooling: &cooling, load: &load, ambient: &ambient, breakpoints: &minutes };
        let begin = rated.steady_at(self.load[0].1, self.ambient[0].1);
        through(&[rated], &plan, (begin, 0), 0.0, finer)
    }
}

fn by_the_hour(dice: &mut Dice, least: f64, most: f64) -> Vec<(f64, f64)> {
    let mut values = vec![(0.0, dice.between(least, most))];
    while values.last().unwrap().0 < UNTIL_MIN {
        let (minute, _) = *values.last().unwrap();
        values.push((minute + dice.between(20.0, 120.0), dice.between(least, most)));
    }
    values
}

/// The equations of Annex G between two changes, seconds thought as minutes; state: winding, hot spot, average oil.
#[derive(Clone, Copy)]
struct Equations {
    d: Detail,
    n: Nameplate,
    load: f64,
    ambient_c: f64,
    per_min: f64,
}

fn viscosity(c: f64) -> f64 {
    (2797.3 / (c + 273.0)).exp()
}

impl System<f64, Vector3<f64>> for Equations {
    fn system(&self, minute: f64, y: &Vector3<f64>, dy: &mut Vector3<f64>) {
        *dy = self.rates(minute, y).0;
    }
}

impl Equations {
    /// Rates of change, K/min, and the oil beside the hot spot, °C.
    fn rates(&self, minute: f64, y: &Vector3<f64>) -> (Vector3<f64>, f64) {
        let (d, n) = (&self.d, &self.n);
        let ta = self.ambient_c + self.per_min * minute;
        let zero = match d.conductor {
            Conductor::Copper => 234.5,
            Conductor::Aluminium => 225.0,
        };
        let [tg, tw, tt, tb] =
            [d.guaranteed_winding_rise_k, d.winding_rise_k, n.top_oil_rise_k, d.bottom_oil_rise_k]
                .map(|rise| d.rated_ambient_c + rise);
        let th = tt + n.hot_spot_gradient_k;
        let to = 0.5 * (tt + tb);
        let td = if d.flow.duct == Duct::Forced { tw } else { tt };
        let tda = 0.5 * (td + tb);
        let two = if td < tt { tt } else { tb + d.hot_spot_height_pu * (td - tb) };
        let f = (zero + tg) / (zero + d.losses.at_c);
        let (pw, pe, ps, pc) =
            (d.losses.winding * f, d.losses.winding_eddy / f, d.losses.stray / f, d.losses.core);
        let pt = pw + pe + ps + pc;
        let pwh = pw * (th + zero) / (tg + zero);
        let peh = d.hot_spot_eddy_pu.max(pe / pw) * pwh;
        let cw = d.winding_time_constant_min * (pw + pe) / (tw - tda);
        let HeatCapacity::TimeConstant { oil_min } = d.heat_capacity else { unreachable!() };
        let cs = oil_min * pt / (to - d.rated_ambient_c);
        let film = |over: f64, mean: f64, rated: f64| {
            if d.flow.duct == Duct::Directed {
                over
            } else {
                over.powf(1.25) * (viscosity(rated) / viscosity(mean)).powf(0.25)
            }
        };
        let out = pt
            * ((y[2] - ta).max(0.0) / (to - d.rated_ambient_c))
                .powf(1.0 / d.flow.radiator_exponent);
        let half = 0.5 * (out / pt).powf(d.flow.top_bottom_exponent) * (tt - tb);
        let (top, bottom) = (y[2] + half, (y[2] - half).max(ta.min(y[2])));
        // The duct's rise by halving, where the crate takes Newton's steps.
        let lost = |rise: f64| {
            let duct = bottom + 0.5 * rise;
            if y[0] <= duct {
                return 0.0;
            }
            film((y[0] - duct) / (tw - tda), 0.5 * (y[0] + duct), 0.5 * (tw + tda))
        };
        let (mut low, mut high) = (0.0, 400.0);
        for _ in 0..60 {
            let rise = 0.5 * (low + high);
            if lost(rise).powf(d.flow.duct_exponent) * (td - tb) > rise {
                low = rise;
            } else {
                high = rise;
            }
        }
        let rise = 0.5 * (low + high);
        let beside = if bottom + rise < top { top } else { bottom + d.hot_spot_height_pu * rise };
        let lost_w = lost(rise) * (pw + pe);
        let square = self.load * self.load;
        let kw = (y[0] + zero) / (tg + zero);
        let hot = y[1].max(y[0]).max(beside);
        let kh = (hot + zero) / (th + zero);
        let lost_h =
            film((hot - beside) / (th - two), 0.5 * (hot + beside), 0.5 * (th + two)) * (pwh + peh);
        let winding = (square * (pw * kw + pe / kw) - lost_w) / cw;
        let hot_spot = (square * (pwh * kh + peh / kh) - lost_h) / cw;
        let oil = (lost_w + pc + square * ps / kw - out) / cs;
        (Vector3::new(winding, hot_spot, oil), beside)
    }
}

/// The library goes on in pieces of this, min; after each the hot spot is lifted to the winding and the oil beside it, as
/// the printed scheme does it every half minute.
const PIECE_MIN: f64 = 0.1;

/// The state at each minute, by the library; no step goes across a change.
fn solved(invented: &Invented, begin: Heat, minutes: &[f64]) -> Vec<Vector3<f64>> {
    let mut y = Vector3::new(begin.winding_c, begin.hot_spot_c, begin.oil_c);
    let mut seen = vec![y];
    let ambient = AmbientLine::new(invented.ambient.clone()).unwrap();
    let load = LoadSteps::new(invented.load.clone()).unwrap();
    for pair in minutes.windows(2) {
        let pieces = ((pair[1] - pair[0]) / PIECE_MIN).ceil();
        let length = (pair[1] - pair[0]) / pieces;
        let mut minute = pair[0];
        while minute < pair[1] - 0.5 * length {
            let from_c = ambient.at(minute);
            let equations = Equations {
                d: invented.detail,
                n: invented.nameplate,
                load: load.at(pair[0]),
                ambient_c: from_c,
                per_min: (ambient.at(pair[1]) - ambient.at(pair[0])) / (pair[1] - pair[0]),
            };
            let mut solver = Dopri5::new(equations, 0.0, length, length, y, 1.0e-8, 1.0e-8);
            solver.integrate().unwrap();
            y = *solver.y_out().last().unwrap();
            y[1] = y[1].max(y[0]).max(equations.rates(length, &y).1);
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
        let rated = Rated::of(&invented.nameplate, &invented.detail, 1.0);
        let begin = rated.steady_at(invented.load[0].1, invented.ambient[0].1);
        let minutes: Vec<f64> = course.samples.iter().map(|sample| sample.minute).collect();
        for (sample, heat) in course.samples.iter().zip(solved(&invented, begin, &minutes)) {
            let apart_k = (sample.hot_spot_c - heat[1]).abs();
            assert!(apart_k < BOUND_K, "case {case}, minute {}: {apart_k} K", sample.minute);
            worst_k = worst_k.max(apart_k);
            hottest_c = hottest_c.max(sample.hot_spot_c);
        }
    }
    assert!(worst_k > 1.0e-6, "the two are not the same: {worst_k} K");
    assert!(hottest_c > 130.0, "some of the cases are hot: {hottest_c} °C");
}

#[test]
fn a_hundred_times_shorter_steps_change_less_than_the_bound_and_solve_the_equations() {
    let mut dice = Dice(12);
    for case in 0..8 {
        let invented = Invented::of(&mut dice);
        let (course, fine) = (invented.course(1.0), invented.course(100.0));
        let rated = Rated::of(&invented.nameplate, &invented.detail, 1.0);
        let begin = rated.steady_at(invented.load[0].1, invented.ambient[0].1);
        let minutes: Vec<f64> = course.samples.iter().map(|sample| sample.minute).collect();
        let solved = solved(&invented, begin, &minutes);
        for ((usual, fine), heat) in course.samples.iter().zip(&fine.samples).zip(solved) {
            let apart_k = (usual.hot_spot_c - fine.hot_spot_c).abs();
            let oil_k = (usual.top_oil_c - fine.top_oil_c).abs();
            assert!(
                apart_k.max(oil_k) < BOUND_K,
                "case {case}, minute {}: {apart_k} K",
                usual.minute
            );
            let library_k = (fine.hot_spot_c - heat[1]).abs();
            // A thousandth of a kelvin: what the library's tolerance and the kinks of the printed rules leave.
            assert!(library_k < 1.0e-2, "case {case}, minute {}: {library_k} K", usual.minute);
        }
        let peak_k = (course.hot_spot.value_c - fine.hot_spot.value_c).abs();
        assert!(peak_k < BOUND_K, "case {case}: the peak by {peak_k} K");
    }
}
