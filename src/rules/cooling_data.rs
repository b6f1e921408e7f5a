//! What the profile leaves open about the cooling: stages that nobody stated, no stage without fans and pumps, and
//! rises in thin air.

use super::catalogue::Code;
use super::finding::{Finding, Severity};
use crate::quantities::Metres;
use crate::thermal::altitude::HOLDS_UP_TO_M;
use crate::unit::{Auxiliaries, StageData, Unit};

/// All findings of the family; `stated` says whether the operator states the stage, `in_service` whether a stage is in
/// service at any time.
pub fn findings(
    unit: &Unit,
    stated: bool,
    in_service: impl Fn(&StageData) -> bool,
) -> Vec<Finding> {
    let found = [
        stages_missing(unit, &in_service),
        never_natural(unit).filter(|_| !stated),
        altitude(unit, &in_service),
    ];
    found.into_iter().flatten().collect()
}

/// The same where no load is looked at: `stage` as the operator states it. Without one every stage may come into
/// service, or the assumed one alone.
pub fn without_a_load(unit: &Unit, stage: Option<usize>) -> Vec<Finding> {
    let Some(thermal) = &unit.thermal else { return Vec::new() };
    let only = stage.or_else(|| thermal.assumed().map(|_| 0)).and_then(|at| thermal.stages.get(at));
    let in_service = |data: &StageData| only.is_none_or(|only| only.stage.name == data.stage.name);
    findings(unit, stage.is_some(), in_service)
}

/// A caution where the assumed stage carries load, and a notice where it only makes the start hotter.
fn stages_missing(unit: &Unit, in_service: impl Fn(&StageData) -> bool) -> Option<Finding> {
    let assumed = unit.thermal.as_ref()?.assumed()?;
    let (name, rating_pu) = (&assumed.stage.name, assumed.stage.rating_pu);
    let (severity, text) = if in_service(assumed) {
        let text = format!(
            "No cooling stages are stated, so natural cooling alone counts: {name} at {rating_pu:.2} pu, with typical rises."
        );
        (Severity::Caution, text)
    } else {
        let text = format!(
            "No cooling stages are stated, so the start counts as hot as natural cooling alone would leave it: {name} at {rating_pu:.2} pu."
        );
        (Severity::Notice, text)
    };
    Some(Finding::new(Code::CoolingStagesMissing, severity, text))
}

/// A caution where even the weakest stage needs something running: it counts as running all the time, and nobody says
/// so.
fn never_natural(unit: &Unit) -> Option<Finding> {
    let weakest = unit.thermal.as_ref()?.stages.first()?;
    let needs = match weakest.auxiliaries {
        Auxiliaries::None => return None,
        Auxiliaries::Fans => "fans",
        Auxiliaries::Pumps => "pumps",
    };
    let text = format!(
        "Even the weakest cooling stage, {}, needs {needs}, and nothing says what the unit carries without them. Confirm that they run, or state the natural stage.",
        weakest.stage.name
    );
    Some(Finding::new(Code::CoolingNeverNatural, Severity::Caution, text))
}

/// What the altitude adds to the top-oil rises in service, if it is one that matters.
fn altitude(unit: &Unit, in_service: impl Fn(&StageData) -> bool) -> Option<Finding> {
    let thermal = unit.thermal.as_ref()?;
    let altitude_m = unit.surroundings.altitude.map(Metres::value)?;
    if !(altitude_m > HOLDS_UP_TO_M) {
        return None;
    }
    let used: Vec<&StageData> = thermal.stages.iter().filter(|data| in_service(data)).collect();
    let raised: Vec<&str> = used
        .iter()
        .filter(|data| data.altitude_k > 0.0)
        .map(|data| data.stage.name.as_str())
        .collect();
    if raised.is_empty() {
        let text =
            format!("Nothing is added to the top-oil rise for the altitude of {altitude_m} m.");
        return Some(Finding::new(Code::RisesAtAltitude, Severity::Notice, text));
    }
    let from = match thermal.rises_at_altitude_m {
        Some(stated_m) => format!("stated rises hold for {stated_m} m"),
        None => "no altitude is stated for the rises, so low level counts".to_owned(),
    };
    let text = format!(
        "Air at {altitude_m} m cools less, so the top-oil rise is raised ({}; {from}).",
        raised.join(", ")
    );
    let most_k = used.iter().map(|data| data.altitude_k).fold(0.0, f64::max);
    Some(Finding::new(Code::RisesAtAltitude, Severity::Notice, text).measured(most_k, "K"))
}
