//! Solutions of the equations over loads, ambients and cooling stages that change.
//!
//! The solver never steps across a discontinuity: every piece lies between two load steps,
//! ambient knots or stage changes. How stages are controlled is written again, too.

use crate::equations::{Equations, Piece, State};
use bubblemargin::thermal::cooling::{Control, Cooling, Sensor};

/// Stage changes are located to this, min.
const EVENT_MIN: f64 = 1.0e-7;
/// Longest piece while stages change by themselves, min, so that no change is missed.
const LONGEST_PIECE_MIN: f64 = 1.0;

/// A transformer, what is imposed on it, and whose equations describe it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Model<'a> {
    pub(crate) equations: Equations,
    /// Added to the ultimate oil rise, K.
    pub(crate) added_rise_k: f64,
    pub(crate) cooling: &'a Cooling,
    /// Load steps, (min, pu).
    pub(crate) load: &'a [(f64, f64)],
    /// Ambient knots, (min, °C).
    pub(crate) ambient: &'a [(f64, f64)],
}

/// Where a solution has got to.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Front {
    pub(crate) minute: f64,
    pub(crate) state: State,
    pub(crate) stage: usize,
    /// How often the stage has changed.
    pub(crate) changes: usize,
    load_pu: f64,
    oil_tau_min: f64,
}

