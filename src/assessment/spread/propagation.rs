//! Draws through the load: the margin, the hottest hot spot and the time to the first limit of each.

use super::drawn::{Drawn, IEC, IEEE, with_doubt};
use super::inputs::Inputs;
use crate::assessment::case::Case;
use crate::assessment::course::sample_minutes;
use crate::assessment::plant::Plant;
use crate::thermal::Form;
use crate::thermal::ensemble::{Ensemble, Lanes, Moment, Outcome, Steps, Unwatched, WIDTH, Watch};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::schedule::{LoadSteps, breakpoints};
use crate::thermal::trajectory::Plan;

/// What came of the draws.
#[derive(Debug, Clone)]
pub(super) struct Spreads {
    /// Inception temperature less hottest hot spot, K; −∞ beyond the range of the correlations.
    pub(super) margin_k: Vec<f64>,
    /// Hottest hot spot of the hotter form, °C; infinite where it could not be computed.
    pub(super) hot_spot_c: Vec<f64>,
}

/// Takes every draw through a load.
pub(super) fn margins(
    case: &Case,
    plant: &Plant<'_>,
    inputs: &Inputs,
    drawn: &Drawn,
    load: &LoadSteps,
) -> Spreads {
    let steps = steps(case, plant, inputs, load, plant.until_min(case));
    let hottest = |outcomes: Vec<Outcome<()>>| outcomes.into_iter().map(|found| found.hot_spot_c);
    let iec = hottest(run((IEC, &Iec::default()), plant, &steps, drawn, unwatched));
    let ieee = hottest(run((IEEE, &Ieee::default()), plant, &steps, drawn, unwatched));
    // What is not a number is as bad as the worst.
    let known = |hot_spot_c: f64| if hot_spot_c.is_nan() { f64::INFINITY } else { hot_spot_c };
    let hotter = |(iec, ieee): (f64, f64)| known(iec).max(known(ieee));
    let hot_spot_c: Vec<f64> = iec.zip(ieee).map(hotter).collect();
    let margin_k = drawn.inception_c.iter().zip(&hot_spot_c);
    Spreads {
        margin_k: margin_k.map(|(inception_c, hot_c)| inception_c - hot_c).collect(),
        hot_spot_c,
    }
}

fn unwatched(_draws: &[usize; WIDTH]) -> Unwatched {
    Unwatched
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
    let steps = steps(case, plant, inputs, &load, until_min);
    let crossing = |draws: &[usize; WIDTH]| Crossing {
        hot_spot_c: Lanes(
            draws.map(|draw| (drawn.inception_c[draw] - stops.required_k).min(stops.hot_spot_c)),
        ),
        top_oil_c: Lanes([stops.top_oil_c; WIDTH]),
        at_min: Lanes([f64::INFINITY; WIDTH]),
        before: None,
    };
    let iec = watched((IEC, &Iec::default()), plant, &steps, drawn, crossing);
    let ieee = watched((IEEE, &Ieee::default()), plant, &steps, drawn, crossing);
    iec.into_iter().zip(ieee).map(|(iec, ieee)| iec.min(ieee)).collect()
}

fn steps(
    case: &Case,
    plant: &Plant<'_>,
    inputs: &Inputs,
    load: &LoadSteps,
    until_min: f64,
) -> Steps {
    let (request, cooling) = (&case.request, &plant.cooling);
    let samples = sample_minutes(request.loading.end_min, until_min);
    let samples: Vec<f64> = samples.into_iter().chain(cooling.lost_at_min).collect();
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
    hot_spot_c: Lanes<WIDTH>,
    top_oil_c: Lanes<WIDTH>,
    at_min: Lanes<WIDTH>,
    /// Minute, hot spot and top oil at the breakpoint before.
    before: Option<(f64, Lanes<WIDTH>, Lanes<WIDTH>)>,
}

impl Watch<WIDTH> for Crossing {
    const PEAKS: bool = false;

    fn see(&mut self, moment: &Moment<'_, WIDTH>) {
        let (hot, oil) = (moment.hot_spot_c, moment.top_oil_c);
        // Without branches, several lanes at once.
        let passes = (0..WIDTH).fold(0, |any, i| {
            any | u8::from(hot.0[i] >= self.hot_spot_c.0[i])
                | u8::from(oil.0[i] >= self.top_oil_c.0[i])
        });
        let minute = moment.minute();
        if passes != 0 {
            for i in 0..WIDTH {
                self.note(i, minute, hot.0[i], oil.0[i]);
            }
        }
        self.before = Some((minute, *hot, *oil));
    }
}

impl Crossing {
    fn note(&mut self, i: usize, minute: f64, hot_c: f64, oil_c: f64) {
        if self.at_min.0[i] < f64::INFINITY {
            return;
        }
        let crosses = |now_c: f64, stop_c: f64, before_c: Option<(f64, f64)>| {
            if !(now_c >= stop_c) {
                return f64::INFINITY;
            }
            // A stop below the start, at −∞ even, is reached at once.
            let share =
                before_c.map(|(from_min, from_c)| (from_min, (stop_c - from_c) / (now_c - from_c)));
            match share {
                Some((from_min, share)) if share > 0.0 => from_min + (minute - from_min) * share,
                Some((from_min, _)) => from_min,
                None => minute,
            }
        };
        let before = |of: fn(&(f64, Lanes<WIDTH>, Lanes<WIDTH>)) -> &Lanes<WIDTH>| {
            self.before.as_ref().map(|before| (before.0, of(before).0[i]))
        };
        let hot_min = crosses(hot_c, self.hot_spot_c.0[i], before(|before| &before.1));
        let oil_min = crosses(oil_c, self.top_oil_c.0[i], before(|before| &before.2));
        self.at_min.0[i] = hot_min.min(oil_min);
    }
}
