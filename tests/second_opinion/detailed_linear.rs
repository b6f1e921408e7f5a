//! The detailed model where it is linear: exact lags, by the other models and by the matrix exponential.
//!
//! Oil that pumps lead into the winding has no exponents and no viscosity. What is left is resistance, which goes with
//! the temperature over its own zero. In air of [`HOT_AIR_C`] no rise changes it, so that the equations are linear there,
//! with the constants of the unit as they are. No unit has such air: it is a way to take the model to its limit through
//! the interface that everybody uses.

use crate::detailed::{Invented, UNTIL_MIN, by_the_hour};
use crate::dice::Dice;
use bubblemargin::thermal::cooling::{Control, Cooling, Stage};
use bubblemargin::thermal::detailed::{
    Conductor, Course, Detail, Flow, HeatCapacity, Losses, Rated, through,
};
use bubblemargin::thermal::iec::Iec;
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use bubblemargin::thermal::trajectory::{Plan, Sample, simulate};
use bubblemargin::thermal::{Form, Nameplate};
use nalgebra::{Matrix5, Vector5};

/// Rises of up to 200 K change the resistance by 2e-6 there, and a rise by about as much of itself, 4e-4 K. Numbers of
/// this size have 1.5e-8 K between them.
const HOT_AIR_C: f64 = 1.0e8;

/// What the air leaves (4e-4 K) and steps a hundred times shorter than usual.
const WITHIN_K: f64 = 1.0e-3;

/// What a course with the usual steps may be off by, K.
const BOUND_K: f64 = 0.05;

/// A directed unit in hot air: winding over duct oil, hot spot over the oil beside it, and its exact equations.
struct Directed {
    invented: Invented,
    winding_k: f64,
    hot_spot_k: f64,
}

impl Directed {
    fn of(dice: &mut Dice) -> Self {
        let mut invented = Invented::of(dice);
        let (top_k, bottom_k) =
            (invented.nameplate.top_oil_rise_k, invented.detail.bottom_oil_rise_k);
        let winding_k = dice.between(8.0, 20.0);
        let losses = invented.detail.losses;
        let more_eddy = 1.0 + invented.detail.hot_spot_eddy_pu;
        let faster = more_eddy / (1.0 + losses.winding_eddy / losses.winding);
        // The hot spot follows no faster than the winding and is not lifted to it.
        let hot_spot_k = faster * winding_k * dice.between(1.0, 1.5);
        invented.nameplate.hot_spot_gradient_k = hot_spot_k;
        invented.detail = Detail {
            rated_ambient_c: HOT_AIR_C,
            winding_rise_k: f64::midpoint(top_k, bottom_k) + winding_k,
            losses: Losses { at_c: HOT_AIR_C, ..losses },
            flow: Flow::OD,
            ..invented.detail
        };
        for knot in &mut invented.ambient {
            // Hours of air hotter than the oil are left out: the coolers take nothing then, which is no line.
            knot.1 = HOT_AIR_C + 0.1 * knot.1;
        }
        Self { invented, winding_k, hot_spot_k }
    }

