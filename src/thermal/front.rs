//! The moving front of a simulation: `N` draws side by side through the same steps.
//!
//! Steps are taken in groups, all lanes at once ([`super::group`]). A lane in which a stage changes goes
//! through its group again alone ([`super::events`]). How steps are grouped does not depend on the
//! lanes, so a draw has the same digits alone and among others.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

mod lane;

use super::State;
use super::ahead::Look;
use super::cooling::{Control, Sensor};
use super::group::Group;
use super::lags::{Factors, Lags, Stride};
use super::lanes::Lanes;
use super::prepared::Imposed;
use super::steps::{LONGEST, Span};
use super::trajectory::Peak;
use super::watch::{Moment, Watch};
use pulp::{Simd, WithSimd};
use std::array;

/// The draws of one front as they begin.
#[derive(Debug, Clone)]
pub(super) struct Begin<const N: usize> {
    /// The lags of each stage.
    pub(super) stages: Vec<Lags<Lanes<N>>>,
    pub(super) state: State<Lanes<N>>,
    pub(super) stage: [usize; N],
    /// Errors of load and ambient, in standard uncertainties.
    pub(super) load_error: Lanes<N>,
    pub(super) ambient_error: Lanes<N>,
    /// How far above the temperatures at which they are set the thermostats act, K.
    pub(super) thermostat_k: Lanes<N>,
}

/// Peaks of each lane: value, °C, and minute.
#[derive(Debug, Clone, Copy)]
pub(super) struct Peaks<const N: usize> {
    pub(super) value_c: Lanes<N>,
    pub(super) at_min: Lanes<N>,
}

impl<const N: usize> Peaks<N> {
    pub(super) fn lane(&self, i: usize) -> Peak {
        Peak { value_c: self.value_c.0[i], at_min: self.at_min.0[i] }
    }

    fn set(&mut self, i: usize, peak: Peak) {
        (self.value_c.0[i], self.at_min.0[i]) = (peak.value_c, peak.at_min);
    }
}

/// The temperatures at which a lane's stage would change; infinite where none would.
#[derive(Debug, Clone, Copy)]
pub(super) struct Switching<const N: usize> {
    pub(super) top_oil_starts_c: Lanes<N>,
    pub(super) top_oil_stops_c: Lanes<N>,
    pub(super) hot_spot_starts_c: Lanes<N>,
    pub(super) hot_spot_stops_c: Lanes<N>,
    /// Whether any of them is finite in any lane.
    pub(super) any: bool,
    /// Whether any may be one of the hot spot.
    pub(super) by_hot_spot: bool,
}

impl<const N: usize> Switching<N> {
    fn never() -> Self {
        let (high, low) = (Lanes::all(f64::INFINITY), Lanes::all(f64::NEG_INFINITY));
        Self {
            top_oil_starts_c: high,
            top_oil_stops_c: low,
            hot_spot_starts_c: high,
            hot_spot_stops_c: low,
            any: false,
            by_hot_spot: false,
        }
    }
}

/// The moving front.
pub(super) struct Front<'a, const N: usize> {
    pub(super) imposed: Imposed<'a>,
    pub(super) begin: Begin<N>,
    pub(super) stage: [usize; N],
    /// Stages that were in service in any lane, bit by bit.
    pub(super) used: u64,
    pub(super) state: State<Lanes<N>>,
    pub(super) hot_spot: Peaks<N>,
    pub(super) top_oil: Peaks<N>,
    pub(super) lags: Lags<Lanes<N>>,
    /// Factors of the different loads of a span, where they differ between lanes; as many as came up.
    pub(super) rows: Vec<Factors<N>>,
    /// The row of each step of the span.
    pub(super) row_at: [u32; LONGEST],
    /// The row of the last load aimed at.
    pub(super) row: usize,
    /// Index of that load.
    pub(super) load: usize,
    pub(super) stride: Stride<Lanes<N>>,
    /// Length of the steps that `stride` is for, min.
    pub(super) stride_min: f64,
    pub(super) switching: Switching<N>,
    /// Reciprocals of the rating and of one and the loss ratio.
    pub(super) per_rating: Lanes<N>,
    pub(super) per_losses: Lanes<N>,
    /// How far the exponents are from those of the stage without any draw, and the furthest of them.
    pub(super) off: Factors<N>,
    pub(super) furthest_off: [f64; 2],
    pub(super) one_stage: bool,
}

