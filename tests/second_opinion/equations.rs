//! The differential equations of both forms, written again from the standards, and a
//! general-purpose ODE library that solves them.
//!
//! Nothing here calls a formula of the crate under test; only the plain data of a stage is
//! shared.

use bubblemargin::thermal::cooling::Stage;
use ode_solvers::{Dopri5, OutputType, System, Vector3};

/// IEC: top oil in °C and the two parts of the gradient in K. IEEE: rise of the top oil and
/// gradient, both in K, and a nought; with the ambient through the oil its temperature, °C, in place of the rise.
pub(crate) type State = Vector3<f64>;

/// Local error allowed per step, relative and absolute: five digits beyond the 0.01 K that the
/// trajectories are held to.
const SOLVER_TOLERANCE: f64 = 1.0e-9;

/// Whose equations.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Equations {
    /// IEC 60076-7.
    Iec,
    /// IEEE C57.91 clause 7.
    Ieee,
    /// Its alternative: the oil feels the ambient with its own time constant.
    IeeeLagged,
}

/// The equations with constant coefficients between two discontinuities.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Piece {
    pub(crate) equations: Equations,
    pub(crate) oil_rise_k: f64,
    pub(crate) gradient_k: f64,
    pub(crate) k21: f64,
    pub(crate) oil_tau_min: f64,
    pub(crate) gradient_tau_min: f64,
    pub(crate) slow_gradient_tau_min: f64,
    pub(crate) ambient_c: f64,
    pub(crate) ambient_per_min: f64,
}

impl System<f64, State> for Piece {
    fn system(&self, minute: f64, y: &State, dy: &mut State) {
        match self.equations {
            // k11·τo·dθo/dt = […]^x·Δθor − (θo − θa); k22·τw·dΔθh1/dt = k21·K^y·Δθhr − Δθh1;
            // (τo/k22)·dΔθh2/dt = (k21 − 1)·K^y·Δθhr − Δθh2
            Equations::Iec => {
                let ambient_c = self.ambient_c + self.ambient_per_min * minute;
                dy[0] = (self.oil_rise_k - (y[0] - ambient_c)) / self.oil_tau_min;
                dy[1] = (self.k21 * self.gradient_k - y[1]) / self.gradient_tau_min;
                dy[2] = ((self.k21 - 1.0) * self.gradient_k - y[2]) / self.slow_gradient_tau_min;
            }
            // Both rises approach their ultimate values exponentially, ambient is added at once.
            Equations::Ieee => {
                dy[0] = (self.oil_rise_k - y[0]) / self.oil_tau_min;
                dy[1] = (self.gradient_k - y[1]) / self.gradient_tau_min;
                dy[2] = 0.0;
            }
            Equations::IeeeLagged => {
                let ambient_c = self.ambient_c + self.ambient_per_min * minute;
                dy[0] = (self.oil_rise_k - (y[0] - ambient_c)) / self.oil_tau_min;
                dy[1] = (self.gradient_k - y[1]) / self.gradient_tau_min;
                dy[2] = 0.0;
            }
        }
    }
}

impl Piece {
    /// Dormand and Prince's method of order 5. The library's method of order 8 is no use where
    /// the equations depend on time: as of version 0.6.2 its node c12 is 0 instead of 1.
    pub(crate) fn flow(self, from: State, minutes: f64) -> State {
        if minutes <= 0.0 {
            return from;
        }
        let tolerance = SOLVER_TOLERANCE;
        let mut solver = Dopri5::new(self, 0.0, minutes, minutes, from, tolerance, tolerance);
        solver.set_output(OutputType::Sparse);
        solver.integrate().expect("the solver reaches the end");
        *solver.y_out().last().expect("a last state")
    }
}

impl Equations {
    /// The state after a long time at one load.
    pub(crate) fn steady(
        self,
        stage: &Stage,
        load_pu: f64,
        added_rise_k: f64,
        ambient_c: f64,
    ) -> State {
        let oil_rise_k = self.ultimate_oil_rise_k(stage, load_pu) + added_rise_k;
        let gradient_k = self.ultimate_gradient_k(stage, load_pu);
        match self {
            Self::Iec => State::new(
                ambient_c + oil_rise_k,
                stage.iec.k21 * gradient_k,
                (stage.iec.k21 - 1.0) * gradient_k,
            ),
            Self::Ieee => State::new(oil_rise_k, gradient_k, 0.0),
            Self::IeeeLagged => State::new(ambient_c + oil_rise_k, gradient_k, 0.0),
        }
    }

    /// Top oil and hot spot, °C.
    pub(crate) fn temperatures_c(self, state: &State, ambient_c: f64) -> (f64, f64) {
        match self {
            Self::Iec => (state[0], state[0] + state[1] - state[2]),
            Self::Ieee => (ambient_c + state[0], ambient_c + state[0] + state[1]),
            Self::IeeeLagged => (state[0], state[0] + state[1]),
        }
    }

    /// IEC: k11·τo. IEEE: τTO, or if wanted τTO,R·(u − i)/(u^(1/n) − i^(1/n)).
    ///
    /// `initial_rise_k` is the oil rise without what is added to it.
    pub(crate) fn oil_tau_min(self, stage: &Stage, load_pu: f64, initial_rise_k: f64) -> f64 {
        let rated_min = stage.ieee.oil_time_constant_min;
        if self == Self::Iec {
            return stage.iec.k11 * stage.iec.oil_time_constant_min;
        }
        if !stage.ieee.correct_time_constant {
            return rated_min;
        }
        let per_rated = |rise_k: f64| rise_k / stage.nameplate.top_oil_rise_k;
        let u = per_rated(self.ultimate_oil_rise_k(stage, load_pu));
        let i = per_rated(initial_rise_k).max(0.0);
        // At u = i nothing moves, so any time constant will do.
        if (u - i).abs() < 1.0e-9 {
            return rated_min;
        }
        let power = 1.0 / stage.ieee.n;
        rated_min * (u - i) / (u.powf(power) - i.powf(power))
    }

    /// [(1 + K²R)/(1 + R)]^x·Δθor, with n for x in the IEEE form.
    pub(crate) fn ultimate_oil_rise_k(self, stage: &Stage, load_pu: f64) -> f64 {
        let k = load_pu / stage.rating_pu;
        let r = stage.nameplate.loss_ratio;
        let exponent = match self {
            Self::Iec => stage.iec.x,
            Self::Ieee | Self::IeeeLagged => stage.ieee.n,
        };
        ((1.0 + k.powi(2) * r) / (1.0 + r)).powf(exponent) * stage.nameplate.top_oil_rise_k
    }

    /// K^y·Δθhr, with 2m for y in the IEEE form.
    pub(crate) fn ultimate_gradient_k(self, stage: &Stage, load_pu: f64) -> f64 {
        let exponent = match self {
            Self::Iec => stage.iec.y,
            Self::Ieee | Self::IeeeLagged => 2.0 * stage.ieee.m,
        };
        (load_pu / stage.rating_pu).powf(exponent) * stage.nameplate.hot_spot_gradient_k
    }
}
