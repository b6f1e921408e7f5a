//! What is imposed on every draw, step by step, with the work that does not depend on the draw
//! done once.

use super::lags::Slope;
use super::lanes::{Lanes, Work, wide};
use super::trajectory::Plan;

/// How uncertain load and ambient are over time, one standard uncertainty each.
#[derive(Clone, Copy, Default)]
pub struct Doubt<'a> {
    /// Of the load from a breakpoint until the next one, as a fraction of it; `None`: it is as stated.
    pub load: Option<&'a (dyn Fn(f64) -> f64 + Sync)>,
    /// Of the ambient at a minute, K; `None`: it is as stated.
    pub ambient_k: Option<&'a (dyn Fn(f64) -> f64 + Sync)>,
}

impl Doubt<'_> {
    /// Load and ambient are as stated.
    pub const NONE: Self = Self { load: None, ambient_k: None };

    fn of_load(&self, minute: f64) -> f64 {
        self.load.map_or(0.0, |doubt| doubt(minute))
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

/// Steps from this length on, min, are taken together though they are coarse, so many at most.
const LONG_MIN: f64 = 5.0;
const LONGEST_COARSE: usize = 12;

/// A plan cut into steps.
///
/// There are as many steps as breakpoints less one; a load also stands at the last breakpoint.
#[derive(Debug, Clone, Default)]
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
    /// Bits of a load and where it stands, by [`Self::distinguish`].
    known: Vec<(u64, u32)>,
}

/// Places in the table of known loads, as a power of two.
const KNOWN_BITS: u32 = 11;

/// The bits of no load: a NaN.
const NO_LOAD: u64 = u64::MAX;

impl Steps {
    /// The minutes at which it is cut.
    pub fn minutes(&self) -> &[f64] {
        &self.minutes
    }

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
            known: Vec::new(),
            ambient_per_min: slopes(&minutes, &ambient_c),
            ambient_doubt_per_min: slopes(&minutes, &ambient_doubt_k),
            minutes,
            loads,
            load_at,
            ambient_c,
            ambient_doubt_k,
        }
    }

    /// Takes even steps from plain slices, into the same memory: a load for each step and one ambient
    /// more.
    pub(super) fn fill(
        &mut self,
        (first_min, step_min): (f64, f64),
        load_pu: &[f64],
        ambient_c: &[f64],
    ) {
        wide(Fill { steps: self, first_min, step_min, load_pu, ambient_c });
    }

    /// The loads without most of their repetitions: metered loads have few digits, and what is computed
    /// of a load is then computed once. A table by the bits of a load, of which a later one may take the
    /// place of an earlier one, finds them; what it misses stands twice.
    fn distinguish<'l>(&mut self, loads: impl Iterator<Item = &'l f64>) {
        self.known.clear();
        self.known.resize(1 << KNOWN_BITS, (NO_LOAD, 0));
        self.loads.clear();
        self.load_at.clear();
        for pu in loads {
            let bits = pu.to_bits();
            // The odd number nearest to 2^64 divided by the golden ratio spreads neighbours.
            let place = bits.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> (64 - KNOWN_BITS);
            let known = &mut self.known[usize::try_from(place).unwrap_or(0)];
            if known.0 != bits {
                // No more loads than breakpoints, of which nobody has four thousand million.
                *known = (bits, u32::try_from(self.loads.len()).unwrap_or(u32::MAX));
                self.loads.push(Load { pu: *pu, doubt: 0.0 });
            }
            self.load_at.push(known.1);
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

    /// The ambient of each draw in a step; `error` in standard uncertainties.
    pub(super) fn slope_of_each<const N: usize>(
        &self,
        index: usize,
        error: &Lanes<N>,
    ) -> Slope<Lanes<N>> {
        let doubt = self.ambient_doubt_per_min.get(index).copied().unwrap_or(0.0);
        Slope {
            start_c: self.drawn_ambient_c(index, error),
            per_min: error.map(|error| self.ambient_per_min[index] + error * doubt),
        }
    }

    /// Groups the steps into spans. Each has steps of one length, does not go past the minute at which
    /// the cooling is lost, and has one load if asked for. Coarse steps, those longer than `fine_min`,
    /// are alone, unless they are long: those come long before or after a peak, and several of them
    /// under one load are looked at together. None is longer than `longest` steps.
    pub(super) fn spans(
        &self,
        spans: &mut Vec<Span>,
        (lost_at_min, fine_min): (f64, f64),
        (one_load, longest): (bool, usize),
    ) {
        spans.clear();
        let mut from = 0;
        while from < self.count() {
            let minutes = &self.minutes[from..];
            let length_min = minutes[1] - minutes[0];
            let coarse = !(length_min <= fine_min);
            let longest = match (coarse, length_min < LONG_MIN) {
                (false, _) if minutes[0] < MOSTLY_SWITCHED_MIN => longest,
                (false, _) => LONGEST,
                (true, true) => 1,
                (true, false) => LONGEST_COARSE,
            };
            let most = longest.min(minutes.len() - 1);
            let goes_on = |at: &usize| {
                let minute = minutes[*at];
                (minutes[at + 1] - minute).to_bits() == length_min.to_bits()
                    && (minute < lost_at_min || minutes[0] >= lost_at_min)
                    && (!(one_load || coarse) || self.load_at[from + at] == self.load_at[from])
            };
            let until = from + 1 + (1..most).take_while(goes_on).count();
            let level = self.ambient_per_min[from..until].iter().all(|per_min| *per_min == 0.0);
            spans.push(Span { from, until, level, coarse });
            from = until;
        }
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

struct Fill<'a> {
    steps: &'a mut Steps,
    first_min: f64,
    step_min: f64,
    load_pu: &'a [f64],
    ambient_c: &'a [f64],
}

#[allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]
impl Work for Fill<'_> {
    type Answer = ();

    #[inline(always)]
    fn run(self) {
        let Self { steps, first_min, step_min, load_pu, ambient_c } = self;
        let Some(last) = load_pu.last() else { return };
        let count = load_pu.len();
        // As many loads as breakpoints, of which nobody has four thousand million.
        let breakpoints = 0..=u32::try_from(count).unwrap_or(u32::MAX - 1);
        steps.minutes.clear();
        steps.minutes.extend(breakpoints.map(|k| first_min + f64::from(k) * step_min));
        steps.distinguish(load_pu.iter().chain([last]));
        steps.ambient_c.clear();
        steps.ambient_c.extend_from_slice(ambient_c);
        steps.ambient_per_min.resize(count, 0.0);
        let per_step = 1.0 / step_min;
        for ((per_min, from), to) in
            steps.ambient_per_min.iter_mut().zip(ambient_c).zip(&ambient_c[1..])
        {
            *per_min = (to - from) * per_step;
        }
    }
}

/// Steps in a span at most.
pub(super) const LONGEST: usize = 64;

/// The same where stages start by themselves: a lane in which one does goes through its span again alone,
/// at some twenty times the cost.
pub(super) const LONGEST_SWITCHING: usize = 16;

/// Until this minute; by then most lanes that will have switched.
const MOSTLY_SWITCHED_MIN: f64 = 128.0;

/// Steps that are taken in one go.
#[derive(Debug, Clone, Copy)]
pub(super) struct Span {
    /// First breakpoint.
    pub(super) from: usize,
    /// Last breakpoint.
    pub(super) until: usize,
    /// The ambient does not change, but for its doubt.
    pub(super) level: bool,
    /// A peak between two breakpoints can matter.
    pub(super) coarse: bool,
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
