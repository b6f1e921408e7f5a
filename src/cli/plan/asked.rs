//! From flags and files to what is asked of a plan.

use super::super::clock::as_of;
use super::super::inputs::Inputs;
use super::{PlanArguments, Show};
use crate::assessment::case::Sampling;
use crate::input::InputError;
use crate::planning::answer::PlanQuestion;
use crate::planning::plan::{Plan, PlanOption};
use crate::planning::templates::Common;
use crate::unit::Unit;
use crate::unit::defaults::Catalogue;
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
    let sampling = Sampling { draws: arguments.draws, seed: arguments.seed, why: false };
    let common = Common { local, as_of, inputs_sha256, sampling };
    let templates = common.templates(&plan, catalogue)?;
    let focus = plan.units.iter().position(|own| own.name == name).unwrap_or(0);
    let derating = matches!(arguments.show, Show::Derating | Show::All);
    let ambient_c = arguments.ambient;
    let question = PlanQuestion { templates, plan, focus, ambient_c, derating, options };
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
