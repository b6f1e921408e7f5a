//! Temperatures against their ceilings, and how far the thermal model can be trusted.

#![allow(clippy::unnecessary_wraps, reason = "every rule has the same signature")]

use super::catalogue::Code;
use super::cooling_data;
use super::facts::{Facts, Held, ThermalFacts, TypicalFigure};
use super::finding::{Finding, Severity};
use super::gradient::gradient;
use super::limits::Quantity;
use super::limits_hold::holds;
use super::not_counted;
use crate::unit::{SizeClass, StageData, Thermal};

/// Loads above this multiple of the stage rating are beyond what the exponents are meant for.
/// Our choice, no source: the guides end at 2.0 of the unit rating, and a weaker stage carries
/// more than its share for the moments until the next one starts.
pub const MOST_STAGE_LOAD: f64 = 2.5;

/// Oil below this at the start is called cold, °C. Our choice, no source.
const COLD_OIL_C: f64 = 0.0;

/// A history should be this many oil time constants long: 5 % of what came before is left then.
pub(crate) const OIL_TIME_CONSTANTS: f64 = 3.0;

/// A measured top oil this far below the computed one is doubtful, K. Our choice, no source.
const DOUBTFUL_BELOW_K: f64 = -10.0;

/// A measured top oil within this of the computed one agrees with it, K. Our choice, no source.
const AGREES_WITHIN_K: f64 = 3.0;

/// All findings of the family.
pub fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    let mut found: Vec<Finding> =
        facts.held.iter().filter_map(|held| ceiling(facts, held)).collect();
    found.extend(no_guide_figure(facts));
    found.extend(gradient(facts));
    found.push(metal_parts(facts));
    found.push(Finding::new(
        Code::ShortCircuit,
        Severity::Notice,
        "A hot winding withstands less in a short circuit.",
    ));
    match &facts.thermal {
        None => found.push(Finding::new(
            Code::ThermalMissing,
            Severity::Unknown,
            "No thermal data, so no hot spot.",
        )),
        Some(thermal) => {
            let rules: [fn(&Facts<'_>, &ThermalFacts) -> Option<Finding>; 15] = [
                not_finite,
                outside_load_range,
                typical_values,
                typical_constants,
                typical_figures,
                start,
                later_start,
                colder_day,
                short_history,
                history_ambient,
                measured,
                cooling_control,
                cooling_loss,
                cooling_service,
                cold_oil,
            ];
            found.extend(rules.iter().filter_map(|rule| rule(facts, thermal)));
            let in_service =
                |data: &StageData| thermal.stages_in_service.contains(&data.stage.name);
            let stated = facts.asked.cooling_stated;
            found.extend(cooling_data::findings(facts.unit, stated, in_service));
            found.extend(pumps(thermal));
            found.extend(not_counted::findings(thermal));
        }
    }
    found
}

/// A ceiling is kept or not; one without a computed value is covered by what is missing. To keep a ceiling that
/// does not hold for this unit says nothing.
fn ceiling(facts: &Facts<'_>, held: &Held) -> Option<Finding> {
    let value = held.value?;
    let (quantity, unit) = (held.ceiling.quantity.in_words(), held.ceiling.quantity.unit());
    let whose = if held.ceiling.code == Code::LocalCeiling {
        "local rules"
    } else {
        facts.limits.title.as_str()
    };
    let of_guide = held.ceiling.code != Code::LocalCeiling;
    if value <= held.ceiling.limit && of_guide && !holds(facts.limits, facts.unit) {
        return None;
    }
    let (severity, verb) = if value <= held.ceiling.limit {
        (Severity::Pass, "keeps within")
    } else {
        (Severity::Stop, "exceeds")
    };
    let text = format!("The {quantity} {verb} the ceiling of the {whose}.");
    let finding = Finding::new(held.ceiling.code, severity, text);
    Some(finding.measured(value, unit).limit(held.ceiling.limit, unit).source(&held.ceiling.source))
}

fn no_guide_figure(facts: &Facts<'_>) -> Vec<Finding> {
    let stated = [
        (Quantity::HotSpot, facts.limits.hot_spot_c),
        (Quantity::TopOil, facts.limits.top_oil_c),
        (Quantity::Load, facts.limits.load_pu),
    ];
    let lacking = stated.iter().filter(|(_, figure)| figure.is_none());
    lacking
        .map(|(quantity, _)| {
            let text = format!(
                "The {} gives no {} ceiling for this size class.",
                facts.limits.title,
                quantity.in_words()
            );
            Finding::new(Code::NoGuideFigure, Severity::Caution, text).source(&facts.limits.source)
        })
        .collect()
}

