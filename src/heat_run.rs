//! A heat run (temperature-rise test): from its raw log to rises, gradient, time constants and exponents.
//!
//! [`log`] reads, [`warm_up`] fits the oil, [`shutdown`] the winding after it ([`fit`] is the least squares of both),
//! [`rating`] corrects to the rating. After IEC 60076-2, **from memory**: not compared with the printed text.
//!
//! Not modelled: a load that changes within a period, tap positions, several windings in one log.

pub mod fit;
pub mod log;
pub mod rating;
pub mod shutdown;
pub mod warm_up;

use log::{Log, Test};
use rating::AtRating;
use serde::Serialize;
use shutdown::Winding;
use warm_up::WarmUp;

/// Standard uncertainty of a thermometer, K: ±1 K, even odds within. From memory.
pub const THERMOMETER_STD_K: f64 = 0.58;

/// A figure with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Estimate {
    /// The figure.
    pub value: f64,
    /// Standard uncertainty with the instruments and corrections.
    pub std: f64,
    /// Standard uncertainty of the fit alone.
    pub std_fit: f64,
    /// 95 % interval of the fit alone.
    pub interval_95: [f64; 2],
}

impl Estimate {
    /// A figure of a fit, with what instruments add and the factor of its 95 % interval.
    pub fn of(value: f64, std_fit: f64, instruments: f64, factor_95: f64) -> Self {
        let half = factor_95 * std_fit;
        let interval_95 = [value - half, value + half];
        Self { value, std: std_fit.hypot(instruments), std_fit, interval_95 }
    }

    /// The factor that its interval has; 1.96 where the fit is exact.
    fn factor_95(self) -> f64 {
        if self.std_fit > 0.0 { (self.interval_95[1] - self.value) / self.std_fit } else { 1.96 }
    }

    /// The sum of two figures that are independent.
    fn plus(self, other: Self) -> Self {
        let fit = self.std_fit.hypot(other.std_fit);
        let all = self.std.hypot(other.std);
        let instruments = (all * all - fit * fit).max(0.0).sqrt();
        let factor = self.factor_95().max(other.factor_95());
        Self::of(self.value + other.value, fit, instruments, factor)
    }

    /// Twice this figure less another.
    fn twice_less(self, other: Self) -> Self {
        let twice = Self::of(2.0 * self.value, 2.0 * self.std_fit, 2.0 * self.std, 1.96);
        let minus = Self { value: -other.value, ..other };
        twice.plus(minus)
    }
}

/// Conductor of the winding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Conductor {
    /// Copper.
    Copper,
    /// Aluminium.
    Aluminium,
}

/// The cold resistance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cold {
    /// Resistance, ohm, over the same terminals as after shutdown.
    pub ohm: f64,
    /// Winding temperature then, °C.
    pub temperature_c: f64,
    /// Conductor.
    pub conductor: Conductor,
}

impl Cold {
    /// The winding temperature at a resistance, °C.
    pub fn temperature_c(&self, ohm: f64) -> f64 {
        let k = self.constant_c();
        ohm / self.ohm * (k + self.temperature_c) - k
    }

    /// What a thermometer's error at the cold reading is worth at a temperature, K.
    pub fn std_at(&self, winding_c: f64) -> f64 {
        let k = self.constant_c();
        THERMOMETER_STD_K * (k + winding_c) / (k + self.temperature_c)
    }

    /// 235 for copper, 225 for aluminium: IEC 60076-2, from memory.
    fn constant_c(&self) -> f64 {
        match self.conductor {
            Conductor::Copper => 235.0,
            Conductor::Aluminium => 225.0,
        }
    }
}

/// Cooling during the test, for the typical exponents (IEC 60076-2, from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cooling {
    /// Distribution units, natural.
    OnanSmall,
    /// Natural or forced air, oil by itself.
    On,
    /// Pumps, oil not led into the winding.
    Of,
    /// Pumps, oil led into the winding.
    Od,
}

impl Cooling {
    /// Typical oil exponent.
    pub fn x(self) -> f64 {
        match self {
            Self::OnanSmall => 0.8,
            Self::On => 0.9,
            Self::Of | Self::Od => 1.0,
        }
    }

