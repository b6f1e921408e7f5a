//! What the thermal models leave out, where it makes the hot spot hotter than they say.

use super::catalogue::Code;
use super::facts::{Facts, ThermalFacts};
use super::finding::{Finding, Severity};
use super::limits::Quantity;

/// From here on the rising resistance of the winding shows, °C: 3 to 5 K at 150 °C by the detailed model of the guide
/// (`crate::thermal::detailed`). Our choice, no source for the threshold.
const RESISTANCE_FROM_C: f64 = 130.0;

/// A rise of the load from here on is a large one, pu, if the hot spot is highest within so many minutes. Our choice, by the
/// detailed model: from 0.7 to 1.4 pu it is 10 K hotter after 15 min, and no hotter after an hour.
const STEP_PU: f64 = 0.3;
const SHORT_MIN: f64 = 45.0;

/// Loads up to this, pu, are no overload: there the heat run itself says how hot the winding gets.
const RATED_PU: f64 = 1.0;

/// How much hotter the hot spot may be after such a step, K; where that cannot decide, it is a notice.
const HOTTER_K: f64 = 15.0;

/// All findings of the family.
pub(super) fn findings(facts: &Facts<'_>, thermal: &ThermalFacts) -> Vec<Finding> {
    resistance(thermal).into_iter().chain(quick_step(facts, thermal)).collect()
}

fn resistance(thermal: &ThermalFacts) -> Option<Finding> {
    let hot_c = thermal.hot_spot.value_c;
    (hot_c > RESISTANCE_FROM_C).then(|| {
        let text = "Above 130 °C a hotter winding makes more loss than the models count: some 3 to 5 K more at 150 °C.";
        Finding::new(Code::ResistanceNotCounted, Severity::Caution, text)
            .measured(hot_c, "°C")
            .limit(RESISTANCE_FROM_C, "°C")
    })
}

fn quick_step(facts: &Facts<'_>, thermal: &ThermalFacts) -> Option<Finding> {
    let asked = &facts.asked;
    let step_pu = asked.greatest_load_pu - asked.load_before_pu;
    let large = step_pu >= STEP_PU && asked.greatest_load_pu > RATED_PU;
    (large && thermal.hot_spot.at_min <= SHORT_MIN).then(|| {
        let severity = if decides(facts, thermal) { Severity::Caution } else { Severity::Notice };
        let text = "In the first half hour of a large step of load the guide's detailed model puts the hot spot 10 to 15 K higher. That is not counted yet.";
        Finding::new(Code::QuickStep, severity, text).measured(step_pu, "pu").limit(STEP_PU, "pu")
    })
}

/// Whether a hot spot so much hotter could take the margin, or a ceiling. What is not known could be taken.
fn decides(facts: &Facts<'_>, thermal: &ThermalFacts) -> bool {
    let spare_k = facts.margin_low_k().map(|margin_k| margin_k - facts.required.caution_k);
    let ceilings = facts.held.iter().filter(|held| held.ceiling.quantity == Quantity::HotSpot);
    let below = |limit: f64| thermal.hot_spot.value_c + HOTTER_K <= limit;
    !(spare_k.is_some_and(|spare_k| spare_k >= HOTTER_K)
        && ceilings.map(|held| held.ceiling.limit).all(below))
}
