//! Draws through the load: the margin and the hottest hot spot of each.

use super::drawn::{Drawn, IEC, IEEE, LAGGED, with_doubt};
use super::inputs::Inputs;
use super::lift::Lift;
use crate::assessment::case::Case;
use crate::assessment::course::sample_minutes;
use crate::assessment::plant::Plant;
use crate::thermal::Form;
use crate::thermal::ensemble::{Ensemble, OnlyHottest, Outcome, Steps, WIDTH, Watch};
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
    let steps = steps(case, plant, inputs, load, until_min);
    let lags_c = by_each_lag(plant, &steps, drawn, lift.ambients()).hottest_c();
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
    by_each_lag(plant, &steps, drawn, Ambients::Both).hottest_c()
}

/// With which ambient the IEEE form is followed, where it is made ready with both.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ambients {
    /// With both.
    Both,
    /// At once.
    AtOnce,
    /// Through the oil's lag.
    Lagged,
}

/// With the other ambient every one of some draws is cooler by more than this, K: so it is in all others, for what the two differ
/// by hangs on the ambient alone. Our choice.
const COOLER_BY_K: f64 = 0.2;

/// The hottest hot spots of draws, form by form, °C; infinite where one could not be computed, empty where a form was left out.
pub(super) struct ByEachLag {
    iec: Vec<f64>,
    at_once: Vec<f64>,
    lagged: Vec<f64>,
}

impl ByEachLag {
    /// Of the hottest form.
    pub(super) fn hottest_c(&self) -> Vec<f64> {
        let or_hotter =
            |draw: usize, c: f64, other: &[f64]| other.get(draw).map_or(c, |o| o.max(c));
        let of = |(draw, c): (usize, &f64)| {
            or_hotter(draw, or_hotter(draw, *c, &self.at_once), &self.lagged)
        };
        self.iec.iter().enumerate().map(of).collect()
    }

    /// With which ambient the others need to be followed.
    pub(super) fn ambients(&self) -> Ambients {
        let both = || self.at_once.iter().zip(&self.lagged);
        if both().next().is_none() {
            return Ambients::Both;
        }
        if both().all(|(at_once, lagged)| lagged - at_once > COOLER_BY_K) {
            return Ambients::Lagged;
        }
        let at_once = both().all(|(at_once, lagged)| at_once - lagged > COOLER_BY_K);
        if at_once { Ambients::AtOnce } else { Ambients::Both }
    }
}

/// Takes draws through the lag forms.
pub(super) fn by_each_lag(
    plant: &Plant<'_>,
    steps: &Steps,
    drawn: &Drawn,
    ambients: Ambients,
) -> ByEachLag {
    let hottest_c = |outcomes: Vec<Outcome<()>>| -> Vec<f64> {
        // What is not a number is as bad as the worst.
        let known = |c: f64| if c.is_nan() { f64::INFINITY } else { c };
        outcomes.into_iter().map(|found| known(found.hot_spot_c)).collect()
    };
    let iec = || hottest_c(run((IEC, &Iec::default()), plant, steps, drawn, only_hottest));
    let ieee = |(place, form, wanted): (usize, Ieee, bool)| {
        if wanted {
            hottest_c(run((place, &form), plant, steps, drawn, only_hottest))
        } else {
            Vec::new()
        }
    };
    let at_once = (IEEE, Ieee::default(), !drawn.lagged() || ambients != Ambients::Lagged);
    let lagged = (LAGGED, Ieee::LAGGED, drawn.lagged() && ambients != Ambients::AtOnce);
    let (iec, (at_once, lagged)) =
        rayon::join(iec, || rayon::join(|| ieee(at_once), || ieee(lagged)));
    ByEachLag { iec, at_once, lagged }
}

fn only_hottest(_draws: &[usize; WIDTH]) -> OnlyHottest {
    OnlyHottest
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
