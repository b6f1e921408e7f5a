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
use super::parabola::{Curve, Sheet};
use super::plate::{Duct, Rated};

/// Surfaces that are less above their oil than this, K, are left to the general step.
const LEAST_OVER_K: f64 = 0.5;

/// How far a surface over its oil, and the oil over the ambient, may get from the state, as a share of what they are
/// there: at the rated losses, and farther at smaller ones, up to [`FARTHEST`]. The third power of it that is left out
/// makes 0.0003 of the rated losses.
pub(super) const NEAR: f64 = 0.2;
const FARTHEST: f64 = 0.4;

/// The parabolas around a state; rates in K/min.
#[derive(Debug, Clone, Copy)]
pub(super) struct Near {
    pub(super) at: Heat,
    pub(super) ambient_c: f64,
    pub(super) rise_k: f64,
    /// Whether the bottom oil is as cold as the ambient.
    pub(super) cold: bool,
    /// Half the difference of top and bottom oil by the rise of the oil: upwards, and downwards as far as the ambient.
    pub(super) up: Curve,
    pub(super) down: Curve,
    pub(super) taken: Curve,
    pub(super) made: Curve,
    pub(super) made_hot: Curve,
    pub(super) stray: (f64, f64),
    pub(super) core: f64,
    /// What heat of the winding does to the oil, over what it does to the winding.
    pub(super) winding_in_oil: f64,
    /// What the winding loses, by its height over the bottom oil and by that.
    pub(super) lost: Sheet,
    /// How far that height may be off, K.
    pub(super) within_k: f64,
    pub(super) duct: Sheet,
    pub(super) height: f64,
    /// What the hot spot loses, by its height over the oil beside it and by that.
    pub(super) lost_hot: Sheet,
    pub(super) within_hot_k: f64,
    pub(super) duct_over_top_k: f64,
    pub(super) by_top: bool,
    /// By how much the oil beside the hot spot jumps where it changes, K.
    pub(super) jump_k: f64,
}

impl Rated {
    /// The parabolas around a state, in which the oil warms up in the duct by about so much, K (0: unknown); `None` where a
    /// surface is hardly hotter than its oil, or one of the printed scheme's limits holds it.
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
        let logarithm = self.duct_logarithm(
            over_k,
            bottom_c + 0.5 * (heat.winding_c - bottom_c + 0.5 * duct_k),
            duct_k,
        );
        let lost = share_lost * (self.i2r + self.eddy) * per_winding;
        let exponent = self.flow.duct_exponent;
        let (share_lost_hot, lost_hot) = self.lost_hot(heat.hot_spot_c, hot_over_k);
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
            within_k: within(over_k, share_lost),
            duct: Sheet::of_logarithm(duct_k, logarithm.map(|slope| exponent * slope)),
            height: self.height_pu,
            lost_hot,
            within_hot_k: within(hot_over_k, share_lost_hot),
            duct_over_top_k: bottom_c + duct_k - top_c,
            by_top,
            jump_k: (1.0 - self.height_pu).abs() * duct_k,
        })
    }

    /// What a hot spot so far above the oil beside it loses, as a share of the rated and by both, K/min.
    fn lost_hot(&self, hot_spot_c: f64, over_k: f64) -> (f64, Sheet) {
        let film_c = hot_spot_c - 0.5 * over_k;
        let share = self.film(over_k / self.hot_spot_over_oil_k, film_c, self.hot_spot_film_c);
        let (power_of_over, by, twice) = self.film_logarithm(film_c);
        let each = power_of_over / over_k;
        let logarithm = [each + 0.5 * by, by, 0.25 * twice - each / over_k, 0.5 * twice, twice];
        let lost = share * (self.hot_spot_i2r + self.hot_spot_eddy) / self.winding_heat;
        (share, Sheet::of_logarithm(lost, logarithm))
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
