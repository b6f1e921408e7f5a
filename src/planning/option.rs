//! A unit as an option would leave it, all but drying: dry paper is a matter of the case.

use super::plan::PlanOption;
use crate::bubbling::gas::Preservation;
use crate::input::number::Number;
use crate::input::{InputError, yaml};
use crate::unit::Unit;
use crate::unit::defaults::Catalogue;
use crate::unit::natural;
use crate::unit::profile::{GasFile, OilFile, StageFile, UnitFile};
use crate::unit::validate::{Beside, check_unit};

/// The unit with the option's gas, preservation and cooling stage. What a change of preservation leaves in the oil is
/// not measured: without `gas_to_percent` the greater counts of what was found and what is usual then.
///
/// # Errors
/// [`InputError`] for a profile that is refused as it stands, and at the option's line for an option that does not fit
/// it, such as a stage that is not the strongest.
pub fn with_option(
    (place, text): (&str, &str),
    option: &PlanOption,
    catalogue: &Catalogue,
    beside: &mut Beside<'_>,
) -> Result<Unit, InputError> {
    let mut file: UnitFile = yaml::read(place, text)?;
    let before = check_unit(place, &file, catalogue, beside)?;
    let (plan, line) = (&option.stands_in.0, option.stands_in.1);
    // The profile alone is in order, so what is refused from here on comes from the option.
    let by_option = |refused: InputError| {
        let found = format!("{}: {}", option.name, refused.found);
        let key = refused.key.map_or("options".to_owned(), |key| format!("options, {key}"));
        InputError::new(plan, found, refused.accepted).at_line(line).at_key(key)
    };
    if let Some(stage) = &option.cooling_stage {
        add_stage(&mut file, stage, catalogue)?;
    }
    if let Some(preservation) = option.preservation {
        keep_by(&mut file, preservation);
    }
    if let Some(percent) = option.gas_to_percent {
        file.gas = Some(GasFile {
            sampled: None,
            total_percent: Number::stated(percent, line),
            gases: None,
        });
    }
    let mut after = check_unit(place, &file, catalogue, beside).map_err(by_option)?;
    if let Some(gas) = after.gas.as_mut().filter(|_| option.gas_to_percent.is_some()) {
        gas.planned = true;
    }
    if option.preservation.is_none() || option.gas_to_percent.is_some() || before.gas.is_none() {
        return Ok(after);
    }
    forget_measured(&mut file, line);
    let usual = check_unit(place, &file, catalogue, beside).map_err(by_option)?;
    let measured = match (&after.gas, &usual.gas) {
        (Some(found), Some(usual)) => found.total >= usual.total,
        (_, None) | (None, _) => false,
    };
    Ok(if measured { after } else { usual })
}

/// Puts a stage above the others. A unit without stages has those that are assumed of it, or its rated one alone,
/// which are written out then.
fn add_stage(
    file: &mut UnitFile,
    stage: &StageFile,
    catalogue: &Catalogue,
) -> Result<(), InputError> {
    let assumed = natural::stages(file, catalogue)?;
    let mut stages = file.cooling_stages.take().or(assumed).unwrap_or_else(|| {
        let one = Number::stated(1.0, stage.name.1).unwrap_or(stage.rating_pu);
        vec![natural::bare(&file.rated.cooling, one)]
    });
    stages.push(stage.clone());
    file.cooling_stages = Some(stages);
    Ok(())
}

/// A blanket's pressure belongs to the blanket.
fn keep_by(file: &mut UnitFile, preservation: Preservation) {
    let oil = file.oil.get_or_insert_with(OilFile::default);
    oil.preservation = Some(preservation);
    if matches!(preservation, Preservation::Conservator | Preservation::ConservatorMembrane) {
        oil.blanket_lowest_gauge_kpa = None;
    }
}

/// A report without nitrogen, oxygen and total, so that what is usual is assumed.
fn forget_measured(file: &mut UnitFile, line: usize) {
    let Some(gas) = &mut file.gas else { return };
    gas.total_percent = None;
    let report = gas.gases.get_or_insert_default();
    report.retain(|symbol, _| symbol != "N2" && symbol != "O2");
    if let Some(none) = Number::stated(0.0, line).filter(|_| report.is_empty()) {
        report.insert("CO2".to_owned(), none);
    }
}
