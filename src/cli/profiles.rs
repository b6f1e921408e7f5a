//! The profiles of a folder, by the name of the unit in each.

use super::files::{MOST_YAML, read, yaml_files};
use crate::input::InputError;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Where the profile of a unit is, or why it cannot be said.
pub type Found = Result<PathBuf, InputError>;

/// The profiles of a folder by unit, sorted. A file that does not tell its unit goes by its own name.
///
/// # Errors
/// [`InputError`] if there is no profile, or the folder cannot be read.
pub fn profiles(folder: &Path) -> Result<BTreeMap<String, Found>, InputError> {
    let place = folder.display().to_string();
    if !folder.is_dir() {
        return Err(InputError::new(&place, "no folder", "a folder with unit profiles"));
    }
    let paths = yaml_files(folder)?;
    if paths.is_empty() {
        return Err(InputError::new(&place, "no profiles", "a folder with unit profiles"));
    }
    let mut found: BTreeMap<String, Found> = BTreeMap::new();
    for path in paths {
        let (name, own) = match read(&path, MOST_YAML) {
            Ok(text) => (unit_of(&text), Ok(path.clone())),
            Err(error) => (None, Err(error)),
        };
        let name = name.unwrap_or_else(|| inside(folder, &path));
        let own = match found.remove(&name) {
            None => own,
            Some(other) => Err(twice(folder, &name, &path, &other)),
        };
        found.insert(name, own);
    }
    Ok(found)
}

/// The name that a profile states, read from the line `unit:` at its top level. Only the strict reader
/// decides whether it is a valid one.
fn unit_of(text: &str) -> Option<String> {
    let stated = text.lines().find_map(|line| line.strip_prefix("unit:"))?;
    let stated = stated.split(" #").next().unwrap_or("").trim();
    let bare = stated.trim_matches(['"', '\'']);
    (!bare.is_empty()).then(|| bare.to_owned())
}

fn twice(folder: &Path, name: &str, path: &Path, other: &Found) -> InputError {
    let other = match other {
        Ok(other) => inside(folder, other),
        Err(error) => error.place.clone(),
    };
    let found = format!("the unit {name}, as in {other}");
    InputError::new(&inside(folder, path), found, "each unit in one profile").at_key("unit")
}

/// A path from the folder on: the same wherever the folder is.
pub fn inside(folder: &Path, path: &Path) -> String {
    path.strip_prefix(folder).unwrap_or(path).to_string_lossy().replace('\\', "/")
}

/// An error that names files from the folder on.
pub fn told_inside(folder: &Path, error: InputError) -> InputError {
    let before = format!("{}/", folder.display().to_string().trim_end_matches('/'));
    InputError {
        place: error.place.replace(&before, ""),
        found: error.found.replace(&before, ""),
        accepted: error.accepted.replace(&before, ""),
        ..error
    }
}
