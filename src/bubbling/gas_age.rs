//! How old a gas sample is, and how much gas counts for it: an old figure counts on the gassy side only.

use super::gas;
use crate::quantities::{GasPercent, Pascals};
use chrono::NaiveDate;
use serde::Serialize;

/// A gas sample counts as it stands for this long, months. Our choice, no source: oil that breathes is
/// back near saturation within months, and gas-in-oil samples are commonly taken once a year.
pub const OLDEST_MONTHS: f64 = 12.0;

/// The same where the oil is kept from air, by a membrane or sealed, months. Our choice: as long as a
/// moisture measurement ([`crate::moisture::usual::Criteria`]), for little gas comes in.
pub const OLDEST_KEPT_FROM_AIR_MONTHS: f64 = 24.0;

/// Past its limit a low figure gives way over so many months. Our choice, no source: about the time in
/// which oil that breathes takes up its gas again; spread evenly, so that no single day decides.
pub const RETURN_MONTHS: f64 = 6.0;

/// Days in a month on average.
const DAYS_A_MONTH: f64 = 365.25 / 12.0;

/// What days made months and back again may lack of a whole day: rounding.
const EXACT: f64 = 1.0e-6;

/// A gas sample and what became of the oil.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Day of the sample; `None`: not stated.
    pub taken: Option<NaiveDate>,
    /// Day of the last treatment of the oil, which degasses it.
    pub treated: Option<NaiveDate>,
    /// Whether air or nitrogen reaches the oil.
    pub breathes: bool,
    /// The sample counts as it stands for this long, months.
    pub oldest_months: f64,
}

/// How a gas figure counts on the day of the question.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// As it stands.
    Counts,
    /// As it stands, for its age is not judged: no day is asked for, or the figure is no sample.
    NotJudged,
    /// On the gassy side only: the sample is too old.
    Old,
    /// On the gassy side only: since the oil was treated it has had longer to take up gas than the sample shows.
    SinceTreatment,
    /// On the gassy side only: the sample has no date.
    Undated,
    /// On the gassy side only: the sample is dated after the day of the question.
    DatedLater,
}

/// A gas figure, judged by its age.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Age {
    /// How it counts.
    pub standing: Standing,
    /// Months since the sample, or since the treatment where that decides; `None` without either day.
    pub months: Option<f64>,
    /// Up to how many months it counts as it stands.
    pub oldest_months: f64,
    /// How far what counts has moved from a low figure to what the oil holds when saturated, 0 to 1.
    pub share: f64,
}

impl Age {
    /// A figure whose age is not judged.
    pub fn not_judged(oldest_months: f64) -> Self {
        Self { standing: Standing::NotJudged, months: None, oldest_months, share: 0.0 }
    }
}

/// Judges a sample on a day.
///
/// ```text
/// share = (age − limit) / 6 months, from 0 to 1
/// since treatment:  age from the later of treatment and sample,
///                   limit the months from treatment to sample, at most the usual one
/// ```
/// The greater share counts. The second limit is our choice: a sample taken some months after the oil was
/// degassed shows what came in meanwhile, and stands for as long again. It applies to oil that breathes.
pub fn judge(sample: &Sample, as_of: NaiveDate) -> Age {
    let oldest_months = sample.oldest_months;
    let gassy_side = |standing| Age { standing, months: None, oldest_months, share: 1.0 };
    let Some(taken) = sample.taken else {
        return gassy_side(Standing::Undated);
    };
    if taken > as_of {
        return gassy_side(Standing::DatedLater);
    }
    let since = |from: NaiveDate, oldest_months: f64, standing: Standing| {
        let months = months_between(from, as_of);
        let share = share(months, oldest_months);
        let standing = if share > 0.0 { standing } else { Standing::Counts };
        Age { standing, months: Some(months), oldest_months, share }
    };
    let own = since(taken, oldest_months, Standing::Old);
    let treated = sample.treated.filter(|treated| sample.breathes && *treated <= as_of);
    let after = treated.map(|treated| {
        let shown = months_between(treated, taken).clamp(0.0, oldest_months);
        since(treated.max(taken), shown, Standing::SinceTreatment)
    });
    after.filter(|after| after.share > own.share).unwrap_or(own)
}

