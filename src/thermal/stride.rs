//! The loop that everything else exists for: steps of one length, for the lanes of one or two
//! registers, whose state does not leave the registers on the way.
//!
//! Written in registers and not left to the compiler's vectorisation, so that the number of steps
//! may be any; two registers at a time, because each step of one waits for the one before. Nothing
//! is fused or reordered: the digits are those of one lane.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

mod alone;

use super::State;
use super::lags::{Factors, Stride};
use super::lanes::Lanes;
use pulp::{Simd, WithSimd};

/// What is imposed in a span of steps.
pub(super) struct Span<'a, const N: usize> {
    /// For each step, which of the factors hold.
    pub(super) factors_at: &'a [u32],
    pub(super) factors: FactorsOf<'a, N>,
    /// For each step, at its start, °C, and its change, K/min.
    pub(super) ambient_c: &'a [f64],
    pub(super) ambient_per_min: &'a [f64],
    /// One standard uncertainty of both; empty: they are the same in all lanes.
    pub(super) doubt_k: &'a [f64],
    pub(super) doubt_per_min: &'a [f64],
    /// Error of the ambient in standard uncertainties.
    pub(super) ambient_error: &'a Lanes<N>,
}

/// Factors of oil and winding.
#[derive(Clone, Copy)]
pub(super) enum FactorsOf<'a, const N: usize> {
    /// The same in all lanes.
    All(&'a [[f64; 2]]),
    /// Lane by lane.
    Each(&'a [Factors<N>]),
}

/// What a span did.
#[derive(Debug, Clone)]
pub(super) struct Passed<const N: usize> {
    /// Highest and lowest temperatures at the ends of its steps, °C, as far as they are asked for.
    pub(super) highest_hot_spot_c: Lanes<N>,
    pub(super) highest_top_oil_c: Lanes<N>,
    pub(super) lowest_hot_spot_c: Lanes<N>,
    pub(super) lowest_top_oil_c: Lanes<N>,
    /// Every step, where somebody watches.
    pub(super) seen: Vec<Seen<N>>,
}

/// All lanes at the end of one step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seen<const N: usize> {
    pub(super) hot_spot_c: Lanes<N>,
    pub(super) top_oil_c: Lanes<N>,
}

/// What a span of steps asks of the loop.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked {
    /// The ambient is level.
    pub(super) level: bool,
    pub(super) extremes: Extremes,
}

/// Which extremes a span of steps is asked for, beside the highest hot spot.
#[derive(Debug, Clone, Copy)]
pub(super) enum Extremes {
    /// None.
    HotSpot,
    /// The highest top oil.
    Highest,
    /// The highest and the lowest top oil.
    TopOil,
    /// The lowest hot spot too.
    All,
}

const HOT_SPOT: u8 = Extremes::HotSpot as u8;
const TOP_OIL: u8 = Extremes::TopOil as u8;
const ALL: u8 = Extremes::All as u8;
const HIGHEST: u8 = Extremes::Highest as u8;

/// What the ambient does, bit by bit; without either it is level and the same in all lanes.
const RAMP: u8 = 1;
const DRAWN: u8 = 2;
const LEVEL_DRAWN: u8 = DRAWN;
const RAMP_DRAWN: u8 = RAMP | DRAWN;

/// Takes all lanes through a span of steps. Work of its own for [`Simd::vectorize`], so that it is
/// compiled once and not once for every watch.
pub(super) struct Take<'j, 'a, const N: usize, const SEEN: bool> {
    pub(super) span: &'j Span<'a, N>,
    pub(super) stride: &'j Stride<Lanes<N>>,
    pub(super) state: &'j mut State<Lanes<N>>,
    pub(super) passed: &'j mut Passed<N>,
    pub(super) asked: Asked,
}

impl<const N: usize, const SEEN: bool> WithSimd for Take<'_, '_, N, SEEN> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, registers: S) {
        let Self { span, stride, state, passed, asked } = self;
        let drawn = if span.doubt_k.is_empty() { 0 } else { DRAWN };
        let ramp = if asked.level { 0 } else { RAMP };
        let job = Job { registers, span, stride, state, passed };
        match drawn | ramp {
            RAMP_DRAWN => job.ambient::<SEEN, RAMP_DRAWN>(asked.extremes),
            LEVEL_DRAWN => job.ambient::<SEEN, LEVEL_DRAWN>(asked.extremes),
            RAMP => job.ambient::<SEEN, RAMP>(asked.extremes),
            _ => job.ambient::<SEEN, 0>(asked.extremes),
        }
    }
}

struct Job<'j, 'a, S, const N: usize> {
    registers: S,
    span: &'j Span<'a, N>,
    stride: &'j Stride<Lanes<N>>,
    state: &'j mut State<Lanes<N>>,
    passed: &'j mut Passed<N>,
}

