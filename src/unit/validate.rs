//! From the profile as written to a [`Unit`]: contradictions refused, what is missing kept missing.

use super::defaults::Catalogue;
use super::facility::{series_elements, windings};
use super::heat_run;
use super::insulation::{insulation, paper_condition};
use super::oil_and_gas::{gas_content, solubility, surroundings};
use super::profile::{AccessoriesFile, RatingFile, UnitFile};
use super::relays::relays;
use super::stages::thermal;
use super::taps::taps;
use super::uncertainty::spread;
use super::windings::three_windings;
use super::witnesses::witnesses;
use super::{Accessories, Condition, Rating, Unit};
use crate::input::number::Number;
use crate::input::{InputError, yaml};
use crate::quantities::NotAQuantity;
use chrono::Datelike;

/// Hands over the place and the text of a file that the profile names, relative to the profile's folder.
pub type Beside<'a> = dyn FnMut(&str) -> Result<(String, String), InputError> + 'a;

/// Reads and checks a unit profile that names no other file.
///
/// # Errors
/// [`InputError`] for anything that is not strictly a unit profile, and for contradictions
/// between its keys.
pub fn read_unit(place: &str, text: &str, catalogue: &Catalogue) -> Result<Unit, InputError> {
    let refuse =
        |name: &str| Err(InputError::new(name, "a file", "a profile without other files here"));
    read_unit_with(place, text, catalogue, &mut { refuse })
}

/// Reads and checks a unit profile; `beside` reads the files that it names.
///
/// # Errors
/// As [`read_unit`], and whatever `beside` refuses.
pub fn read_unit_with(
    place: &str,
    text: &str,
    catalogue: &Catalogue,
    beside: &mut Beside<'_>,
) -> Result<Unit, InputError> {
    check_unit(place, &yaml::read(place, text)?, catalogue, beside)
}

/// Checks a unit profile as written; `beside` reads the files that it names.
///
/// # Errors
/// [`InputError`] for contradictions between its keys, and whatever `beside` refuses.
pub fn check_unit(
    place: &str,
    file: &UnitFile,
    catalogue: &Catalogue,
    beside: &mut Beside<'_>,
) -> Result<Unit, InputError> {
    let refuse = Refuse { place };
    check_size(&refuse, file)?;
    check_dates(&refuse, file)?;
    let surroundings = surroundings(&refuse, file.oil.as_ref())?;
    let thermal = thermal(&refuse, file, catalogue)?;
    let gas = gas_content(&refuse, file.gas.as_ref(), file.oil.as_ref(), &surroundings)?;
    let windings = windings(&refuse, file)?;
    let three_windings = three_windings(&refuse, file, thermal.as_ref())?;
    Ok(Unit {
        spread: spread(&refuse, file, thermal.as_ref(), gas.as_ref(), catalogue)?,
        relays: relays(&refuse, file.relays.as_deref().unwrap_or_default(), thermal.as_ref())?,
        name: file.unit.0.clone(),
        site: file.site.as_ref().map(|site| site.0.clone()),
        serial: file.serial.as_ref().map(|serial| serial.0.clone()),
        size_class: file.size_class,
        rated_mva: file.rated.mva.value,
        average_winding_rise_k: value(file.rated.average_winding_rise_k.as_ref()),
        taps: taps(&refuse, file.taps.as_ref())?,
        paper: file.paper,
        liquid: file.liquid,
        thermal,
        gas,
        surroundings,
        made: value(file.made.as_ref()),
        dried: file.dried.map(|date| date.0),
        witnesses: witnesses(&refuse, file.moisture.as_deref().unwrap_or_default(), beside)?,
        oil_treated: file.oil.as_ref().and_then(|oil| oil.treated).map(|date| date.0),
        oil_shared_with_tap_changer: file
            .oil
            .as_ref()
            .and_then(|oil| oil.shared_with_tap_changer)
            .unwrap_or(false),
        solubility: solubility(&refuse, file.liquid, file.oil.as_ref())?,
        oil_kg: file.oil.as_ref().and_then(|oil| value(oil.mass_kg.as_ref())),
        insulation: insulation(file.insulation.as_ref()),
        paper_condition: paper_condition(&refuse, file.paper_condition.as_ref())?,
        holding_factor: value(file.holding_factor.as_ref()),
        accessories: accessories(file.accessories.as_ref()),
        series_elements: series_elements(&refuse, file, &windings)?,
        windings,
        three_windings,
        condition: file.condition.as_ref().map_or_else(Condition::default, |condition| Condition {
            gas_relay_alarm: condition.gas_relay_alarm,
            fault_gas: condition.fault_gas,
            partial_discharge: condition.partial_discharge,
            oil_level: condition.oil_level,
        }),
    })
}

