//! `check`: may this overload go ahead.

use super::files::{MOST_CSV, MOST_YAML, read};
use super::output::Output;
use super::{Failure, exit_code, flags};
use crate::assessment::assess;
use crate::assessment::case::{Case, Request, StartFrom};
use crate::input::table::Zero;
use crate::input::{InputError, shown};
use crate::loading::ambient;
use crate::loading::history::History;
use crate::loading::load::Loading;
use crate::report::{json, text};
use crate::rules::limits::{LimitSet, usual_set};
use crate::rules::local_file::read_local_rules;
use crate::thermal::schedule::AmbientLine;
use crate::unit::defaults::Catalogue;
use crate::unit::validate::read_unit;
use crate::unit::{Condition, Unit};
use chrono::{DateTime, FixedOffset};
use clap::{Args, ValueEnum};
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};

/// Flags of `check`.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Args)]
pub struct CheckArguments {
    /// Unit profile (YAML)
    unit: PathBuf,

    /// Overload, per unit of the rated current, constant; needs --for
    #[arg(long, value_name = "PU", value_parser = flags::positive_load, requires = "duration", conflicts_with = "loading", required_unless_present = "loading")]
    load: Option<f64>,

    /// Duration of the overload, with its unit: 45min, 2h, 1h 30min
    #[arg(long = "for", id = "duration", value_name = "DURATION", value_parser = flags::duration, requires = "load")]
    duration: Option<f64>,

    /// Load schedule (CSV: minute or time, load_pu or load_mva); its last row is the load that follows
    #[arg(long, value_name = "FILE")]
    loading: Option<PathBuf>,

    /// Load after the overload, per unit; without it the preload or the last load of the history
    #[arg(long, value_name = "PU", value_parser = flags::load)]
    after: Option<f64>,

    /// Steady load before the overload, per unit
    #[arg(long, value_name = "PU", value_parser = flags::load, conflicts_with = "history", required_unless_present = "history")]
    preload: Option<f64>,

    /// Load before the overload (CSV: minute up to 0 or time, load_pu or load_mva, ambient_c)
    #[arg(long, value_name = "FILE")]
    history: Option<PathBuf>,

    /// Ambient temperature, °C, constant
    #[arg(long, value_name = "C", value_parser = flags::ambient, allow_negative_numbers = true, conflicts_with = "ambient_file", required_unless_present = "ambient_file")]
    ambient: Option<f64>,

    /// Ambient forecast (CSV: minute or time, ambient_c)
    #[arg(long, value_name = "FILE")]
    ambient_file: Option<PathBuf>,

    /// The instant that is minute 0, RFC 3339; without it the first time of --loading
    #[arg(long, value_name = "TIME", value_parser = flags::instant)]
    start: Option<DateTime<FixedOffset>>,

    /// Top oil measured at minute 0, °C
    #[arg(long, value_name = "C", value_parser = flags::top_oil, allow_negative_numbers = true)]
    top_oil: Option<f64>,

    /// Cooling stage in service throughout, by its name; without it stages start by themselves
    #[arg(long, value_name = "STAGE")]
    cooling: Option<String>,

    /// Time from minute 0 at which forced cooling is lost, with its unit: 20min
    #[arg(long, value_name = "DURATION", value_parser = flags::duration)]
    cooling_lost_at: Option<f64>,

    /// Loading limits; without it IEC short-time below 30 min, else IEC long-time emergency
    #[arg(long, value_name = "SET")]
    limits: Option<String>,

    /// Local operating rules (YAML); they can only tighten
    #[arg(long, value_name = "FILE")]
    rules: Option<PathBuf>,

    /// Present condition, KEY=VALUE as in the profile; may be repeated
    #[arg(long, value_name = "KEY=VALUE", value_parser = flags::condition)]
    condition: Vec<Condition>,

    /// How to answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,

