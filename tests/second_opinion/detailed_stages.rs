//! The detailed model with stages that start and stop, against the equations written again and a general-purpose library.

use crate::detailed::{Invented, UNTIL_MIN};
use crate::detailed_equations::{Equations, Moment, Temperatures, temperatures};
use crate::dice::Dice;
use bubblemargin::thermal::Nameplate;
use bubblemargin::thermal::cooling::{Control, Cooling, Sensor, Stage, Switching};
use bubblemargin::thermal::detailed::{Course, Detail, Flow, Losses, Rated, through};
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use bubblemargin::thermal::trajectory::Plan;

/// A unit with a weaker stage below the one it is rated for.
struct Staged {
    details: [Detail; 2],
    cooling: Cooling,
    load: LoadSteps,
    ambient: AmbientLine,
}

/// The same transformer at a lower rating: losses go with the square of it, gradients nearly so, and with fans stopped
/// its oil is about as hot.
fn weaker(stronger: &Invented, rating_pu: f64, dice: &mut Dice) -> (Nameplate, Detail) {
    let (n, d) = (&stronger.nameplate, &stronger.detail);
    let top_k = n.top_oil_rise_k * dice.between(0.85, 1.1);
    let bottom_k = top_k * (d.bottom_oil_rise_k / n.top_oil_rise_k) * dice.between(0.9, 1.1);
    let mean_k = f64::midpoint(n.top_oil_rise_k, d.bottom_oil_rise_k);
    let gradients = rating_pu.powf(dice.between(1.4, 1.7));
    let winding_rise_k =
        f64::midpoint(top_k, bottom_k) + gradients * (d.winding_rise_k - mean_k).max(4.0);
    let hot_spot_gradient_k = (gradients * n.hot_spot_gradient_k).max(winding_rise_k - top_k + 2.0);
    let (square, losses) = (rating_pu * rating_pu, d.losses);
    let losses = Losses {
        winding: square * losses.winding,
        winding_eddy: square * losses.winding_eddy,
        stray: square * losses.stray,
        ..losses
    };
    let nameplate = Nameplate { top_oil_rise_k: top_k, hot_spot_gradient_k, loss_ratio: 0.0 };
    let flow = Flow::ONAN;
    (nameplate, Detail { winding_rise_k, bottom_oil_rise_k: bottom_k, losses, flow, ..*d })
}

impl Staged {
    fn of(sensor: Sensor, dice: &mut Dice) -> Self {
        let invented = Invented::of(dice);
        let rating_pu = dice.between(0.55, 0.8);
        let (nameplate, detail) = weaker(&invented, rating_pu, dice);
        let start_c = match sensor {
            Sensor::TopOil => dice.between(50.0, 70.0),
            Sensor::Winding => dice.between(70.0, 90.0),
        };
        let stop_c = start_c - dice.between(8.0, 15.0);
        let weaker = Stage { nameplate, ..dice.stage("weaker", rating_pu) };
        let switching = Some(Switching { sensor, start_c, stop_c });
        let stronger =
            Stage { nameplate: invented.nameplate, switching, ..dice.stage("stronger", 1.0) };
        let cooling = Cooling {
            stages: vec![weaker, stronger],
            control: Control::Automatic,
            lost_at_min: None,
        };
        let (load, ambient) = invented.lines();
        Self { details: [detail, invented.detail], cooling, load, ambient }
    }

    fn minutes(&self) -> Vec<f64> {
        let samples = (0..600).map(f64::from).chain(self.cooling.lost_at_min);
        breakpoints(0.0, UNTIL_MIN, &self.load, &self.ambient, &samples.collect::<Vec<f64>>())
    }

    fn rated(&self) -> [Rated; 2] {
        [0, 1].map(|stage| {
            let own = &self.cooling.stages[stage];
            Rated::of(&own.nameplate, &self.details[stage], own.rating_pu)
        })
    }

    fn begin(&self) -> Temperatures {
        temperatures(self.rated()[0].steady_at(self.load.at(0.0), self.ambient.at(0.0)))
    }

    fn course(&self, finer: f64) -> Course {
        let (minutes, rated) = (self.minutes(), self.rated());
        let (load, ambient) = (&self.load, &self.ambient);
        let plan = Plan { cooling: &self.cooling, load, ambient, breakpoints: &minutes };
        let begin = rated[0].steady_at(load.at(0.0), ambient.at(0.0));
        through(&rated, &plan, (begin, 0), 0.0, finer)
    }
}

