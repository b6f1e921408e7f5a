//! Bubble inception after Oommen and Lindgren, with the depression by dissolved gas.

use super::Conditions;
use crate::quantities::{Celsius, OutsideValidity};

/// Name used in results and errors.
pub const NAME: &str = "Oommen-Lindgren";

/// Temperature at which wet paper releases bubbles.
///
/// ```text
/// θ = 6996.7/(22.454 + 1.4495·ln W − ln P) − e^(0.473·W)·Vg^1.585/30 − 273
/// W in %, P in mmHg, Vg in % by volume, θ in °C
/// ```
/// # Source       `oommen-lindgren-2001`, as in the annex of `ieee-c57-91-2011` (not read in print).
/// # Valid        W 0.3–6 %, P 525–1520 mmHg, Vg 0–10.5 %. Kraft paper in mineral oil.
/// # Departures   None.
/// # Checked      Without gas against [`super::fessler`]: 1.8 to 3.0 K apart over W 0.5–6 %,
/// P 600–1000 mmHg (test in [`super::inception`]). The gas term's constants 0.473,
/// 1.585 and 30 have no cross-check.
///
/// # Errors
/// [`OutsideValidity`] outside the range above.
pub fn inception(conditions: &Conditions) -> Result<Celsius, OutsideValidity> {
    conditions.within_range(NAME)?;
    let w = conditions.water.value();
    let p = conditions.pressure.mmhg();
    let vg = conditions.gas.value();
    let without_gas = 6996.7 / (22.454 + 1.4495 * w.ln() - p.ln()) - 273.0;
    let depression = (0.473 * w).exp() * vg.powf(1.585) / 30.0;
    // A heavy gas load at 6 % water takes the formula below any physical temperature:
    // still an answer ("bubbling at once"), as long as it is a temperature.
    let temperature_c = without_gas - depression;
    Celsius::new(temperature_c).map_err(|_unphysical| OutsideValidity {
        formula: NAME,
        quantity: "result",
        unit: "°C",
        found: temperature_c,
        least: -273.15,
        most: crate::quantities::LARGEST,
    })
}
