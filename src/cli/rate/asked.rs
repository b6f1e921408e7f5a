//! From flags and files to what is asked of a rating.

use super::super::case::stage;
use super::super::clock::as_of;
use super::super::files::{MOST_CSV, open};
use super::super::inputs::{Hashed, Inputs};
use super::hashed::hashed_flags;
use super::{AmbientSteps, RateArguments};
use crate::assessment::case::{Case, Request, Sampling};
use crate::input::InputError;
use crate::input::table::{Table, Zero};
use crate::loading::ambient;
use crate::loading::current::{InService, LoadBase};
use crate::loading::load::STD_COLUMN;
use crate::loading::windings::WindingsCarried;
use crate::rating::inputs::{Given, InputPart, parts as input_parts};
use crate::rating::question::{Ambient, Question};
use crate::rating::season::{LEAST_DAYS, Seasons, seasons as read_seasons};
use crate::rules::limits::LimitSet;
use crate::unit::defaults::Catalogue;
use chrono::{DateTime, FixedOffset, NaiveDate};
use std::path::{Path, PathBuf};

/// Rows of a forecast that are rated: ten days of hours.
const MOST_ROWS: usize = 240;

/// A question, and where it comes from.
pub(super) struct Whole {
    pub(super) question: Question,
    /// The files that were read.
    pub(super) read: Vec<PathBuf>,
    /// The inputs in parts.
    pub(super) parts: Vec<InputPart>,
    pub(super) seasons: Option<Seasons>,
}

/// Reads every file and puts the question together.
///
/// # Errors
/// [`InputError`] for the first file or flag that is refused.
pub(super) fn question(
    arguments: &RateArguments,
    unit: &Path,
    catalogue: &Catalogue,
) -> Result<Whole, InputError> {
    let flags = hashed_flags(arguments);
    let mut inputs = Inputs::new(&flags, catalogue).keeping_texts();
    let unit = inputs.unit(unit, catalogue)?;
    let flag = ("--load-std", arguments.load_std);
    let load_error = unit.spread.load_percent.unless_stated(flag, (STD_COLUMN, None))?;
    let load_error = arguments.in_service.error(load_error);
    let base = arguments.in_service.base(&unit)?;
    let preloads_pu = preloads(arguments, &base)?;
    let forecast = forecast(arguments, &mut inputs)?;
    let seasons = seasons(arguments, &mut inputs)?;
    let flag = ("--ambient-std", arguments.ambient_std);
    let column = (ambient::STD_COLUMN, None);
    let ambient_error = unit.spread.ambient_k.unless_stated(flag, column)?;
    let local = inputs.local_rules(arguments.rules.as_deref())?;
    let sets: Result<Vec<LimitSet>, InputError> = arguments
        .limits
        .iter()
        .map(|name| LimitSet::of_class(name, unit.size_class, catalogue))
        .collect();
    let sets = each_once("--limits", sets?, |one, other| one.name == other.name)?;
    let stage = arguments.cooling.as_deref().map(|name| stage(&unit, name)).transpose()?;
    let as_of = as_of(arguments.as_of, None);
    inputs.add("as of", &format!("{as_of:?}"));
    let parts = parts(&inputs, catalogue, &flags, as_of);
    let (inputs_sha256, read) = inputs.finish();
    let set = sets
        .first()
        .cloned()
        .ok_or_else(|| InputError::new("--limits", "no limit set", "at least one"))?;
    let sampling = Sampling {
        draws: arguments.draws,
        seed: arguments.seed,
        why: false,
        ..Sampling::default()
    };
    // One load is asked for all windings.
    let windings = unit.three_windings.as_ref().map(|_| WindingsCarried::in_proportion());
    let request = Request {
        stage: stage.flatten(),
        dried_to_percent: arguments.dried_to,
        in_service: InService { windings, ..arguments.in_service.stated() },
        load_error,
        ambient_error,
        ..Request::of(&unit, sampling)
    };
    let question = Question {
        template: Case {
            unit,
            request,
            limits: set,
            local,
            as_of,
            inputs_sha256,
            water_as_percent: None,
        },
        durations_min: durations(arguments, forecast.is_some())?,
        ambients: match (forecast, &seasons) {
            (Some(rows), _) => rows,
            (None, Some(seasons)) => of_seasons(arguments, seasons)?,
            (None, None) => constant_ambients(arguments)?,
        },
        preloads_pu,
        sets,
    };
    Ok(Whole { question, read, parts, seasons })
}

/// The currents of the loads before, per unit; none is above the rated one.
fn preloads(arguments: &RateArguments, base: &LoadBase) -> Result<Vec<f64>, InputError> {
    let current = |load: &f64| {
        let current_pu = base.current("--preload", *load)?;
        if current_pu <= 1.0 {
            return Ok(current_pu);
        }
        let found = format!("{load} pu, {current_pu:.2} pu of the rated current");
        let accepted = "a load of at most the rated current at this voltage and tap";
        Err(InputError::new("--preload", found, accepted))
    };
    let found: Result<Vec<f64>, InputError> = arguments.preload.iter().map(current).collect();
    ascending("--preload", found?)
}

fn parts(
    inputs: &Inputs,
    catalogue: &Catalogue,
    flags: &str,
    as_of: Option<NaiveDate>,
) -> Vec<InputPart> {
    let texts = inputs.texts();
    let named = |name: &str| texts.iter().find(|own| own.0 == name).map(|own| own.1.as_str());
    let own = |name: &str| ["unit", "rules"].contains(&name);
    let files: Vec<_> = texts.iter().filter(|(name, _)| !own(name)).cloned().collect();
    let as_of = as_of.map(|day| day.to_string());
    input_parts(&Given {
        unit: named("unit").unwrap_or_default(),
        files: &files,
        rules: named("rules"),
        catalogue,
        flags,
        as_of: as_of.as_deref(),
    })
}

