//! Two routes to one temperature. Directly: the isotherm solved for the temperature at which wet paper
//! bubbles. Indirectly: vapour pressure over the paper, relative saturation of the oil, water in the oil,
//! and back. Not published numbers: the isotherm is written out here a second time, from its printed form.

use super::printed::assert_within;
use bubblemargin::bubbling::{Conditions, fessler, partial_pressure};
use bubblemargin::moisture::conversion::{MOST_SATURATION, from_ppm, from_saturation};
use bubblemargin::moisture::isotherm::{vapour_over, water_at};
use bubblemargin::moisture::solubility::Solubility;
use bubblemargin::moisture::vapour::saturation_pressure;
use bubblemargin::quantities::{
    Celsius, GasPercent, MoisturePercent, Pascals, RelativeSaturation, WaterPpm,
};

/// Relative, for a power, an exponential and their inverses: some dozens of roundings of 1e-16.
const ROUNDING: f64 = 1.0e-12;

/// Water in paper, %.
const WATER: [f64; 10] = [0.5, 0.75, 1.0, 1.5, 1.8, 2.0, 2.2, 3.0, 4.0, 6.0];

/// Pressure, mmHg, from one end of the range to the other.
const MMHG: [f64; 6] = [525.0, 600.0, 760.0, 900.0, 1200.0, 1520.0];

/// Steps away from the inception temperature, K.
const STEPS_K: [f64; 4] = [0.01, 1.0, 10.0, 30.0];

fn grid() -> impl Iterator<Item = (f64, f64)> {
    WATER.iter().flat_map(|percent| MMHG.iter().map(move |mmhg| (*percent, *mmhg)))
}

fn conditions(percent: f64, mmhg: f64) -> Conditions {
    Conditions {
        water: MoisturePercent::new(percent).unwrap(),
        pressure: Pascals::from_mmhg(mmhg).unwrap(),
        gas: GasPercent::new(0.0).unwrap(),
    }
}

/// C = 2.173e-7·p^0.6685·e^(4725.6/T), p in atm and T in K, solved for T; °C.
fn own_temperature_c(percent: f64, atmospheres: f64) -> f64 {
    let dry = 2.173e-7 * atmospheres.powf(0.6685);
    4725.6 / (percent / 100.0 / dry).ln() - 273.15
}

/// The same, for the water in %.
fn own_water_percent(atmospheres: f64, temperature_c: f64) -> f64 {
    let exponent = 0.6685 * atmospheres.ln() + 4725.6 / (temperature_c + 273.15);
    100.0 * 2.173e-7 * exponent.exp()
}

/// Vapour pressure over paper at a temperature, Pa.
fn vapour_pa(percent: f64, temperature_c: f64) -> f64 {
    let water = MoisturePercent::new(percent).unwrap();
    vapour_over(water, Celsius::new(temperature_c).unwrap()).unwrap().value()
}

#[test]
fn the_direct_route_is_the_isotherm_solved_for_the_temperature() {
    for (percent, mmhg) in grid() {
        let found = fessler::inception(&conditions(percent, mmhg)).unwrap().value();
        // An atmosphere is 760 mmHg to 1.4e-7, which is 1e-5 K; in pascals there is no such difference.
        let own_c = own_temperature_c(percent, mmhg * 133.322_387_415 / 101_325.0);
        let what = format!("{percent} % at {mmhg} mmHg");
        assert_within(ROUNDING * 300.0, found, own_c, &what);
    }
}

#[test]
fn water_under_a_vapour_pressure_is_the_isotherm_written_out() {
    for oil_c in [40.0, 60.0, 80.0, 120.0, 180.0] {
        for vapour_pa in [100.0, 1_000.0, 10_000.0, 150_000.0] {
            let own = own_water_percent(vapour_pa / 101_325.0, oil_c);
            if own > 20.0 {
                continue; // No paper.
            }
            let vapour = Pascals::new(vapour_pa).unwrap();
            let found = water_at(vapour, Celsius::new(oil_c).unwrap()).unwrap().value();
            assert_within(ROUNDING * own, found, own, &format!("{vapour_pa} Pa at {oil_c} °C"));
        }
    }
}

