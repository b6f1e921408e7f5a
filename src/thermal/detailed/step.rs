//! One step of the detailed model, with a bounded error.

use super::balance::{Balance, Heat, Imposed};
use super::plate::Rated;

/// A load and an ambient that is a straight line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Drive {
    /// Load per unit of the stage's rating.
    pub(super) load: f64,
    /// Ambient as the coolers feel it, °C, at the beginning of the step.
    pub(super) ambient_c: f64,
    /// Its change, K/min.
    pub(super) per_min: f64,
}

impl Drive {
    pub(super) fn at(&self, minute: f64) -> Imposed {
        Imposed { load: self.load, ambient_c: self.ambient_c + self.per_min * minute }
    }
}

/// A step that was taken: cubics through both ends.
#[derive(Debug, Clone, Copy)]
pub(super) struct Taken {
    pub(super) length_min: f64,
    /// How far it may be off, K: what a method of second order in it makes otherwise.
    pub(super) error_k: f64,
    from: Heat,
    pub(super) until: Heat,
    from_rates: [f64; 3],
    until_rates: [f64; 3],
}

/// Coefficients of the step: four stages of third order that damp what is fast, and end in the new state.
///
/// The method is Rodas3 of Sandu et al., Atmospheric Environment 31 (19) 1997, from memory; held against an ODE library and
/// against itself with shorter steps in `tests/second_opinion/detailed.rs`.
const GAMMA: f64 = 0.5;
const STAGES: [[f64; 3]; 4] = [[0.0; 3], [0.0; 3], [2.0, 0.0, 0.0], [2.0, 0.0, 1.0]];
const COUPLED: [[f64; 3]; 4] =
    [[0.0; 3], [4.0, 0.0, 0.0], [1.0, -1.0, 0.0], [1.0, -1.0, -8.0 / 3.0]];
const GAMMAS: [f64; 4] = [0.5, 1.5, 0.0, 0.0];
const AT: [f64; 4] = [0.0, 0.0, 1.0, 1.0];
const NEW: [f64; 4] = [2.0, 0.0, 1.0, 1.0];

/// By how much a temperature is moved to see what it does, K.
const NUDGE_K: f64 = 1.0e-4;

/// What the rates do when a temperature moves: the hot spot moves nothing but itself.
struct Slopes {
    winding: [f64; 3],
    hot_spot: f64,
    oil: [f64; 3],
}

impl Rated {
    fn rates_at(&self, heat: &Heat, imposed: Imposed, about_k: f64) -> ([f64; 3], Balance) {
        let balance = self.balance(heat, imposed, about_k);
        (self.rates(heat, &balance, imposed.load), balance)
    }

    fn slopes(&self, heat: &Heat, imposed: Imposed, rates: [f64; 3], balance: &Balance) -> Slopes {
        let against = |moved: [f64; 3]| {
            let each = |part: usize| (moved[part] - rates[part]) / NUDGE_K;
            [each(0), each(1), each(2)]
        };
        let winding = Heat { winding_c: heat.winding_c + NUDGE_K, ..*heat };
        let oil = Heat { oil_c: heat.oil_c + NUDGE_K, ..*heat };
        let hotter = Heat { hot_spot_c: heat.hot_spot_c + NUDGE_K, ..*heat };
        let alone = self.hot_spot_rate(&hotter, balance.beside_c, imposed.load);
        Slopes {
            winding: against(self.rates_at(&winding, imposed, balance.duct_k()).0),
            hot_spot: (alone - rates[1]) / NUDGE_K,
            oil: against(self.rates_at(&oil, imposed, balance.duct_k()).0),
        }
    }