impl<S: Simd, const N: usize> Job<'_, '_, S, N> {
    #[inline(always)]
    fn ambient<const SEEN: bool, const AMBIENT: u8>(self, extremes: Extremes) {
        match extremes {
            Extremes::HotSpot => self.lanes::<SEEN, AMBIENT, HOT_SPOT>(),
            Extremes::Highest => self.lanes::<SEEN, AMBIENT, HIGHEST>(),
            Extremes::TopOil => self.lanes::<SEEN, AMBIENT, TOP_OIL>(),
            Extremes::All => self.lanes::<SEEN, AMBIENT, ALL>(),
        }
    }

    #[inline(always)]
    fn lanes<const SEEN: bool, const AMBIENT: u8, const EXTREMES: u8>(mut self) {
        match self.span.factors {
            FactorsOf::All(factors) => self.pairs::<_, SEEN, AMBIENT, EXTREMES>(Shared(factors)),
            FactorsOf::Each(factors) => self.pairs::<_, SEEN, AMBIENT, EXTREMES>(Each(factors)),
        }
    }

    #[inline(always)]
    fn pairs<P: Pick<S>, const SEEN: bool, const AMBIENT: u8, const EXTREMES: u8>(
        &mut self,
        pick: P,
    ) {
        let count = N / S::F64_LANES;
        if count == 0 {
            return (0..N).for_each(|i| self.alone::<P, SEEN, AMBIENT, EXTREMES>(pick, i));
        }
        let mut at = 0;
        while at + 2 <= count {
            self.go::<P, 2, SEEN, AMBIENT, EXTREMES>(pick, at);
            at += 2;
        }
        if at < count {
            self.go::<P, 1, SEEN, AMBIENT, EXTREMES>(pick, at);
        }
    }

    /// The arithmetic of [`Stride`], for `R` registers from the one at `at` on.
    #[inline(always)]
    fn go<P: Pick<S>, const R: usize, const SEEN: bool, const AMBIENT: u8, const EXTREMES: u8>(
        &mut self,
        pick: P,
        at: usize,
    ) {
        let s = self.registers;
        let (span, stride) = (self.span, self.stride);
        let oil_stays = several::<S, N, R>(&stride.stays.top_oil_c, at);
        let first_stays = several::<S, N, R>(&stride.stays.gradient_1_k, at);
        let second_stays = several::<S, N, R>(&stride.stays.gradient_2_k, at);
        let share_1 = several::<S, N, R>(&stride.share_1, at);
        let share_2 = several::<S, N, R>(&stride.share_2, at);
        let ambient = several::<S, N, R>(&stride.ambient, at);
        let ambient_slope = several::<S, N, R>(&stride.ambient_slope, at);
        let unit_k = several::<S, N, R>(&stride.unit_k, at);
        let per_k = several::<S, N, R>(&stride.per_k, at);
        let product = |a: [S::f64s; R], b: [S::f64s; R]| {
            let mut product = a;
            for r in 0..R {
                product[r] = s.mul_f64s(a[r], b[r]);
            }
            product
        };
        let mut oil = product(several::<S, N, R>(&self.state.top_oil_c, at), per_k);
        let mut first = product(several::<S, N, R>(&self.state.gradient_1_k, at), per_k);
        let mut second = product(several::<S, N, R>(&self.state.gradient_2_k, at), per_k);
        let error = several::<S, N, R>(span.ambient_error, at);
        let (drawn, drawn_slope) = (product(error, ambient), product(error, ambient_slope));
        let mut highest_hot = [s.splat_f64s(f64::NEG_INFINITY); R];
        let mut highest_oil = highest_hot;
        let mut lowest_hot = [s.splat_f64s(f64::INFINITY); R];
        let mut lowest_oil = lowest_hot;
        let added = several::<S, N, R>(&stride.added, at);
        let mut level = added;
        let start_c = s.splat_f64s(span.ambient_c[0]);
        let zero = [s.splat_f64s(0.0); R];
        let (mut factor, mut adds, mut adds_1, mut adds_2) = (zero, zero, zero, zero);
        for r in 0..R {
            level[r] = s.add_f64s(level[r], s.mul_f64s(start_c, ambient[r]));
        }
        let mut known = None;
        for (step, factors_at) in span.factors_at.iter().enumerate() {
            if known != Some(*factors_at) {
                known = Some(*factors_at);
                for r in 0..R {
                    let [oil, winding] = pick.factors(s, *factors_at as usize, at + r);
                    factor[r] = oil;
                    adds[r] = s.add_f64s(oil, level[r]);
                    adds_1[r] = s.mul_f64s(winding, share_1[r]);
                    adds_2[r] = s.mul_f64s(winding, share_2[r]);
                }
            }
            for r in 0..R {
                let mut follows = adds[r];
                if AMBIENT & RAMP != 0 {
                    let start_c = s.splat_f64s(span.ambient_c[step]);
                    let slope = s.splat_f64s(span.ambient_per_min[step]);
                    let from = s.add_f64s(added[r], s.mul_f64s(start_c, ambient[r]));
                    let ramp = s.add_f64s(from, s.mul_f64s(slope, ambient_slope[r]));
                    follows = s.add_f64s(factor[r], ramp);
                }
                if AMBIENT & DRAWN != 0 {
                    let doubt_k = s.splat_f64s(span.doubt_k[step]);
                    let doubt_per_min = s.splat_f64s(span.doubt_per_min[step]);
                    let off = s.mul_f64s(drawn[r], doubt_k);
                    let off = s.add_f64s(off, s.mul_f64s(drawn_slope[r], doubt_per_min));
                    follows = s.add_f64s(follows, off);
                }
                oil[r] = s.add_f64s(s.mul_f64s(oil[r], oil_stays[r]), follows);
                first[r] = s.add_f64s(s.mul_f64s(first[r], first_stays[r]), adds_1[r]);
                second[r] = s.add_f64s(s.mul_f64s(second[r], second_stays[r]), adds_2[r]);
                let hot = s.add_f64s(oil[r], s.sub_f64s(first[r], second[r]));
                highest_hot[r] = s.max_f64s(hot, highest_hot[r]);
                if EXTREMES != HOT_SPOT {
                    highest_oil[r] = s.max_f64s(oil[r], highest_oil[r]);
                }
                if EXTREMES == ALL {
                    lowest_hot[r] = s.min_f64s(hot, lowest_hot[r]);
                }
                if EXTREMES == ALL || EXTREMES == TOP_OIL {
                    lowest_oil[r] = s.min_f64s(oil[r], lowest_oil[r]);
                }
                if SEEN {
                    let seen = &mut self.passed.seen[step];
                    put::<S, N>(&mut seen.top_oil_c, at + r, s.mul_f64s(oil[r], unit_k[r]));
                    put::<S, N>(&mut seen.hot_spot_c, at + r, s.mul_f64s(hot, unit_k[r]));
                }
            }
        }
        let put_scaled = |lanes: &mut Lanes<N>, values: [S::f64s; R]| {
            let values = product(values, unit_k);
            for (r, value) in values.into_iter().enumerate() {
                put::<S, N>(lanes, at + r, value);
            }
        };
        put_scaled(&mut self.state.top_oil_c, oil);
        put_scaled(&mut self.state.gradient_1_k, first);
        put_scaled(&mut self.state.gradient_2_k, second);
        let passed = &mut *self.passed;
        put_scaled(&mut passed.highest_hot_spot_c, highest_hot);
        put_scaled(&mut passed.highest_top_oil_c, highest_oil);
        put_scaled(&mut passed.lowest_hot_spot_c, lowest_hot);
        put_scaled(&mut passed.lowest_top_oil_c, lowest_oil);
    }
}

