//! Names and dates from input files, checked where they enter.

use super::number::FOUND_ACCEPTED;
use chrono::NaiveDate;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{self, Deserialize, Deserializer};
use std::borrow::Cow;
use std::fmt;

/// A calendar date written as YYYY-MM-DD.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date(pub NaiveDate);

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}

impl<'de> Deserialize<'de> for Date {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        NaiveDate::parse_from_str(&text, "%Y-%m-%d").map(Self).map_err(|_unparsed| {
            let found = super::shown(&text);
            de::Error::custom(format!("{found}{FOUND_ACCEPTED}a date as YYYY-MM-DD"))
        })
    }
}

impl JsonSchema for Date {
    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed("Date")
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "string", "format": "date", "description": "a date as YYYY-MM-DD" })
    }
}

/// A line of text for people: no control characters, at most 200 characters, not blank.
/// With the line of the file it stood on, from 1.
#[derive(Debug, Clone)]
pub struct Line(pub String, pub usize);

/// A short name: letters, digits, `-`, `_` and `.`, at most 40, beginning with a letter or digit.
/// With the line of the file it stood on, from 1.
#[derive(Debug, Clone)]
pub struct Name(pub String, pub usize);

impl Name {
    /// The name.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// A file in the folder of the file that names it, or below: a relative path with `/`.
/// With the line of the file it stood on, from 1.
#[derive(Debug, Clone)]
pub struct FileName(pub String, pub usize);

impl FileName {
    /// What is accepted as one.
    pub const ACCEPTED: &'static str =
        "a file in the profile's folder or below it, as a relative path with /";

    /// Whether a text names a file in the folder or below it, and nowhere else.
    pub fn fits(name: &str) -> bool {
        let plain = |part: &str| !part.is_empty() && part != "." && part != "..";
        name.split('/').all(plain) && !name.contains(['\\', ':', '~'])
    }
}

impl<'de> Deserialize<'de> for FileName {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let fits = |text: &str| {
            let printable = !text.chars().any(|c| c.is_control() || is_bidi(c));
            Self::fits(text) && printable && text.chars().count() <= 200
        };
        checked(deserializer, fits, Self::ACCEPTED).map(|(text, line)| Self(text, line))
    }
}

impl JsonSchema for FileName {
    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed("FileName")
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "string", "minLength": 1, "maxLength": 200, "description": Self::ACCEPTED })
    }
}

impl<'de> Deserialize<'de> for Line {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let printable = |text: &str| {
            let fits = text.chars().count() <= 200 && !text.trim().is_empty();
            fits && !text.chars().any(|c| c.is_control() || is_bidi(c))
        };
        checked(deserializer, printable, "one line of 1 to 200 printable characters")
            .map(|(text, line)| Self(text, line))
    }
}

impl<'de> Deserialize<'de> for Name {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let is_name = |text: &str| {
            text.len() <= 40
                && text.starts_with(|c: char| c.is_ascii_alphanumeric())
                && text.chars().all(|c| c.is_ascii_alphanumeric() || "-_.".contains(c))
        };
        checked(deserializer, is_name, "a name of 1 to 40 letters, digits, - _ .")
            .map(|(text, line)| Self(text, line))
    }
}

pub(super) fn checked<'de, D: Deserializer<'de>>(
    deserializer: D,
    fits: impl Fn(&str) -> bool,
    accepted: &str,
) -> Result<(String, usize), D::Error> {
    let text = serde_yaml::Spanned::<String>::deserialize(deserializer)?;
    if fits(&text.value) {
        return Ok((text.value, usize::try_from(text.referenced.line()).unwrap_or(0)));
    }
    let found = super::shown(&text.value);
    Err(de::Error::custom(format!("\"{found}\"{FOUND_ACCEPTED}{accepted}")))
}

/// Characters that reorder the text around them, and so could disguise a verdict.
pub fn is_bidi(c: char) -> bool {
    matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

impl JsonSchema for Line {
    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed("Line")
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "string", "minLength": 1, "maxLength": 200 })
    }
}

impl JsonSchema for Name {
    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed("Name")
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "string", "pattern": "^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$" })
    }
}
