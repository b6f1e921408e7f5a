//! Near a state all that moves heat is a parabola of the temperatures: a step of a minute then needs no power, root or
//! exponential.
//!
//! ```text
//! winding   dΔw/dt = K²·made(Δw) − lost(Δx, Δb)        Δx = Δw − Δb, Δb of the bottom oil
//! hot spot  dΔg/dt = K²·made(Δg) − lost(Δv, Δs)        Δv = Δg − Δs, Δs of the oil beside it
//! oil       dΔo/dt = core + K²·stray(Δw) + lost by the winding − taken by the coolers(Δr),  Δr of the rise over the ambient
//! ```
//! A step solves each with its slope at the beginning exactly, with what drifts under it and with the curvature of what
//! is lost; that is third order, and its error is that of what is left out of the parabolas ([`Near::holds`]).

use super::balance::{ABSOLUTE_K, Heat, VISCOSITY_K, power};
use super::plate::{Duct, Rated};

/// Surfaces that are less above their oil than this, K, are left to the general step.
const LEAST_OVER_K: f64 = 0.5;

/// How far a surface over its oil, and the oil over the ambient, may get from the state, as a share of what they are
/// there: at the rated losses, and farther at smaller ones, up to [`FARTHEST`]. The third power of it that is left out
/// makes 0.0003 of the rated losses.
const NEAR: f64 = 0.2;
const FARTHEST: f64 = 0.4;

/// How far oil and conductor may get from it, K: viscosity and resistance.
const NEAR_K: f64 = 10.0;

/// Oils that are apart by less than this, K, are one beside the hot spot: in a step it feels less than a tenth of it.
const KINK_K: f64 = 0.02;

/// How far a temperature may move in a step, K, and how much of its difference from where it tends to may be gone.
const FAR_K: f64 = 2.0;
const FAST: f64 = 0.4;

/// A quantity by one temperature: its value there, its slope and half its curvature.
#[derive(Debug, Clone, Copy)]
struct Curve {
    here: f64,
    by: f64,
    twice: f64,
}

impl Curve {
    /// A power of a rise over something, K, that has a value there.
    fn power(value: f64, exponent: f64, rise_k: f64) -> Self {
        let by = exponent * value / rise_k;
        Self { here: value, by, twice: 0.5 * (exponent - 1.0) * by / rise_k }
    }

    /// What a conductor makes at a load of 1, by its temperature: I²R and eddies.
    fn made(i2r: f64, eddy: f64, (hotter, per_k): (f64, f64)) -> Self {
        let eddy = eddy / hotter;
        let each = per_k / hotter;
        Self {
            here: i2r * hotter + eddy,
            by: i2r * per_k - eddy * each,
            twice: eddy * each * each,
        }
    }

    #[allow(clippy::inline_always, reason = "minutes of a year")]
    #[inline(always)]
    fn at(&self, off: f64) -> f64 {
        self.here + off * (self.by + off * self.twice)
    }

    #[allow(clippy::inline_always, reason = "minutes of a year")]
    #[inline(always)]
    fn slope(&self, off: f64) -> f64 {
        self.by + 2.0 * off * self.twice
    }

    fn scaled(self, factor: f64) -> Self {
        Self { here: factor * self.here, by: factor * self.by, twice: factor * self.twice }
    }
}

/// A quantity by two temperatures: its value there, its slopes and half its curvatures.
#[derive(Debug, Clone, Copy)]
struct Sheet {
    here: f64,
    x: f64,
    y: f64,
    xx: f64,
    xy: f64,
    yy: f64,
}

impl Sheet {
    /// From the slopes and curvatures of its logarithm.
    fn of_logarithm(value: f64, [x, y, xx, xy, yy]: [f64; 5]) -> Self {
        Self {
            here: value,
            x: value * x,
            y: value * y,
            xx: 0.5 * value * (xx + x * x),
            xy: value * (xy + x * y),
            yy: 0.5 * value * (yy + y * y),
        }
    }

    #[allow(clippy::inline_always, reason = "minutes of a year")]
    #[inline(always)]
    fn at(&self, x: f64, y: f64) -> f64 {
        (self.here + x * (self.x + (x * self.xx + y * self.xy))) + y * (self.y + y * self.yy)
    }

    /// Its value and its slopes.
    #[allow(clippy::inline_always, reason = "minutes of a year")]
    #[inline(always)]
    fn all(&self, x: f64, y: f64) -> [f64; 3] {
        let (bent_x, bent_y, both) = (x * self.xx, y * self.yy, y * self.xy);
        let (to_x, to_y) = (self.x + (bent_x + both), self.y + bent_y);
        [(self.here + x * to_x) + y * to_y, to_x + bent_x, to_y + (bent_y + x * self.xy)]
    }
}

