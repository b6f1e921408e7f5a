//! The day for which a question is asked and the instant at which it is recorded: the only place that looks at a clock.

use super::Failure;
use crate::record::entry::When;
use chrono::{DateTime, FixedOffset, Local, NaiveDate, SecondsFormat, Utc};
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
pub(super) fn today() -> Option<NaiveDate> {
    now().map(|instant| instant.date_naive())
}

/// This second in UTC as RFC 3339.
pub fn now_utc() -> Option<String> {
    now().map(|instant| instant.to_rfc3339_opts(SecondsFormat::Secs, true))
}

/// Now, in UTC and where the machine stands.
///
/// # Errors
/// [`Failure::Internal`] if the machine's clock stands before 1970: a record has to say when.
pub fn when() -> Result<When, Failure> {
    let now = now().ok_or_else(|| Failure::Internal("the clock stands before 1970".to_owned()))?;
    Ok(When::of(now.with_timezone(&Local).fixed_offset()))
}

fn now() -> Option<DateTime<Utc>> {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).ok()?;
    DateTime::from_timestamp(i64::try_from(since.as_secs()).ok()?, 0)
}
