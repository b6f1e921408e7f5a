//! From flags and files to one complete question.

use super::check::{CheckArguments, Format};
use super::clock::as_of;
use super::files::MOST_CSV;
use super::in_service;
use super::inputs::{Given, Inputs};
use super::units;
use crate::assessment::case::{Case, Request, Resolution, Sampling, StartFrom};
use crate::input::table::Zero;
use crate::input::{InputError, shown};
use crate::loading::ambient::{self, Forecast};
use crate::loading::current::LoadBase;
use crate::loading::history::History;
use crate::loading::load::{self, Proposal};
use crate::rules::limits::{LimitSet, usual_set};
use crate::thermal::schedule::AmbientLine;
use crate::unit::defaults::Catalogue;
use crate::unit::{Condition, Unit};
use chrono::{DateTime, FixedOffset};
use std::path::PathBuf;

/// One complete question, and what it was read from.
#[derive(Debug)]
pub struct Question {
    /// The question.
    pub case: Case,
    /// The instant that is minute 0, where it is stated.
    pub begins: Option<DateTime<FixedOffset>>,
    /// Every file that was read.
    pub read: Vec<PathBuf>,
    /// What stands in them, by the part that each plays: `unit`, `loading`, `ambient`, `history`, `rules`, and
    /// the files that the profile names.
    pub texts: Vec<(String, String)>,
}

/// Reads every file and puts the question together. Files among `given` are not looked for on disk.
///
/// # Errors
/// [`InputError`] for the first file or flag that is refused.
pub fn question(
    arguments: &CheckArguments,
    catalogue: &Catalogue,
    given: &Given,
) -> Result<Question, InputError> {
    let inputs = Inputs::new(&hashed_flags(arguments), catalogue).with_given(given);
    put_together(arguments, catalogue, inputs)
}

/// The same from these texts alone, and from files in these folders.
///
/// # Errors
/// As [`question`], and for a file that is neither.
pub fn question_of_texts(
    arguments: &CheckArguments,
    catalogue: &Catalogue,
    given: &Given,
    folders: &[PathBuf],
) -> Result<Question, InputError> {
    let inputs = Inputs::new(&hashed_flags(arguments), catalogue).with_only(given, folders);
    put_together(arguments, catalogue, inputs)
}

fn put_together(
    arguments: &CheckArguments,
    catalogue: &Catalogue,
    inputs: Inputs,
) -> Result<Question, InputError> {
    let mut inputs = inputs.keeping_texts();
    let unit = inputs.unit(&arguments.unit, catalogue)?;
    let mut zero = Zero(arguments.start);
    let base = arguments.in_service.base(&unit)?;
    let proposal = proposal(arguments, &base, &mut zero, &mut inputs)?;
    let of_windings = proposal.windings().cloned();
    let flag = ("--load-std", arguments.load_std);
    let column = (load::STD_COLUMN, proposal.error().cloned());
    let load_error = unit.spread.load_percent.unless_stated(flag, column)?;
    let start = start(arguments, &base, &mut zero, &mut inputs)?;
    let after = arguments.after.map(|load| base.current("--after", load)).transpose()?;
    let loading = proposal.followed_by(after, load_before(&start))?;
    let of_windings = in_service::windings(&base, of_windings, inputs.texts());
    let (in_service, voltage_known) = in_service::known(arguments, inputs.texts(), of_windings)?;
    let load_error = if voltage_known { load_error.at_stated_voltage() } else { load_error };
    let Forecast { line: ambient, error } =
        ambient_line(arguments, loading.end_min, &mut zero, &mut inputs)?;
    let flag = ("--ambient-std", arguments.ambient_std);
    let ambient_error = unit.spread.ambient_k.unless_stated(flag, (ambient::STD_COLUMN, error))?;
    if !arguments.units_confirmed {
        units::ask(arguments, (&base, loading.end_min), inputs.texts())?;
    }
    let set = arguments.limits.as_deref().unwrap_or_else(|| usual_set(loading.end_min));
    let limits = LimitSet::named(set, unit.size_class, loading.end_min, catalogue)?;
    let local = inputs.local_rules(arguments.rules.as_deref())?;
    let stage = arguments.cooling.as_deref().map(|name| stage(&unit, name)).transpose()?;
    let as_of = as_of(arguments.as_of, zero.0);
    inputs.add("as of", &format!("{as_of:?}"));
    inputs.confirmed(arguments.units_confirmed);
    let (inputs_sha256, read, texts) = inputs.finish_with_texts();
    let case = Case {
        request: Request {
            loading,
            start,
            preload_from_pu: base.current("--preload-from", preload_from(arguments)?)?,
            preload_varies: arguments.preload_varies,
            forecast_until_min: forecast_until(arguments, &ambient),
            ambient,
            top_oil_c: arguments.top_oil,
            stage: stage.flatten(),
            cooling_lost_at_min: arguments.cooling_lost_at,
            condition: stated(&arguments.condition)?,
            hot_spot: arguments.hot_spot_moisture.into(),
            dried_to_percent: arguments.dried_to,
            in_service,
            load_error,
            ambient_error,
            sampling: sampling(arguments),
            resolution: Resolution::Minutes,
        },
        unit,
        limits,
        local,
        as_of,
        inputs_sha256,
        water_as_percent: None,
    };
    Ok(Question { case, begins: zero.0, read, texts })
}