    /// Rates of winding, hot spot, oil and ambient, the oil beside the hot spot from the duct or from the tank's top, and
    /// how far the duct's is hotter (as a share of the rated difference of top and bottom); temperatures over
    /// [`HOT_AIR_C`], the last part of a state is 1.
    fn matrix(&self, load: f64, per_min: f64, from_duct: bool) -> (Matrix5<f64>, Vector5<f64>) {
        let (d, n) = (&self.invented.detail, &self.invented.nameplate);
        let Losses { winding, winding_eddy: eddy, stray, core, .. } = d.losses;
        let (total, square) = (winding + eddy + stray + core, load * load);
        let HeatCapacity::TimeConstant { oil_min } = d.heat_capacity else { unreachable!() };
        let mean_k = f64::midpoint(n.top_oil_rise_k, d.bottom_oil_rise_k);
        let apart_k = n.top_oil_rise_k - d.bottom_oil_rise_k;
        let (g, h) = (self.winding_k, self.hot_spot_k);
        // What the coolers take, bottom oil, what the winding loses: rows over the state.
        let out = Vector5::new(0.0, 0.0, 1.0, -1.0, 0.0) / mean_k;
        let bottom = Vector5::new(0.0, 0.0, 1.0, 0.0, 0.0) - 0.5 * apart_k * out;
        let lost = (Vector5::new(1.0, 0.0, 0.0, 0.0, 0.0) - bottom) / (g + 0.5 * apart_k);
        let one = Vector5::new(0.0, 0.0, 0.0, 0.0, 1.0);
        let beside = bottom + apart_k * if from_duct { lost } else { out };
        let faster = (1.0 + d.hot_spot_eddy_pu) / (1.0 + eddy / winding);
        let per_winding = g / d.winding_time_constant_min;
        let over = (Vector5::new(0.0, 1.0, 0.0, 0.0, 0.0) - beside) / h;
        let made = (core + square * stray) / total;
        let rates = [
            per_winding * (square * one - lost),
            per_winding * faster * (square * one - over),
            mean_k / oil_min * (lost * ((winding + eddy) / total) + made * one - out),
            per_min * one,
            0.0 * one,
        ];
        (Matrix5::from_rows(&rates.map(|rate| rate.transpose())), lost - out)
    }

    /// The exact state after some minutes; where the oil beside the hot spot changes from the tank's to the duct's, or
    /// back, is found by halving.
    fn after(
        &self,
        (load, per_min): (f64, f64),
        begin: Vector5<f64>,
        minutes: f64,
    ) -> Vector5<f64> {
        // The difference does not depend on the hot spot, and so not on which of the two it is.
        let (matrix, hotter) = self.matrix(load, per_min, true);
        let from_duct = |minute: f64| hotter.dot(&((matrix * minute).exp() * begin)) > 0.0;
        let flow = |begin: Vector5<f64>, minutes: f64, from_duct: bool| {
            (self.matrix(load, per_min, from_duct).0 * minutes).exp() * begin
        };
        let (first, last) = (from_duct(0.0), from_duct(minutes));
        if first == last {
            return flow(begin, minutes, first);
        }
        let (mut before, mut after) = (0.0, minutes);
        for _ in 0..50 {
            let middle = f64::midpoint(before, after);
            if from_duct(middle) == first { before = middle } else { after = middle }
        }
        flow(flow(begin, after, first), minutes - after, last)
    }

    /// Hot spots over [`HOT_AIR_C`] at these minutes, no more than one between two changes of from where the oil comes;
    /// and how often it changes.
    fn hot_spots(&self, minutes: &[f64]) -> (Vec<f64>, usize) {
        let begin = self.invented.begin();
        let first = |c: f64| c - HOT_AIR_C;
        let mut y = Vector5::new(
            first(begin.winding_c),
            first(begin.hot_spot_c),
            first(begin.oil_c),
            first(self.invented.ambient[0].1),
            1.0,
        );
        let (load, ambient) = self.invented.lines();
        let (mut seen, mut changes) = (vec![y[1]], 0);
        for pair in minutes.windows(2) {
            let per_min = (ambient.at(pair[1]) - ambient.at(pair[0])) / (pair[1] - pair[0]);
            let imposed = (load.at(pair[0]), per_min);
            let hotter = self.matrix(imposed.0, per_min, true).1;
            let before = hotter.dot(&y) > 0.0;
            y = self.after(imposed, y, pair[1] - pair[0]);
            changes += usize::from(before != (hotter.dot(&y) > 0.0));
            assert!(y[1] > y[0], "nothing lifts the hot spot: {y}");
            assert!(y[2] > y[3], "the coolers take something: {y}");
            seen.push(y[1]);
        }
        (seen, changes)
    }
}

