//! From flags and files to what is asked of a plan.

use super::super::Failure;
use super::super::clock::{as_of, today};
use super::super::inputs::Inputs;
use super::{PlanArguments, Show};
use crate::assessment::case::{Case, Resolution, Sampling};
use crate::input::InputError;
use crate::loading::current::{InService, LoadBase};
use crate::loading::units_asked::{ask_of_planned, ask_of_work};
use crate::planning::answer::PlanQuestion;
use crate::planning::orders::{StandingOrders, orders, standing_question};
use crate::planning::plan::{Carried, Plan, PlanOption};
use crate::planning::templates::Common;
use crate::rating::inputs::{Given, InputPart, parts};
use crate::rules::limits::LimitSet;
use crate::rules::local_file::LocalRules;
use crate::unit::Unit;
use crate::unit::defaults::Catalogue;
use chrono::NaiveDate;
use std::path::PathBuf;

/// Preload of the standing orders where nobody says what is carried, pu.
const USUAL_PRELOAD_PU: f64 = 0.7;

/// Limit set of the standing orders.
const STANDING_LIMITS: &str = "iec-long-time-emergency";

/// What is asked, and the files that were read.
pub(super) struct Asked {
    /// Of the plan; `None` where only standing orders are asked for.
    pub(super) question: Option<PlanQuestion>,
    /// For the standing orders, where they are asked for.
    pub(super) standing: Option<Standing>,
    /// Name of the unit.
    pub(super) unit: String,
    pub(super) read: Vec<PathBuf>,
}

/// What standing orders are asked for.
#[derive(Clone)]
pub(super) struct Standing {
    template: Case,
    preload_pu: f64,
    today: NaiveDate,
    common: Common,
    again_months: Option<u32>,
    /// The inputs in parts.
    parts: Vec<InputPart>,
}

impl Standing {
    pub(super) fn orders(&self) -> StandingOrders {
        let question = standing_question(self.template.clone(), self.preload_pu);
        let orders = orders(&question, self.today, self.again_months);
        StandingOrders { inputs: self.parts.clone(), ..orders }
    }

    /// The same question of another unit, other rules and another day.
    pub(super) fn of(
        &self,
        unit: &Unit,
        local: Option<LocalRules>,
        day: Option<NaiveDate>,
        catalogue: &Catalogue,
    ) -> Result<Self, InputError> {
        let common = Common { local, as_of: day.or(self.common.as_of), ..self.common.clone() };
        let today = day.unwrap_or(self.today);
        Ok(Self {
            template: standing_case(&common, unit, catalogue)?,
            common,
            today,
            ..self.clone()
        })
    }
}

/// Reads every file and puts the question together.
///
/// # Errors
/// [`Failure`] for the first file or flag that is refused.
pub(super) fn asked(arguments: &PlanArguments, catalogue: &Catalogue) -> Result<Asked, Failure> {
    let shown = (arguments.show, arguments.ambient, arguments.preload, arguments.sample_again);
    let voltage = arguments.voltage_pu.map(|voltage| format!(" voltage {voltage:?}"));
    let voltage = voltage.unwrap_or_default();
    let flags = format!("{:?}{voltage}", (arguments.draws, arguments.seed, shown));
    let mut inputs = Inputs::new(&flags, catalogue).keeping_texts();
    let unit = at_voltage(inputs.unit(&arguments.unit, catalogue)?, arguments.voltage_pu.is_some());
    let of_unit = inputs.texts().to_vec();
    let plan = match &arguments.outages {
        Some(path) if arguments.show != Show::Orders || arguments.preload.is_none() => {
            Some(inputs.plan(path, catalogue, (Some(unit.clone()), arguments.voltage_pu))?)
        }
        None if arguments.show != Show::Orders => {
            let accepted = "a file of planned outages; only --show orders can do without";
            return Err(InputError::new("--outages", "nothing", accepted).into());
        }
        Some(_) | None => None,
    };
    if let Some((plan, path)) = plan.as_ref().zip(arguments.outages.as_deref())
        && !arguments.units_confirmed
    {
        ask_of_plan(&path.display().to_string(), plan)?;
    }
    inputs.confirmed(arguments.units_confirmed);
    let local = inputs.local_rules(arguments.rules.as_deref())?;
    let as_of = as_of(arguments.as_of, None);
    inputs.add("as of", &format!("{as_of:?}"));
    let options = options(arguments, &inputs, catalogue, plan.as_ref())?;
    let rules = arguments.rules.as_ref().and_then(|_| {
        let last = inputs.texts().iter().rev().find(|(name, _)| name == "rules");
        last.map(|(_, text)| text.clone())
    });
    let (inputs_sha256, read) = inputs.finish();
    let sampling = Sampling {
        draws: arguments.draws,
        seed: arguments.seed,
        why: false,
        ..Sampling::default()
    };
    let common = Common { local, as_of, inputs_sha256, sampling };
    let focus = plan.as_ref().and_then(|plan| plan.place_of(&unit.name));
    let standing = match arguments.show {
        Show::Orders | Show::All => {
            let normal = plan.as_ref().zip(focus).map(|(plan, own)| plan.greatest_normal_pu(own));
            let in_service = InService { voltage_pu: arguments.voltage_pu, ..InService::default() };
            let base = LoadBase::of(&unit, &in_service)?;
            let current = |load: f64| base.current("--preload", load);
            let stated = arguments.preload.map(current).transpose()?;
            let preload_pu = stated.or(normal).unwrap_or(USUAL_PRELOAD_PU);
            let texts = (of_unit.as_slice(), rules.as_deref());
            Some(standing((arguments, &common), &unit, preload_pu, texts, catalogue)?)
        }
        Show::Windows | Show::Derating | Show::Options => None,
    };
    let plan = plan.filter(|_| arguments.show != Show::Orders);
    let question = plan.zip(focus).map(|(plan, focus)| {
        let derating = matches!(arguments.show, Show::Derating | Show::All);
        let templates = common.templates(&plan, catalogue)?;
        let ambient_c = arguments.ambient;
        Ok::<_, InputError>(PlanQuestion { plan, templates, focus, ambient_c, derating, options })
    });
    Ok(Asked { question: question.transpose()?, standing, unit: unit.name, read })
}

