//! The working value of the bubble inception temperature, and what can be said beyond its range.

use super::{Conditions, GAS_PERCENT, PRESSURE_MMHG, WATER_PERCENT, fessler, oommen_lindgren};
use crate::quantities::{Celsius, GasPercent, MoisturePercent, OutsideValidity, Pascals};

/// Both correlations at one set of conditions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inception {
    /// Oommen–Lindgren with dissolved gas.
    pub oommen_lindgren: Celsius,
    /// Fessler, which has no gas term.
    pub fessler: Celsius,
}

impl Inception {
    /// The lower of the two, which every margin uses.
    pub fn working(&self) -> Celsius {
        if self.oommen_lindgren < self.fessler { self.oommen_lindgren } else { self.fessler }
    }

    /// Name of the correlation that gives [`Self::working`].
    pub fn governed_by(&self) -> &'static str {
        if self.oommen_lindgren < self.fessler { oommen_lindgren::NAME } else { fessler::NAME }
    }
}

/// Bubble inception temperature after both correlations.
///
/// ```text
/// working value = min(Oommen–Lindgren with gas, Fessler)
/// ```
/// # Source       See [`oommen_lindgren`] and [`fessler`]; taking the lower is our choice.
/// # Valid        W 0.3–6 %, P 525–1520 mmHg, Vg 0–10.5 %.
/// # Departures   None.
/// # Checked      `tests/published/common_practice.rs`. No measured bubbling point was available.
///
/// # Errors
/// [`OutsideValidity`] outside the range above.
pub fn inception(conditions: &Conditions) -> Result<Inception, OutsideValidity> {
    Ok(Inception {
        oommen_lindgren: oommen_lindgren::inception(conditions)?,
        fessler: fessler::inception(conditions)?,
    })
}

/// What is known of the inception temperature outside the range of the correlations.
///
/// Inception falls with water and gas and rises with pressure. So the value at the edge
/// of the range is a proven *ceiling* where the paper is wetter, the oil gassier or the
/// pressure lower than the range, and a proven *floor* where the paper is drier. A ceiling
/// can prove a no-go; it can never prove a go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// Inception is at or below this.
    pub ceiling: Option<Celsius>,
    /// Inception is at or above this (dry paper only).
    pub floor: Option<Celsius>,
}

/// The bounds that hold outside the range, from the values at its edge.
pub fn edge(conditions: &Conditions) -> Edge {
    let none = Edge { ceiling: None, floor: None };
    let (water, mmhg, gas) =
        (conditions.water.value(), conditions.pressure.mmhg(), conditions.gas.value());
    let wetter = water > WATER_PERCENT.1 || gas > GAS_PERCENT.1 || mmhg < PRESSURE_MMHG.0;
    let drier = water < WATER_PERCENT.0;
    let at_edge = || {
        let nearest = Conditions {
            water: MoisturePercent::new(water.clamp(WATER_PERCENT.0, WATER_PERCENT.1)).ok()?,
            pressure: Pascals::from_mmhg(mmhg.clamp(PRESSURE_MMHG.0, PRESSURE_MMHG.1)).ok()?,
            gas: GasPercent::new(gas.clamp(GAS_PERCENT.0, GAS_PERCENT.1)).ok()?,
        };
        inception(&nearest).ok().map(|found| found.working())
    };
    let higher_pressure = mmhg > PRESSURE_MMHG.1;
    match (wetter, drier, higher_pressure) {
        (true, false, false) => Edge { ceiling: at_edge(), floor: None },
        (false, true, false) => Edge { ceiling: None, floor: at_edge() },
        _ => none,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn conditions(water: f64, mmhg: f64, gas: f64) -> Conditions {
        Conditions {
            water: MoisturePercent::new(water).unwrap(),
            pressure: Pascals::from_mmhg(mmhg).unwrap(),
            gas: GasPercent::new(gas).unwrap(),
        }
    }

    /// Two separately published formulas must agree where they describe the same thing.
    /// The band 1.8 to 3.0 K is what an independent recomputation found; half a digit is allowed.
    #[test]
    fn the_two_correlations_agree_without_gas() {
        for water in [0.5, 1.0, 2.0, 3.0, 4.0, 6.0] {
            for mmhg in [600.0, 760.0, 1000.0] {
                let both = inception(&conditions(water, mmhg, 0.0)).unwrap();
                let apart = (both.oommen_lindgren - both.fessler).value().abs();
                assert!((1.75..=3.05).contains(&apart), "{water} % at {mmhg} mmHg: {apart} K");
            }
        }
    }

    #[test]
    fn the_lower_correlation_is_the_working_value() {
        let gassy = inception(&conditions(2.0, 760.0, 9.0)).unwrap();
        assert_eq!(gassy.governed_by(), oommen_lindgren::NAME);
        assert_eq!(gassy.working(), gassy.oommen_lindgren);
        let degassed = inception(&conditions(2.0, 760.0, 0.0)).unwrap();
        assert_eq!(degassed.working(), degassed.fessler.min_of(degassed.oommen_lindgren));
    }

    #[test]
    fn refuses_conditions_outside_the_range() {
        for bad in [
            conditions(0.29, 760.0, 5.0),
            conditions(6.01, 760.0, 5.0),
            conditions(2.0, 524.0, 5.0),
            conditions(2.0, 1521.0, 5.0),
            conditions(2.0, 760.0, 10.6),
        ] {
            assert!(inception(&bad).is_err());
        }
    }

    #[test]
    fn the_edge_is_a_ceiling_when_wetter_and_a_floor_when_drier() {
        let wet = edge(&conditions(7.0, 760.0, 2.0));
        assert!(wet.ceiling.is_some() && wet.floor.is_none());
        let dry = edge(&conditions(0.2, 760.0, 2.0));
        assert!(dry.ceiling.is_none() && dry.floor.is_some());
        let neither = edge(&conditions(7.0, 1600.0, 2.0));
        assert!(neither.ceiling.is_none() && neither.floor.is_none());
    }

    trait Lower {
        fn min_of(self, other: Self) -> Self;
    }
    impl Lower for Celsius {
        fn min_of(self, other: Self) -> Self {
            if self < other { self } else { other }
        }
    }
}
