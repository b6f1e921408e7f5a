//! Reading files, and only regular text files of a sensible size.

use crate::input::InputError;
use crate::unit::defaults::Catalogue;
use std::collections::BTreeMap;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

/// Largest YAML file read, bytes.
pub const MOST_YAML: u64 = 1 << 20;
/// Largest CSV file read, bytes.
pub const MOST_CSV: u64 = 64 << 20;

/// Opens a regular file, and tells its length in bytes.
///
/// # Errors
/// [`InputError`] if it cannot be opened or is no regular file.
pub fn open(path: &Path) -> Result<(File, u64), InputError> {
    let place = path.display().to_string();
    let refused = |found: String, accepted: &str| InputError::new(&place, found, accepted);
    let metadata =
        path.metadata().map_err(|error| refused(error.to_string(), "a file that can be read"))?;
    if !metadata.is_file() {
        return Err(refused("no regular file".to_owned(), "a file"));
    }
    let file =
        File::open(path).map_err(|error| refused(error.to_string(), "a file that can be read"))?;
    Ok((file, metadata.len()))
}

/// Reads a text file.
///
/// # Errors
/// [`InputError`] if it cannot be opened, is no regular file, is too large or is not UTF-8.
pub fn read(path: &Path, most: u64) -> Result<String, InputError> {
    let place = path.display().to_string();
    let refused = |found: String, accepted: &str| InputError::new(&place, found, accepted);
    let (file, _) = open(path)?;
    let mut bytes = Vec::new();
    file.take(most + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| refused(error.to_string(), "a file that can be read"))?;
    if bytes.len() as u64 > most {
        return Err(refused(format!("more than {most} bytes"), &format!("at most {most} bytes")));
    }
    String::from_utf8(bytes).map_err(|error| {
        let good = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = good.split(|byte| *byte == b'\n').count();
        refused("bytes that are not UTF-8".to_owned(), "text in UTF-8").at_line(line)
    })
}

/// The path of a file that a profile names, whatever stands there.
pub fn next_to(profile: &Path, name: &str) -> PathBuf {
    match folder_of(profile) {
        folder if folder == Path::new(".") => PathBuf::from(name),
        folder => folder.join(name),
    }
}

fn folder_of(profile: &Path) -> &Path {
    match profile.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// A file that a profile names, in the profile's folder or below it.
///
/// # Errors
/// [`InputError`] if it does not exist, or a link leads out of the folder.
pub fn beside(profile: &Path, name: &str) -> Result<PathBuf, InputError> {
    let (folder, path) = (folder_of(profile), next_to(profile, name));
    let place = path.display().to_string();
    let named_in = format!("a file that can be read, named by {}", profile.display());
    let real = |path: &Path| {
        path.canonicalize().map_err(|error| InputError::new(&place, error.to_string(), &named_in))
    };
    if real(&path)?.starts_with(real(folder)?) {
        return Ok(path);
    }
    Err(InputError::new(&place, "a link that leads out of the profile's folder", named_in))
}

/// The embedded profiles, with those of a folder in their place.
///
/// # Errors
/// [`InputError`] if the folder or a file in it cannot be read.
pub fn catalogue(folder: Option<&Path>) -> Result<Catalogue, InputError> {
    let embedded = Catalogue::embedded();
    let Some(folder) = folder else {
        return Ok(embedded);
    };
    if !folder.is_dir() {
        let place = folder.display().to_string();
        return Err(InputError::new(&place, "no folder", "a folder").at_key("--profiles"));
    }
    let mut files = BTreeMap::new();
    for path in yaml_files(folder)? {
        let inside =
            path.strip_prefix(folder).unwrap_or(&path).to_string_lossy().replace('\\', "/");
        match inside.split('/').collect::<Vec<_>>()[..] {
            ["cooling" | "limits", _] if path.extension().is_some_and(|own| own == "yaml") => {
                files.insert(inside, read(&path, MOST_YAML)?);
            }
            ["uncertainty", "usual.yaml"] => {
                files.insert(inside, read(&path, MOST_YAML)?);
            }
            // They stand in such a folder too, and are not looked up by name.
            ["rules", _] | ["sources.yaml"] => {}
            _ => {
                let place = path.display().to_string();
                let accepted = "cooling/NAME.yaml, limits/NAME.yaml or uncertainty/usual.yaml in the folder of --profiles";
                return Err(InputError::new(&place, "a file that would be ignored", accepted));
            }
        }
    }
    if files.is_empty() {
        let place = folder.display().to_string();
        let accepted = "a folder with cooling/*.yaml, limits/*.yaml or uncertainty/usual.yaml";
        return Err(InputError::new(&place, "no profile files", accepted).at_key("--profiles"));
    }
    Ok(embedded.overridden_by(files))
}

/// Every YAML file below a folder, in order.
///
/// # Errors
/// [`InputError`] if a folder cannot be read.
pub fn yaml_files(folder: &Path) -> Result<Vec<PathBuf>, InputError> {
    let unreadable = |error: std::io::Error| {
        InputError::new(
            &folder.display().to_string(),
            error.to_string(),
            "a folder that can be read",
        )
    };
    let mut found = Vec::new();
    for entry in folder.read_dir().map_err(unreadable)? {
        let entry = entry.map_err(unreadable)?;
        let (path, kind) = (entry.path(), entry.file_type().map_err(unreadable)?);
        let is_yaml = path.extension().is_some_and(|ending| ending == "yaml" || ending == "yml");
        // Links to folders are not followed, so that a loop of them cannot go on for ever.
        if kind.is_dir() {
            found.extend(yaml_files(&path)?);
        } else if is_yaml {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}
