//! Where the heat goes at one moment.

use super::plate::{Duct, Rated};

/// The temperatures that store heat, °C.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heat {
    /// Average winding.
    pub winding_c: f64,
    /// Winding hot spot.
    pub hot_spot_c: f64,
    /// Average oil.
    pub oil_c: f64,
}

/// What is imposed at one moment: load per unit of the stage's rating, and the ambient as the coolers feel it, °C.
#[derive(Debug, Clone, Copy)]
pub(super) struct Imposed {
    pub(super) load: f64,
    pub(super) ambient_c: f64,
}

/// Temperatures that follow at once, °C, and heat that moves, in the unit of the losses.
#[derive(Debug, Clone, Copy)]
pub(super) struct Balance {
    bottom_c: f64,
    /// Average oil in the duct of the winding, and the oil beside the hot spot.
    duct_oil_c: f64,
    pub(super) beside_c: f64,
    pub(super) made_in_winding: f64,
    pub(super) lost_by_winding: f64,
    pub(super) made_beside: f64,
    pub(super) lost_by_oil: f64,
}

/// Viscosity of mineral oil goes with the exponential of this over its absolute temperature, K.
pub(super) const VISCOSITY_K: f64 = 2797.3;
pub(super) const ABSOLUTE_K: f64 = 273.0;

impl Heat {
    pub(super) fn plus(self, share: f64, rates: [f64; 3]) -> Self {
        Self {
            winding_c: self.winding_c + share * rates[0],
            hot_spot_c: self.hot_spot_c + share * rates[1],
            oil_c: self.oil_c + share * rates[2],
        }
    }

    pub(super) fn parts(self) -> [f64; 3] {
        [self.winding_c, self.hot_spot_c, self.oil_c]
    }
}

impl Balance {
    /// By how much the oil warms up in the duct, K.
    pub(super) fn duct_k(&self) -> f64 {
        2.0 * (self.duct_oil_c - self.bottom_c)
    }

    /// What the printed scheme keeps apart: a winding is no cooler than the oil below it, its hot spot no cooler than the
    /// winding and the oil beside it.
    pub(super) fn clamped(&self, heat: &Heat) -> Heat {
        let cooler = heat.winding_c < self.duct_oil_c;
        let winding_c = if cooler { heat.winding_c.max(self.bottom_c) } else { heat.winding_c };
        Heat { winding_c, hot_spot_c: heat.hot_spot_c.max(winding_c).max(self.beside_c), ..*heat }
    }
}

impl Rated {
    /// Top and bottom oil, °C, and the heat that the coolers take.
    pub(super) fn oil(&self, oil_c: f64, ambient_c: f64) -> (f64, f64, f64) {
        let rise = (oil_c - ambient_c).max(0.0) / (self.oil_c - self.ambient_c);
        let share = power(rise, 1.0 / self.flow.radiator_exponent);
        let half_k = 0.5 * power(share, self.flow.top_bottom_exponent) * self.top_bottom_k;
        (oil_c + half_k, (oil_c - half_k).max(ambient_c.min(oil_c)), share * self.total)
    }

    /// The oil beside the hot spot, °C: that of the duct, or the top oil where the duct's does not get so hot.
    fn beside_c(&self, top_oil_c: f64, bottom_c: f64, duct_k: f64) -> f64 {
        if bottom_c + duct_k < top_oil_c { top_oil_c } else { bottom_c + self.height_pu * duct_k }
    }

    /// Where the heat goes; `about_k` is where to look for the rise of the oil in the duct, 0 if that is unknown.
    pub(super) fn balance(&self, heat: &Heat, imposed: Imposed, about_k: f64) -> Balance {
        let (top_oil_c, bottom_c, lost_by_oil) = self.oil(heat.oil_c, imposed.ambient_c);
        let (share, duct_k) = self.duct((heat.winding_c - bottom_c, bottom_c), about_k);
        let beside_c = self.beside_c(top_oil_c, bottom_c, duct_k);
        let square = imposed.load * imposed.load;
        let zero_k = self.resistance_zero_k;
        let hotter = (heat.winding_c + zero_k) / (self.guaranteed_c + zero_k);
        Balance {
            bottom_c,
            duct_oil_c: bottom_c + 0.5 * duct_k,
            beside_c,
            made_in_winding: square * (self.i2r * hotter + self.eddy / hotter),
            lost_by_winding: share * (self.i2r + self.eddy),
            made_beside: self.core + square * self.stray / hotter,
            lost_by_oil,
        }
    }

