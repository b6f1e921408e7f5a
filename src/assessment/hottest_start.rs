//! Which of the starts that the knowledge allows a load makes hottest, with every input at its own value.

use super::course::{Course, Prepared, Starts};
use super::followed::Followed;
use super::possible::WhichStart;
use crate::thermal::cooling::Cooling;
use crate::thermal::ensemble::{Doubt, Steps};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use crate::thermal::trajectory::{FromStarts, Plan};
use crate::uncertainty::batch::in_chunks;

/// One load in so many is tried first, and then those about the hottest of them. Our choice: they are 0.05 pu apart.
const TRIED_ONE_IN: u32 = 4;

/// As few as this are all tried.
const FEW: usize = 12;

/// About so many of the hottest of them the loads between are looked at too.
const CLOSER: usize = 2;

/// Hot spots this close are the same, K: less than what a course is known to, and from long loads on nothing of a
/// start is left.
const HOTTER_BY_K: f64 = 0.01;

/// A start is looked at by the detailed model where it may get hotter than what is known by less than this, K, as far as the
/// lag forms and the starts around it tell; by so much more for every start between, K; and by such a share of what the two
/// models differ by from one start around it to the other.
const MAY_MISS_K: (f64, f64, f64) = (0.5, 0.2, 0.5);

/// The lowest load and the coolest oil are looked at first, unless they are so near to the stated start.
const NEAR: f64 = 4.0;

/// One start in so many is looked at in any case, under a short overload and under a longer one: loads before 0.1 and 0.2 pu apart.
const BETWEEN_SHORT: u32 = 8;
const BETWEEN: u32 = 16;

/// So many of the next are looked at side by side, on any number of processors.
const AT_ONCE: usize = 2;

/// But no more than so many, or one more.
const MOST: usize = 15;

/// Up to so long an overload, min, a run costs little, and what a start does is a narrow hump: twice as many starts are looked
/// at. Our choice.
pub(super) const SHORT_MIN: f64 = 90.0;

/// Where the detailed model falls by no more than this from one start to the next, K, nothing is hidden between them. Our
/// choice: less than what counts as the same start (`tests/times/starts.rs`).
const LEVEL_K: f64 = 0.1;

/// Halvings of the way to the next start, about the hottest by the detailed model.
const HALVINGS: usize = 3;

/// The starts that were looked at.
#[derive(Debug, Clone, Default)]
pub(super) struct Looked {
    /// The place of the one from which a load makes the hottest hot spot; `None`: that is the stated one.
    pub(super) hottest: Option<usize>,
    /// Where that is the stated one, the place of the one that is hotter by the detailed model and hottest by it.
    pub(super) by_detailed: Option<usize>,
    /// What the detailed model makes of some: their places, and their hottest hot spots, °C.
    pub(super) detailed_c: Vec<(usize, f64)>,
    /// By how much that is above the hotter lag form, K, and where: starts in order, from the least load before over the
    /// stated start to the coolest.
    above_k: Vec<(f64, f64)>,
}

impl Looked {
    /// By how much the two known starts around one differ, K.
    fn changes_k(&self, at: f64) -> f64 {
        let after = self.above_k.partition_point(|known| known.0 < at);
        match (after.checked_sub(1).map(|before| self.above_k[before]), self.above_k.get(after)) {
            (Some(before), Some(after)) => (after.1 - before.1).abs(),
            (Some(_) | None, None) | (None, Some(_)) => 0.0,
        }
    }

    /// How far the next known start is.
    fn apart(&self, at: f64) -> f64 {
        self.above_k.iter().map(|known| (known.0 - at).abs()).fold(f64::INFINITY, f64::min)
    }

    /// By how much the detailed model is about above the hotter lag form from one of the starts, or the stated one, K.
    pub(super) fn above_k(&self, at: f64) -> f64 {
        let after = self.above_k.partition_point(|known| known.0 < at);
        match (after.checked_sub(1).map(|before| self.above_k[before]), self.above_k.get(after)) {
            (Some(before), Some(after)) => {
                before.1 + (at - before.0) / (after.0 - before.0) * (after.1 - before.1)
            }
            (Some(known), None) | (None, Some(&known)) => known.1,
            (None, None) => 0.0,
        }
    }
}