fn every_minute(invented: &Invented) -> Vec<f64> {
    let (load, ambient) = invented.lines();
    let samples: Vec<f64> = (0..600).map(f64::from).collect();
    breakpoints(0.0, UNTIL_MIN, &load, &ambient, &samples)
}

/// Written so that a NaN stays.
fn greater(most: f64, value: f64) -> f64 {
    if most.is_nan() || value <= most { most } else { value }
}

fn worst_k(course: &Course, exact: &[f64]) -> f64 {
    let apart = course.samples.iter().zip(exact);
    apart.map(|(sample, exact)| (sample.hot_spot_c - HOT_AIR_C - exact).abs()).fold(0.0, greater)
}

#[test]
fn where_it_is_linear_it_is_the_matrix_exponential() {
    let mut dice = Dice(31);
    let mut all_changes = 0;
    for case in 0..12 {
        let directed = Directed::of(&mut dice);
        let minutes = every_minute(&directed.invented);
        let (exact, changes) = directed.hot_spots(&minutes);
        all_changes += changes;
        let off_k = worst_k(&directed.invented.through(&minutes, 0.0, 100.0), &exact);
        let usual_k = worst_k(&directed.invented.through(&minutes, 0.0, 1.0), &exact);
        assert!(off_k < WITHIN_K, "case {case}: {off_k} K");
        assert!(usual_k < BOUND_K, "case {case}: {usual_k} K with the usual steps");
        let rise_k = exact.iter().fold(0.0_f64, |most, c| most.max(*c));
        assert!(rise_k > 60.0, "case {case}: the unit gets warm: {rise_k}");
    }
    assert!(all_changes > 24, "oil from the duct and from the tank's top: {all_changes}");
}

/// A unit whose losses but for a thousand-millionth are outside of the winding, with oil as warm at the bottom as at the
/// top: the load heats its oil at once, and winding and hot spot lose their heat into that oil.
struct TwoLags {
    stage: Stage,
    detail: Detail,
}

impl TwoLags {
    fn of(loss_ratio: f64, dice: &mut Dice) -> Self {
        let (top_k, winding_k) = (dice.between(35.0, 60.0), dice.between(8.0, 20.0));
        let (hot_spot_k, winding_min) =
            (winding_k * dice.between(1.0, 1.5), dice.between(4.0, 10.0));
        let mut stage = dice.stage("rated", 1.0);
        stage.nameplate =
            Nameplate { top_oil_rise_k: top_k, hot_spot_gradient_k: hot_spot_k, loss_ratio };
        let iec = &mut stage.iec;
        (iec.x, iec.y, iec.k11, iec.k21, iec.k22) = (1.0, 2.0, 1.0, 1.0, 1.0);
        // The heat capacity is that of the winding, which is less above its oil.
        iec.winding_time_constant_min = winding_min * hot_spot_k / winding_k;
        // Bottom and top oil must not be the same.
        let bottom_k = top_k - 1.0e-4;
        let detail = Detail {
            rated_ambient_c: HOT_AIR_C,
            guaranteed_winding_rise_k: 65.0,
            winding_rise_k: f64::midpoint(top_k, bottom_k) + winding_k,
            bottom_oil_rise_k: bottom_k,
            losses: Losses {
                at_c: HOT_AIR_C,
                winding: 1.0e-7,
                winding_eddy: 1.0e-8,
                stray: 100.0 * loss_ratio,
                core: 100.0,
            },
            conductor: Conductor::Copper,
            hot_spot_eddy_pu: 0.1,
            hot_spot_height_pu: 1.0,
            winding_time_constant_min: winding_min,
            heat_capacity: HeatCapacity::TimeConstant { oil_min: iec.oil_time_constant_min },
            flow: Flow::OD,
        };
        Self { stage, detail }
    }

