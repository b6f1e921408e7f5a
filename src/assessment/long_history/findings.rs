//! What is to know and to mind about the answer to a history.

use super::LongHistory;
use super::answer::Bubbling;
use crate::rules::bubbling::without_a_load;
use crate::rules::catalogue::Code;
use crate::rules::cooling_data;
use crate::rules::finding::{Finding, Severity};
use crate::rules::liquid::ester_figures;
use crate::rules::moisture::evidence;
use crate::rules::thermal::MOST_STAGE_LOAD;
use crate::unit::{Auxiliaries, StageData};
use chrono::NaiveDate;

/// All findings, gravest first.
pub(super) fn findings(history: &LongHistory<'_>, bubbling: &Bubbling) -> Vec<Finding> {
    let paper = &history.paper;
    let unit = &history.question.unit;
    let counts = paper.facts.counting.map(|counting| counting.upper);
    let mut found = evidence(unit, &paper.facts);
    found.retain(|finding| finding.severity >= Severity::Caution);
    found.extend(without_a_load(paper.gas.as_ref(), paper.pressure, &paper.reading(counts)));
    let rules: [fn(&LongHistory<'_>, &Bubbling) -> Option<Finding>; 12] = [
        temperatures,
        margin,
        load_range,
        before_treatment,
        gaps,
        typical,
        ester,
        stage_unknown,
        ambient,
        start,
        cooling,
        moisture,
    ];
    found.extend(rules.iter().filter_map(|rule| rule(history, bubbling)));
    let used = |data: &StageData| history.used().any(|used| used.stage.name == data.stage.name);
    found.extend(cooling_data::findings(unit, history.question.stage.is_some(), used));
    found.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    found
}

impl LongHistory<'_> {
    /// The stages that were in service at any time.
    fn used(&self) -> impl Iterator<Item = &StageData> {
        let stages = self.plant.iter().flat_map(|(thermal, ..)| &thermal.stages);
        stages.zip(&self.tally.stages_used).filter(|(_, used)| **used).map(|(data, _)| data)
    }

    /// Figures that are typical and not the unit's own.
    pub(super) fn not_own(&self) -> Vec<String> {
        let typical = self.used().filter(|data| !data.typical.is_empty());
        let mut what: Vec<String> = typical
            .map(|data| format!("{}: typical {}", data.stage.name, data.typical.join(", ")))
            .collect();
        if self.plant.as_ref().is_some_and(|(thermal, ..)| thermal.heat_run.is_none()) {
            what.push("no heat run is stated".to_owned());
        }
        what
    }
}

fn temperatures(history: &LongHistory<'_>, _: &Bubbling) -> Option<Finding> {
    if history.plant.is_none() {
        let text = "No thermal data, so no hot spot.";
        return Some(Finding::new(Code::ThermalMissing, Severity::Unknown, text));
    }
    if history.tally.broken {
        let text = "The thermal model gave no finite temperature.";
        return Some(Finding::new(Code::ThermalBroken, Severity::Unknown, text));
    }
    history.tally.hot_spot().is_none().then(|| {
        let text = "The history has no ambient and none is stated, so no temperature is known.";
        Finding::new(Code::HistoryNoAmbient, Severity::Unknown, text)
    })
}

/// What was done is done: it forbids nothing, and where bubbles may have formed it says so plainly.
fn margin(history: &LongHistory<'_>, bubbling: &Bubbling) -> Option<Finding> {
    let margin_k = bubbling.margin_k.or(bubbling.margin_below_k)?;
    if margin_k < 0.0 {
        let assumed = history.tally.hot_spot().is_some_and(|hottest| hottest.assumed);
        let when = if assumed { ", in a state that is taken and not recorded" } else { "" };
        let text = format!(
            "The hot spot was above the temperature at which this paper bubbles{when}: the paper may have bubbled. Whether it did, and what follows, is for specialists to look into (licensed practice)."
        );
        let finding = Finding::new(Code::HistoryMayHaveBubbled, Severity::Caution, text);
        return Some(finding.measured(margin_k, "K"));
    }
    (bubbling.margin_k.is_some() && margin_k < bubbling.required_margin_k).then(|| {
        let text = "The margin to bubbling was below what an overload is held against.";
        Finding::new(Code::HistoryMargin, Severity::Caution, text)
            .measured(margin_k, "K")
            .limit(bubbling.required_margin_k, "K")
    })
}

