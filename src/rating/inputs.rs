//! What a table of ratings was computed from, kept in the answer, so that a later table can be held against
//! it and each difference traced to one of its inputs.

use crate::unit::defaults::Catalogue;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::fmt::Write;

/// Longer texts are kept as their hash alone, bytes.
pub const MOST_TEXT: usize = 256 << 10;

/// Name of the part that has the flags.
pub const FLAGS: &str = "flags";
/// Name of the part that has the local rules.
pub const RULES: &str = "rules";
/// Name of the part that has the program's version.
pub const VERSION: &str = "version";
/// Name of the part that has the day by which the age of evidence is judged.
pub const AS_OF: &str = "as-of";
/// What the names of files that the unit profile names begin with.
pub const FILE: &str = "file.";
/// What the names of profile files begin with, embedded ones or those in their place.
pub const PROFILES: &str = "profiles.";
/// The unit profile as a whole, where it cannot be cut into sections.
const UNIT: &str = "unit";
/// What the names of its sections begin with.
const SECTION: &str = "unit.";

/// A part of the inputs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct InputPart {
    /// `unit.KEY` for a section of the unit profile, `file.NAME` for a file that it names, `rules`,
    /// `profiles.PATH`, `flags`, `version` or `as-of`.
    pub name: String,
    /// SHA-256 of its text, hexadecimal.
    pub sha256: String,
    /// Its text; `null` for profile files and for what is longer than [`MOST_TEXT`].
    pub text: Option<String>,
}

impl InputPart {
    /// A part with its text, unless that is too long.
    pub fn of(name: &str, text: &str) -> Self {
        let kept = (text.len() <= MOST_TEXT).then(|| text.to_owned());
        Self { name: name.to_owned(), sha256: hash(text), text: kept }
    }

    /// Whether the hash is one, and that of the text.
    pub fn is_sound(&self) -> bool {
        let hexadecimal = |c: u8| c.is_ascii_digit() || (b'a'..=b'f').contains(&c);
        let is_hash = self.sha256.len() == 64 && self.sha256.bytes().all(hexadecimal);
        is_hash && self.text.as_ref().is_none_or(|text| self.sha256 == hash(text))
    }

    /// Whether it is the unit profile or a section of it.
    pub fn is_of_unit(&self) -> bool {
        self.name == UNIT || self.name.starts_with(SECTION)
    }
}

/// Whether another program, or other profile files beside it, would be needed to compute with an input of
/// this name as it was.
pub fn is_of_program(name: &str) -> bool {
    name == VERSION || name.starts_with(PROFILES)
}

/// Everything that a table of ratings is computed from.
#[derive(Debug, Clone, Copy)]
pub struct Given<'a> {
    /// Text of the unit profile.
    pub unit: &'a str,
    /// Files that it names: name in the profile, and text.
    pub files: &'a [(String, String)],
    /// Text of the local rules.
    pub rules: Option<&'a str>,
    /// The profile files in force.
    pub catalogue: &'a Catalogue,
    /// The flags that the answer depends on, as text.
    pub flags: &'a str,
    /// The day by which the age of evidence is judged.
    pub as_of: Option<&'a str>,
}

/// All inputs in parts, each name once: the sections of the profile in their order, then the rest.
pub fn parts(given: &Given<'_>) -> Vec<InputPart> {
    let mut parts = sections(given.unit);
    let files =
        given.files.iter().map(|(name, text)| InputPart::of(&format!("{FILE}{name}"), text));
    parts.extend(files);
    parts.extend(given.rules.map(|text| InputPart::of(RULES, text)));
    parts.push(InputPart::of(FLAGS, given.flags));
    parts.extend(given.as_of.map(|day| InputPart::of(AS_OF, day)));
    parts.push(InputPart::of(VERSION, env!("CARGO_PKG_VERSION")));
    parts.extend(given.catalogue.files().map(|(path, text)| InputPart {
        name: format!("{PROFILES}{path}"),
        sha256: hash(text),
        text: None,
    }));
    let mut seen = BTreeSet::new();
    // A file that two pieces of evidence name is read twice.
    parts.retain(|part| seen.insert(part.name.clone()));
    parts
}

/// The text of a unit profile from its sections; `None` where there are none, or one is kept as its hash
/// alone. Comments between sections are gone.
pub fn rejoin(parts: &[InputPart]) -> Option<String> {
    let texts: Option<Vec<&str>> =
        parts.iter().filter(|part| part.is_of_unit()).map(|part| part.text.as_deref()).collect();
    texts.filter(|texts| !texts.is_empty()).map(|texts| texts.concat())
}

/// The text of the part of this name.
pub fn text_of<'a>(parts: &'a [InputPart], name: &str) -> Option<&'a str> {
    parts.iter().find(|part| part.name == name)?.text.as_deref()
}

/// The files that the unit profile names, by their name there, as far as their texts are kept.
pub fn files(parts: &[InputPart]) -> impl Iterator<Item = (&str, &str)> {
    parts.iter().filter_map(|part| Some((part.name.strip_prefix(FILE)?, part.text.as_deref()?)))
}

/// A unit profile cut at its top-level keys.
///
/// A profile that is not written as such keys, each on a line of its own and once, is one part.
fn sections(text: &str) -> Vec<InputPart> {
    let mut found: Vec<(&str, String)> = Vec::new();
    for line in text.strip_prefix('\u{feff}').unwrap_or(text).lines() {
        let stray = !(line.trim().is_empty() || line.starts_with('#') || line.starts_with("---"));
        match (key(line), found.last_mut()) {
            (Some(key), _) => found.push((key, format!("{line}\n"))),
            (None, _) if line.starts_with('#') => {}
            (None, Some((_, section))) => {
                section.push_str(line);
                section.push('\n');
            }
            (None, None) if stray => return vec![InputPart::of(UNIT, text)],
            (None, None) => {}
        }
    }
    let names: BTreeSet<&str> = found.iter().map(|(key, _)| *key).collect();
    if found.is_empty() || names.len() < found.len() {
        return vec![InputPart::of(UNIT, text)];
    }
    let part = |(key, section): &(&str, String)| {
        InputPart::of(&format!("{SECTION}{key}"), &format!("{}\n", section.trim_end()))
    };
    found.iter().map(part).collect()
}

/// The key that a line begins with at its first column.
fn key(line: &str) -> Option<&str> {
    let (key, rest) = line.split_once(':')?;
    let is_key = key.starts_with(|c: char| c.is_ascii_alphabetic())
        && key.chars().all(|c| c.is_ascii_alphanumeric() || "_-".contains(c));
    (is_key && (rest.is_empty() || rest.starts_with([' ', '\t']))).then_some(key)
}

fn hash(text: &str) -> String {
    Sha256::digest(text.as_bytes()).iter().fold(String::new(), |mut hex, byte| {
        // Writing to a string cannot fail.
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}
