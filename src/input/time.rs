//! Instants and lengths of time from input files, checked where they enter.

use super::number::FOUND_ACCEPTED;
use super::text::checked;
use chrono::{DateTime, FixedOffset};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{self, Deserialize, Deserializer};
use std::borrow::Cow;

/// An instant with its zone, RFC 3339. With the line of the file it stood on, from 1.
#[derive(Debug, Clone, Copy)]
pub struct Instant(pub DateTime<FixedOffset>, pub usize);

impl Instant {
    /// What is accepted as one.
    pub const ACCEPTED: &'static str =
        "an RFC 3339 time with its zone, such as 2026-11-02T06:00:00+00:00";
}

impl<'de> Deserialize<'de> for Instant {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let (text, line) = checked(deserializer, |_| true, Self::ACCEPTED)?;
        DateTime::parse_from_rfc3339(&text)
            .map(|instant| Self(instant, line))
            .map_err(|_unparsed| refused(&text, Self::ACCEPTED))
    }
}

impl JsonSchema for Instant {
    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed("Instant")
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "string", "format": "date-time", "description": Self::ACCEPTED })
    }
}

/// A length of time with its unit, such as 8h, 5 days or 9 months; never negative, and finite.
/// A month is 30.44 days. With the line of the file it stood on, from 1.
#[derive(Debug, Clone, Copy)]
pub struct Span {
    /// Its length, min.
    pub minutes: f64,
    /// Line in the file.
    pub line: usize,
}

impl Span {
    /// What is accepted as one.
    pub const ACCEPTED: &'static str = "a length of time with its unit, such as 8h or 5 days";
}

impl<'de> Deserialize<'de> for Span {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let (text, line) = checked(deserializer, |_| true, Self::ACCEPTED)?;
        humantime::parse_duration(&text)
            .map(|span| Self { minutes: span.as_secs_f64() / 60.0, line })
            .map_err(|_unparsed| refused(&text, Self::ACCEPTED))
    }
}

impl JsonSchema for Span {
    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed("Span")
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "string", "minLength": 2, "description": Self::ACCEPTED })
    }
}

fn refused<E: de::Error>(text: &str, accepted: &str) -> E {
    E::custom(format!("\"{}\"{FOUND_ACCEPTED}{accepted}", super::shown(text)))
}
