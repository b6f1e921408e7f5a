//! What water does to the breakdown voltage of oil, from measured points.

/// Breakdown voltage of oil with so much water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strength {
    /// Breakdown voltage, kV.
    pub breakdown_kv: f64,
    /// Whether it is only known to be no more than that.
    pub at_most: bool,
}

/// Measured points: water in the oil, ppm, and breakdown voltage, kV.
const MEASURED: [(f64, f64); 3] = [(23.4, 42.3), (31.6, 33.6), (69.0, 18.4)];

/// Breakdown voltage against water in the oil, indicative.
///
/// ```text
/// straight lines between 23.4 ppm 42.3 kV, 31.6 ppm 33.6 kV and 69 ppm 18.4 kV
/// ```
/// # Source       `energies-2021-14-2089` (read), test of IEC 60156.
/// # Valid        23.4 ppm and more; `None` below. Oil of that study, not this one: age and particles matter too.
/// # Departures   Above 69 ppm: at most the value there.
/// # Checked      `tests/published/energies_2021_14_2089.rs`, its own three points.
pub fn strength(ppm: f64) -> Option<Strength> {
    let (wettest_ppm, weakest_kv) = MEASURED[MEASURED.len() - 1];
    if ppm > wettest_ppm {
        return Some(Strength { breakdown_kv: weakest_kv, at_most: true });
    }
    let pair = MEASURED.windows(2).find(|pair| pair[0].0 <= ppm && ppm <= pair[1].0)?;
    let share = (ppm - pair[0].0) / (pair[1].0 - pair[0].0);
    let breakdown_kv = pair[0].1 + share * (pair[1].1 - pair[0].1);
    Some(Strength { breakdown_kv, at_most: false })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_strength_falls_with_water_and_is_open_at_both_ends() {
        assert!(strength(23.3).is_none() && strength(f64::NAN).is_none());
        assert!(strength(50.0).unwrap().breakdown_kv < strength(30.0).unwrap().breakdown_kv);
        assert!(strength(70.0).unwrap().at_most && !strength(69.0).unwrap().at_most);
    }
}
