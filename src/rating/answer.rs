//! The ratings of one unit, with what they rest on.

use super::facility::facility_rating;
use super::protection::{Permitted, Protection, protection};
use super::question::{Ambient, Question};
use super::table::cells;
use super::{Asked, Cell, METHODOLOGY, NOTICE, Paper, RatedUnit, Ratings, SetUsed, Winding};
use crate::assessment::Tool;
use crate::assessment::basis::Basis;
use crate::assessment::case::Case;
use crate::assessment::course::cooling;
use crate::assessment::evaluation::Evaluation;
use crate::assessment::spread::GUARD_K;
use crate::quantities::{Celsius, MoisturePercent};
use crate::rules::bubbling::without_draws;
use crate::rules::cooling_data;
use crate::rules::facts::Facts;
use crate::rules::finding::Finding;
use crate::thermal::cooling::Control;

/// The ratings of the unit of a question.
///
/// `date` is the day for which it is asked, YYYY-MM-DD. No clock is looked at: the same question gives the same bytes.
pub fn rated(question: &Question, date: &str) -> Ratings {
    let unit = &question.template.unit;
    let windings = windings(question);
    let cells = facility_cells(question);
    let (asked, paper) = asked_and_paper(question);
    Ratings {
        tool: Tool::this(),
        methodology: METHODOLOGY,
        date: date.to_owned(),
        inputs_sha256: question.template.inputs_sha256.clone(),
        notice: NOTICE,
        assumptions: assumptions(question),
        cautions: cautions(question),
        unit: RatedUnit {
            name: unit.name.clone(),
            site: unit.site.clone(),
            mva: unit.rated_mva,
            windings,
        },
        asked,
        paper,
        protection: protected(question, &cells),
        cells,
        inputs: Vec::new(),
        water: None,
        capability: None,
        seasons: None,
        changes: None,
    }
}

/// Every cell, each with the rating of the facility.
pub fn facility_cells(question: &Question) -> Vec<Cell> {
    let windings = windings(question);
    let elements = &question.template.unit.series_elements;
    let mut cells = cells(question);
    for cell in &mut cells {
        cell.facility = facility_rating(cell, &windings, elements);
    }
    cells
}

/// What holds for every cell.
fn cautions(question: &Question) -> Vec<Finding> {
    let request = &question.template.request;
    let cooling = cooling_data::without_a_load(&question.template.unit, request.stage);
    without_draws(request.sampling.draws > 0).into_iter().chain(cooling).collect()
}

fn windings(question: &Question) -> Vec<Winding> {
    let own = question.template.unit.windings.iter();
    own.map(|winding| Winding {
        name: winding.name.clone(),
        kv: winding.kv,
        rated_a: winding.rated_a,
    })
    .collect()
}

/// What was asked and how wet the paper is, as an evaluation of any load sees them.
fn asked_and_paper(question: &Question) -> (Asked, Paper) {
    let request = &question.template.request;
    let case = question.any_case();
    let basis = Basis::of(&case);
    let evaluation = Evaluation::of(&case, &basis, &case.request.loading.load, None);
    let facts = &evaluation.facts;
    let paper = paper_of(facts);
    let set = |set: &crate::rules::limits::LimitSet| SetUsed {
        name: set.name.clone(),
        title: set.title.clone(),
        source: set.source.clone(),
    };
    let asked = Asked {
        durations_min: question.durations_min.clone(),
        ambients_c: question.ambients.iter().map(|ambient| ambient.line.at(0.0)).collect(),
        preloads_pu: question.preloads_pu.clone(),
        limits: question.sets.iter().map(set).collect(),
        local_rules: case.local.as_ref().map(|local| local.name.clone()),
        cooling: basis.plant.as_ref().map(|plant| match plant.cooling.control {
            Control::Fixed(stage) => plant.cooling.stages[stage].name.clone(),
            Control::Automatic => "automatic".to_owned(),
        }),
        required_margin_k: facts.required.no_go_k,
        voltage_pu: request.in_service.voltage_pu,
        voltage_std_percent: request.load_error.voltage_std(),
        tap: request.in_service.tap,
        windings: request.in_service.windings.as_ref().map(|carried| carried.governs),
        draws: request.sampling.draws,
        seed: request.sampling.seed,
        as_of: case.as_of.map(|day| day.to_string()),
    };
    (asked, paper)
}

/// How wet the paper of a case is and when it bubbles.
pub fn paper(case: &Case) -> Paper {
    let basis = Basis::of(case);
    let evaluation = Evaluation::of(case, &basis, &case.request.loading.load, None);
    paper_of(&evaluation.facts)
}

