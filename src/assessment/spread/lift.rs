//! What the detailed model adds to the hottest hot spots of draws.
//!
//! It costs as much as a hundred draws of a lag, so a load is taken through it without draws and with few. Those and all others are
//! matched by their order:
//!
//! ```text
//! hot spot = max(h + e, H + y(h + e − m))      y: from how far the few are off m by the lag forms, in order, to how far they
//!                                              are off H by the hottest model, in order
//! ```
//! `h` and `m` are the hotter lag form's, of the draw and without draws, `H` is the hottest model's without draws, and `e`, one
//! more input, is how far the hottest model may be off. Between two of the few the way is straight, beyond the last it has the
//! slope 1. So every quantile of all draws is moved by what the detailed model does to that of the few, whatever the shape: where
//! fans start at other times there are two heaps of draws.
//!
//! # Source       `project-choice`; in statistics this is quantile mapping by differences. The detailed model may raise a hot
//!   spot, never lower it.
//! # Valid        As the models.
//! # Departures   Few draws in place of every one.
//! # Checked      The tests below: the 5 % point of the margin against every draw through the detailed model, on 200
//! invented units and loads.

use super::drawn::Drawn;
use super::drawn::detailed::{Member, members};
use super::inputs::{HELD_WITHIN, Inputs, Quantity};
use super::propagation::{Ambients, by_each_lag, steps};
use crate::assessment::case::Case;
use crate::assessment::course::Course;
use crate::assessment::followed::Followed;
use crate::assessment::plant::Plant;
use crate::assessment::possible::WhichStart;
use crate::thermal::Model;
use crate::thermal::cooling::Cooling;
use crate::thermal::detailed::OWN_INPUTS;
use crate::thermal::schedule::{AmbientLine, LoadSteps};
use crate::thermal::trajectory::{Plan, Sample};
use crate::uncertainty::batch::in_chunks;
use crate::uncertainty::distribution::Distribution;
use crate::uncertainty::points::Points;
use std::collections::HashMap;
use std::sync::Mutex;

/// So many draws are taken through the detailed model, in two scramblings.
const EACH: u32 = 64;
const REPLICATES: u32 = 2;

/// So many of each scrambling where starts are only compared: the same draws of each, so that what they differ by is known
/// closer than either.
const COMPARED: usize = 16;

/// All draws count as so much hotter, K, for the error of few, and by no more than those differ by. Our choice: then the 5 % point
/// of the margin is on the safe side of that of every draw through the detailed model, by the test below.
pub(super) const MISSED_K: f64 = 0.9;

/// From the hot spots of draws by the lag forms to those of the hottest model, under one load.
#[derive(Debug, Clone)]
pub(super) struct Lift {
    /// How far the few are off by the lag forms and by the hottest model, K, each in its own order; empty: as far by either.
    off_k: Vec<(f64, f64)>,
    /// Without draws, by the hotter lag form and by the hottest model, °C.
    lags_c: f64,
    hottest_c: f64,
    /// With which ambient draws have to be followed.
    ambients: Ambients,
}

impl Lift {
    /// By few draws: what the lag forms and the hottest model make of them, °C.
    fn of((mut lags_c, mut hottest_c): (Vec<f64>, Vec<f64>), plain: (f64, f64)) -> Self {
        lags_c.sort_by(f64::total_cmp);
        hottest_c.sort_by(f64::total_cmp);
        let straight = Self::straight(plain);
        let differ_k =
            hottest_c.last().zip(hottest_c.first()).map_or(0.0, |(most, least)| most - least);
        let missed_k = MISSED_K.min(differ_k);
        let off_k = |(lags_c, hottest_c): (&f64, &f64)| {
            (lags_c - straight.lags_c, hottest_c - straight.hottest_c + missed_k)
        };
        Self { off_k: lags_c.iter().zip(&hottest_c).map(off_k).collect(), ..straight }
    }

    /// About a load of which the hot spots without draws are known, by the lag forms and by the detailed model, °C: draws are as far off by
    /// either.
    pub(super) fn straight((lags_c, detailed_c): (f64, f64)) -> Self {
        // In this order a NaN stays.
        let hottest_c = if detailed_c <= lags_c { lags_c } else { detailed_c };
        Self { off_k: Vec::new(), lags_c, hottest_c, ambients: Ambients::Both }
    }

