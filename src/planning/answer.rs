//! The answer of `plan`: what becomes of every outage.

use super::bought::{Bought, WithOption, bought};
use super::derating::{Derating, derating};
use super::orders::StandingOrders;
use super::outage::{Looked, OutageAnswer, answer as outage_answer};
use super::plan::{Plan, PlanOption};
use super::templates::Templates;
use crate::assessment::Tool;
use crate::rating::Paper;
use crate::rating::answer::paper;
use crate::rules::bubbling::without_draws;
use crate::rules::cooling_data;
use crate::rules::finding::Finding;
use crate::unit::Unit;
use rayon::iter::{IntoParallelRefIterator, ParallelIterator};
use serde::Serialize;

/// What every answer says.
pub const NOTICE: &str = "Within the entered forecasts and limits, for the transformers only. A calculation aid: it \
    authorises no outage and no overload; local operating rules, the maker's limits and licensed people decide.";

/// What is asked of a plan.
#[derive(Debug, Clone)]
pub struct PlanQuestion {
    /// The plan.
    pub plan: Plan,
    /// The cases of every unit of the plan.
    pub templates: Vec<Templates>,
    /// The place of the unit that is asked about.
    pub focus: usize,
    /// Ambient of the derating, °C; `None`: the highest of the forecast, up to the next five degrees.
    pub ambient_c: Option<f64>,
    /// Whether the derating is asked for.
    pub derating: bool,
    /// The unit with each option that is asked for.
    pub options: Vec<(PlanOption, Unit)>,
}

/// What becomes of a plan.
///
/// The JSON of `plan` is this structure; figures are unrounded, a `null` means "none" or "not known".
#[derive(Debug, Clone, Serialize)]
pub struct PlanAnswer {
    /// What computed it.
    pub tool: Tool,
    /// The unit that is asked about.
    pub unit: String,
    /// Where it stands.
    pub site: Option<String>,
    /// Its rated power, MVA.
    pub mva: f64,
    /// Name of the plan.
    pub plan: String,
    /// Currency of the costs.
    pub currency: Option<String>,
    /// SHA-256 of every input file and option.
    pub inputs_sha256: String,
    /// What it is and what it is not: [`NOTICE`].
    pub notice: &'static str,
    /// What was asked.
    pub asked: Asked,
    /// What must be acknowledged of every start.
    pub cautions: Vec<Finding>,
    /// How wet the paper is and when it bubbles.
    pub paper: Paper,
    /// Every outage, in the order of the plan.
    pub outages: Vec<OutageAnswer>,
    /// What the unit may carry against moisture; `null` unless asked for, or without moisture that counts.
    pub derating: Option<Derating>,
    /// What every option of the plan would buy; empty unless asked for.
    pub bought: Vec<Bought>,
    /// Load ceilings until the unit is dried; `null` unless asked for.
    pub orders: Option<StandingOrders>,
}

/// What was asked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Asked {
    /// First moment of the forecasts, RFC 3339.
    pub from: String,
    /// Last moment of the ambient forecast, RFC 3339.
    pub until: String,
    /// Limit set while an outage runs.
    pub limits: String,
    /// Limit set after the next trip.
    pub next_trip_limits: String,
    /// The local rules.
    pub local_rules: Option<String>,
    /// Voltage by which loads in MVA were turned into currents, pu of the rated one, the lowest where it changes;
    /// `null`: not stated.
    pub voltage_pu: Option<f64>,
    /// How wrong the current of the unit may be for a voltage that is not stated, % of it, one standard uncertainty;
    /// 0 where it is known.
    pub voltage_std_percent: f64,
    /// Draws of the uncertainties; 0 is none.
    pub draws: u32,
    /// Seed of the draws.
    pub seed: u32,
    /// The day by which the age of evidence is judged.
    pub as_of: Option<String>,
}

/// What must be acknowledged of every start: of the unit that is asked about, and what the cooling of the others leaves
/// open, with their names.
fn cautions(templates: &[Templates], focus: usize) -> Vec<Finding> {
    let own = &templates[focus].while_out;
    let mut found: Vec<Finding> =
        without_draws(own.request.sampling.draws > 0).into_iter().collect();
    found.extend(cooling_data::without_a_load(&own.unit, own.request.stage));
    for (_, other) in templates.iter().enumerate().filter(|(place, _)| *place != focus) {
        let case = &other.while_out;
        let of = cooling_data::without_a_load(&case.unit, case.request.stage);
        found.extend(of.into_iter().map(|finding| {
            let text = format!("{}: {}", case.unit.name, finding.text);
            Finding { text, ..finding }
        }));
    }
    found
}

/// Answers every outage of a plan.
pub fn planned(question: &PlanQuestion) -> PlanAnswer {
    let PlanQuestion { plan, templates, focus, .. } = question;
    let own = &templates[*focus].while_out;
    let looked: Vec<Looked<'_>> =
        plan.outages.par_iter().map(|outage| Looked::of(plan, outage, templates)).collect();
    let of = |looked| outage_answer(looked, templates, *focus);
    let outages: Vec<OutageAnswer> = looked.par_iter().map(of).collect();
    let with = |(option, unit): &(PlanOption, Unit)| {
        let with = WithOption { option, unit };
        bought((plan, &looked), (templates, *focus), &with)
    };
    let derated = question
        .derating
        .then(|| derating(plan, *focus, &templates[*focus], question.ambient_c))
        .flatten();
    PlanAnswer {
        tool: Tool::this(),
        unit: own.unit.name.clone(),
        site: own.unit.site.clone(),
        mva: own.unit.rated_mva,
        plan: plan.name.clone(),
        currency: plan.currency.clone(),
        inputs_sha256: own.inputs_sha256.clone(),
        notice: NOTICE,
        asked: Asked {
            from: plan.time(0.0),
            until: plan.time(plan.ambient_until_min),
            limits: plan.limits.clone(),
            next_trip_limits: plan.next_trip_limits.clone(),
            local_rules: own.local.as_ref().map(|local| local.name.clone()),
            voltage_pu: plan.voltage_pu,
            voltage_std_percent: own.request.load_error.voltage_std(),
            draws: own.request.sampling.draws,
            seed: own.request.sampling.seed,
            as_of: own.as_of.map(|day| day.to_string()),
        },
        cautions: cautions(templates, *focus),
        paper: paper(own),
        derating: derated,
        bought: question.options.iter().map(with).collect(),
        outages,
        orders: None,
    }
}
