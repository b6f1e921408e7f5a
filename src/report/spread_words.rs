//! How uncertain the answer is, in a few words.

use super::answer::kelvin;
use super::view::{down, down_or_dash, up};
use crate::assessment::spread::{Chance, Spread};
use crate::assessment::{Assessment, Bubbling};
use crate::uncertainty::odds::odds_of;

/// The margin that decides, beside the verdict. Without draws nothing uncertain is taken off it: it is at most that.
pub(super) fn deciding(low_k: Option<f64>, drawn: bool) -> String {
    let at_most = if drawn { "" } else { "at most " };
    low_k.map_or_else(|| "unknown".to_owned(), |low_k| format!("{at_most}{} K", down(low_k, 1)))
}

/// The margin that decides and what it is made of.
pub(super) fn conservative(bubbling: &Bubbling, spread: &Spread) -> String {
    let cases = spread.sampling.draws;
    let guard = spread.guard_k.filter(|guard_k| *guard_k > 0.0);
    let guard =
        guard.map_or_else(String::new, |k| format!(", {} K taken off for their number", up(k, 1)));
    let low = down_or_dash(bubbling.margin_low_k, 1);
    let counting = down_or_dash(bubbling.margin_counting_k, 1);
    let counting_k = bubbling.margin_counting_k;
    match (bubbling.margin_low_k, bubbling.margin_p05_k) {
        (None, _) => format!(
            "not known: more than 5 % of {cases} simulated cases lie beyond the range of the correlations; \
             {counting} K with the assessed moisture"
        ),
        (Some(low_k), Some(p05_k)) if counting_k.is_some_and(|counting_k| low_k >= counting_k) => {
            let p05 = down(p05_k, 1);
            format!(
                "{low} K conservative, with the assessed moisture; 95 % of {cases} simulated cases leave more \
                 than {p05} K"
            )
        }
        (Some(_), _) => format!(
            "{low} K conservative: 95 % of {cases} simulated cases leave more{guard}; {counting} K with the \
             assessed moisture"
        ),
    }
}

/// Whether there is a margin, but not the one that decides.
pub(super) fn beyond_range(assessment: &Assessment) -> bool {
    let bubbling = &assessment.bubbling;
    bubbling.margin_low_k.is_none() && bubbling.margin_counting_k.is_some()
}

/// The chances of bubbling, and of less than the required margin.
pub(super) fn chances(spread: &Spread, required_k: f64) -> String {
    let of = |chance: Chance| odds_of(chance.probability, spread.sampling.draws);
    format!(
        "{}; of less than the required {} K: {}",
        of(spread.below_zero),
        kelvin(required_k),
        of(spread.below_required)
    )
}

/// Between which temperatures the hottest hot spot lies in nine draws of ten.
pub(super) fn hot_spot(spread: &Spread) -> Option<String> {
    let (p05, p95) = (spread.hot_spot_c.p05?, spread.hot_spot_c.p95?);
    Some(format!(" (5 to 95 %: {} to {} °C)", down(p05, 1), up(p95, 1)))
}