    /// The hottest hot spot with every input at its median, °C; infinite where it is not known.
    pub(super) fn of_medians_c(&self) -> f64 {
        if self.hottest_c.is_nan() { f64::INFINITY } else { self.hottest_c }
    }

    /// The hottest hot spot of a draw, °C; one that is not known is infinite. `model_k`: how far above its hottest model it
    /// is.
    pub(super) fn hot_c(&self, lags_c: f64, model_k: f64) -> f64 {
        let by_lags_c = lags_c + model_k;
        let hottest_c = self.hottest_c + self.off_k(by_lags_c - self.lags_c);
        // What is not a number is as bad as the worst.
        if by_lags_c.is_nan() || hottest_c.is_nan() {
            return f64::INFINITY;
        }
        by_lags_c.max(hottest_c)
    }

    /// With which ambient draws have to be followed.
    pub(super) fn ambients(&self) -> Ambients {
        self.ambients
    }

    /// The hottest hot spots of the few themselves, °C, the one of the medians last.
    pub(super) fn few_c(&self) -> Vec<f64> {
        let few = self.off_k.iter().map(|off_k| self.hottest_c + off_k.1);
        few.chain([self.of_medians_c()]).collect()
    }

    fn off_k(&self, lags_k: f64) -> f64 {
        let (Some(first), Some(last)) = (self.off_k.first(), self.off_k.last()) else {
            return lags_k;
        };
        let above = self.off_k.partition_point(|known| known.0 < lags_k);
        match (above.checked_sub(1).map(|below| self.off_k[below]), self.off_k.get(above)) {
            (Some((low, low_k)), Some((high, high_k))) => {
                low_k + (lags_k - low) / (high - low) * (high_k - low_k)
            }
            (None, _) => first.1 + lags_k - first.0,
            (Some(_), None) => last.1 + lags_k - last.0,
        }
    }
}

/// About the first minutes of a course without draws.
pub(super) fn about_course(course: &Course, until_min: f64) -> Lift {
    // What is not a number is as bad as the worst.
    let known = |c: f64| if c.is_nan() { f64::INFINITY } else { c };
    let highest = |course: &Course| {
        let early = || course.samples().take_while(|models| models.minute() <= until_min);
        let lags_c = early().map(|models| models.lags_c()).fold(f64::MIN, f64::max);
        let detailed_c = early().map(|models| known(models.detailed.hot_spot_c));
        (lags_c, detailed_c.fold(f64::MIN, f64::max))
    };
    let (own, stated) = (highest(course), highest(course.stated()));
    Lift::straight(if own.1 - own.0 >= stated.1 - stated.0 { own } else { stated })
}

/// Few draws from one start, ready for any load.
#[derive(Debug)]
pub(super) struct Few {
    lags: Drawn,
    middle: Drawn,
    detailed: Vec<Member>,
    /// What they made of loads that were asked for.
    known: Mutex<HashMap<Shape, Lift>>,
}

/// A load as it is told from others, digit by digit: minutes and loads.
#[derive(Debug, PartialEq, Eq, Hash)]
pub(super) struct Shape(Vec<(u64, u64)>, Taken);

impl Shape {
    pub(super) fn of(load: &LoadSteps, ends_min: [f64; 2], taken: Taken) -> Self {
        let steps = load.steps().iter().map(|(minute, pu)| (minute.to_bits(), pu.to_bits()));
        Self(steps.chain([ends_min.map(f64::to_bits).into()]).collect(), taken)
    }
}

/// How many of the few are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Taken {
    /// All, for what the answer rests on.
    All,
    /// [`COMPARED`] of each scrambling, to compare starts.
    Some,
}