fn load_range(history: &LongHistory<'_>, _: &Bubbling) -> Option<Finding> {
    let load = history.tally.greatest_stage_load;
    if load <= MOST_STAGE_LOAD {
        return None;
    }
    let text = "A load is beyond what the model is meant for in the cooling stage in service.";
    Some(
        Finding::new(Code::OutsideLoadRange, Severity::Unknown, text)
            .measured(load, "pu of stage rating")
            .limit(MOST_STAGE_LOAD, "pu of stage rating"),
    )
}

/// Drying and degassing make the paper look better than it was before them.
fn before_treatment(history: &LongHistory<'_>, _: &Bubbling) -> Option<Finding> {
    let unit = &history.question.unit;
    // What is still to come is left out of the evidence too.
    let done = |day: &NaiveDate| history.question.as_of.is_none_or(|as_of| *day <= as_of);
    let treated = unit.dried.into_iter().chain(unit.oil_treated).filter(done).max()?;
    let began = history.began();
    if began.is_some_and(|began| began > treated) {
        return None;
    }
    let text = match began {
        Some(_) => format!(
            "Paper or oil was treated on {treated}. Before it there was more water or gas than counts here, so that the margin was smaller than shown."
        ),
        None => format!(
            "Paper or oil was treated on {treated}, and without clock times nothing says what of this history came before it, with more water or gas and a smaller margin."
        ),
    };
    Some(Finding::new(Code::HistoryBeforeTreatment, Severity::Unknown, text))
}

fn gaps(history: &LongHistory<'_>, _: &Bubbling) -> Option<Finding> {
    let gaps = &history.span.gaps;
    (gaps.count > 0).then(|| {
        let text = "Nothing is known of some hours; they are not in any figure, and each stretch after them begins in the hotter of the state before and the hottest that its first load allows.";
        Finding::new(Code::HistoryGaps, Severity::Caution, text).measured(gaps.hours, "h")
    })
}

fn typical(history: &LongHistory<'_>, _: &Bubbling) -> Option<Finding> {
    let what = history.not_own();
    (!what.is_empty()).then(|| {
        let text = format!(
            "Rises or losses are not the unit's own ({}); the required margin is widened.",
            what.join("; ")
        );
        Finding::new(Code::TypicalConstants, Severity::Caution, text)
    })
}

fn ester(history: &LongHistory<'_>, _: &Bubbling) -> Option<Finding> {
    ester_figures(&history.question.unit)
}

fn stage_unknown(history: &LongHistory<'_>, _: &Bubbling) -> Option<Finding> {
    let (thermal, _, unknown) = history.plant.as_ref()?;
    (*unknown && thermal.assumed().is_none()).then(|| {
        let weakest = thermal.stages.first().map_or("", |data| data.stage.name.as_str());
        let text = format!(
            "Nothing says which cooling stage was in service, so the weakest counts: {weakest}."
        );
        Finding::new(Code::StageUnknown, Severity::Caution, text)
    })
}

fn ambient(history: &LongHistory<'_>, _: &Bubbling) -> Option<Finding> {
    let ambient_c = history.question.ambient_c?;
    let text = "The history has no ambient of its own; one is taken for all of it.";
    let finding = Finding::new(Code::HistoryAmbient, Severity::Caution, text);
    Some(finding.measured(ambient_c, "°C"))
}

fn start(history: &LongHistory<'_>, _: &Bubbling) -> Option<Finding> {
    let hottest = history.tally.hot_spot()?;
    Some(if hottest.assumed {
        let text = "The hottest moment is the beginning of a stretch, whose state nobody recorded: the hottest that its first load allows.";
        Finding::new(Code::HistoryStart, Severity::Caution, text)
    } else {
        let text =
            "The history begins in the hottest state that its first load and the cooling allow.";
        Finding::new(Code::HistoryStart, Severity::Notice, text)
    })
}

fn cooling(history: &LongHistory<'_>, _: &Bubbling) -> Option<Finding> {
    let forced = history.used().filter(|data| data.auxiliaries != Auxiliaries::None);
    let stages: Vec<&str> = forced.map(|data| data.stage.name.as_str()).collect();
    (!stages.is_empty()).then(|| {
        let text = format!(
            "The temperatures hold only if this cooling ran whenever it was called for: {}.",
            stages.join(", ")
        );
        Finding::new(Code::CoolingService, Severity::Notice, text)
    })
}

fn moisture(history: &LongHistory<'_>, bubbling: &Bubbling) -> Option<Finding> {
    bubbling.counting_moisture_percent?;
    let day = history.question.as_of.map_or_else(String::new, |day| format!(" on {day}"));
    let text = format!(
        "The water that counts{day} is taken for all of the history, in bulk paper and at the hot spot, with the gas of the last report."
    );
    Some(Finding::new(Code::HistoryMoisture, Severity::Notice, text))
}
