//! The starts that the knowledge allows.
//!
//! A cooler or less loaded start can be the worse one: where cooling stages start by their own temperatures the fans
//! come later, and everywhere the winding's own oil is slower after a rise of the load, so that the hot spot overshoots.
//! So every load is taken from all of these starts, and the hottest course counts.

use super::case::{Case, StartFrom};
use super::cycles::{Cycle, cycles};
use super::past::Before;
use crate::thermal::State;
use crate::thermal::cooling::{Control, Cooling};
use crate::thermal::start::Settled;

/// Lower loads before are looked at in steps of this, pu, from 0 up: the same loads whatever is asked. Our choice: a
/// step moves the oil by some 0.7 K, and the worst start lies within half a step of one that is looked at.
const STEP_PU: f64 = 0.0125;

/// One load in so many is looked at with draws too: over these, fans start at many different times, so that the 5 %
/// point changes slowly with the start. Our choice: they are 0.1 pu apart, and the hottest without draws is looked at beside them.
const DRAWN_ONE_IN: u32 = 8;

/// Two loads before that are this close are one, pu.
const SAME_PU: f64 = 1.0e-9;

/// Between the hottest and the coolest oil that a history, or a cycle of the cooling, allows, points are looked at no
/// further apart than this, K; as many and no more. Our choice, as [`STEP_PU`].
const COOLER_BY_K: f64 = 0.7;
const COOLER_POINTS: (f64, f64) = (4.0, 64.0);

/// Where both ends are this close, K, there is nothing between them.
const SAME_K: f64 = 0.05;

/// A reading below the coolest oil that the knowledge allows is believed less the lower it is, and from here on
/// not at all, K. Our choice, no source: a thermometer in service, as [`super::watch::AGREES_WITHIN_K`].
const DOUBTED_FROM_K: f64 = 3.0;

/// A start that the knowledge allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WhichStart {
    /// From the load before as stated, or from the history: at its hottest.
    Stated,
    /// From a lower steady load, pu.
    From(f64),
    /// From a steady load, pu, under which a stage may wait for the next one, so many parts of the way from the oil that
    /// starts that to the oil that stops it: whatever a model or a draw has the cooling do there.
    InCycle {
        /// The load, pu.
        load_pu: f64,
        /// Index of the stage that waits.
        weaker: usize,
        /// Parts from the hottest.
        parts: u32,
        /// All parts of the way.
        of: u32,
    },
    /// From so many parts of the way to the coolest oil that a history, or a cycle of the cooling, allows.
    Cooler {
        /// Parts from the hottest.
        parts: u32,
        /// All parts of the way.
        of: u32,
    },
    /// As the thermometer reads, where it reads less than the knowledge allows.
    AsRead,
}

impl WhichStart {
    /// Whether it is looked at with draws, whatever it comes to without them.
    pub(super) fn is_drawn(self) -> bool {
        self.is_one_in(DRAWN_ONE_IN)
    }

    /// Whether it is from oil of a cycle of the cooling.
    pub(super) fn is_in_cycle(self) -> bool {
        matches!(self, Self::InCycle { .. })
    }

    pub(super) fn is_one_in(self, many: u32) -> bool {
        match self {
            Self::From(load_pu) => {
                let steps = load_pu / (STEP_PU * f64::from(many));
                (steps - steps.round()).abs() < SAME_PU
            }
            Self::InCycle { parts, of, .. } | Self::Cooler { parts, of } => {
                parts.is_multiple_of(many) || parts == of
            }
            Self::Stated | Self::AsRead => true,
        }
    }
}

/// The states that the unit may be in, as far as one start goes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pasts {
    /// The start.
    pub(super) which: WhichStart,
    /// After the load before as stated, or after the history.
    pub(super) stated: Settled,
    /// After the load before of this start.
    pub(super) own: Settled,
    /// After the least load before, where the load may have changed up to minute 0.
    pub(super) least: Option<Settled>,
}

/// Starts other than the stated one.
///
/// Where no stage starts by itself, now or before, the hot spot is the hotter the hotter the oil and the first gradient
/// are, and the smaller the second gradient is: after a history the stated start has all three. Of steady loads one end or
/// the other is the worst, because with the load the oil grows faster than the gradient.
pub(super) fn others(case: &Case, cooling: &Cooling, stated: &[Settled]) -> Vec<WhichStart> {
    let automatic = cooling.control == Control::Automatic;
    let mut others = Vec::new();
    if let StartFrom::Preload(load_pu) = &case.request.start {
        let lower = lower_loads(case.request.preload_from_pu, *load_pu);
        let ends = if automatic || Before::of(cooling).is_automatic() { usize::MAX } else { 1 };
        others.extend(lower.take(ends).map(WhichStart::From));
    }
    if !automatic {
        return others;
    }
    let cycles = cycles_of(case, cooling);
    // What the cycle of the stated load allows is among its cycles, in every model and every draw.
    let stated_pu = case.load_before_pu();
    let own: Vec<&Cycle> = cycles.iter().filter(|cycle| cycle.load_pu >= stated_pu).collect();
    let is_among = |past: &Settled| {
        let stage = past.steady.stage;
        let is_last = cooling.stages.len() == stage + 1;
        own.iter().any(|cycle| cycle.weaker == stage || (is_last && cycle.weaker + 1 == stage))
    };
    if !stated.iter().all(is_among) {
        let apart_k = stated.iter().map(|past| past.hottest.top_oil_c - past.coolest.top_oil_c);
        let apart_k = apart_k.fold(0.0, f64::max);
        let each = parts(apart_k).filter(|_| apart_k > SAME_K);
        others.extend(each.map(|(parts, of)| WhichStart::Cooler { parts, of }));
    }
    for Cycle { load_pu, weaker, apart_k } in cycles {
        let hottest = parts(apart_k).take(1).map(|(_, of)| (0, of));
        let each = hottest.chain(parts(apart_k));
        others.extend(each.map(|(parts, of)| WhichStart::InCycle { load_pu, weaker, parts, of }));
    }
    if case.request.top_oil_c.is_some() {
        others.push(WhichStart::AsRead);
    }
    others
}