fn metal_parts(facts: &Facts<'_>) -> Finding {
    let large = facts.unit.size_class == SizeClass::Large;
    let severity = if large { Severity::Caution } else { Severity::Notice };
    let text = if large {
        "Stray flux heats tank and frame of a large unit and may govern; it is not in the hot-spot model."
    } else {
        "Metal parts other than the winding are not in the hot-spot model."
    };
    let finding = Finding::new(Code::MetalNotModelled, severity, text);
    match facts.limits.metal_c {
        Some(limit_c) => finding.limit(limit_c, "°C"),
        None => finding,
    }
}

fn not_finite(_: &Facts<'_>, thermal: &ThermalFacts) -> Option<Finding> {
    let finite = thermal.hot_spot.value_c.is_finite() && thermal.top_oil.value_c.is_finite();
    (!finite).then(|| {
        Finding::new(
            Code::ThermalBroken,
            Severity::Unknown,
            "The thermal model gave no finite temperature.",
        )
    })
}

fn outside_load_range(_: &Facts<'_>, thermal: &ThermalFacts) -> Option<Finding> {
    let load = thermal.greatest_stage_load;
    if load <= MOST_STAGE_LOAD {
        return None;
    }
    let text = "The load is beyond what the model is meant for in the cooling stage in service.";
    Some(
        Finding::new(Code::OutsideLoadRange, Severity::Unknown, text)
            .measured(load, "pu of stage rating")
            .limit(MOST_STAGE_LOAD, "pu of stage rating"),
    )
}

fn typical_values(_: &Facts<'_>, thermal: &ThermalFacts) -> Option<Finding> {
    if thermal.typical.is_empty() && thermal.heat_run {
        return Some(Finding::new(
            Code::TypicalConstants,
            Severity::Pass,
            "Rises and losses come from the unit's heat run.",
        ));
    }
    let mut what = thermal.typical.clone();
    if !thermal.heat_run {
        what.push("no heat run is stated".to_owned());
    }
    let text = format!(
        "Rises or losses are not the unit's own ({}); the required margin is widened.",
        what.join("; ")
    );
    Some(Finding::new(Code::TypicalConstants, Severity::Caution, text))
}

fn typical_constants(_: &Facts<'_>, thermal: &ThermalFacts) -> Option<Finding> {
    let sets = thermal.constants.join(", ");
    let text = format!(
        "Exponents and time constants are typical unless the profile states its own: {sets}."
    );
    Some(Finding::new(Code::TypicalTimes, Severity::Notice, text))
}

fn typical_figures(_: &Facts<'_>, thermal: &ThermalFacts) -> Option<Finding> {
    let each = |own: &TypicalFigure| match own.hot_spot_k {
        k if k.is_finite() => format!("{} {k:.1} K", own.figure),
        _ => format!("{} unknown", own.figure),
    };
    let all: Vec<String> = thermal.typical_figures.iter().map(each).collect();
    (!all.is_empty()).then(|| {
        let text = format!(
            "No heat run states these figures of the detailed model, so typical ones are used. One standard uncertainty of each moves its hot spot by: {}.",
            all.join(", ")
        );
        Finding::new(Code::TypicalFigures, Severity::Notice, text)
    })
}

fn start(facts: &Facts<'_>, thermal: &ThermalFacts) -> Option<Finding> {
    let from = match facts.asked.history {
        Some(_) => "the load history",
        None => "the steady state at the preload",
    };
    let measured = match (facts.asked.top_oil_measured, facts.asked.history) {
        (true, _) => "with the measured top oil",
        (false, Some(_)) => "the top oil was not measured",
        (false, None) if thermal.later_start.is_some() => {
            "the top oil was not measured, so the worst of the possible starts is taken"
        }
        (false, None) => {
            "the top oil was not measured, so the hottest steady state that the cooling allows is taken"
        }
    };
    let text = format!("The overload begins from {from}; {measured}.");
    Some(Finding::new(Code::StartState, Severity::Notice, text))
}

/// A notice: it counts already, in every figure.
fn later_start(_: &Facts<'_>, thermal: &ThermalFacts) -> Option<Finding> {
    let start = thermal.later_start?;
    let from = start.load_before_pu.map_or_else(
        || "With cooler oil than that at the start".to_owned(),
        |load_pu| format!("After a lower load ({load_pu:.2} pu)"),
    );
    let why = if start.fans {
        "the fans start later and the hot spot gets"
    } else {
        "the hot spot overshoots and gets"
    };
    let text = format!("{from} {why} hotter than from the stated start; that counts.");
    Some(Finding::new(Code::LaterStart, Severity::Notice, text).measured(start.hotter_k, "K"))
}

/// Whoever asks for a hot day may think that a colder one is milder.
fn colder_day(facts: &Facts<'_>, _: &ThermalFacts) -> Option<Finding> {
    let day = facts.colder_day?;
    let text = format!(
        "A colder day leaves less: at {:.1} °C the fans start later. Ask for it too.",
        day.ambient_c
    );
    // A caution where it changes what the margin is worth.
    let left_k = facts.margin_low_k().map(|margin_k| margin_k - day.less_k);
    let enough = left_k.is_some_and(|left_k| left_k >= facts.required.caution_k);
    let severity = if enough { Severity::Notice } else { Severity::Caution };
    Some(Finding::new(Code::ColderDay, severity, text).measured(day.less_k, "K less"))
}

