//! The work that does not depend on the draw, done once for all of them.

use super::lags::{Factors, Lags};
use super::lanes::{Lanes, Work, wide};
use super::steps::{Load, Steps};
use std::sync::OnceLock;

/// What all draws of an ensemble have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Common {
    /// Load, loss ratio and exponents: the factors of the rises are the same for all.
    Factors,
    /// Load and loss ratio, not the exponents: the logarithms are.
    Logarithms,
    /// None of them.
    Nothing,
}

/// What all draws in one stage have in common, by index of the load; computed when the first draw
/// comes into the stage.
#[derive(Debug)]
pub(super) struct Hoisted {
    common: Common,
    lags: Lags<f64>,
    factors: OnceLock<Vec<[f64; 2]>>,
    logarithms: OnceLock<Vec<[f64; 2]>>,
}

impl Hoisted {
    pub(super) fn of(common: Common, lags: Lags<f64>) -> Self {
        Self { common, lags, factors: OnceLock::new(), logarithms: OnceLock::new() }
    }

    /// The shortest time constant, min.
    pub(super) fn shortest_min(&self) -> f64 {
        let lags = &self.lags;
        let second = if lags.gradient_2_k > 0.0 { lags.gradient_2_tau_min } else { f64::INFINITY };
        lags.oil_tau_min.min(lags.gradient_1_tau_min).min(second)
    }

    pub(super) fn common(&self) -> Common {
        self.common
    }

    /// The stage without any draw.
    pub(super) fn lags(&self) -> &Lags<f64> {
        &self.lags
    }

    /// Factors of oil and winding under each load, with the exponents of the stage.
    pub(super) fn factors(&self, steps: &Steps) -> &[[f64; 2]] {
        self.factors.get_or_init(|| self.tabulate(steps, true, Vec::new()))
    }

    /// Their logarithms but for the exponents.
    pub(super) fn logarithms(&self, steps: &Steps) -> &[[f64; 2]] {
        self.logarithms.get_or_init(|| self.tabulate(steps, false, Vec::new()))
    }

    /// For other steps, in the same memory.
    pub(super) fn renew(&mut self, steps: &Steps) {
        self.logarithms.take();
        if let Some(table) = self.factors.take() {
            self.factors = OnceLock::from(self.tabulate(steps, true, table));
        }
    }

    fn tabulate(&self, steps: &Steps, exponents: bool, table: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
        wide(Tabulate { lags: self.lags, loads: &steps.loads, exponents, table })
    }
}

struct Tabulate<'a> {
    lags: Lags<f64>,
    loads: &'a [Load],
    exponents: bool,
    table: Vec<[f64; 2]>,
}

/// Loads that are tabulated together: each function goes over all of them in a short loop of its own,
/// of which the processor overlaps many rounds.
const BLOCK: usize = 64;

#[allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]
impl Tabulate<'_> {
    /// Here the lanes hold the loads of many steps, all of the same draw.
    #[inline(always)]
    fn found<const N: usize>(&self, lags: &Lags<Lanes<N>>, load_pu: Lanes<N>) -> Factors<N> {
        let logarithms = lags.logarithms(load_pu);
        if self.exponents { lags.factors_of(logarithms) } else { logarithms }
    }
}

#[allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]
impl Work for Tabulate<'_> {
    type Answer = Vec<[f64; 2]>;

    #[inline(always)]
    fn run(mut self) -> Vec<[f64; 2]> {
        let mut table = std::mem::take(&mut self.table);
        table.resize(self.loads.len(), [0.0; 2]);
        let (whole, rest) = self.loads.as_chunks::<BLOCK>();
        let (entries, rest_entries) = table.as_chunks_mut::<BLOCK>();
        let lags = Lags::of(&[self.lags; BLOCK]);
        for (loads, entries) in whole.iter().zip(entries) {
            let found = self.found(&lags, Lanes(loads.map(|load| load.pu)));
            for ((entry, oil), winding) in
                entries.iter_mut().zip(&found.oil.0).zip(&found.winding.0)
            {
                *entry = [*oil, *winding];
            }
        }
        let lags = Lags::of(&[self.lags]);
        for (load, entry) in rest.iter().zip(rest_entries) {
            let Factors { oil, winding } = self.found(&lags, Lanes([load.pu]));
            *entry = [oil.0[0], winding.0[0]];
        }
        table
    }
}
