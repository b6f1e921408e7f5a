//! Few draws through all models, breakpoint by breakpoint: when limits are reached, and what a picture shows.

use super::LOW;
use super::answer::Band;
use super::drawn::{Drawn, IEC, IEEE, LAGGED};
use super::inputs::Inputs;
use super::lift::{Few, Imposed, MISSED_K};
use super::pairs::Inceptions;
use super::propagation::steps;
use crate::assessment::case::Case;
use crate::assessment::plant::Plant;
use crate::thermal::Form;
use crate::thermal::ensemble::{Ensemble, Lanes, Moment, Steps, WIDTH, Watch};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::schedule::LoadSteps;
use crate::uncertainty::batch::in_chunks;

/// Two minutes this close are one.
const SAME_MIN: f64 = 1.0e-9;

/// Halvings of the way between two breakpoints: to far below a second.
const HALVINGS: usize = 24;

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

/// Hot spot and top oil of the hottest model, °C.
#[derive(Debug, Clone, Copy)]
pub(super) struct Temperatures {
    pub(super) hot_spot_c: f64,
    top_oil_c: f64,
}

impl Temperatures {
    /// What is not a number is as bad as the worst.
    const UNKNOWN: Self = Self { hot_spot_c: f64::INFINITY, top_oil_c: f64::INFINITY };

    fn or_hotter(self, other: Self) -> Self {
        let hotter = |one: f64, other: f64| {
            if (one + other).is_nan() { f64::INFINITY } else { one.max(other) }
        };
        Self {
            hot_spot_c: hotter(self.hot_spot_c, other.hot_spot_c),
            top_oil_c: hotter(self.top_oil_c, other.top_oil_c),
        }
    }

    fn between(self, later: Self, share: f64) -> Self {
        let at = |from: f64, to: f64| if from < to { from + share * (to - from) } else { to };
        Self {
            hot_spot_c: at(self.hot_spot_c, later.hot_spot_c),
            top_oil_c: at(self.top_oil_c, later.top_oil_c),
        }
    }
}

/// What few draws from one start make of a load.
#[derive(Debug)]
pub(super) struct Courses {
    pub(super) minutes: Vec<f64>,
    /// Of each draw at each of the minutes.
    pub(super) each: Vec<Vec<Temperatures>>,
}

impl Few {
    /// Takes them through a load.
    pub(super) fn courses(
        &self,
        (case, plant): (&Case, &Plant<'_>),
        inputs: &Inputs,
        (load, until_min): (&LoadSteps, f64),
    ) -> Courses {
        let steps = steps(case, plant, inputs, load, until_min);
        let minutes = steps.minutes();
        let iec = by_lag((IEC, &Iec::default()), plant, &steps, self.lags());
        let ieee = by_lag((IEEE, &Ieee::default()), plant, &steps, self.lags());
        let lagged = self.lags().lagged();
        let lagged = lagged.then(|| by_lag((LAGGED, &Ieee::LAGGED), plant, &steps, self.lags()));
        let all = minutes.iter().copied();
        let imposed = Imposed::of((case, plant), inputs, (load, until_min), all);
        let of_draw = |draw: usize| {
            let lags = iec[draw].iter().zip(&ieee[draw]).map(|(iec, ieee)| iec.or_hotter(*ieee));
            let detailed = self.by_detailed(draw, &imposed, minutes);
            let model_k = self.lags().model_k(draw);
            let hottest = lags.zip(detailed).enumerate().map(|(at, (lags, detailed))| {
                let both = lags.or_hotter(detailed);
                let lagged = lagged.as_ref().map(|lagged| lagged[draw][at]);
                let both = lagged.map_or(both, |lagged| both.or_hotter(lagged));
                Temperatures { hot_spot_c: both.hot_spot_c + model_k, ..both }
            });
            hottest.collect()
        };
        let each =
            in_chunks(self.lags().count(), 1, |draws| draws.map(of_draw).collect::<Vec<_>>());
        Courses { minutes: minutes.to_vec(), each }
    }

    /// One of them at some of the minutes that are imposed.
    fn by_detailed<'a>(
        &self,
        draw: usize,
        imposed: &Imposed<'_>,
        minutes: &'a [f64],
    ) -> impl Iterator<Item = Temperatures> + use<'a> {
        let mut samples = imposed.samples(self.detailed(draw)).unwrap_or_default().into_iter();
        minutes.iter().map(move |minute| {
            let sample = samples.find(|sample| sample.minute > minute - SAME_MIN);
            sample.map_or(Temperatures::UNKNOWN, |sample| Temperatures {
                hot_spot_c: sample.hot_spot_c,
                top_oil_c: sample.top_oil_c,
            })
        })
    }
}

impl Courses {
    /// The hottest hot spot of each draw at one of the minutes, °C.
    pub(super) fn hot_spots_c(&self, at: usize) -> Vec<f64> {
        let of =
            |course: &Vec<Temperatures>| course.get(at).map_or(f64::INFINITY, |t| t.hot_spot_c);
        self.each.iter().map(of).collect()
    }

