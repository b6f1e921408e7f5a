//! How uncertain the hot spot is over time: for pictures, no verdict waits for it.

use super::answer::{Band, band};
use super::few_courses::Courses;
use super::pairs::Inceptions;
use serde::Serialize;

/// About so many instants: closer than a picture of a screen's width can show.
const INSTANTS: usize = 160;

/// How uncertain the temperatures are over time.
#[derive(Debug, Clone, Serialize)]
pub struct OverTime {
    /// Inception temperature, °C, which does not change with time; a `null` lies beyond the range of the
    /// correlations, on the bad side.
    pub inception_c: Band,
    /// Hot spot of the hottest model.
    pub hot_spot: Vec<BandAt>,
}

/// A band at one instant.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct BandAt {
    /// Minute from the start of the overload.
    pub min: f64,
    /// Hot spot, °C.
    pub hot_spot_c: Band,
}

/// What few draws show on their way through a load: every so-manieth breakpoint is kept.
pub(super) fn over_time(courses: &Courses, inceptions: &Inceptions) -> Option<OverTime> {
    let every = courses.minutes.len().div_ceil(INSTANTS).max(1);
    let kept = courses.minutes.iter().enumerate().step_by(every);
    let at = |(at, min): (usize, &f64)| {
        Some(BandAt { min: *min, hot_spot_c: band(&courses.hot_spots_c(at))? })
    };
    Some(OverTime {
        inception_c: band(inceptions.ascending_c())?,
        hot_spot: kept.map(at).collect::<Option<_>>()?,
    })
}