/// The parabolas around a state; rates in K/min.
#[derive(Debug, Clone, Copy)]
pub(super) struct Near {
    at: Heat,
    ambient_c: f64,
    rise_k: f64,
    /// Whether the bottom oil is as cold as the ambient.
    cold: bool,
    /// Half the difference of top and bottom oil by the rise of the oil: upwards, and downwards as far as the ambient.
    up: Curve,
    down: Curve,
    taken: Curve,
    made: Curve,
    made_hot: Curve,
    stray: (f64, f64),
    core: f64,
    /// What heat of the winding does to the oil, over what it does to the winding.
    winding_in_oil: f64,
    /// What the winding loses, by its height over the bottom oil and by that.
    lost: Sheet,
    /// How far that height may be off, K.
    near_k: f64,
    duct: Sheet,
    height: f64,
    /// What the hot spot loses, by its height over the oil beside it and by that.
    lost_hot: Sheet,
    near_hot_k: f64,
    duct_over_top_k: f64,
    by_top: bool,
    /// By how much the oil beside the hot spot jumps where it changes, K.
    jump_k: f64,
}

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
    /// It is too long.
    pub(super) far: bool,
    /// It ends where the parabolas no longer hold.
    pub(super) away: bool,
    /// At its end it is another oil that is beside the hot spot, and so much hotter than the one of the beginning, K.
    pub(super) kink_k: f64,
}

/// (e^z − 1)/z and two of its kind, by their series for |z| up to [`FAST`], and the slope of the first.
#[allow(clippy::inline_always, reason = "minutes of a year")]
#[inline(always)]
fn stays(z: f64) -> [f64; 4] {
    let square = z * z;
    [
        (1.0 + z * (1.0 / 2.0)) + square * (1.0 / 6.0 + z * (1.0 / 24.0)),
        (1.0 / 2.0 + z * (1.0 / 6.0)) + square * (1.0 / 24.0),
        1.0 / 3.0 + z * (1.0 / 12.0),
        (1.0 / 2.0 + z * (1.0 / 3.0)) + square * (1.0 / 8.0),
    ]
}

impl Rated {
    /// The parabolas around a state, in which the oil warms up in the duct by about so much, K (0: unknown); `None` where a surface is hardly hotter than its oil, or one of the printed scheme's
    /// limits holds it.
    pub(super) fn near(&self, heat: &Heat, ambient_c: f64, about_k: f64) -> Option<Near> {
        let rise_k = heat.oil_c - ambient_c;
        let power_of = 1.0 / self.flow.radiator_exponent;
        let share = power(rise_k.max(0.0) / (self.oil_c - self.ambient_c), power_of);
        let half_k = 0.5 * power(share, self.flow.top_bottom_exponent) * self.top_bottom_k;
        let up = Curve::power(half_k, power_of * self.flow.top_bottom_exponent, rise_k);
        let cold = !(half_k < rise_k);
        let down = if cold { Curve { here: rise_k, by: 1.0, twice: 0.0 } } else { up };
        let (top_c, bottom_c) = (heat.oil_c + half_k, heat.oil_c - down.here);
        let (share_lost, duct_k) = self.duct((heat.winding_c - bottom_c, bottom_c), about_k);
        let over_k = heat.winding_c - bottom_c - 0.5 * duct_k;
        let by_top = bottom_c + duct_k < top_c;
        let beside_c = if by_top { top_c } else { bottom_c + self.height_pu * duct_k };
        let hot_over_k = heat.hot_spot_c - beside_c;
        if !(rise_k > LEAST_OVER_K && over_k > LEAST_OVER_K && hot_over_k > LEAST_OVER_K) {
            return None;
        }
        let (per_winding, per_oil) = (1.0 / self.winding_heat, 1.0 / self.oil_heat);
        let zero_k = self.resistance_zero_k;
        let per_k = 1.0 / (self.guaranteed_c + zero_k);
        let hotter = (heat.winding_c + zero_k) * per_k;
        let hot_per_k = 1.0 / (self.hot_spot_c + zero_k);
        let hot_hotter = (heat.hot_spot_c + zero_k) * hot_per_k;
        let stray = per_oil * self.stray / hotter;
        let logarithm = self.duct_logarithm(over_k, bottom_c + 0.5 * (heat.winding_c - bottom_c + 0.5 * duct_k), duct_k);
        let lost = share_lost * (self.i2r + self.eddy) * per_winding;
        let exponent = self.flow.duct_exponent;
        let here = self.film(hot_over_k / self.hot_spot_over_oil_k, heat.hot_spot_c - 0.5 * hot_over_k, self.hot_spot_film_c);
        let (power_of_over, thinner, thinner_by) = self.film_logarithm(heat.hot_spot_c - 0.5 * hot_over_k);
        let each = power_of_over / hot_over_k;
        let hot = [
            each + 0.5 * thinner,
            thinner,
            0.25 * thinner_by - each / hot_over_k,
            0.5 * thinner_by,
            thinner_by,
        ];
        Some(Near {
            at: *heat,
            ambient_c,
            rise_k,
            cold,
            up,
            down,
            taken: Curve::power(share * self.total * per_oil, power_of, rise_k),
            made: Curve::made(self.i2r, self.eddy, (hotter, per_k)).scaled(per_winding),
            made_hot: Curve::made(self.hot_spot_i2r, self.hot_spot_eddy, (hot_hotter, hot_per_k))
                .scaled(per_winding),
            stray: (stray, -stray * per_k / hotter),
            core: per_oil * self.core,
            winding_in_oil: per_oil / per_winding,
            lost: Sheet::of_logarithm(lost, logarithm),
            near_k: within(over_k, share_lost),
            duct: Sheet::of_logarithm(duct_k, logarithm.map(|slope| exponent * slope)),
            height: self.height_pu,
            lost_hot: Sheet::of_logarithm(
                here * (self.hot_spot_i2r + self.hot_spot_eddy) * per_winding,
                hot,
            ),
            near_hot_k: within(hot_over_k, here),
            duct_over_top_k: bottom_c + duct_k - top_c,
            by_top,
            jump_k: (1.0 - self.height_pu).abs() * duct_k,
        })
    }

