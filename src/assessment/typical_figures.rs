//! What the figures are worth that only the detailed model has and no heat run states.

use super::case::Case;
use super::course::Course;
use super::followed::Followed;
use super::plant::Plant;
use crate::rules::facts::TypicalFigure;
use crate::thermal::cooling::{Cooling, Stage};
use crate::thermal::detailed::{OWN_FIGURES, OWN_INPUTS};

/// Below this nothing of it shows in a tenth of a kelvin.
const SHOWS_K: f64 = 0.05;

/// Each of them with what the hot spot of the detailed model moves by where it is off by its standard uncertainty, to the side
/// on which that is more, from the same start; those of the unit's own heat run are left out.
pub(super) fn typical_figures(
    case: &Case,
    plant: &Plant<'_>,
    course: &Course,
) -> Vec<TypicalFigure> {
    let plain = &plant.cooling.stages;
    let is_typical =
        |figure: &usize| plain.iter().any(|stage| stage.detailed.doubt[*figure] >= 1.0);
    let own_c = hottest_c(case, plant, course, plain.clone());
    let worth = |figure: usize| {
        let moved_k = |by: f64| {
            let mut off = [0.0; OWN_INPUTS];
            off[figure] = by;
            let with =
                |stage: &Stage| Stage { detailed: stage.detailed.off(&off), ..stage.clone() };
            let moved_k = hottest_c(case, plant, course, plain.iter().map(with).collect()) - own_c;
            // What is not a number is not known.
            if moved_k.is_nan() { f64::INFINITY } else { moved_k.abs() }
        };
        TypicalFigure { figure: OWN_FIGURES[figure], hot_spot_k: moved_k(1.0).max(moved_k(-1.0)) }
    };
    let all = (0..OWN_INPUTS).filter(is_typical).map(worth);
    all.filter(|own| own.hot_spot_k >= SHOWS_K).collect()
}

/// The hottest hot spot of the detailed model in the load asked for, from the start that counts, °C.
fn hottest_c(case: &Case, plant: &Plant<'_>, course: &Course, stages: Vec<Stage>) -> f64 {
    let request = &case.request;
    let (load, ambient) = (&request.loading.load, &request.ambient);
    let cooling = Cooling { stages, ..plant.cooling.clone() };
    let ends_min = (request.loading.end_min, plant.until_min(case));
    let followed = Followed::of(&cooling, (load, ambient), ends_min, std::iter::empty());
    let from = plant.starts_of(course.which()).detailed;
    followed.hottest_c(from.form, from.start, (&cooling, load, ambient))
}
