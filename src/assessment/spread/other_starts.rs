//! Draws from every start that the knowledge allows: few of each to find the worst, then all of that one.

use super::drawn::Drawn;
use super::few;
use super::inputs::Inputs;
use super::pairs::Inceptions;
use super::propagation::hottest;
use crate::assessment::case::Case;
use crate::assessment::course::sample_minutes;
use crate::assessment::plant::Plant;
use crate::assessment::possible::{WhichStart, hottest_start};
use crate::thermal::schedule::LoadSteps;
use crate::uncertainty::points::Points;
use std::sync::OnceLock;

/// A start counts as worse than the one stated from this on, K, by few draws: below it nothing of a start is left.
const WORSE_BY_K: f64 = 0.02;

/// The draws from one start.
#[derive(Debug)]
pub(super) struct FromStart {
    pub(super) which: WhichStart,
    /// The thermal draws, each with an inception temperature of its own.
    pub(super) drawn: Drawn,
    /// The one draw with every input at its median.
    pub(super) middle: Drawn,
}

impl FromStart {
    /// Makes the draws of some points ready.
    pub(super) fn of(
        case: &Case,
        plant: &Plant<'_>,
        (inputs, points): (&Inputs, &Points),
        which: WhichStart,
    ) -> Self {
        let drawn = Drawn::of(case, plant, (inputs, points), which);
        let middle = Drawn::from_values(case, plant, (inputs, &[inputs.medians()]), which);
        Self { which, drawn, middle }
    }
}

/// The starts other than the one stated.
#[derive(Debug)]
pub(super) struct OtherStarts {
    /// Few draws from the stated start, then from some of the others.
    few: Drawn,
    each: usize,
    /// The places of those.
    places: Vec<usize>,
    /// All draws from each, once they are asked for.
    all: Vec<(WhichStart, OnceLock<FromStart>)>,
}

impl OtherStarts {
    /// Few draws from each; `None` where there is only the start as stated.
    pub(super) fn of(
        case: &Case,
        plant: &Plant<'_>,
        (inputs, points): (&Inputs, &Points),
    ) -> Option<Self> {
        if plant.others.is_empty() {
            return None;
        }
        let values = few::values(inputs, points);
        let whiches: Vec<WhichStart> = plant.others.iter().map(|other| other.0).collect();
        let places: Vec<usize> =
            (0..whiches.len()).filter(|at| *at == 0 || whiches[*at].is_drawn()).collect();
        let some = places.iter().map(|place| whiches[*place]);
        let every = std::iter::once(WhichStart::Stated).chain(some);
        let from = |which| Drawn::from_values(case, plant, (inputs, &values), which);
        let parts: Vec<Drawn> = every.map(from).collect();
        let all = whiches.into_iter().map(|which| (which, OnceLock::new())).collect();
        Some(Self { few: Drawn::joined(&parts), each: values.len(), places, all })
    }

    /// The places of the starts that may be worse than the stated one under a load: the worst by few draws, and the
    /// hottest with every input at its own value.
    pub(super) fn worse(
        &self,
        (case, plant): (&Case, &Plant<'_>),
        (inputs, inceptions): (&Inputs, &Inceptions),
        load: &LoadSteps,
    ) -> Vec<usize> {
        let (until_min, end_min) = (plant.until_min(case), case.request.loading.end_min);
        let samples = sample_minutes(case.request.resolution, end_min, until_min);
        let hottest_at = hottest_start(plant, (load, &case.request.ambient), until_min, &samples);
        let hot_c = hottest(case, plant, inputs, &self.few, load, until_min);
        let of_medians_c = self.few.inception_c[self.each - 1];
        let margin_k = |hot_c: &[f64]| few::margin_p05_k(inceptions, of_medians_c, hot_c);
        let margins_k: Vec<f64> = hot_c.chunks(self.each).map(margin_k).collect();
        let Some((stated_k, others_k)) = margins_k.split_first() else { return Vec::new() };
        let least = (0..others_k.len()).min_by(|a, b| others_k[*a].total_cmp(&others_k[*b]));
        let worst = least.filter(|at| !(others_k[*at] >= stated_k - WORSE_BY_K));
        let worst = worst.map(|at| self.places[at]);
        worst.into_iter().chain(hottest_at.filter(|at| Some(*at) != worst)).collect()
    }

    /// All draws from one of them.
    pub(super) fn all(
        &self,
        place: usize,
        (case, plant): (&Case, &Plant<'_>),
        (inputs, points): (&Inputs, &Points),
    ) -> &FromStart {
        let (which, made) = &self.all[place];
        if let Some(made) = made.get() {
            return made;
        }
        // Not inside of the lock: what makes them waits for other work, which may ask for the same.
        let from = FromStart::of(case, plant, (inputs, points), *which);
        made.get_or_init(|| from)
    }

    /// Those of a start that were asked for.
    pub(super) fn known(&self, which: WhichStart) -> Option<&FromStart> {
        self.all.iter().find(|(own, _)| *own == which)?.1.get()
    }
}
