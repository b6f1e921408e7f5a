//! Whether anything hotter can still come, so that who asks for the hottest hot spot alone need not
//! follow a unit that cools down.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

use super::cooling::{Control, Sensor};
use super::front::Front;
use super::lanes::Lanes;
use super::steps::{Span, Steps};
use pulp::{Simd, WithSimd};

/// The most that is imposed from some step on, and the least load.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ahead {
    load_pu: f64,
    least_load_pu: f64,
    /// Load times its standard uncertainty, per unit.
    load_doubt_pu: f64,
    ambient_c: f64,
    ambient_doubt_k: f64,
}

/// A bound so far below the highest value counts, K: far more than rounding, and more than a rise that a
/// stage change misses between two breakpoints ([`super::trajectory::simulate`]).
const CLEAR_K: f64 = 0.5;

impl Ahead {
    const NOTHING: Self = Self {
        load_pu: 0.0,
        least_load_pu: f64::INFINITY,
        load_doubt_pu: 0.0,
        ambient_c: f64::NEG_INFINITY,
        ambient_doubt_k: 0.0,
    };

    /// For each span; `None` where the greatest load is not past.
    pub(super) fn of(steps: &Steps, spans: &[Span]) -> Vec<Option<Self>> {
        let greatest_pu = steps.loads.iter().fold(0.0, |most: f64, load| most.max(load.pu));
        let mut most = Self::NOTHING;
        most.raise(steps, steps.count());
        let mut ahead: Vec<_> = spans
            .iter()
            .rev()
            .map(|span| {
                (span.from..span.until).for_each(|index| most.raise(steps, index));
                Some(most).filter(|most| most.load_pu < greatest_pu)
            })
            .collect();
        ahead.reverse();
        ahead
    }

    fn raise(&mut self, steps: &Steps, index: usize) {
        let load = steps.loads[steps.load_at[index] as usize];
        self.load_pu = self.load_pu.max(load.pu);
        self.least_load_pu = self.least_load_pu.min(load.pu);
        self.load_doubt_pu = self.load_doubt_pu.max(load.pu * load.doubt);
        self.ambient_c = self.ambient_c.max(steps.ambient_c[index]);
        let doubt_k = steps.ambient_doubt_k.get(index).copied().unwrap_or(0.0);
        self.ambient_doubt_k = self.ambient_doubt_k.max(doubt_k);
    }
}

/// Looks at a front; work of its own for [`Simd::vectorize`].
pub(super) struct Look<'r, 'a, const N: usize> {
    pub(super) front: &'r Front<'a, N>,
    pub(super) index: usize,
    pub(super) ahead: Ahead,
}

impl<const N: usize> WithSimd for Look<'_, '_, N> {
    type Output = bool;

    #[inline(always)]
    fn with_simd<S: Simd>(self, _registers: S) -> bool {
        self.front.is_past_its_peak(self.index, &self.ahead)
    }
}

impl<const N: usize> Front<'_, N> {
    /// Whether no lane can become hotter than it has been.
    ///
    /// ```text
    /// hot spot ≤ highest ambient + oil rise + first gradient − second gradient
    /// ```
    /// each the greater, the second gradient the smaller, of its value now and of its targets in every
    /// stage under the greatest and the least load ahead: each tends to its targets and does not pass them.
    #[inline(always)]
    fn is_past_its_peak(&self, index: usize, ahead: &Ahead) -> bool {
        let none = Lanes::all(0.0);
        let off_pu = self.begin.load_error.map(|error| error * ahead.load_doubt_pu);
        let most_pu = off_pu.map(|off_pu| ahead.load_pu + if off_pu > 0.0 { off_pu } else { 0.0 });
        let least_pu =
            off_pu.map(|off_pu| ahead.least_load_pu + if off_pu < 0.0 { off_pu } else { 0.0 });
        let ambient_c = self
            .begin
            .ambient_error
            .map(|error| ahead.ambient_c + error.abs() * ahead.ambient_doubt_k);
        let mut top_oil_c = ambient_c + (self.state.top_oil_c - self.ambient_c(index));
        let (mut gradient_1_k, mut gradient_2_k) =
            (self.state.gradient_1_k, self.state.gradient_2_k);
        for (number, stage) in self.begin.stages.iter().enumerate() {
            let most = stage.targets(stage.factors(most_pu));
            let least = stage.targets(stage.factors(least_pu.greater(none)));
            let left_c = Lanes::all(self.left_at_top_oil_c(number));
            // In this order a NaN stays.
            top_oil_c = top_oil_c.greater(left_c.smaller(ambient_c + most.oil_rise_k));
            gradient_1_k = gradient_1_k.greater(most.gradient_1_k);
            gradient_2_k = gradient_2_k.smaller(least.gradient_2_k);
        }
        let highest_c = top_oil_c + gradient_1_k - gradient_2_k;
        // Written so that a NaN goes on.
        (0..N).all(|i| highest_c.0[i] + CLEAR_K < self.hot_spot.value_c.0[i])
    }

    /// The top oil at which a stage is left for the next one, °C; infinite where nothing makes it leave.
    fn left_at_top_oil_c(&self, stage: usize) -> f64 {
        let cooling = self.imposed.cooling;
        let leaves = cooling.control == Control::Automatic && cooling.lost_at_min.is_none();
        let next = cooling.stages.get(stage + 1).filter(|_| leaves);
        let switching = next.and_then(|next| next.switching);
        let by_top_oil = switching.filter(|switching| switching.sensor == Sensor::TopOil);
        by_top_oil.map_or(f64::INFINITY, |switching| switching.start_c)
    }
}