fn paper_of(facts: &Facts<'_>) -> Paper {
    let percent = |of: Option<MoisturePercent>| of.map(MoisturePercent::value);
    Paper {
        counting_moisture_percent: percent(facts.moisture.counting.map(|found| found.upper)),
        best_moisture_percent: percent(facts.moisture.counting.map(|found| found.best)),
        gas_percent: facts.bubbling.gas.map(|gas| gas.total.value()),
        inception_c: facts.bubbling.low.inception().map(Celsius::value),
        inception_best_c: facts.bubbling.best.inception().map(Celsius::value),
    }
}

/// What a reader of an export cannot see in its figures.
fn assumptions(question: &Question) -> Vec<String> {
    let mut all = vec![
        "Each rating is one constant load from a steady preload, after which the load drops back to it; a \
         continuous one is carried for two days at least, until the state no longer shows where it began."
            .to_owned(),
        "A rating holds for up to its preload, ambient and duration among those asked; where fans start by \
         themselves a colder or less loaded start can allow less, and then that counts."
            .to_owned(),
        "The paper at the hot spot is as wet as the moisture that counts; moisture, gas and condition are \
         those of the day of the question."
            .to_owned(),
    ];
    if question.template.request.sampling.draws > 0 {
        all.push(format!(
            "The verdict of each rating uses the lower of the margin with the moisture that counts and of the \
             5 % point of the margin over all draws, less {GUARD_K} K or more for their number."
        ));
    } else {
        all.push(
            "No cases were simulated: the margin counts the assessed moisture, and nothing else that is \
             uncertain is taken off it."
                .to_owned(),
        );
    }
    if question.template.unit.three_windings.is_some() {
        all.push(
            "One load counts for all windings, in proportion to the state that the rises hold for; a winding that \
             carries more than its share is hotter."
                .to_owned(),
        );
    }
    let thermal = question.template.unit.thermal.as_ref();
    let stage = question.template.request.stage;
    if thermal.is_some_and(|thermal| cooling(thermal, stage, None).1) {
        all.push("Nothing starts the cooling stages, so the weakest counts throughout.".to_owned());
    } else if stage.is_none() {
        all.push("Cooling stages start and stop by themselves and are in service.".to_owned());
    } else {
        all.push("The cooling stage stated is in service throughout.".to_owned());
    }
    all
}

/// The emergency loads held against the relays, at the coldest and at the warmest ambient.
fn protected(question: &Question, cells: &[Cell]) -> Vec<Protection> {
    let (Some(preload_pu), false) =
        (question.preloads_pu.first(), question.template.unit.relays.is_empty())
    else {
        return Vec::new();
    };
    let by_ambient =
        |one: &&Ambient, other: &&Ambient| one.line.at(0.0).total_cmp(&other.line.at(0.0));
    let ends =
        [question.ambients.iter().min_by(by_ambient), question.ambients.iter().max_by(by_ambient)];
    let mut ends: Vec<&Ambient> = ends.into_iter().flatten().collect();
    ends.dedup();
    let at = |ambient: &Ambient| {
        let case = question.case_for_relays(*preload_pu, ambient)?;
        Some(protection(&case, &permitted(question, cells, (*preload_pu, ambient))))
    };
    ends.into_iter().filter_map(at).collect()
}

/// The greatest load of any limit set for each duration.
fn permitted(
    question: &Question,
    cells: &[Cell],
    (preload_pu, ambient): (f64, &Ambient),
) -> Vec<Permitted> {
    let here = |cell: &&Cell| {
        cell.preload_pu.to_bits() == preload_pu.to_bits()
            && cell.from_min == ambient.from_min
            && cell.ambient_c.to_bits() == ambient.line.at(0.0).to_bits()
    };
    // With draws, what they take off and is not known must not pass for nothing.
    let unknown_k = if question.template.request.sampling.draws > 0 { f64::INFINITY } else { 0.0 };
    let of = |duration: &Option<f64>| {
        let own = cells.iter().filter(here).filter(|cell| cell.duration_min == *duration);
        let loads =
            own.filter_map(|cell| Some((cell.load_pu?, cell.allowance_k.unwrap_or(unknown_k))));
        let (load_pu, allowance_k) = loads.max_by(|a, b| a.0.total_cmp(&b.0))?;
        Some(Permitted { duration_min: *duration, load_pu, allowance_k })
    };
    question.durations_min.iter().filter_map(of).collect()
}
