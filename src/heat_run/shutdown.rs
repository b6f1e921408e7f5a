//! The resistance after shutdown: back to the winding temperature at the moment of shutdown.
//!
//! ```text
//! θw = R/Rc·(Tk + θc) − Tk                        Tk = 235 copper, 225 aluminium (IEC 60076-2, from memory)
//! θw(t) = A + k·t + B·exp(−t/T)    t from shutdown; A + B is the winding at shutdown, T its time constant
//! ```

use super::fit::{Fit, Shape, line_at};
use super::log::{Row, Test};
use super::{Cold, Estimate, Reason, THERMOMETER_STD_K};
use serde::Serialize;

/// The first reading must come within this, min. Common practice and IEC 60076-2, from memory.
pub const FIRST_READING_MIN: f64 = 4.0;
/// Readings at least; our choice: four parameters and as many again.
pub const LEAST_READINGS: usize = 8;
/// Readings must last so many winding time constants; our choice, so that the line can be told from the exponential.
pub const LEAST_TIME_CONSTANTS: f64 = 2.0;
/// Rated current must have been held so long before shutdown, min. IEC 60076-2, from memory.
pub const HELD_MIN: f64 = 60.0;
/// The oil at shutdown is read off a line through so many last minutes; our choice.
const OIL_LINE_MIN: f64 = 30.0;
/// Winding time constants looked for, min.
const TAU_MIN: (f64, f64) = (0.5, 60.0);
/// Currents may differ so much from their median; our choice.
const CURRENT_APART: f64 = 0.03;

/// A winding after shutdown.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Winding {
    /// Current before shutdown, per unit of rated.
    pub load_pu: f64,
    /// Average winding at shutdown, °C.
    pub winding_c: Estimate,
    /// Average oil at shutdown, °C; where bottom oil was not measured, the level of the curve.
    pub oil_c: Estimate,
    /// Whether bottom oil was measured.
    pub oil_measured: bool,
    /// Average winding over average oil at shutdown, K.
    pub gradient_k: Estimate,
    /// The exponential's height at shutdown, K: the gradient by the curve alone.
    pub drop_k: f64,
    /// Winding time constant, min.
    pub tau_min: Estimate,
    /// Root mean square of the residuals, K.
    pub residual_k: f64,
    /// First reading, min after shutdown.
    pub first_min: f64,
    /// Readings as temperatures: minutes after shutdown, °C.
    pub points: Vec<(f64, f64)>,
    /// The curve every so often from shutdown on: minutes, °C.
    pub curve: Vec<(f64, f64)>,
}

/// What the readings after shutdown say; `None` where there was no shutdown in the log.
///
/// # Errors
/// [`Reason`] for which the gradient cannot be said.
pub fn fitted(test: &Test, cold: Option<Cold>) -> Result<Option<Winding>, Reason> {
    let Some(shutdown) = test.shutdown_min else {
        return Ok(None);
    };
    let cold = cold.ok_or(Reason::NoColdResistance)?;
    let load_pu = held_current(test, shutdown)?;
    if test.readings.len() < LEAST_READINGS {
        return Err(Reason::FewReadings { readings: test.readings.len() });
    }
    let (first, last) = (test.readings[0].0, test.readings[test.readings.len() - 1].0);
    if !(first <= FIRST_READING_MIN) {
        return Err(Reason::LateReading { first_min: first });
    }
    let points: Vec<(f64, f64)> =
        test.readings.iter().map(|reading| (reading.0, cold.temperature_c(reading.1))).collect();
    let fit = Fit::of(&points, Shape { sloped: true, tau: TAU_MIN });
    let fit = fit.filter(|fit| fit.drop > 0.0).ok_or(Reason::NoCoolingCurve)?;
    if !(last >= LEAST_TIME_CONSTANTS * fit.tau) {
        return Err(Reason::ShortCooling { lasts_min: last, tau_min: fit.tau });
    }
    if !(fit.std_tau() <= fit.tau / 2.0) {
        return Err(Reason::NoCoolingCurve);
    }
    let cold_k = cold.std_at(fit.level + fit.drop);
    let winding_c = Estimate::of(fit.level + fit.drop, fit.std_at_zero(), cold_k, fit.factor_95);
    let measured = average_oil(test, shutdown);
    let (oil_c, gradient_k) = match measured {
        Some((oil, std)) => {
            let both = fit.std_at_zero().hypot(std);
            let instruments = cold_k.hypot(THERMOMETER_STD_K);
            (
                Estimate::of(oil, std, THERMOMETER_STD_K, fit.factor_95),
                Estimate::of(fit.level + fit.drop - oil, both, instruments, fit.factor_95),
            )
        }
        None => (
            Estimate::of(fit.level, fit.std_level(), cold_k, fit.factor_95),
            // Both ends come from the same readings, so that the cold temperature cancels.
            Estimate::of(fit.drop, fit.std_drop(), 0.0, fit.factor_95),
        ),
    };
    Ok(Some(Winding {
        load_pu,
        winding_c,
        oil_c,
        oil_measured: measured.is_some(),
        gradient_k,
        drop_k: fit.drop,
        tau_min: Estimate::of(fit.tau, fit.std_tau(), 0.0, fit.factor_95),
        residual_k: fit.residual,
        first_min: first,
        curve: (0..=100)
            .map(|step| last * f64::from(step) / 100.0)
            .map(|minute| (minute, fit.at(minute)))
            .collect(),
        points,
    }))
}

/// The current before shutdown, held long enough.
fn held_current(test: &Test, shutdown: f64) -> Result<f64, Reason> {
    let rows = before(test);
    let mut loads: Vec<f64> = rows.iter().filter_map(|row| row.load_pu).collect();
    loads.sort_by(f64::total_cmp);
    let Some(&median) = loads.get(loads.len() / 2).filter(|load| **load > 0.0) else {
        return Err(Reason::NoCurrent);
    };
    let worst = loads.iter().map(|load| (load / median - 1.0).abs()).fold(0.0, f64::max);
    if !(worst <= CURRENT_APART) {
        return Err(Reason::UnevenCurrent { apart: worst });
    }
    let held = rows.first().map_or(0.0, |row| shutdown - row.minute);
    if !(held >= HELD_MIN) {
        return Err(Reason::ShortCurrent { lasts_min: held });
    }
    Ok(median)
}

/// Average of top and bottom oil at shutdown, °C, with the standard uncertainty of the line.
fn average_oil(test: &Test, shutdown: f64) -> Option<(f64, f64)> {
    let late = before(test).iter().filter(|row| row.minute >= shutdown - OIL_LINE_MIN);
    let average = |row: &Row| Some((row.minute, f64::midpoint(row.top_oil_c, row.bottom_oil_c?)));
    let points: Vec<(f64, f64)> = late.filter_map(average).collect();
    line_at(&points, shutdown).map(|(oil, _, std)| (oil, std))
}

/// The rows that come before the shutdown: at rated current, or at total losses where there are none.
fn before(test: &Test) -> &[Row] {
    if test.current.is_empty() { &test.losses } else { &test.current }
}
