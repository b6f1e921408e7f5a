//! Draws through the load: the margin, the hottest hot spot and the time to the first limit of each.

use super::drawn::{Drawn, IEC, IEEE, with_doubt};
use super::inputs::Inputs;
use super::lift::Lift;
use crate::assessment::case::Case;
use crate::assessment::course::{Course, sample_minutes};
use crate::assessment::plant::Plant;
use crate::assessment::possible::WhichStart;
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
    (load, lift): (&LoadSteps, &Lift),
) -> Vec<f64> {
    let hot_c = hottest(case, plant, inputs, drawn, (load, lift), plant.until_min(case));
    drawn.inception_c.iter().zip(hot_c).map(|(inception_c, hot_c)| inception_c - hot_c).collect()
}

/// The hottest hot spot of each draw up to a minute, of the hottest model, °C; infinite where it could not be
/// computed.
pub(super) fn hottest(
    case: &Case,
    plant: &Plant<'_>,
    inputs: &Inputs,
    drawn: &Drawn,
    (load, lift): (&LoadSteps, &Lift),
    until_min: f64,
) -> Vec<f64> {
    let lags_c = by_lags(case, plant, inputs, drawn, load, until_min);
    let lifted = |(draw, c): (usize, f64)| lift.hot_c(c, drawn.model_k(draw));
    lags_c.into_iter().enumerate().map(lifted).collect()
}

/// The same of the hotter lag form.
pub(super) fn by_lags(
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
    (drawn, which): (&Drawn, WhichStart),
    stops: Stops,
    until_min: f64,
) -> Vec<f64> {
    let loading = &case.request.loading;
    let load = loading.load.held_after(loading.end_min);
    // The error of the last load goes on with it.
    let mut held = case.clone();
    held.request.load_error = case.request.load_error.held_after(loading.end_min);
    let steps = steps(&held, plant, inputs, &load, until_min);
    let excess = Excess::of((case, plant), which, &load, steps.minutes());
    let crossing = |draws: &[usize; WIDTH]| Crossing {
        hot_spot_c: Lanes(draws.map(|draw| {
            let stop_c = (drawn.inception_c[draw] - stops.required_k).min(stops.hot_spot_c);
            stop_c - drawn.model_k(draw)
        })),
        top_oil_c: Lanes([stops.top_oil_c; WIDTH]),
        at_min: Lanes([f64::INFINITY; WIDTH]),
        excess: &excess,
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

fn watched<'e, F: Form>(
    (place, form): (usize, &F),
    plant: &Plant<'_>,
    steps: &Steps,
    drawn: &Drawn,
    crossing: impl Fn(&[usize; WIDTH]) -> Crossing<'e> + Sync,
) -> Vec<f64> {
    let ensemble = Ensemble::new(form, steps, &plant.cooling, drawn.common);
    let seen = |crossing: &Crossing<'_>, lane: usize| crossing.at_min.0[lane];
    let member = |draw| drawn.member(place, draw);
    ensemble
        .run(drawn.count(), member, crossing, seen)
        .into_iter()
        .map(|found| found.seen)
        .collect()
}

/// How far the detailed model lies above both lag forms at each minute without draws, K: hot spot and top oil.
#[derive(Debug)]
pub(super) struct Excess {
    pub(super) at_k: Vec<[f64; 2]>,
    most_k: [f64; 2],
}

impl Excess {
    /// Of a load from one of the starts.
    pub(super) fn of(
        (case, plant): (&Case, &Plant<'_>),
        which: WhichStart,
        load: &LoadSteps,
        minutes: &[f64],
    ) -> Self {
        let (cooling, ambient) = (&plant.cooling, &case.request.ambient);
        let plan = Plan { cooling, load, ambient, breakpoints: minutes };
        let course = Course::through(plant.starts_of(which), &plan);
        let at_k: Vec<[f64; 2]> =
            course.samples().map(|models| [models.excess_k(), models.oil_excess_k()]).collect();
        let most = |of: usize| at_k.iter().map(|k| k[of]).fold(0.0, f64::max);
        let most_k = [most(0), most(1)];
        Self { at_k, most_k }
    }
}

/// Notes when each lane first reaches its stops, in straight lines between breakpoints.
struct Crossing<'e> {
    /// Infinite once reached.
    hot_spot_c: Lanes<WIDTH>,
    top_oil_c: Lanes<WIDTH>,
    at_min: Lanes<WIDTH>,
    excess: &'e Excess,
}

impl Watch<WIDTH> for Crossing<'_> {
    const PEAKS: bool = false;

    #[allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]
    #[inline(always)]
    fn wants(&self, hot_spot_c: &Lanes<WIDTH>, top_oil_c: &Lanes<WIDTH>) -> bool {
        // Without branches, several lanes at once.
        let passes = (0..WIDTH).fold(0, |any, i| {
            any | u64::from(hot_spot_c.0[i] + self.excess.most_k[0] >= self.hot_spot_c.0[i])
                | u64::from(top_oil_c.0[i] + self.excess.most_k[1] >= self.top_oil_c.0[i])
        });
        passes != 0
    }

    fn see(&mut self, moment: &Moment<'_, WIDTH>) {
        if self.wants(moment.hot_spot_c, moment.top_oil_c) {
            (0..WIDTH).for_each(|i| self.note(i, moment));
        }
    }
}

impl Crossing<'_> {
    fn note(&mut self, i: usize, moment: &Moment<'_, WIDTH>) {
        if self.at_min.0[i] < f64::INFINITY {
            return;
        }
        let minute = moment.minute();
        let [now_k, before_k] = [moment.index, moment.index.saturating_sub(1)]
            .map(|at| self.excess.at_k.get(at).copied().unwrap_or([f64::INFINITY; 2]));
        let crosses =
            |of: usize, now: &Lanes<WIDTH>, stop_c: f64, before: Option<&Lanes<WIDTH>>| {
                let now_c = now.0[i] + now_k[of];
                if !(now_c >= stop_c) {
                    return f64::INFINITY;
                }
                let Some(before_c) = before.map(|before| before.0[i] + before_k[of]) else {
                    return minute;
                };
                let (from_min, share) =
                    (moment.minute_before(), (stop_c - before_c) / (now_c - before_c));
                // A stop below the start, at −∞ even, is reached at once.
                if share > 0.0 { from_min + (minute - from_min) * share } else { from_min }
            };
        let [hot_before, oil_before] =
            moment.before.map_or([None; 2], |[hot, oil]| [Some(hot), Some(oil)]);
        let hot_min = crosses(0, moment.hot_spot_c, self.hot_spot_c.0[i], hot_before);
        let oil_min = crosses(1, moment.top_oil_c, self.top_oil_c.0[i], oil_before);
        let at_min = hot_min.min(oil_min);
        if at_min < f64::INFINITY {
            self.at_min.0[i] = at_min;
            (self.hot_spot_c.0[i], self.top_oil_c.0[i]) = (f64::INFINITY, f64::INFINITY);
        }
    }
}
