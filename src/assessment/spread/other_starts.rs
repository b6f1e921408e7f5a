//! Draws from every start that the knowledge allows: few of each to find the worst, then all of that one.

use super::drawn::Drawn;
use super::few;
use super::inputs::Inputs;
use super::lift::{Few, Lift, Taken};
use super::pairs::Inceptions;
use super::propagation::by_lags;
use crate::assessment::case::Case;
use crate::assessment::course::Course;
use crate::assessment::hottest_start::SHORT_MIN;
use crate::assessment::plant::Plant;
use crate::assessment::possible::WhichStart;
use crate::thermal::schedule::LoadSteps;
use crate::uncertainty::points::Points;
use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

/// A start counts as worse than the one stated from this on, K, by few draws: below it nothing of a start is left.
const WORSE_BY_K: f64 = 0.02;

/// From so much less on, K, there is no need to look at the stated start with all draws: few draws of two starts are the
/// same draws, and what they differ by is known far closer than either.
pub(super) const SURELY_BY_K: f64 = 2.0;

/// So many of the starts that leave least, of steady oil and of a cycle of the cooling each, are looked at with few draws through
/// the detailed model too, under a short overload and under a longer one. Our choice.
const LEAST: usize = 2;
const LEAST_LONG: usize = 1;

/// Under a short overload not all of the few are taken from a start that by some of them leaves so much more than the least, K. Our choice:
/// some of the few from two starts are the same draws.
const FAR_BY_K: f64 = 4.0;

/// What is looked at.
type Around<'a> = ((&'a Case, &'a Plant<'a>), &'a Inputs, (&'a LoadSteps, &'a Course));

/// The starts that may leave least, by few draws.
#[derive(Debug)]
pub(super) struct Worst {
    /// Their places: the one that leaves least, and the one that does so where draws are as far off by all models.
    pub(super) places: Vec<usize>,
    /// Whether the first surely leaves less than the stated one.
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
    /// Few draws that go through the detailed model too.
    pub(super) few: Arc<Few>,
}

