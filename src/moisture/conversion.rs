//! From water in oil to water in the paper that is in equilibrium with it.

use super::isotherm;
use super::solubility::Solubility;
use super::vapour::saturation_pressure;
use crate::quantities::{
    Celsius, MoisturePercent, OutsideValidity, Pascals, RelativeSaturation, WaterPpm,
};

/// Oil closer to saturation than this is outside the isotherm's range: it reads too wet.
pub const MOST_SATURATION: f64 = 0.30;

/// Published isotherms differ by about this much of the water they give. Our choice, no source.
const ISOTHERM_RELATIVE: f64 = 0.10;

/// Half of the step over which the effect of temperature is taken, K.
const HALF_STEP_K: f64 = 0.5;

/// Water in paper in equilibrium with oil at a relative saturation.
///
/// ```text
/// p_v = RS·p_sat(T), then the Fessler isotherm at p_v and T
/// ```
/// # Source       `fessler-1989`, `iapws-sr1-86`.
/// # Valid        RS ≤ 30 %, 40 to 300 °C, oil and paper in equilibrium at one temperature.
/// # Departures   None.
/// # Checked      `tests/published/independent_recomputation.rs` (20 ppm at 60 °C).
///
/// # Errors
/// [`OutsideValidity`] outside the range above.
pub fn from_saturation(
    saturation: RelativeSaturation,
    oil: Celsius,
) -> Result<MoisturePercent, OutsideValidity> {
    let found = saturation.value() * 100.0;
    if !(found <= MOST_SATURATION * 100.0) {
        return Err(OutsideValidity {
            formula: isotherm::NAME,
            quantity: "relative saturation",
            unit: "% of saturation",
            found,
            least: 0.0,
            most: MOST_SATURATION * 100.0,
        });
    }
    let vapour = saturation_pressure(oil)?.value() * saturation.value();
    let vapour = Pascals::new(vapour).map_err(|error| error.outside(isotherm::NAME))?;
    isotherm::water_at(vapour, oil)
}

/// The same from the water in the oil.
///
/// # Errors
/// As [`from_saturation`], and outside the range of the solubility.
pub fn from_ppm(
    water: WaterPpm,
    oil: Celsius,
    solubility: Solubility,
) -> Result<MoisturePercent, OutsideValidity> {
    from_saturation(solubility.relative(water, oil)?, oil)
}

/// Standard uncertainty of a figure found so, in % points, to first order.
///
/// ```text
/// u(W)² = W²·[ (0.6685·u(x)/x)² + (∂lnW/∂T·u(T))² + 0.10² ]      x = ppm or RS
/// ```
/// W grows less than in proportion to x, so the straight line lies above it on the wet side.
///
/// # Source       Law of propagation of uncertainty; the last term is our choice.
/// # Valid        Where `paper_water` is.
/// # Departures   The effect of temperature by a central difference over 1 K.
/// # Checked      `tests/published/independent_recomputation.rs`.
///
/// # Errors
/// [`OutsideValidity`] where `paper_water` refuses.
pub fn std_percent(
    relative_std: f64,
    oil: Celsius,
    std_oil_k: f64,
    paper_water: impl Fn(Celsius) -> Result<MoisturePercent, OutsideValidity>,
) -> Result<f64, OutsideValidity> {
    let percent = paper_water(oil)?.value();
    let beside = |step_k: f64| {
        let temperature = Celsius::new(oil.value() + step_k);
        paper_water(temperature.map_err(|error| error.outside(isotherm::NAME))?)
    };
    let slope_per_k =
        (beside(HALF_STEP_K)?.value() - beside(-HALF_STEP_K)?.value()) / (2.0 * HALF_STEP_K);
    let of_water = percent * isotherm::PRESSURE_EXPONENT * relative_std;
    let of_temperature = slope_per_k * std_oil_k;
    Ok(of_water.hypot(of_temperature).hypot(percent * ISOTHERM_RELATIVE))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(ppm: f64, oil_c: f64) -> Result<MoisturePercent, OutsideValidity> {
        let oil = Celsius::new(oil_c).unwrap();
        from_ppm(WaterPpm::new(ppm).unwrap(), oil, Solubility::MINERAL)
    }

    #[test]
    fn more_water_is_wetter_and_hotter_oil_is_drier() {
        assert!(at(30.0, 60.0).unwrap() > at(20.0, 60.0).unwrap());
        assert!(at(20.0, 70.0).unwrap() < at(20.0, 60.0).unwrap());
    }

    #[test]
    fn refuses_cold_and_wet_oil() {
        assert!(at(6.0, 20.0).is_err(), "cold");
        assert!(at(100.0, 60.0).is_err(), "above 30 % of saturation");
    }

    #[test]
    fn every_uncertainty_widens_the_figure() {
        let oil = Celsius::new(60.0).unwrap();
        let std = |relative: f64, oil_k: f64| {
            std_percent(relative, oil, oil_k, |oil| at(20.0, oil.value())).unwrap()
        };
        assert!(std(0.0, 0.0) > 0.0, "the isotherm's own");
        assert!(std(0.25, 0.0) > std(0.0, 0.0) && std(0.25, 3.0) > std(0.25, 0.0));
    }
}
