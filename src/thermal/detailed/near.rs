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
const LEAST_OVER_K: f64 = 1.0;

/// How far a surface over its oil, and the oil over the ambient, may get from the state, as a share of what they are
/// there. The third power of it that is left out is then below 0.0002 of the rated losses.
const NEAR: f64 = 0.15;

/// How far oil and conductor may get from it, K: viscosity and resistance.
const NEAR_K: f64 = 8.0;

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

    fn at(&self, off: f64) -> f64 {
        self.here + off * (self.by + off * self.twice)
    }

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

    fn at(&self, x: f64, y: f64) -> f64 {
        self.here + x * (self.x + x * self.xx + y * self.xy) + y * (self.y + y * self.yy)
    }

    fn slopes(&self, x: f64, y: f64) -> (f64, f64) {
        (
            self.x + 2.0 * x * self.xx + y * self.xy,
            self.y + 2.0 * y * self.yy + x * self.xy,
        )
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
    over_k: f64,
    duct: Sheet,
    height: f64,
    /// What the hot spot loses, by its height over the oil beside it and by that.
    lost_hot: Sheet,
    hot_over_k: f64,
    bottom_over_top_k: f64,
    by_top: bool,
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
    lost: f64,
    lost_hot: f64,
    taken: f64,
}

/// What came of a step.
#[derive(Debug, Clone, Copy)]
pub(super) enum Went {
    /// It was taken: where it ends, and the rates at both ends, K/min.
    On(Point, [f64; 3], [f64; 3]),
    /// It is too long.
    Far,
    /// It ends where the parabolas no longer hold.
    Away,
    /// A rule of the printed scheme begins or ends to act inside of it.
    Kink,
}

/// (e^z − 1)/z and the next two of its kind, by their series, for |z| up to [`FAST`].
fn stays(z: f64) -> [f64; 3] {
    [
        1.0 + z * (1.0 / 2.0 + z * (1.0 / 6.0 + z * (1.0 / 24.0 + z * (1.0 / 120.0)))),
        1.0 / 2.0 + z * (1.0 / 6.0 + z * (1.0 / 24.0 + z * (1.0 / 120.0))),
        1.0 / 3.0 + z * (1.0 / 12.0 + z * (1.0 / 60.0)),
    ]
}

