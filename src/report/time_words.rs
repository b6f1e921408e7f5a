//! When a limit is reached, in words. Nothing beyond what was asked stands where it would be read first.

use super::check_view::Figure;
use super::spread_words::beyond_range;
use super::view::{duration, duration_down};
use crate::assessment::Assessment;
use crate::assessment::spread::{Band, Spread};
use crate::rules::verdict::Verdict;

/// What is known of the time, for the question as it was asked.
enum Time {
    Unknown,
    /// All of the duration asked for passes.
    Kept,
    /// No duration passes.
    Never,
    /// So many minutes of it pass.
    Reached(f64),
}

fn time(assessment: &Assessment) -> Time {
    if assessment.verdict.permits() {
        return Time::Kept;
    }
    match assessment.time_to_limit_min {
        _ if beyond_range(assessment) => Time::Unknown,
        Some(min) if min > 0.0 => Time::Reached(min),
        Some(_) if assessment.verdict == Verdict::NoGo => Time::Never,
        Some(_) | None => Time::Unknown,
    }
}

/// Beside the verdict.
pub(super) fn headline(assessment: &Assessment) -> String {
    match time(assessment) {
        Time::Unknown => "time unknown".to_owned(),
        Time::Kept => format!("no limit within the {} asked", asked(assessment)),
        Time::Never => "no duration passes".to_owned(),
        Time::Reached(min) => format!("limit reached at {}", reached(min)),
    }
}

/// As a large figure.
pub(super) fn figure(assessment: &Assessment) -> Figure {
    let (label, value) = match time(assessment) {
        Time::Unknown => ("until a limit is reached", "unknown".to_owned()),
        Time::Kept => ("no limit within the time asked", asked(assessment)),
        Time::Never => ("until a limit is reached", "no time".to_owned()),
        Time::Reached(min) => ("until a limit is reached", reached(min)),
    };
    Figure { label: label.to_owned(), value }
}

/// In a sentence.
pub(super) fn sentence(assessment: &Assessment) -> String {
    match time(assessment) {
        Time::Unknown => "When a limit is reached is not known.".to_owned(),
        Time::Kept => format!("No limit is reached within the {} asked.", asked(assessment)),
        Time::Never => "No duration of this load passes.".to_owned(),
        Time::Reached(min) => format!("The first limit is reached at {}.", reached(min)),
    }
}

/// The minute at which a limit is reached within the time asked.
pub(super) fn within_asked(assessment: &Assessment) -> Option<f64> {
    match time(assessment) {
        Time::Reached(min) => Some(min),
        Time::Unknown | Time::Kept | Time::Never => None,
    }
}

/// How long the load could be held beyond what was asked; `None` where what was asked does not pass.
pub(super) fn if_held_on(assessment: &Assessment) -> Option<String> {
    let kept = matches!(time(assessment), Time::Kept);
    kept.then(|| match assessment.time_to_limit_min {
        Some(min) if ends_with_the_set(assessment, min) => {
            format!("the limit set ends: passes up to {}", duration_down(min))
        }
        Some(min) => format!("a limit would be reached at {}", duration_down(min)),
        None => format!("no limit found within {}", duration(assessment.horizon_min)),
    })
}

/// Whether what ends the time is that the limits are for shorter overloads only, or that a rule limits the time.
fn ends_with_the_set(assessment: &Assessment, min: f64) -> bool {
    let mut lines = assessment.limits.iter().filter(|line| line.quantity == "duration");
    lines.any(|line| (0.0..1.0).contains(&(line.limit - min)))
}

/// When the simulated cases reach a limit if the load is held; nothing where hardly any does.
pub(super) fn of_cases(spread: &Spread, horizon_min: f64) -> Option<String> {
    let Band { p05, p50, p95 } = spread.time_to_limit_min;
    let first = duration_down(p05?);
    if p95.is_some_and(|p95| duration_down(p95) == first) {
        return Some(format!("nearly every case reaches a limit by {first}, if the load is held"));
    }
    let half = p50.map_or_else(
        || format!("fewer than half by {}", duration(horizon_min)),
        |p50| format!("half by {}", duration_down(p50)),
    );
    Some(format!("1 case in 20 reaches a limit by {first}, {half}, if the load is held"))
}

fn asked(assessment: &Assessment) -> String {
    duration(assessment.asked.duration_min)
}

fn reached(min: f64) -> String {
    if min < 1.0 { "less than 1 min".to_owned() } else { duration_down(min) }
}
