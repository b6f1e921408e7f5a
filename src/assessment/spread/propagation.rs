//! Draws through the load: the margin, the hottest hot spot and the time to the first limit of each.

use super::drawn::{Drawn, IEC, IEEE, with_doubt};
use super::inputs::Inputs;
use crate::assessment::case::Case;
use crate::assessment::course::sample_minutes;
use crate::assessment::plant::Plant;
use crate::thermal::Form;
use crate::thermal::ensemble::{
    Ensemble, Lanes, Moment, OnlyHottest, Outcome, Steps, WIDTH, Watch,
};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::schedule::{LoadSteps, breakpoints};
use crate::thermal::trajectory::Plan;

/// Takes every draw through a load: its inception temperature less its hottest hot spot, K; −∞ beyond the range of
/// the correlations.
pub(super) fn margins_k(
    case: &Case,
    plant: &Plant<'_>,
    inputs: &Inputs,
    drawn: &Drawn,
    load: &LoadSteps,
) -> Vec<f64> {
    let hot_c = hottest(case, plant, inputs, drawn, load, plant.until_min(case));
    drawn.inception_c.iter().zip(hot_c).map(|(inception_c, hot_c)| inception_c - hot_c).collect()
}

/// The hottest hot spot of each draw up to a minute, of the hotter form, °C; infinite where it could not be
/// computed.
pub(super) fn hottest(
    case: &Case,
    plant: &Plant<'_>,
    inputs: &Inputs,
    drawn: &Drawn,
    load: &LoadSteps,
    until_min: f64,
) -> Vec<f64> {
    let steps = steps(case, plant, inputs, load, until_min);
    let hottest = |outcomes: Vec<Outcome<()>>| outcomes.into_iter().map(|found| found.hot_spot_c);
    let iec = hottest(run((IEC, &Iec::default()), plant, &steps, drawn, only_hottest));
    let ieee = hottest(run((IEEE, &Ieee::default()), plant, &steps, drawn, only_hottest));
    // What is not a number is as bad as the worst.
    let known = |hot_spot_c: f64| if hot_spot_c.is_nan() { f64::INFINITY } else { hot_spot_c };
    iec.zip(ieee).map(|(iec, ieee)| known(iec).max(known(ieee))).collect()
}

fn only_hottest(_draws: &[usize; WIDTH]) -> OnlyHottest {
    OnlyHottest
}

/// The temperatures that a draw must not reach.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stops {
    /// What has to be left to the inception temperature, K.
    pub(super) required_k: f64,
    /// Ceiling of the hot spot, °C; infinite without one.
    pub(super) hot_spot_c: f64,
    /// Ceiling of the top oil, °C; infinite without one.
    pub(super) top_oil_c: f64,
}

/// When each draw reaches the first of its stops if the last load goes on, min; infinite where it
/// does not within `until_min`.
pub(super) fn times(
    case: &Case,
    plant: &Plant<'_>,
    inputs: &Inputs,
    drawn: &Drawn,
    stops: Stops,
    until_min: f64,
) -> Vec<f64> {
    let loading = &case.request.loading;
    let load = loading.load.held_after(loading.end_min);
    // The error of the last load goes on with it.
    let mut held = case.clone();
    held.request.load_error = case.request.load_error.held_after(loading.end_min);
    let steps = steps(&held, plant, inputs, &load, until_min);
    let crossing = |draws: &[usize; WIDTH]| Crossing {
        hot_spot_c: Lanes(
            draws.map(|draw| (drawn.inception_c[draw] - stops.required_k).min(stops.hot_spot_c)),
        ),
        top_oil_c: Lanes([stops.top_oil_c; WIDTH]),
        at_min: Lanes([f64::INFINITY; WIDTH]),
    };
    let iec = watched((IEC, &Iec::default()), plant, &steps, drawn, crossing);
    let ieee = watched((IEEE, &Ieee::default()), plant, &steps, drawn, crossing);
    iec.into_iter().zip(ieee).map(|(iec, ieee)| iec.min(ieee)).collect()
}