    /// Typical winding exponent.
    pub fn y(self) -> f64 {
        match self {
            Self::OnanSmall | Self::On | Self::Of => 1.6,
            Self::Od => 2.0,
        }
    }
}

/// What is asked beside the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// Rated total losses, kW.
    pub rated_losses_kw: f64,
    /// Cold resistance, if the log has a shutdown.
    pub cold: Option<Cold>,
    /// Cooling.
    pub cooling: Cooling,
}

/// Why nothing can be said. Wording is in the report.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "reason", rename_all = "kebab-case")]
#[allow(missing_docs, reason = "fields carry the measured value, with its unit in the name")]
pub enum Reason {
    /// Too few rows of total losses.
    FewRows { rows: usize },
    /// Warm-up too short.
    ShortWarmUp { lasts_min: f64, tau_min: Option<f64> },
    /// The cut-off was not reached.
    NotSteady { rate_k_per_h: f64 },
    /// No exponential fits the warm-up.
    NoWarmUpCurve,
    /// The warm-up is no exponential.
    WarmUpResidual { residual_k: f64 },
    /// No losses stated.
    NoLosses,
    /// Losses not held.
    UnevenLosses { apart: f64 },
    /// A shutdown without a cold resistance.
    NoColdResistance,
    /// No current stated before shutdown.
    NoCurrent,
    /// Current not held.
    UnevenCurrent { apart: f64 },
    /// Current not held long enough.
    ShortCurrent { lasts_min: f64 },
    /// Too few resistance readings.
    FewReadings { readings: usize },
    /// First reading too late.
    LateReading { first_min: f64 },
    /// Readings end too soon.
    ShortCooling { lasts_min: f64, tau_min: f64 },
    /// No exponential fits the cooling.
    NoCoolingCurve,
    /// Losses too far from the rated ones.
    FarFromRatedLosses { losses_kw: f64 },
    /// Current too far from the rated one.
    FarFromRatedCurrent { load_pu: f64 },
}

/// A reason and the test it belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Undecided {
    /// Test, from 1; none where it belongs to all.
    pub test: Option<usize>,
    /// The reason.
    #[serde(flatten)]
    pub reason: Reason,
}

/// What one test says at its own losses and current.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TestAnswer {
    /// Losses, kW.
    pub losses_kw: f64,
    /// Top oil.
    pub top_oil: WarmUp,
    /// Average oil, where bottom oil was measured in every row.
    pub average_oil: Option<WarmUp>,
    /// The winding, where the log has a shutdown.
    pub winding: Option<Winding>,
}

/// What a heat run says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeatRun {
    /// The tests.
    pub tests: Vec<TestAnswer>,
    /// At the rating.
    pub at_rating: AtRating,
}

/// Works a log through.
///
/// # Errors
/// [`Undecided`] with the first reason for which nothing can be said.
pub fn worked(log: &Log, question: &Question) -> Result<HeatRun, Undecided> {
    let mut tests = Vec::new();
    for (index, test) in log.tests.iter().enumerate() {
        let at = |reason| Undecided { test: Some(index + 1), reason };
        tests.push(one(test, question.cold).map_err(at)?);
    }
    let at_rating =
        rating::at_rating(&tests, question).map_err(|reason| Undecided { test: None, reason })?;
    Ok(HeatRun { tests, at_rating })
}

fn one(test: &Test, cold: Option<Cold>) -> Result<TestAnswer, Reason> {
    let losses_kw = warm_up::losses(&test.losses)?;
    // Oil and ambient have a thermometer each.
    let std_k = THERMOMETER_STD_K * std::f64::consts::SQRT_2;
    let top_oil = warm_up::fitted(&test.losses, |row| row.top_oil_c, std_k)?;
    let bottom: Option<Vec<f64>> = test.losses.iter().map(|row| row.bottom_oil_c).collect();
    let average = |row: &log::Row| {
        row.bottom_oil_c.map_or(f64::NAN, |bottom_c| f64::midpoint(row.top_oil_c, bottom_c))
    };
    let average_oil =
        bottom.map(|_every_row| warm_up::fitted(&test.losses, average, std_k)).transpose()?;
    let winding = shutdown::fitted(test, cold)?;
    Ok(TestAnswer { losses_kw, top_oil, average_oil, winding })
}
