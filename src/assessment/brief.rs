//! The same verdict as [`super::assess`], without the searches for the largest loads: for many units.

use super::basis::Basis;
use super::case::Case;
use super::evaluation::Evaluation;
use super::measure_next::{NextMeasurement, measure_next};
use super::rated::Ending;
use super::search;
use super::spread;
use super::{Bubbling, Peak};
use crate::rules::facts::{Required, SpreadFacts};
use crate::rules::finding::Finding;
use crate::rules::verdict::Verdict;
use crate::thermal::schedule::AmbientLine;

/// What a load comes to, in brief.
#[derive(Debug, Clone)]
pub struct Brief {
    /// The verdict, that of [`super::assess`].
    pub verdict: Verdict,
    /// What the rules found, gravest first.
    pub findings: Vec<Finding>,
    /// What keeps the load from passing; `None` if it passes.
    pub ended_by: Option<Ending>,
    /// Hottest temperatures.
    pub peak: Option<Peak>,
    /// The margin to bubbling and what it rests on.
    pub bubbling: Bubbling,
    /// Margins that the rules ask for.
    pub required: Required,
    /// What to measure next, most useful first.
    pub measure_next: Vec<NextMeasurement>,
    /// Greatest load of the same shape that would pass, with cautions or without, pu; not looked for
    /// unless asked.
    pub largest_load_pu: Option<f64>,
    /// What the draws take off the margin with the moisture that counts, K; `None` without draws.
    spread: Option<SpreadFacts>,
}

/// The same question under another ambient or load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Elsewhere {
    /// The verdict there.
    pub verdict: Verdict,
    /// The margin that decides there, K.
    pub margin_low_k: Option<f64>,
}

impl Brief {
    /// Judges a case; `largest`: whether to look for the largest load too.
    pub fn of(case: &Case, largest: bool) -> Self {
        let basis = Basis::of(case);
        let asked = &case.request.loading.load;
        let evaluation = Evaluation::of(case, &basis, asked, None).with_cooldown(case, &basis);
        let (evaluation, draws, spread) = spread::judged(case, &basis, evaluation);
        let largest_load_pu = largest.then(|| {
            let found = search::largest_loads(case, &basis, &evaluation, draws.as_ref());
            super::cool_down::checked(case, &basis, &evaluation, found).with_cautions_pu
        });
        Self {
            verdict: evaluation.verdict,
            ended_by: Ending::of(&evaluation.facts, &evaluation.findings),
            peak: evaluation.peak(),
            bubbling: evaluation.bubbling(case, spread.as_ref()),
            required: evaluation.facts.required,
            measure_next: measure_next(&case.unit, &basis.paper),
            largest_load_pu: largest_load_pu.flatten(),
            spread: evaluation.facts.spread,
            findings: evaluation.findings,
        }
    }

    /// The same under another constant ambient, °C, and a load changed by a factor.
    ///
    /// Nothing is drawn anew: what the draws took off the margin here is taken off there too.
    pub fn elsewhere(&self, case: &Case, ambient_c: Option<f64>, factor: f64) -> Elsewhere {
        let mut other = case.clone();
        if let Some(ambient_c) = ambient_c {
            other.request.ambient = AmbientLine::constant(ambient_c);
        }
        let loading = &mut other.request.loading;
        loading.load = loading.load.scaled_before(loading.end_min, factor);
        // The chance of bubbling belongs to the case as asked.
        let spread = self.spread.map(|spread| SpreadFacts { below_zero: None, ..spread });
        let basis = Basis::of(&other);
        let load = &other.request.loading.load;
        let evaluation = Evaluation::of(&other, &basis, load, spread).with_cooldown(&other, &basis);
        Elsewhere { verdict: evaluation.verdict, margin_low_k: evaluation.facts.margin_low_k() }
    }
}
