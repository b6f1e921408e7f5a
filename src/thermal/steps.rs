//! What is imposed on every draw, step by step, with the work that does not depend on the draw
//! done once.

use super::lags::{Factors, Lags};
use super::lanes::{Lanes, WIDTH, Work, wide};
use super::trajectory::Plan;
use std::array;
use std::sync::OnceLock;

/// How uncertain load and ambient are over time, one standard uncertainty each.
#[derive(Clone, Copy)]
pub struct Doubt<'a> {
    /// Of the load at a minute, as a fraction of it.
    pub load: &'a (dyn Fn(f64) -> f64 + Sync),
    /// Of the ambient at a minute, K.
    pub ambient_k: &'a (dyn Fn(f64) -> f64 + Sync),
}

impl Doubt<'_> {
    /// Load and ambient are as stated.
    pub const NONE: Self = Self { load: &|_| 0.0, ambient_k: &|_| 0.0 };
}

/// A load that holds over one or more steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Load {
    pub(super) pu: f64,
    /// Standard uncertainty as a fraction of it.
    pub(super) doubt: f64,
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
    /// Ambient at each breakpoint, and its standard uncertainty.
    pub(super) ambient_c: Vec<f64>,
    pub(super) ambient_doubt_k: Vec<f64>,
    /// Their changes in each step, K/min.
    pub(super) ambient_per_min: Vec<f64>,
    pub(super) ambient_doubt_per_min: Vec<f64>,
    /// Whether there is no doubt about the ambient.
    pub(super) ambient_certain: bool,
    greatest: Load,
    ambient_range_k: f64,
}

/// The doubt about a load is renewed this often, min, at its value at the end of the span.
const DOUBT_RENEWED_MIN: f64 = 15.0;

impl Steps {
    /// Cuts a plan at its breakpoints.
    pub fn of(plan: &Plan<'_>, doubt: Doubt<'_>) -> Self {
        let minutes = plan.breakpoints.to_vec();
        let (mut load_cursor, mut ambient_cursor) = (0, 0);
        let loads = minutes.iter().map(|minute| {
            let span_ends = ((minute / DOUBT_RENEWED_MIN).floor() + 1.0) * DOUBT_RENEWED_MIN;
            let pu = plan.load.at_or_after(&mut load_cursor, *minute);
            Load { pu, doubt: (doubt.load)(span_ends) }
        });
        let (loads, load_at) = runs(loads);
        let ambient =
            minutes.iter().map(|minute| plan.ambient.at_or_after(&mut ambient_cursor, *minute));
        let ambient_c: Vec<f64> = ambient.collect();
        let ambient_doubt_k: Vec<f64> = minutes.iter().map(|at| (doubt.ambient_k)(*at)).collect();
        Self {
            greatest: greatest(&loads),
            ambient_range_k: range(&ambient_c, &ambient_doubt_k),
            ambient_per_min: slopes(&minutes, &ambient_c),
            ambient_doubt_per_min: slopes(&minutes, &ambient_doubt_k),
            ambient_certain: ambient_doubt_k.iter().all(|doubt_k| *doubt_k <= 0.0),
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

    /// The greatest load, with the greatest doubt about any.
    pub(super) fn greatest(&self) -> Load {
        self.greatest
    }

    /// How far the ambient ranges, K, with six standard uncertainties on either side.
    pub(super) fn ambient_range_k(&self) -> f64 {
        self.ambient_range_k
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

fn greatest(loads: &[Load]) -> Load {
    let fold = |most: Load, load: &Load| Load {
        pu: most.pu.max(load.pu),
        doubt: most.doubt.max(load.doubt),
    };
    loads.iter().fold(Load { pu: 0.0, doubt: 0.0 }, fold)
}

fn range(ambient_c: &[f64], doubt_k: &[f64]) -> f64 {
    let ends = ambient_c
        .iter()
        .fold((f64::MAX, f64::MIN), |(least, most), c| (least.min(*c), most.max(*c)));
    (ends.1 - ends.0).max(0.0) + 12.0 * doubt_k.iter().copied().fold(0.0, f64::max)
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
