//! The day for which evidence was judged, held against the day on which a go-ahead is recorded.

use super::decision::Decision;
use super::entry::When;
use crate::rules::catalogue::Code;
use crate::rules::finding::{Finding, Severity};
use chrono::NaiveDate;

/// The code of what is found; whether it applies depends on the moment of writing, so that it may always be acknowledged.
pub fn code() -> &'static str {
    Code::JudgedForAnotherDay.explanation().code
}

/// A caution where a go-ahead rests on evidence judged for a day that is not the day of recording, neither at the
/// place nor in universal time.
///
/// Any other day counts: our choice, for whoever gives a go-ahead should look at today's evidence, and one day is enough
/// for a gas alarm, a sample or a drying. Either of the two days passes, because "today" is the day in universal time
/// where nobody states one. A decision that permits nothing needs no caution. It is no part of the answer, which looks at
/// no clock; it is part of what is recorded.
pub fn on_another_day(
    decision: Decision,
    as_of: Option<NaiveDate>,
    written: &When,
) -> Option<Finding> {
    if decision != Decision::GoAhead {
        return None;
    }
    let days = [day_of(&written.local), day_of(&written.utc)];
    let text = match (as_of, days) {
        (Some(judged), _) if days.contains(&Some(judged)) => return None,
        (Some(judged), [Some(recorded), _]) => {
            let apart = (recorded - judged).num_days();
            let count = match apart.abs() {
                1 => "1 day".to_owned(),
                several => format!("{several} days"),
            };
            if apart > 0 {
                format!(
                    "The evidence was judged for {judged}, {count} before this go-ahead: whatever aged, was measured or \
                     happened since is not in the answer."
                )
            } else {
                format!(
                    "The evidence was judged for {judged}, {count} after this go-ahead: whatever happens until then is not \
                     in the answer."
                )
            }
        }
        (_, _) => "It is not known whether the evidence was judged for the day of this go-ahead."
            .to_owned(),
    };
    Some(Finding::new(Code::JudgedForAnotherDay, Severity::Caution, text))
}

/// The day of an instant in RFC 3339, where it was written.
fn day_of(instant: &str) -> Option<NaiveDate> {
    chrono::DateTime::parse_from_rfc3339(instant).ok().map(|at| at.date_naive())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(local: &str) -> When {
        When::of(chrono::DateTime::parse_from_rfc3339(local).unwrap())
    }

    fn found(decision: Decision, judged: &str, local: &str) -> Option<Finding> {
        let judged = NaiveDate::parse_from_str(judged, "%Y-%m-%d").unwrap();
        on_another_day(decision, Some(judged), &written(local))
    }

    #[test]
    fn a_go_ahead_on_another_day_is_cautioned_whichever_way_the_days_lie() {
        let go = |judged| found(Decision::GoAhead, judged, "2026-10-20T18:00:00+01:00");
        assert_eq!(go("2026-10-20"), None);
        let (day_before, old, later) = (go("2026-10-19"), go("2025-10-20"), go("2026-10-22"));
        for (found, said) in [
            (&day_before, "judged for 2026-10-19, 1 day before"),
            (&old, "judged for 2025-10-20, 365 days before"),
            (&later, "judged for 2026-10-22, 2 days after"),
        ] {
            let found = found.as_ref().unwrap();
            assert!(found.text.contains(said), "{}", found.text);
            assert_eq!((found.severity, found.code), (Severity::Caution, code()));
        }
    }

    #[test]
    fn the_day_at_the_place_and_the_day_in_universal_time_both_pass() {
        // 01:30 at the place is 23:30 of the day before in universal time.
        for judged in ["2026-10-20", "2026-10-21"] {
            assert_eq!(found(Decision::GoAhead, judged, "2026-10-21T01:30:00+02:00"), None);
        }
        assert!(found(Decision::GoAhead, "2026-10-19", "2026-10-21T01:30:00+02:00").is_some());
    }

    #[test]
    fn a_decision_that_permits_nothing_needs_no_caution() {
        for decision in [Decision::Refused, Decision::None] {
            assert_eq!(found(decision, "2020-01-01", "2026-10-20T18:00:00+01:00"), None);
        }
    }

    #[test]
    fn a_day_that_is_not_known_is_cautioned() {
        let at = written("2026-10-20T18:00:00+01:00");
        assert!(on_another_day(Decision::GoAhead, None, &at).is_some());
        let nowhere = When { utc: "?".to_owned(), local: "?".to_owned() };
        let day = NaiveDate::from_ymd_opt(2026, 10, 20);
        assert!(on_another_day(Decision::GoAhead, day, &nowhere).is_some());
    }
}