/// Where the equations written again have got to.
struct Solution<'a> {
    unit: &'a Staged,
    minute: f64,
    y: Temperatures,
    stage: usize,
    /// Minutes at which the stage changed.
    changes: Vec<f64>,
}

/// The library goes on in pieces of this, min; a stage changes at most once in each and stays for as long.
const PIECE_MIN: f64 = 0.1;

/// Halvings of a piece: to 1e-10 min.
const HALVINGS: u32 = 30;

impl Solution<'_> {
    fn equations(&self, pair: [f64; 2]) -> Equations {
        let (unit, ambient) = (self.unit, &self.unit.ambient);
        let own = &unit.cooling.stages[self.stage];
        Equations {
            d: unit.details[self.stage],
            n: own.nameplate,
            load: unit.load.at(pair[0]) / own.rating_pu,
            ambient_c: ambient.at(self.minute),
            per_min: (ambient.at(pair[1]) - ambient.at(pair[0])) / (pair[1] - pair[0]),
        }
    }

    /// The other stage, where the controls or the loss of the cooling ask for it.
    fn wanted(&self, minute: f64, y: &Temperatures, moment: &Moment) -> bool {
        let cooling = &self.unit.cooling;
        if cooling.lost_at_min.is_some_and(|lost_min| minute >= lost_min) {
            return self.stage == 1;
        }
        let switching = cooling.stages[1].switching.unwrap();
        let reading_c = match switching.sensor {
            Sensor::TopOil => moment.top_c,
            Sensor::Winding => y[1],
        };
        match self.stage {
            0 => reading_c >= switching.start_c,
            _ => reading_c <= switching.stop_c,
        }
    }

    /// On to a minute before the next change of what is imposed, which is imposed as between the two of `pair`.
    fn go_on(&mut self, pair: [f64; 2]) {
        let at_once = self.equations(pair).moment(0.0, &self.y);
        if self.wanted(self.minute, &self.y, &at_once) {
            self.change();
        }
        while self.minute < pair[1] {
            let left_min = pair[1] - self.minute;
            let whole_min = if left_min < 1.5 * PIECE_MIN { left_min } else { PIECE_MIN };
            let equations = self.equations(pair);
            let wanted = |after_min: f64| {
                let y = equations.after(self.y, after_min);
                self.wanted(self.minute + after_min, &y, &equations.moment(after_min, &y))
            };
            let stays = self.changes.last().is_some_and(|last| self.minute - last < 0.9 * PIECE_MIN);
            let (mut length_min, mut changes) = (whole_min, false);
            if !stays && wanted(whole_min) {
                let (mut before, mut after) = (0.0, whole_min);
                for _ in 0..HALVINGS {
                    let middle = f64::midpoint(before, after);
                    if wanted(middle) { after = middle } else { before = middle }
                }
                (length_min, changes) = (after, true);
            }
            self.y = equations.after(self.y, length_min);
            let ends = length_min >= left_min;
            self.minute = if ends { pair[1] } else { self.minute + length_min };
            if changes {
                self.change();
            }
        }
    }

    fn change(&mut self) {
        self.stage = 1 - self.stage;
        self.changes.push(self.minute);
    }
}

/// Compares all samples; answers the greatest difference and the number of changes.
fn compare(unit: &Staged, finers: &[f64]) -> (Vec<f64>, usize, f64) {
    let courses: Vec<Course> = finers.iter().map(|finer| unit.course(*finer)).collect();
    let minutes = unit.minutes();
    let mut solution =
        Solution { unit, minute: 0.0, y: unit.begin(), stage: 0, changes: Vec::new() };
    let mut worst = vec![0.0_f64; finers.len()];
    for (at, pair) in minutes.windows(2).enumerate() {
        solution.go_on([pair[0], pair[1]]);
        for (worst, course) in worst.iter_mut().zip(&courses) {
            let sample = &course.samples[at + 1];
            *worst = worst.max((sample.hot_spot_c - solution.y[1]).abs());
        }
    }
    let apart = solution.changes.windows(2).map(|pair| pair[1] - pair[0]);
    (worst, solution.changes.len(), apart.fold(f64::INFINITY, f64::min))
}

#[test]
fn stages_that_start_and_stop_agree_with_an_ode_library() {
    for (seed, sensor) in [(71, Sensor::TopOil), (72, Sensor::Winding)] {
        let mut dice = Dice(seed);
        for case in 0..12 {
            let unit = Staged::of(sensor, &mut dice);
            let (worst, changes, closest) = compare(&unit, &[1.0, 10.0, 100.0]);
            eprintln!("STAGES {sensor:?} {case} {worst:?} {changes} {closest}");
        }
    }
}