/// Makes errors that name this file.
pub(crate) struct Refuse<'a> {
    pub(crate) place: &'a str,
}

impl Refuse<'_> {
    pub(crate) fn at(
        &self,
        line: usize,
        key: &str,
        found: impl Into<String>,
        accepted: impl Into<String>,
    ) -> InputError {
        InputError::new(self.place, found, accepted).at_line(line).at_key(key)
    }

    pub(crate) fn whole(
        &self,
        key: &str,
        found: impl Into<String>,
        accepted: impl Into<String>,
    ) -> InputError {
        InputError::new(self.place, found, accepted).at_key(key)
    }

    pub(super) fn impossible(&self, key: &str, error: &NotAQuantity) -> InputError {
        self.whole(key, error.found.to_string(), error.to_string())
    }
}

/// The number, if stated.
pub(crate) fn value<R>(number: Option<&Number<R>>) -> Option<f64> {
    number.map(|number| number.value)
}

/// Nothing can have been measured before the unit was made (or in the year before, for a
/// factory test).
fn check_dates(refuse: &Refuse<'_>, file: &UnitFile) -> Result<(), InputError> {
    let Some(made) = &file.made else { return Ok(()) };
    let witnesses = file.moisture.iter().flatten().map(|witness| ("moisture.date", witness.date));
    let dates = [
        ("gas.sampled", file.gas.as_ref().and_then(|gas| gas.sampled)),
        ("dried", file.dried),
        ("oil.treated", file.oil.as_ref().and_then(|oil| oil.treated)),
        ("paper_condition.date", file.paper_condition.as_ref().and_then(|paper| paper.date)),
    ];
    for (key, date) in dates.into_iter().chain(heat_run::dates(file)).chain(witnesses) {
        let Some(date) = date else { continue };
        if f64::from(date.0.year()) < made.value - 1.0 {
            let found = format!("{date}, before the unit was made ({})", made.value);
            return Err(refuse.at(made.line, key, found, "a date after it was made"));
        }
    }
    Ok(())
}

/// A class for smaller units has wider limits, so it is refused for a larger unit.
fn check_size(refuse: &Refuse<'_>, file: &UnitFile) -> Result<(), InputError> {
    let mva = &file.rated.mva;
    match file.size_class.largest_mva() {
        Some(largest) if mva.value > largest => Err(refuse.at(
            mva.line,
            "rated.mva",
            format!("{} MVA with size_class {}", mva.value, file.size_class.name()),
            format!("at most {largest} MVA in this class, or a larger size_class"),
        )),
        _ => Ok(()),
    }
}

fn accessories(file: Option<&AccessoriesFile>) -> Accessories {
    let rating = |figure: Option<RatingFile>| match figure {
        Some(RatingFile::PerUnit(pu)) => Rating::PerUnit(pu),
        Some(RatingFile::Unknown) | None => Rating::Unknown,
    };
    let pick = |of: fn(&AccessoriesFile) -> Option<RatingFile>| rating(file.and_then(of));
    Accessories {
        bushings: pick(|a| a.bushings_pu),
        tap_changer: pick(|a| a.tap_changer_pu),
        cable_box: pick(|a| a.cable_box_pu),
        current_transformers: pick(|a| a.current_transformers_pu),
    }
}
