//! From flags and files to what is asked of a plan.

use super::super::clock::as_of;
use super::super::inputs::Inputs;
use super::{PlanArguments, Show};
use crate::assessment::case::{Case, HotSpotMoisture, Request, Resolution, Sampling, StartFrom};
use crate::assessment::paper_life::DRIED_TO_PERCENT;
use crate::input::InputError;
use crate::loading::load::Loading;
use crate::planning::answer::PlanQuestion;
use crate::planning::parts::Templates;
use crate::planning::plan::{Plan, PlanOption};
use crate::rules::limits::{LimitSet, Quantity};
use crate::rules::local_file::LocalRules;
use crate::thermal::schedule::{AmbientLine, LoadSteps};
use crate::unit::defaults::Catalogue;
use crate::unit::{Condition, Unit};
use chrono::NaiveDate;
use std::path::PathBuf;

/// Reads every file and puts the question together.
///
/// # Errors
/// [`InputError`] for the first file or flag that is refused.
pub(super) fn question(
    arguments: &PlanArguments,
    catalogue: &Catalogue,
) -> Result<(PlanQuestion, Vec<PathBuf>), InputError> {
    let shown = (arguments.show, arguments.ambient);
    let flags = format!("{:?}", (arguments.draws, arguments.seed, shown));
    let mut inputs = Inputs::new(&flags, catalogue).keeping_texts();
    let unit = inputs.unit(&arguments.unit, catalogue)?;
    let name = unit.name.clone();
    let plan = inputs.plan(&arguments.outages, catalogue, Some(unit))?;
    let local = inputs.local_rules(arguments.rules.as_deref())?;
    let as_of = as_of(arguments.as_of, None);
    inputs.add("as of", &format!("{as_of:?}"));
    let options = options(arguments, &inputs, catalogue, &plan)?;
    let (inputs_sha256, read) = inputs.finish();
    let common = Common { arguments, local, as_of, inputs_sha256 };
    let templates: Result<Vec<Templates>, InputError> =
        plan.units.iter().map(|own| common.templates(&own.unit, &plan, catalogue)).collect();
    let focus = plan.units.iter().position(|own| own.name == name).unwrap_or(0);
    let derating = matches!(arguments.show, Show::Derating | Show::All);
    let ambient_c = arguments.ambient;
    let question =
        PlanQuestion { templates: templates?, plan, focus, ambient_c, derating, options };
    Ok((question, read))
}

/// The unit with each option, where options are asked for.
fn options(
    arguments: &PlanArguments,
    inputs: &Inputs,
    catalogue: &Catalogue,
    plan: &Plan,
) -> Result<Vec<(PlanOption, Unit)>, InputError> {
    if !matches!(arguments.show, Show::Options | Show::All) {
        return Ok(Vec::new());
    }
    let with = |option: &PlanOption| {
        Ok((option.clone(), inputs.unit_with(&arguments.unit, option, catalogue)?))
    };
    plan.options.iter().map(with).collect()
}

/// What all units have in common.
struct Common<'a> {
    arguments: &'a PlanArguments,
    local: Option<LocalRules>,
    as_of: Option<NaiveDate>,
    inputs_sha256: String,
}

impl Common<'_> {
    fn templates(
        &self,
        unit: &Unit,
        plan: &Plan,
        catalogue: &Catalogue,
    ) -> Result<Templates, InputError> {
        let case = |set: &str| -> Result<Case, InputError> {
            let limits = LimitSet::of_class(set, unit.size_class, catalogue)?;
            self.case(unit, limits)
        };
        Ok(Templates { while_out: case(&plan.limits)?, after_trip: case(&plan.next_trip_limits)? })
    }

    /// A case whose load, start and ambient are put in start by start.
    fn case(&self, unit: &Unit, limits: LimitSet) -> Result<Case, InputError> {
        let unordered = || InputError::new("plan", "times out of order", "ascending times");
        let load = LoadSteps::new(vec![(0.0, 1.0), (60.0, 0.0)]).ok_or_else(unordered)?;
        Ok(Case {
            unit: unit.clone(),
            request: Request {
                loading: Loading { load, end_min: 60.0 },
                start: StartFrom::Preload(0.0),
                ambient: AmbientLine::constant(0.0),
                forecast_until_min: None,
                top_oil_c: None,
                stage: None,
                cooling_lost_at_min: None,
                condition: Condition::default(),
                hot_spot: HotSpotMoisture::Bulk,
                dried_to_percent: DRIED_TO_PERCENT,
                load_error: unit.spread.load_percent.clone(),
                ambient_error: unit.spread.ambient_k.clone(),
                sampling: Sampling {
                    draws: self.arguments.draws,
                    seed: self.arguments.seed,
                    why: false,
                },
                resolution: self.resolution(),
            },
            limits,
            local: self.local.clone(),
            as_of: self.as_of,
            inputs_sha256: self.inputs_sha256.clone(),
            water_as_percent: None,
        })
    }

    /// Ageing is added up over what is sampled, so that a ceiling on it asks for every minute.
    fn resolution(&self) -> Resolution {
        let mut ceilings = self.local.iter().flat_map(|local| &local.ceilings);
        if ceilings.any(|ceiling| ceiling.quantity == Quantity::Ageing) {
            Resolution::Minutes
        } else {
            Resolution::Hours
        }
    }
}
