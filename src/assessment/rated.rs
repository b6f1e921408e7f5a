//! The largest load for a duration, many times over: what the durations share is made once.
//!
//! The search is that of `check`, and so is the verdict; a load that comes out was judged with all draws.

use super::basis::Basis;
use super::case::Case;
use super::evaluation::Evaluation;
use super::plant::Plant;
use super::search::{Allowance, CLOSE_PU, Known, Search};
use super::spread::{Ready, draws_asked};
use crate::rules::facts::{Facts, SpreadFacts};
use crate::rules::finding::{Finding, Severity};
use crate::rules::limits::Quantity;
use crate::rules::verdict::Verdict;

/// What counts as a go: with cautions or without.
const WANTED: Verdict = Verdict::GoWithCautions;

/// Loads above a rating at which what ends it is looked for, as factors: a hair above it, and far enough
/// for the draws to have been guessed a little wrong.
const ABOVE: [f64; 3] = [1.0002, 1.002, 1.01];

/// See [`FromStart::settled_after_min`].
const SETTLED_MIN: f64 = 2880.0;

/// The smallest load at which what forbids every load is looked for, pu.
const SMALL_PU: f64 = 0.05;

/// Where draws were asked for and cannot be made.
const UNKNOWN: SpreadFacts = SpreadFacts { allowance_k: f64::INFINITY, below_zero: None };

/// One start (unit, preload, ambient, cooling) for which loads are searched.
#[derive(Debug)]
pub struct FromStart<'a> {
    basis: Basis<'a>,
    draws: Draws,
    /// From the search before, for the next one.
    known: Known,
}

/// What the uncertainties are drawn from.
#[derive(Debug)]
enum Draws {
    /// None are asked for, or there is no margin that could be uncertain.
    None,
    /// They were asked for and cannot be made, which must not make an answer milder.
    Impossible,
    /// Ready for any load.
    Ready(Box<Ready>),
}

/// The largest load, and what ends it.
#[derive(Debug, Clone)]
pub struct Largest {
    /// The largest load that passes, pu; `None`: none does.
    pub load_pu: Option<f64>,
    /// What the draws take off the margin there, K; `None` without draws.
    pub allowance_k: Option<f64>,
    /// The gravest finding a hair above it, or of a small load if none passes; `None`: nothing ended it.
    pub ended_by: Option<Ending>,
}

/// A finding that ends a load.
#[derive(Debug, Clone)]
pub struct Ending {
    /// The finding.
    pub finding: Finding,
    /// The quantity of the ceiling that it is about, if it is about one.
    pub quantity: Option<Quantity>,
}

impl<'a> FromStart<'a> {
    /// Prepares the start of a case; its duration and limits do not matter.
    pub fn of(case: &'a Case) -> Self {
        let basis = Basis::of(case);
        let draws = Draws::of(case, &basis);
        Self { basis, draws, known: Known::default() }
    }

    /// How long a load is carried until the state no longer shows where it began, min: eight of the longest
    /// time constants, and no less than two days, when the errors of forecasts have ceased to grow.
    pub fn settled_after_min(&self) -> f64 {
        let slowest_min = self.basis.plant.as_ref().map_or(0.0, Plant::slowest_min);
        (8.0 * slowest_min).ceil().max(SETTLED_MIN)
    }

    /// The largest constant load of a case with this start.
    ///
    /// The load of `case` is 1 pu until its end; what follows it is taken as it stands. Loads above `at_most_pu` are not asked for; a load that reaches it may have nothing that ends it.
    pub fn largest(&mut self, case: &Case, at_most_pu: f64) -> Largest {
        let Some(plant) = &self.basis.plant else {
            let ended_by = self.forbidding(case);
            return Largest { load_pu: None, allowance_k: None, ended_by };
        };
        if self.draws.ready().is_some_and(|ready| draws_asked(case, plant) != Some(ready.asked())) {
            // A longer course is followed with fewer draws, as in a check.
            self.draws = Draws::of(case, &self.basis);
        }
        let known = std::mem::take(&mut self.known);
        let mut search = Search::new((case, &self.basis, plant), self.draws.ready(), known)
            .up_to(at_most_pu, CLOSE_PU);
        if matches!(self.draws, Draws::Impossible) {
            search.known.allowances = vec![Allowance::of(1.0, f64::INFINITY)];
        }
        let load_pu = search.largest(WANTED);
        let known = search.known;
        let allowance_k = load_pu.and_then(|load_pu| known.at(load_pu));
        let ended_by = match load_pu {
            // What ends it above what is wanted is not its own.
            Some(load_pu) if load_pu >= at_most_pu => {
                self.ending(case, load_pu, &known, &ABOVE[..2])
            }
            Some(load_pu) => self.ending(case, load_pu, &known, &ABOVE),
            None => self.forbidding(case).or_else(|| {
                // Little is left even of the preload.
                self.gravest(case, SMALL_PU, known.guess(SMALL_PU))
            }),
        };
        self.known = Known { of_another: true, ..known };
        Largest { load_pu, allowance_k, ended_by }
    }

