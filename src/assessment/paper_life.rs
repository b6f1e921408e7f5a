//! The life of the paper at the unit's moisture, and what drying would make of it.

use super::plant::rate_of;
use crate::ageing::rate::AgeingRate;
use crate::ageing::scission::{
    AgeingSet, DP_END, DRY_PERCENT, HOURS_PER_YEAR, Rate, dp_from_age, life_hours, rate, scissions,
};
use crate::quantities::{Celsius, MoisturePercent};
use crate::unit::Unit;
use chrono::{Datelike, NaiveDate};
use serde::Serialize;

/// Hot spots for which lives are given, °C; 98 is where kraft paper ages at the rate 1.
const HOT_SPOTS_C: [f64; 4] = [70.0, 80.0, 90.0, 98.0];

/// The cost of an overload by one ageing set, with water in the paper.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct CostWithWater {
    /// The set.
    pub set: AgeingSet,
    /// Id of its source.
    pub source: &'static str,
    /// Water in paper, %.
    pub percent: f64,
    /// Hours at the reference temperature of dry paper that do the same.
    pub hours: f64,
    /// Share of the whole life, from new to the end.
    pub share_of_life: f64,
    /// At least that: the paper is wetter or hotter than the set was published for.
    pub at_least: bool,
}

/// What a course of the hot spot costs at a water content, by every set that holds for the paper.
pub fn cost_with_water(
    unit: &Unit,
    percent: f64,
    hot_spot: &[(f64, Celsius)],
) -> Vec<CostWithWater> {
    let Ok(water) = MoisturePercent::new(percent) else {
        return Vec::new();
    };
    let whole_life = 1.0 / DP_END - 1.0 / unit.paper_condition.dp_new;
    let of_set = |set: &AgeingSet| {
        let cost = scissions(*set, rate_of(unit), water, hot_spot)?;
        Some(CostWithWater {
            set: *set,
            source: set.source(),
            percent,
            hours: cost.reference_hours,
            share_of_life: cost.count / whole_life,
            at_least: cost.floor,
        })
    };
    AgeingSet::ALL.iter().filter_map(of_set).collect()
}

/// What the same course costs dry paper, by the same sets, for comparison: no rate but that of a set itself can be
/// held against what the set says of water.
pub fn cost_if_dry(unit: &Unit, hot_spot: &[(f64, Celsius)]) -> Vec<CostWithWater> {
    cost_with_water(unit, DRY_PERCENT, hot_spot)
}

/// Hours that a course costs with this water, by the set that gives most, each carried on beyond its wettest column
/// ([`AgeingSet::carried_on`]): so it never falls as water rises. `None` where no set gives a figure.
pub(super) fn most_hours(
    unit: &Unit,
    water: MoisturePercent,
    hot_spot: &[(f64, Celsius)],
) -> Option<f64> {
    let costs = cost_with_water(unit, water.value(), hot_spot);
    let carried_on =
        |cost: &CostWithWater| cost.hours * cost.set.carried_on(rate_of(unit), cost.percent);
    // What is no number is the most.
    costs.iter().map(carried_on).max_by(f64::total_cmp)
}

/// The sets by which costs may be held against each other: those that reach as far as all of them; where none does,
/// those that reach as far as all but those with the moisture that counts, which are floors then; else every set.
pub fn common_sets(others: [&[CostWithWater]; 2], with_water: &[CostWithWater]) -> Vec<AgeingSet> {
    let within = |set: AgeingSet, costs: &[CostWithWater]| {
        costs.is_empty() || costs.iter().any(|cost| cost.set == set && !cost.at_least)
    };
    let reaching = |wet_too: bool| -> Vec<AgeingSet> {
        let reaches = |set: &AgeingSet| {
            others.iter().all(|costs| within(*set, costs)) && (!wet_too || within(*set, with_water))
        };
        AgeingSet::ALL.into_iter().filter(reaches).collect()
    };
    let found = [reaching(true), reaching(false)].into_iter().find(|sets| !sets.is_empty());
    found.unwrap_or_else(|| AgeingSet::ALL.to_vec())
}

