//! What does not depend on the load that is tried.

use super::case::Case;
use super::plant::Plant;
use super::wet_paper::WetPaper;

/// The unit ready to run, and its wet paper.
#[derive(Debug, Clone)]
pub struct Basis<'a> {
    /// Cooling and starting state; `None` without thermal data.
    pub plant: Option<Plant<'a>>,
    /// Moisture and inception temperature.
    pub paper: WetPaper<'a>,
}

impl<'a> Basis<'a> {
    /// Prepares a case.
    pub fn of(case: &'a Case) -> Self {
        let local = case.local.as_ref().map(|local| &local.moisture);
        Self { plant: Plant::of(case), paper: WetPaper::of(&case.unit, local, case.as_of) }
    }
}
