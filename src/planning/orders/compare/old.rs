//! Earlier standing orders, read back from their JSON.

use crate::input::number::{Range, accepted, inside};
use crate::input::{InputError, json, shown};
use crate::loading::{AmbientC, LONGEST_OVERLOAD_MIN};
use crate::planning::orders::Standing;
use crate::ranges;
use crate::rating::Limiting;
use crate::rating::compare::old::stated;
use crate::rating::inputs::InputPart;
use crate::unit::profile::LoadPu;
use chrono::NaiveDate;
use serde::Deserialize;
use serde_json::Value;
use std::collections::BTreeSet;

ranges! {
    /// Duration of a ceiling.
    CeilingMin: "min", 1.0e-3, LONGEST_OVERLOAD_MIN;
    /// A stop value, or what else a thermometer may show.
    StopC: "°C", -100.0, 400.0;
}

/// What every refusal accepts.
const WHOLE: &str = "the JSON that `plan --show orders` wrote earlier for this unit";

/// Earlier standing orders, as far as a comparison needs them. Keys that are not named here are not looked at.
#[derive(Debug, Clone, Deserialize)]
pub struct OldOrders {
    /// What computed them.
    pub tool: OldTool,
    /// SHA-256 of every input file and option.
    pub inputs_sha256: String,
    /// The day that they were for.
    pub date: String,
    /// The unit.
    pub unit: OldUnit,
    /// What they came to.
    pub standing: Standing,
    /// Load before an overload, pu.
    pub preload_pu: f64,
    /// The limit set.
    pub limits: Option<OldSet>,
    /// The local rules.
    pub local_rules: Option<String>,
    /// Cooling stage counted on.
    pub cooling: Option<String>,
    /// Simulated cases.
    pub draws: u32,
    /// The ceilings.
    pub ceilings: Vec<OldCeiling>,
    /// What the hot spot may not exceed.
    pub hot_spot: Option<OldNotAbove>,
    /// What the top oil may not exceed under any ceiling; earlier versions had none.
    #[serde(default)]
    pub top_oil: Option<OldNotAbove>,
    /// The last day on which they hold.
    #[serde(default)]
    pub valid_until: Option<OldUntil>,
    /// What they were computed from; empty where they do not say, as earlier versions did not.
    #[serde(default)]
    pub inputs: Vec<InputPart>,
}

/// What computed earlier orders.
#[derive(Debug, Clone, Deserialize)]
pub struct OldTool {
    /// Its version.
    pub version: String,
}

/// The unit of earlier orders.
#[derive(Debug, Clone, Deserialize)]
pub struct OldUnit {
    /// Its name.
    pub name: String,
}

/// The limit set of earlier orders.
#[derive(Debug, Clone, Deserialize)]
pub struct OldSet {
    /// Its name.
    pub name: String,
}

/// A ceiling of earlier orders.
#[derive(Debug, Clone, Deserialize)]
pub struct OldCeiling {
    /// Duration, min; `None` is continuous.
    #[serde(deserialize_with = "stated")]
    pub duration_min: Option<f64>,
    /// Ambient, °C.
    pub ambient_c: f64,
    /// The load, pu.
    #[serde(deserialize_with = "stated")]
    pub load_pu: Option<f64>,
    /// What ended it.
    pub governs: OldGoverns,
    /// Stop value of the top oil, °C; earlier versions had none.
    #[serde(default)]
    pub top_oil_c: Option<f64>,
    /// Whether the top-oil thermometer guards it; earlier versions did not say.
    #[serde(default)]
    pub guarded: Option<bool>,
}

/// What ended an earlier ceiling.
#[derive(Debug, Clone, Deserialize)]
pub struct OldGoverns {
    /// What it is.
    pub what: Limiting,
}

/// A temperature that may not be exceeded.
#[derive(Debug, Clone, Deserialize)]
pub struct OldNotAbove {
    /// The temperature, °C.
    pub c: f64,
}

/// The last day of earlier orders.
#[derive(Debug, Clone, Deserialize)]
pub struct OldUntil {
    /// The day, YYYY-MM-DD.
    pub day: String,
}