/// Factors of oil and winding.
trait Pick<S: Simd>: Copy {
    /// Of one register.
    fn factors(self, registers: S, factors: usize, register: usize) -> [S::f64s; 2];
    /// Of one lane.
    fn lane(self, factors: usize, lane: usize) -> [f64; 2];
}

#[derive(Clone, Copy)]
struct Shared<'a>(&'a [[f64; 2]]);

impl<S: Simd> Pick<S> for Shared<'_> {
    #[inline(always)]
    fn factors(self, registers: S, factors: usize, _register: usize) -> [S::f64s; 2] {
        let [oil, winding] = self.0[factors];
        [registers.splat_f64s(oil), registers.splat_f64s(winding)]
    }

    #[inline(always)]
    fn lane(self, factors: usize, _lane: usize) -> [f64; 2] {
        self.0[factors]
    }
}

#[derive(Clone, Copy)]
struct Each<'a, const N: usize>(&'a [Factors<N>]);

impl<S: Simd, const N: usize> Pick<S> for Each<'_, N> {
    #[inline(always)]
    fn factors(self, _registers: S, factors: usize, register: usize) -> [S::f64s; 2] {
        let Factors { oil, winding } = &self.0[factors];
        [S::as_simd_f64s(&oil.0).0[register], S::as_simd_f64s(&winding.0).0[register]]
    }

    #[inline(always)]
    fn lane(self, factors: usize, lane: usize) -> [f64; 2] {
        let Factors { oil, winding } = &self.0[factors];
        [oil.0[lane], winding.0[lane]]
    }
}

/// `R` registers of lanes.
#[inline(always)]
fn several<S: Simd, const N: usize, const R: usize>(lanes: &Lanes<N>, at: usize) -> [S::f64s; R] {
    let registers = S::as_simd_f64s(&lanes.0).0;
    let mut found = [registers[at]; R];
    found.copy_from_slice(&registers[at..at + R]);
    found
}

#[inline(always)]
fn put<S: Simd, const N: usize>(lanes: &mut Lanes<N>, at: usize, value: S::f64s) {
    S::as_mut_simd_f64s(&mut lanes.0).0[at] = value;
}