/// The flags that an answer depends on. Paths are left out: the same files elsewhere are the
/// same inputs.
fn hashed_flags(arguments: &CheckArguments) -> String {
    let steps = &arguments.step;
    let load = (arguments.load, arguments.duration, steps, arguments.after, arguments.preload);
    let around = (arguments.ambient, arguments.start, arguments.top_oil);
    let cooling = (&arguments.cooling, arguments.cooling_lost_at);
    let rest = (&arguments.limits, &arguments.condition);
    let moisture = (arguments.hot_spot_moisture, arguments.dried_to);
    // Asking why changes no figure, so that an answer and its written report have the same inputs.
    let sampling = Sampling { why: false, over_time: false, ..sampling(arguments) };
    let errors = (arguments.load_std, arguments.ambient_std, sampling);
    let hashed = format!("{:?}", (load, around, cooling, rest, moisture, errors));
    // Nothing where it is not given, so that questions of before keep their hash.
    let from = Some(arguments.preload_from).filter(|from_pu| *from_pu > 0.0);
    let from = from.map(|from_pu| format!(" preload from {from_pu:?}")).unwrap_or_default();
    let varies = if arguments.preload_varies { " preload varies" } else { "" };
    format!(
        "{hashed}{from}{varies}{}{}",
        arguments.in_service.hashed(),
        arguments.windings.hashed()
    )
}

/// A written report always says why, as far as there is anything to say.
fn sampling(arguments: &CheckArguments) -> Sampling {
    let over_time = arguments.format == Format::Html;
    let report = (arguments.out.is_some() || over_time) && arguments.draws > 0;
    let why = arguments.why || report;
    Sampling { draws: arguments.draws, seed: arguments.seed, why, over_time }
}

fn proposal(
    arguments: &CheckArguments,
    base: &LoadBase,
    zero: &mut Zero,
    inputs: &mut Inputs,
) -> Result<Proposal, InputError> {
    if !arguments.step.is_empty() {
        let current = |(load, lasts): &(f64, f64)| Ok((base.current("--step", *load)?, *lasts));
        let steps: Result<Vec<_>, InputError> = arguments.step.iter().map(current).collect();
        return Proposal::in_steps(&steps?);
    }
    let of_windings = &arguments.windings.winding_load;
    if let (false, Some(duration_min)) = (of_windings.is_empty(), arguments.duration) {
        let carried = base.carried("--winding-load", of_windings)?;
        let proposal = Proposal::constant(carried.counted_pu(), duration_min)?;
        return Ok(proposal.by_windings(carried));
    }
    match (&arguments.loading, arguments.load, arguments.duration) {
        (Some(path), _, _) => {
            let text = inputs.read("loading", path, MOST_CSV)?;
            Proposal::from_csv(&path.display().to_string(), &text, base.clone(), zero)
        }
        (None, Some(load_pu), Some(duration_min)) => {
            Proposal::constant(base.current("--load", load_pu)?, duration_min)
        }
        _ => Err(InputError::new(
            "check",
            "no load",
            "--load or --winding-load with --for, --step, or --loading",
        )),
    }
}

