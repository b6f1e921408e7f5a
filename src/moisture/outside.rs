//! How far a measurement lies outside what its method asks for, and what that does to it.
//!
//! A measurement outside a criterion still says something, most of all where it reads wetter than the
//! others. So nothing changes at once at a criterion's edge: the reading counts as the same reading at the
//! edge, its standard uncertainty grows with the distance, and what it may narrow fades. All distances and
//! what they do are our choice, no source: without them a tenth of a kelvin in an oil temperature would
//! decide between go and no-go.

/// Oil colder than the coldest that is accepted, K, for a distance of 1.
const COLD_K: f64 = 10.0;
/// An oil sample drier than the driest that is accepted, ppm: the repeatability of `astm-d1533`.
const DRY_PPM: f64 = 7.0;
/// The same of a probe, fraction of saturation: nearly its usual standard uncertainty.
const DRY_SATURATION: f64 = 0.015;
/// Oil nearer to saturation than the isotherm covers, fraction of saturation.
const WET_SATURATION: f64 = 0.2;
/// Load and temperature steady for less than is asked, as a share of it.
const UNSTEADY_SHARE: f64 = 0.5;
/// Months beyond the age that is accepted.
const OLD_MONTHS: f64 = 12.0;
/// Days less than are asked after a treatment of the oil.
const TREATED_DAYS: f64 = 45.0;
/// Months after the day of the question.
const LATER_MONTHS: f64 = 1.0;

/// A standard uncertainty grows by half of itself for each distance of 1, up to twice itself: a reading far
/// outside is a poor reading, not an infinitely poor one, or the oldest sample would outweigh all others.
const WIDENS_BY: f64 = 0.5;
const WIDENS_UP_TO: f64 = 2.0;

/// How far outside: 0 is inside every criterion, and distances add up.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Outside(f64);

impl Outside {
    pub(super) fn cold(by_k: f64) -> Self {
        Self::by(by_k / COLD_K)
    }

    pub(super) fn dry_ppm(by_ppm: f64) -> Self {
        Self::by(by_ppm / DRY_PPM)
    }

    pub(super) fn dry_saturation(by: f64) -> Self {
        Self::by(by / DRY_SATURATION)
    }

    pub(super) fn wet_saturation(by: f64) -> Self {
        Self::by(by / WET_SATURATION)
    }

    /// `steady_h` less than `asked_h`, h.
    pub(super) fn unsteady(steady_h: f64, asked_h: f64) -> Self {
        Self::by((asked_h - steady_h) / (UNSTEADY_SHARE * asked_h).max(f64::MIN_POSITIVE))
    }

    /// A series that varies by so many times what is steady.
    pub(super) fn varying(times: f64) -> Self {
        Self::by(times - 1.0)
    }

    pub(super) fn old(by_months: f64) -> Self {
        Self::by(by_months / OLD_MONTHS)
    }

    pub(super) fn treated(by_days: f64) -> Self {
        Self::by(by_days / TREATED_DAYS)
    }

    pub(super) fn later(by_months: f64) -> Self {
        Self::by(by_months / LATER_MONTHS)
    }

    /// Less than nothing outside is inside; what is not a number is far outside.
    fn by(distance: f64) -> Self {
        if distance <= 0.0 { Self(0.0) } else { Self(distance.min(f64::MAX)) }
    }

    /// Both together.
    pub(super) fn and(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }

    /// What a standard uncertainty is multiplied by.
    pub(super) fn widens(self) -> f64 {
        (1.0 + WIDENS_BY * self.0).min(WIDENS_UP_TO)
    }

    /// What is left of what the measurement may narrow, 1 to 0.
    pub(super) fn share(self) -> f64 {
        (1.0 - self.0).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn nothing_changes_at_once_at_an_edge_and_the_further_out_the_less_it_narrows() {
        for (inside, just, far) in [
            (Outside::cold(-5.0), Outside::cold(1.0e-6), Outside::cold(30.0)),
            (Outside::old(-3.0), Outside::old(1.0e-6), Outside::old(400.0)),
            (
                Outside::unsteady(9.0, 8.0),
                Outside::unsteady(8.0 - 1.0e-6, 8.0),
                Outside::unsteady(0.0, 8.0),
            ),
        ] {
            assert_eq!(inside, Outside::default());
            assert_relative_eq!(just.widens(), 1.0, epsilon = 1.0e-5);
            assert_relative_eq!(just.share(), 1.0, epsilon = 1.0e-5);
            assert_relative_eq!(far.share(), 0.0);
            assert_relative_eq!(far.widens(), 2.0);
        }
        assert_relative_eq!(Outside::cold(f64::NAN).share(), 0.0);
    }
}
