//! How much water the paper of a unit still holds: stated, from its degree of polymerisation, or taken low.

use super::plant::rate_of;
use crate::ageing::scission::{AgeingSet, dp_from_age};
use crate::moisture::holding::{Holding, LOWEST};
use crate::quantities::{Celsius, MoisturePercent};
use crate::rules::facts::{HoldingFacts, HoldingFrom};
use crate::unit::Unit;
use crate::unit::spread::Spread;
use chrono::{Datelike, NaiveDate};

/// A degree of polymerisation older than this says nothing of the paper today unless it can be carried on, days.
/// Our choice: a year. Without a usual hot spot nobody knows how fast the paper ages, and wet paper that runs hot
/// loses hundreds in a few years.
const OLDEST_DAYS: f64 = 366.0;

/// To this a degree of polymerisation that cannot be carried on falls within [`OLDEST_DAYS`], in a straight line; paper
/// of which nothing is known counts as that old ([`Holding::lowest_at`]). Our choice: so leaving out a usual hot spot
/// gains nothing, unless wet paper runs hotter than about 75 °C.
const AS_OLD_AS_UNKNOWN: f64 = 400.0;

const DAYS_A_YEAR: f64 = 365.25;

/// Three standard uncertainties of a stated factor are drawn.
const HELD_WITHIN: f64 = 3.0;

/// Nothing is known of the paper.
pub(super) const TAKEN_LOW: HoldingFacts = HoldingFacts {
    factor: Holding { central: f64::midpoint(LOWEST, 1.0), lowest: LOWEST },
    from: HoldingFrom::TakenLow,
    dp: None,
    dp_measured: false,
};

/// What the paper of a unit still holds on a day; `water` is how wet it is, for an estimate of its age.
///
/// # Source       [`Holding::lowest_at`]; the degree of polymerisation stated and carried on, or estimated by
/// [`dp_from_age`], the lowest of the published sets.
/// # Valid        Any unit; where nothing is known the lowest factor.
/// # Departures   A figure without a date, with a day to judge it by, counts as not stated.
/// # Checked      Not checked against published numbers.
pub(super) fn holding_of(
    unit: &Unit,
    as_of: Option<NaiveDate>,
    water: Option<MoisturePercent>,
) -> HoldingFacts {
    let measured = measured(unit, as_of, water);
    let found = measured.or_else(|| {
        let dp = estimated(unit, as_of, water)?;
        Some(Found { dp, counts: dp, from: HoldingFrom::Estimated })
    });
    let (factor, from) = match (stated(unit), &found) {
        (Some(factor), _) => (factor, HoldingFrom::Stated),
        (None, Some(found)) => (of_dp(found.counts), found.from),
        (None, None) => (TAKEN_LOW.factor, HoldingFrom::TakenLow),
    };
    HoldingFacts { factor, from, dp: found.map(|found| found.dp), dp_measured: measured.is_some() }
}

/// A degree of polymerisation, the one that counts for what the paper holds, and where it comes from.
#[derive(Debug, Clone, Copy)]
struct Found {
    dp: f64,
    counts: f64,
    from: HoldingFrom,
}

fn of_dp(dp: f64) -> Holding {
    Holding::drawn_from(Holding::lowest_at(dp))
}

fn stated(unit: &Unit) -> Option<Holding> {
    let stated = unit.spread.holding_factor;
    if unit.holding_factor.is_none() && !stated.stated {
        return None;
    }
    let central = unit.holding_factor.unwrap_or(1.0);
    let lowest = match stated.spread {
        Spread::Std(std) => central - HELD_WITHIN * std,
        Spread::Interval { least, .. } => least,
    };
    Some(Holding { central, lowest })
}

/// The measured degree of polymerisation, carried on to the day; for a year where it cannot be.
fn measured(
    unit: &Unit,
    as_of: Option<NaiveDate>,
    water: Option<MoisturePercent>,
) -> Option<Found> {
    let condition = &unit.paper_condition;
    let dp = condition.dp?;
    let carried_to = |dp| Found { dp, counts: dp, from: HoldingFrom::Measured };
    let Some(as_of) = as_of else { return Some(carried_to(dp)) };
    #[allow(clippy::cast_precision_loss, reason = "days of a calendar")]
    let days = as_of.signed_duration_since(condition.date?).num_days() as f64;
    // What is dated later than the day is not known on it.
    if days < 0.0 {
        return None;
    }
    let carried = aged(unit, water, dp, days / DAYS_A_YEAR).map(carried_to);
    carried.or_else(|| {
        let lost = (dp - AS_OLD_AS_UNKNOWN).max(0.0) * days / OLDEST_DAYS;
        let found = Found { dp, counts: dp - lost, from: HoldingFrom::MeasuredOnce };
        Some(found).filter(|_| days <= OLDEST_DAYS)
    })
}

/// The degree of polymerisation to be expected from age and usual hot spot.
fn estimated(unit: &Unit, as_of: Option<NaiveDate>, water: Option<MoisturePercent>) -> Option<f64> {
    let years = f64::from(as_of?.year()) + 1.0 - unit.made?;
    aged(unit, water, unit.paper_condition.dp_new, years.max(0.0))
}

fn aged(unit: &Unit, water: Option<MoisturePercent>, from: f64, years: f64) -> Option<f64> {
    let usual = Celsius::new(unit.paper_condition.usual_hot_spot_c?).ok()?;
    let sets = AgeingSet::ALL.iter();
    let all = sets.filter_map(|set| dp_from_age(*set, rate_of(unit), water?, from, years, usual));
    all.map(|aged| aged.dp).reduce(f64::min)
}