impl OldOrders {
    /// The last day on which they hold, if that is before a day, YYYY-MM-DD.
    pub fn expired_by(&self, day: &str) -> Option<String> {
        let last = self.valid_until.as_ref()?.day.parse::<NaiveDate>().ok()?;
        let is_past = day.parse::<NaiveDate>().is_ok_and(|day| last < day);
        is_past.then(|| last.to_string())
    }

    /// Reads the JSON that `plan` wrote for the unit of this name: the orders alone, or a whole plan with its orders.
    ///
    /// # Errors
    /// [`InputError`] for text that is no such JSON, another unit, a number out of its range, the same ceiling or input
    /// twice, an input whose text is not that of its hash.
    pub fn read(place: &str, text: &str, unit: &str) -> Result<Self, InputError> {
        let refused = |error: &serde_json::Error| {
            let words = error.to_string();
            let sentence = words.rsplit_once(" at line ").map_or(words.as_str(), |(own, _)| own);
            let sentence: String = sentence.chars().filter(|c| !c.is_control()).take(200).collect();
            InputError::new(place, sentence, WHOLE)
        };
        let whole: Value = json::read(place, text, WHOLE)?;
        let own = match whole.get("orders") {
            Some(orders) if orders.is_object() => orders.clone(),
            Some(_) | None => whole,
        };
        let old: Self = serde_json::from_value(own).map_err(|error| refused(&error))?;
        if old.unit.name != unit {
            let found = format!("\"{}\"", shown(&old.unit.name));
            let wanted = format!("orders of the same unit, \"{}\"", shown(unit));
            return Err(InputError::new(place, found, wanted).at_key("unit.name"));
        }
        old.check(place)?;
        Ok(old)
    }

    fn check(&self, place: &str) -> Result<(), InputError> {
        let at = |key: String, found: String, wanted: String| {
            Err(InputError::new(place, found, wanted).at_key(key))
        };
        let number = |key: String, wrong: Option<(String, String)>| match wrong {
            Some((found, wanted)) => at(key, found, wanted),
            None => Ok(()),
        };
        number("preload_pu".to_owned(), outside::<LoadPu>(Some(self.preload_pu)))?;
        if let Some(until) = &self.valid_until
            && until.day.parse::<NaiveDate>().is_err()
        {
            let found = format!("\"{}\"", shown(&until.day));
            return at("valid_until.day".to_owned(), found, "a date as YYYY-MM-DD".to_owned());
        }
        let mut seen = BTreeSet::new();
        for (index, own) in self.ceilings.iter().enumerate() {
            let key = |name: &str| format!("ceilings[{index}].{name}");
            number(key("duration_min"), outside::<CeilingMin>(own.duration_min))?;
            number(key("ambient_c"), outside::<AmbientC>(Some(own.ambient_c)))?;
            number(key("load_pu"), outside::<LoadPu>(own.load_pu))?;
            number(key("top_oil_c"), outside::<StopC>(own.top_oil_c))?;
            if !seen.insert(super::key(own.duration_min, own.ambient_c)) {
                let found = "the same ceiling a second time".to_owned();
                return at(format!("ceilings[{index}]"), found, "each once".to_owned());
            }
        }
        let mut names = BTreeSet::new();
        for (index, part) in self.inputs.iter().enumerate() {
            let key = format!("inputs[{index}] ({})", shown(&part.name));
            if !names.insert(part.name.as_str()) {
                let found = "the same name a second time".to_owned();
                return at(key, found, "each once".to_owned());
            }
            if !part.is_sound() {
                let wanted = "the SHA-256 of the text beside it, in hexadecimal".to_owned();
                return at(key, shown(&part.sha256), wanted);
            }
        }
        Ok(())
    }
}

/// What is wrong with a number; NaN is not within any range.
fn outside<R: Range>(value: Option<f64>) -> Option<(String, String)> {
    let value = value.filter(|value| !inside::<R>(*value))?;
    Some((value.to_string(), accepted::<R>()))
}
