//! From witnesses to the counting moisture.

use super::evidence::{Statement, Witness};
use crate::quantities::MoisturePercent;

/// Normal quantile of a one-sided 95 % bound, a stated convention.
pub const ONE_SIDED_95: f64 = 1.645;

/// What the witnesses amount to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counting {
    /// Best estimate of water in paper: the wettest value, whatever its uncertainty.
    pub best: MoisturePercent,
    /// The moisture that counts: the upper 95 % bound; `None` if no uncertainty is stated.
    pub upper: Option<MoisturePercent>,
    /// Index of the witness that gives it.
    pub witness: usize,
}

/// The counting moisture: the wettest witness at its own upper 95 % bound.
///
/// ```text
/// counting = max over witnesses of (value + 1.645·std)
/// ```
/// Believing the wettest witness alone is the most pessimistic credible reading. A witness
/// without a standard uncertainty leaves the bound unknown, for it could be the wettest.
///
/// # Source       The quantile is a convention; the choice of the wettest is ours.
/// # Valid        At least one witness that states water in paper and is not set aside; otherwise `None`.
/// # Departures   A bound above 100 % is held at 100 %.
/// # Checked      See the tests of this file.
pub fn counting(witnesses: &[Witness]) -> Option<Counting> {
    let mut found: Option<(Counting, f64)> = None;
    let mut bounded = true;
    let mut wettest_value: Option<MoisturePercent> = None;
    for (index, witness) in witnesses.iter().enumerate() {
        let Statement::Paper { percent, std } = witness.statement else {
            continue;
        };
        if witness.set_aside.is_some() {
            continue;
        }
        bounded &= std.is_some();
        if wettest_value.is_none_or(|wettest| percent > wettest) {
            wettest_value = Some(percent);
        }
        let bound = percent.value() + ONE_SIDED_95 * std.unwrap_or(0.0);
        if found.is_none_or(|(_, wettest)| bound > wettest) {
            let upper = MoisturePercent::new(bound.min(100.0)).ok();
            let counting = Counting { best: percent, upper, witness: index };
            found = Some((counting, bound));
        }
    }
    found.map(|(counting, _)| Counting {
        best: wettest_value.unwrap_or(counting.best),
        upper: counting.upper.filter(|_| bounded),
        ..counting
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn witness(percent: f64, std: Option<f64>) -> Witness {
        Witness {
            method: None,
            statement: Statement::Paper { percent: MoisturePercent::new(percent).unwrap(), std },
            date: None,
            set_aside: None,
        }
    }

    #[test]
    fn a_lone_witness_counts_at_its_own_upper_bound() {
        let counting = counting(&[witness(2.0, Some(0.4))]).unwrap();
        assert_relative_eq!(counting.upper.unwrap().value(), 2.0 + 1.645 * 0.4);
        assert_relative_eq!(counting.best.value(), 2.0);
    }

    #[test]
    fn the_wettest_upper_bound_counts() {
        let counting = counting(&[witness(2.5, Some(0.1)), witness(2.0, Some(0.5))]).unwrap();
        assert_eq!(counting.witness, 1);
        assert_relative_eq!(counting.best.value(), 2.5);
    }

    #[test]
    fn a_witness_without_uncertainty_leaves_the_bound_unknown() {
        assert!(counting(&[witness(2.0, None)]).unwrap().upper.is_none());
        assert!(counting(&[witness(1.0, None), witness(3.0, Some(0.3))]).unwrap().upper.is_none());
        assert!(counting(&[]).is_none());
    }
}