/// Loads before under which the cooling may come and go; after a history what it allows is between its ends.
fn cycles_of(case: &Case, cooling: &Cooling) -> Vec<Cycle> {
    let StartFrom::Preload(load_pu) = &case.request.start else { return Vec::new() };
    let lower = lower_loads(case.request.preload_from_pu, *load_pu);
    let mut loads_pu: Vec<f64> = lower.chain([*load_pu]).collect();
    loads_pu.reverse();
    cycles(case, cooling, &loads_pu)
}

/// Parts of the way to the coolest oil, so many kelvin away, each with how many there are.
fn parts(apart_k: f64) -> impl Iterator<Item = (u32, u32)> {
    let points = (apart_k / COOLER_BY_K).ceil().clamp(COOLER_POINTS.0, COOLER_POINTS.1);
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between the two numbers of points"
    )]
    let of = points as u32;
    (1..=of).map(move |parts| (parts, of))
}

/// The lowest load before, and those on the way to the one stated.
fn lower_loads(from_pu: f64, load_pu: f64) -> impl Iterator<Item = f64> {
    let first = Some(from_pu).filter(|_| from_pu < load_pu - SAME_PU);
    let steps = (0..).map(|step| f64::from(step) * STEP_PU);
    let between = steps
        .skip_while(move |pu| *pu <= from_pu + SAME_PU)
        .take_while(move |pu| *pu < load_pu - SAME_PU);
    first.into_iter().chain(between)
}

impl Pasts {
    /// The state at minute 0.
    ///
    /// A reading is believed where the knowledge allows it. Below that it earns nothing: the oil is as it would be
    /// without the reading, or on the way there within [`DOUBTED_FROM_K`]. The gradients are those of the past.
    pub(super) fn state(&self, measured_c: Option<f64>) -> State {
        let without = self.load_varied(self.without_reading());
        let Some(measured_c) = measured_c else {
            return without;
        };
        let short_k = self.stated.coolest.top_oil_c - measured_c;
        let doubted = match self.which {
            WhichStart::AsRead => 0.0,
            WhichStart::Stated
            | WhichStart::From(_)
            | WhichStart::InCycle { .. }
            | WhichStart::Cooler { .. } => (short_k / DOUBTED_FROM_K).clamp(0.0, 1.0),
        };
        let top_oil_c = measured_c + doubted * (without.top_oil_c - measured_c);
        State { top_oil_c, ..without }
    }

    /// Where the load before may have changed up to minute 0, the winding may be as hot as after its greatest load, and
    /// the slow part of its gradient as it was after the least.
    fn load_varied(&self, state: State) -> State {
        let Some(least) = &self.least else { return state };
        State {
            gradient_1_k: state.gradient_1_k.max(self.stated.hottest.gradient_1_k),
            gradient_2_k: state.gradient_2_k.min(least.hottest.gradient_2_k),
            ..state
        }
    }

    fn without_reading(&self) -> State {
        match self.which {
            WhichStart::Stated | WhichStart::AsRead => self.stated.hottest,
            WhichStart::From(_) => self.own.hottest,
            WhichStart::InCycle { parts, of, .. } => on_the_way(&self.own, (parts, of)),
            WhichStart::Cooler { parts, of } => on_the_way(&self.stated, (parts, of)),
        }
    }

    /// The oil that the knowledge allows and that is nearest to a reading, °C; `cooler_k`: it may be so much cooler than this.
    pub(super) fn nearest_c(&self, (measured_c, cooler_k): (f64, f64)) -> f64 {
        let (coolest_c, explained_c) = (self.stated.coolest.top_oil_c, self.stated.explained_c);
        measured_c.min(explained_c - cooler_k).max(coolest_c - cooler_k)
    }
}

/// So many parts of the way from the hottest oil to the coolest.
fn on_the_way(past: &Settled, (parts, of): (u32, u32)) -> State {
    let share = f64::from(parts) / f64::from(of);
    past.hottest.shifted(share * (past.coolest.top_oil_c - past.hottest.top_oil_c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lower_loads_are_the_same_whatever_is_asked() {
        let loads = |from_pu, load_pu| -> Vec<f64> {
            lower_loads(from_pu, load_pu).map(|pu| (pu * 1000.0).round() / 1000.0).collect()
        };
        assert_eq!(loads(0.0, 0.05), [0.0, 0.013, 0.025, 0.038]);
        assert_eq!(loads(0.07, 0.1), [0.07, 0.075, 0.088]);
        assert_eq!(loads(0.1, 0.1125), [0.1]);
        assert!(loads(0.3, 0.3).is_empty() && loads(0.5, 0.3).is_empty());
    }
}