    /// Takes a step; `rates` are those at its beginning.
    pub(super) fn step(&self, from: &Heat, drive: &Drive, length_min: f64) -> Taken {
        let (from_rates, balance) = self.rates_at(from, drive.at(0.0), 0.0);
        let about_k = balance.duct_k();
        let slopes = self.slopes(from, drive.at(0.0), from_rates, &balance);
        let with_time = if drive.per_min == 0.0 {
            [0.0; 3]
        } else {
            let (later, _) = self.rates_at(from, drive.at(NUDGE_K), about_k);
            let each = |part: usize| (later[part] - from_rates[part]) / NUDGE_K;
            [each(0), each(1), each(2)]
        };
        let solve = slopes.solver(1.0 / (GAMMA * length_min));
        let (mut moves, mut rates) = ([[0.0; 3]; 4], from_rates);
        for stage in 0..4 {
            // The second begins where the first does.
            if stage >= 2 {
                let before = STAGES[stage].iter().zip(&moves);
                let heat = before.fold(*from, |heat, (share, moves)| heat.plus(*share, *moves));
                rates = self.rates_at(&heat, drive.at(AT[stage] * length_min), about_k).0;
            }
            let mut right = [0.0; 3];
            for (part, right) in right.iter_mut().enumerate() {
                let coupled: f64 = COUPLED[stage]
                    .iter()
                    .zip(&moves)
                    .map(|(share, moves)| share * moves[part])
                    .sum();
                *right = rates[part]
                    + coupled / length_min
                    + GAMMAS[stage] * length_min * with_time[part];
            }
            moves[stage] = solve(right);
        }
        let all = NEW.iter().zip(&moves);
        let until = all.fold(*from, |heat, (share, moves)| heat.plus(*share, *moves));
        let (rates, balance) = self.rates_at(&until, drive.at(length_min), about_k);
        let clamped = balance.clamped(&until);
        let until_rates = if clamped == until {
            rates
        } else {
            self.rates_at(&clamped, drive.at(length_min), about_k).0
        };
        let until = clamped;
        let error_k = moves[3]
            .iter()
            .fold(0.0, |most: f64, moved| if moved.abs() <= most { most } else { moved.abs() });
        Taken { length_min, error_k, from: *from, until, from_rates, until_rates }
    }
}

impl Slopes {
    /// Solves (diagonal − slopes)·x = right.
    fn solver(&self, diagonal: f64) -> impl Fn([f64; 3]) -> [f64; 3] {
        // Winding and oil move each other, the hot spot follows both.
        let (ww, wo) = (diagonal - self.winding[0], -self.oil[0]);
        let (ow, oo) = (-self.winding[2], diagonal - self.oil[2]);
        let (hw, ho, hh) = (self.winding[1], self.oil[1], diagonal - self.hot_spot);
        let whole = ww * oo - wo * ow;
        move |right: [f64; 3]| {
            let winding = (right[0] * oo - wo * right[2]) / whole;
            let oil = (ww * right[2] - right[0] * ow) / whole;
            [winding, (right[1] + hw * winding + ho * oil) / hh, oil]
        }
    }
}

impl Taken {
    /// A step that was taken in another way, by its ends and the rates there, K/min.
    pub(super) fn between(
        length_min: f64,
        (from, from_rates): (Heat, [f64; 3]),
        (until, until_rates): (Heat, [f64; 3]),
    ) -> Self {
        Self { length_min, error_k: 0.0, from, until, from_rates, until_rates }
    }

    /// The temperatures inside of the step, by cubics that have the values and the slopes of both ends.
    pub(super) fn at(&self, minute: f64) -> Heat {
        let share = minute / self.length_min;
        let (from, until) = (self.from.parts(), self.until.parts());
        let each = |part: usize| {
            let (start, end) = (from[part], until[part]);
            let [rise, slope, slope_end] = [
                end - start,
                self.from_rates[part] * self.length_min,
                self.until_rates[part] * self.length_min,
            ];
            start
                + share
                    * (slope
                        + share
                            * (3.0 * rise - 2.0 * slope - slope_end
                                + share * (slope + slope_end - 2.0 * rise)))
        };
        Heat { winding_c: each(0), hot_spot_c: each(1), oil_c: each(2) }
    }

    /// Where one of the cubics is level inside of the step, min.
    pub(super) fn level(&self, part: usize) -> impl Iterator<Item = f64> {
        let rise = self.until.parts()[part] - self.from.parts()[part];
        let slope = self.from_rates[part] * self.length_min;
        let slope_end = self.until_rates[part] * self.length_min;
        // The derivative: slope + 2·b·s + 3·c·s².
        let (b, c) = (3.0 * rise - 2.0 * slope - slope_end, slope + slope_end - 2.0 * rise);
        let inside = (b * b - 3.0 * c * slope).max(0.0).sqrt();
        // Without loss of digits where c is small.
        let q = -(b + inside.copysign(b));
        let roots = [q / (3.0 * c), slope / q];
        let length_min = self.length_min;
        roots.into_iter().filter(|s| *s > 0.0 && *s < 1.0).map(move |s| s * length_min)
    }
}
