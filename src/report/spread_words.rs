//! How uncertain the answer is, in a few words.

use super::view::{down, down_or_dash, duration, near, up};
use crate::assessment::spread::{Band, Chance, Spread};
use crate::assessment::{Assessment, Bubbling};

/// Below this share, and above one less this share, draws are counted and not given in per cent.
const COUNTED_BELOW: f64 = 0.001;

/// The margin that decides and what it is made of.
pub(super) fn conservative(bubbling: &Bubbling, spread: &Spread) -> String {
    let of_draws = format!("the 5 % point of {} draws", spread.sampling.draws);
    let guard = spread.guard_k.filter(|guard_k| *guard_k > 0.0);
    let guard =
        guard.map_or_else(String::new, |k| format!(" less {} K for their number", up(k, 1)));
    let low = down_or_dash(bubbling.margin_low_k, 1);
    let counting = down_or_dash(bubbling.margin_counting_k, 1);
    let counting_k = bubbling.margin_counting_k;
    match (bubbling.margin_low_k, bubbling.margin_p05_k) {
        (None, _) => format!(
            "not known: {of_draws} lies beyond the range of the correlations; {counting} K with the \
             water that counts"
        ),
        (Some(low_k), Some(p05_k)) if counting_k.is_some_and(|counting_k| low_k >= counting_k) => {
            let p05 = down(p05_k, 1);
            format!("{low} K conservative, with the water that counts; {p05} K is {of_draws}")
        }
        (Some(_), _) => {
            format!(
                "{low} K conservative, {of_draws}{guard}; {counting} K with the water that counts"
            )
        }
    }
}

/// Whether there is a margin, but not the one that decides.
pub(super) fn beyond_range(assessment: &Assessment) -> bool {
    let bubbling = &assessment.bubbling;
    bubbling.margin_low_k.is_none() && bubbling.margin_counting_k.is_some()
}

/// The chances of bubbling, and of less than the required margin.
pub(super) fn chances(spread: &Spread, required_k: f64) -> String {
    let draws = spread.sampling.draws;
    format!(
        "{}; less than the required {} K is left: {}",
        chance(spread.below_zero, draws),
        near(required_k, 1),
        chance(spread.below_required, draws)
    )
}

/// A chance as the draws know it: no number of them shows that something cannot happen.
fn chance(found: Chance, draws: usize) -> String {
    #[allow(clippy::cast_precision_loss, reason = "at most a million draws")]
    let failed = found.probability * draws as f64;
    let percent = 100.0 * found.probability;
    if failed < 0.5 {
        format!("fewer than 1 in {draws} draws")
    } else if found.probability >= 1.0 {
        format!("more than {} in {draws} draws", draws.saturating_sub(1))
    } else if !(COUNTED_BELOW..=1.0 - COUNTED_BELOW).contains(&found.probability) {
        format!("{} in {draws} draws", near(failed, 0))
    } else {
        format!("{} % (standard error {})", near(percent, 1), error(found.standard_error))
    }
}

fn error(standard_error: f64) -> String {
    let percent = 100.0 * standard_error;
    if percent < 0.1 { "below 0.1 %".to_owned() } else { format!("{} %", up(percent, 1)) }
}

/// Between which temperatures the hottest hot spot lies in nine draws of ten.
pub(super) fn hot_spot(spread: &Spread) -> Option<String> {
    let (p05, p95) = (spread.hot_spot_c.p05?, spread.hot_spot_c.p95?);
    Some(format!(" (5 to 95 %: {} to {} °C)", down(p05, 1), up(p95, 1)))
}

/// When the first limit is reached if the last load goes on; nothing where hardly any draw reaches one.
pub(super) fn times(spread: &Spread, horizon_min: f64) -> Option<String> {
    let Band { p05, p50, p95 } = spread.time_to_limit_min;
    let (first, within) = (duration(p05?), duration(horizon_min));
    let more = match (p50, p95) {
        (None, _) => format!("fewer than half within {within}"),
        (Some(_), Some(p95)) if duration(p95) == first => {
            return Some(format!("within {first} in nearly every draw, if the last load goes on"));
        }
        (Some(p50), Some(p95)) if duration(p50) == duration(p95) => {
            format!("most within {}", duration(p95))
        }
        (Some(p50), Some(p95)) => {
            format!("half within {}, 95 % within {}", duration(p50), duration(p95))
        }
        (Some(p50), None) => {
            format!("half within {}, more than 5 % none within {within}", duration(p50))
        }
    };
    Some(format!("5 % of the draws reach one within {first}, {more}, if the last load goes on"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_number_of_draws_makes_a_chance_nil_or_certain() {
        let found =
            |probability, standard_error| chance(Chance { probability, standard_error }, 4096);
        assert_eq!(found(0.0, 0.0), "fewer than 1 in 4096 draws");
        assert_eq!(found(1.0, 0.0), "more than 4095 in 4096 draws");
        assert_eq!(found(1.0 / 4096.0, 2.4e-4), "1 in 4096 draws");
        assert_eq!(found(4095.0 / 4096.0, 2.4e-4), "4095 in 4096 draws");
        assert_eq!(found(0.168, 0.0028), "16.8 % (standard error 0.3 %)");
        assert_eq!(found(0.5, 0.0), "50.0 % (standard error below 0.1 %)");
    }
}
