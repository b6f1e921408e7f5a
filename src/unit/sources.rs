//! The bibliography: every coefficient, default, limit and finding names an id in it.

use super::defaults::Catalogue;
use crate::input::{InputError, yaml};
use schemars::JsonSchema;
use serde::Deserialize;

/// The bibliography file.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SourcesFile {
    /// The sources.
    pub sources: Vec<Source>,
}

/// One source.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Stable id.
    pub id: String,
    /// Authors or issuing body.
    pub authors: String,
    /// Title.
    pub title: String,
    /// Year.
    pub year: String,
    /// Edition.
    pub edition: String,
    /// How we had it.
    pub how: How,
    /// What it is used for, and how far it can be trusted.
    pub note: String,
}

/// How a source was had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum How {
    /// Read in print.
    Read,
    /// Quoted elsewhere, or recomputed from published numbers.
    SecondHand,
    /// From memory: read the current text before relying on it.
    Memory,
    /// There is none.
    NoSource,
}

impl How {
    /// In words.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::SecondHand => "second-hand",
            Self::Memory => "from memory: read the current text before relying on it",
            Self::NoSource => "no source",
        }
    }
}

/// Reads a bibliography.
///
/// # Errors
/// [`InputError`] if it is not strictly one.
pub fn read(place: &str, text: &str) -> Result<Vec<Source>, InputError> {
    yaml::read::<SourcesFile>(place, text).map(|file| file.sources)
}

/// The embedded bibliography; a test makes sure that it can be read.
pub fn embedded() -> Vec<Source> {
    let catalogue = Catalogue::embedded();
    catalogue
        .text("sources.yaml")
        .and_then(|text| read("sources.yaml", text).ok())
        .unwrap_or_default()
}
