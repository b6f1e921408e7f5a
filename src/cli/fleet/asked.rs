//! From flags to the contingency, and the hash of what every unit's answer depends on.

use super::super::clock::as_of;
use super::super::inputs::Inputs;
use super::shown::Format;
use super::{FleetArguments, HeatFlag};
use crate::assessment::case::Sampling;
use crate::fleet::contingency::{Contingency, ContingencyLoad, Heat, Limits};
use crate::fleet::whole::Asked;
use crate::input::InputError;
use crate::loading::units_asked::ask_of_duration;
use crate::rules::limits::{LimitSet, usual_set};
use crate::unit::SizeClass;
use crate::unit::defaults::Catalogue;

/// What is asked of every unit.
pub(super) struct Question {
    pub(super) contingency: Contingency,
    pub(super) asked: Asked,
    /// Of what all answers depend on; each unit adds its own.
    pub(super) inputs: Inputs,
    /// Whether loads are taken in the units that are stated, without a question.
    pub(super) units_confirmed: bool,
}

/// Puts the question together.
///
/// # Errors
/// [`InputError`] for a flag or a rules file that is refused.
pub(super) fn question(
    arguments: &FleetArguments,
    catalogue: &Catalogue,
) -> Result<Question, InputError> {
    let lacking = |flag: &str| InputError::new("fleet", format!("no {flag}"), flag);
    let duration_min = arguments.duration.ok_or_else(|| lacking("--for"))?;
    let load = match (arguments.load, arguments.times_peak) {
        (Some(load_pu), _) => ContingencyLoad::PerUnit(load_pu),
        (None, Some(times)) => ContingencyLoad::TimesPeak(times),
        (None, None) => return Err(lacking("--load or --times-peak")),
    };
    if !arguments.units_confirmed {
        ask_of_duration("--for", duration_min)?;
    }
    let mut inputs = Inputs::new("", catalogue);
    inputs.confirmed(arguments.units_confirmed);
    let local = inputs.local_rules(arguments.rules.as_deref())?;
    let set = arguments.limits.as_deref().unwrap_or_else(|| usual_set(duration_min));
    let contingency = Contingency {
        load,
        duration_min,
        ambient_c: arguments.ambient,
        preload_pu: arguments.preload,
        limits: limits(set, duration_min, catalogue)?,
        local,
        as_of: as_of(arguments.as_of, None),
        sampling: Sampling {
            draws: arguments.draws,
            seed: arguments.seed,
            why: false,
            ..Sampling::default()
        },
        heat: heat(arguments),
        largest: arguments.largest,
    };
    let asked = Asked::of(&contingency, set);
    inputs.add("fleet", &format!("{asked:?}"));
    Ok(Question { contingency, asked, inputs, units_confirmed: arguments.units_confirmed })
}

/// The set for each size class; refused if there is none for any.
fn limits(set: &str, duration_min: f64, catalogue: &Catalogue) -> Result<Limits, InputError> {
    let classes = [SizeClass::Distribution, SizeClass::Medium, SizeClass::Large];
    let all = classes.map(|class| (class, LimitSet::named(set, class, duration_min, catalogue)));
    match &all[..] {
        [(_, Err(error)), rest @ ..] if rest.iter().all(|(_, found)| found.is_err()) => {
            Err(error.clone())
        }
        _ => Ok(all.into()),
    }
}

fn heat(arguments: &FleetArguments) -> Heat {
    match arguments.heat {
        Some(flag) => flag.into(),
        None if arguments.shown.format == Format::Html => HeatFlag::Ambient.into(),
        None => Heat::None,
    }
}
