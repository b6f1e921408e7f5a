//! How uncertain the hot spot is over time: for pictures, no verdict waits for it.

use super::answer::{Band, band};
use super::drawn::{Drawn, IEC, IEEE};
use super::inputs::Inputs;
use super::pairs::Inceptions;
use super::propagation::{Excess, steps};
use crate::assessment::case::Case;
use crate::assessment::plant::Plant;
use crate::assessment::possible::WhichStart;
use crate::thermal::Form;
use crate::thermal::ensemble::{Ensemble, Lanes, Moment, Steps, WIDTH, Watch};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::schedule::LoadSteps;
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

/// Takes draws through a load and keeps what they show on the way.
pub(super) fn over_time(
    (case, plant): (&Case, &Plant<'_>),
    inputs: &Inputs,
    ((drawn, inceptions), which): ((&Drawn, &Inceptions), WhichStart),
    load: &LoadSteps,
) -> Option<OverTime> {
    let steps = steps(case, plant, inputs, load, plant.until_min(case));
    let iec = courses((IEC, &Iec::default()), plant, &steps, drawn);
    let ieee = courses((IEEE, &Ieee::default()), plant, &steps, drawn);
    let minutes: Vec<f64> = iec.first()?.iter().map(|seen| seen.0).collect();
    let excess = Excess::of((case, plant), which, load, steps.minutes());
    let every = every(&steps);
    let hottest = |at: usize| {
        let excess_k = excess.at_k.get(at * every).map_or(f64::INFINITY, |k| k[0]);
        let hottest_c = |(draw, (iec, ieee)): (usize, (&Course, &Course))| {
            iec[at].1.max(ieee[at].1) + excess_k + drawn.model_k(draw)
        };
        iec.iter().zip(&ieee).enumerate().map(hottest_c).collect::<Vec<f64>>()
    };
    let at = |(at, min): (usize, &f64)| Some(BandAt { min: *min, hot_spot_c: band(&hottest(at))? });
    Some(OverTime {
        inception_c: band(inceptions.ascending_c())?,
        hot_spot: minutes.iter().enumerate().map(at).collect::<Option<_>>()?,
    })
}

/// Hot spots of a draw in one form: (minute, °C).
type Course = Vec<(f64, f64)>;

/// Every so-manieth breakpoint is kept.
fn every(steps: &Steps) -> usize {
    steps.minutes().len().div_ceil(INSTANTS).max(1)
}

/// Hot spots of each draw in one form.
fn courses<F: Form>(
    (place, form): (usize, &F),
    plant: &Plant<'_>,
    steps: &Steps,
    drawn: &Drawn,
) -> Vec<Course> {
    let ensemble = Ensemble::new(form, steps, &plant.cooling, drawn.common);
    let every = every(steps);
    let watch = |_: &[usize; WIDTH]| Seen { every, seen: Vec::with_capacity(INSTANTS + 1) };
    let of_lane = |course: &Seen, lane: usize| {
        course.seen.iter().map(|(min, hot_spot_c)| (*min, hot_spot_c.0[lane])).collect()
    };
    let member = |draw| drawn.member(place, draw);
    ensemble
        .run(drawn.count(), member, watch, of_lane)
        .into_iter()
        .map(|found| found.seen)
        .collect()
}

/// Keeps every so-manieth breakpoint.
struct Seen {
    every: usize,
    seen: Vec<(f64, Lanes<WIDTH>)>,
}

impl Watch<WIDTH> for Seen {
    const PEAKS: bool = false;
    const TOP_OIL: bool = false;

    fn see(&mut self, moment: &Moment<'_, WIDTH>) {
        if moment.index.is_multiple_of(self.every) {
            self.seen.push((moment.minute(), *moment.hot_spot_c));
        }
    }
}