pub(super) fn steps(
    case: &Case,
    plant: &Plant<'_>,
    inputs: &Inputs,
    load: &LoadSteps,
    until_min: f64,
) -> Steps {
    let (request, cooling) = (&case.request, &plant.cooling);
    let samples = sample_minutes(request.resolution, request.loading.end_min, until_min);
    let rows = request.load_error.row_minutes().chain(request.ambient_error.row_minutes());
    let samples: Vec<f64> = samples.into_iter().chain(cooling.lost_at_min).chain(rows).collect();
    let minutes = breakpoints(0.0, until_min, load, &request.ambient, &samples);
    let plan = Plan { cooling, load, ambient: &request.ambient, breakpoints: &minutes };
    with_doubt(case, inputs, |doubt| Steps::of(&plan, doubt))
}

fn run<F: Form, W: Watch<WIDTH>>(
    (place, form): (usize, &F),
    plant: &Plant<'_>,
    steps: &Steps,
    drawn: &Drawn,
    watch: impl Fn(&[usize; WIDTH]) -> W + Sync,
) -> Vec<Outcome<()>> {
    let ensemble = Ensemble::new(form, steps, &plant.cooling, drawn.common);
    ensemble.run(drawn.count(), |draw| drawn.member(place, draw), watch, |_, _| ())
}

fn watched<F: Form>(
    (place, form): (usize, &F),
    plant: &Plant<'_>,
    steps: &Steps,
    drawn: &Drawn,
    crossing: impl Fn(&[usize; WIDTH]) -> Crossing + Sync,
) -> Vec<f64> {
    let ensemble = Ensemble::new(form, steps, &plant.cooling, drawn.common);
    let seen = |crossing: &Crossing, lane: usize| crossing.at_min.0[lane];
    let member = |draw| drawn.member(place, draw);
    ensemble
        .run(drawn.count(), member, crossing, seen)
        .into_iter()
        .map(|found| found.seen)
        .collect()
}

/// Notes when each lane first reaches its stops, in straight lines between breakpoints.
struct Crossing {
    /// Infinite once reached.
    hot_spot_c: Lanes<WIDTH>,
    top_oil_c: Lanes<WIDTH>,
    at_min: Lanes<WIDTH>,
}

impl Watch<WIDTH> for Crossing {
    const PEAKS: bool = false;

    #[allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]
    #[inline(always)]
    fn wants(&self, hot_spot_c: &Lanes<WIDTH>, top_oil_c: &Lanes<WIDTH>) -> bool {
        // Without branches, several lanes at once.
        let passes = (0..WIDTH).fold(0, |any, i| {
            any | u64::from(hot_spot_c.0[i] >= self.hot_spot_c.0[i])
                | u64::from(top_oil_c.0[i] >= self.top_oil_c.0[i])
        });
        passes != 0
    }

    fn see(&mut self, moment: &Moment<'_, WIDTH>) {
        if self.wants(moment.hot_spot_c, moment.top_oil_c) {
            (0..WIDTH).for_each(|i| self.note(i, moment));
        }
    }
}

impl Crossing {
    fn note(&mut self, i: usize, moment: &Moment<'_, WIDTH>) {
        if self.at_min.0[i] < f64::INFINITY {
            return;
        }
        let minute = moment.minute();
        let crosses = |now: &Lanes<WIDTH>, stop_c: f64, before: Option<&Lanes<WIDTH>>| {
            let now_c = now.0[i];
            if !(now_c >= stop_c) {
                return f64::INFINITY;
            }
            let Some(before_c) = before.map(|before| before.0[i]) else {
                return minute;
            };
            let (from_min, share) =
                (moment.minute_before(), (stop_c - before_c) / (now_c - before_c));
            // A stop below the start, at −∞ even, is reached at once.
            if share > 0.0 { from_min + (minute - from_min) * share } else { from_min }
        };
        let [hot_before, oil_before] =
            moment.before.map_or([None; 2], |[hot, oil]| [Some(hot), Some(oil)]);
        let hot_min = crosses(moment.hot_spot_c, self.hot_spot_c.0[i], hot_before);
        let oil_min = crosses(moment.top_oil_c, self.top_oil_c.0[i], oil_before);
        let at_min = hot_min.min(oil_min);
        if at_min < f64::INFINITY {
            self.at_min.0[i] = at_min;
            (self.hot_spot_c.0[i], self.top_oil_c.0[i]) = (f64::INFINITY, f64::INFINITY);
        }
    }
}
