//! Draws ready for any load from one start, and what they take off the margin under it.

use super::drawn::Drawn;
use super::guard::{DOUBLED_AT_MOST, Error};
use super::inputs::Inputs;
use super::lift::{Lift, Shape, Taken};
use super::other_starts::{FromStart, OtherStarts, SURELY_BY_K};
use super::pairs::Inceptions;
use super::propagation::hottest;
use super::{LOW, REPLICATES, allowance_k, draws_asked, few};
use crate::assessment::case::{Case, DEFAULT_DRAWS, LEAST_DRAWS};
use crate::assessment::course::Course;
use crate::assessment::evaluation::Evaluation;
use crate::assessment::plant::Plant;
use crate::assessment::possible::WhichStart;
use crate::rules::facts::SpreadFacts;
use crate::thermal::schedule::LoadSteps;
use crate::uncertainty::estimate::Estimate;
use crate::uncertainty::points::Points;
use std::collections::HashMap;
use std::sync::Mutex;

/// So many draws of the inception temperature to one of the hot spot, which costs a hundred times as much; but
/// no fewer than [`LEAST_DRAWS`]. Our choice: then neither sample is most of the error of the 5 % point on the demo.
const INCEPTIONS_TO_ONE: u32 = 4;

/// The load and time by which it is settled how many draws a start needs. Our choice: about what overloads are, and
/// nothing that a search changes, so that all of its loads, and `check` asked again, have the same draws.
const PILOT_PU: f64 = 1.2;
const PILOT_MIN: f64 = 240.0;

/// Draws ready for any load from one start: neither load nor duration nor limits change them.
#[derive(Debug)]
pub(in crate::assessment) struct Ready {
    pub(super) inputs: Inputs,
    /// Points of the thermal draws: the first of each replicate of those of the inception temperature.
    pub(super) points: Points,
    pub(super) seed: u32,
    /// The thermal draws from the start as stated.
    stated: FromStart,
    /// The other starts that the knowledge allows.
    others: Option<OtherStarts>,
    /// All draws of the inception temperature.
    pub(super) inceptions: Inceptions,
    /// How many draws were asked for, before any doubling.
    asked: u32,
    /// The chance of bubbling under every load that was looked at.
    bubbles: Mutex<HashMap<Shape, f64>>,
}

/// What the draws make of one load.
#[derive(Debug)]
pub(in crate::assessment) struct Under {
    /// The start from which least is left.
    pub(super) which: WhichStart,
    /// Hottest hot spot of each thermal draw, °C; infinite where it could not be computed.
    pub(super) hot_spot_c: Vec<f64>,
    /// 5 % point of the margin of all pairs, K; −∞ beyond the range of the correlations.
    pub(super) p05_k: f64,
    /// Median of the margin of all pairs, K.
    pub(super) p50_k: f64,
    /// What is taken back, K ([`taken_back_k`]).
    pub(super) taken_back_k: f64,
    /// How far the 5 % point may be off for the number of draws.
    pub(super) error: Error,
}

impl Ready {
    /// As many as are asked for, or with the usual number as many as the 5 % point needs; `None` where there is no
    /// margin to spread, or no draws are asked for.
    pub(in crate::assessment) fn of(
        case: &Case,
        plant: &Plant<'_>,
        evaluation: &Evaluation<'_>,
    ) -> Option<Self> {
        let asked = draws_asked(case, plant)?;
        let mut ready = Self::made(case, plant, evaluation, asked)?;
        let mut doubled = 0;
        while asked == DEFAULT_DRAWS && doubled < DOUBLED_AT_MOST && !ready.enough(case, plant) {
            doubled += 1;
            ready = Self { asked, ..Self::made(case, plant, evaluation, asked << doubled)? };
        }
        Some(ready)
    }

    fn made(
        case: &Case,
        plant: &Plant<'_>,
        evaluation: &Evaluation<'_>,
        draws: u32,
    ) -> Option<Self> {
        let seed = case.request.sampling.seed;
        let inputs = Inputs::of(case, &evaluation.facts)?;
        let columns = u32::try_from(inputs.columns()).ok()?;
        let points = |draws: u32| Points::new(seed, REPLICATES, draws / REPLICATES, columns).ok();
        let (thermal, all) =
            (points((draws / INCEPTIONS_TO_ONE).max(LEAST_DRAWS))?, points(draws)?);
        let stated = FromStart::of(case, plant, (&inputs, &thermal), WhichStart::Stated);
        let others = OtherStarts::of(case, plant, (&inputs, &thermal));
        let inceptions =
            Inceptions::of(&Drawn::inceptions_c(case, &inputs, &all), REPLICATES as usize);
        Some(Self {
            inputs,
            points: thermal,
            seed,
            stated,
            others,
            inceptions,
            asked: draws,
            bubbles: Mutex::default(),
        })
    }

