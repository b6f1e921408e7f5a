//! A state near another one, and the step from it to the next.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

use super::balance::Heat;
use super::near::{NEAR, Near};

/// How far oil and conductor may get from it, K: viscosity and resistance.
const NEAR_K: f64 = 10.0;

/// Oils that are apart by less than this, K, are one beside the hot spot: in a step it feels less than a tenth of it.
const KINK_K: f64 = 0.02;

/// How far a temperature may move in a step, K, and how often the difference from where it tends to may fall to 1/e.
const FAR_K: f64 = 2.0;
const FAST: f64 = 1.5;

/// So often it may by the short series of [`stays`].
const SLOW: f64 = 0.6;

/// A state by how far it is off, and what follows from it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    winding: f64,
    hot_spot: f64,
    oil: f64,
    rise: f64,
    bottom: f64,
    top: f64,
    beside: f64,
    x: f64,
    /// With its slopes, as in [`Near`].
    lost: [f64; 3],
    lost_hot: [f64; 3],
    taken: f64,
}

/// A step: where it ends, the rates at its beginning, K/min, and what is to be said against it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Gone {
    pub(super) to: Point,
    pub(super) rates: [f64; 3],
    /// How long it is to what is allowed; from 1 on it is too long.
    pub(super) share: f64,
    /// It ends where the parabolas no longer hold.
    pub(super) away: bool,
    /// At its end it is another oil that is beside the hot spot, and so much hotter than the one of the beginning, K.
    pub(super) kink_k: f64,
}

/// (e^z − 1)/z and two of its kind, and the slope of the first.
#[inline(always)]
fn stays(z: f64) -> [f64; 4] {
    let square = z * z;
    if z.abs() > SLOW {
        // The fourth power of e^(z/4) by its series; for |z| up to FAST within 1e-4.
        let quarter = 0.25 * z;
        let root = 1.0
            + quarter
                * (1.0
                    + quarter
                        * (1.0 / 2.0
                            + quarter
                                * (1.0 / 6.0 + quarter * (1.0 / 24.0 + quarter * (1.0 / 120.0)))));
        let e = (root * root) * (root * root);
        let by = 1.0 / z;
        let stays = (e - 1.0) * by;
        let drifts = (stays - 1.0) * by;
        return [stays, drifts, (2.0 * drifts - 1.0) * by, (e - stays) * by];
    }
    [
        (1.0 + z * (1.0 / 2.0)) + square * (1.0 / 6.0 + z * (1.0 / 24.0)),
        (1.0 / 2.0 + z * (1.0 / 6.0)) + square * (1.0 / 24.0),
        1.0 / 3.0 + z * (1.0 / 12.0),
        (1.0 / 2.0 + z * (1.0 / 3.0)) + square * (1.0 / 8.0),
    ]
}

impl Near {
    /// The state itself.
    pub(super) fn begin(&self) -> Point {
        Point {
            winding: 0.0,
            hot_spot: 0.0,
            oil: 0.0,
            rise: 0.0,
            bottom: 0.0,
            top: 0.0,
            beside: 0.0,
            x: 0.0,
            lost: [self.lost.here, self.lost.x, self.lost.y],
            lost_hot: [self.lost_hot.here, self.lost_hot.x, self.lost_hot.y],
            taken: self.taken.here,
        }
    }

    /// Whether another oil beside the hot spot makes no difference, by how much it is hotter, K.
    pub(super) fn smooth(&self, kink_k: f64) -> bool {
        kink_k + self.jump_k < KINK_K
    }

    /// The temperatures of a point, °C.
    #[inline(always)]
    pub(super) fn heat(&self, point: &Point) -> Heat {
        Heat {
            winding_c: self.at.winding_c + point.winding,
            hot_spot_c: self.at.hot_spot_c + point.hot_spot,
            oil_c: self.at.oil_c + point.oil,
        }
    }

    /// Its hot spot, °C.
    #[inline(always)]
    pub(super) fn hot_spot_c(&self, point: &Point) -> f64 {
        self.at.hot_spot_c + point.hot_spot
    }

    /// Its top oil, °C.
    #[inline(always)]
    pub(super) fn top_oil_c(&self, point: &Point) -> f64 {
        self.at.oil_c + self.up.here + point.top
    }

    /// By how much the oil warms up in its duct, K.
    pub(super) fn duct_k(&self, point: &Point) -> f64 {
        self.duct.at(point.x, point.bottom)
    }

    /// Its ambient, °C.
    pub(super) fn ambient_c(&self, point: &Point) -> f64 {
        self.ambient_c + point.oil - point.rise
    }