impl<'a, const N: usize> Front<'a, N> {
    pub(super) fn new(imposed: Imposed<'a>, begin: Begin<N>) -> Self {
        let zero = Lanes::all(0.0);
        let stage = begin.stages[0];
        let mut front = Self {
            imposed,
            stage: [0; N],
            used: 0,
            state: begin.state,
            hot_spot: Peaks { value_c: zero, at_min: zero },
            top_oil: Peaks { value_c: zero, at_min: zero },
            lags: stage,
            rows: vec![Factors { oil: zero, winding: zero }],
            row_at: [0; LONGEST],
            row: 0,
            load: usize::MAX,
            stride: stage.stride(0.0),
            stride_min: f64::NAN,
            switching: Switching::never(),
            per_rating: zero,
            per_losses: zero,
            off: Factors { oil: zero, winding: zero },
            furthest_off: [0.0; 2],
            one_stage: false,
            begin,
        };
        front.begin();
        front
    }

    /// Begins anew, with other draws in the same memory.
    pub(super) fn begin(&mut self) {
        let begin = &self.begin;
        (self.stage, self.used, self.state) = (begin.stage, 0, begin.state);
        let minute = self.imposed.steps.minutes.first().copied().unwrap_or(0.0);
        let peaks = |value_c| Peaks { value_c, at_min: Lanes::all(minute) };
        self.hot_spot = peaks(begin.state.hot_spot_c());
        self.top_oil = peaks(begin.state.top_oil_c);
        for i in 0..N {
            self.lags.set_lane(i, &begin.stages[begin.stage[i]].lane(i));
        }
        self.stages_changed();
        self.row = 0;
        self.aim(0, 0);
        let cooling = self.imposed.cooling;
        if cooling.control == Control::Automatic || cooling.lost_at_min.is_some() {
            self.change_stages(0);
        }
    }

    /// Goes through all steps.
    #[inline(always)]
    pub(super) fn run<S: Simd, W: Watch<N>>(
        &mut self,
        registers: S,
        group: &mut Group<N>,
        watch: &mut W,
    ) {
        self.show(0, watch);
        let ahead = if W::ONLY_HOTTEST { self.imposed.ahead() } else { &[] };
        for (number, span) in self.imposed.prepared.spans.iter().enumerate() {
            if let Some(Some(ahead)) = ahead.get(number) {
                let look = Look { front: self, index: span.from, ahead: *ahead };
                if registers.vectorize(look) {
                    break;
                }
            }
            group.span = *span;
            let table = registers.vectorize(Prepare { front: self, span: *span });
            group.take::<S, W>(registers, self, table);
            let lanes = group.lanes_to_take_alone::<W>(self);
            if lanes == 0 {
                group.time_peaks::<W>(self);
            } else {
                group.in_stages(&self.stage);
                self.take_alone(lanes, W::TOP_OIL, group);
            }
            group.show(self, watch);
            if W::BY_SPAN {
                let minutes = &self.imposed.steps.minutes;
                let between = (minutes[span.from], minutes[span.until]);
                watch.span(between, &self.hot_spot.value_c);
                self.hot_spot.value_c = self.state.hot_spot_c();
            }
        }
    }

    fn show<W: Watch<N>>(&self, index: usize, watch: &mut W) {
        watch.see(&Moment {
            index,
            top_oil_c: &self.state.top_oil_c,
            hot_spot_c: &self.state.hot_spot_c(),
            before: None,
            stage: &self.stage,
            steps: self.imposed.steps,
            ambient_error: &self.begin.ambient_error,
        });
    }