    /// Whether they are enough for the 5 % point of this start.
    fn enough(&self, case: &Case, plant: &Plant<'_>) -> bool {
        let load = LoadSteps::constant(PILOT_PU);
        let drawn = &self.stated.drawn;
        let detailed_c = plant.detailed_c(case, WhichStart::Stated, (&load, PILOT_MIN));
        let lift = self.stated.few.lift(
            (case, plant),
            &self.inputs,
            (&load, PILOT_MIN),
            (detailed_c, Taken::All),
        );
        let hot_c = hottest(case, plant, &self.inputs, drawn, (&load, &lift), PILOT_MIN);
        let p05_k = self.inceptions.margin_k(&hot_c, LOW);
        Error::of(&self.inceptions, &hot_c, p05_k).guarded()
    }

    /// The same draws where the water that counts depends on the load, for the load of an evaluation.
    pub(in crate::assessment) fn again(
        case: &Case,
        plant: &Plant<'_>,
        (load, evaluation): (&LoadSteps, &Evaluation<'_>),
    ) -> Option<SpreadFacts> {
        let ready = Self::of(case, plant, evaluation)?;
        Some(ready.facts((case, plant), load, evaluation))
    }

    /// What the draws take off the margin of an evaluation of a load; without a course all of it.
    pub(in crate::assessment) fn facts(
        &self,
        (case, plant): (&Case, &Plant<'_>),
        load: &LoadSteps,
        evaluation: &Evaluation<'_>,
    ) -> SpreadFacts {
        let unknown = SpreadFacts { allowance_k: f64::INFINITY, below_zero: None };
        let under = |course| {
            let under = self.under((case, plant), load, course);
            if let Ok(mut bubbles) = self.bubbles.lock() {
                bubbles.insert(shape(case, plant, load), self.below(&under, 0.0).value);
            }
            under.facts(evaluation)
        };
        evaluation.course.as_ref().map_or(unknown, under)
    }

    /// The chance of bubbling under a load, if it was looked at.
    pub(super) fn bubbles(&self, case: &Case, plant: &Plant<'_>, load: &LoadSteps) -> Option<f64> {
        self.bubbles.lock().ok()?.get(&shape(case, plant, load)).copied()
    }

    /// How many draws were asked for, before any doubling.
    pub(in crate::assessment) fn asked(&self) -> u32 {
        self.asked
    }

    /// One thermal draw in so many, the first of each replicate.
    pub(super) fn one_in(&self, many: usize, which: WhichStart) -> Drawn {
        let each = self.points.each() as usize;
        let kept = (each / many).max(1);
        let drawn = self.drawn_from(which);
        let some: Vec<usize> = (0..drawn.count()).filter(|draw| draw % each < kept).collect();
        drawn.only(&some)
    }

    /// How many thermal draws there are.
    pub(super) fn thermal_draws(&self) -> usize {
        self.stated.drawn.count()
    }

    /// The thermal draws from a start that was looked at; else from the one stated.
    pub(super) fn drawn_from(&self, which: WhichStart) -> &Drawn {
        &self.started(which).drawn
    }

    /// The same with what goes with them.
    pub(super) fn started(&self, which: WhichStart) -> &FromStart {
        let known = self.others.as_ref().and_then(|others| others.known(which));
        known.unwrap_or(&self.stated)
    }

    /// Takes all draws through a load, from that of the possible starts that leaves least.
    pub(in crate::assessment) fn under(
        &self,
        (case, plant): (&Case, &Plant<'_>),
        load: &LoadSteps,
        course: &Course,
    ) -> Under {
        let stated = || {
            let lift = self.lift((case, plant), (load, course), &self.stated);
            self.under_from(case, plant, (load, &lift), &self.stated)
        };
        let known = (&self.inputs, &self.points, &self.inceptions);
        let Some((others, worst)) = self.others.as_ref().and_then(|others| {
            Some((others, others.worst((case, plant), known, (load, course), &self.stated)?))
        }) else {
            return stated();
        };
        let (known, drawn) = ((&self.inputs, &self.points), &self.stated.drawn);
        let other = |place: &usize| others.all(*place, (case, plant), known, drawn);
        let of_stated = (!worst.surely).then_some(&self.stated);
        let starts = of_stated.into_iter().chain(worst.places.iter().map(other));
        let lifted: Vec<(&FromStart, Lift)> =
            starts.map(|from| (from, self.lift((case, plant), (load, course), from))).collect();
        let all = self.may_leave_least(lifted).into_iter();
        let all = all.map(|(from, lift)| self.under_from(case, plant, (load, &lift), from));
        // Of two alike the first counts.
        all.min_by(|one, other| known_k(one.surely_k()).total_cmp(&known_k(other.surely_k())))
            .unwrap_or_else(stated)
    }

    /// Those of some starts that may leave least, by few draws through all models: the same draws from each, so that what they
    /// differ by is known far closer than either.
    fn may_leave_least<'f>(&self, all: Vec<(&'f FromStart, Lift)>) -> Vec<(&'f FromStart, Lift)> {
        if all.len() < 2 {
            return all;
        }
        let left_k = |(from, lift): &(&FromStart, Lift)| {
            let inception_c = from.middle.inception_c.first().copied().unwrap_or(f64::NAN);
            known_k(few::margin_p05_k(&self.inceptions, inception_c, &lift.few_c()))
        };
        let all: Vec<(f64, (&FromStart, Lift))> =
            all.into_iter().map(|one| (left_k(&one), one)).collect();
        let least_k = all.iter().map(|one| one.0).fold(f64::INFINITY, f64::min);
        // Beyond the range of the correlations nothing tells them apart.
        let may = |left_k: f64| !(left_k > least_k + SURELY_BY_K) || !least_k.is_finite();
        let kept = |(left_k, one): (f64, (&'f FromStart, Lift))| {
            // The stated one is here where few draws are too few to leave it out.
            (one.0.which == WhichStart::Stated || may(left_k)).then_some(one)
        };
        all.into_iter().filter_map(kept).collect()
    }

    /// What the detailed model adds to the draws from a start under a load, of which the course is known.
    pub(super) fn lift(
        &self,
        (case, plant): (&Case, &Plant<'_>),
        (load, course): (&LoadSteps, &Course),
        from: &FromStart,
    ) -> Lift {
        let until_min = plant.until_min(case);
        let detailed_c = plant
            .detailed_of(course, from.which)
            .unwrap_or_else(|| plant.detailed_c(case, from.which, (load, until_min)));
        let all = (detailed_c, Taken::All);
        from.few.lift((case, plant), &self.inputs, (load, until_min), all)
    }

    fn under_from(
        &self,
        case: &Case,
        plant: &Plant<'_>,
        (load, lift): (&LoadSteps, &Lift),
        from: &FromStart,
    ) -> Under {
        let until_min = plant.until_min(case);
        let hot_spot_c = hottest(case, plant, &self.inputs, &from.drawn, (load, lift), until_min);
        let p05_k = self.inceptions.margin_k(&hot_spot_c, LOW);
        let p50_k = self.inceptions.margin_k(&hot_spot_c, 0.5);
        let taken_back_k = taken_back_k(p50_k, &from.middle, lift);
        let error = if self.inputs.uncertain.is_empty() {
            Error::NONE
        } else {
            Error::of(&self.inceptions, &hot_spot_c, p05_k)
        };
        Under { which: from.which, hot_spot_c, p05_k, p50_k, taken_back_k, error }
    }

    /// Share of all pairs whose margin is below so much under a load.
    pub(super) fn below(&self, under: &Under, below_k: f64) -> Estimate {
        self.inceptions.share_below(&under.hot_spot_c, below_k)
    }
}

/// What is not a number is as bad as the worst, K.
fn known_k(k: f64) -> f64 {
    if k.is_nan() { f64::NEG_INFINITY } else { k }
}

/// A load as it is told from others.
fn shape(case: &Case, plant: &Plant<'_>, load: &LoadSteps) -> Shape {
    Shape::of(load, [plant.until_min(case), case.request.loading.end_min], Taken::All)
}

/// By how much the median of the margin lies above the margin with every input at its median, K; never negative.
///
/// Doubt may not improve the answer. It can move the margin the good way: where a hotter draw starts the fans earlier, or
/// where doubt about the rise explains part of a measured excess away. Taken off the 5 % point, that gain is gone, and
/// more doubt does not raise it.
fn taken_back_k(p50_k: f64, middle: &Drawn, lift: &Lift) -> f64 {
    let middle_k = middle.inception_c.first().map(|inception_c| inception_c - lift.of_medians_c());
    let gain_k = middle_k.map_or(0.0, |middle_k| p50_k - middle_k);
    // Beyond the range of the correlations neither is a number, and nothing is gained.
    if gain_k > 0.0 && gain_k.is_finite() { gain_k } else { 0.0 }
}

impl Under {
    /// What counts as the 5 % point of the margin, K: less what doubt alone would gain; −∞ beyond the range of the
    /// correlations.
    pub(super) fn margin_p05_k(&self) -> f64 {
        self.p05_k - self.taken_back_k
    }

    /// How uncertain the margin of the evaluation of the same load is.
    pub(in crate::assessment) fn facts(&self, evaluation: &Evaluation<'_>) -> SpreadFacts {
        SpreadFacts { allowance_k: allowance_k(evaluation, self.surely_k()), below_zero: None }
    }

    /// The 5 % point less its guard, K.
    fn surely_k(&self) -> f64 {
        self.margin_p05_k() - self.error.guard_k()
    }
}