    /// Goes on by `length_min` under the square of a load, per unit of the stage's rating, and an ambient that changes by
    /// so much, K/min.
    #[inline(always)]
    pub(super) fn step(&self, from: &Point, square: f64, ambient: f64, length_min: f64) -> Gone {
        let h = length_min;
        let rates = self.rates(from, square);
        let [winding, hot_spot, oil] = rates;
        let rise = oil - ambient;
        let bottom = oil - self.down.slope(from.rise) * rise;
        // The winding, above oil that drifts. What the slope is at the state itself is known before the point is.
        let [_, lost_x, lost_y] = from.lost;
        let z = h * (square * self.made.by - self.lost.x);
        let off = h * (2.0 * square * from.winding * self.made.twice - (lost_x - self.lost.x));
        let [stays_w, drifts_w, _, stays_by] = stays(z);
        let moved = h
            * (winding * (stays_w + off * stays_by) + (lost_x - lost_y) * (h * drifts_w) * bottom);
        let third = h * (1.0 / 3.0);
        let winding_moved = moved - third * self.lost.xx * moved * moved;
        // The oil, with the mean of what it gets.
        let heats = self.winding_in_oil
            * (lost_x * (winding_moved - h * bottom) + h * lost_y * bottom)
            + square * self.stray.1 * winding_moved
            - h * self.taken.slope(from.rise) * rise;
        let oil_moved = h * (oil + 0.5 * heats);
        let mut to = Point {
            winding: from.winding + winding_moved,
            oil: from.oil + oil_moved,
            rise: from.rise + oil_moved - h * ambient,
            ..*from
        };
        let kink_k = self.follow(&mut to);
        // The hot spot, beside oil of which both ends and the slope at the beginning are known.
        let beside = if self.by_top {
            oil + self.up.slope(from.rise) * rise
        } else {
            let [_, duct_x, duct_y] = self.duct.all(from.x, from.bottom);
            bottom + self.height * (duct_x * (winding - bottom) + duct_y * bottom)
        };
        let [_, hot_x, hot_y] = from.lost_hot;
        let hot_z = h * (square * self.made_hot.by - self.lost_hot.x);
        let off =
            h * (2.0 * square * from.hot_spot * self.made_hot.twice - (hot_x - self.lost_hot.x));
        let [stays_h, drifts_h, bends_h, stays_by] = stays(hot_z);
        let (beside_moved, drift) = (to.beside - from.beside, h * beside);
        let moved = h
            * (hot_spot * (stays_h + off * stays_by)
                + (hot_x - hot_y) * (drift * drifts_h + (beside_moved - drift) * bends_h));
        let over_moved = moved - beside_moved;
        let hot_moved = moved - third * self.lost_hot.xx * over_moved * over_moved;
        to.hot_spot = from.hot_spot + hot_moved;
        to.lost_hot = self.lost_hot.all(to.hot_spot - to.beside, to.beside);
        let moved = winding_moved.abs().max(hot_moved.abs()) * (1.0 / FAR_K);
        let share = moved.max(z.abs().max(hot_z.abs()) * (1.0 / FAST));
        // What is not a number is too long.
        let known = (winding_moved + hot_moved + z + hot_z).is_finite();
        let share = if known { share } else { f64::INFINITY };
        let away = !self.holds(&to);
        Gone { to, rates, share, away, kink_k }
    }

    /// The rates at a point under the square of a load, K/min.
    #[inline(always)]
    pub(super) fn rates(&self, point: &Point, square: f64) -> [f64; 3] {
        [
            square * self.made.at(point.winding) - point.lost[0],
            square * self.made_hot.at(point.hot_spot) - point.lost_hot[0],
            (self.core + square * (self.stray.0 + self.stray.1 * point.winding) - point.taken)
                + self.winding_in_oil * point.lost[0],
        ]
    }

    /// Whether hot spot or oil turn inside of a step.
    pub(super) fn turns(&self, gone: &Gone, square: f64) -> bool {
        let until = self.rates(&gone.to, square);
        [1, 2].into_iter().any(|part| gone.rates[part] * until[part] < 0.0)
    }

    /// Fills in what follows from winding, oil and rise; answers by how much the other oil is hotter beside the hot spot, K;
    /// 0 where it is not.
    #[inline(always)]
    fn follow(&self, point: &mut Point) -> f64 {
        let rise = point.rise;
        point.top = point.oil + rise * (self.up.by + rise * self.up.twice);
        point.bottom = point.oil - rise * (self.down.by + rise * self.down.twice);
        point.taken = self.taken.at(rise);
        point.x = point.winding - point.bottom;
        point.lost = self.lost.all(point.x, point.bottom);
        let duct = self.duct.at(point.x, point.bottom) - self.duct.here;
        point.beside = if self.by_top { point.top } else { point.bottom + self.height * duct };
        let over_top_k = self.duct_over_top_k + (point.bottom + duct - point.top);
        if self.by_top { over_top_k.max(0.0) } else { (-over_top_k).max(0.0) }
    }

    /// Whether the parabolas hold at a point, and no limit of the printed scheme acts there.
    #[inline(always)]
    fn holds(&self, point: &Point) -> bool {
        let clear_k = self.rise_k + point.rise - self.up.at(point.rise);
        let over = point.hot_spot - point.beside;
        ((clear_k <= 0.0) == self.cold)
            && (point.rise.abs() < NEAR * self.rise_k)
            && (point.x.abs() < self.within_k)
            && (over.abs() < self.within_hot_k)
            && (point.oil.abs() < NEAR_K)
            && (self.at.hot_spot_c + point.hot_spot >= self.at.winding_c + point.winding)
    }
}