impl Rated {
    /// The parabolas around a state; `None` where a surface is hardly hotter than its oil, or one of the printed scheme's
    /// limits holds it.
    pub(super) fn near(&self, heat: &Heat, ambient_c: f64) -> Option<Near> {
        let rise_k = heat.oil_c - ambient_c;
        let power_of = 1.0 / self.flow.radiator_exponent;
        let share = power(rise_k.max(0.0) / (self.oil_c - self.ambient_c), power_of);
        let half_k = 0.5 * power(share, self.flow.top_bottom_exponent) * self.top_bottom_k;
        let up = Curve::power(half_k, power_of * self.flow.top_bottom_exponent, rise_k);
        let cold = !(half_k < rise_k);
        let down = if cold { Curve { here: rise_k, by: 1.0, twice: 0.0 } } else { up };
        let (top_c, bottom_c) = (heat.oil_c + half_k, heat.oil_c - down.here);
        let (share_lost, duct_k) = self.duct(heat.winding_c - bottom_c, bottom_c);
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
            over_k,
            duct: Sheet::of_logarithm(duct_k, logarithm.map(|slope| exponent * slope)),
            height: self.height_pu,
            lost_hot: Sheet::of_logarithm(
                here * (self.hot_spot_i2r + self.hot_spot_eddy) * per_winding,
                hot,
            ),
            hot_over_k,
            bottom_over_top_k: bottom_c + duct_k - top_c,
            by_top,
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
            lost: self.lost.here,
            lost_hot: self.lost_hot.here,
            taken: self.taken.here,
        }
    }

    /// The temperatures of a point, °C.
    pub(super) fn heat(&self, point: &Point) -> Heat {
        Heat {
            winding_c: self.at.winding_c + point.winding,
            hot_spot_c: self.at.hot_spot_c + point.hot_spot,
            oil_c: self.at.oil_c + point.oil,
        }
    }

    /// Its top oil, °C.
    pub(super) fn top_oil_c(&self, point: &Point) -> f64 {
        self.at.oil_c + self.up.here + point.top
    }

    /// Its ambient, °C.
    pub(super) fn ambient_c(&self, point: &Point) -> f64 {
        self.ambient_c + point.oil - point.rise
    }

    /// Goes on by `length_min` under the square of a load, per unit of the stage's rating, and an ambient that changes by
    /// so much, K/min.
    #[allow(clippy::inline_always, reason = "minutes of a year")]
    #[inline(always)]
    pub(super) fn step(&self, from: &Point, square: f64, ambient: f64, length_min: f64) -> Went {
        let h = length_min;
        let (lost_x, lost_y) = self.lost.slopes(from.x, from.bottom);
        let stray = square * self.stray.1;
        let winding = square * self.made.at(from.winding) - from.lost;
        let oil = self.core + square * self.stray.0 + stray * from.winding
            + self.winding_in_oil * from.lost
            - from.taken;
        let rise = oil - ambient;
        let bottom = oil - self.down.slope(from.rise) * rise;
        // The winding, above oil that drifts.
        let z = h * (square * self.made.slope(from.winding) - lost_x);
        let [stays_w, drifts_w, _] = stays(z);
        let moved = h * (winding * stays_w + h * (lost_x - lost_y) * bottom * drifts_w);
        let winding_moved = moved - h / 3.0 * self.lost.xx * moved * moved;
        // The oil, with the mean of what it gets.
        let mean = winding_moved / h;
        let oil_by = self.winding_in_oil * (lost_x * (mean - bottom) + lost_y * bottom) + stray * mean
            - self.taken.slope(from.rise) * rise;
        let oil_moved = h * (oil + 0.5 * h * oil_by);
        let mut to = Point {
            winding: from.winding + winding_moved,
            oil: from.oil + oil_moved,
            rise: from.rise + oil_moved - h * ambient,
            ..*from
        };
        let by_top = self.follow(&mut to);
        // The hot spot, beside oil of which both ends and the slope at the beginning are known.
        let beside = if self.by_top {
            oil + self.up.slope(from.rise) * rise
        } else {
            let (duct_x, duct_y) = self.duct.slopes(from.x, from.bottom);
            bottom + self.height * (duct_x * (winding - bottom) + duct_y * bottom)
        };
        let (hot_x, hot_y) = self.lost_hot.slopes(from.hot_spot - from.beside, from.beside);
        let hot_spot = square * self.made_hot.at(from.hot_spot) - from.lost_hot;
        let hot_z = h * (square * self.made_hot.slope(from.hot_spot) - hot_x);
        let [stays_h, drifts_h, bends_h] = stays(hot_z);
        let (beside_moved, drift) = (to.beside - from.beside, h * beside);
        let moved = h
            * (hot_spot * stays_h
                + (hot_x - hot_y) * (drift * drifts_h + (beside_moved - drift) * bends_h));
        let over_moved = moved - beside_moved;
        let hot_moved = moved - h / 3.0 * self.lost_hot.xx * over_moved * over_moved;
        to.hot_spot = from.hot_spot + hot_moved;
        to.lost_hot = self.lost_hot.at(to.hot_spot - to.beside, to.beside);
        if by_top != self.by_top {
            return Went::Kink;
        }
        let near = winding_moved.abs() < FAR_K && hot_moved.abs() < FAR_K;
        if !(near && z.abs() < FAST && hot_z.abs() < FAST) {
            return Went::Far;
        }
        if !self.holds(&to) {
            return Went::Away;
        }
        let until = [
            square * self.made.at(to.winding) - to.lost,
            square * self.made_hot.at(to.hot_spot) - to.lost_hot,
            self.core + square * self.stray.0 + stray * to.winding + self.winding_in_oil * to.lost
                - to.taken,
        ];
        Went::On(to, [winding, hot_spot, oil], until)
    }

    /// Fills in what follows from winding, oil and rise; answers whether the oil beside the hot spot is the top oil.
    #[allow(clippy::inline_always, reason = "minutes of a year")]
    #[inline(always)]
    fn follow(&self, point: &mut Point) -> bool {
        let rise = point.rise;
        point.top = point.oil + rise * (self.up.by + rise * self.up.twice);
        point.bottom = point.oil - rise * (self.down.by + rise * self.down.twice);
        point.taken = self.taken.at(rise);
        point.x = point.winding - point.bottom;
        point.lost = self.lost.at(point.x, point.bottom);
        let duct = self.duct.at(point.x, point.bottom) - self.duct.here;
        point.beside =
            if self.by_top { point.top } else { point.bottom + self.height * duct };
        self.bottom_over_top_k + point.bottom + duct - point.top < 0.0
    }

    /// Whether the parabolas hold at a point, and no limit of the printed scheme acts there.
    #[allow(clippy::inline_always, reason = "minutes of a year")]
    #[inline(always)]
    fn holds(&self, point: &Point) -> bool {
        let clear_k = self.rise_k + point.rise - self.up.at(point.rise);
        let over = point.hot_spot - point.beside;
        (clear_k <= 0.0) == self.cold
            && point.rise.abs() < NEAR * self.rise_k
            && point.x.abs() < NEAR * self.over_k
            && over.abs() < NEAR * self.hot_over_k
            && point.oil.abs() < NEAR_K
            && self.at.hot_spot_c + point.hot_spot >= self.at.winding_c + point.winding
    }
}