/// The last day on which a sample counts as it stands; `None` without its date, or beyond the calendar.
pub fn counts_until(sample: &Sample) -> Option<NaiveDate> {
    let taken = sample.taken?;
    let own = last_day_within(taken, sample.oldest_months)?;
    let after = sample.treated.filter(|_| sample.breathes).and_then(|treated| {
        let shown = months_between(treated, taken).clamp(0.0, sample.oldest_months);
        last_day_within(treated.max(taken), shown)
    });
    Some(after.map_or(own, |after| after.min(own)))
}

/// The last day that is no more than so many months after another.
fn last_day_within(from: NaiveDate, months: f64) -> Option<NaiveDate> {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "days of some years"
    )]
    let days = (months * DAYS_A_MONTH + EXACT).floor().max(0.0) as u64;
    from.checked_add_days(chrono::Days::new(days))
}

fn share(months: f64, oldest_months: f64) -> f64 {
    ((months - oldest_months) / RETURN_MONTHS).clamp(0.0, 1.0)
}

fn months_between(from: NaiveDate, until: NaiveDate) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "days of a calendar")]
    let days = until.signed_duration_since(from).num_days() as f64;
    days / DAYS_A_MONTH
}

/// The gas that counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CountedGas {
    /// Total content that counts.
    pub total: GasPercent,
    /// Pressure of the gases at 25 °C, for the worst-case bound.
    pub pressure: Pascals,
    /// Total content as reported, or as assumed from the oil preservation.
    pub stated: GasPercent,
    /// What such oil holds when saturated.
    pub saturated: GasPercent,
    /// Day of the sample.
    pub sampled: Option<NaiveDate>,
    /// Last day on which it counts as it stands; `None` where its age is not judged or has no end.
    pub until: Option<NaiveDate>,
    /// How old it is, and what that does.
    pub age: Age,
}

impl CountedGas {
    /// The gas that counts, from what is reported and what its age does.
    ///
    /// ```text
    /// counted = stated + share · max(0, saturated − stated)
    /// ```
    /// What is added counts as nitrogen in the pressure. A figure that makes no quantity leaves `None`.
    pub fn of(stated: (GasPercent, Pascals), saturated: GasPercent, age: Age) -> Option<Self> {
        let (stated, pressure) = stated;
        let total = raised(stated.value(), saturated.value(), age.share);
        let more = GasPercent::new(total - stated.value()).ok()?;
        let more = gas::pressure_of_total(more).ok()?;
        Some(Self {
            total: GasPercent::new(total).ok()?,
            pressure: Pascals::new(pressure.value() + more.value()).ok()?,
            stated,
            saturated,
            sampled: None,
            until: None,
            age,
        })
    }

    /// The same with the day of the sample, and the last on which it counts as it stands.
    #[must_use]
    pub fn sampled(self, sampled: Option<NaiveDate>, until: Option<NaiveDate>) -> Self {
        Self { sampled, until, ..self }
    }

    /// Whether more counts than is stated.
    pub fn fell_back(&self) -> bool {
        self.total > self.stated
    }
}

