//! Draws from every start that the knowledge allows: few of each to find the worst, then all of that one.

use super::drawn::Drawn;
use super::few;
use super::inputs::Inputs;
use super::pairs::Inceptions;
use super::propagation::hottest;
use crate::assessment::case::Case;
use crate::assessment::course::sample_minutes;
use crate::assessment::plant::Plant;
use crate::assessment::possible::WhichStart;
use crate::thermal::schedule::LoadSteps;
use crate::uncertainty::points::Points;
use std::collections::BTreeSet;
use std::sync::OnceLock;

/// A start counts as worse than the one stated from this on, K, by few draws: below it nothing of a start is left.
const WORSE_BY_K: f64 = 0.02;

/// From so much less on, K, there is no need to look at the stated start with all draws: few draws of two starts are the
/// same draws, and what they differ by is known far closer than either.
const SURELY_BY_K: f64 = 2.0;

/// The start that leaves least, by few draws.
#[derive(Debug, Clone, Copy)]
pub(super) struct Worst {
    pub(super) place: usize,
    /// Whether it surely leaves less than the stated one.
    pub(super) surely: bool,
}

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
        Self::with(Drawn::of(case, plant, (inputs, points), which), (case, plant), inputs, which)
    }

    fn with(
        drawn: Drawn,
        (case, plant): (&Case, &Plant<'_>),
        inputs: &Inputs,
        which: WhichStart,
    ) -> Self {
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
        // In a stated stage no fans start at other times in other draws: the hottest start without draws is the worst.
        let among = if plant.is_automatic() { whiches.len() } else { 0 };
        let places: Vec<usize> =
            (0..among).filter(|at| *at == 0 || whiches[*at].is_drawn()).collect();
        let some = places.iter().map(|place| whiches[*place]);
        let every = std::iter::once(WhichStart::Stated).chain(some);
        let from = |which| Drawn::from_values(case, plant, (inputs, &values), which);
        let parts: Vec<Drawn> = every.map(from).collect();
        let all = whiches.into_iter().map(|which| (which, OnceLock::new())).collect();
        Some(Self { few: Drawn::joined(&parts), each: values.len(), places, all })
    }

    /// The start that leaves least under a load, by few draws, if that is less than from the stated one; and whether
    /// that surely is less. Those that are always drawn are looked at, and the hottest with every input at its own value.
    pub(super) fn worst(
        &self,
        (case, plant): (&Case, &Plant<'_>),
        (inputs, points, inceptions): (&Inputs, &Points, &Inceptions),
        load: &LoadSteps,
    ) -> Option<Worst> {
        let (until_min, end_min) = (plant.until_min(case), case.request.loading.end_min);
        let samples = sample_minutes(case.request.resolution, end_min, until_min);
        let hottest_at = plant.hottest_start((load, &case.request.ambient), (until_min, &samples));
        let automatic = plant.is_automatic();
        if !automatic && hottest_at.is_none() {
            return None;
        }
        let of_medians_c = self.few.inception_c[self.each - 1];
        let margins_k = |drawn: &Drawn| -> Vec<f64> {
            let hot_c = hottest(case, plant, inputs, drawn, load, until_min);
            let of = |hot_c: &[f64]| few::margin_p05_k(inceptions, of_medians_c, hot_c);
            hot_c.chunks(self.each).map(of).collect()
        };
        let found_k = margins_k(&self.few);
        let (stated_k, others_k) = found_k.split_first()?;
        let mut found: Vec<(usize, f64)> =
            self.places.iter().copied().zip(others_k.iter().copied()).collect();
        let closer = self.beside(&found).into_iter().chain(hottest_at);
        let closer: BTreeSet<usize> = closer.filter(|at| !self.places.contains(at)).collect();
        let values = few::values(inputs, points);
        for at in closer {
            let which = self.all[at].0;
            let drawn = Drawn::from_values(case, plant, (inputs, &values), which);
            found.extend(margins_k(&drawn).into_iter().map(|k| (at, k)));
        }
        let (place, least_k) = found.into_iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
        // In this order a NaN is worse.
        let less_than = |k: f64| !(least_k >= k);
        less_than(stated_k - WORSE_BY_K)
            .then(|| Worst { place, surely: !automatic || less_than(stated_k - SURELY_BY_K) })
    }

    /// The places half way from the worst of those that were looked at to the next on either side.
    fn beside(&self, found: &[(usize, f64)]) -> Vec<usize> {
        let worst = (0..found.len()).min_by(|a, b| found[*a].1.total_cmp(&found[*b].1));
        let Some(worst) = worst else { return Vec::new() };
        let last = self.all.len() - 1;
        let next = found.get(worst + 1).map_or(last, |own| own.0);
        let before = worst.checked_sub(1).map_or(0, |before| found[before].0);
        [before, next].map(|other| usize::midpoint(found[worst].0, other)).to_vec()
    }

    /// All draws from one of them.
    pub(super) fn all(
        &self,
        place: usize,
        (case, plant): (&Case, &Plant<'_>),
        (inputs, points): (&Inputs, &Points),
        stated: &Drawn,
    ) -> &FromStart {
        let (which, made) = &self.all[place];
        if let Some(made) = made.get() {
            return made;
        }
        // Not inside of the lock: what makes them waits for other work, which may ask for the same.
        let drawn = stated.restarted(case, plant, (inputs, points), *which);
        let from = FromStart::with(drawn, (case, plant), inputs, *which);
        made.get_or_init(|| from)
    }

    /// Those of a start that were asked for.
    pub(super) fn known(&self, which: WhichStart) -> Option<&FromStart> {
        self.all.iter().find(|(own, _)| *own == which)?.1.get()
    }
}
