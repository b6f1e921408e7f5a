//! Several draws side by side, one in each lane, and the elementary functions that the thermal
//! forms need on them.
//!
//! A single run is one lane. Every operation works on each lane alone and in the same order
//! whatever their number, and no multiply-add is fused, so that a draw has the same digits alone,
//! among others, and on every processor.
//!
//! The functions of a general-purpose vector crate are compiled for the narrowest processor; these
//! are plain loops that the compiler widens where [`wide`] finds wider registers at run time.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

use std::array;
use std::ops::{Add, Div, Mul, Sub};

/// `N` numbers, one for each draw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lanes<const N: usize>(pub [f64; N]);

/// Lanes of an ensemble: two registers of four fill the pipelines of the processors met so far.
pub const WIDTH: usize = 8;

macro_rules! lanewise {
    ($($operator:ident $function:ident $symbol:tt),*) => { $(
        impl<const N: usize> $operator for Lanes<N> {
            type Output = Self;
            #[inline(always)]
            fn $function(self, other: Self) -> Self {
                Self(array::from_fn(|i| self.0[i] $symbol other.0[i]))
            }
        }
    )* };
}
lanewise!(Add add +, Sub sub -, Mul mul *, Div div /);

impl<const N: usize> Lanes<N> {
    /// The same number in every lane.
    #[inline(always)]
    pub fn all(value: f64) -> Self {
        Self([value; N])
    }

    /// Lane by lane.
    #[inline(always)]
    #[must_use]
    pub fn map(self, change: impl Fn(f64) -> f64) -> Self {
        Self(array::from_fn(|i| change(self.0[i])))
    }

    /// The greater of the two, lane by lane; a NaN stays.
    #[inline(always)]
    #[must_use]
    pub fn greater(self, other: Self) -> Self {
        Self(array::from_fn(|i| if self.0[i] > other.0[i] { self.0[i] } else { other.0[i] }))
    }

    /// The smaller of the two, lane by lane; a NaN in `other` stays.
    #[inline(always)]
    #[must_use]
    pub fn smaller(self, other: Self) -> Self {
        Self(array::from_fn(|i| if self.0[i] < other.0[i] { self.0[i] } else { other.0[i] }))
    }

    /// Whether any lane of the two is below zero.
    #[inline(always)]
    pub fn any_negative_of_either(self, other: Self) -> bool {
        let both = self.0.iter().zip(&other.0);
        both.fold(0, |bits, (one, other)| bits | one.to_bits() | other.to_bits()) >> 63 != 0
    }

    /// e to the power of each lane ([`exp`]).
    #[inline(always)]
    #[must_use]
    pub fn exp(self) -> Self {
        self.map(exp)
    }

    /// Natural logarithm of each lane ([`ln`]).
    #[inline(always)]
    #[must_use]
    pub fn ln(self) -> Self {
        self.map(ln)
    }
}

/// ln 2 in two parts, the first with enough zeros at its end that small multiples are exact.
const LN_2: (f64, f64) = (6.931_471_803_691_238e-1, 1.908_214_929_270_587_7e-10);

/// Adding it to a number below 2^51 leaves the nearest integer in the last bits.
const ROUNDS: f64 = 6_755_399_441_055_744.0;

/// e^x without branches, so that it can be computed in many lanes at once.
///
/// ```text
/// e^x = 2^n · e^r,  n = round(x/ln 2),  |r| ≤ ln 2/2, e^r by its power series to r^11
/// ```
/// # Source       Textbook range reduction; the series is Taylor's.
/// # Valid        All x; below −708 the result is that of −708 (3e-308), above 709 that of 709.
/// # Departures   None.
/// # Checked      Against the standard library, tests of this file.
#[inline(always)]
pub fn exp(x: f64) -> f64 {
    let x = if x < -708.0 { -708.0 } else { x };
    let x = if x > 709.0 { 709.0 } else { x };
    let shifted = x * std::f64::consts::LOG2_E + ROUNDS;
    let n = shifted - ROUNDS;
    let r = (x - n * LN_2.0) - n * LN_2.1;
    let (r2, r4) = (r * r, (r * r) * (r * r));
    let c = |k: usize| INVERSE_FACTORIALS[k];
    let low = (1.0 + r) + r2 * (c(2) + r * c(3));
    let middle = (c(4) + r * c(5)) + r2 * (c(6) + r * c(7));
    let high = (c(8) + r * c(9)) + r2 * (c(10) + r * c(11));
    let series = low + r4 * (middle + r4 * high);
    series * f64::from_bits((shifted.to_bits() << 52).wrapping_add(1023 << 52))
}

/// Up to here [`exp_near_zero`] is as good as [`exp`]: the first term left out is 1.6e-15.
pub(super) const NEAR: f64 = 0.15;

/// e^x by its power series to x^9, for |x| ≤ [`NEAR`].
#[inline(always)]
pub(super) fn exp_near_zero(x: f64) -> f64 {
    let (x2, x4) = (x * x, (x * x) * (x * x));
    let c = |k: usize| INVERSE_FACTORIALS[k];
    let low = (1.0 + x) + x2 * (c(2) + x * c(3));
    let middle = (c(4) + x * c(5)) + x2 * (c(6) + x * c(7));
    low + x4 * (middle + x4 * (c(8) + x * c(9)))
}

