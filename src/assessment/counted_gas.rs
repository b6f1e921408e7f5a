//! The gas that counts on the day of the question, and the same as plain data.

use crate::bubbling::gas_age::{
    Age, CountedGas, OLDEST_KEPT_FROM_AIR_MONTHS, OLDEST_MONTHS, Sample, Standing, counts_until,
    judge,
};
use crate::quantities::GasPercent;
use crate::unit::Unit;
use chrono::NaiveDate;
use serde::Serialize;

/// The gas of a unit as it counts on a day. `local_months`: a local rule's limit of its age, which can only
/// tighten. Without a day the age is not judged. `None`: no gas is known.
pub(super) fn counted(
    unit: &Unit,
    local_months: Option<f64>,
    as_of: Option<NaiveDate>,
) -> Option<CountedGas> {
    let gas = unit.gas.as_ref()?;
    let usual = if gas.breathes { OLDEST_MONTHS } else { OLDEST_KEPT_FROM_AIR_MONTHS };
    let oldest_months = local_months.map_or(usual, |local| local.min(usual));
    // What is assumed or planned is no sample, and has no age.
    let no_sample = gas.planned || gas.assumed.is_some();
    let (taken, treated) = (gas.sampled, unit.oil_treated);
    let sample = Sample { taken, treated, breathes: gas.breathes, oldest_months };
    let judged = as_of.filter(|_| !no_sample);
    let age = judged.map_or_else(|| Age::not_judged(oldest_months), |day| judge(&sample, day));
    let until = judged.and_then(|_| counts_until(&sample));
    let counted = CountedGas::of((gas.total, gas.pressure), gas.saturated, age)?;
    Some(counted.sampled(taken, until))
}

/// The gas in the oil, and how its figure counts.
#[derive(Debug, Clone, Serialize)]
pub struct GasLine {
    /// Total dissolved gas that counts, % by volume.
    pub percent: f64,
    /// As reported, or as assumed from the oil preservation, % by volume.
    pub stated_percent: f64,
    /// What such oil holds when saturated, % by volume: what an old or undated low figure falls back on.
    pub saturated_percent: f64,
    /// Whether the figure is assumed from the oil preservation.
    pub assumed: bool,
    /// Whether more counts than is stated, because of the sample's age.
    pub fell_back: bool,
    /// How far what counts has moved from the stated figure to the saturated one, 0 to 1.
    pub share: f64,
    /// Day of the sample.
    pub sampled: Option<String>,
    /// Last day on which it counts as it stands; `null` without a date, or where its age is not judged.
    pub counts_until: Option<String>,
    /// How the figure counts.
    pub standing: Standing,
    /// Months since the sample, or since the oil was treated where that decides.
    pub age_months: Option<f64>,
    /// Up to how many months it counts as it stands.
    pub oldest_months: f64,
}

/// The same as plain data.
pub(super) fn line(unit: &Unit, counted: Option<&CountedGas>) -> Option<GasLine> {
    let counted = counted?;
    let age = &counted.age;
    Some(GasLine {
        percent: counted.total.value(),
        stated_percent: counted.stated.value(),
        saturated_percent: counted.saturated.value(),
        assumed: unit.gas.as_ref().is_some_and(|gas| gas.assumed.is_some()),
        fell_back: counted.fell_back(),
        share: age.share,
        sampled: counted.sampled.map(|day| day.to_string()),
        counts_until: counted.until.map(|day| day.to_string()),
        standing: age.standing,
        age_months: age.months,
        oldest_months: age.oldest_months,
    })
}

/// Total content that counts, % by volume.
pub(crate) fn percent(counted: Option<&CountedGas>) -> Option<f64> {
    counted.map(|counted| counted.total).map(GasPercent::value)
}

/// Whether what counts, or part of it, is assumed: from the oil preservation, or for the age of the sample.
pub(super) fn is_assumed(unit: &Unit, counted: Option<&CountedGas>) -> bool {
    let assumed = unit.gas.as_ref().is_some_and(|gas| gas.assumed.is_some());
    assumed || counted.is_some_and(CountedGas::fell_back)
}
