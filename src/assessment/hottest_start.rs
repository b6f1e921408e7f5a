//! Which of the starts that the knowledge allows a load makes hottest, with every input at its own value.

use super::course::Starts;
use super::possible::WhichStart;
use crate::thermal::cooling::Cooling;
use crate::thermal::ensemble::{Doubt, Steps};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use crate::thermal::trajectory::{FromStarts, Plan};

/// One load in so many is tried first, and then those about the hottest of them. Our choice: they are 0.05 pu apart.
const TRIED_ONE_IN: u32 = 4;

/// As few as this are all tried.
const FEW: usize = 12;

/// About so many of the hottest of them the loads between are looked at too.
const CLOSER: usize = 2;

/// Hot spots this close are the same, K: less than what a course is known to, and from long loads on nothing of a
/// start is left.
const HOTTER_BY_K: f64 = 0.01;

/// The place of the start from which a load makes the hottest hot spot, where that is not the stated one.
///
/// Of the lower loads one in [`TRIED_ONE_IN`] is tried first, and then those about the hottest [`CLOSER`] of them.
pub(super) fn hottest_start(
    cooling: &Cooling,
    (stated, others): (&Starts, &[(WhichStart, Starts)]),
    (load, ambient): (&LoadSteps, &AmbientLine),
    (until_min, samples): (f64, &[f64]),
) -> Option<usize> {
    if others.is_empty() {
        return None;
    }
    let samples: Vec<f64> = samples.iter().copied().chain(cooling.lost_at_min).collect();
    let minutes = breakpoints(0.0, until_min, load, ambient, &samples);
    let plan = Plan { cooling, load, ambient, breakpoints: &minutes };
    let steps = Steps::of(&plan, Doubt::NONE);
    let iec = FromStarts::new(&Iec::default(), &steps, cooling);
    let ieee = FromStarts::new(&Ieee::default(), &steps, cooling);
    let hot_c = |starts: &Starts| {
        let [own, other] = [starts.iec.start, starts.ieee.start];
        let iec_c = iec.hottest_c(&starts.iec.form, own.state, own.stage);
        let ieee_c = ieee.hottest_c(&starts.ieee.form, other.state, other.stage);
        // What is not a number is as bad as the worst.
        let known = |c: f64| if c.is_nan() { f64::INFINITY } else { c };
        known(iec_c).max(known(ieee_c))
    };
    let mut tried: Vec<(usize, f64)> = (0..others.len())
        .filter(|at| *at == 0 || others.len() <= FEW || others[*at].0.is_one_in(TRIED_ONE_IN))
        .map(|at| (at, hot_c(&others[at].1)))
        .collect();
    for at in between(&tried, others.len()) {
        tried.push((at, hot_c(&others[at].1)));
    }
    let hottest = tried.into_iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    (hottest.1 > hot_c(stated) + HOTTER_BY_K).then_some(hottest.0)
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