    /// The load of another limit set under the limits of a case of the same start and duration: the same if
    /// it passes here and the same finding ends it. What the draws take off is known of it.
    pub fn same(
        &self,
        case: &Case,
        (load_pu, allowance_k): (f64, Option<f64>),
        code: &str,
    ) -> Option<Largest> {
        let spread = allowance_k.map(|allowance_k| SpreadFacts { allowance_k, below_zero: None });
        if self.gravest(case, load_pu, spread).is_some() {
            return None;
        }
        let above = ABOVE.iter().find_map(|factor| self.gravest(case, load_pu * factor, spread));
        let ended_by = above.filter(|ending| ending.finding.code == code)?;
        let (load_pu, ended_by) = (Some(load_pu), Some(ended_by));
        Some(Largest { load_pu, allowance_k, ended_by })
    }

    /// What forbids every load.
    fn forbidding(&self, case: &Case) -> Option<Ending> {
        let impossible = matches!(self.draws, Draws::Impossible);
        self.gravest(case, SMALL_PU, impossible.then_some(UNKNOWN))
    }

    fn ending(&self, case: &Case, load_pu: f64, known: &Known, factors: &[f64]) -> Option<Ending> {
        let above = factors.iter().map(|factor| load_pu * factor);
        above.into_iter().find_map(|pu| self.gravest(case, pu, known.guess(pu)))
    }

    /// The gravest finding that keeps a load from passing.
    fn gravest(&self, case: &Case, load_pu: f64, spread: Option<SpreadFacts>) -> Option<Ending> {
        let loading = &case.request.loading;
        let load = loading.load.scaled_before(loading.end_min, load_pu / case.greatest_load_pu());
        let evaluation = Evaluation::of(case, &self.basis, &load, spread);
        Ending::of(&evaluation.facts, &evaluation.findings)
    }
}

impl Ending {
    /// The gravest finding that keeps a load from passing.
    pub fn of(facts: &Facts<'_>, findings: &[Finding]) -> Option<Self> {
        let finding = findings.iter().find(|finding| finding.severity >= Severity::Unknown)?;
        let about =
            |limit: f64| finding.limit.is_some_and(|own| own.value.to_bits() == limit.to_bits());
        let held = facts.held.iter().find(|held| {
            let ceiling = &held.ceiling;
            ceiling.code.explanation().code == finding.code
                && about(ceiling.limit)
                && held.value.is_some_and(|value| !(value <= ceiling.limit))
        });
        let quantity = held.map(|held| held.ceiling.quantity);
        Some(Self { finding: finding.clone(), quantity })
    }
}

impl Draws {
    fn of(case: &Case, basis: &Basis<'_>) -> Self {
        let Some(plant) = &basis.plant else { return Self::None };
        if draws_asked(case, plant).is_none() {
            return Self::None;
        }
        let evaluation = Evaluation::of(case, basis, &case.request.loading.load, None);
        match Ready::of(case, plant, &evaluation) {
            Some(ready) => Self::Ready(Box::new(ready)),
            None if evaluation.margin_counting_k().is_some() => Self::Impossible,
            None => Self::None,
        }
    }

    fn ready(&self) -> Option<&Ready> {
        match self {
            Self::Ready(ready) => Some(ready),
            Self::None | Self::Impossible => None,
        }
    }
}
