//! Usual uncertainties: the one file that lists them, read and made absolute.

use super::defaults::{Catalogue, same_name};
use super::spread::Spread;
use super::uncertainty_file::Std;
use super::usual_uncertainty_file::{ByHeatRun, UsualFile, UsualForecast, UsualStd};
use crate::bubbling::gas::Preservation;
use crate::input::number::{Number, Range, accepted, inside};
use crate::input::text::Line;
use crate::input::{InputError, shown, yaml};
use crate::loading::forecast_error::{AmbientStdK, ForecastError, LoadStdPercent, Origin};

/// Where the usual uncertainties stand below the profile folder.
pub const PATH: &str = "uncertainty/usual.yaml";

/// Unit of an entry that is relative.
const OF_THE_VALUE: &str = "% of the value";

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
        ("natural_rating_pu", &file.natural_rating_pu.unit, "1"),
        ("gas_percent_assumed", &file.gas_percent_assumed.unit, "% by volume"),
        ("head_above_hot_spot_m", &file.head_above_hot_spot_m.unit, "m"),
        ("weather_kpa", &file.weather_kpa.unit, "kPa"),
        ("holding_factor", &file.holding_factor.unit, "1"),
        ("correlation_k", &file.correlation_k.unit, "K"),
        ("measured_top_oil_k", &file.measured_top_oil_k.unit, "K"),
        ("thermostat_k", &file.thermostat_k.unit, "K"),
        ("load_percent", &file.load_percent.unit, "% of the load"),
        ("ambient_k", &file.ambient_k.unit, "K"),
    ];
    let relative = relative_too.map(|entry| (entry, true));
    let model = file.hot_spot_model_k.as_ref().map(|own| ("hot_spot_model_k", &own.unit, "K"));
    let own_only = own_only.into_iter().chain(model);
    for ((key, unit, own), relative) in
        relative.into_iter().chain(own_only.map(|entry| (entry, false)))
    {
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
