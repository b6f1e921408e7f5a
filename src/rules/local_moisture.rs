//! What local operating rules say of the moisture: upward at will, downward by name and reason.

use crate::input::InputError;
use crate::input::number::Number;
use crate::input::yaml::filled;
use crate::moisture::evidence::SetAside;
use crate::moisture::usual::Criteria;
use crate::ranges;
use crate::unit::evidence_file::{OilPpm, PaperPercent, SetAsideFile, SteadyH};
use crate::unit::profile::OilC;
use schemars::JsonSchema;
use serde::Deserialize;

ranges! {
    /// Age of evidence.
    AgeMonths: "months", 1.0, 600.0;
}

/// Moisture in local rules.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LocalMoistureFile {
    /// The counting moisture is never below this, % by mass of dry paper.
    #[serde(default, deserialize_with = "filled")]
    pub at_least_percent: Option<Number<PaperPercent>>,
    /// The counting moisture, whatever the evidence says; below the evidence only with `decided`.
    #[serde(default, deserialize_with = "filled")]
    pub counting_percent: Option<Number<PaperPercent>>,
    /// Evidence older than this is stale, months; above 24 only with `decided`.
    #[serde(default, deserialize_with = "filled")]
    pub oldest_months: Option<Number<AgeMonths>>,
    /// Oil must be at least this warm for an oil witness, °C; below 50 only with `decided`.
    #[serde(default, deserialize_with = "filled")]
    pub coldest_oil_c: Option<Number<OilC>>,
    /// An oil sample must hold at least this, ppm; below 15 only with `decided`.
    #[serde(default, deserialize_with = "filled")]
    pub least_ppm: Option<Number<OilPpm>>,
    /// Load and temperature must have been steady for this long, h; below 8 only with `decided`.
    #[serde(default, deserialize_with = "filled")]
    pub steady_h: Option<Number<SteadyH>>,
    /// Whether drying of the hot spot before and during the overload may raise the margin; only with `decided`.
    #[serde(default, deserialize_with = "filled")]
    pub allow_drying_credit: Option<bool>,
    /// Who decided what loosens a default, and why.
    #[serde(default, deserialize_with = "filled")]
    pub decided: Option<SetAsideFile>,
}

/// Moisture in local rules, checked.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LocalMoisture {
    /// Floor of the counting moisture, %.
    pub at_least_percent: Option<f64>,
    /// The counting moisture, %.
    pub counting_percent: Option<f64>,
    /// What a witness must fulfil.
    pub criteria: Criteria,
    /// A gas sample older than this is stale, months, from the section `gas`; `None`: as usual.
    pub oldest_gas_months: Option<f64>,
    /// Whether drying during the overload may count.
    pub allow_drying_credit: bool,
    /// Who decided what loosens a default, and why.
    pub decided: Option<SetAside>,
}

/// Reads the section.
///
/// # Errors
/// [`InputError`] for a default loosened without anybody's name and reason.
pub(super) fn read_moisture(
    place: &str,
    file: Option<&LocalMoistureFile>,
) -> Result<LocalMoisture, InputError> {
    let Some(file) = file else {
        return Ok(LocalMoisture::default());
    };
    let usual = Criteria::default();
    let decided = file.decided.as_ref().map(SetAsideFile::named).transpose();
    let decided = decided.map_err(|(line, found)| {
        let refused = InputError::new(place, found, SetAsideFile::ACCEPTED);
        refused.at_line(line).at_key("moisture.decided")
    })?;
    let named = decided.is_some();
    let loosened = [
        loose(file.oldest_months.as_ref(), "oldest_months", |months| months > usual.oldest_months),
        loose(file.coldest_oil_c.as_ref(), "coldest_oil_c", |oil_c| oil_c < usual.coldest_oil_c),
        loose(file.least_ppm.as_ref(), "least_ppm", |ppm| ppm < usual.least_ppm),
        loose(file.steady_h.as_ref(), "steady_h", |hours| hours < usual.steady_h),
    ];
    if let Some((line, key, found)) = loosened.into_iter().flatten().find(|_| !named) {
        return Err(InputError::new(place, found.to_string(), NAMED).at_line(line).at_key(key));
    }
    if file.allow_drying_credit == Some(true) && !named {
        return Err(InputError::new(place, "true", NAMED).at_key("moisture.allow_drying_credit"));
    }
    let value = |number: Option<f64>, usual: f64| number.unwrap_or(usual);
    Ok(LocalMoisture {
        at_least_percent: file.at_least_percent.as_ref().map(|n| n.value),
        counting_percent: file.counting_percent.as_ref().map(|n| n.value),
        criteria: Criteria {
            oldest_months: value(file.oldest_months.as_ref().map(|n| n.value), usual.oldest_months),
            coldest_oil_c: value(file.coldest_oil_c.as_ref().map(|n| n.value), usual.coldest_oil_c),
            least_ppm: value(file.least_ppm.as_ref().map(|n| n.value), usual.least_ppm),
            steady_h: value(file.steady_h.as_ref().map(|n| n.value), usual.steady_h),
            ..usual
        },
        allow_drying_credit: file.allow_drying_credit == Some(true),
        oldest_gas_months: None,
        decided,
    })
}

const NAMED: &str = "a stricter value, or moisture.decided with who decided (by) and why";

fn loose<R>(
    number: Option<&Number<R>>,
    key: &'static str,
    is_loose: impl Fn(f64) -> bool,
) -> Option<(usize, String, f64)> {
    let number = number.filter(|number| is_loose(number.value))?;
    Some((number.line, format!("moisture.{key}"), number.value))
}