/// The ambients of the seasons, each once.
fn of_seasons(arguments: &RateArguments, seasons: &Seasons) -> Result<Vec<Ambient>, InputError> {
    let mut ambients: Vec<f64> =
        seasons.seasons.iter().filter_map(|season| season.ambient_c).collect();
    ambients.sort_by(f64::total_cmp);
    ambients.dedup();
    if ambients.is_empty() {
        let place = arguments.ambient_history.as_ref().map(|path| path.display().to_string());
        let accepted = format!("{LEAST_DAYS} days of a season at least, without gaps");
        return Err(InputError::new(
            &place.unwrap_or_default(),
            "no season with enough days",
            accepted,
        ));
    }
    Ok(ambients.into_iter().map(Ambient::constant).collect())
}

fn seasons(arguments: &RateArguments, inputs: &mut Inputs) -> Result<Option<Seasons>, InputError> {
    let Some(path) = &arguments.ambient_history else { return Ok(None) };
    let (file, _) = open(path)?;
    let (source, hash) = Hashed::new(file);
    let found = read_seasons(&path.display().to_string(), source, arguments.percentile)?;
    inputs.add_hashed("ambient history", path, hash.take());
    Ok(Some(found))
}

/// The shortest first, `continuous` last, each once.
fn durations(arguments: &RateArguments, forecast: bool) -> Result<Vec<Option<f64>>, InputError> {
    let minutes: Vec<f64> = arguments.durations.iter().filter_map(|duration| duration.0).collect();
    let timed = ascending("--for", minutes)?;
    let continuous = arguments.durations.iter().any(|duration| duration.0.is_none());
    // A forecast ends, and nothing is continuous under it.
    let last = (continuous && !forecast).then_some(None);
    Ok(timed.into_iter().map(Some).chain(last).collect())
}

fn constant_ambients(arguments: &RateArguments) -> Result<Vec<Ambient>, InputError> {
    let in_steps = |fahrenheit: bool| -> Vec<f64> {
        if fahrenheit {
            (6..=22).map(|step| (5.0 * f64::from(step) - 32.0) / 1.8).collect()
        } else {
            (0..=8).map(|step| 5.0 * f64::from(step)).collect()
        }
    };
    let ambients = match (&arguments.ambient, arguments.ambient_steps) {
        (Some(own), _) => ascending("--ambient", own.clone())?,
        (None, Some(AmbientSteps::FiveFahrenheit)) => in_steps(true),
        (None, Some(AmbientSteps::FiveCelsius) | None) => in_steps(false),
    };
    Ok(ambients.into_iter().map(Ambient::constant).collect())
}

fn ascending(flag: &str, mut values: Vec<f64>) -> Result<Vec<f64>, InputError> {
    values.sort_by(f64::total_cmp);
    each_once(flag, values, |one, other| one.to_bits() == other.to_bits())
}

fn each_once<T>(
    flag: &str,
    values: Vec<T>,
    same: impl Fn(&T, &T) -> bool,
) -> Result<Vec<T>, InputError> {
    let twice = (1..values.len()).any(|at| values[..at].iter().any(|one| same(one, &values[at])));
    if twice { Err(InputError::new(flag, "a value twice", "each value once")) } else { Ok(values) }
}

/// The surroundings from each row of a forecast on.
fn forecast(
    arguments: &RateArguments,
    inputs: &mut Inputs,
) -> Result<Option<Vec<Ambient>>, InputError> {
    let Some(path) = &arguments.ambient_file else { return Ok(None) };
    let text = inputs.read("ambient", path, MOST_CSV)?;
    let place = path.display().to_string();
    let from =
        |at: DateTime<FixedOffset>| ambient::from_csv(&place, &text, 0.0, &mut Zero(Some(at)));
    let begin = first_time(&place, &text)?;
    let whole = from(begin)?;
    let knots = whole.line.knots();
    // The reader adds one knot for what comes after the last row.
    let rows = &knots[..knots.len().saturating_sub(1)];
    let at = |row: &(f64, f64)| -> Result<Ambient, InputError> {
        #[allow(clippy::cast_possible_truncation, reason = "milliseconds within some years")]
        let shift = chrono::Duration::milliseconds((row.0 * 60_000.0).round() as i64);
        let found = from(begin + shift)?;
        let until_min = rows.last().map(|last| last.0 - row.0);
        Ok(Ambient {
            line: found.line,
            from_min: Some(row.0),
            forecast_until_min: until_min,
            error: found.error,
        })
    };
    rows.iter().take(MOST_ROWS).map(at).collect::<Result<Vec<_>, _>>().map(Some)
}

/// The instant of the first row.
fn first_time(place: &str, text: &str) -> Result<DateTime<FixedOffset>, InputError> {
    let table = Table::read(place, text, &["minute", "time", "ambient_c", ambient::STD_COLUMN])?;
    let accepted = "RFC 3339 times with their zone, so that a rating can begin at each row";
    let Some(column) = table.column("time") else {
        return Err(table.refused_whole("no column time", accepted));
    };
    let cell = table.cell(0, column);
    DateTime::parse_from_rfc3339(cell).map_err(|_unparsed| table.refused(0, column, cell, accepted))
}
