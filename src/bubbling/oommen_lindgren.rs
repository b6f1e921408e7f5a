//! Bubble inception after Oommen and Lindgren, with the depression by dissolved gas.

use super::{Conditions, GAS_PERCENT, WATER_PERCENT};
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
    let without_gas = 6996.7 / (22.454 + 1.4495 * w.ln() - p.ln()) - 273.0;
    let depression = depression_k(w, conditions.gas.value());
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

/// How much lower dissolved gas makes it, K.
fn depression_k(water_percent: f64, gas_percent: f64) -> f64 {
    (0.473 * water_percent).exp() * gas_percent.powf(1.585) / 30.0
}

/// How much lower still the gas term would make it beyond the end of its range in gas, K; 0 inside.
///
/// ```text
/// e^(0.473·W)·(Vg^1.585 − 10.5^1.585)/30        W at least 0.3 %
/// ```
/// # Source       The gas term of [`inception`], carried on.
/// # Valid        Only for a figure that may have been measured too high: oil holds no more than air or nitrogen
/// saturates it with, about 10.5 % by volume, so that a simulated case above it stands for no real oil. Held at
/// the end of the range it would be as good as that; carried on it is worse, the more so the higher.
/// # Departures   Outside the range of the source, on the bad side only. Our choice, no source.
/// # Checked      Not checked against published numbers: it continues the formula without a step.
pub fn further_depression_k(conditions: &Conditions) -> f64 {
    let (water, gas) = (conditions.water.value().max(WATER_PERCENT.0), conditions.gas.value());
    if gas <= GAS_PERCENT.1 {
        return 0.0;
    }
    depression_k(water, gas) - depression_k(water, GAS_PERCENT.1)
}
