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

    fn course(&self) -> Course {
        let (minutes, rated) = (self.minutes(), self.rated());
        let (load, ambient) = (&self.load, &self.ambient);
        let plan = Plan { cooling: &self.cooling, load, ambient, breakpoints: &minutes };
        let begin = rated[0].steady_at(load.at(0.0), ambient.at(0.0));
        through(&rated, &plan, (begin, 0), 0.0, 1.0)
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
    /// The greatest difference of the hot spot's rates in the two stages at a change, K/min.
    bend: f64,
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
            self.change(pair);
        }
        while self.minute < pair[1] {
            let left_min = pair[1] - self.minute;
            let whole_min = if left_min < 1.5 * PIECE_MIN { left_min } else { PIECE_MIN };
            let equations = self.equations(pair);
            let wanted = |after_min: f64, y: &Temperatures| {
                self.wanted(self.minute + after_min, y, &equations.moment(after_min, y))
            };
            let stays =
                self.changes.last().is_some_and(|last| self.minute - last < 0.9 * PIECE_MIN);
            let (mut length_min, mut y) = (whole_min, equations.after(self.y, whole_min));
            let changes = !stays && wanted(whole_min, &y);
            if changes {
                let mut before = 0.0;
                for _ in 0..HALVINGS {
                    let middle = f64::midpoint(before, length_min);
                    let there = equations.after(self.y, middle);
                    if wanted(middle, &there) {
                        (length_min, y) = (middle, there);
                    } else {
                        before = middle;
                    }
                }
            }
            self.y = y;
            let ends = length_min >= left_min;
            self.minute = if ends { pair[1] } else { self.minute + length_min };
            if changes {
                self.change(pair);
            }
        }
    }

    fn change(&mut self, pair: [f64; 2]) {
        let before = self.equations(pair).moment(0.0, &self.y).rates[1];
        self.stage = 1 - self.stage;
        let after = self.equations(pair).moment(0.0, &self.y).rates[1];
        self.bend = self.bend.max((before - after).abs());
        self.changes.push(self.minute);
    }
}

/// What the steps are chosen for, K.
const BOUND_K: f64 = 0.05;

/// A stage stays for so long, min: a change that comes sooner after the last one waits until then.
const LATE_MIN: f64 = 0.1;

/// Compares all samples; answers the greatest difference of the hot spot, K, what a late change may add to the bound, K,
/// and how often the stage changes.
fn compare(unit: &Staged) -> (f64, f64, usize) {
    let (course, minutes) = (unit.course(), unit.minutes());
    let (y, changes) = (unit.begin(), Vec::new());
    let mut solution = Solution { unit, minute: 0.0, y, stage: 0, changes, bend: 0.0 };
    let mut worst_k = 0.0_f64;
    for (pair, sample) in minutes.windows(2).zip(&course.samples[1..]) {
        solution.go_on([pair[0], pair[1]]);
        let apart_k = (sample.hot_spot_c - solution.y[1]).abs();
        assert!(apart_k.is_finite(), "{sample:?} {}", solution.y);
        worst_k = worst_k.max(apart_k);
        let changed = solution.changes.last().is_some_and(|last| pair[1] - last < 1.0);
        assert!(changed || sample.stage == solution.stage, "stages at {} min", sample.minute);
    }
    (worst_k, LATE_MIN * solution.bend, solution.changes.len())
}

const UNITS: u32 = 12;

/// Compares units; answers how often stages change, and in how many units all is as close as without changes.
fn compare_units(seed: u64, sensor: Sensor, lost: bool) -> (usize, u32) {
    let mut dice = Dice(seed);
    let (mut all_changes, mut close) = (0, 0);
    for case in 0..UNITS {
        let mut unit = Staged::of(sensor, &mut dice);
        unit.cooling.lost_at_min = lost.then(|| dice.between(1.0, 500.0));
        let (worst_k, late_k, changes) = compare(&unit);
        assert!(worst_k < BOUND_K + late_k, "{sensor:?} {case}: {worst_k} K, {changes} changes");
        all_changes += changes;
        close += u32::from(worst_k < BOUND_K);
    }
    (all_changes, close)
}

#[test]
fn stages_that_start_by_top_oil_agree_with_an_ode_library() {
    let (changes, close) = compare_units(71, Sensor::TopOil, false);
    assert!(changes > 8, "only {changes} stage changes were compared");
    assert!(close >= UNITS - 2, "only {close} of {UNITS} are as close as without changes");
}