    /// The power with which a film loses, and slope and curvature of the logarithm of what its oil's viscosity does to it.
    pub(super) fn film_logarithm(&self, film_c: f64) -> (f64, f64, f64) {
        match self.flow.duct {
            Duct::Directed => (1.0, 0.0, 0.0),
            Duct::Natural | Duct::Forced => {
                let per_k = 1.0 / (film_c + ABSOLUTE_K);
                let by = 0.25 * VISCOSITY_K * per_k * per_k;
                (1.25, by, -2.0 * by * per_k)
            }
        }
    }

    /// Slopes and curvatures of the logarithm q of the share that the winding loses, by x, its height over the bottom oil,
    /// and y, that oil:
    ///
    /// ```text
    /// q = p·ln(x − d/2) + v(y + x/2 + d/4)      d = rated duct · e^(exponent·q)
    /// ```
    fn duct_logarithm(&self, over_k: f64, film_c: f64, duct_k: f64) -> [f64; 5] {
        let (power_of_over, by, twice) = self.film_logarithm(film_c);
        let by_q = self.flow.duct_exponent * duct_k;
        let each = power_of_over / over_k;
        let curved = each / over_k;
        // How q answers to x and y with d held, and by how much less it does as d follows.
        let (by_x, less) = (each + 0.5 * by, 0.5 * each - 0.25 * by);
        let whole = 1.0 / (1.0 + by_q * less);
        let (x, y) = (by_x * whole, by * whole);
        let (d_x, d_y) = (by_q * x, by_q * y);
        let (over_x, over_y) = (1.0 - 0.5 * d_x, -0.5 * d_y);
        let (film_x, film_y) = (0.5 + 0.25 * d_x, 1.0 + 0.25 * d_y);
        let by_x_x = 0.5 * twice * film_x - curved * over_x;
        let by_x_y = 0.5 * twice * film_y - curved * over_y;
        let less_x = -0.5 * curved * over_x - 0.25 * twice * film_x;
        let less_y = -0.5 * curved * over_y - 0.25 * twice * film_y;
        let exponent = self.flow.duct_exponent;
        let whole_x = exponent * d_x * less + by_q * less_x;
        let whole_y = exponent * d_y * less + by_q * less_y;
        [
            x,
            y,
            (by_x_x - x * whole_x) * whole,
            (by_x_y - x * whole_y) * whole,
            (twice * film_y - y * whole_y) * whole,
        ]
    }
}

