//! What blocks state of the whole unit in words: the conductor, the dates and the liquid.

use super::super::Liquid;
use super::super::profile::{StageFile, ThermalFile, UnitFile};
use super::super::validate::Refuse;
use super::file::{HeatRunFile, ReportFile};
use crate::input::InputError;
use crate::input::text::Date;
use crate::thermal::detailed::Conductor;

/// Path of the block of the unit.
pub(super) const OF_UNIT: &str = "thermal.heat_run";
/// Path of the blocks of the stages.
pub(super) const OF_STAGE: &str = "cooling_stages.heat_run";

/// Dates of all heat runs with their keys.
pub(in super::super) fn dates(file: &UnitFile) -> Vec<(&'static str, Option<Date>)> {
    let of_unit = file.thermal.as_ref().and_then(|own| own.heat_run.as_ref());
    let of_stages =
        file.cooling_stages.iter().flatten().filter_map(|stage| stage.heat_run.as_ref());
    let unit = (OF_UNIT, of_unit.and_then(HeatRunFile::date));
    std::iter::once(unit)
        .chain(of_stages.map(|report| (OF_STAGE, report.date.as_ref().map(|date| date.value))))
        .collect()
}

/// One material for all windings.
pub(super) fn conductor(
    refuse: &Refuse<'_>,
    report: Option<&ReportFile>,
    stages: &[StageFile],
) -> Result<Option<Conductor>, InputError> {
    let of_stages = stages.iter().filter_map(|stage| stage.heat_run.as_deref());
    let of_stages = of_stages.map(|report| (OF_STAGE, report));
    let mut counts = None;
    for (place, report) in report.map(|report| (OF_UNIT, report)).into_iter().chain(of_stages) {
        let Some(own) = &report.conductor else { continue };
        if counts.is_some_and(|counts| counts != own.value) {
            let key = format!("{place}.conductor");
            let wanted = "the same conductor in all blocks, or in one of them";
            return Err(refuse.at(line(own), &key, in_words(own.value.into()), wanted));
        }
        counts = Some(own.value);
    }
    Ok(counts.map(Conductor::from))
}

fn in_words(conductor: Conductor) -> &'static str {
    match conductor {
        Conductor::Copper => "copper",
        Conductor::Aluminium => "aluminium",
    }
}

fn line<T>(spanned: &serde_yaml::Spanned<T>) -> usize {
    usize::try_from(spanned.referenced.line()).unwrap_or(0)
}

/// One heat run for the rated stage.
pub(super) fn date(
    refuse: &Refuse<'_>,
    of_unit: Option<&HeatRunFile>,
    of_rated: Option<&ReportFile>,
) -> Result<Option<Date>, InputError> {
    let unit = of_unit.and_then(HeatRunFile::date);
    let Some(rated) = of_rated.and_then(|report| report.date.as_ref()) else { return Ok(unit) };
    if let Some(unit) = unit
        && unit != rated.value
    {
        let wanted = format!("{unit}, as thermal.heat_run has it, or one of both");
        let key = format!("{OF_STAGE}.date");
        return Err(refuse.at(line(rated), &key, rated.value.to_string(), wanted));
    }
    Ok(Some(rated.value))
}

/// One liquid for all heat runs.
pub(super) fn liquid(
    refuse: &Refuse<'_>,
    own: &ThermalFile,
    report: Option<&ReportFile>,
    of_rated: Option<&ReportFile>,
    stages: &[StageFile],
) -> Result<Option<Liquid>, InputError> {
    let stated = |report: &'_ ReportFile| report.liquid.as_ref().map(|liquid| liquid.value);
    let counts = own.heat_run_liquid.or(report.and_then(stated)).or(of_rated.and_then(stated));
    let of_stages = stages.iter().filter_map(|stage| stage.heat_run.as_deref());
    let of_stages = of_stages.map(|report| (OF_STAGE, report));
    for (place, report) in report.map(|report| (OF_UNIT, report)).into_iter().chain(of_stages) {
        if let (Some(own), Some(counts)) = (&report.liquid, counts)
            && own.value != counts
        {
            let key = format!("{place}.liquid");
            let wanted = format!(
                "{}, as stated of the heat run: rises with another liquid do not belong to these",
                counts.in_words()
            );
            return Err(refuse.at(line(own), &key, own.value.in_words(), wanted));
        }
    }
    Ok(counts)
}