/// Asks about every length of time of a plan that looks like one in another unit, and every such load.
fn ask_of_plan(place: &str, plan: &Plan) -> Result<(), InputError> {
    let ask = |key: &str, carried: &Carried| {
        let loads = carried.load.steps().iter().map(|step| step.1);
        let unit = &plan.units[carried.unit].unit;
        ask_of_planned(place, key, unit, loads.fold(0.0, f64::max))
    };
    let work = |key: &str, name: &str, minutes: Option<f64>| {
        minutes.map_or(Ok(()), |minutes| ask_of_work(place, key, name, minutes))
    };
    for outage in &plan.outages {
        work("outages.duration", &outage.name, Some(outage.duration_min))?;
        work("outages.recall", &outage.name, outage.recall_min)?;
    }
    plan.options.iter().try_for_each(|own| work("options.takes", &own.name, own.takes_min))?;
    let mut normal = plan.units.iter().map(|own| &own.normally);
    normal.try_for_each(|carried| ask("units.normally", carried))?;
    for outage in &plan.outages {
        outage.carries.iter().try_for_each(|carried| ask("outages.carries", carried))?;
        let mut trips = outage.next_trips.iter().flat_map(|trip| &trip.carries);
        trips.try_for_each(|carried| ask("outages.next_trip.carries", carried))?;
    }
    Ok(())
}

fn standing(
    (arguments, common): (&PlanArguments, &Common),
    unit: &Unit,
    preload_pu: f64,
    (of_unit, rules): (&[(String, String)], Option<&str>),
    catalogue: &Catalogue,
) -> Result<Standing, Failure> {
    let no_clock = || Failure::Internal("the clock stands before 1970".to_owned());
    let today = common.as_of.or_else(today).ok_or_else(no_clock)?;
    let (profile, files): (Vec<_>, Vec<_>) =
        of_unit.iter().cloned().partition(|(name, _)| name == "unit");
    // What no ceiling depends on, such as the months until the next sample, is no input of the ceilings.
    let voltage = arguments.voltage_pu.map(|voltage| format!(" voltage {voltage:?}"));
    let voltage = voltage.unwrap_or_default();
    let flags = format!("{:?}{voltage}", (arguments.draws, arguments.seed, preload_pu));
    let parts = parts(&Given {
        unit: profile.first().map_or("", |(_, text)| text.as_str()),
        files: &files,
        rules,
        catalogue,
        flags: &flags,
        as_of: Some(&today.to_string()),
    });
    Ok(Standing {
        template: standing_case(common, unit, catalogue)?,
        preload_pu,
        today,
        common: common.clone(),
        again_months: arguments.sample_again,
        parts,
    })
}

fn standing_case(common: &Common, unit: &Unit, catalogue: &Catalogue) -> Result<Case, InputError> {
    let limits = LimitSet::of_class(STANDING_LIMITS, unit.size_class, catalogue)?;
    let mut template = common.case(unit, limits);
    template.request.resolution = Resolution::Minutes;
    Ok(template)
}

/// The unit with nothing drawn for its voltage where that is known.
fn at_voltage(mut unit: Unit, known: bool) -> Unit {
    if known {
        unit.spread.load_percent = unit.spread.load_percent.clone().at_stated_voltage();
    }
    unit
}

/// The unit with each option, where options are asked for.
fn options(
    arguments: &PlanArguments,
    inputs: &Inputs,
    catalogue: &Catalogue,
    plan: Option<&Plan>,
) -> Result<Vec<(PlanOption, Unit)>, InputError> {
    if !matches!(arguments.show, Show::Options | Show::All) {
        return Ok(Vec::new());
    }
    let with = |option: &PlanOption| {
        let unit = inputs.unit_with(&arguments.unit, option, catalogue)?;
        let known = plan.is_some_and(|plan| plan.voltage_known);
        Ok((option.clone(), at_voltage(unit, known)))
    };
    plan.iter().flat_map(|plan| &plan.options).map(with).collect()
}
