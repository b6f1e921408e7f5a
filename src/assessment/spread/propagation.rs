//! Draws through the load: the margin and the hottest hot spot of each.

use super::drawn::{Drawn, IEC, IEEE, with_doubt};
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
    let (iec, ieee) = rayon::join(
        || run((IEC, &Iec::default()), plant, &steps, drawn, only_hottest),
        || run((IEEE, &Ieee::default()), plant, &steps, drawn, only_hottest),
    );
    let (iec, ieee) = (hottest(iec), hottest(ieee));
    // What is not a number is as bad as the worst.
    let known = |hot_spot_c: f64| if hot_spot_c.is_nan() { f64::INFINITY } else { hot_spot_c };
    iec.zip(ieee).map(|(iec, ieee)| known(iec).max(known(ieee))).collect()
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
