//! Usual uncertainties: the one file that lists them, read and made absolute.

use super::defaults::{Catalogue, same_name};
use super::profile::GasTotal;
use super::spread::{CorrelationChoice, Spread};
use super::uncertainty_file::{CorrelationStdK, Std};
use crate::bubbling::gas::Preservation;
use crate::input::number::{Number, Range, accepted, inside};
use crate::input::text::{Line, Name};
use crate::input::{InputError, shown, yaml};
use crate::loading::forecast_error::{AmbientStdK, ForecastError, LoadStdPercent, Origin};
use schemars::JsonSchema;
use serde::Deserialize;

/// Where the usual uncertainties stand below the profile folder.
pub const PATH: &str = "uncertainty/usual.yaml";

/// Unit of an entry that is relative.
const OF_THE_VALUE: &str = "% of the value";

/// Usual uncertainties.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UsualFile {
    /// Name of the set, the file's own: usual.
    pub uncertainty: Name,
    /// What they are for.
    pub applies_to: Line,
    /// Top-oil rise, K or % of the value.
    pub top_oil_rise_k: ByHeatRun,
    /// Hot-spot rise over top oil, K or % of the value.
    pub hot_spot_gradient_k: ByHeatRun,
    /// Load loss over no-load loss, 1 or % of the value.
    pub loss_ratio: ByHeatRun,
    /// Oil exponents x and n, 1.
    pub oil_exponent: UsualStd,
    /// Winding exponents y and 2m, 1.
    pub winding_exponent: UsualStd,
    /// Average-oil time constant, min or % of the value.
    pub oil_time_constant_min: UsualStd,
    /// Winding time constant, min or % of the value.
    pub winding_time_constant_min: UsualStd,
    /// Constant k21, 1; at most half of what it exceeds 1 by is taken.
    pub k21: UsualStd,
    /// Dissolved gas as measured, % by volume or % of the value.
    pub gas_percent: UsualStd,
    /// Dissolved gas where it is assumed, % by volume.
    pub gas_percent_assumed: UsualGas,
    /// Oil above the hot spot, m.
    pub head_above_hot_spot_m: UsualStd,
    /// Air pressure of the weather, kPa.
    pub weather_kpa: UsualStd,
    /// What aged paper still holds, 1.
    pub holding_factor: UsualStd,
    /// Correlation of the inception temperature, K.
    pub correlation_k: UsualCorrelation,
    /// Measured top oil, K.
    pub measured_top_oil_k: UsualStd,
    /// Forecast of the load, % of the load.
    pub load_percent: UsualForecast,
    /// Forecast of the ambient, K.
    pub ambient_k: UsualForecast,
}

/// A standard uncertainty.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UsualStd {
    /// Standard uncertainty.
    pub std: Number<Std>,
    /// Its unit.
    pub unit: Line,
    /// Id in profiles/sources.yaml.
    pub source: Name,
    /// Why as much.
    pub reason: Line,
}

/// Standard uncertainties of what a heat run measures.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ByHeatRun {
    /// Standard uncertainty where the value is from a heat run.
    pub heat_run: Number<Std>,
    /// Standard uncertainty where it is typical, or stated without a heat run.
    pub typical: Number<Std>,
    /// Their unit.
    pub unit: Line,
    /// Id in profiles/sources.yaml.
    pub source: Name,
    /// Why as much.
    pub reason: Line,
}

/// Intervals of gas by the way the oil is kept from the air.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UsualGas {
    /// A conservator that breathes air.
    pub conservator: Ends,
    /// Sealed, or a conservator with a membrane.
    pub sealed: Ends,
    /// Their unit.
    pub unit: Line,
    /// Id in profiles/sources.yaml.
    pub source: Name,
    /// Why as much.
    pub reason: Line,
}

/// Ends of an interval.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ends {
    /// Lower end.
    pub least: Number<GasTotal>,
    /// Upper end.
    pub most: Number<GasTotal>,
}

/// The correlation of the inception temperature.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UsualCorrelation {
    /// Standard uncertainty, K.
    pub std: Number<CorrelationStdK>,
    /// Which correlation a draw takes.
    pub choice: CorrelationChoice,
    /// Its unit.
    pub unit: Line,
    /// Id in profiles/sources.yaml.
    pub source: Name,
    /// Why as much.
    pub reason: Line,
}

/// A forecast error that grows for a day.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UsualForecast {
    /// Standard uncertainty at the start.
    pub at_start: Number<Std>,
    /// Standard uncertainty a day ahead and later.
    pub after_a_day: Number<Std>,
    /// Their unit.
    pub unit: Line,
    /// Id in profiles/sources.yaml.
    pub source: Name,
    /// Why as much.
    pub reason: Line,
}

impl Catalogue {
    /// The usual uncertainties.
    ///
    /// # Errors
    /// [`InputError`] if their file is not valid.
    pub fn uncertainty(&self) -> Result<UsualFile, InputError> {
        let missing = || InputError::new(PATH, "no such file", "the usual uncertainties");
        read(PATH, self.text(PATH).ok_or_else(missing)?)
    }
}

/// Reads and checks usual uncertainties.
///
/// # Errors
/// [`InputError`] if the text is not strictly that, an entry has another unit than its quantity, an
/// interval is none, or a forecast error would shrink.
pub fn read(place: &str, text: &str) -> Result<UsualFile, InputError> {
    let file: UsualFile = yaml::read(place, text)?;
    same_name(place, "usual", &file.uncertainty)?;
    check_units(place, &file)?;
    for (key, ends) in [
        ("conservator", &file.gas_percent_assumed.conservator),
        ("sealed", &file.gas_percent_assumed.sealed),
    ] {
        if !(ends.least.value < ends.most.value) {
            let found = format!("{} to {}", ends.least.value, ends.most.value);
            let key = format!("gas_percent_assumed.{key}");
            let accepted = "least below most";
            return Err(InputError::new(place, found, accepted)
                .at_line(ends.least.line)
                .at_key(key));
        }
    }
    forecast::<LoadStdPercent>(place, "load_percent", &file.load_percent)?;
    forecast::<AmbientStdK>(place, "ambient_k", &file.ambient_k)?;
    Ok(file)
}

