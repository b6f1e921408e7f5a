//! The cost of water: what a unit could carry if its paper were drier, and from what moisture bubbling governs.

use super::question::Question;
use super::table::cells;
use super::{Cell, Governs, Limiting};
use crate::assessment::basis::Basis;
use rayon::iter::{IntoParallelIterator, ParallelIterator};
use serde::Serialize;

/// Moistures of the curve are this far apart, from this on, %.
const STEP_PERCENT: f64 = 0.5;

/// So many of them.
const STEPS: u32 = 10;

/// The moisture at which bubbling starts to govern is found to this, %.
const CLOSE_PERCENT: f64 = 0.05;

/// Ratings against the moisture that counts, for one start and one limit set.
///
/// Each point is the answer of a unit whose evidence is scaled so that this moisture counts: best estimate
/// and bound by the same factor. All else stays as it is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CostOfWater {
    /// The unit.
    pub unit: String,
    /// Name of the limit set.
    pub limits: String,
    /// Steady load before, pu.
    pub preload_pu: f64,
    /// Ambient, °C; with a forecast that at the start.
    pub ambient_c: f64,
    /// The moisture that counts as the unit stands, %.
    pub counting_moisture_percent: f64,
    /// Moisture to which the paper might be dried, as if it counted, %.
    pub dried_to_percent: f64,
    /// What each duration loses, the shortest first.
    pub durations: Vec<DurationCost>,
    /// Ratings at each moisture, the driest first: every half per cent, the unit's own and the dried one.
    pub curve: Vec<AtMoisture>,
}

/// What water costs for one duration.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DurationCost {
    /// Duration, min; `null`: continuous.
    pub duration_min: Option<f64>,
    /// The largest load as wet as it is, pu; `null`: none.
    pub as_wet_pu: Option<f64>,
    /// What ends it.
    pub as_wet_governs: Governs,
    /// The largest load with the paper dried, pu; `null`: none.
    pub dried_pu: Option<f64>,
    /// What ends it.
    pub dried_governs: Governs,
    /// What the water costs: the load with the paper dried less that as wet as it is, pu; a search may end
    /// 0.002 pu below the largest load, so less than that is nothing. `null` unless both are known.
    pub loss_pu: Option<f64>,
    /// From what moisture on bubbling governs.
    pub bubbling: Onset,
}

/// From what moisture on bubbling governs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Onset {
    /// Whether there is such a moisture among those of the curve.
    pub starts: Starts,
    /// The moisture, %: something else governs there, and bubbling from no more than 0.05 % above it on.
    /// `null` unless it lies within the curve.
    pub percent: Option<f64>,
    /// The rating there, pu.
    pub load_pu: Option<f64>,
}

/// Where bubbling starts to govern.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Starts {
    /// Within the curve.
    Within,
    /// It governs nowhere on the curve.
    Nowhere,
    /// It governs at the driest point already.
    Everywhere,
    /// What governs is not known over part of the curve, and bubbling governs nowhere else.
    Unknown,
}

impl Starts {
    /// Name in results.
    pub fn name(self) -> &'static str {
        match self {
            Self::Within => "within",
            Self::Nowhere => "nowhere",
            Self::Everywhere => "everywhere",
            Self::Unknown => "unknown",
        }
    }
}

/// The ratings with one moisture.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AtMoisture {
    /// The moisture that would count, %.
    pub moisture_percent: f64,
    /// The ratings, the shortest duration first. Where the correlations do not reach there is no load, and
    /// what governs says so.
    pub cells: Vec<Cell>,
}

/// What water costs from the first preload and the middle ambient of a question.
///
/// The limit set is the first that is for every duration; if there is none, the first of all, with the
/// durations that it is for. `None` without moisture that counts, or where nothing is asked.
pub fn cost_of_water(question: &Question, dried_to_percent: f64) -> Option<CostOfWater> {
    let question = narrowed(question)?;
    let own_percent = {
        let basis = Basis::of(&question.template);
        basis.paper.facts.counting?.upper.value()
    };
    let steps = (1..=STEPS).map(|step| f64::from(step) * STEP_PERCENT);
    let mut moistures: Vec<f64> = steps.chain([own_percent, dried_to_percent]).collect();
    moistures.sort_by(f64::total_cmp);
    moistures.dedup();
    let all = question.durations_min.len();
    let curve = rated(&question, moistures.into_iter().map(|percent| (percent, all)).collect());
    let at = |percent: f64| curve.iter().find(|at| at.moisture_percent.total_cmp(&percent).is_eq());
    let (wet, dried) = (at(own_percent)?, at(dried_to_percent)?);
    let onsets = onsets(&question, &curve);
    let pairs = wet.cells.iter().zip(&dried.cells).zip(onsets);
    let first = wet.cells.first()?;
    Some(CostOfWater {
        unit: question.template.unit.name.clone(),
        limits: first.limits.clone(),
        preload_pu: first.preload_pu,
        ambient_c: first.ambient_c,
        counting_moisture_percent: own_percent,
        dried_to_percent,
        durations: pairs.map(|((wet, dried), onset)| cost(wet, dried, onset)).collect(),
        curve,
    })
}

