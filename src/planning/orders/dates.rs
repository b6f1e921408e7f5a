//! When to sample again, and until when standing orders hold.

use crate::assessment::Assessment;
use crate::assessment::case::Case;
use crate::moisture::usual::Criteria;
use crate::moisture::validity::{Standing, counts_until};
use crate::rules::after::WET_PERCENT;
use chrono::{Months, NaiveDate};
use serde::{Serialize, Serializer};

/// A wet unit is sampled again after so many months. Common practice, no source: 3 to 6.
const WET_MONTHS: u32 = 3;

/// Any other unit after so many. Common practice, no source: yearly.
const OTHER_MONTHS: u32 = 12;

/// When to sample again.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SampleAgain {
    /// By this day.
    #[serde(serialize_with = "as_written")]
    pub by: NaiveDate,
    /// After so many months; 0: at once.
    pub months: u32,
    /// Why.
    pub why: &'static str,
}

/// The last day on which orders hold.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Until {
    /// The day.
    #[serde(serialize_with = "as_written")]
    pub day: NaiveDate,
    /// Why.
    pub why: String,
}

/// YYYY-MM-DD.
#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde hands over a reference")]
fn as_written<S: Serializer>(day: &NaiveDate, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_str(day)
}

/// At once where nothing is known, after the months that somebody decided, or as is common.
pub(super) fn sample_again(
    today: NaiveDate,
    counting_percent: Option<f64>,
    decided_months: Option<u32>,
) -> SampleAgain {
    let (months, why) = match (counting_percent, decided_months) {
        (None, _) => (0, "how wet the paper is is not known"),
        (Some(_), Some(months)) => (months, "as decided"),
        (Some(percent), None) if percent < WET_PERCENT => {
            (OTHER_MONTHS, "common practice, no source: yearly")
        }
        (Some(_), None) => (WET_MONTHS, "common practice for wet units, no source: 3 to 6 months"),
    };
    let by = today.checked_add_months(Months::new(months)).unwrap_or(today);
    SampleAgain { by, months, why }
}

/// The day of the next sample, or the last on which all evidence that counts today still does.
pub(super) fn valid_until(case: &Case, found: &Assessment, again: &SampleAgain) -> Until {
    let local = case.local.as_ref();
    let criteria = local.map_or_else(Criteria::default, |local| local.moisture.criteria);
    let stale = case.unit.witnesses.iter().zip(&found.moisture.witnesses);
    let stale = stale.filter(|(_, line)| line.standing == Standing::Counts);
    let stale = stale.filter_map(|(witness, _)| {
        Some((counts_until(witness.date?, &criteria)?, witness.in_words()))
    });
    let gas = found.bubbling.gas.as_ref().and_then(|gas| gas.counts_until.as_ref()?.parse().ok());
    let gas = gas.filter(|day: &NaiveDate| case.as_of.is_none_or(|as_of| *day >= as_of));
    let gas = gas.map(|day| (day, "gas sample".to_owned()));
    match stale.chain(gas).min_by_key(|(day, _)| *day) {
        Some((day, what)) if day < again.by => {
            Until { day, why: format!("then the {what} is too old to count") }
        }
        _ => Until { day: again.by, why: "then it is to be sampled again".to_owned() },
    }
}
