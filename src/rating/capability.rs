//! Permissible time against load, for the coordination of relays.

use super::facility::WindingCurrent;
use super::question::{Ambient, Question};
use super::table::cells;
use super::{Cell, Winding};
use crate::rules::limits::LimitSet;
use crate::unit::facility::RatedWinding;
use serde::Serialize;

/// Durations of the curve, min, evenly spread over a logarithmic axis; continuous comes after them.
pub const DURATIONS_MIN: [f64; 15] = [
    5.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 90.0, 120.0, 180.0, 240.0, 360.0, 480.0, 720.0, 1440.0,
];

/// Permissible time against load from one preload and ambient.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Capability {
    /// The unit.
    pub unit: String,
    /// Steady load before, pu.
    pub preload_pu: f64,
    /// Ambient, °C; with a forecast that at the start.
    pub ambient_c: f64,
    /// Windings with their rated current; empty where the profile states none.
    pub windings: Vec<Winding>,
    /// A curve for each limit set that is for every duration, in the order of the question; the last of
    /// them begins with the short-time set, if there is one.
    pub curves: Vec<Curve>,
}

/// The curve of a limit set, or of a short-time one and of that which follows it.
///
/// As in `check`, a set for short overloads alone counts below its `shorter_than_min`, and the other from
/// there on. Within a set a rating never rises with the duration. Between the two there is a step, which is
/// real: another limit begins to count there.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Curve {
    /// Names of the limit sets, the short-time one first.
    pub limits: Vec<String>,
    /// Duration from which on the second set counts, min; `null` where there is one set.
    pub step_at_min: Option<f64>,
    /// The largest load for each duration, the shortest first. A load between those of two points may be
    /// carried for the shorter time.
    pub points: Vec<Point>,
}

/// The largest load for a duration.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Point {
    /// The rating, with its limit set and what governs it.
    #[serde(flatten)]
    pub cell: Cell,
    /// The same load in each winding, A; empty where there is no load or the profile states no windings.
    pub a: Vec<WindingCurrent>,
}

/// Permissible time against load from a preload and an ambient, under the limit sets of a question. The
/// question's own durations, preloads and ambients do not matter.
pub fn capability(question: &Question, preload_pu: f64, ambient: &Ambient) -> Capability {
    let durations = DURATIONS_MIN.iter().copied().map(Some).chain([None]);
    let question = Question {
        template: question.template.clone(),
        durations_min: durations.collect(),
        ambients: vec![ambient.clone()],
        preloads_pu: vec![preload_pu],
        sets: question.sets.clone(),
    };
    let cells = cells(&question);
    let windings: Vec<Winding> = question.template.unit.windings.iter().map(winding).collect();
    let points = |set: &LimitSet, from_min: f64| -> Vec<Point> {
        let of_set = cells.iter().filter(|cell| cell.limits == set.name);
        let counts = |cell: &&Cell| cell.duration_min.is_none_or(|min| min >= from_min);
        of_set.filter(counts).map(|cell| point(cell, &windings)).collect()
    };
    let curves = curves(&question.sets, &points);
    Capability {
        unit: question.template.unit.name.clone(),
        preload_pu,
        ambient_c: ambient.line.at(0.0),
        windings,
        curves,
    }
}

fn winding(own: &RatedWinding) -> Winding {
    Winding { name: own.name.clone(), kv: own.kv, rated_a: own.rated_a }
}

/// Points of a limit set from a duration on, min.
type Points<'a> = dyn Fn(&LimitSet, f64) -> Vec<Point> + 'a;

fn curves(sets: &[LimitSet], points: &Points<'_>) -> Vec<Curve> {
    let alone = |set: &LimitSet| Curve {
        limits: vec![set.name.clone()],
        step_at_min: None,
        points: points(set, 0.0),
    };
    let short = sets.iter().find(|set| set.shorter_than_min.is_some());
    let long: Vec<&LimitSet> = sets.iter().filter(|set| set.shorter_than_min.is_none()).collect();
    let Some((last, before)) = long.split_last() else {
        return short.into_iter().map(alone).collect();
    };
    let joined = |short: &LimitSet| {
        let from_min = short.shorter_than_min.unwrap_or(0.0);
        Curve {
            limits: vec![short.name.clone(), last.name.clone()],
            step_at_min: Some(from_min),
            points: points(short, 0.0).into_iter().chain(points(last, from_min)).collect(),
        }
    };
    let emergency = short.map_or_else(|| alone(last), joined);
    before.iter().map(|set| alone(set)).chain([emergency]).collect()
}

fn point(cell: &Cell, windings: &[Winding]) -> Point {
    let current = |load_pu: f64| {
        let of = |winding: &Winding| WindingCurrent {
            winding: winding.name.clone(),
            a: load_pu * winding.rated_a,
        };
        windings.iter().map(of).collect()
    };
    Point { cell: cell.clone(), a: cell.load_pu.map_or_else(Vec::new, current) }
}
