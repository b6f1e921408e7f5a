//! Physical quantities as types, so that what gets confused cannot be mixed.
//!
//! A temperature *point* ([`Celsius`]) and a temperature *difference* ([`Kelvin`])
//! are different things: point − point = difference, point + difference = point,
//! and point + point does not compile:
//!
//! ```compile_fail
//! use bubblemargin::quantities::Celsius;
//! let a = Celsius::new(90.0).unwrap();
//! let b = Celsius::new(20.0).unwrap();
//! let nonsense = a + b;
//! ```
//!
//! Nor do the three measures of water mix, though all are "moisture":
//!
//! ```compile_fail
//! use bubblemargin::quantities::{MoisturePercent, WaterPpm};
//! let paper = MoisturePercent::new(2.0).unwrap();
//! let oil = WaterPpm::new(20.0).unwrap();
//! let nonsense = paper + oil;
//! ```
//!
//! Every value is finite by construction and no larger than [`LARGEST`], so that
//! sums and differences of a few of them stay finite as well.

use serde::{Serialize, Serializer};
use std::fmt;
use std::ops::{Add, Neg, Sub};

/// No quantity of this trade comes near this magnitude in the units used here.
/// It bounds every constructor, so that `+` and `-` cannot overflow.
pub const LARGEST: f64 = 1.0e9;

/// A number that no quantity may hold.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{quantity} must lie between {least} and {most} {unit}, found {found}")]
pub struct NotAQuantity {
    /// What the number was meant to be.
    pub quantity: &'static str,
    /// Unit of the bounds.
    pub unit: &'static str,
    /// Smallest value accepted.
    pub least: f64,
    /// Largest value accepted.
    pub most: f64,
    /// What was found; may be NaN or infinite.
    pub found: f64,
}

/// Why a formula refused to answer: it would have left its source's range.
///
/// This is an error of computing, not a verdict. The rules turn it into
/// *cannot decide*; nothing ever clamps the value instead.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{quantity} {found} {unit} is outside {least} to {most} {unit}, the range of {formula}")]
pub struct OutsideValidity {
    /// The formula, as named in the bibliography.
    pub formula: &'static str,
    /// The quantity that is out of range.
    pub quantity: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// What was found.
    pub found: f64,
    /// Lower end of the valid range.
    pub least: f64,
    /// Upper end of the valid range.
    pub most: f64,
}

impl NotAQuantity {
    /// The same as a formula that left its range.
    pub fn outside(self, formula: &'static str) -> OutsideValidity {
        OutsideValidity {
            formula,
            quantity: self.quantity,
            unit: self.unit,
            found: self.found,
            least: self.least,
            most: self.most,
        }
    }
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $unit:literal, $label:literal, $least:expr, $most:expr) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Unit in which [`Self::value`] is given.
            pub const UNIT: &'static str = $unit;

            /// Takes a raw number in the unit of this type.
            ///
            /// # Errors
            /// NaN, infinity, or a value that is physically impossible.
            pub fn new(value: f64) -> Result<Self, NotAQuantity> {
                // NaN is in no range.
                if ($least..=$most).contains(&value) {
                    Ok(Self(value))
                } else {
                    Err(NotAQuantity {
                        quantity: $label,
                        unit: $unit,
                        least: $least,
                        most: $most,
                        found: value,
                    })
                }
            }

            /// The raw number in [`Self::UNIT`].
            pub const fn value(self) -> f64 {
                self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                fmt::Display::fmt(&self.0, f)?;
                f.write_str(" ")?;
                f.write_str($unit)
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_f64(self.0)
            }
        }
    };
}