    /// Write the answer to a file
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// How to answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people.
    Text,
    /// For programs.
    Json,
}

/// Runs `check`.
///
/// # Errors
/// [`Failure`] if the input is refused or the answer cannot be written.
pub fn run(arguments: &CheckArguments, catalogue: &Catalogue) -> Result<u8, Failure> {
    let case = case(arguments, catalogue)?;
    let output = Output::open(arguments.out.as_deref())?;
    let assessment = assess(&case);
    let answer = match arguments.format {
        Format::Text => text::rendered(&assessment),
        Format::Json => {
            json::pretty(&assessment).map_err(|error| Failure::Internal(error.to_string()))?
        }
    };
    output.write(&answer)?;
    Ok(exit_code(assessment.verdict))
}

/// Reads every file and puts the question together.
fn case(arguments: &CheckArguments, catalogue: &Catalogue) -> Result<Case, InputError> {
    let mut inputs = Inputs::new(arguments, catalogue);
    let place = arguments.unit.display().to_string();
    let unit = read_unit(&place, &inputs.read("unit", &arguments.unit, MOST_YAML)?, catalogue)?;
    let mut zero = Zero(arguments.start);
    let loading = loading(arguments, &unit, &mut zero, &mut inputs)?;
    let start = start(arguments, &unit, &mut zero, &mut inputs)?;
    let loading = with_drop_back(arguments, loading, &start)?;
    let ambient = ambient_line(arguments, loading.end_min, &mut zero, &mut inputs)?;
    let set = arguments.limits.as_deref().unwrap_or_else(|| usual_set(loading.end_min));
    let limits = LimitSet::named(set, unit.size_class, loading.end_min, catalogue)?;
    let local = match &arguments.rules {
        None => None,
        Some(path) => Some(read_local_rules(
            &path.display().to_string(),
            &inputs.read("rules", path, MOST_YAML)?,
        )?),
    };
    let stage = arguments.cooling.as_deref().map(|name| stage(&unit, name)).transpose()?;
    Ok(Case {
        request: Request {
            loading,
            start,
            ambient,
            top_oil_c: arguments.top_oil,
            stage: stage.flatten(),
            cooling_lost_at_min: arguments.cooling_lost_at,
            condition: stated(&arguments.condition),
        },
        unit,
        limits,
        local,
        inputs_sha256: inputs.finish(),
    })
}

/// A proposed load; a constant one still lacks the load that follows it.
enum Proposed {
    Constant { load_pu: f64, duration_min: f64 },
    Schedule { place: String, text: String, rated_mva: f64, zero: Zero },
}

fn loading(
    arguments: &CheckArguments,
    unit: &Unit,
    zero: &mut Zero,
    inputs: &mut Inputs,
) -> Result<Proposed, InputError> {
    if let (Some(load_pu), Some(duration_min)) = (arguments.load, arguments.duration) {
        return Ok(Proposed::Constant { load_pu, duration_min });
    }
    let Some(path) = &arguments.loading else {
        return Err(InputError::new("check", "no load", "--load with --for, or --loading"));
    };
    let (place, text) = (path.display().to_string(), inputs.read("loading", path, MOST_CSV)?);
    let before = *zero;
    // Read once for the instant of minute 0, which the history's clock times need.
    Loading::from_csv(&place, &text, unit.rated_mva, Some(0.0), zero)?;
    Ok(Proposed::Schedule { place, text, rated_mva: unit.rated_mva, zero: before })
}

fn with_drop_back(
    arguments: &CheckArguments,
    proposed: Proposed,
    start: &StartFrom,
) -> Result<Loading, InputError> {
    let before = match start {
        StartFrom::Preload(load_pu) => *load_pu,
        StartFrom::History(history) => history.load.at(0.0),
    };
    let drop_back_pu = arguments.after.unwrap_or(before);
    match proposed {
        Proposed::Constant { load_pu, duration_min } => {
            Loading::constant(load_pu, duration_min, drop_back_pu)
        }
        Proposed::Schedule { place, text, rated_mva, mut zero } => {
            Loading::from_csv(&place, &text, rated_mva, Some(drop_back_pu), &mut zero)
        }
    }
}

