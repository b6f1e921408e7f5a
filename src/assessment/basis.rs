//! What does not depend on the load that is tried.

use super::case::Case;
use super::cool_down::{self, OilAtStart};
use super::hot_spot_paper::{AtStart, at_start};
use super::plant::Plant;
use super::wet_paper::WetPaper;

/// The unit ready to run, and its wet paper.
#[derive(Debug, Clone)]
pub struct Basis<'a> {
    /// Cooling and starting state; `None` without thermal data.
    pub plant: Option<Plant<'a>>,
    /// Moisture and inception temperature.
    pub paper: WetPaper<'a>,
    /// The paper at the hot spot at minute 0.
    pub hot_spot: AtStart,
    /// Water in the oil at minute 0; `None` without moisture or thermal data.
    pub oil: Option<OilAtStart>,
}

impl<'a> Basis<'a> {
    /// Prepares a case.
    pub fn of(case: &'a Case) -> Self {
        let local = case.local.as_ref().map(|local| &local.moisture);
        let paper = WetPaper::of(&case.unit, local, case.as_of).as_if(case.water_as_percent);
        Self::with_paper(case, paper)
    }

    /// Prepares a case of which the paper is known.
    pub(super) fn with_paper(case: &'a Case, paper: WetPaper<'a>) -> Self {
        let plant = Plant::of(case);
        let hot_spot = at_start(case, plant.as_ref(), &paper);
        let oil = cool_down::at_start(case, plant.as_ref(), &paper);
        Self { plant, paper, hot_spot, oil }
    }
}