impl Few {
    /// Makes them ready.
    pub(super) fn of(
        (case, plant): (&Case, &Plant<'_>),
        which: WhichStart,
        (inputs, seed): (&Inputs, u32),
    ) -> Self {
        let columns = inputs.columns();
        let all = columns + OWN_INPUTS;
        let points =
            u32::try_from(all).ok().and_then(|all| Points::new(seed, REPLICATES, EACH, all).ok());
        let rows = points.map_or_else(Vec::new, |points| points.rows(0..points.draws()));
        let values: Vec<_> = rows.chunks(all).map(|row| inputs.values(&row[..columns])).collect();
        let own = |row: &[f64]| own(inputs, &row[columns..]);
        let own: Vec<[f64; OWN_INPUTS]> = rows.chunks(all).map(own).collect();
        Self {
            lags: Drawn::from_values(case, plant, (inputs, &values), which),
            middle: Drawn::from_values(case, plant, (inputs, &[inputs.medians()]), which),
            detailed: members((case, plant), (inputs, &values), &own, which),
            known: Mutex::default(),
        }
    }

    /// The lag forms of each.
    pub(super) fn lags(&self) -> &Drawn {
        &self.lags
    }

    /// One of them by the detailed model.
    pub(super) fn detailed(&self, draw: usize) -> &Member {
        &self.detailed[draw]
    }

    /// How draws lie about a load, of which the detailed model's hottest hot spot without draws is known, °C.
    pub(super) fn lift(
        &self,
        around @ (case, _): (&Case, &Plant<'_>),
        inputs: &Inputs,
        (load, until_min): (&LoadSteps, f64),
        (detailed_c, taken): (f64, Taken),
    ) -> Lift {
        let shape = Shape::of(load, [until_min, case.request.loading.end_min], taken);
        let known = |known: &Mutex<HashMap<Shape, Lift>>| {
            known.lock().ok().and_then(|known| known.get(&shape).cloned())
        };
        if let Some(lift) = known(&self.known) {
            return lift;
        }
        // Not inside of the lock: what makes it waits for other work, which may ask for the same.
        let lift = self.under(around, inputs, (load, until_min), (detailed_c, taken));
        if let Ok(mut known) = self.known.lock() {
            known.insert(shape, lift.clone());
        }
        lift
    }

    /// Takes them through a load.
    fn under(
        &self,
        (case, plant): (&Case, &Plant<'_>),
        inputs: &Inputs,
        (load, until_min): (&LoadSteps, f64),
        (detailed_c, taken): (f64, Taken),
    ) -> Lift {
        let each = EACH as usize;
        let draws = (0..self.detailed.len())
            .filter(|draw| taken == Taken::All || draw % each < COMPARED)
            .collect::<Vec<usize>>();
        let only = (taken == Taken::Some).then(|| self.lags.only(&draws));
        let lags = only.as_ref().unwrap_or(&self.lags);
        let steps = steps(case, plant, inputs, load, until_min);
        let by_lags = |drawn: &Drawn| by_each_lag(plant, &steps, drawn, Ambients::Both);
        let imposed = Imposed::of((case, plant), inputs, (load, until_min), std::iter::empty());
        let plain_c = by_lags(&self.middle).hottest_c().first().copied().unwrap_or(f64::NAN);
        let detailed = in_chunks(draws.len(), 1, |places| {
            draws[places].iter().map(|draw| imposed.hottest_c(&self.detailed[*draw])).collect()
        });
        let off_k = |draw: usize| lags.model_k(draw);
        let few = by_lags(lags);
        let lags_c = few.hottest_c().into_iter().enumerate();
        let lags_c: Vec<f64> = lags_c.map(|(draw, c)| c + off_k(draw)).collect();
        let each = lags_c.iter().zip(detailed).enumerate();
        let hottest = each.map(|(draw, (lags_c, detailed_c)): (usize, (&f64, f64))| {
            let detailed_c = detailed_c + off_k(draw);
            // In this order a NaN stays.
            if detailed_c <= *lags_c { *lags_c } else { detailed_c }
        });
        let hottest: Vec<f64> = hottest.collect();
        // Without draws it is not known how they lie.
        let detailed_c = if hottest.is_empty() { f64::NAN } else { detailed_c };
        let ambients = few.ambients();
        Lift { ambients, ..Lift::of((lags_c, hottest), (plain_c, detailed_c)) }
    }
}

/// The inputs that only the detailed model has, in standard uncertainties; known where the models are.
pub(super) fn own(inputs: &Inputs, row: &[f64]) -> [f64; OWN_INPUTS] {
    if !inputs.varies(Quantity::HotSpotModel) {
        return [0.0; OWN_INPUTS];
    }
    let normal = Distribution::normal(0.0, 1.0, HELD_WITHIN);
    let at = |share: &f64| normal.map_or(0.0, |normal| normal.at(*share));
    std::array::from_fn(|input| row.get(input).map_or(0.0, at))
}

/// What is imposed on all draws, at the minutes at which it changes.
pub(super) struct Imposed<'a> {
    followed: Followed,
    loads_pu: Vec<f64>,
    load_doubts: Vec<f64>,
    ambients_c: Vec<f64>,
    ambient_doubts_k: Vec<f64>,
    plant: &'a Plant<'a>,
}

impl<'a> Imposed<'a> {
    /// `more`: other minutes at which temperatures are wanted.
    pub(super) fn of(
        (case, plant): (&Case, &'a Plant<'_>),
        inputs: &Inputs,
        (load, until_min): (&LoadSteps, f64),
        more: impl Iterator<Item = f64>,
    ) -> Self {
        let request = &case.request;
        let rows = request.load_error.row_minutes().chain(request.ambient_error.row_minutes());
        // The kernel of the lag forms looks errors up minute by minute; here are steps as long as nothing changes.
        let grown = [&request.load_error, &request.ambient_error];
        let grown = grown.into_iter().flat_map(|error| error.renewed_minutes(until_min));
        let rows = rows.chain(grown).chain(more);
        let followed = Followed::of(
            &plant.cooling,
            (load, &request.ambient),
            (request.loading.end_min, until_min),
            rows,
        );
        let minutes = followed.minutes();
        let doubt = |quantity, of: &dyn Fn(f64) -> f64| -> Vec<f64> {
            let doubt = |minute: &f64| if inputs.varies(quantity) { of(*minute) } else { 0.0 };
            minutes.iter().map(doubt).collect()
        };
        let load_doubt = |minute| request.load_error.held_from(minute) / 100.0;
        Self {
            loads_pu: minutes.iter().map(|minute| load.at(*minute)).collect(),
            load_doubts: doubt(Quantity::Load, &load_doubt),
            ambients_c: minutes.iter().map(|minute| request.ambient.at(*minute)).collect(),
            ambient_doubts_k: doubt(Quantity::Ambient, &|minute| {
                request.ambient_error.std_at(minute)
            }),
            followed,
            plant,
        }
    }

    /// The hottest hot spot of one draw by the detailed model, °C.
    pub(super) fn hottest_c(&self, member: &Member) -> f64 {
        let run = |load: &LoadSteps, ambient: &AmbientLine, cooling: &Cooling| {
            self.followed.hottest_c(member.form, member.start, (cooling, load, ambient))
        };
        self.with(member, run).unwrap_or(f64::NAN)
    }

    /// The hot spot of one draw by the detailed model at every minute that is imposed, °C; `None` where it cannot be made.
    pub(super) fn samples(&self, member: &Member) -> Option<Vec<Sample>> {
        let run = |load: &LoadSteps, ambient: &AmbientLine, cooling: &Cooling| {
            let plan = Plan { cooling, load, ambient, breakpoints: self.followed.minutes() };
            member.form.run(&plan, member.start.state, member.start.stage).samples
        };
        self.with(member, run)
    }

    fn with<T>(
        &self,
        member: &Member,
        run: impl Fn(&LoadSteps, &AmbientLine, &Cooling) -> T,
    ) -> Option<T> {
        let at = |values: &[f64]| -> Vec<(f64, f64)> {
            self.followed.minutes().iter().copied().zip(values.iter().copied()).collect()
        };
        let drawn = |plain: &[f64], doubts: &[f64], error: f64, relative: bool| -> Vec<f64> {
            let each = plain.iter().zip(doubts).map(|(plain, doubt)| {
                let off = error * doubt;
                if relative { (plain * (1.0 + off)).max(0.0) } else { plain + off }
            });
            each.collect()
        };
        let loads = drawn(&self.loads_pu, &self.load_doubts, member.load_error, true);
        let ambients = drawn(&self.ambients_c, &self.ambient_doubts_k, member.ambient_error, false);
        let (load, ambient) = (LoadSteps::new(at(&loads))?, AmbientLine::new(at(&ambients))?);
        let cooling = Cooling {
            stages: member.stages.clone(),
            control: self.plant.cooling.control,
            lost_at_min: self.plant.cooling.lost_at_min,
        };
        Some(run(&load, &ambient, &cooling))
    }
}

#[cfg(test)]
mod tests;