quantity!(
    /// A temperature point. Differences are [`Kelvin`].
    Celsius, "°C", "temperature", -273.15, LARGEST
);
quantity!(
    /// A temperature difference (rise, gradient, margin); may be negative.
    Kelvin, "K", "temperature difference", -LARGEST, LARGEST
);
quantity!(
    /// A time or duration in minutes; negative before the overload begins.
    Minutes, "min", "time", -LARGEST, LARGEST
);
quantity!(
    /// Load current per unit of the transformer's rated current.
    PerUnit, "pu", "load", 0.0, LARGEST
);
quantity!(
    /// Water in paper, per cent by mass of dry oil-free paper.
    MoisturePercent, "%", "water in paper", 0.0, 100.0
);
quantity!(
    /// Water in oil, parts per million by mass.
    WaterPpm, "ppm", "water in oil", 0.0, 1.0e6
);
quantity!(
    /// Relative saturation of oil with water, as a fraction (1 = saturated).
    RelativeSaturation, "of saturation", "relative saturation", 0.0, LARGEST
);
quantity!(
    /// Gas dissolved in oil, per cent by volume.
    GasPercent, "% by volume", "gas content", 0.0, 1000.0
);
quantity!(
    /// Absolute pressure.
    Pascals, "Pa", "pressure", 0.0, LARGEST
);
quantity!(
    /// A length or height; negative below sea level.
    Metres, "m", "height", -LARGEST, LARGEST
);

/// One millimetre of mercury in pascals, by definition of the unit.
const PASCALS_PER_MMHG: f64 = 133.322_387_415;

/// One standard atmosphere in pascals, exact by definition.
pub const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;

impl Pascals {
    /// The same pressure in millimetres of mercury.
    pub fn mmhg(self) -> f64 {
        self.0 / PASCALS_PER_MMHG
    }

    /// The same pressure in standard atmospheres.
    pub fn atmospheres(self) -> f64 {
        self.0 / STANDARD_ATMOSPHERE_PA
    }

    /// Takes a pressure in millimetres of mercury.
    ///
    /// # Errors
    /// NaN, infinity, or a negative pressure.
    pub fn from_mmhg(mmhg: f64) -> Result<Self, NotAQuantity> {
        Self::new(mmhg * PASCALS_PER_MMHG)
    }
}

impl Minutes {
    /// The start of the overload.
    pub const ZERO: Self = Self(0.0);

    /// The same duration in hours.
    pub fn hours(self) -> f64 {
        self.0 / 60.0
    }
}

impl Sub for Celsius {
    type Output = Kelvin;
    fn sub(self, other: Self) -> Kelvin {
        Kelvin(self.0 - other.0)
    }
}

impl Add<Kelvin> for Celsius {
    type Output = Self;
    fn add(self, difference: Kelvin) -> Self {
        Self(self.0 + difference.0)
    }
}

impl Sub<Kelvin> for Celsius {
    type Output = Self;
    fn sub(self, difference: Kelvin) -> Self {
        Self(self.0 - difference.0)
    }
}

macro_rules! additive {
    ($($name:ident),*) => {$(
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
    )*};
}
additive!(Kelvin, Minutes);

impl Neg for Kelvin {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_of_points_is_a_rise() {
        let hot_spot = Celsius::new(98.0).unwrap();
        let ambient = Celsius::new(20.0).unwrap();
        let rise: Kelvin = hot_spot - ambient;
        // Both numbers are exact in binary, so is their difference.
        assert!((rise.value() - 78.0).abs() < f64::EPSILON);
    }

    #[test]
    fn refuses_what_is_not_a_number() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1.0e300] {
            assert!(Celsius::new(bad).is_err());
            assert!(Kelvin::new(bad).is_err());
            assert!(PerUnit::new(bad).is_err());
        }
        assert!(Celsius::new(-274.0).is_err(), "below absolute zero");
        assert!(MoisturePercent::new(-0.1).is_err());
        assert!(MoisturePercent::new(100.1).is_err());
    }

    #[test]
    fn an_atmosphere_is_760_mmhg() {
        let atmosphere = Pascals::new(STANDARD_ATMOSPHERE_PA).unwrap();
        // 760 mmHg differ from an atmosphere by 1.4e-7 of it, by definition.
        assert!((atmosphere.mmhg() - 760.0).abs() < 2.0e-4);
    }
}