/// 1/k! for k from 0 to 11.
const INVERSE_FACTORIALS: [f64; 12] = {
    let mut terms = [1.0; 12];
    let (mut k, mut factorial, mut count) = (1, 1.0, 1.0);
    while k < 12 {
        factorial *= count;
        count += 1.0;
        terms[k] = 1.0 / factorial;
        k += 1;
    }
    terms
};

/// 2^x, as [`exp`].
#[inline(always)]
pub fn exp2(x: f64) -> f64 {
    exp(x * std::f64::consts::LN_2)
}

/// Natural logarithm without branches, so that it can be computed in many lanes at once.
///
/// ```text
/// ln x = k·ln 2 + ln(1+f),  √½ ≤ 1+f < √2,  s = f/(2+f)
/// ln(1+f) = 2·(s + s³/3 + s⁵/5 + … + s¹⁹/19)
/// ```
/// # Source       Textbook range reduction; the series is that of the inverse hyperbolic tangent.
/// # Valid        x ≥ 0 and finite; below 1e-300 the result is that of 1e-300, so that a power of zero
/// comes out as good as zero.
/// # Departures   None.
/// # Checked      Against the standard library, tests of this file.
#[inline(always)]
pub fn ln(x: f64) -> f64 {
    let x = if x < 1.0e-300 { 1.0e-300 } else { x };
    let bits = x.to_bits();
    let exponent = bits.wrapping_sub(ROOT_HALF_BITS).wrapping_add(1023 << 52) >> 52;
    let k = f64::from_bits(TWO_52_BITS | exponent) - (4_503_599_627_370_496.0 + 1023.0);
    let mantissa = f64::from_bits(bits.wrapping_sub(exponent << 52).wrapping_add(1023 << 52));
    let f = mantissa - 1.0;
    let s = f / (2.0 + f);
    let (z, w) = (s * s, (s * s) * (s * s));
    let odd = |n: f64| 2.0 / n;
    let low = (odd(3.0) + z * odd(5.0)) + w * (odd(7.0) + z * odd(9.0));
    let high = (odd(11.0) + z * odd(13.0)) + w * (odd(15.0) + z * odd(17.0));
    let series = low + (w * w) * (high + (w * w) * odd(19.0));
    k * LN_2.0 + ((2.0 * s + s * (z * series)) + k * LN_2.1)
}

/// The bits of √½.
const ROOT_HALF_BITS: u64 = std::f64::consts::FRAC_1_SQRT_2.to_bits();
/// The bits of 2^52, in whose last place the units are.
const TWO_52_BITS: u64 = 4_503_599_627_370_496.0_f64.to_bits();

/// Runs work compiled for the widest registers that this processor has.
///
/// Only what is inlined into [`Work::run`] is widened. The digits do not depend on the width.
pub fn wide<W: Work>(work: W) -> W::Answer {
    pulp::Arch::new().dispatch(Widened(work))
}

/// Work for [`wide`].
pub trait Work {
    /// What comes out.
    type Answer;
    /// Does it; to be marked `#[inline(always)]`.
    fn run(self) -> Self::Answer;
}

struct Widened<W>(W);

impl<W: Work> pulp::WithSimd for Widened<W> {
    type Output = W::Answer;
    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _registers: S) -> W::Answer {
        self.0.run()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first term left out, (ln 2/2)^12/12! = 6.3e-15, and rounding. Physics needs a thousandth
    /// of a kelvin, or 1e-5.
    const CLOSE: f64 = 1.0e-14;

    #[test]
    fn the_exponential_is_that_of_the_standard_library() {
        for step in -6_000..6_000 {
            let x = f64::from(step) * 1.17e-2;
            let error = (exp(x) / x.exp() - 1.0).abs();
            assert!(error <= CLOSE, "e^{x}: {error:e}");
        }
        assert!(exp(f64::NAN).is_nan());
        assert!(exp(-1.0e9) < 1.0e-300 && exp(-1.0e9) >= 0.0);
        assert!(exp(1.0e9).is_finite());
    }

    #[test]
    fn the_logarithm_is_that_of_the_standard_library() {
        for step in 1..20_000 {
            let x = f64::from(step) * 1.46e-3;
            let error = (ln(x) - x.ln()).abs();
            // Near x = 1 the logarithm itself is near zero, so the error is measured against 1 there.
            assert!(error <= CLOSE * x.ln().abs().max(1.0), "ln {x}: {error:e}");
        }
        for power in -300..300 {
            let x = 10.0_f64.powi(power);
            assert!((ln(x) / x.ln() - 1.0).abs() <= CLOSE || power == 0);
        }
    }

    #[test]
    fn a_power_of_zero_is_as_good_as_zero() {
        assert!(exp(1.3 * ln(0.0)) < 1.0e-300);
    }

    #[test]
    fn a_lane_has_the_same_digits_alone_and_among_others() {
        struct Powers(Lanes<WIDTH>);
        impl Work for Powers {
            type Answer = Lanes<WIDTH>;
            #[inline(always)]
            fn run(self) -> Lanes<WIDTH> {
                (self.0.ln() * Lanes::all(1.3)).exp()
            }
        }
        let lanes = Lanes(array::from_fn(|i| 0.3 + 0.17 * f64::from(u8::try_from(i).unwrap())));
        let together = wide(Powers(lanes));
        for (lane, together) in lanes.0.iter().zip(together.0) {
            let alone = (Lanes([*lane]).ln() * Lanes([1.3])).exp();
            assert_eq!(alone.0[0].to_bits(), together.to_bits());
        }
    }
}
