//! Insulation and paper condition of a profile.

use super::evidence_file::{InsulationFile, PaperConditionFile};
use super::validate::{Refuse, value};
use super::{Insulation, PaperCondition};
use crate::input::InputError;

/// Degree of polymerisation of new paper where none is stated. Source: `emsley-stevens-1994`.
const DP_NEW: f64 = 1000.0;

/// Paper and pressboard.
pub(super) fn insulation(file: Option<&InsulationFile>) -> Insulation {
    file.map_or_else(Insulation::default, |file| Insulation {
        mass_kg: value(file.mass_kg.as_ref()),
        thickness_mm: value(file.thickness_mm.as_ref()),
        winding_paper_mm: value(file.winding_paper_mm.as_ref()),
    })
}

/// Condition of the paper.
pub(super) fn paper_condition(
    refuse: &Refuse<'_>,
    file: Option<&PaperConditionFile>,
) -> Result<PaperCondition, InputError> {
    let none = PaperConditionFile::default();
    let file = file.unwrap_or(&none);
    let dp_new = value(file.dp_new.as_ref()).unwrap_or(DP_NEW);
    if let Some(dp) = &file.dp
        && dp.value > dp_new
    {
        let accepted = format!("at most that of the new paper, {dp_new} (dp_new)");
        return Err(refuse.at(dp.line, "paper_condition.dp", dp.value.to_string(), accepted));
    }
    Ok(PaperCondition {
        dp_new,
        dp: value(file.dp.as_ref()),
        date: file.date.map(|date| date.0),
        usual_hot_spot_c: value(file.usual_hot_spot_c.as_ref()),
    })
}
