//! What is asked of a rating, and the case of `check` behind each cell.

use crate::assessment::case::{Case, StartFrom};
use crate::loading::load::Loading;
use crate::rules::limits::LimitSet;
use crate::thermal::schedule::{AmbientLine, LoadSteps};

/// A continuous load is judged as one carried so long, min, from the state that it leads to itself: a day
/// says all there is, but for the sum of paper life.
pub const CONTINUOUS_MIN: f64 = 1440.0;

/// The greatest load that may follow an overload, pu.
const MOST_AFTER_PU: f64 = 1.0;

/// What is asked.
#[derive(Debug, Clone)]
pub struct Question {
    /// Unit, rules, cooling and uncertainties; its load, start, ambient and limits do not matter.
    pub template: Case,
    /// Durations, min, the shortest first; `None` is continuous and stands last.
    pub durations_min: Vec<Option<f64>>,
    /// Surroundings, the coldest first or in the order of time.
    pub ambients: Vec<Ambient>,
    /// Preloads, pu, the lowest first.
    pub preloads_pu: Vec<f64>,
    /// Limit sets.
    pub sets: Vec<LimitSet>,
}

/// Surroundings of one column.
#[derive(Debug, Clone, PartialEq)]
pub struct Ambient {
    /// Ambient from the start on.
    pub line: AmbientLine,
    /// Minute of the forecast at which it starts; `None` for a constant one.
    pub from_min: Option<f64>,
    /// Last minute of the forecast, from the start; `None` for a constant one.
    pub forecast_until_min: Option<f64>,
}

impl Ambient {
    /// An ambient that never changes, °C.
    pub fn constant(ambient_c: f64) -> Self {
        Self { line: AmbientLine::constant(ambient_c), from_min: None, forecast_until_min: None }
    }
}

impl Question {
    /// The case of a preload and an ambient under a limit set: 1 pu for a duration, and back to the
    /// preload. Cases of one preload and ambient differ in duration and limits alone.
    pub(super) fn case(
        &self,
        preload_pu: f64,
        ambient: &Ambient,
        (set, duration_min): (&LimitSet, f64),
    ) -> Option<Case> {
        let mut case = self.template.clone();
        let after_pu = preload_pu.min(MOST_AFTER_PU);
        case.request.loading = Loading {
            load: LoadSteps::new(vec![(0.0, 1.0), (duration_min, after_pu)])?,
            end_min: duration_min,
        };
        case.request.start = StartFrom::Preload(preload_pu);
        case.request.ambient = ambient.line.clone();
        case.request.forecast_until_min = ambient.forecast_until_min;
        case.limits = set.clone();
        Some(case)
    }

    /// Limit sets with the durations that they are for.
    pub(super) fn asked(&self) -> impl Iterator<Item = (&LimitSet, Option<f64>)> {
        let of = |set: &LimitSet, duration: Option<f64>| {
            set.shorter_than_min.is_none_or(|most| duration.is_some_and(|min| min < most))
        };
        self.sets.iter().flat_map(move |set| {
            let durations = self.durations_min.iter().filter(move |duration| of(set, **duration));
            durations.map(move |duration| (set, *duration))
        })
    }
}
