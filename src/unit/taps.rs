//! Taps: what the current of the tapped winding is on each of them.

use super::profile::TapsFile;
use super::validate::Refuse;
use crate::input::InputError;

/// The taps of a unit.
///
/// What is not modelled: the load loss of each tap, and the short-circuit voltage that changes with it. The tapped
/// winding carries its full power on every tap (IEC 60076-1, full-power tappings; from memory).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taps {
    from: u32,
    to: u32,
    rated: u32,
    step_percent: f64,
    rises_at: u32,
}

impl Taps {
    /// Whether the unit has this tap.
    pub fn has(&self, tap: u32) -> bool {
        (self.from..=self.to).contains(&tap)
    }

    /// First and last tap, for errors.
    pub fn ends(&self) -> (u32, u32) {
        (self.from, self.to)
    }

    /// Turns of the tapped winding on a tap, per unit of those on the rated one.
    fn turns_pu(&self, tap: u32) -> f64 {
        1.0 + (f64::from(tap) - f64::from(self.rated)) * self.step_percent / 100.0
    }

    /// The current of the hotter winding on a tap, per unit of the load over voltage; without a tap that of the worst
    /// one, the tap with the fewest turns.
    ///
    /// ```text
    /// c = max(1, n(rises_at) / n(tap))        n turns of the tapped winding, pu
    /// ```
    /// The voltage is that of the winding without taps, so that its current is load over voltage on every tap, and the
    /// ampere-turns of the tapped winding are the same: fewer turns, more current. The rises hold for the currents of
    /// the tap `rises_at`.
    ///
    /// # Source       `project-choice`: ampere-turns are balanced. Voltage drop and magnetising current are left out.
    /// # Valid        Taps of the unit; another one counts as the worst.
    /// # Departures   Losses and gradient of both windings go with the square of the hotter one's current: too much by
    ///   the other winding's part, which is the safe side.
    /// # Checked      Not checked against published numbers; see the tests of this file.
    pub fn current_factor(&self, tap: Option<u32>) -> f64 {
        let rises = self.turns_pu(self.rises_at);
        let fewest = self.turns_pu(self.from).min(self.turns_pu(self.to));
        let turns = tap.filter(|tap| self.has(*tap)).map_or(fewest, |tap| self.turns_pu(tap));
        (rises / turns).max(1.0)
    }
}

/// The taps of a profile.
///
/// # Errors
/// [`InputError`] for numbers that are not whole or not in order, and for turns that more than double or halve.
pub(super) fn taps(
    refuse: &Refuse<'_>,
    file: Option<&TapsFile>,
) -> Result<Option<Taps>, InputError> {
    let Some(file) = file else { return Ok(None) };
    let whole = |key: &str, number: &crate::input::number::Number<super::profile::TapNumber>| {
        let value = number.value;
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole numbers up to 99 by their range"
        )]
        if value.fract().abs() <= 0.0 {
            Ok(value as u32)
        } else {
            Err(refuse.at(number.line, key, value.to_string(), "a whole number"))
        }
    };
    let (from, to) = (whole("taps.from", &file.from)?, whole("taps.to", &file.to)?);
    if from >= to {
        let found = format!("{from} to {to}");
        return Err(refuse.at(file.to.line, "taps.to", found, "a last tap above the first"));
    }
    let rated = whole("taps.rated", &file.rated)?;
    let rises_at = file.rises_at.as_ref().map(|at| whole("taps.rises_at", at)).transpose()?;
    let found = Taps {
        from,
        to,
        rated,
        step_percent: file.step_percent.value,
        rises_at: rises_at.unwrap_or(rated),
    };
    let named = [("taps.rated", Some(&file.rated)), ("taps.rises_at", file.rises_at.as_ref())];
    for (key, number) in named.into_iter().filter_map(|(key, number)| Some((key, number?))) {
        if !(f64::from(from) <= number.value && number.value <= f64::from(to)) {
            let accepted = format!("a tap from {from} to {to}");
            return Err(refuse.at(number.line, key, number.value.to_string(), accepted));
        }
    }
    for tap in [from, to] {
        let turns = found.turns_pu(tap);
        if !(0.5..=2.0).contains(&turns) {
            let line = file.step_percent.line;
            let words = format!("{:.0} % of the rated turns on tap {tap}", 100.0 * turns);
            let accepted = "taps from 50 to 200 % of the rated turns";
            return Err(refuse.at(line, "taps.step_percent", words, accepted));
        }
    }
    Ok(Some(found))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const TAPS: Taps = Taps { from: 1, to: 19, rated: 10, step_percent: 1.25, rises_at: 10 };

    #[test]
    fn fewer_turns_carry_more_current_and_more_turns_spare_only_one_winding() {
        assert_relative_eq!(TAPS.current_factor(Some(10)), 1.0);
        assert_relative_eq!(TAPS.current_factor(Some(2)), 1.0 / 0.9);
        assert_relative_eq!(TAPS.current_factor(Some(18)), 1.0, epsilon = 1.0e-12);
        let down = Taps { step_percent: -1.25, ..TAPS };
        assert_relative_eq!(down.current_factor(Some(18)), 1.0 / 0.9);
    }

    #[test]
    fn a_tap_that_is_not_known_is_the_worst_one() {
        for tap in 1..=19 {
            assert!(TAPS.current_factor(None) >= TAPS.current_factor(Some(tap)));
        }
        assert_relative_eq!(TAPS.current_factor(None), 1.0 / 0.8875);
        assert_relative_eq!(TAPS.current_factor(Some(20)), 1.0 / 0.8875);
    }

    #[test]
    fn rises_of_the_tap_with_the_greatest_current_need_nothing_more() {
        let tested = Taps { rises_at: 1, ..TAPS };
        assert_relative_eq!(tested.current_factor(None), 1.0);
        assert_relative_eq!(tested.current_factor(Some(10)), 1.0);
    }
}