impl Tried {
    /// The same with what the detailed model adds; with the inception temperature of the medians, °C.
    fn with(self, lift: &Lift, (inceptions, of_medians_c): (&Inceptions, f64)) -> Self {
        let lifted = |(lags_c, model_k): (&f64, &f64)| lift.hot_c(*lags_c, *model_k);
        let mut hot_c: Vec<f64> = self.lags_c.iter().zip(&self.models_k).map(lifted).collect();
        if let Some(of_medians_c) = hot_c.last_mut() {
            *of_medians_c = lift.of_medians_c();
        }
        Self { margin_k: few::margin_p05_k(inceptions, of_medians_c, &hot_c), ..self }
    }
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
        let few = Few::of((case, plant), which, (inputs, case.request.sampling.seed));
        Self::with((drawn, Arc::new(few)), (case, plant), inputs, which)
    }

    fn with(
        (drawn, few): (Drawn, Arc<Few>),
        (case, plant): (&Case, &Plant<'_>),
        inputs: &Inputs,
        which: WhichStart,
    ) -> Self {
        let middle = Drawn::from_values(case, plant, (inputs, &[inputs.medians()]), which);
        Self { which, drawn, middle, few }
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
    /// Few draws from each that go through the detailed model too, once they are asked for.
    fews: Vec<OnceLock<Arc<Few>>>,
}

/// A start that was looked at with few draws.
struct Tried {
    /// Its place; `None`: the stated one.
    place: Option<usize>,
    which: WhichStart,
    /// The hottest hot spots of the draws by the lag forms, °C, and how far the hottest model is off in each, K.
    lags_c: Vec<f64>,
    models_k: Vec<f64>,
    /// The 5 % point of the margin, K.
    margin_k: f64,
}

/// Which of the other starts leaves least, and by how much less than the stated one, K.
#[derive(Debug, Clone, Copy)]
struct Least {
    place: usize,
    less_k: f64,
}

impl Least {
    /// Of starts of which the first is the stated one.
    fn of(found: &[Tried]) -> Option<Self> {
        let (stated, others) = found.split_first()?;
        // A NaN counts as the least.
        let known = |k: f64| if k.is_nan() { f64::NEG_INFINITY } else { k };
        let least = others.iter().min_by(|a, b| known(a.margin_k).total_cmp(&known(b.margin_k)))?;
        Some(Self { place: least.place?, less_k: stated.margin_k - least.margin_k })
    }

    /// In this order a NaN is less.
    fn less_by(self, k: f64) -> bool {
        !(self.less_k <= k)
    }
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
        let fews = whiches.iter().map(|_| OnceLock::new()).collect();
        let all = whiches.into_iter().map(|which| (which, OnceLock::new())).collect();
        Some(Self { few: Drawn::joined(&parts), each: values.len(), places, all, fews })
    }

    /// The starts that may leave least under a load, by few draws, if that is less than from the stated one. Those that are always
    /// drawn are looked at, and the hottest with every input at its own value.
    pub(super) fn worst(
        &self,
        (case, plant): (&Case, &Plant<'_>),
        (inputs, points, inceptions): (&Inputs, &Points, &Inceptions),
        (load, course): (&LoadSteps, &Course),
        stated: &FromStart,
    ) -> Option<Worst> {
        let until_min = plant.until_min(case);
        let hottest_at = course.looked().hottest;
        let automatic = plant.is_automatic();
        if !automatic && hottest_at.is_none() {
            return None;
        }
        let of_medians_c = self.few.inception_c[self.each - 1];
        let tried = |place: Option<usize>, (drawn, from): (&Drawn, usize), lags_c: &[f64]| {
            let which = place.map_or(WhichStart::Stated, |place| self.all[place].0);
            let models_k = (0..lags_c.len()).map(|at| drawn.model_k(from + at)).collect();
            let of_middle_c = lags_c.last().copied().unwrap_or(f64::NAN);
            // What draws are off by is about the same from every start.
            let detailed_c = plant.about_detailed_c(course, which, of_middle_c);
            let lift = Lift::straight((of_middle_c, detailed_c));
            let (lags_c, margin_k) = (lags_c.to_vec(), f64::NAN);
            let tried = Tried { place, which, lags_c, models_k, margin_k };
            tried.with(&lift, (inceptions, of_medians_c))
        };
        let lags_c = by_lags(case, plant, inputs, &self.few, load, until_min);
        let parts = lags_c.chunks(self.each).enumerate().map(|(part, lags_c)| {
            let place = part.checked_sub(1).and_then(|part| self.places.get(part));
            tried(place.copied(), (&self.few, part * self.each), lags_c)
        });
        let mut found: Vec<Tried> = parts.collect();
        let closer = self.beside(&found[1..]).into_iter().chain(hottest_at);
        let closer = closer.chain(course.looked().by_detailed);
        let closer: BTreeSet<usize> = closer.filter(|at| !self.places.contains(at)).collect();
        let values = few::values(inputs, points);
        for at in closer {
            let drawn = Drawn::from_values(case, plant, (inputs, &values), self.all[at].0);
            let lags_c = by_lags(case, plant, inputs, &drawn, load, until_min);
            found.push(tried(Some(at), (&drawn, 0), &lags_c));
        }
        let (straight, short) = (Least::of(&found)?, case.request.loading.end_min <= SHORT_MIN);
        if automatic {
            let around = ((case, plant), inputs, (load, course));
            self.by_detailed(around, (inceptions, of_medians_c), &mut found, stated);
        }
        let least = Least::of(&found)?;
        // What is not known is not sure, and few draws of a longer load are too few: there the stated one may leave less after all.
        let surely = !automatic || (short && least.less_k > SURELY_BY_K);
        // Under a short load it was looked at as closely as the others; under a long one few draws tell it from the other by far.
        let of = |place: usize| found.iter().find(|tried| tried.place == Some(place));
        let both = of(straight.place).zip(of(least.place));
        // In this order a NaN is near.
        let far = both.is_some_and(|(one, other)| one.margin_k > other.margin_k + SURELY_BY_K);
        let straight = Some(straight).filter(|_| automatic && !short && !far);
        let mut places: Vec<usize> = std::iter::once(least)
            .chain(straight)
            .filter(|least| least.less_by(WORSE_BY_K))
            .map(|least| least.place)
            .collect();
        places.dedup();
        (!places.is_empty()).then_some(Worst { places, surely })
    }

    /// Keeps the stated start and those that may leave least, by few draws through the detailed model: they start the fans at
    /// other times than by the lag forms.
    fn by_detailed(
        &self,
        ((case, plant), inputs, (load, course)): Around<'_>,
        (inceptions, of_medians_c): (&Inceptions, f64),
        found: &mut Vec<Tried>,
        stated: &FromStart,
    ) {
        let until_min = plant.until_min(case);
        let short = case.request.loading.end_min <= SHORT_MIN;
        let least = if short { LEAST } else { LEAST_LONG };
        let looked = course.looked();
        let hottest = |place: Option<usize>| {
            place.is_some() && (place == looked.hottest || place == looked.by_detailed)
        };
        found[1..].sort_by(|a, b| a.margin_k.total_cmp(&b.margin_k));
        let mut kept = [0, 0];
        found.retain(|tried| {
            let of_kind = &mut kept[usize::from(tried.which.is_in_cycle())];
            *of_kind += usize::from(tried.which != WhichStart::Stated);
            let always = tried.place.is_none_or(|place| place == 0) || hottest(tried.place);
            always || *of_kind <= least
        });
        let by_few = |tried: &Tried, taken: Taken| {
            let few = tried.place.map_or(&stated.few, |at| self.few_of((case, plant), inputs, at));
            let detailed_c = plant
                .detailed_of(course, tried.which)
                .unwrap_or_else(|| plant.detailed_c(case, tried.which, (load, until_min)));
            let lift = few.lift((case, plant), inputs, (load, until_min), (detailed_c, taken));
            // The few themselves, the same from every start, and not what is made of others by their order.
            few::margin_p05_k(inceptions, of_medians_c, &lift.few_c())
        };
        for tried in found.iter_mut() {
            tried.margin_k = by_few(tried, Taken::Some);
        }
        if !short {
            return;
        }
        // What a start does in a short one is a narrow hump: all of the few, where some cannot tell.
        let least_k = found.iter().map(|tried| tried.margin_k).fold(f64::INFINITY, f64::min);
        found.retain(|tried| {
            // In this order a NaN is near.
            tried.place.is_none() || !(tried.margin_k > least_k + FAR_BY_K)
        });
        for tried in found.iter_mut() {
            tried.margin_k = by_few(tried, Taken::All);
        }
    }

    /// The places half way from the worst of those that were looked at to the next on either side.
    fn beside(&self, found: &[Tried]) -> Vec<usize> {
        let worst =
            (0..found.len()).min_by(|a, b| found[*a].margin_k.total_cmp(&found[*b].margin_k));
        let Some(worst) = worst else { return Vec::new() };
        let place = |at: usize| found.get(at).and_then(|own| own.place);
        let next = place(worst + 1).unwrap_or(self.all.len() - 1);
        let before = worst.checked_sub(1).and_then(place).unwrap_or(0);
        let own = place(worst).unwrap_or(0);
        [before, next].map(|other| usize::midpoint(own, other)).to_vec()
    }

    /// Few draws from one of them.
    fn few_of(&self, around: (&Case, &Plant<'_>), inputs: &Inputs, place: usize) -> &Arc<Few> {
        if let Some(few) = self.fews[place].get() {
            return few;
        }
        // Not inside of the lock, as below.
        let seed = around.0.request.sampling.seed;
        let few = Arc::new(Few::of(around, self.all[place].0, (inputs, seed)));
        self.fews[place].get_or_init(|| few)
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
        let few = Arc::clone(self.few_of((case, plant), inputs, place));
        let from = FromStart::with((drawn, few), (case, plant), inputs, *which);
        made.get_or_init(|| from)
    }

    /// Those of a start that were asked for.
    pub(super) fn known(&self, which: WhichStart) -> Option<&FromStart> {
        self.all.iter().find(|(own, _)| *own == which)?.1.get()
    }
}