impl Model<'_> {
    /// The state after a long time at one load.
    pub(crate) fn steady(&self, stage: usize, load_pu: f64, ambient_c: f64) -> State {
        let stage = &self.cooling.stages[stage];
        self.equations.steady(stage, load_pu, self.added_rise_k, ambient_c)
    }

    /// A solution that begins in this state and stage.
    pub(crate) fn begin(&self, minute: f64, state: State, stage: usize) -> Front {
        let load_pu = self.load_pu(minute);
        let mut front = Front { minute, state, stage, changes: 0, load_pu, oil_tau_min: 0.0 };
        self.retune(&mut front);
        self.change_stage(&mut front);
        front
    }

    /// Carries a solution on, piece by piece.
    pub(crate) fn advance(&self, front: &mut Front, until_min: f64) {
        while front.minute < until_min {
            let load_pu = self.load_pu(front.minute);
            if load_pu.to_bits() != front.load_pu.to_bits() {
                front.load_pu = load_pu;
                self.retune(front);
            }
            self.change_stage(front);
            let end_min = self.piece_ends(front.minute, until_min);
            self.cross(front, end_min);
        }
    }

    /// Top oil, °C.
    pub(crate) fn top_oil_c(&self, front: &Front) -> f64 {
        self.equations.temperatures_c(&front.state, self.ambient_c(front.minute)).0
    }

    /// Hot spot, °C.
    pub(crate) fn hot_spot_c(&self, front: &Front) -> f64 {
        self.equations.temperatures_c(&front.state, self.ambient_c(front.minute)).1
    }

    /// Ambient on straight lines between knots, level outside them, °C.
    pub(crate) fn ambient_c(&self, minute: f64) -> f64 {
        let first = self.ambient[0];
        if minute <= first.0 {
            return first.1;
        }
        for pair in self.ambient.windows(2) {
            let (left, right) = (pair[0], pair[1]);
            if minute < right.0 {
                let share = (minute - left.0) / (right.0 - left.0);
                return left.1 + share * (right.1 - left.1);
            }
        }
        self.ambient[self.ambient.len() - 1].1
    }

    /// Each load holds until the next one.
    fn load_pu(&self, minute: f64) -> f64 {
        let mut load_pu = self.load[0].1;
        for step in self.load {
            if step.0 <= minute {
                load_pu = step.1;
            }
        }
        load_pu
    }

    /// The next discontinuity, or the end of the longest piece.
    fn piece_ends(&self, minute: f64, until_min: f64) -> f64 {
        let longest_min = match self.cooling.control {
            Control::Automatic => LONGEST_PIECE_MIN,
            Control::Fixed(_) => f64::INFINITY,
        };
        let knots = self.load.iter().chain(self.ambient).map(|knot| knot.0);
        let ahead = knots.chain(self.cooling.lost_at_min);
        let ahead = ahead.filter(|knot| *knot > minute);
        ahead.fold(until_min.min(minute + longest_min), f64::min)
    }

    /// Solves to the end of a piece, or to the stage change inside it.
    fn cross(&self, front: &mut Front, end_min: f64) {
        let piece = self.piece(front, end_min);
        let length_min = end_min - front.minute;
        let wants = |state: &State, elapsed_min: f64| {
            let ambient_c = piece.ambient_c + piece.ambient_per_min * elapsed_min;
            self.wanted(front.stage, front.minute, state, ambient_c)
        };
        let end = piece.flow(front.state, length_min);
        if wants(&end, length_min).is_none() {
            front.state = end;
            front.minute = end_min;
            return;
        }
        let (mut before, mut after) = (0.0, length_min);
        while after - before > EVENT_MIN {
            let middle = f64::midpoint(before, after);
            if wants(&piece.flow(front.state, middle), middle).is_some() {
                after = middle;
            } else {
                before = middle;
            }
        }
        let at_end = length_min - after < EVENT_MIN;
        front.state = piece.flow(front.state, after);
        front.minute = if at_end { end_min } else { front.minute + after };
        self.change_stage(front);
    }

    fn change_stage(&self, front: &mut Front) {
        let ambient_c = self.ambient_c(front.minute);
        while let Some(next) = self.wanted(front.stage, front.minute, &front.state, ambient_c) {
            front.stage = next;
            front.changes += 1;
            self.retune(front);
        }
    }

    /// The stage that should follow; start and stop lie apart, so this comes to rest.
    fn wanted(&self, stage: usize, minute: f64, state: &State, ambient_c: f64) -> Option<usize> {
        if self.cooling.lost_at_min.is_some_and(|lost| lost <= minute) {
            return if stage > 0 { Some(0) } else { None };
        }
        if matches!(self.cooling.control, Control::Fixed(_)) {
            return None;
        }
        let (top_oil_c, hot_spot_c) = self.equations.temperatures_c(state, ambient_c);
        let sensed = |sensor: Sensor| {
            if sensor == Sensor::TopOil { top_oil_c } else { hot_spot_c }
        };
        let stages = &self.cooling.stages;
        if let Some(next) = stages.get(stage + 1).and_then(|next| next.switching)
            && sensed(next.sensor) >= next.start_c
        {
            return Some(stage + 1);
        }
        if let Some(own) = stages[stage].switching
            && stage > 0
            && sensed(own.sensor) <= own.stop_c
        {
            return Some(stage - 1);
        }
        None
    }

    fn piece(&self, front: &Front, end_min: f64) -> Piece {
        let stage = &self.cooling.stages[front.stage];
        let iec = &stage.iec;
        let (from_c, to_c) = (self.ambient_c(front.minute), self.ambient_c(end_min));
        Piece {
            equations: self.equations,
            oil_rise_k: self.equations.ultimate_oil_rise_k(stage, front.load_pu)
                + self.added_rise_k,
            gradient_k: self.equations.ultimate_gradient_k(stage, front.load_pu),
            k21: iec.k21,
            oil_tau_min: front.oil_tau_min,
            gradient_tau_min: match self.equations {
                Equations::Iec => iec.k22 * iec.winding_time_constant_min,
                Equations::Ieee | Equations::IeeeLagged => stage.ieee.winding_time_constant_min,
            },
            slow_gradient_tau_min: iec.oil_time_constant_min / iec.k22,
            ambient_c: from_c,
            ambient_per_min: (to_c - from_c) / (end_min - front.minute),
        }
    }

    fn retune(&self, front: &mut Front) {
        let stage = &self.cooling.stages[front.stage];
        let initial_rise_k = front.state[0] - self.added_rise_k;
        front.oil_tau_min = self.equations.oil_tau_min(stage, front.load_pu, initial_rise_k);
    }
}