fn start(
    arguments: &CheckArguments,
    unit: &Unit,
    zero: &mut Zero,
    inputs: &mut Inputs,
) -> Result<StartFrom, InputError> {
    match (&arguments.history, arguments.preload) {
        (Some(path), _) => {
            let text = inputs.read("history", path, MOST_CSV)?;
            History::from_csv(&path.display().to_string(), &text, unit.rated_mva, zero)
                .map(StartFrom::History)
        }
        (None, Some(load_pu)) => Ok(StartFrom::Preload(load_pu)),
        (None, None) => {
            Err(InputError::new("check", "no load before the overload", "--preload or --history"))
        }
    }
}

fn ambient_line(
    arguments: &CheckArguments,
    end_min: f64,
    zero: &mut Zero,
    inputs: &mut Inputs,
) -> Result<AmbientLine, InputError> {
    match (&arguments.ambient_file, arguments.ambient) {
        (Some(path), _) => {
            let text = inputs.read("ambient", path, MOST_CSV)?;
            ambient::from_csv(&path.display().to_string(), &text, end_min, zero)
        }
        (None, Some(ambient_c)) => Ok(AmbientLine::constant(ambient_c)),
        (None, None) => Err(InputError::new("check", "no ambient", "--ambient or --ambient-file")),
    }
}

/// The index of a named stage; `None` where the unit has no thermal data to name one.
fn stage(unit: &Unit, name: &str) -> Result<Option<usize>, InputError> {
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

/// Later statements win over earlier ones.
fn stated(conditions: &[Condition]) -> Condition {
    conditions.iter().fold(Condition::default(), |all, one| Condition {
        gas_relay_alarm: one.gas_relay_alarm.or(all.gas_relay_alarm),
        fault_gas: one.fault_gas.or(all.fault_gas),
        partial_discharge: one.partial_discharge.or(all.partial_discharge),
        oil_level: one.oil_level.or(all.oil_level),
    })
}

/// Reads files and hashes everything that the answer depends on.
struct Inputs {
    hash: Sha256,
}

impl Inputs {
    /// Begins with the program's version, the flags and the profile files in force.
    fn new(arguments: &CheckArguments, catalogue: &Catalogue) -> Self {
        let mut inputs = Self { hash: Sha256::new() };
        inputs.add("version", env!("CARGO_PKG_VERSION"));
        // Paths are left out: the same files elsewhere are the same inputs.
        let flags = format!(
            "{:?}",
            (
                (
                    arguments.load,
                    arguments.duration,
                    arguments.after,
                    arguments.preload,
                    arguments.ambient
                ),
                (arguments.start, arguments.top_oil, &arguments.cooling, arguments.cooling_lost_at),
                (&arguments.limits, &arguments.condition),
            )
        );
        inputs.add("flags", &flags);
        for (path, text) in catalogue.files() {
            inputs.add(path, text);
        }
        inputs
    }

    /// Lengths are hashed too, so that no two sets of inputs run into the same bytes.
    fn add(&mut self, name: &str, text: &str) {
        for part in [name, text] {
            self.hash.update((part.len() as u64).to_le_bytes());
            self.hash.update(part.as_bytes());
        }
    }

    fn read(&mut self, name: &str, path: &Path, most: u64) -> Result<String, InputError> {
        let text = read(path, most)?;
        self.add(name, &text);
        Ok(text)
    }

    fn finish(self) -> String {
        use std::fmt::Write;
        let bytes = self.hash.finalize();
        bytes.iter().fold(String::new(), |mut hex, byte| {
            // Writing to a string cannot fail.
            let _ = write!(hex, "{byte:02x}");
            hex
        })
    }
}