/// The life of the paper.
#[derive(Debug, Clone, Serialize)]
pub struct PaperLife {
    /// Kind of paper.
    pub paper: AgeingRate,
    /// Degree of polymerisation when new.
    pub dp_new: f64,
    /// Degree of polymerisation at the end of life.
    pub dp_end: f64,
    /// Degree of polymerisation as entered, or `null`.
    pub dp_entered: Option<f64>,
    /// Hot spot of an average day as entered, °C; the remaining life is for it.
    pub usual_hot_spot_c: Option<f64>,
    /// Lives at the moisture that counts, at the best estimate and after drying.
    pub waters: Vec<LifeAtWater>,
}

/// Lives at one water content.
#[derive(Debug, Clone, Serialize)]
pub struct LifeAtWater {
    /// `counts`, `best-estimate` or `dried`.
    pub what: &'static str,
    /// Water in paper, %.
    pub percent: f64,
    /// By each published ageing set that holds for this paper.
    pub sets: Vec<LifeOfSet>,
}

/// Lives by one ageing set.
#[derive(Debug, Clone, Serialize)]
pub struct LifeOfSet {
    /// The set.
    pub set: AgeingSet,
    /// Id of its source.
    pub source: &'static str,
    /// From new to the end of life, at several hot spots.
    pub whole: Vec<LifeFigure>,
    /// Degree of polymerisation today: entered, or estimated from age and the usual hot spot.
    pub dp_today: Option<f64>,
    /// Whether that is an estimate.
    pub dp_estimated: bool,
    /// What is left at the usual hot spot.
    pub remaining: Option<LifeFigure>,
}

/// A life at a hot spot.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct LifeFigure {
    /// Hot spot, °C.
    pub hot_spot_c: f64,
    /// Life, years.
    pub years: f64,
    /// At most that: the paper is wetter than the set was published for.
    pub at_most: bool,
}

/// Lives at each water content `(what, %)`.
pub fn paper_life(
    unit: &Unit,
    as_of: Option<NaiveDate>,
    waters: &[(&'static str, f64)],
) -> PaperLife {
    let condition = &unit.paper_condition;
    PaperLife {
        paper: rate_of(unit),
        dp_new: condition.dp_new,
        dp_end: DP_END,
        dp_entered: condition.dp,
        usual_hot_spot_c: condition.usual_hot_spot_c,
        waters: waters
            .iter()
            .filter_map(|(what, percent)| {
                let water = MoisturePercent::new(*percent).ok()?;
                let of_set = |set: &AgeingSet| life_of_set(unit, as_of, *set, water);
                let sets = AgeingSet::ALL.iter().filter_map(of_set).collect();
                Some(LifeAtWater { what, percent: *percent, sets })
            })
            .collect(),
    }
}

fn life_of_set(
    unit: &Unit,
    as_of: Option<NaiveDate>,
    set: AgeingSet,
    water: MoisturePercent,
) -> Option<LifeOfSet> {
    let condition = &unit.paper_condition;
    let rate_at = |hot_spot_c: f64| rate(set, rate_of(unit), water, Celsius::new(hot_spot_c).ok()?);
    let whole: Option<Vec<LifeFigure>> = HOT_SPOTS_C
        .iter()
        .map(|hot_spot_c| figure(rate_at(*hot_spot_c)?, *hot_spot_c, condition.dp_new))
        .collect();
    let estimate = || {
        let usual = Celsius::new(condition.usual_hot_spot_c?).ok()?;
        let years = f64::from(as_of?.year()) - unit.made?;
        dp_from_age(set, rate_of(unit), water, condition.dp_new, years, usual)
    };
    let dp_today = condition.dp.or_else(|| estimate().map(|aged| aged.dp));
    let remaining = dp_today
        .zip(condition.usual_hot_spot_c)
        .and_then(|(dp, usual_c)| figure(rate_at(usual_c)?, usual_c, dp));
    Some(LifeOfSet {
        set,
        source: set.source(),
        whole: whole?,
        dp_today,
        dp_estimated: condition.dp.is_none(),
        remaining,
    })
}

fn figure(rate: Rate, hot_spot_c: f64, dp_start: f64) -> Option<LifeFigure> {
    let years = life_hours(rate, dp_start, DP_END)? / HOURS_PER_YEAR;
    Some(LifeFigure { hot_spot_c, years, at_most: rate.floor })
}