/// Where starts are in their order: their place, and the stated one between lower loads and cooler oil.
#[allow(clippy::cast_precision_loss, reason = "some tens of starts")]
pub(super) fn order(others: &[(WhichStart, Starts)], place: Option<usize>) -> f64 {
    let lower = others.iter().filter(|other| matches!(other.0, WhichStart::From(_))).count();
    place.map_or(lower as f64 - 0.5, |place| place as f64)
}

/// How many of the starts the detailed model is tried from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Among {
    /// From all that may matter.
    All,
    /// From the ends: for loads that are far from any limit.
    Ends,
}

/// What is followed from every start.
pub(super) struct Around<'a> {
    pub(super) cooling: &'a Cooling,
    pub(super) load: &'a LoadSteps,
    pub(super) ambient: &'a AmbientLine,
    pub(super) end_min: f64,
    pub(super) until_min: f64,
    /// From here on nothing of a start is left, min.
    pub(super) gone_min: f64,
    pub(super) among: Among,
}

/// Looks at the starts; `samples`: minutes at which courses are sampled.
///
/// Of the lower loads one in [`TRIED_ONE_IN`] is tried first, and then those about the hottest [`CLOSER`] of them. The
/// detailed model costs as much as a hundred lags: it is tried where those and the starts around tell that it may matter.
pub(super) fn hottest_start(
    around: &Around<'_>,
    (stated, others): (&Starts, &[(WhichStart, Starts)]),
    samples: &[f64],
    course: &Course,
) -> Looked {
    if others.is_empty() {
        return Looked::default();
    }
    let (tried, lags_c) = by_lags(around, (stated, others), samples);
    let looked = by_detailed(around, others, course, (&tried, lags_c));
    let of_stated_c = lags_c.max(known(course.detailed.hot_spot.value_c));
    let hottest = hottest(tried.iter().chain(&looked.detailed_c));
    let hottest = hottest.filter(|hottest| hottest.1 > of_stated_c + HOTTER_BY_K);
    let place = |hottest: Option<(usize, f64)>| hottest.map(|hottest| hottest.0);
    let stated_c = known(course.detailed.hot_spot.value_c);
    let most = self::hottest(looked.detailed_c.iter());
    let hotter = |most: &(usize, f64)| hottest.is_none() && most.1 > stated_c + HOTTER_BY_K;
    let by_detailed = place(most.filter(hotter));
    Looked { hottest: place(hottest), by_detailed, ..looked }
}

fn hottest<'a>(all: impl Iterator<Item = &'a (usize, f64)>) -> Option<(usize, f64)> {
    all.copied().max_by(|a, b| a.1.total_cmp(&b.1))
}

/// What is not a number is as bad as the worst.
fn known(hot_spot_c: f64) -> f64 {
    if hot_spot_c.is_nan() { f64::INFINITY } else { hot_spot_c }
}