fn load_before(start: &StartFrom) -> f64 {
    match start {
        StartFrom::Preload(load_pu) => *load_pu,
        StartFrom::History(history) => history.load.at(0.0),
    }
}

fn start(
    arguments: &CheckArguments,
    base: &LoadBase,
    zero: &mut Zero,
    inputs: &mut Inputs,
) -> Result<StartFrom, InputError> {
    match (&arguments.history, arguments.preload) {
        (Some(path), _) => {
            let text = inputs.read("history", path, MOST_CSV)?;
            History::from_csv(&path.display().to_string(), &text, base.clone(), zero)
                .map(StartFrom::History)
        }
        (None, Some(load_pu)) => Ok(StartFrom::Preload(base.current("--preload", load_pu)?)),
        (None, None) => {
            Err(InputError::new("check", "no load before the overload", "--preload or --history"))
        }
    }
}

/// The least load before, no greater than the stated one.
fn preload_from(arguments: &CheckArguments) -> Result<f64, InputError> {
    let from_pu = arguments.preload_from;
    match arguments.preload {
        Some(load_pu) if !(from_pu <= load_pu) => {
            let accepted = format!("no more than --preload, {load_pu} pu");
            Err(InputError::new("--preload-from", format!("{from_pu} pu"), accepted))
        }
        Some(_) | None => Ok(from_pu),
    }
}

fn ambient_line(
    arguments: &CheckArguments,
    end_min: f64,
    zero: &mut Zero,
    inputs: &mut Inputs,
) -> Result<Forecast, InputError> {
    match (&arguments.ambient_file, arguments.ambient) {
        (Some(path), _) => {
            let text = inputs.read("ambient", path, MOST_CSV)?;
            ambient::from_csv(&path.display().to_string(), &text, end_min, zero)
        }
        (None, Some(ambient_c)) => {
            Ok(Forecast { line: AmbientLine::constant(ambient_c), error: None })
        }
        (None, None) => Err(InputError::new("check", "no ambient", "--ambient or --ambient-file")),
    }
}

/// A forecast ends where its own rows do; the reader adds one knot for what comes after.
fn forecast_until(arguments: &CheckArguments, ambient: &AmbientLine) -> Option<f64> {
    arguments.ambient_file.as_ref()?;
    let knots = ambient.knots();
    knots.len().checked_sub(2).map(|last| knots[last].0)
}

/// The index of a named stage; `None` where the unit has no thermal data to name one.
pub(super) fn stage(unit: &Unit, name: &str) -> Result<Option<usize>, InputError> {
    let Some(thermal) = &unit.thermal else {
        return Ok(None);
    };
    let found = thermal.stages.iter().position(|data| data.stage.name == name);
    found.map(Some).ok_or_else(|| {
        let names: Vec<&str> = thermal.stages.iter().map(|data| data.stage.name.as_str()).collect();
        InputError::new(
            "--cooling",
            shown(name),
            format!("a stage of this unit: {}", names.join(", ")),
        )
    })
}

/// All statements together; two about the same thing must agree.
fn stated(conditions: &[Condition]) -> Result<Condition, InputError> {
    let forward = conditions.iter().fold(Condition::default(), |all, one| one.or(all));
    let backward = conditions.iter().rev().fold(Condition::default(), |all, one| one.or(all));
    if forward == backward {
        return Ok(forward);
    }
    Err(InputError::new("--condition", "two statements that contradict each other", "each once"))
}