/// The question with one limit set, preload and ambient, and the durations that the set is for.
fn narrowed(question: &Question) -> Option<Question> {
    let for_all = question.sets.iter().find(|set| set.shorter_than_min.is_none());
    let set = for_all.or(question.sets.first())?.clone();
    let ambient = question.ambients.get(question.ambients.len() / 2)?.clone();
    let mut narrowed = Question {
        template: question.template.clone(),
        durations_min: question.durations_min.clone(),
        ambients: vec![ambient],
        preloads_pu: vec![*question.preloads_pu.first()?],
        sets: vec![set],
    };
    narrowed.durations_min = narrowed.asked().map(|(_, duration)| duration).collect();
    Some(narrowed)
}

/// The ratings at some moistures, each for so many of the durations, the shortest.
fn rated(question: &Question, wanted: Vec<(f64, usize)>) -> Vec<AtMoisture> {
    let at = |(percent, durations): (f64, usize)| {
        let mut question = question.clone();
        question.template.water_as_percent = Some(percent);
        question.durations_min.truncate(durations);
        AtMoisture { moisture_percent: percent, cells: cells(&question) }
    };
    wanted.into_par_iter().map(at).collect()
}

fn cost(wet: &Cell, dried: &Cell, bubbling: Onset) -> DurationCost {
    DurationCost {
        duration_min: wet.duration_min,
        as_wet_pu: wet.load_pu,
        as_wet_governs: wet.governs.clone(),
        dried_pu: dried.load_pu,
        dried_governs: dried.governs.clone(),
        loss_pu: dried.load_pu.zip(wet.load_pu).map(|(dried_pu, wet_pu)| dried_pu - wet_pu),
        bubbling,
    }
}

/// Where bubbling starts to govern for each duration.
///
/// Between the driest point where it governs and the one before it the moisture is halved; durations that
/// halve at the same moisture share its ratings.
fn onsets(question: &Question, curve: &[AtMoisture]) -> Vec<Onset> {
    let durations = 0..question.durations_min.len();
    let mut known = curve.to_vec();
    loop {
        let mut wanted: Vec<(f64, usize)> = Vec::new();
        for duration in durations.clone() {
            let Some(middle) = bracket(&known, duration).and_then(|(dry, wet)| dry.middle(&wet))
            else {
                continue;
            };
            // The shorter durations are asked too, for they can hold a longer one down.
            match wanted.iter_mut().find(|(percent, _)| percent.total_cmp(&middle).is_eq()) {
                Some((_, most)) => *most = duration + 1,
                None => wanted.push((middle, duration + 1)),
            }
        }
        if wanted.is_empty() {
            return durations.map(|duration| onset(&known, duration)).collect();
        }
        known.extend(rated(question, wanted));
        known.sort_by(|a, b| a.moisture_percent.total_cmp(&b.moisture_percent));
    }
}

/// A moisture, the rating there, and what governs.
struct End<'a> {
    percent: f64,
    cell: &'a Cell,
}

impl End<'_> {
    /// The moisture between this and a wetter one, unless they are near enough.
    fn middle(&self, wet: &End<'_>) -> Option<f64> {
        let middle = f64::midpoint(self.percent, wet.percent);
        (wet.percent - self.percent > CLOSE_PERCENT).then_some(middle)
    }
}

fn ends(known: &[AtMoisture], duration: usize) -> impl Iterator<Item = End<'_>> {
    known.iter().filter_map(move |at| {
        Some(End { percent: at.moisture_percent, cell: at.cells.get(duration)? })
    })
}

/// The driest point where bubbling governs, and the one before it, if there are both.
fn bracket(known: &[AtMoisture], duration: usize) -> Option<(End<'_>, End<'_>)> {
    let mut before = None;
    for end in ends(known, duration) {
        if end.cell.governs.what == Limiting::Bubbling {
            return before.map(|before| (before, end));
        }
        before = Some(end);
    }
    None
}

fn onset(known: &[AtMoisture], duration: usize) -> Onset {
    if let Some((dry, _)) = bracket(known, duration) {
        let (percent, load_pu) = (Some(dry.percent), dry.cell.load_pu);
        return Onset { starts: Starts::Within, percent, load_pu };
    }
    let any = |what: Limiting| ends(known, duration).any(|end| end.cell.governs.what == what);
    let starts = if any(Limiting::Bubbling) {
        Starts::Everywhere
    } else if any(Limiting::Unknown) {
        Starts::Unknown
    } else {
        Starts::Nowhere
    };
    Onset { starts, percent: None, load_pu: None }
}
