//! Values of flags, checked as strictly as values in files.

use crate::assessment::case::{LEAST_DRAWS, MOST_DRAWS};
use crate::input::number::parse;
use crate::loading::current::VoltagePu;
use crate::loading::forecast_error::{AmbientStdK, LoadStdPercent};
use crate::loading::{AmbientC, LONGEST_OVERLOAD_MIN, MeasuredC};
use crate::rating::season::Percentile;
use crate::rules::local_file::LocalC;
use crate::unit::evidence_file::PaperPercent;
use crate::unit::profile::LoadPu;
use crate::unit::{Condition, FaultGas, OilLevel};
use chrono::{DateTime, FixedOffset, NaiveDate};

/// A load, per unit.
///
/// # Errors
/// What is accepted.
pub fn load(text: &str) -> Result<f64, String> {
    parse::<LoadPu>(text)
}

/// A load above zero, per unit.
///
/// # Errors
/// What is accepted.
pub fn positive_load(text: &str) -> Result<f64, String> {
    parse::<LoadPu>(text)
        .ok()
        .filter(|load| *load > 0.0)
        .ok_or_else(|| "a number above 0 and up to 5 (per unit, 1 = rated current)".to_owned())
}

/// The load of a winding by its name, per unit of its own rating.
///
/// # Errors
/// What is accepted.
pub fn winding_load(text: &str) -> Result<(String, f64), String> {
    let accepted = "NAME=PU, the name of a winding and its load per unit of its own rating";
    let (name, load_pu) = text.rsplit_once('=').ok_or(accepted)?;
    Ok((name.to_owned(), load(load_pu)?))
}

/// A voltage, per unit of the rated one.
///
/// # Errors
/// What is accepted.
pub fn voltage(text: &str) -> Result<f64, String> {
    parse::<VoltagePu>(text)
}

/// So many times a load, above zero.
///
/// # Errors
/// What is accepted.
pub fn times(text: &str) -> Result<f64, String> {
    let found = text.trim().parse::<f64>().ok().filter(|times| *times > 0.0 && *times <= 10.0);
    found.ok_or_else(|| "a number above 0 and up to 10".to_owned())
}

/// An ambient temperature, °C.
///
/// # Errors
/// What is accepted.
pub fn ambient(text: &str) -> Result<f64, String> {
    parse::<AmbientC>(text)
}

/// A measured top oil, °C.
///
/// # Errors
/// What is accepted.
pub fn top_oil(text: &str) -> Result<f64, String> {
    parse::<MeasuredC>(text)
}

/// A duration with its unit, in minutes.
///
/// # Errors
/// What is accepted.
pub fn duration(text: &str) -> Result<f64, String> {
    let accepted = || {
        format!(
            "a duration with its unit, such as 45min or 2h, up to {LONGEST_OVERLOAD_MIN} min (31 days)"
        )
    };
    let duration = humantime::parse_duration(text).map_err(|_unparsed| accepted())?;
    let minutes = duration.as_secs_f64() / 60.0;
    if minutes <= LONGEST_OVERLOAD_MIN { Ok(minutes) } else { Err(accepted()) }
}

/// One step of a load: `PU:DURATION`, in per unit and minutes.
///
/// # Errors
/// What is accepted.
pub fn step(text: &str) -> Result<(f64, f64), String> {
    let Some((load_pu, lasts)) = text.split_once(':') else {
        return Err("a load and how long it lasts, such as 1.25:90min".to_owned());
    };
    Ok((load(load_pu)?, positive_duration(lasts)?))
}

/// A duration above zero with its unit, in minutes.
///
/// # Errors
/// What is accepted.
pub fn positive_duration(text: &str) -> Result<f64, String> {
    let minutes = duration(text)?;
    if minutes > 0.0 { Ok(minutes) } else { Err("a duration above 0, such as 15min".to_owned()) }
}

/// A hot spot to take margins to, °C.
///
/// # Errors
/// What is accepted.
pub fn hot_spot(text: &str) -> Result<f64, String> {
    parse::<LocalC>(text)
}

/// Water in paper, %.
///
/// # Errors
/// What is accepted.
pub fn paper_percent(text: &str) -> Result<f64, String> {
    parse::<PaperPercent>(text)
}