/// What the hotter lag form makes of the starts tried, and of the stated one, °C.
fn by_lags(
    around: &Around<'_>,
    (stated, others): (&Starts, &[(WhichStart, Starts)]),
    samples: &[f64],
) -> (Vec<(usize, f64)>, f64) {
    let Around { cooling, load, ambient, until_min, .. } = *around;
    let samples: Vec<f64> = samples.iter().copied().chain(cooling.lost_at_min).collect();
    let minutes = breakpoints(0.0, until_min, load, ambient, &samples);
    let plan = Plan { cooling, load, ambient, breakpoints: &minutes };
    let steps = Steps::of(&plan, Doubt::NONE);
    let iec = FromStarts::new(&Iec::default(), &steps, cooling);
    let ieee = FromStarts::new(&Ieee::default(), &steps, cooling);
    let lagged = stated.lagged.map(|_| FromStarts::new(&Ieee::LAGGED, &steps, cooling));
    let hot_c = |starts: &Starts| {
        let iec_c = iec.hottest_c(&starts.iec.form, starts.iec.start);
        let ieee_c = ieee.hottest_c(&starts.ieee.form, starts.ieee.start);
        let both = lagged.as_ref().zip(starts.lagged.as_ref());
        let lagged_c = both.map(|(lagged, own)| known(lagged.hottest_c(&own.form, own.start)));
        known(iec_c).max(known(ieee_c)).max(lagged_c.unwrap_or(f64::NEG_INFINITY))
    };
    let of = |places: &[usize]| {
        let each = |at: &usize| (*at, hot_c(&others[*at].1));
        in_chunks(places.len(), 2, |some| places[some].iter().map(each).collect())
    };
    let first: Vec<usize> = (0..others.len())
        .filter(|at| *at == 0 || others.len() <= FEW || others[*at].0.is_one_in(TRIED_ONE_IN))
        .collect();
    let mut tried: Vec<(usize, f64)> = of(&first);
    tried.extend(of(&between(&tried, others.len())));
    (tried, hot_c(stated))
}

/// What the detailed model makes of some of the starts, °C, and by how much it is above the lag forms.
fn by_detailed(
    around: &Around<'_>,
    others: &[(WhichStart, Starts)],
    course: &Course,
    (tried, of_stated_c): (&[(usize, f64)], f64),
) -> Looked {
    let run = Detailed::of(around, others, course);
    let stated_c = known(course.detailed.hot_spot.value_c);
    let above_k = vec![(order(others, None), stated_c - of_stated_c)];
    let mut looked = Looked { above_k, ..Looked::default() };
    let mut most_c = tried.iter().map(|one| one.1).fold(of_stated_c.max(stated_c), f64::max);
    let look = |looked: &mut Looked, some: &[(usize, f64)], most_c: f64| {
        let found = in_chunks(some.len(), 1, |at| vec![run.hot_c(some[at.start].0)]);
        for ((place, lags_c), c) in some.iter().zip(&found) {
            looked.detailed_c.push((*place, *c));
            looked.above_k.push((order(others, Some(*place)), c - lags_c));
        }
        looked.above_k.sort_by(|one, other| one.0.total_cmp(&other.0));
        found.into_iter().fold(most_c, f64::max)
    };
    let all_tried = others.len() <= FEW;
    let short = around.end_min <= SHORT_MIN;
    let tried_too =
        |which: WhichStart| which.is_drawn() || (short && which.is_one_in(TRIED_ONE_IN));
    let most = if short { 2 * MOST } else { MOST };
    let by_lags = hottest(tried.iter()).map(|hottest| hottest.0);
    let mut drawn: Vec<(usize, f64)> = tried
        .iter()
        .copied()
        .filter(|(at, _)| all_tried || *at == 0 || Some(*at) == by_lags || tried_too(others[*at].0))
        .collect();
    drawn.sort_unstable_by_key(|one| one.0);
    // The ends first: fans that start late, or not at all, are missed by either alone.
    let stated_at = order(others, None);
    let far = |one: &&(usize, f64)| (order(others, Some(one.0)) - stated_at).abs() >= NEAR;
    let last = drawn.last().filter(|_| drawn.len() > 1);
    let ends: Vec<(usize, f64)> =
        drawn.first().into_iter().chain(last).filter(far).copied().collect();
    most_c = look(&mut looked, &ends, most_c);
    if around.among == Among::Ends {
        return looked;
    }
    // Then some between: from loads at which the fans wait the hot spot has a hump that neither end knows of.
    let every = if short { BETWEEN_SHORT } else { BETWEEN };
    let wanted = |(at, _): &(usize, f64)| {
        others[*at].0.is_one_in(every) && looked.detailed_c.iter().all(|known| known.0 != *at)
    };
    let between: Vec<(usize, f64)> = drawn.iter().copied().filter(wanted).collect();
    most_c = look(&mut looked, &between, most_c);
    while looked.detailed_c.len() < most {
        let may_c = |(place, lags_c): &(usize, f64)| {
            let at = order(others, Some(*place));
            let (least_k, each_k, share) = MAY_MISS_K;
            let doubt_k = least_k + each_k * looked.apart(at) + share * looked.changes_k(at);
            lags_c + looked.above_k(at) + doubt_k
        };
        let unknown = drawn.iter().filter(|(at, _)| looked.detailed_c.iter().all(|k| k.0 != *at));
        let mut next: Vec<(usize, f64)> =
            unknown.filter(|one| may_c(one) > most_c).copied().collect();
        if next.is_empty() {
            break;
        }
        next.sort_by(|a, b| may_c(b).total_cmp(&may_c(a)));
        next.truncate(AT_ONCE);
        most_c = look(&mut looked, &next, most_c);
    }
    if !all_tried && hottest(looked.detailed_c.iter()).is_some_and(|hottest| hottest.1 >= most_c) {
        closer(&mut looked.detailed_c, others.len(), |place| run.hot_c(place));
    }
    looked
}