/// Every entry has its quantity's own unit, or is relative to a value that is not zero by definition.
fn check_units(place: &str, file: &UsualFile) -> Result<(), InputError> {
    let relative_too = [
        ("top_oil_rise_k", &file.top_oil_rise_k.unit, "K"),
        ("hot_spot_gradient_k", &file.hot_spot_gradient_k.unit, "K"),
        ("loss_ratio", &file.loss_ratio.unit, "1"),
        ("oil_time_constant_min", &file.oil_time_constant_min.unit, "min"),
        ("winding_time_constant_min", &file.winding_time_constant_min.unit, "min"),
        ("gas_percent", &file.gas_percent.unit, "% by volume"),
    ];
    let own_only = [
        ("oil_exponent", &file.oil_exponent.unit, "1"),
        ("winding_exponent", &file.winding_exponent.unit, "1"),
        ("k21", &file.k21.unit, "1"),
        ("gas_percent_assumed", &file.gas_percent_assumed.unit, "% by volume"),
        ("head_above_hot_spot_m", &file.head_above_hot_spot_m.unit, "m"),
        ("weather_kpa", &file.weather_kpa.unit, "kPa"),
        ("holding_factor", &file.holding_factor.unit, "1"),
        ("correlation_k", &file.correlation_k.unit, "K"),
        ("measured_top_oil_k", &file.measured_top_oil_k.unit, "K"),
        ("load_percent", &file.load_percent.unit, "% of the load"),
        ("ambient_k", &file.ambient_k.unit, "K"),
    ];
    let relative = relative_too.map(|entry| (entry, true));
    for ((key, unit, own), relative) in relative.into_iter().chain(own_only.map(|e| (e, false))) {
        if unit.0 != own && !(relative && unit.0 == OF_THE_VALUE) {
            let or = if relative { format!(" or {OF_THE_VALUE}") } else { String::new() };
            let refused = InputError::new(place, shown(&unit.0), format!("the unit {own}{or}"));
            return Err(refused.at_line(unit.1).at_key(format!("{key}.unit")));
        }
    }
    Ok(())
}

/// The usual forecast error.
fn forecast<R: Range>(
    place: &str,
    key: &str,
    usual: &UsualForecast,
) -> Result<ForecastError, InputError> {
    let (start, later) = (usual.at_start.value, usual.after_a_day.value);
    let error = ForecastError::growing(start, later, Origin::Usual);
    error.filter(|_| inside::<R>(start) && inside::<R>(later)).ok_or_else(|| {
        let found = format!("{start} at the start and {later} after a day");
        let accepted = format!("{}, and after a day no less than at the start", accepted::<R>());
        InputError::new(place, found, accepted).at_line(usual.at_start.line).at_key(key)
    })
}

impl UsualFile {
    /// The usual error of a forecast of the load, % of it.
    ///
    /// # Errors
    /// [`InputError`] if the file was not checked and is not valid.
    pub fn load_error(&self) -> Result<ForecastError, InputError> {
        forecast::<LoadStdPercent>(PATH, "load_percent", &self.load_percent)
    }

    /// The usual error of a forecast of the ambient, K.
    ///
    /// # Errors
    /// As [`Self::load_error`].
    pub fn ambient_error(&self) -> Result<ForecastError, InputError> {
        forecast::<AmbientStdK>(PATH, "ambient_k", &self.ambient_k)
    }

    /// The interval of gas assumed, if there is one for this way of keeping the oil from the air.
    pub(super) fn gas_assumed(&self, kept: Option<Preservation>) -> Option<Spread> {
        let ends = match kept? {
            Preservation::Conservator => &self.gas_percent_assumed.conservator,
            Preservation::ConservatorMembrane | Preservation::Sealed => {
                &self.gas_percent_assumed.sealed
            }
            Preservation::NitrogenBlanket => return None,
        };
        Some(Spread::Interval { least: ends.least.value, most: ends.most.value })
    }
}

/// A usual standard uncertainty of one value, in its own unit, and the line it stands on.
#[derive(Debug, Clone, Copy)]
pub(super) struct Absolute {
    pub(super) std: f64,
    pub(super) line: usize,
}

impl UsualStd {
    /// That of a value.
    pub(super) fn of(&self, value: f64) -> Absolute {
        absolute(&self.std, &self.unit, value)
    }
}

impl ByHeatRun {
    /// That of a value.
    pub(super) fn of(&self, value: f64, from_heat_run: bool) -> Absolute {
        let std = if from_heat_run { &self.heat_run } else { &self.typical };
        absolute(std, &self.unit, value)
    }
}

impl Absolute {
    /// The same and no more than this.
    pub(super) fn at_most(self, most: f64) -> Self {
        Self { std: self.std.min(most), ..self }
    }
}

impl<R> From<&Number<R>> for Absolute {
    fn from(std: &Number<R>) -> Self {
        Self { std: std.value, line: std.line }
    }
}

fn absolute(std: &Number<Std>, unit: &Line, value: f64) -> Absolute {
    let factor = if unit.0 == OF_THE_VALUE { value / 100.0 } else { 1.0 };
    Absolute { std: std.value * factor, line: std.line }
}
