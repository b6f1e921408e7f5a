//! Local operating rules, as in profiles/rules: they can only tighten.

use super::catalogue::{Code, explain};
use super::limits::{Ceiling, Quantity};
use super::local_moisture::{AgeMonths, LocalMoisture, LocalMoistureFile, read_moisture};
use crate::bubbling::gas_age::OLDEST_KEPT_FROM_AIR_MONTHS;
use crate::input::number::Number;
use crate::input::text::{Line, Name};
use crate::input::yaml::filled;
use crate::input::{InputError, shown, yaml};
use crate::ranges;
use crate::unit::profile::LoadPu;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Default margin below which the answer is no-go, K. Common practice, no source; a local
/// rule may raise it, never lower it. It is said to go back to one observation, bubbles at 110 °C from
/// paper of 4 %, on which the usual spread of the correlation rests too (profiles/uncertainty/usual.yaml): what
/// stands on both is one piece of evidence and not two.
pub const NO_GO_MARGIN_K: f64 = 10.0;

/// Default margin below which there is a caution, K. Common practice, no source.
pub const CAUTION_MARGIN_K: f64 = 20.0;

ranges! {
    /// A required margin.
    MarginK: "K", 0.0, 100.0;
    /// A temperature ceiling of a local rule.
    LocalC: "°C", 20.0, 250.0;
    /// A duration ceiling.
    LocalMin: "min", 1.0, 100_000.0;
    /// An ageing ceiling.
    LifeHours: "h of normal life", 0.0, 100_000.0;
}

/// A file of local operating rules.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LocalRulesFile {
    /// Name of the rules.
    pub rules: Name,
    /// Who issued them.
    pub issued_by: Line,
    /// Required margins to bubbling; not below the defaults of 10 and 20 K.
    #[serde(default, deserialize_with = "filled")]
    pub bubbling: Option<MarginsFile>,
    /// Ceilings beside those of the loading guide.
    #[serde(default, deserialize_with = "filled")]
    pub ceilings: Option<LocalCeilingsFile>,
    /// What counts as moisture: more than the evidence says, or, by name and reason, less.
    #[serde(default, deserialize_with = "filled")]
    pub moisture: Option<LocalMoistureFile>,
    /// How old a gas sample may be; only stricter than usual.
    #[serde(default, deserialize_with = "filled")]
    pub gas: Option<LocalGasFile>,
    /// Conditions under which overload is forbidden.
    #[serde(default, deserialize_with = "filled")]
    pub forbid_when: Option<Vec<ConditionName>>,
    /// Cautions to raise with every overload.
    #[serde(default, deserialize_with = "filled")]
    pub cautions: Option<Vec<Line>>,
    /// Own words to add to a finding, by its code.
    #[serde(default, deserialize_with = "filled")]
    pub texts: Option<BTreeMap<String, Line>>,
}

/// Required margins to bubbling.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MarginsFile {
    /// Below it the answer is no-go, K; at least 10.
    #[serde(default, deserialize_with = "filled")]
    pub no_go_margin_k: Option<Number<MarginK>>,
    /// Below it there is a caution, K; at least 20.
    #[serde(default, deserialize_with = "filled")]
    pub caution_margin_k: Option<Number<MarginK>>,
}

/// Gas in local rules.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LocalGasFile {
    /// A gas sample older than this counts on the gassy side only, months; at most 12, or 24 for oil kept from air.
    #[serde(default, deserialize_with = "filled")]
    pub oldest_months: Option<Number<AgeMonths>>,
}

/// Ceilings of a local rule.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LocalCeilingsFile {
    /// Load, per unit of the rated current.
    #[serde(default, deserialize_with = "filled")]
    pub load_pu: Option<Number<LoadPu>>,
    /// Winding hot spot, °C.
    #[serde(default, deserialize_with = "filled")]
    pub hot_spot_c: Option<Number<LocalC>>,
    /// Top oil, °C.
    #[serde(default, deserialize_with = "filled")]
    pub top_oil_c: Option<Number<LocalC>>,
    /// Duration of an overload, min.
    #[serde(default, deserialize_with = "filled")]
    pub duration_min: Option<Number<LocalMin>>,
    /// Hours of normal life used by an overload.
    #[serde(default, deserialize_with = "filled")]
    pub ageing_hours: Option<Number<LifeHours>>,
}

/// A condition that a local rule can name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ConditionName {
    /// The gas relay's alarm stands.
    GasRelayAlarm,
    /// Fault gas of any kind.
    FaultGas,
    /// A history of partial discharge.
    PartialDischarge,
    /// Oil level high.
    OilLevelHigh,
    /// Oil level low.
    OilLevelLow,
    /// Forced cooling lost.
    CoolingLost,
    /// The top oil was not measured.
    TopOilNotMeasured,
}

impl ConditionName {
    /// The condition in words.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::GasRelayAlarm => "a standing gas-relay alarm",
            Self::FaultGas => "fault gas in the oil",
            Self::PartialDischarge => "a history of partial discharge",
            Self::OilLevelHigh => "a high oil level",
            Self::OilLevelLow => "a low oil level",
            Self::CoolingLost => "forced cooling lost",
            Self::TopOilNotMeasured => "top oil not measured",
        }
    }
}