/// Looks half way from the hottest to the next drawn ones on either side, and again; not where a hump that falls as little
/// on the other side can hide nothing.
fn closer(looked: &mut Vec<(usize, f64)>, all: usize, hot_c: impl Fn(usize) -> f64 + Sync) {
    let mut apart = 4;
    for _ in 0..HALVINGS {
        let Some((place, c)) = hottest(looked.iter()) else { return };
        let known_c = |at: Option<usize>| {
            looked.iter().find(|known| Some(known.0) == at).map(|known| known.1)
        };
        let falls = |at: Option<usize>| known_c(at).is_none_or(|other_c| c - other_c > LEVEL_K);
        let (below, above) = (place.checked_sub(2 * apart), Some(place + 2 * apart));
        let sides = [
            place.checked_sub(apart).filter(|_| falls(above)),
            Some(place + apart).filter(|at| *at < all && falls(below)),
        ];
        let new = sides.into_iter().flatten().filter(|at| known_c(Some(*at)).is_none());
        let new: Vec<usize> = new.collect();
        looked.extend(in_chunks(new.len(), 1, |at| vec![(new[at.start], hot_c(new[at.start]))]));
        apart /= 2;
    }
}

/// The detailed model from a start.
struct Detailed<'a> {
    around: &'a Around<'a>,
    others: &'a [(WhichStart, Starts)],
    followed: Followed,
    /// What is hottest after all starts are forgotten, °C.
    later_c: f64,
}

impl<'a> Detailed<'a> {
    fn of(around: &'a Around<'a>, others: &'a [(WhichStart, Starts)], course: &Course) -> Self {
        let Around { cooling, load, ambient, end_min, until_min, gone_min, .. } = *around;
        let (until_min, none) = (until_min.min(gone_min), std::iter::empty());
        let followed = Followed::of(cooling, (load, ambient), (end_min, until_min), none);
        let stated = course.detailed.hot_spot;
        let later = stated.at_min > until_min;
        let later_c = if later { known(stated.value_c) } else { f64::NEG_INFINITY };
        Self { around, others, followed, later_c }
    }

    fn hot_c(&self, place: usize) -> f64 {
        let Around { cooling, load, ambient, .. } = *self.around;
        let Prepared { form, start, .. } = &self.others[place].1.detailed;
        known(self.followed.hottest_c(*form, *start, (cooling, load, ambient))).max(self.later_c)
    }
}

/// The places beside the hottest of those that were tried, up to the next that was.
fn between(tried: &[(usize, f64)], all: usize) -> Vec<usize> {
    let mut by_heat: Vec<usize> = (0..tried.len()).collect();
    by_heat.sort_by(|a, b| tried[*b].1.total_cmp(&tried[*a].1));
    let mut places = Vec::new();
    for at in by_heat.into_iter().take(CLOSER) {
        let from = at.checked_sub(1).map_or(tried[at].0, |before| tried[before].0 + 1);
        let until = tried.get(at + 1).map_or(all, |after| after.0);
        places.extend((from..until).filter(|place| *place != tried[at].0));
    }
    places.sort_unstable();
    places.dedup();
    places
}