    /// How hot each draw was at the most up to each minute, here or from another start; with what few draws miss on top.
    pub(super) fn highest(mut self, other: Option<&Self>) -> Highest {
        for (draw, course) in self.each.iter_mut().enumerate() {
            let beside = other.and_then(|other| other.each.get(draw));
            let mut most: Option<Temperatures> = None;
            for (at, now) in course.iter_mut().enumerate() {
                let here = beside.map_or(*now, |beside| {
                    now.or_hotter(beside.get(at).copied().unwrap_or(Temperatures::UNKNOWN))
                });
                *now = most.map_or(here, |most| most.or_hotter(here));
                most = Some(*now);
            }
        }
        let ends_c = || self.each.iter().filter_map(|course| course.last()).map(|t| t.hot_spot_c);
        let (most_c, least_c) =
            (ends_c().fold(f64::MIN, f64::max), ends_c().fold(f64::MAX, f64::min));
        let missed_k = MISSED_K.min(most_c - least_c).max(0.0);
        let hotter = |now: &mut Temperatures| now.hot_spot_c += missed_k;
        self.each.iter_mut().flatten().for_each(hotter);
        Highest { minutes: self.minutes, each: self.each }
    }
}

/// How hot few draws have been at the most, minute by minute.
#[derive(Debug)]
pub(super) struct Highest {
    minutes: Vec<f64>,
    each: Vec<Vec<Temperatures>>,
}

impl Highest {
    /// By when so many of the draws, each held against every inception temperature, have reached a stop, min; no later than
    /// `certain_min`, at which all have. `None`: not within the horizon.
    ///
    /// ```text
    /// P(reached by t) = mean over hot spots h(t) of [h or its oil at a ceiling] or P(inception < h + required)
    /// ```
    /// # Source       `project-choice`, as of the margin: no input of the one is one of the other.
    /// # Valid        Straight lines between breakpoints.
    /// # Departures   Few draws in place of every one; more than six hours after the overload, where breakpoints are half an
    /// hour apart, a rise is about 0.1 K above its chord, and what fans do in between is missed.
    /// # Checked      `tests/times/`.
    pub(super) fn reached_min(
        &self,
        (inceptions, stops): (&Inceptions, Stops),
        certain_min: f64,
    ) -> Band {
        let at = |share: f64| {
            let by_draws = self.quantile_min(share, (inceptions, stops));
            Some(by_draws.unwrap_or(f64::INFINITY).min(certain_min)).filter(|at| at.is_finite())
        };
        Band { p05: at(LOW), p50: at(0.5), p95: at(1.0 - LOW) }
    }

    fn quantile_min(&self, share: f64, held: (&Inceptions, Stops)) -> Option<f64> {
        let reached = |from: usize, to: usize, part: f64| {
            let of = |course: &Vec<Temperatures>| course[from].between(course[to], part);
            self.share(held, self.each.iter().map(of)) >= share
        };
        let places: Vec<usize> = (0..self.minutes.len()).collect();
        let after = places.partition_point(|at| !reached(*at, *at, 0.0));
        let late_min = *self.minutes.get(after)?;
        let Some(before) = after.checked_sub(1) else { return Some(late_min) };
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            *(if reached(before, after, middle) { &mut high } else { &mut low }) = middle;
        }
        let early_min = self.minutes[before];
        Some(early_min + high * (late_min - early_min))
    }

    /// Share of the draws, each held against every inception temperature, that are past a stop.
    #[allow(clippy::cast_precision_loss, reason = "some hundreds of draws")]
    fn share(
        &self,
        (inceptions, stops): (&Inceptions, Stops),
        draws: impl Iterator<Item = Temperatures>,
    ) -> f64 {
        let past = |draw: Temperatures| {
            let below = draw.hot_spot_c < stops.hot_spot_c && draw.top_oil_c < stops.top_oil_c;
            if below { inceptions.share_at_most(draw.hot_spot_c + stops.required_k) } else { 1.0 }
        };
        if self.each.is_empty() {
            // Nothing is known of them.
            return 1.0;
        }
        draws.map(past).sum::<f64>() / self.each.len() as f64
    }
}

/// Draws in one lag form at every breakpoint.
fn by_lag<F: Form>(
    (place, form): (usize, &F),
    plant: &Plant<'_>,
    steps: &Steps,
    drawn: &Drawn,
) -> Vec<Vec<Temperatures>> {
    let ensemble = Ensemble::new(form, steps, &plant.cooling, drawn.common);
    let watch = |_: &[usize; WIDTH]| Seen(Vec::with_capacity(steps.minutes().len()));
    let of_lane = |seen: &Seen, lane: usize| -> Vec<Temperatures> {
        let at = |(hot, oil): &(Lanes<WIDTH>, Lanes<WIDTH>)| Temperatures {
            hot_spot_c: hot.0[lane],
            top_oil_c: oil.0[lane],
        };
        seen.0.iter().map(at).collect()
    };
    let member = |draw| drawn.member(place, draw);
    let found = ensemble.run(drawn.count(), member, watch, of_lane);
    found.into_iter().map(|found| found.seen).collect()
}

/// Keeps hot spot and top oil at every breakpoint.
struct Seen(Vec<(Lanes<WIDTH>, Lanes<WIDTH>)>);

impl Watch<WIDTH> for Seen {
    const PEAKS: bool = false;

    fn see(&mut self, moment: &Moment<'_, WIDTH>) {
        self.0.push((*moment.hot_spot_c, *moment.top_oil_c));
    }
}