/// Local operating rules, checked.
#[derive(Debug, Clone)]
pub struct LocalRules {
    /// Name of the rules.
    pub name: String,
    /// Who issued them.
    pub issued_by: String,
    /// No-go margin, K, not below [`NO_GO_MARGIN_K`].
    pub no_go_margin_k: f64,
    /// Caution margin, K, not below [`CAUTION_MARGIN_K`].
    pub caution_margin_k: f64,
    /// Ceilings.
    pub ceilings: Vec<Ceiling>,
    /// What counts as moisture.
    pub moisture: LocalMoisture,
    /// Conditions that forbid overload.
    pub forbid_when: Vec<ConditionName>,
    /// Cautions of every overload.
    pub cautions: Vec<String>,
    /// Own words by finding code.
    pub texts: BTreeMap<String, String>,
}

/// Reads and checks local operating rules.
///
/// # Errors
/// [`InputError`] for anything that is not strictly such a file, a margin below the default
/// (a local rule may only tighten), or a text for a code that does not exist.
pub fn read_local_rules(place: &str, text: &str) -> Result<LocalRules, InputError> {
    let file: LocalRulesFile = yaml::read(place, text)?;
    let margins = file.bubbling.as_ref();
    let no_go = margin(
        place,
        "bubbling.no_go_margin_k",
        margins.and_then(|m| m.no_go_margin_k.as_ref()),
        NO_GO_MARGIN_K,
    )?;
    let caution = margin(
        place,
        "bubbling.caution_margin_k",
        margins.and_then(|m| m.caution_margin_k.as_ref()),
        CAUTION_MARGIN_K,
    )?;
    for code in file.texts.iter().flat_map(BTreeMap::keys) {
        if explain(code).is_none() {
            return Err(InputError::new(
                place,
                shown(code),
                "a finding code (see `bubblemargin explain --list`)",
            )
            .at_key("texts"));
        }
    }
    let name = file.rules.0;
    Ok(LocalRules {
        ceilings: file
            .ceilings
            .as_ref()
            .map_or_else(Vec::new, |ceilings| local_ceilings(ceilings, &name)),
        name,
        issued_by: file.issued_by.0,
        no_go_margin_k: no_go,
        caution_margin_k: caution.max(no_go),
        moisture: LocalMoisture {
            oldest_gas_months: oldest_gas(place, file.gas.as_ref())?,
            ..read_moisture(place, file.moisture.as_ref())?
        },
        forbid_when: file.forbid_when.unwrap_or_default(),
        cautions: file.cautions.unwrap_or_default().into_iter().map(|line| line.0).collect(),
        texts: file
            .texts
            .unwrap_or_default()
            .into_iter()
            .map(|(code, line)| (code, line.0))
            .collect(),
    })
}

fn margin(
    place: &str,
    key: &str,
    stated: Option<&Number<MarginK>>,
    default_k: f64,
) -> Result<f64, InputError> {
    match stated {
        None => Ok(default_k),
        Some(margin) if margin.value >= default_k => Ok(margin.value),
        Some(margin) => {
            let accepted = format!("{default_k} K or more: a local rule may only tighten");
            Err(InputError::new(place, format!("{} K", margin.value), accepted)
                .at_line(margin.line)
                .at_key(key))
        }
    }
}

/// The limit of a gas sample's age. One above the usual limit of oil that breathes still tightens that of oil kept
/// from air; one above both would loosen.
fn oldest_gas(place: &str, file: Option<&LocalGasFile>) -> Result<Option<f64>, InputError> {
    let stated = file.and_then(|gas| gas.oldest_months.as_ref());
    match stated {
        Some(months) if !(months.value <= OLDEST_KEPT_FROM_AIR_MONTHS) => {
            let accepted = format!(
                "{OLDEST_KEPT_FROM_AIR_MONTHS} months or less: a local rule may only tighten"
            );
            Err(InputError::new(place, format!("{} months", months.value), accepted)
                .at_line(months.line)
                .at_key("gas.oldest_months"))
        }
        _ => Ok(stated.map(|months| months.value)),
    }
}

fn local_ceilings(file: &LocalCeilingsFile, name: &str) -> Vec<Ceiling> {
    let of = |quantity, limit: Option<f64>| {
        limit.map(|limit| Ceiling {
            quantity,
            limit,
            source: name.to_owned(),
            code: Code::LocalCeiling,
        })
    };
    [
        of(Quantity::Load, file.load_pu.as_ref().map(|n| n.value)),
        of(Quantity::HotSpot, file.hot_spot_c.as_ref().map(|n| n.value)),
        of(Quantity::TopOil, file.top_oil_c.as_ref().map(|n| n.value)),
        of(Quantity::Duration, file.duration_min.as_ref().map(|n| n.value)),
        of(Quantity::Ageing, file.ageing_hours.as_ref().map(|n| n.value)),
    ]
    .into_iter()
    .flatten()
    .collect()
}
