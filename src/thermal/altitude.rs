//! Thin air cools less: what an altitude adds to the top-oil rise.

use crate::quantities::OutsideValidity;

/// Up to this altitude rises hold as they are stated, m.
pub const HOLDS_UP_TO_M: f64 = 1000.0;

/// What takes the heat off the radiators or coolers of a stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Coolant {
    /// Air that rises by itself (AN).
    NaturalAir,
    /// Air moved by fans (AF).
    ForcedAir,
    /// Water.
    Water,
}

impl Coolant {
    /// Metres above 1000 m for each kelvin; `None` where the altitude adds nothing.
    fn metres_per_kelvin(self) -> Option<f64> {
        match self {
            Self::NaturalAir => Some(400.0),
            Self::ForcedAir => Some(250.0),
            Self::Water => None,
        }
    }
}

/// What the altitude of a unit adds to its top-oil rise at the rating, K.
///
/// ```text
/// dΔθo = max(0, max(h, 1000) − max(h0, 1000))/s        s = 400 m/K (AN), 250 m/K (AF), none for water
/// ```
/// h is the altitude of the unit, h0 the one that the rises hold for, both in m. The average winding rise over
/// ambient grows by as much, so that the winding gradient over the oil stays.
///
/// # Source       `iec-60076-2-2011` (from memory).
/// # Valid        −500 to 11 000 m, the range of the standard atmosphere. Outside: [`OutsideValidity`].
/// # Departures   The standard corrects a test; here the unit in service is corrected, and with the load the
///   correction changes as the rise does (our choice: thin air takes a share of the heat away, not a
///   number of kelvins). Rises from higher up earn nothing lower down (our choice: no credit).
/// # Checked      Not checked against published numbers; 2500 m by hand: 6 K (AF) and 3.75 K (AN).
///
/// # Errors
/// [`OutsideValidity`] outside the range above.
pub fn added_rise_k(
    altitude_m: f64,
    rises_at_m: f64,
    coolant: Coolant,
) -> Result<f64, OutsideValidity> {
    let (least, most) = (-500.0, 11_000.0);
    for found in [altitude_m, rises_at_m] {
        if !(found >= least && found <= most) {
            return Err(OutsideValidity {
                formula: "rise in thin air",
                quantity: "altitude",
                unit: "m",
                found,
                least,
                most,
            });
        }
    }
    let higher_m = altitude_m.max(HOLDS_UP_TO_M) - rises_at_m.max(HOLDS_UP_TO_M);
    Ok(coolant.metres_per_kelvin().map_or(0.0, |metres| higher_m.max(0.0) / metres))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn added(altitude_m: f64, rises_at_m: f64, coolant: Coolant) -> f64 {
        added_rise_k(altitude_m, rises_at_m, coolant).unwrap()
    }

    #[test]
    fn a_unit_at_2500_m_is_hotter_by_6_k_with_fans_and_3_75_k_without() {
        // 1500 m above 1000 m: exact in binary, so that only rounding is left.
        assert_relative_eq!(added(2500.0, 0.0, Coolant::ForcedAir), 6.0);
        assert_relative_eq!(added(2500.0, 0.0, Coolant::NaturalAir), 3.75);
        assert_relative_eq!(added(2500.0, 0.0, Coolant::Water), 0.0);
    }

    #[test]
    fn rises_count_from_where_they_were_measured_and_earn_nothing_lower_down() {
        assert_relative_eq!(added(2500.0, 2500.0, Coolant::ForcedAir), 0.0);
        assert_relative_eq!(added(2500.0, 1500.0, Coolant::ForcedAir), 4.0);
        assert_relative_eq!(added(200.0, 2500.0, Coolant::ForcedAir), 0.0);
        assert_relative_eq!(added(1000.0, 0.0, Coolant::ForcedAir), 0.0);
        assert!(added_rise_k(f64::NAN, 0.0, Coolant::ForcedAir).is_err());
        assert!(added_rise_k(2500.0, f64::NAN, Coolant::Water).is_err());
    }
}