    /// The rates of change of the temperatures, K/min.
    pub(super) fn rates(&self, heat: &Heat, balance: &Balance, load: f64) -> [f64; 3] {
        let into_winding = balance.made_in_winding - balance.lost_by_winding;
        let into_oil = balance.lost_by_winding + balance.made_beside - balance.lost_by_oil;
        [
            into_winding / self.winding_heat,
            self.hot_spot_rate(heat, balance.beside_c, load),
            into_oil / self.oil_heat,
        ]
    }

    pub(super) fn hot_spot_rate(&self, heat: &Heat, beside_c: f64, load: f64) -> f64 {
        let hot_spot_c = heat.hot_spot_c.max(heat.winding_c).max(beside_c);
        let zero_k = self.resistance_zero_k;
        let hotter = (hot_spot_c + zero_k) / (self.hot_spot_c + zero_k);
        let made = load * load * (self.hot_spot_i2r * hotter + self.hot_spot_eddy / hotter);
        let over = (hot_spot_c - beside_c) / self.hot_spot_over_oil_k;
        let film_c = f64::midpoint(hot_spot_c, beside_c);
        let lost = self.film(over, film_c, self.hot_spot_film_c)
            * (self.hot_spot_i2r + self.hot_spot_eddy);
        (made - lost) / self.winding_heat
    }

    /// What a surface loses, as a share of what it loses at the rated load.
    pub(super) fn film(&self, over: f64, film_c: f64, rated_film_c: f64) -> f64 {
        match self.flow.duct {
            Duct::Directed => over,
            Duct::Natural | Duct::Forced => {
                let thinner = 1.0 / (rated_film_c + ABSOLUTE_K) - 1.0 / (film_c + ABSOLUTE_K);
                over * over.sqrt().sqrt() * (0.25 * VISCOSITY_K * thinner).exp()
            }
        }
    }

    /// What the winding loses as a share of the rated, and how far its oil warms up in the duct, K; the one sets the
    /// other.
    ///
    /// ```text
    /// share = film(winding − bottom − duct/2)      duct = rated duct · share^x
    /// ```
    /// `about_k` is where to look for it, 0 if that is unknown. With the duct's rise the first falls and the second needs more: there is one solution, and Newton's steps
    /// are kept between what is known to be too little and too much.
    pub(super) fn duct(
        &self,
        (winding_over_bottom_k, bottom_c): (f64, f64),
        about_k: f64,
    ) -> (f64, f64) {
        if !(winding_over_bottom_k > 0.0) {
            return (if winding_over_bottom_k.is_nan() { f64::NAN } else { 0.0 }, 0.0);
        }
        let needs = 1.0 / self.flow.duct_exponent;
        let (mut low, mut high) = (0.0, 2.0 * winding_over_bottom_k / self.duct_rise_k);
        let about = if about_k > 0.0 {
            about_k / self.duct_rise_k
        } else {
            winding_over_bottom_k / (self.winding_over_duct_k + 0.5 * self.duct_rise_k)
        };
        let mut root = high.min(about);
        for _ in 0..TRIES {
            let over_k = winding_over_bottom_k - 0.5 * self.duct_rise_k * root;
            let film_c = bottom_c + winding_over_bottom_k - 0.5 * over_k;
            let share =
                self.film((over_k / self.winding_over_duct_k).max(0.0), film_c, self.film_c);
            let needed = power(root, needs);
            let off = needed - share;
            if off < 0.0 {
                low = root;
            } else {
                high = root;
            }
            let (power_of_over, thinner, _) = self.film_logarithm(film_c);
            let falls = power_of_over / over_k.max(f64::MIN_POSITIVE) - 0.5 * thinner;
            let slope = needs * needed / root + 0.5 * self.duct_rise_k * share * falls;
            let next = root - off / slope;
            let next = if next >= low && next <= high { next } else { 0.5 * (low + high) };
            let moved = (next - root).abs();
            root = next;
            if moved <= CLOSE * root {
                break;
            }
        }
        (power(root, needs), self.duct_rise_k * root)
    }

    /// The state after a long time: the losses fix the oil, the oil the winding, and the winding's resistance the losses.
    pub(super) fn steady(&self, imposed: Imposed) -> Heat {
        self.at_rest(imposed, None)
    }

