//! What the thermal models leave out, where it makes the hot spot hotter than they say.

use super::catalogue::Code;
use super::facts::ThermalFacts;
use super::finding::{Finding, Severity};
use crate::thermal::Model;
use crate::thermal::detailed::Detailed;

/// From here on the rising resistance of the winding shows, °C: 3 to 5 K at 150 °C by the detailed model of the guide
/// ([`crate::thermal::detailed`]). Our choice, no source for the threshold.
const RESISTANCE_FROM_C: f64 = 130.0;

/// All findings of the family. The detailed model counts the resistance; where a lag form is hotter than that, it does not.
pub(super) fn findings(thermal: &ThermalFacts) -> Vec<Finding> {
    let hot_c = thermal.hot_spot.value_c;
    let left_out = thermal.governed_by != Detailed::NAME && hot_c > RESISTANCE_FROM_C;
    let finding = left_out.then(|| {
        let text = "Above 130 °C a hotter winding makes more loss. The model that is hottest here does not count that: some 3 to 5 K more at 150 °C.";
        Finding::new(Code::ResistanceNotCounted, Severity::Caution, text)
            .measured(hot_c, "°C")
            .limit(RESISTANCE_FROM_C, "°C")
    });
    finding.into_iter().collect()
}