/// How far a height over oil, K, may be off where a surface loses such a share of the rated losses.
fn within(over_k: f64, share: f64) -> f64 {
    over_k * (NEAR / share.cbrt()).min(FARTHEST)
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
    #[allow(clippy::inline_always, reason = "minutes of a year")]
    #[inline(always)]
    pub(super) fn heat(&self, point: &Point) -> Heat {
        Heat {
            winding_c: self.at.winding_c + point.winding,
            hot_spot_c: self.at.hot_spot_c + point.hot_spot,
            oil_c: self.at.oil_c + point.oil,
        }
    }

    /// Its hot spot, °C.
    #[allow(clippy::inline_always, reason = "minutes of a year")]
    #[inline(always)]
    pub(super) fn hot_spot_c(&self, point: &Point) -> f64 {
        self.at.hot_spot_c + point.hot_spot
    }

    /// Its top oil, °C.
    #[allow(clippy::inline_always, reason = "minutes of a year")]
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
    #[allow(clippy::inline_always, reason = "minutes of a year")]
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
        let moved = h * (winding * (stays_w + off * stays_by) + (lost_x - lost_y) * (h * drifts_w) * bottom);
        let third = h * (1.0 / 3.0);
        let winding_moved = moved - third * self.lost.xx * moved * moved;
        // The oil, with the mean of what it gets.
        let heats = self.winding_in_oil * (lost_x * (winding_moved - h * bottom) + h * lost_y * bottom)
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
        let off = h * (2.0 * square * from.hot_spot * self.made_hot.twice - (hot_x - self.lost_hot.x));
        let [stays_h, drifts_h, bends_h, stays_by] = stays(hot_z);
        let (beside_moved, drift) = (to.beside - from.beside, h * beside);
        let moved = h
            * (hot_spot * (stays_h + off * stays_by)
                + (hot_x - hot_y) * (drift * drifts_h + (beside_moved - drift) * bends_h));
        let over_moved = moved - beside_moved;
        let hot_moved = moved - third * self.lost_hot.xx * over_moved * over_moved;
        to.hot_spot = from.hot_spot + hot_moved;
        to.lost_hot = self.lost_hot.all(to.hot_spot - to.beside, to.beside);
        let near = (winding_moved.abs() < FAR_K)
            & (hot_moved.abs() < FAR_K)
            & (z.abs() < FAST)
            & (hot_z.abs() < FAST);
        let (far, away) = (!near, !self.holds(&to));
        Gone { to, rates, far, away, kink_k }
    }

    /// The rates at a point under the square of a load, K/min.
    #[allow(clippy::inline_always, reason = "minutes of a year")]
    #[inline(always)]
    pub(super) fn rates(&self, point: &Point, square: f64) -> [f64; 3] {
        [
            square * self.made.at(point.winding) - point.lost[0],
            square * self.made_hot.at(point.hot_spot) - point.lost_hot[0],
            (self.core + square * (self.stray.0 + self.stray.1 * point.winding) - point.taken)
                + self.winding_in_oil * point.lost[0],
        ]
    }

    /// Fills in what follows from winding, oil and rise; answers by how much the other oil is hotter beside the hot spot, K;
    /// 0 where it is not.
    #[allow(clippy::inline_always, reason = "minutes of a year")]
    #[inline(always)]
    fn follow(&self, point: &mut Point) -> f64 {
        let rise = point.rise;
        point.top = point.oil + rise * (self.up.by + rise * self.up.twice);
        point.bottom = point.oil - rise * (self.down.by + rise * self.down.twice);
        point.taken = self.taken.at(rise);
        point.x = point.winding - point.bottom;
        point.lost = self.lost.all(point.x, point.bottom);
        let duct = self.duct.at(point.x, point.bottom) - self.duct.here;
        point.beside =
            if self.by_top { point.top } else { point.bottom + self.height * duct };
        let over_top_k = self.duct_over_top_k + (point.bottom + duct - point.top);
        if self.by_top { over_top_k.max(0.0) } else { (-over_top_k).max(0.0) }
    }

    /// Whether the parabolas hold at a point, and no limit of the printed scheme acts there.
    #[allow(clippy::inline_always, reason = "minutes of a year")]
    #[inline(always)]
    fn holds(&self, point: &Point) -> bool {
        let clear_k = self.rise_k + point.rise - self.up.at(point.rise);
        let over = point.hot_spot - point.beside;
        ((clear_k <= 0.0) == self.cold)
            & (point.rise.abs() < NEAR * self.rise_k)
            & (point.x.abs() < self.near_k)
            & (over.abs() < self.near_hot_k)
            & (point.oil.abs() < NEAR_K)
            & (self.at.hot_spot_c + point.hot_spot >= self.at.winding_c + point.winding)
    }
}
