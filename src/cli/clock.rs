//! The day for which a question is asked: the only place that looks at a clock.

use chrono::{DateTime, FixedOffset, NaiveDate};
use std::time::{SystemTime, UNIX_EPOCH};

/// The day as stated, else today; the day on which the overload is to begin if that is later.
pub(super) fn as_of(
    stated: Option<NaiveDate>,
    begins: Option<DateTime<FixedOffset>>,
) -> Option<NaiveDate> {
    let begins = begins.map(|instant| instant.date_naive());
    stated.or_else(today).into_iter().chain(begins).max()
}

/// Today in UTC; `None` if the machine's clock stands before 1970.
fn today() -> Option<NaiveDate> {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).ok()?;
    let seconds = i64::try_from(since.as_secs()).ok()?;
    DateTime::from_timestamp(seconds, 0).map(|instant| instant.date_naive())
}