fn short_history(facts: &Facts<'_>, thermal: &ThermalFacts) -> Option<Finding> {
    let history = facts.asked.history?;
    let needed_min = OIL_TIME_CONSTANTS * thermal.slowest_min;
    if history.length_min >= needed_min {
        return None;
    }
    let text = "The load history is short: what came before it still shows in the oil, and counts as any load up to the rating.";
    let finding = Finding::new(Code::HistoryShort, Severity::Caution, text);
    Some(finding.measured(history.length_min, "min").limit(needed_min, "min"))
}

fn history_ambient(facts: &Facts<'_>, _: &ThermalFacts) -> Option<Finding> {
    let lacks = facts.asked.history.is_some_and(|history| !history.has_ambient);
    lacks.then(|| {
        let text = "The load history has no ambient of its own.";
        Finding::new(Code::HistoryAmbient, Severity::Caution, text)
    })
}

fn measured(_: &Facts<'_>, thermal: &ThermalFacts) -> Option<Finding> {
    let difference_k = thermal.measured_minus_computed_k?;
    let finding = if difference_k > AGREES_WITHIN_K {
        let text =
            "The measured top oil is above the computed one; the difference is carried forward.";
        Finding::new(Code::MeasuredHotter, Severity::Caution, text)
    } else if difference_k >= -AGREES_WITHIN_K {
        Finding::new(
            Code::MeasuredHotter,
            Severity::Pass,
            "The measured top oil agrees with the computed one.",
        )
    } else {
        let doubtful = difference_k < DOUBTFUL_BELOW_K;
        let severity = if doubtful { Severity::Caution } else { Severity::Notice };
        let text = "The measured top oil is below the computed one; no credit is taken.";
        Finding::new(Code::MeasuredCooler, severity, text)
    };
    Some(finding.measured(difference_k, "K").limit(AGREES_WITHIN_K, "K"))
}

/// Where the stages themselves are assumed, their own finding says so.
fn cooling_control(facts: &Facts<'_>, thermal: &ThermalFacts) -> Option<Finding> {
    let assumed = facts.unit.thermal.as_ref().and_then(Thermal::assumed);
    (thermal.control_unknown && assumed.is_none()).then(|| {
        let text = format!(
            "Nothing says which cooling stage is in service, so the weakest counts: {}.",
            thermal.stages_in_service.join(", ")
        );
        Finding::new(Code::StageUnknown, Severity::Caution, text)
    })
}

fn cooling_loss(facts: &Facts<'_>, thermal: &ThermalFacts) -> Option<Finding> {
    (facts.asked.cooling_lost && thermal.weakest_needs_auxiliaries).then(|| {
        let text = "Forced cooling is lost, and no stage is stated that does without it.";
        Finding::new(Code::CoolingLossUnanswered, Severity::Unknown, text)
    })
}

fn cooling_service(facts: &Facts<'_>, thermal: &ThermalFacts) -> Option<Finding> {
    if facts.asked.cooling_lost {
        let text = "Forced cooling is lost during the overload.";
        return Some(Finding::new(Code::CoolingLost, Severity::Caution, text));
    }
    if facts.asked.cooling_reduced {
        let stages = thermal.stages_in_service.join(", ");
        let text = format!("Cooling weaker than the rated stage is stated: {stages}.");
        return Some(Finding::new(Code::CoolingLost, Severity::Caution, text));
    }
    (!thermal.forced_stages.is_empty()).then(|| {
        let stages = thermal.forced_stages.join(", ");
        let text = format!(
            "The answer holds only while this cooling runs: {stages}. See it running at every reading."
        );
        Finding::new(Code::CoolingService, Severity::Notice, text)
    })
}

/// A notice and no caution: otherwise a colder day, which widens every margin, would give the
/// graver verdict.
fn cold_oil(_: &Facts<'_>, thermal: &ThermalFacts) -> Option<Finding> {
    (thermal.start_top_oil_c < COLD_OIL_C).then(|| {
        let text = "The oil is cold at the start and moves heat worse than the model assumes.";
        Finding::new(Code::ColdStart, Severity::Notice, text)
            .measured(thermal.start_top_oil_c, "°C")
            .limit(COLD_OIL_C, "°C")
    })
}

fn pumps(thermal: &ThermalFacts) -> Option<Finding> {
    thermal.pumps.then(|| {
        Finding::new(
            Code::PumpStaging,
            Severity::Notice,
            "Follow the maker's rule for staging the pumps.",
        )
    })
}
