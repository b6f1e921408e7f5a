//! The ratings of every unit in a folder.

use super::super::Failure;
use super::super::files::yaml_files;
use super::super::output::Output;
use super::{Format, RateArguments, Show, asked, one};
use crate::input::InputError;
use crate::rating::Ratings;
use crate::report::rate_folder::{self, NotRated};
use crate::unit::defaults::Catalogue;
use indicatif::{ProgressBar, ProgressStyle};
use std::io::IsTerminal;
use std::path::{Path, PathBuf};

/// What came of one profile.
enum Outcome {
    Rated(Box<Ratings>),
    NotRated(NotRated),
}

/// Rates every unit; says for each that could not be rated why.
///
/// # Errors
/// [`Failure`] if there is no profile or the answer cannot be written. Profiles that are refused are
/// reported, and then end it with exit code 2.
pub(super) fn run(
    arguments: &RateArguments,
    catalogue: &Catalogue,
    own: &[PathBuf],
) -> Result<u8, Failure> {
    let of_one = [
        ("--compare", arguments.compare.is_some()),
        ("--chart", arguments.chart.is_some()),
        ("--show", arguments.show != Show::Ratings),
    ];
    if let Some((flag, _)) = of_one.iter().find(|(_, stated)| *stated) {
        let accepted = "the profile of one unit with it";
        return Err(InputError::new(flag, "a folder of units", accepted).into());
    }
    let paths = yaml_files(&arguments.unit)?;
    if paths.is_empty() {
        let place = arguments.unit.display().to_string();
        return Err(InputError::new(&place, "no profiles", "a folder with unit profiles").into());
    }
    let inputs: Vec<&Path> = paths.iter().chain(own).map(PathBuf::as_path).collect();
    let output = Output::open(arguments.out.as_deref(), &inputs)?;
    let progress = progress(paths.len());
    let mut outcomes = Vec::with_capacity(paths.len());
    for path in &paths {
        progress.set_message(file_stem(path));
        outcomes.push(outcome(arguments, path, catalogue)?);
        progress.inc(1);
    }
    progress.finish_and_clear();
    let (mut rated, mut not_rated) = (Vec::new(), Vec::new());
    for outcome in outcomes {
        match outcome {
            Outcome::Rated(ratings) => rated.push(*ratings),
            Outcome::NotRated(why) => not_rated.push(why),
        }
    }
    output.write(&written(arguments, &rated, &not_rated)?)?;
    if arguments.format != Format::Text {
        anstream::eprint!("{}", rate_folder::not_rated(&not_rated));
    }
    let refused = not_rated.iter().filter(|unit| unit.refused).count();
    match (refused, not_rated.is_empty()) {
        (0, true) => Ok(0),
        (0, false) => Ok(4),
        (refused, _) => Err(Failure::Files(refused)),
    }
}

fn outcome(
    arguments: &RateArguments,
    path: &Path,
    catalogue: &Catalogue,
) -> Result<Outcome, Failure> {
    let not_rated = |why: String, refused: bool| {
        Outcome::NotRated(NotRated { unit: file_stem(path), why, refused })
    };
    let whole = match asked::question(arguments, path, catalogue) {
        Ok(whole) => whole,
        Err(error) => return Ok(not_rated(error.to_string(), true)),
    };
    let ratings = one::rated(arguments, &whole)?;
    let without = ratings.cells.iter().all(|cell| cell.load_pu.is_none());
    Ok(match ratings.cells.first().filter(|_| without) {
        Some(cell) => not_rated(cell.governs.words.clone(), false),
        None => Outcome::Rated(Box::new(ratings)),
    })
}

fn written(
    arguments: &RateArguments,
    rated: &[Ratings],
    not_rated: &[NotRated],
) -> Result<String, Failure> {
    if arguments.format == Format::Text {
        return Ok(rate_folder::rendered(rated, not_rated));
    }
    let rated: Vec<&Ratings> = rated.iter().collect();
    one::rendered(arguments, &rated)
}

/// The name under which a unit is reported where its profile cannot be read.
fn file_stem(path: &Path) -> String {
    path.file_stem()
        .map_or_else(|| path.display().to_string(), |stem| stem.to_string_lossy().into_owned())
}

fn progress(units: usize) -> ProgressBar {
    if !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let style = ProgressStyle::with_template("rating {pos}/{len} {wide_bar} {msg} {eta}");
    let bar = ProgressBar::new(units as u64);
    bar.set_style(style.unwrap_or_else(|_broken| ProgressStyle::default_bar()));
    bar
}
