//! One unit through the forecast: the case of every hour at which it may begin to carry more.

use super::parts::HOUR_MIN;
use super::plan::{Carried, Plan};
use crate::assessment::case::Case;
use crate::assessment::planned::warm_start::{Preloads, preloads};
use crate::assessment::planned::{Judged, Planned, Start};
use crate::loading::forecast_error::ForecastError;
use crate::loading::load::Loading;

/// The greatest load that may follow, pu: what is above the rating belongs to the overload.
const MOST_AFTER_PU: f64 = 1.0;

/// The ambient is looked at so long after the end, min: eight of the longest time constants of any usual
/// unit; later it is taken to stay.
const AFTERWARDS_MIN: f64 = 4.0 * 1440.0;

/// The preload where none is hot enough, pu: the highest ceiling of any loading guide.
const HOTTEST_PU: f64 = 2.0;

/// What becomes of the load that is planned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Load {
    /// It is carried as planned.
    Planned,
    /// What is above this is carried elsewhere, pu.
    AtMost(f64),
    /// All of it times this.
    Times(f64),
}

/// One unit that carries a load for a time, from any of some starts.
#[derive(Debug, Clone)]
pub struct Stretch<'a> {
    plan: &'a Plan,
    /// What it carries from the start on.
    pub load: &'a Carried,
    /// What it carries after the end, if that is less.
    after: &'a Carried,
    /// How long, min.
    pub duration_min: f64,
    /// Minutes of the plan at which it may start.
    pub starts_min: Vec<f64>,
    /// The preloads of each start.
    preloads: Vec<Option<Preloads>>,
}

impl<'a> Stretch<'a> {
    /// A unit that carries `before`, then `load` for a time, then `after`. Unit and cooling are those of
    /// `template`.
    pub fn of(
        (plan, template): (&'a Plan, &Case),
        (before, load, after): (&Carried, &'a Carried, &'a Carried),
        starts_min: Vec<f64>,
        duration_min: f64,
    ) -> Self {
        let preloads = preloads(template, &before.load, &plan.ambient, &starts_min);
        Self { plan, load, after, duration_min, starts_min, preloads }
    }

    /// The start at a place.
    pub fn start(&self, place: usize, load: Load) -> Start {
        self.start_of((place, self.starts_min[place]), self.duration_min, load)
    }

    fn start_of(&self, (place, from_min): (usize, f64), duration_min: f64, load: Load) -> Start {
        let plan = self.plan;
        let until_min = from_min + duration_min;
        let planned = self.load.load.part(from_min, until_min);
        let load = match load {
            Load::Planned => planned,
            Load::AtMost(pu) => planned.capped(pu),
            Load::Times(factor) => planned.scaled_before(f64::INFINITY, factor),
        };
        let last_pu = load.at(duration_min);
        let follows_pu = self.after.load.at(until_min).min(last_pu).min(MOST_AFTER_PU);
        let own = &plan.units[self.load.unit].unit.spread;
        let error = self.load.error.clone();
        let load_error = error.map(|error| error.at_voltage_of(&own.load_percent));
        let far = |error: &ForecastError| error.far_ahead(from_min, until_min + AFTERWARDS_MIN);
        Start {
            preload_pu: self.preload_pu(place),
            preload_from_pu: self.preload_from_pu(place),
            loading: Loading {
                load: load.followed_by(duration_min, follows_pu),
                end_min: duration_min,
            },
            ambient: plan.ambient.part(from_min, until_min + AFTERWARDS_MIN),
            forecast_until_min: Some(plan.ambient_until_min - from_min),
            load_error: far(load_error.as_ref().unwrap_or(&own.load_percent)),
            ambient_error: far(plan.ambient_error.as_ref().unwrap_or(&own.ambient_k)),
        }
    }

    /// The preload of the start at a place, pu.
    pub fn preload_pu(&self, place: usize) -> f64 {
        self.preloads[place].map_or(HOTTEST_PU, |preloads| preloads.preload_pu)
    }

    /// The least load that the unit may have carried before that start, pu.
    pub fn preload_from_pu(&self, place: usize) -> f64 {
        self.preloads[place].map_or(0.0, |preloads| preloads.from_pu)
    }

    /// The greatest load from the start at a place, pu.
    pub fn greatest_pu(&self, place: usize) -> f64 {
        let from_min = self.starts_min[place];
        self.load.load.greatest_between(from_min, from_min + self.duration_min)
    }

    /// Judges every start.
    pub fn judged(&self, planned: &Planned<'_>) -> Vec<Judged> {
        let Some(whole) = self.whole() else { return Vec::new() };
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most a month of hours"
        )]
        let hours = (self.duration_min / HOUR_MIN).ceil() as usize;
        let start = |place| self.start(place, Load::Planned);
        planned.judged((self.starts_min.len(), hours), start, whole)
    }

    /// The load carried from the first start to the end of the last one, without a break.
    fn whole(&self) -> Option<Start> {
        let (first_min, last_min) = (self.starts_min.first()?, self.starts_min.last()?);
        let hours = ((last_min - first_min + self.duration_min) / HOUR_MIN).ceil();
        Some(self.start_of((0, *first_min), hours * HOUR_MIN, Load::Planned))
    }
}