/// A standard uncertainty of the load, % of it.
///
/// # Errors
/// What is accepted.
pub fn load_std(text: &str) -> Result<f64, String> {
    parse::<LoadStdPercent>(text)
}

/// A standard uncertainty of the ambient, K.
///
/// # Errors
/// What is accepted.
pub fn ambient_std(text: &str) -> Result<f64, String> {
    parse::<AmbientStdK>(text)
}

/// A number of draws, rounded up to a power of two; 0 is none.
///
/// # Errors
/// What is accepted.
pub fn draws(text: &str) -> Result<u32, String> {
    match text.trim().parse() {
        Ok(0) => Ok(0),
        Ok(draws) if (LEAST_DRAWS..=MOST_DRAWS).contains(&draws) => Ok(draws.next_power_of_two()),
        _ => Err(format!("0, or a whole number from {LEAST_DRAWS} to {MOST_DRAWS}")),
    }
}

/// A duration to rate, min; `None` is continuous.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RatedDuration(pub Option<f64>);

/// The longest duration that is rated, min: a day, after which all but the sum of paper life has settled.
const LONGEST_RATED_MIN: f64 = 1440.0;

/// A duration with its unit up to a day, or `continuous`.
///
/// # Errors
/// What is accepted.
pub fn rated_duration(text: &str) -> Result<RatedDuration, String> {
    if text == "continuous" {
        return Ok(RatedDuration(None));
    }
    let accepted = || "a duration with its unit from 1min to 24h, or continuous".to_owned();
    let minutes = duration(text).map_err(|_longer| accepted())?;
    if (1.0..=LONGEST_RATED_MIN).contains(&minutes) {
        Ok(RatedDuration(Some(minutes)))
    } else {
        Err(accepted())
    }
}

/// A percentile of days, %.
///
/// # Errors
/// What is accepted.
pub fn percentile(text: &str) -> Result<f64, String> {
    parse::<Percentile>(text)
}

/// A load before an overload, per unit, at most the rating.
///
/// # Errors
/// What is accepted.
pub fn preload(text: &str) -> Result<f64, String> {
    let load_pu = parse::<LoadPu>(text)?;
    if load_pu <= 1.0 { Ok(load_pu) } else { Err("a load up to 1 pu, the rating".to_owned()) }
}

/// A calendar date.
///
/// # Errors
/// What is accepted.
pub fn date(text: &str) -> Result<NaiveDate, String> {
    NaiveDate::parse_from_str(text, "%Y-%m-%d")
        .map_err(|_unparsed| "a date as YYYY-MM-DD".to_owned())
}

/// An instant with its zone.
///
/// # Errors
/// What is accepted.
pub fn instant(text: &str) -> Result<DateTime<FixedOffset>, String> {
    DateTime::parse_from_rfc3339(text).map_err(|_unparsed| {
        "an RFC 3339 time with its zone, such as 2026-07-14T18:00:00+01:00".to_owned()
    })
}

/// One stated condition, `KEY=VALUE` with the keys and values of the profile.
///
/// # Errors
/// What is accepted.
pub fn condition(text: &str) -> Result<Condition, String> {
    let mut condition = Condition::default();
    match text.split_once('=') {
        Some(("gas_relay_alarm", "true")) => condition.gas_relay_alarm = Some(true),
        Some(("gas_relay_alarm", "false")) => condition.gas_relay_alarm = Some(false),
        Some(("partial_discharge", "true")) => condition.partial_discharge = Some(true),
        Some(("partial_discharge", "false")) => condition.partial_discharge = Some(false),
        Some(("fault_gas", "none")) => condition.fault_gas = Some(FaultGas::None),
        Some(("fault_gas", "explained")) => condition.fault_gas = Some(FaultGas::Explained),
        Some(("fault_gas", "unexplained")) => condition.fault_gas = Some(FaultGas::Unexplained),
        Some(("oil_level", "normal")) => condition.oil_level = Some(OilLevel::Normal),
        Some(("oil_level", "high")) => condition.oil_level = Some(OilLevel::High),
        Some(("oil_level", "low")) => condition.oil_level = Some(OilLevel::Low),
        _ => {
            return Err("gas_relay_alarm=true|false, fault_gas=none|explained|unexplained, \
                        partial_discharge=true|false or oil_level=normal|high|low"
                .to_owned());
        }
    }
    Ok(condition)
}
