//! When limits are reached if the load is held on.

use super::basis::Basis;
use super::case::Case;
use super::evaluation::Evaluation;
use super::held_on::{HeldOn, held_on};
use super::limits::{self, LimitLine, bubbling_reached, ceilings_min, going_on};
use super::spread::{Band, Draws};

/// When limits are reached if the load is held on.
#[derive(Debug)]
pub(super) struct Timed {
    /// The longest duration that passes, min; `None`: all up to the horizon do.
    pub(super) held_min: Option<f64>,
    /// Every limit.
    pub(super) limits: Vec<LimitLine>,
    /// How long the draws take to reach a limit, min; `None` without draws.
    pub(super) drawn_min: Option<Band>,
}

/// Looks for all of them.
pub(super) fn timed(
    case: &Case,
    basis: &Basis<'_>,
    asked: &Evaluation<'_>,
    draws: Option<&Draws>,
) -> Timed {
    let Some(plant) = basis.plant.as_ref() else {
        // Without thermal data no duration has an answer.
        let limits = limits::lines(case, None, asked);
        return Timed { held_min: Some(0.0), limits, drawn_min: None };
    };
    let course = going_on(case, plant);
    let mut limits = limits::lines(case, Some(&course), asked);
    let ceilings_min = ceilings_min(&limits);
    let held = || held_on((case, basis, plant), asked, draws, (&course, ceilings_min));
    let drawn = || Some(draws?.time_to_limit_min(case, plant, asked));
    let (held, drawn_min): (HeldOn, Option<Band>) = rayon::join(held, drawn);
    bubbling_reached(&mut limits, held, drawn_min.and_then(|band| band.p05));
    Timed { held_min: held.min, limits, drawn_min }
}
