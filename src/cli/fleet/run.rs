//! Every unit of a folder, on all processors, in memory that does not grow with the length of the loads.

use super::super::Failure;
use super::super::files::{MOST_CSV, open, read, yaml_files};
use super::super::output::Place;
use super::super::profiles::{Found, inside, profiles};
use super::FleetArguments;
use super::asked::{Question, question};
use super::journal::Journal;
use super::loads::{Loads, Next, Wanted};
use super::shown::{Format, exit_code};
use super::unit::{Rows, Shared};
use crate::fleet::part::{Head, WhichPart, written};
use crate::fleet::row::Row;
use crate::fleet::whole::Fleet;
use crate::input::InputError;
use crate::unit::defaults::Catalogue;
use indicatif::{ProgressBar, ProgressStyle};
use rayon::iter::{IntoParallelRefIterator, ParallelBridge, ParallelIterator};
use std::collections::{BTreeMap, HashMap, HashSet};
use std::io::{BufReader, IsTerminal};
use std::path::{Path, PathBuf};

/// Bytes of a long file that are read at a time.
const READ_AT_ONCE: usize = 1 << 18;

/// Computes the units of a folder, or of a part of it.
///
/// # Errors
/// [`Failure`] as the command's.
pub(super) fn run(
    arguments: &FleetArguments,
    catalogue: &Catalogue,
    own: Option<&Path>,
    place: &Place,
) -> Result<u8, Failure> {
    let which = which(arguments)?;
    let lacking = || InputError::new("fleet", "no folder", "a folder with unit profiles");
    let folder = arguments.folder.as_deref().ok_or_else(lacking)?;
    let question = question(arguments, catalogue)?;
    let units = profiles(folder)?;
    let own = own.map(yaml_files).transpose()?.unwrap_or_default();
    let found = units.values().filter_map(|found| found.as_ref().ok());
    let loads = arguments.loads.as_deref().map(files_of).transpose()?.unwrap_or_default();
    let read = found.chain(&own).chain(&arguments.rules).chain(&loads);
    let read: Vec<&Path> = read.chain(&arguments.journal).map(PathBuf::as_path).collect();
    let output = place.open(arguments.shown.out.as_deref(), &read)?;
    let journal = Journal::open(arguments.journal.as_deref())?;
    let shared = Shared { folder, catalogue, question: &question, journal: &journal };
    let progress = progress((0..units.len()).filter(|place| which.has(*place)).count());
    let run = Run { shared, units: &units, which, progress: &progress };
    let gone = run.through(arguments.loads.as_deref());
    progress.finish_and_clear();
    let (rows, strays) = gone?;
    let Question { asked, inputs, .. } = question;
    let (base_sha256, _) = inputs.finish();
    if arguments.shown.format == Format::Part {
        let code = exit_code(&rows, !strays.is_empty());
        let head = Head::new(which, base_sha256, asked, units.into_keys().collect(), strays);
        let internal = |error: serde_json::Error| Failure::Internal(error.to_string());
        output.write(&written(&head, rows).map_err(internal)?)?;
        return Ok(code);
    }
    arguments.shown.write(&Fleet::of(asked, &base_sha256, rows, strays), output)
}

/// Which part is asked for, and written as one.
fn which(arguments: &FleetArguments) -> Result<WhichPart, InputError> {
    if arguments.shown.format == Format::Part {
        arguments.shown.refuse_filters()?;
        return Ok(arguments.part.unwrap_or(WhichPart::WHOLE));
    }
    match arguments.part {
        None => Ok(WhichPart::WHOLE),
        Some(part) => {
            let accepted = "--format part with it: an answer about some of the units looks whole";
            Err(InputError::new("--part", part.to_string(), accepted))
        }
    }
}

/// A run over the units of one part.
struct Run<'a> {
    shared: Shared<'a>,
    units: &'a BTreeMap<String, Found>,
    which: WhichPart,
    progress: &'a ProgressBar,
}

