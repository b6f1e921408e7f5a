//! What is asked of a rating, and the case of `check` behind each cell.

use crate::assessment::case::{Case, StartFrom};
use crate::loading::forecast_error::{ForecastError, Origin};
use crate::loading::load::Loading;
use crate::rules::limits::LimitSet;
use crate::thermal::schedule::{AmbientLine, LoadSteps};

/// A duration for cases of which it does not matter, min.
pub const ANY_MIN: f64 = 1440.0;

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
    /// How wrong it may be, where the forecast says so, K.
    pub error: Option<ForecastError>,
}

impl Ambient {
    /// An ambient that never changes, °C.
    pub fn constant(ambient_c: f64) -> Self {
        Self {
            line: AmbientLine::constant(ambient_c),
            from_min: None,
            forecast_until_min: None,
            error: None,
        }
    }
}

/// A flag says more than a column.
fn ambient_error_unstated(case: &Case) -> bool {
    case.request.ambient_error.origin() != Origin::Flag
}

impl Question {
    /// Whether the ambients follow each other in time.
    pub(super) fn is_forecast(&self) -> bool {
        self.ambients.iter().any(|ambient| ambient.from_min.is_some())
    }

    /// The case of a preload and an ambient under a limit set: 1 pu for a duration, and back to the
    /// preload. Cases of one preload and ambient differ in duration and limits alone.
    pub(crate) fn case(
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
        // A rating is for up to its preload.
        case.request.preload_from_pu = 0.0;
        case.request.ambient = ambient.line.clone();
        case.request.forecast_until_min = ambient.forecast_until_min;
        if let Some(error) = ambient.error.as_ref().filter(|_| ambient_error_unstated(&case)) {
            case.request.ambient_error = error.clone();
        }
        case.limits = set.clone();
        Some(case)
    }

    /// Any case of the question, where load, preload and limits do not matter.
    pub(crate) fn any_case(&self) -> Case {
        let preload_pu = self.preloads_pu.first().copied().unwrap_or(0.0);
        let made = self
            .ambients
            .first()
            .zip(self.sets.first())
            .and_then(|(ambient, set)| self.case(preload_pu, ambient, (set, ANY_MIN)));
        made.unwrap_or_else(|| self.template.clone())
    }

    /// The case for which relays are looked at.
    pub(super) fn case_for_relays(&self, preload_pu: f64, ambient: &Ambient) -> Option<Case> {
        self.case(preload_pu, ambient, (self.sets.first()?, ANY_MIN))
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
