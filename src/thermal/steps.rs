//! What is imposed on every draw, step by step, with the work that does not depend on the draw
//! done once.

use super::lags::{Factors, Lags, Slope};
use super::lanes::{Lanes, WIDTH, Work, wide};
use super::trajectory::Plan;
use std::array;
use std::sync::OnceLock;

/// How uncertain load and ambient are over time, one standard uncertainty each.
#[derive(Clone, Copy, Default)]
pub struct Doubt<'a> {
    /// Of the load at a minute, as a fraction of it; `None`: it is as stated.
    pub load: Option<&'a (dyn Fn(f64) -> f64 + Sync)>,
    /// Of the ambient at a minute, K; `None`: it is as stated.
    pub ambient_k: Option<&'a (dyn Fn(f64) -> f64 + Sync)>,
}

impl Doubt<'_> {
    /// Load and ambient are as stated.
    pub const NONE: Self = Self { load: None, ambient_k: None };

    fn of_load(&self, minute: f64) -> f64 {
        self.load.map_or(0.0, |doubt| {
            let end_min = ((minute / DOUBT_RENEWED_MIN).floor() + 1.0) * DOUBT_RENEWED_MIN;
            // One that is stated row by row may fall within the span.
            doubt(minute).max(doubt(end_min))
        })
    }
}

/// A load that holds over one or more steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Load {
    pub(super) pu: f64,
    /// Standard uncertainty as a fraction of it.
    pub(super) doubt: f64,
}

impl Load {
    /// With an error in standard uncertainties, per unit. An error may be larger than the load; less
    /// than none is none.
    pub(super) fn drawn_pu(self, error: f64) -> f64 {
        let pu = self.pu * (1.0 + error * self.doubt);
        if pu < 0.0 { 0.0 } else { pu }
    }
}

/// A plan cut into steps.
///
/// There are as many steps as breakpoints less one; a load also stands at the last breakpoint.
#[derive(Debug, Clone)]
pub struct Steps {
    pub(super) minutes: Vec<f64>,
    pub(super) loads: Vec<Load>,
    /// Index into `loads` at each breakpoint.
    pub(super) load_at: Vec<u32>,
    /// Ambient at each breakpoint, and its standard uncertainty: empty where there is none.
    pub(super) ambient_c: Vec<f64>,
    pub(super) ambient_doubt_k: Vec<f64>,
    /// Their changes in each step, K/min.
    pub(super) ambient_per_min: Vec<f64>,
    pub(super) ambient_doubt_per_min: Vec<f64>,
}

/// The doubt about a load is renewed this often, min, at its value at the end of the span: about a
/// quarter of an hour, in whole groups of steps of a minute.
const DOUBT_RENEWED_MIN: f64 = 16.0;

impl Steps {
    /// Cuts a plan at its breakpoints.
    pub fn of(plan: &Plan<'_>, doubt: Doubt<'_>) -> Self {
        let minutes = plan.breakpoints.to_vec();
        let (mut load_cursor, mut ambient_cursor) = (0, 0);
        let loads = minutes.iter().map(|minute| {
            let pu = plan.load.at_or_after(&mut load_cursor, *minute);
            Load { pu, doubt: doubt.of_load(*minute) }
        });
        let (loads, load_at) = runs(loads);
        let ambient =
            minutes.iter().map(|minute| plan.ambient.at_or_after(&mut ambient_cursor, *minute));
        let ambient_c: Vec<f64> = ambient.collect();
        let ambient_doubt_k: Vec<f64> = match doubt.ambient_k {
            Some(doubt_k) => minutes.iter().map(|minute| doubt_k(*minute)).collect(),
            None => Vec::new(),
        };
        Self {
            ambient_per_min: slopes(&minutes, &ambient_c),
            ambient_doubt_per_min: slopes(&minutes, &ambient_doubt_k),
            minutes,
            loads,
            load_at,
            ambient_c,
            ambient_doubt_k,
        }
    }

    /// Number of steps.
    pub(super) fn count(&self) -> usize {
        self.minutes.len().saturating_sub(1)
    }

    /// The ambient of each draw at a breakpoint, °C; `error` in standard uncertainties.
    pub(super) fn drawn_ambient_c<const N: usize>(
        &self,
        index: usize,
        error: &Lanes<N>,
    ) -> Lanes<N> {
        let doubt_k = self.ambient_doubt_k.get(index).copied().unwrap_or(0.0);
        error.map(|error| self.ambient_c[index] + error * doubt_k)
    }

    /// The ambient of one draw in a step; `error` in standard uncertainties.
    pub(super) fn slope(&self, index: usize, error: f64) -> Slope<Lanes<1>> {
        let drawn = |value: &[f64], doubt: &[f64]| {
            Lanes([value[index] + error * doubt.get(index).copied().unwrap_or(0.0)])
        };
        Slope {
            start_c: drawn(&self.ambient_c, &self.ambient_doubt_k),
            per_min: drawn(&self.ambient_per_min, &self.ambient_doubt_per_min),
        }
    }
}

/// Loads without their repetitions, and which of them stands at each place.
fn runs(loads: impl Iterator<Item = Load>) -> (Vec<Load>, Vec<u32>) {
    let mut different: Vec<Load> = Vec::new();
    let at = loads.map(|load| {
        if different.last() != Some(&load) {
            different.push(load);
        }
        // No more loads than breakpoints, of which nobody has four thousand million.
        u32::try_from(different.len() - 1).unwrap_or(u32::MAX)
    });
    let at = at.collect();
    (different, at)
}

fn slopes(minutes: &[f64], values: &[f64]) -> Vec<f64> {
    let pairs = minutes.windows(2).zip(values.windows(2));
    pairs.map(|(minute, value)| (value[1] - value[0]) / (minute[1] - minute[0])).collect()
}

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

/// The factors of one stage that are the same for all draws, by index of the load; computed when
/// the first draw comes into the stage.
#[derive(Debug)]
pub(super) struct Hoisted {
    common: Common,
    lags: Lags<f64>,
    table: OnceLock<Vec<[f64; 2]>>,
}

impl Hoisted {
    pub(super) fn of(common: Common, lags: Lags<f64>) -> Self {
        Self { common, lags, table: OnceLock::new() }
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

    /// Oil and winding, factors or logarithms, of each load.
    pub(super) fn table(&self, steps: &Steps) -> &[[f64; 2]] {
        self.table.get_or_init(|| {
            let lags = Lags::of(&[self.lags; WIDTH]);
            wide(Tabulate { lags, loads: &steps.loads, exponents: self.common == Common::Factors })
        })
    }
}

struct Tabulate<'a> {
    lags: Lags<Lanes<WIDTH>>,
    loads: &'a [Load],
    exponents: bool,
}

#[allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]
impl Work for Tabulate<'_> {
    type Answer = Vec<[f64; 2]>;

    /// Here the lanes hold the loads of eight steps, all of the same draw.
    #[inline(always)]
    fn run(self) -> Vec<[f64; 2]> {
        let mut table = Vec::with_capacity(self.loads.len() + WIDTH);
        for loads in self.loads.chunks(WIDTH) {
            let load_pu = Lanes(array::from_fn(|i| loads[i.min(loads.len() - 1)].pu));
            let mut found: Factors<WIDTH> = self.lags.logarithms(load_pu);
            if self.exponents {
                found = self.lags.factors_of(found);
            }
            table.extend((0..WIDTH).map(|i| [found.oil.0[i], found.winding.0[i]]));
        }
        table.truncate(self.loads.len());
        table
    }
}