impl Run<'_> {
    /// Every row, and the units that have loads and no profile.
    fn through(&self, loads: Option<&Path>) -> Result<(Vec<Row>, Vec<String>), Failure> {
        let mine: HashMap<&str, &Found> = self
            .units
            .iter()
            .enumerate()
            .filter(|(place, _)| self.which.has(*place))
            .map(|(_, (name, found))| (name.as_str(), found))
            .collect();
        match loads {
            None => Ok((self.each(&mine, |_| Ok(None))?, Vec::new())),
            Some(path) if path.is_dir() => {
                let rows = self.each(&mine, |name| in_folder(path, name))?;
                Ok((rows, self.strays_in(path)?))
            }
            Some(path) => self.long(path, mine),
        }
    }

    /// Units one by one, each with rows of its own.
    fn each(
        &self,
        units: &HashMap<&str, &Found>,
        rows: impl Fn(&str) -> Result<Option<Rows>, InputError> + Sync,
    ) -> Result<Vec<Row>, Failure> {
        let one =
            |(name, found): (&&str, &&Found)| self.done(self.shared.row(name, found, rows(name)));
        units.par_iter().map(one).collect()
    }

    /// Units in the order of a long file, then those that it does not have.
    fn long(
        &self,
        path: &Path,
        mut mine: HashMap<&str, &Found>,
    ) -> Result<(Vec<Row>, Vec<String>), Failure> {
        let (file, _) = open(path)?;
        let place = file_name(path);
        let wanted = |unit: &str| match (mine.contains_key(unit), self.units.contains_key(unit)) {
            (true, _) => Wanted::Yes,
            (false, true) => Wanted::Elsewhere,
            (false, false) => Wanted::Stray,
        };
        let source = BufReader::with_capacity(READ_AT_ONCE, file);
        let mut loads = Loads::new(&place, source, &wanted)?;
        let one = |next: Result<Next, InputError>| match next? {
            Next::Refused(unit, error) => Ok((self.shared.refused(&unit, error), true)),
            Next::Rows(block) => {
                let (text, first_line) = (block.text, block.first_line);
                let rows = Rows { place: place.clone(), text, first_line };
                let row = match mine.get(block.unit.as_str()) {
                    Some(found) => self.shared.row(&block.unit, found, Ok(Some(rows))),
                    None => return Err(Failure::Internal(format!("{} went away", block.unit))),
                };
                self.done(row).map(|row| (row, false))
            }
        };
        // Whoever is free reads on to the next unit; so only as many are in memory as are computed.
        let found: Result<Vec<(Row, bool)>, Failure> = (&mut loads).par_bridge().map(one).collect();
        let (strays, met) = loads.met();
        let mut rows = each_once(found?);
        mine.retain(|name, _| !met.contains_key(*name));
        rows.extend(self.each(&mine, |_| Ok(None))?);
        Ok((rows, strays))
    }

    fn done(&self, row: Result<Row, Failure>) -> Result<Row, Failure> {
        self.progress.inc(1);
        row
    }

    /// Files of a folder of loads that belong to no unit.
    fn strays_in(&self, folder: &Path) -> Result<Vec<String>, InputError> {
        let mut strays = Vec::new();
        for path in files_of(folder)? {
            let name = inside(folder, &path);
            let unit = name.strip_suffix(".csv");
            let stray = unit.filter(|unit| !self.units.contains_key(*unit));
            strays.extend(stray.map(str::to_owned));
        }
        Ok(strays)
    }
}

/// What came of the first rows of a unit does not stand once there are more of them elsewhere (`true`).
fn each_once(found: Vec<(Row, bool)>) -> Vec<Row> {
    let (again, rows): (Vec<_>, Vec<_>) = found.into_iter().partition(|(_, again)| *again);
    let mut again: Vec<Row> = again.into_iter().map(|(row, _)| row).collect();
    again.sort_by(|one, other| {
        (&one.unit, &one.governs.words).cmp(&(&other.unit, &other.governs.words))
    });
    again.dedup_by(|one, other| one.unit == other.unit);
    let refused: HashSet<String> = again.iter().map(|row| row.unit.clone()).collect();
    let rows = rows.into_iter().map(|(row, _)| row);
    rows.filter(|row| !refused.contains(&row.unit)).chain(again).collect()
}

/// A file of loads, or all files of a folder of them.
fn files_of(loads: &Path) -> Result<Vec<PathBuf>, InputError> {
    if !loads.is_dir() {
        return Ok(vec![loads.to_owned()]);
    }
    let unreadable = |error: std::io::Error| {
        let place = loads.display().to_string();
        InputError::new(&place, error.to_string(), "a folder that can be read")
    };
    let entries = loads.read_dir().map_err(unreadable)?;
    entries.map(|entry| entry.map(|entry| entry.path()).map_err(unreadable)).collect()
}

/// The rows of a unit in a folder of loads; `None` if it has none.
fn in_folder(folder: &Path, unit: &str) -> Result<Option<Rows>, InputError> {
    let path = folder.join(format!("{unit}.csv"));
    if !path.exists() {
        return Ok(None);
    }
    let place = file_name(&path);
    let text = read(&path, MOST_CSV)
        .map_err(|error| InputError { place: place.clone(), ..error })?
        .into_bytes();
    Ok(Some(Rows { place, text, first_line: 2 }))
}

fn file_name(path: &Path) -> String {
    path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}

/// A bar for a person who watches; nothing where nobody does.
fn progress(units: usize) -> ProgressBar {
    if !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let template = "{pos}/{len} units {wide_bar} {percent:>3} %  {elapsed_precise}, {eta} left";
    let style = ProgressStyle::with_template(template)
        .unwrap_or_else(|_broken| ProgressStyle::default_bar())
        .progress_chars("=> ");
    ProgressBar::new(units as u64).with_style(style)
}