#[test]
fn stages_that_start_by_the_winding_agree_with_an_ode_library() {
    let (changes, close) = compare_units(72, Sensor::Winding, false);
    assert!(changes > 8, "only {changes} stage changes were compared");
    assert!(close >= UNITS - 2, "only {close} of {UNITS} are as close as without changes");
}

#[test]
fn stages_that_are_lost_agree_with_an_ode_library() {
    let (changes, close) = compare_units(73, Sensor::TopOil, true);
    assert!(changes > 8, "only {changes} stage changes were compared");
    assert!(close >= UNITS - 2, "only {close} of {UNITS} are as close as without changes");
}

/// Whether a course is sampled every minute changes its steps, and nothing else: each way is off by less than the bound.
#[test]
fn a_course_without_samples_has_the_same_stages_and_peaks() {
    let mut dice = Dice(74);
    let (mut changed, mut fewer) = (0, 0);
    for case in 0..8 * UNITS {
        let sensor = if case % 2 == 0 { Sensor::TopOil } else { Sensor::Winding };
        let mut unit = Staged::of(sensor, &mut dice);
        unit.cooling.lost_at_min = (case % 5 == 0).then(|| dice.between(1.0, 500.0));
        let lost: Vec<f64> = unit.cooling.lost_at_min.into_iter().collect();
        let (rated, sampled) = (unit.rated(), unit.course());
        let minutes = breakpoints(0.0, UNTIL_MIN, &unit.load, &unit.ambient, &lost);
        let (cooling, load, ambient) = (&unit.cooling, &unit.load, &unit.ambient);
        let plan = Plan { cooling, load, ambient, breakpoints: &minutes };
        let begin = rated[0].steady_at(load.at(0.0), ambient.at(0.0));
        let course = through(&rated, &plan, (begin, 0), 0.0, 1.0);
        assert_eq!(course.stages_used, sampled.stages_used, "{case}");
        for (one, other) in [
            (course.hot_spot.value_c, sampled.hot_spot.value_c),
            (course.top_oil.value_c, sampled.top_oil.value_c),
        ] {
            assert!((one - other).abs() < 2.0 * BOUND_K, "{case}: {one} and {other}");
        }
        let by_minute =
            |minute: f64| sampled.samples.iter().find(|seen| (seen.minute - minute).abs() < 1.0e-9);
        for seen in &course.samples {
            let other = by_minute(seen.minute).unwrap();
            assert!((seen.hot_spot_c - other.hot_spot_c).abs() < 2.0 * BOUND_K, "{case}: {seen:?}");
        }
        changed += usize::from(sampled.stages_used.iter().all(|used| *used));
        fewer += sampled.samples.len() - course.samples.len();
    }
    assert!(changed > 40, "stages change in {changed} courses only");
    assert!(fewer > 30_000, "{fewer} samples fewer");
}

/// Units that go through fans that come and go for two days.
const CYCLING: usize = 60;

/// A course may leave out cycles that are all the same, and takes other steps than one that is cut into half hours: 0.01 K, and
/// twice the error of a step.
const LEFT_OUT_K: f64 = 0.05;

#[test]
fn cycles_that_are_left_out_hide_no_hotter_one() {
    let (mut dice, mut cycle) = (Dice(73), 0);
    for unit in 0..400 {
        let sensor = if dice.coin() { Sensor::TopOil } else { Sensor::Winding };
        let staged = Staged::of(sensor, &mut dice);
        let rated = staged.rated();
        let load = LoadSteps::constant(dice.between(0.4, 1.0));
        let ambient = AmbientLine::constant(dice.between(-5.0, 35.0));
        let begin = rated[0].steady_at(dice.between(0.0, 0.6), ambient.at(0.0));
        let hottest = |minutes: &[f64]| {
            let cooling = &staged.cooling;
            let plan = Plan { cooling, load: &load, ambient: &ambient, breakpoints: minutes };
            through(&rated, &plan, (begin, 0), 0.0, 1.0)
        };
        let cut: Vec<f64> = (0..=96).map(|half_hour| 30.0 * f64::from(half_hour)).collect();
        let (whole, cut) = (hottest(&[0.0, 2880.0]), hottest(&cut));
        let off_k = (whole.hot_spot.value_c - cut.hot_spot.value_c).abs();
        let oil_k = (whole.top_oil.value_c - cut.top_oil.value_c).abs();
        assert!(off_k < LEFT_OUT_K && oil_k < LEFT_OUT_K, "unit {unit}: {off_k} {oil_k}");
        let stages = cut.samples[48..].iter().map(|sample| sample.stage);
        cycle += usize::from(stages.clone().min() != stages.max());
    }
    assert!(cycle >= CYCLING, "{cycle} of 400 cycle");
}