    /// The same; or above oil of such an average temperature, °C, what winding and hot spot come to while it stays.
    pub(super) fn at_rest(&self, imposed: Imposed, oil_c: Option<f64>) -> Heat {
        let square = imposed.load * imposed.load;
        let mut heat =
            Heat { winding_c: self.winding_c, hot_spot_c: self.hot_spot_c, oil_c: self.oil_c };
        for _ in 0..ROUNDS {
            let hotter = (heat.winding_c + self.resistance_zero_k)
                / (self.guaranteed_c + self.resistance_zero_k);
            let in_winding = square * (self.i2r * hotter + self.eddy / hotter);
            let all = in_winding + square * self.stray / hotter + self.core;
            let rise = power(all / self.total, self.flow.radiator_exponent);
            let own_c = imposed.ambient_c + rise * (self.oil_c - self.ambient_c);
            let oil_c = oil_c.unwrap_or(own_c);
            let (top_c, bottom_c, _) = self.oil(oil_c, imposed.ambient_c);
            let share = in_winding / (self.i2r + self.eddy);
            let duct_k = self.duct_rise_k * power(share, self.flow.duct_exponent);
            let duct_oil_c = bottom_c + 0.5 * duct_k;
            let winding_k = self.winding_over_duct_k;
            let winding_c =
                self.over(share, (duct_oil_c, heat.winding_c), (winding_k, self.film_c));
            let beside_c = self.beside_c(top_c, bottom_c, duct_k);
            let hotter = (heat.hot_spot_c + self.resistance_zero_k)
                / (self.hot_spot_c + self.resistance_zero_k);
            let here = square * (self.hot_spot_i2r * hotter + self.hot_spot_eddy / hotter);
            let share = here / (self.hot_spot_i2r + self.hot_spot_eddy);
            let rated = (self.hot_spot_over_oil_k, self.hot_spot_film_c);
            let hot_spot_c = self.over(share, (beside_c, heat.hot_spot_c), rated);
            let hot_spot_c = hot_spot_c.max(winding_c).max(beside_c);
            let next = Heat { winding_c, hot_spot_c, oil_c };
            let moved = |of: fn(&Heat) -> f64| (of(&next) - of(&heat)).abs();
            let most = moved(|heat| heat.winding_c)
                .max(moved(|heat| heat.hot_spot_c))
                .max(moved(|heat| heat.oil_c));
            heat = next;
            if most < STEADY_K {
                break;
            }
        }
        heat
    }

    /// How hot a surface gets that loses such a share into oil, °C, when it is about so hot.
    fn over(&self, share: f64, (oil_c, about_c): (f64, f64), (rated_k, film_c): (f64, f64)) -> f64 {
        match self.flow.duct {
            Duct::Directed => oil_c + share * rated_k,
            Duct::Natural | Duct::Forced => {
                let one = self.film(1.0, f64::midpoint(about_c, oil_c), film_c);
                oil_c + rated_k * power(share / one, 0.8)
            }
        }
    }

    /// The average oil at which the top oil is so hot, °C: Newton's steps, kept between what is too little and too much.
    pub(super) fn average_oil_c(&self, top_oil_c: f64, ambient_c: f64) -> f64 {
        let rated_k = self.oil_c - self.ambient_c;
        let whole = (top_oil_c - ambient_c) / rated_k;
        // Oil below the ambient is as hot at the top as on average.
        if !(whole > 0.0) {
            return top_oil_c;
        }
        let exponent = self.flow.top_bottom_exponent / self.flow.radiator_exponent;
        let half = 0.5 * self.top_bottom_k / rated_k;
        let (mut low, mut high, mut rise) = (0.0, whole, whole / (1.0 + half));
        for _ in 0..TRIES {
            let apart = half * power(rise, exponent);
            let off = rise + apart - whole;
            *(if off < 0.0 { &mut low } else { &mut high }) = rise;
            let next = rise - off / (1.0 + exponent * apart / rise);
            let next = if next >= low && next <= high { next } else { f64::midpoint(low, high) };
            let moved = (next - rise).abs();
            rise = next;
            if moved <= CLOSE * rise {
                break;
            }
        }
        ambient_c + rise * rated_k
    }
}

/// Newton's steps at most, and how far the last one moves, relative: what is left is about the square of that.
const TRIES: usize = 40;
const CLOSE: f64 = 1.0e-6;

/// Rounds to a steady state, and how close, K. Resistance feeds back by less than a half per round up to 2.5 pu.
const ROUNDS: usize = 400;
const STEADY_K: f64 = 1.0e-10;

/// A power; the usual ones cost less than an exponential and a logarithm.
#[allow(clippy::float_cmp, reason = "the exponents are stated in these digits")]
pub(super) fn power(base: f64, exponent: f64) -> f64 {
    if exponent == 1.0 {
        base
    } else if exponent == 2.0 {
        base * base
    } else if exponent == 0.5 {
        base.sqrt()
    } else {
        base.powf(exponent)
    }
}