/// At the inception temperature the oil's relative saturation times the saturation pressure is the
/// pressure on the paper, and oil at that saturation means the same water in the paper.
#[test]
fn both_routes_meet_at_the_inception_temperature() {
    let (mut by_saturation, mut by_ppm) = (0, 0);
    for (percent, mmhg) in grid() {
        let conditions = conditions(percent, mmhg);
        let what = format!("{percent} % at {mmhg} mmHg");
        let pressure_pa = conditions.pressure.value();
        let inception = fessler::inception(&conditions).unwrap();
        let full_pa = saturation_pressure(inception).unwrap().value();
        let saturation = vapour_pa(percent, inception.value()) / full_pa;
        assert_within(ROUNDING * pressure_pa, saturation * full_pa, pressure_pa, &what);
        // The same through oil that surrounds the paper, where its conversion holds.
        if saturation > MOST_SATURATION {
            continue;
        }
        let relative = RelativeSaturation::new(saturation).unwrap();
        let back = from_saturation(relative, inception).unwrap().value();
        assert_within(ROUNDING * percent, back, percent, &what);
        by_saturation += 1;
        let Ok(full) = Solubility::MINERAL.saturation(inception) else { continue };
        let dissolved = WaterPpm::new(saturation * full.value()).unwrap();
        let back = from_ppm(dissolved, inception, Solubility::MINERAL).unwrap().value();
        assert_within(ROUNDING * percent, back, percent, &what);
        by_ppm += 1;
    }
    // Dry paper bubbles hotter than the solubility of oil goes, wet paper above 30 % of saturation.
    assert!(by_saturation >= 20 && by_ppm >= 4, "{by_saturation} and {by_ppm} compared");
}

#[test]
fn below_inception_the_vapour_stays_under_the_pressure_and_above_it_exceeds_it() {
    for (percent, mmhg) in grid() {
        let conditions = conditions(percent, mmhg);
        let pressure_pa = conditions.pressure.value();
        let inception_c = fessler::inception(&conditions).unwrap().value();
        for step_k in STEPS_K {
            let what = format!("{percent} % at {mmhg} mmHg, {step_k} K away");
            assert!(vapour_pa(percent, inception_c - step_k) < pressure_pa, "{what}");
            assert!(vapour_pa(percent, inception_c + step_k) > pressure_pa, "{what}");
        }
    }
}

#[test]
fn with_gas_the_bound_is_where_gas_and_vapour_together_reach_the_pressure() {
    let mut compared = 0;
    for (percent, mmhg) in grid() {
        let conditions = conditions(percent, mmhg);
        let pressure_pa = conditions.pressure.value();
        for share in [0.0, 0.2, 0.5, 0.8] {
            let what = format!("{percent} % at {mmhg} mmHg, gas {share} of it");
            let gas_pa = share * pressure_pa;
            let gas = Pascals::new(gas_pa).unwrap();
            let bound_c = partial_pressure::bound(&conditions, gas).unwrap().unwrap().value();
            let own_c = own_temperature_c(percent, (pressure_pa - gas_pa) / 101_325.0);
            assert_within(ROUNDING * 300.0, bound_c, own_c, &what);
            let together_pa = |temperature_c: f64| vapour_pa(percent, temperature_c) + gas_pa;
            assert_within(ROUNDING * pressure_pa, together_pa(bound_c), pressure_pa, &what);
            for step_k in STEPS_K.into_iter().filter(|step_k| bound_c - step_k >= 40.0) {
                assert!(together_pa(bound_c - step_k) < pressure_pa, "{what}, {step_k} K below");
                assert!(together_pa(bound_c + step_k) > pressure_pa, "{what}, {step_k} K above");
                compared += 1;
            }
        }
        let all = conditions.pressure;
        assert!(partial_pressure::bound(&conditions, all).unwrap().is_none(), "no vapour is left");
    }
    assert!(compared > 900, "{compared} compared");
}