    /// Sets what holds over the next span. Gives the factors of all loads if the lanes share them.
    #[inline(always)]
    fn prepare(&mut self, span: Span) -> Option<&'a [[f64; 2]]> {
        let steps = self.imposed.steps;
        let minute = steps.minutes[span.from];
        let lost_at_min = self.imposed.cooling.lost_at_min.unwrap_or(f64::INFINITY);
        if minute >= lost_at_min && self.stage != [0; N] {
            self.change_stages(span.from);
        }
        let table = self.table();
        if table.is_none() {
            self.aim_at_span(span);
        }
        let elapsed_min = steps.minutes[span.from + 1] - minute;
        if elapsed_min.to_bits() != self.stride_min.to_bits() {
            self.stride_min = elapsed_min;
            self.stride = self.lags.stride(elapsed_min);
        }
        table
    }

    /// Sets everything that depends on which stages are in service.
    fn stages_changed(&mut self) {
        let cooling = self.imposed.cooling;
        self.one_stage = self.stage.iter().all(|stage| *stage == self.stage[0]);
        self.used |= self.stage.iter().fold(0, |used, stage| used | 1 << (*stage).min(63));
        self.stride_min = f64::NAN;
        self.exponents_changed();
        let one = Lanes::all(1.0);
        self.per_rating = one / self.lags.rating_pu;
        self.per_losses = one / (one + self.lags.loss_ratio);
        if cooling.control != Control::Automatic {
            return;
        }
        let off_k = &self.begin.thermostat_k.0;
        let above = |i: usize| cooling.switching(self.stage[i] + 1, off_k[i]);
        let own =
            |i: usize| cooling.switching(self.stage[i], off_k[i]).filter(|_| self.stage[i] > 0);
        let starts = |sensor: Sensor| {
            let of = |i: usize| above(i).filter(|s| s.sensor == sensor);
            Lanes(array::from_fn(|i| of(i).map_or(f64::INFINITY, |s| s.start_c)))
        };
        let stops = |sensor: Sensor| {
            let of = |i: usize| own(i).filter(|s| s.sensor == sensor);
            Lanes(array::from_fn(|i| of(i).map_or(f64::NEG_INFINITY, |s| s.stop_c)))
        };
        self.switching = Switching {
            top_oil_starts_c: starts(Sensor::TopOil),
            top_oil_stops_c: stops(Sensor::TopOil),
            hot_spot_starts_c: starts(Sensor::Winding),
            hot_spot_stops_c: stops(Sensor::Winding),
            any: (0..N).any(|i| above(i).is_some() || own(i).is_some()),
            by_hot_spot: cooling.switches_by(Sensor::Winding),
        };
    }

    pub(super) fn ambient_c(&self, index: usize) -> Lanes<N> {
        self.imposed.steps.drawn_ambient_c(index, &self.begin.ambient_error)
    }

    /// The load of each draw, per unit.
    fn load_pu(&self, index: usize) -> Lanes<N> {
        let steps = self.imposed.steps;
        let load = steps.loads[steps.load_at[index] as usize];
        self.begin.load_error.map(|error| load.drawn_pu(error))
    }
}

impl Front<'_, 1> {
    /// Goes through all steps with one draw.
    pub(super) fn run_alone<W: Watch<1>>(&mut self, watch: &mut W) {
        pulp::Arch::new().dispatch(Alone { front: self, watch });
    }
}

struct Alone<'r, 'a, W> {
    front: &'r mut Front<'a, 1>,
    watch: &'r mut W,
}

impl<W: Watch<1>> WithSimd for Alone<'_, '_, W> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, registers: S) {
        self.front.run(registers, &mut Group::new::<W>(), self.watch);
    }
}

/// What holds over the next span; compiled once and not once for every watch.
struct Prepare<'r, 'a, const N: usize> {
    front: &'r mut Front<'a, N>,
    span: Span,
}

impl<'a, const N: usize> WithSimd for Prepare<'_, 'a, N> {
    type Output = Option<&'a [[f64; 2]]>;

    #[inline(always)]
    fn with_simd<S: Simd>(self, _registers: S) -> Option<&'a [[f64; 2]]> {
        self.front.prepare(self.span)
    }
}