/// A figure moved by a share of the way towards a greater one; a smaller one does not lower it.
pub fn raised(stated: f64, towards: f64, share: f64) -> f64 {
    if towards > stated && share > 0.0 { stated + share * (towards - stated) } else { stated }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn day(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).unwrap()
    }

    fn sample(taken: Option<NaiveDate>) -> Sample {
        Sample { taken, treated: None, breathes: true, oldest_months: OLDEST_MONTHS }
    }

    fn percent(value: f64) -> GasPercent {
        GasPercent::new(value).unwrap()
    }

    #[test]
    fn undated_old_and_future_samples_count_on_the_gassy_side_only() {
        for (taken, standing, share) in [
            (Some(day(2026, 9, 3)), Standing::Counts, 0.0),
            (None, Standing::Undated, 1.0),
            (Some(day(1990, 1, 1)), Standing::Old, 1.0),
            (Some(day(2030, 1, 1)), Standing::DatedLater, 1.0),
        ] {
            let age = judge(&sample(taken), day(2026, 10, 20));
            assert_eq!((age.standing, age.share), (standing, share));
        }
    }

    #[test]
    fn what_counts_moves_evenly_from_the_stated_figure_to_the_saturated_one() {
        let taken = day(2025, 1, 1);
        let mut before = 0.0;
        let mut moving = 0;
        for days in 0..730 {
            let age = judge(&sample(Some(taken)), taken + chrono::Days::new(days));
            let step = age.share - before;
            assert!(
                (0.0..=1.0 / (RETURN_MONTHS * DAYS_A_MONTH) + 1.0e-12).contains(&step),
                "{days}"
            );
            moving += u32::from(step > 0.0);
            before = age.share;
        }
        assert_relative_eq!(before, 1.0);
        assert!((180..=185).contains(&moving), "about half a year of days, {moving}");
    }

    #[test]
    fn a_sample_soon_after_degassing_stands_for_as_long_as_it_waited() {
        let treated = Some(day(2026, 1, 1));
        let with = |taken| Sample { treated, ..sample(Some(taken)) };
        let (as_of, soon) = (day(2026, 10, 1), with(day(2026, 2, 1)));
        let age = judge(&soon, as_of);
        assert_eq!((age.standing, age.share), (Standing::SinceTreatment, 1.0));
        let late = judge(&with(day(2026, 8, 1)), as_of);
        assert_eq!(late.standing, Standing::Counts);
        let kept = judge(&Sample { breathes: false, ..soon }, as_of);
        assert_eq!(kept.standing, Standing::Counts);
    }

    #[test]
    fn the_last_day_is_the_last_without_a_share() {
        for treated in [None, Some(day(2026, 1, 1)), Some(day(2026, 3, 7))] {
            let sample = Sample { treated, ..sample(Some(day(2026, 2, 1))) };
            let until = counts_until(&sample).unwrap();
            assert!(judge(&sample, until).share < 1.0e-9, "{treated:?}");
            let next = judge(&sample, until + chrono::Days::new(1)).share;
            // A treatment that is still to come counts from its own day.
            assert!(next > 0.0, "{treated:?} {until} {next}");
        }
    }

    #[test]
    fn a_sample_from_before_the_treatment_gives_way_from_the_treatment_on() {
        let before = Sample { treated: Some(day(2026, 1, 1)), ..sample(Some(day(2025, 12, 31))) };
        let same = Sample { treated: Some(day(2026, 1, 1)), ..sample(Some(day(2026, 1, 1))) };
        let as_of = day(2026, 4, 1);
        let (before, same) = (judge(&before, as_of), judge(&same, as_of));
        assert_relative_eq!(before.share, same.share);
        assert!((0.45..0.55).contains(&before.share), "{}", before.share);
    }

    #[test]
    fn an_old_figure_counts_only_where_it_is_gassier() {
        let as_of = day(2026, 10, 20);
        let age = judge(&sample(Some(day(1990, 1, 1))), as_of);
        let counted = |stated: f64| {
            let stated = (percent(stated), Pascals::new(50_000.0).unwrap());
            CountedGas::of(stated, percent(10.0), age).unwrap()
        };
        assert_relative_eq!(counted(2.0).total.value(), 10.0);
        assert!(counted(2.0).fell_back());
        let pressure = 50_000.0 + 8.0 / 8.6 * crate::quantities::STANDARD_ATMOSPHERE_PA;
        assert_relative_eq!(counted(2.0).pressure.value(), pressure, max_relative = 1.0e-12);
        assert_relative_eq!(counted(10.3).total.value(), 10.3);
        assert!(!counted(10.3).fell_back());
    }
}
