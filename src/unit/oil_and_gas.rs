//! Oil, surroundings and dissolved gas of a profile.

use super::profile::{GasFile, OilFile};
use super::validate::{Refuse, value};
use super::{Gas, Liquid, OilSolubility, Surroundings};
use crate::bubbling::gas::{self, GASES, Preservation};
use crate::bubbling::pressure;
use crate::input::{InputError, shown};
use crate::moisture::solubility::Solubility;
use crate::quantities::{Celsius, GasPercent, Metres, WaterPpm};

/// What sets the pressure at the hot spot.
pub(super) fn surroundings(
    refuse: &Refuse<'_>,
    oil: Option<&OilFile>,
) -> Result<Surroundings, InputError> {
    let Some(oil) = oil else {
        return Ok(Surroundings {
            altitude: None,
            head: None,
            blanket_pa: 0.0,
            blanket_unknown: false,
        });
    };
    let metres = |figure: Option<f64>, key: &str| {
        figure.map(|m| Metres::new(m).map_err(|error| refuse.impossible(key, &error))).transpose()
    };
    let blanketed =
        matches!(oil.preservation, Some(Preservation::NitrogenBlanket | Preservation::Sealed));
    if let Some(gauge) = &oil.blanket_lowest_gauge_kpa
        && oil.preservation.is_some()
        && !blanketed
    {
        let accepted = "no blanket pressure where the oil is not under a gas blanket";
        return Err(refuse.at(
            gauge.line,
            "oil.blanket_lowest_gauge_kpa",
            gauge.value.to_string(),
            accepted,
        ));
    }
    Ok(Surroundings {
        altitude: metres(value(oil.altitude_m.as_ref()), "oil.altitude_m")?,
        head: metres(value(oil.head_above_hot_spot_m.as_ref()), "oil.head_above_hot_spot_m")?,
        blanket_unknown: blanketed && oil.blanket_lowest_gauge_kpa.is_none(),
        blanket_pa: value(oil.blanket_lowest_gauge_kpa.as_ref()).unwrap_or(0.0) * 1000.0,
    })
}

/// Oil that is not kept from air or nitrogen and is said to hold less than this is freshly degassed
/// or badly reported; this much is counted, % by volume. Our choice: such oil usually holds 8 to
/// 10 % (common practice, no source).
const LITTLE_GAS_PERCENT: f64 = 2.0;

/// The gas content, or `None` if it is neither measured nor to be assumed.
pub(super) fn gas_content(
    refuse: &Refuse<'_>,
    file: Option<&GasFile>,
    oil: Option<&OilFile>,
    surroundings: &Surroundings,
) -> Result<Option<Gas>, InputError> {
    let Some(file) = file else { return Ok(None) };
    let sampled = file.sampled.map(|date| date.0);
    let report = single_gases(refuse, file)?;
    if report.is_empty() && file.total_percent.is_none() {
        return Ok(None);
    }
    let total_of =
        |percent: f64| GasPercent::new(percent).map_err(|error| refuse.impossible("gas", &error));
    let total = value(file.total_percent.as_ref()).map(total_of).transpose()?;
    let complete = gas::names_nitrogen_and_oxygen(&report);
    let sum = gas::total(&report).map_err(|error| refuse.impossible("gas.gases", &error))?;
    let (total, assumed) = match (total, complete) {
        // Both stated: the higher counts, for gas lowers the inception temperature.
        (Some(total), _) => (if total > sum { total } else { sum }, None),
        (None, true) => (sum, None),
        (None, false) => {
            let Some(usual) = usual_content(refuse, oil, surroundings)? else {
                return Ok(None);
            };
            let why = "the report lacks nitrogen or oxygen, which are most of the gas".to_owned();
            (if usual > sum { usual } else { sum }, Some(why))
        }
    };
    let kept = oil.and_then(|oil| oil.preservation);
    let breathes = !matches!(kept, Some(Preservation::ConservatorMembrane | Preservation::Sealed));
    let (stated, little) = (total, total_of(LITTLE_GAS_PERCENT)?);
    let total = if breathes && stated < little { little } else { stated };
    let pressure = if complete { gas::pressure_of(&report) } else { gas::pressure_of_total(total) };
    let pressure = pressure.map_err(|error| refuse.impossible("gas", &error))?;
    let raised = total > stated;
    let saturated = saturated(refuse, oil, surroundings)?;
    let (breathes, planned) = (breathes || has_cushion(oil), false);
    Ok(Some(Gas {
        total,
        pressure,
        report,
        raised,
        assumed,
        sampled,
        saturated,
        breathes,
        planned,
    }))
}

/// Whether there is gas over the oil whose gauge pressure is stated.
fn has_cushion(oil: Option<&OilFile>) -> bool {
    oil.is_some_and(|oil| oil.blanket_lowest_gauge_kpa.is_some())
}