    /// Ten hours by the IEC model and in hot air by this one, from the steady state; °C, (top oil, hot spot) of each.
    fn both(&self, loads: &[(f64, f64)], knots: &[(f64, f64)]) -> Vec<[(f64, f64); 2]> {
        let above = knots.iter().map(|(minute, c)| (*minute, c + HOT_AIR_C)).collect();
        let load = LoadSteps::new(loads.to_vec()).unwrap();
        let (air, hot_air) =
            (AmbientLine::new(knots.to_vec()).unwrap(), AmbientLine::new(above).unwrap());
        let samples: Vec<f64> = (0..600).map(f64::from).collect();
        let minutes = breakpoints(0.0, UNTIL_MIN, &load, &air, &samples);
        let (stages, control) = (vec![self.stage.clone()], Control::Fixed(0));
        let cooling = Cooling { stages, control, lost_at_min: None };
        let plan = Plan { cooling: &cooling, load: &load, ambient: &air, breakpoints: &minutes };
        let iec = Iec::default();
        let exact = simulate(&iec, &plan, iec.steady(&self.stage, loads[0].1, knots[0].1), 0);
        let rated = Rated::of(&self.stage.nameplate, &self.detail, 1.0);
        let begin = rated.steady_at(loads[0].1, knots[0].1 + HOT_AIR_C);
        let plan = Plan { ambient: &hot_air, ..plan };
        let course = through(&[rated], &plan, (begin, 0), 0.0, 100.0);
        let pairs = course.samples.iter().zip(&exact.samples);
        let each = |(ours, exact): (&Sample, &Sample)| {
            let ours = (ours.top_oil_c - HOT_AIR_C, ours.hot_spot_c - HOT_AIR_C);
            [ours, (exact.top_oil_c, exact.hot_spot_c)]
        };
        pairs.map(each).collect()
    }
}

#[test]
fn where_the_load_heats_the_oil_at_once_the_oil_is_the_exact_lag_of_the_iec_model() {
    let mut dice = Dice(32);
    for case in 0..12 {
        let loss_ratio = dice.between(2.0, 10.0);
        let unit = TwoLags::of(loss_ratio, &mut dice);
        let loads = by_the_hour(&mut dice, 0.4, 1.5);
        let both = unit.both(&loads, &by_the_hour(&mut dice, 10.0, 15.0));
        let oil = both.iter().map(|[ours, exact]| (ours.0 - exact.0).abs());
        let off_k = oil.fold(0.0, greater);
        assert!(off_k < WITHIN_K, "case {case}: {off_k} K");
        let hottest_c = both.iter().map(|[ours, _]| ours.0).fold(f64::MIN, f64::max);
        assert!(hottest_c > 45.0, "case {case}: the oil gets warm: {hottest_c} °C");
    }
}

/// Only while the oil stays as it is: a hot spot that is heated by its winding follows its oil with the lag of the
/// winding, where the IEC model adds a gradient to the oil of the moment.
#[test]
fn where_the_oil_stays_as_it_is_the_gradient_is_the_exact_lag_of_the_iec_model() {
    let mut dice = Dice(33);
    for case in 0..12 {
        let unit = TwoLags::of(0.0, &mut dice);
        let loads = by_the_hour(&mut dice, 0.2, 1.5);
        let both = unit.both(&loads, &[(0.0, dice.between(-10.0, 38.0))]);
        let hot_spot = both.iter().map(|[ours, exact]| (ours.1 - exact.1).abs());
        let off_k = hot_spot.fold(0.0, greater);
        assert!(off_k < WITHIN_K, "case {case}: {off_k} K");
        let apart = both
            .iter()
            .map(|[ours, _]| ours.1)
            .fold((f64::MAX, f64::MIN), |(l, h), c| (l.min(c), h.max(c)));
        assert!(apart.1 - apart.0 > 5.0, "case {case}: the load moves it: {apart:?} °C");
    }
}
