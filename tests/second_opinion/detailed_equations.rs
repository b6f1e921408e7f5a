//! The equations of the detailed model written again, and their solution by a general-purpose library.

use bubblemargin::thermal::Nameplate;
use bubblemargin::thermal::detailed::{Conductor, Detail, Duct, Heat, HeatCapacity};
use ode_solvers::{Dopri5, OutputType, System, Vector3};

/// State: average winding, hot spot, average oil, °C.
pub(crate) type Temperatures = Vector3<f64>;

/// The equations of Annex G between two changes, seconds thought as minutes.
#[derive(Clone, Copy)]
pub(crate) struct Equations {
    pub(crate) d: Detail,
    pub(crate) n: Nameplate,
    /// Load per unit of the stage's rating.
    pub(crate) load: f64,
    /// Ambient at minute 0, °C, and its change, K/min.
    pub(crate) ambient_c: f64,
    pub(crate) per_min: f64,
}

/// What follows from a state at once.
pub(crate) struct Moment {
    /// Rates of change, K/min.
    pub(crate) rates: Temperatures,
    /// Oil, °C: at the top of the tank, at its bottom, on average in the duct, beside the hot spot.
    pub(crate) top_c: f64,
    pub(crate) bottom_c: f64,
    pub(crate) duct_c: f64,
    pub(crate) beside_c: f64,
    /// All losses, and the heat that the coolers take, in the unit of the losses.
    pub(crate) made: f64,
    pub(crate) out: f64,
    /// Heat capacities of winding and oil, in the unit of the losses times min/K.
    pub(crate) capacities: [f64; 2],
}

fn viscosity(c: f64) -> f64 {
    (2797.3 / (c + 273.0)).exp()
}

impl System<f64, Temperatures> for Equations {
    fn system(&self, minute: f64, y: &Temperatures, dy: &mut Temperatures) {
        *dy = self.moment(minute, y).rates;
    }
}

impl Equations {
    pub(crate) fn moment(&self, minute: f64, y: &Temperatures) -> Moment {
        let (d, n) = (&self.d, &self.n);
        let ta = self.ambient_c + self.per_min * minute;
        let zero = match d.conductor {
            Conductor::Copper => 234.5,
            Conductor::Aluminium => 225.0,
        };
        let [tg, tw, tt, tb] =
            [d.guaranteed_winding_rise_k, d.winding_rise_k, n.top_oil_rise_k, d.bottom_oil_rise_k]
                .map(|rise| d.rated_ambient_c + rise);
        let th = tt + n.hot_spot_gradient_k;
        let to = 0.5 * (tt + tb);
        let td = if d.flow.duct == Duct::Forced { tw } else { tt };
        let tda = 0.5 * (td + tb);
        let two = if td < tt { tt } else { tb + d.hot_spot_height_pu * (td - tb) };
        let f = (zero + tg) / (zero + d.losses.at_c);
        let (pw, pe, ps, pc) =
            (d.losses.winding * f, d.losses.winding_eddy / f, d.losses.stray / f, d.losses.core);
        let pt = pw + pe + ps + pc;
        let pwh = pw * (th + zero) / (tg + zero);
        let peh = d.hot_spot_eddy_pu.max(pe / pw) * pwh;
        let cw = d.winding_time_constant_min * (pw + pe) / (tw - tda);
        let HeatCapacity::TimeConstant { oil_min } = d.heat_capacity else { unreachable!() };
        let cs = oil_min * pt / (to - d.rated_ambient_c);
        let film = |over: f64, mean: f64, rated: f64| {
            if d.flow.duct == Duct::Directed {
                over
            } else {
                over.powf(1.25) * (viscosity(rated) / viscosity(mean)).powf(0.25)
            }
        };
        let out = pt
            * ((y[2] - ta).max(0.0) / (to - d.rated_ambient_c))
                .powf(1.0 / d.flow.radiator_exponent);
        let half = 0.5 * (out / pt).powf(d.flow.top_bottom_exponent) * (tt - tb);
        let (top, bottom) = (y[2] + half, (y[2] - half).max(ta.min(y[2])));
        // The duct's rise by halving, where the crate takes Newton's steps.
        let lost = |rise: f64| {
            let duct = bottom + 0.5 * rise;
            if y[0] <= duct {
                return 0.0;
            }
            film((y[0] - duct) / (tw - tda), 0.5 * (y[0] + duct), 0.5 * (tw + tda))
        };
        // Oil that leaves the duct is at most as hot as a winding that warms it up throughout: the mean of both ends is
        // the winding then.
        let (mut low, mut high) = (0.0, 2.0 * (y[0] - bottom).max(0.0));
        for _ in 0..44 {
            let rise = 0.5 * (low + high);
            if lost(rise).powf(d.flow.duct_exponent) * (td - tb) > rise {
                low = rise;
            } else {
                high = rise;
            }
        }
        let rise = 0.5 * (low + high);
        let beside = if bottom + rise < top { top } else { bottom + d.hot_spot_height_pu * rise };
        let lost_w = lost(rise) * (pw + pe);
        let square = self.load * self.load;
        let kw = (y[0] + zero) / (tg + zero);
        let hot = y[1].max(y[0]).max(beside);
        let kh = (hot + zero) / (th + zero);
        let lost_h =
            film((hot - beside) / (th - two), 0.5 * (hot + beside), 0.5 * (th + two)) * (pwh + peh);
        let in_winding = square * (pw * kw + pe / kw);
        let beside_winding = pc + square * ps / kw;
        let winding = (in_winding - lost_w) / cw;
        let hot_spot = (square * (pwh * kh + peh / kh) - lost_h) / cw;
        let oil = (lost_w + beside_winding - out) / cs;
        Moment {
            rates: Vector3::new(winding, hot_spot, oil),
            top_c: top,
            bottom_c: bottom,
            duct_c: bottom + 0.5 * rise,
            beside_c: beside,
            made: in_winding + beside_winding,
            out,
            capacities: [cw, cs],
        }
    }

    /// The state after some minutes, by the library. The hot spot is lifted to the winding and the oil beside it, and the
    /// winding to the oil below it, as the printed scheme does it after each of its half minutes.
    pub(crate) fn after(&self, begin: Temperatures, minutes: f64) -> Temperatures {
        // Sparse: if several steps are needed, the last dense output of version 0.6.2 is extrapolated from the first one.
        let mut solver = Dopri5::new(*self, 0.0, minutes, minutes, begin, 1.0e-8, 1.0e-8);
        solver.set_output(OutputType::Sparse);
        solver.integrate().unwrap();
        let mut y = *solver.y_out().last().unwrap();
        let moment = self.moment(minutes, &y);
        if y[0] < moment.duct_c {
            y[0] = y[0].max(moment.bottom_c);
        }
        y[1] = y[1].max(y[0]).max(moment.beside_c);
        y
    }
}

/// A state as ours.
pub(crate) fn temperatures(heat: Heat) -> Temperatures {
    Vector3::new(heat.winding_c, heat.hot_spot_c, heat.oil_c)
}