/// What the oil holds when saturated, where no usable sample says how much it holds.
///
/// Preservation not stated counts as a conservator that breathes, an altitude not stated as sea level: the gassy
/// sides. A sealed tank whose gauge pressure is stated has a cushion of gas, and counts as a nitrogen blanket.
fn saturated(
    refuse: &Refuse<'_>,
    oil: Option<&OilFile>,
    surroundings: &Surroundings,
) -> Result<GasPercent, InputError> {
    let preservation = match oil.and_then(|oil| oil.preservation) {
        None => Preservation::Conservator,
        Some(Preservation::Sealed) if has_cushion(oil) => Preservation::NitrogenBlanket,
        Some(stated) => stated,
    };
    let sea = Metres::new(0.0).map_err(|error| refuse.impossible("oil", &error))?;
    let altitude = surroundings.altitude.unwrap_or(sea);
    let blanket = pressure::at_hot_spot(altitude, sea, surroundings.blanket_pa)
        .map_err(|error| refuse.whole("oil", error.found.to_string(), error.to_string()))?;
    gas::assumed(preservation, blanket).map_err(|error| refuse.impossible("gas", &error))
}

fn single_gases(refuse: &Refuse<'_>, file: &GasFile) -> Result<Vec<(String, f64)>, InputError> {
    let mut report = Vec::new();
    for (gas, ppm) in file.gases.iter().flatten() {
        if !GASES.iter().any(|(symbol, _)| symbol == gas) {
            let symbols: Vec<&str> = GASES.iter().map(|(symbol, _)| *symbol).collect();
            return Err(refuse.at(ppm.line, "gas.gases", shown(gas), symbols.join(", ")));
        }
        report.push((gas.clone(), ppm.value));
    }
    Ok(report)
}

fn usual_content(
    refuse: &Refuse<'_>,
    oil: Option<&OilFile>,
    surroundings: &Surroundings,
) -> Result<Option<GasPercent>, InputError> {
    let (Some(preservation), Some(altitude)) =
        (oil.and_then(|oil| oil.preservation), surroundings.altitude)
    else {
        return Ok(None);
    };
    let none = Metres::new(0.0).map_err(|error| refuse.impossible("oil", &error))?;
    let blanket = pressure::at_hot_spot(altitude, none, surroundings.blanket_pa)
        .map_err(|error| refuse.whole("oil", error.found.to_string(), error.to_string()))?;
    gas::assumed(preservation, blanket).map(Some).map_err(|error| refuse.impossible("gas", &error))
}

/// Water that oil can dissolve at a temperature, ppm: outside this the constants were mistyped or
/// stand for another formula. New mineral oil dissolves 56 at 20 °C and 446 at 80 °C, a natural ester
/// about 1000 and 2500, a synthetic ester 2000 to 3000 at 20 °C (from memory), aged oil more than new. The wide
/// ends are our choice.
const SOLUBLE_PPM: [(Liquid, f64, f64, f64); 6] = [
    (Liquid::Mineral, 20.0, 30.0, 250.0),
    (Liquid::Mineral, 80.0, 250.0, 1500.0),
    (Liquid::NaturalEster, 20.0, 300.0, 3000.0),
    (Liquid::NaturalEster, 80.0, 1000.0, 8000.0),
    (Liquid::SyntheticEster, 20.0, 500.0, 6000.0),
    (Liquid::SyntheticEster, 80.0, 1500.0, 15000.0),
];

/// Where own constants are held against those of new oil, °C: over all oil that is sampled.
const COMPARED_C: [f64; 5] = [40.0, 55.0, 70.0, 85.0, 115.0];

/// Solubility of water in the oil: as measured, or that of the new liquid, which is not known of a synthetic ester.
pub(super) fn solubility(
    refuse: &Refuse<'_>,
    liquid: Liquid,
    oil: Option<&OilFile>,
) -> Result<OilSolubility, InputError> {
    let new = match liquid {
        Liquid::Mineral => Solubility::MINERAL,
        Liquid::NaturalEster => Solubility::NATURAL_ESTER,
        Liquid::SyntheticEster => Solubility::UNKNOWN,
    };
    let Some(own) = oil.and_then(|oil| oil.water_solubility.as_ref()) else {
        return Ok(OilSolubility { constants: new, measured_by: None, above_new: false });
    };
    let constants = Solubility { a: own.a.value, b_k: own.b.value };
    let ppm = |constants: Solubility, oil_c: f64| {
        let saturation = Celsius::new(oil_c).map(|oil| constants.saturation(oil));
        saturation.ok().and_then(Result::ok).map_or(f64::NAN, WaterPpm::value)
    };
    for (own_liquid, oil_c, least, most) in SOLUBLE_PPM {
        let found = ppm(constants, oil_c);
        if own_liquid == liquid && !(least..=most).contains(&found) {
            let found = format!("constants that let the oil dissolve {found:.3} ppm at {oil_c} °C");
            let accepted =
                format!("{least} to {most} ppm at {oil_c} °C; log10 S = A - B/T, T in K");
            return Err(refuse.at(own.a.line, "oil.water_solubility", found, accepted));
        }
    }
    let not_above = |oil_c: &f64| ppm(constants, *oil_c) <= ppm(new, *oil_c);
    let above_new = !COMPARED_C.iter().all(not_above);
    Ok(OilSolubility { constants, measured_by: Some(own.measured_by.0.clone()), above_new })
}
