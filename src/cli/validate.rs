//! `validate`: check profile files without computing anything.

use super::Failure;
use super::files::{MOST_CSV, MOST_YAML, beside, read, yaml_files};
use super::output::print;
use super::plan_files::BesidePlan;
use crate::input::{InputError, yaml};
use crate::planning::read::read_plan;
use crate::rules::limits::LimitSetFile;
use crate::rules::local_file::read_local_rules;
use crate::unit::defaults::{Catalogue, CoolingFile, same_name};
use crate::unit::sources;
use crate::unit::usual_uncertainty;
use crate::unit::validate::read_unit_with;
use clap::Args;
use std::path::{Path, PathBuf};

/// Flags of `validate`.
#[derive(Debug, Args)]
pub struct ValidateArguments {
    /// A profile file, or a folder of them
    path: PathBuf,
}

/// Runs `validate`: a line for every valid file, an error for every other.
///
/// # Errors
/// [`Failure`] if any file is not valid.
pub fn run(arguments: &ValidateArguments, catalogue: &Catalogue) -> Result<u8, Failure> {
    if !arguments.path.is_dir() {
        let kind = check(&arguments.path, catalogue)?;
        print(&format!("valid {kind}: {}\n", arguments.path.display()))?;
        return Ok(0);
    }
    let files = yaml_files(&arguments.path)?;
    if files.is_empty() {
        return Err(InputError::new(
            &arguments.path.display().to_string(),
            "no .yaml file",
            "a folder with profile files",
        )
        .into());
    }
    let mut refused = 0;
    for path in &files {
        match check(path, catalogue) {
            Ok(kind) => print(&format!("valid {kind}: {}\n", path.display()))?,
            Err(error) => {
                refused += 1;
                print(&format!("not valid: {error}\n"))?;
            }
        }
    }
    if refused == 0 { Ok(0) } else { Err(Failure::Files(refused)) }
}

/// Checks one file by the kind that its first key tells.
fn check(path: &Path, catalogue: &Catalogue) -> Result<&'static str, InputError> {
    let (place, text) = (path.display().to_string(), read(path, MOST_YAML)?);
    let starts = |key: &str| text.lines().any(|line| line.starts_with(key));
    if starts("unit:") {
        let with = |name: &str| {
            let other = beside(path, name)?;
            Ok((other.display().to_string(), read(&other, MOST_CSV)?))
        };
        return read_unit_with(&place, &text, catalogue, &mut { with }).map(|_| "unit profile");
    }
    // A plan has the key limits too.
    if starts("plan:") {
        let mut files =
            BesidePlan { plan: path, read: |_: &str, path: &Path, most| read(path, most) };
        return read_plan(&place, &text, catalogue, &mut files, None).map(|_| "plan of outages");
    }
    if starts("rules:") {
        return read_local_rules(&place, &text).map(|_| "local rules");
    }
    if starts("limits:") {
        let file: LimitSetFile = yaml::read(&place, &text)?;
        return same_name(&place, &stem(path), &file.limits).map(|()| "limit set");
    }
    if starts("cooling:") {
        let file: CoolingFile = yaml::read(&place, &text)?;
        return same_name(&place, &stem(path), &file.cooling).map(|()| "cooling constants");
    }
    if starts("uncertainty:") {
        return usual_uncertainty::read(&place, &text).map(|_| "usual uncertainties");
    }
    if starts("sources:") {
        return sources::read(&place, &text).map(|_| "bibliography");
    }
    let accepted = "a file with one of the keys unit, plan, rules, limits, cooling, uncertainty, sources at its top level";
    Err(InputError::new(&place, "none of the keys that tell its kind", accepted))
}

fn stem(path: &Path) -> String {
    path.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned())
}
