//! How far the 5 % point of the margin may be off for the number of draws, and what is taken off it for that.

use super::LOW;
use super::pairs::Inceptions;

/// What the verdict takes off the 5 % point, K. Our choice, no source: two standard errors of the usual number of
/// draws have room in it, and it is small beside the 10 K that are usually required. A constant, so that what is
/// taken off does not change with the load, and no search becomes ragged.
pub const GUARD_K: f64 = 0.4;

/// So many standard errors count: beyond two lies one seed in forty.
const ERRORS: f64 = 2.0;

/// The usual number of draws is doubled at most so often. Our choice: a `check` is waited for.
pub(super) const DOUBLED_AT_MOST: u32 = 2;

/// How far the 5 % point may be off for the number of draws.
#[derive(Debug, Clone, Copy)]
pub(super) struct Error {
    /// Its standard error, K; infinite where the point may as well lie beyond the range of the correlations.
    pub(super) standard_error_k: f64,
    drawn: bool,
}

impl Error {
    /// Where nothing is uncertain every draw is the same.
    pub(super) const NONE: Self = Self { standard_error_k: 0.0, drawn: false };

    /// Half of the way from the 5 % point down to where the share of pairs is two of its own standard errors less.
    ///
    /// # Source       `project-choice`: what error a share has is known from the replicates ([`Inceptions::share_below`]);
    ///   the draws themselves say how many kelvin that is, on the side that matters.
    /// # Valid        Wherever there is a 5 % point.
    /// # Departures   None.
    /// # Checked      `tests/spread/five_percent_point.rs`, against the scatter over seeds.
    pub(super) fn of(inceptions: &Inceptions, hot_c: &[f64], p05_k: f64) -> Self {
        let of_share = inceptions.share_below(hot_c, p05_k).standard_error;
        let lower_k = inceptions.margin_k(hot_c, (LOW - ERRORS * of_share).max(0.0));
        let error_k = (p05_k - lower_k) / ERRORS;
        // Beyond the range of the correlations neither is a number, and nothing is known.
        let standard_error_k = if error_k >= 0.0 { error_k } else { f64::INFINITY };
        Self { standard_error_k, drawn: true }
    }

    /// Whether the guard is enough for it.
    pub(super) fn guarded(self) -> bool {
        ERRORS * self.standard_error_k <= GUARD_K
    }

    /// What the verdict takes off the 5 % point, K.
    pub(super) fn guard_k(self) -> f64 {
        if self.drawn { GUARD_K.max(ERRORS * self.standard_error_k) } else { 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn error(standard_error_k: f64) -> Error {
        Error { standard_error_k, drawn: true }
    }

    #[test]
    fn two_standard_errors_must_lie_within_the_guard_and_what_is_unknown_does_not() {
        assert!(error(0.0).guarded() && error(0.2).guarded());
        assert!(!error(0.21).guarded() && !error(f64::INFINITY).guarded());
        assert!(!error(f64::NAN).guarded());
    }

    #[test]
    fn two_standard_errors_are_taken_off_where_the_guard_is_less() {
        assert!((error(0.1).guard_k() - GUARD_K).abs() < f64::EPSILON);
        assert!((error(0.7).guard_k() - 1.4).abs() < f64::EPSILON);
        assert!(Error::NONE.guard_k().abs() < f64::EPSILON);
        assert!(error(f64::INFINITY).guard_k().is_infinite());
    }
}
