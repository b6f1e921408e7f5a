//! Numbers that know their unit and range, checked where they enter.

use super::plain::is_other_than_decimal;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{self, Deserialize, Deserializer, Visitor};
use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;

/// Unit and accepted range of a number in an input file.
pub trait Range {
    /// Name for the JSON Schema.
    const NAME: &'static str;
    /// Unit in words or symbols, empty for a pure number.
    const UNIT: &'static str;
    /// Smallest accepted value.
    const LEAST: f64;
    /// Largest accepted value.
    const MOST: f64;
}

/// Declares a [`Range`]: `name: unit, least, most;`.
#[macro_export]
macro_rules! ranges {
    ($($(#[$doc:meta])* $name:ident: $unit:literal, $least:expr, $most:expr;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub enum $name {}
        impl $crate::input::number::Range for $name {
            const NAME: &'static str = stringify!($name);
            const UNIT: &'static str = $unit;
            const LEAST: f64 = $least;
            const MOST: f64 = $most;
        }
    )*};
}

/// What would be accepted, in words.
pub fn accepted<R: Range>() -> String {
    let unit = if R::UNIT.is_empty() { String::new() } else { format!(" ({})", R::UNIT) };
    format!("a number from {} to {}{unit}", R::LEAST, R::MOST)
}

/// Whether a value is inside the range; NaN is not.
pub fn inside<R: Range>(value: f64) -> bool {
    (R::LEAST..=R::MOST).contains(&value)
}

/// Reads a number with a range from plain text, as in a CSV cell or a flag.
///
/// # Errors
/// A description of what would be accepted.
pub fn parse<R: Range>(text: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(value) if inside::<R>(value) => Ok(value),
        _ => Err(accepted::<R>()),
    }
}

/// A number read from YAML, inside its range, with the line it stood on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number<R> {
    /// The number, in the range's unit.
    pub value: f64,
    /// Line in the file, from 1.
    pub line: usize,
    range: PhantomData<R>,
}

impl<R: Range> Number<R> {
    /// A number that was read before, with the line it stood on; `None` outside the range.
    pub fn stated(value: f64, line: usize) -> Option<Self> {
        inside::<R>(value).then_some(Self { value, line, range: PhantomData })
    }
}

/// What can stand where a number is wanted.
#[derive(Debug, Clone, PartialEq)]
pub enum Scalar {
    /// A number.
    Number(f64),
    /// A text, quoted or not.
    Text(String),
    /// Anything else, in words.
    Other(&'static str),
}

impl Scalar {
    /// The value in words, for errors.
    pub fn in_words(&self) -> String {
        match self {
            Self::Number(value) => value.to_string(),
            Self::Text(text) => format!("the text \"{}\"", super::shown(text)),
            Self::Other(words) => (*words).to_owned(),
        }
    }
}

/// Marks an error message as *found* + *accepted*, for [`super::yaml`] to take apart.
pub const FOUND_ACCEPTED: char = '\u{1f}';

impl<'de, R: Range> Deserialize<'de> for Number<R> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let scalar = serde_yaml::Spanned::<Scalar>::deserialize(deserializer)?;
        let line = usize::try_from(scalar.referenced.line()).unwrap_or(0);
        if let Scalar::Number(value) = scalar.value
            && inside::<R>(value)
        {
            return Ok(Self { value, line, range: PhantomData });
        }
        let mut found = scalar.value.in_words();
        let mut wanted = accepted::<R>();
        if let Scalar::Text(text) = &scalar.value
            && is_other_than_decimal(text)
        {
            found = super::shown(text);
            wanted.push_str(", in plain decimals such as 40 or 0.5");
        }
        Err(de::Error::custom(format!("{found}{FOUND_ACCEPTED}{wanted}")))
    }
}

impl<'de> Deserialize<'de> for Scalar {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(ScalarVisitor)
    }
}

struct ScalarVisitor;

impl<'de> Visitor<'de> for ScalarVisitor {
    type Value = Scalar;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a number")
    }
    fn visit_f64<E>(self, value: f64) -> Result<Scalar, E> {
        Ok(Scalar::Number(value))
    }
    #[allow(
        clippy::cast_precision_loss,
        reason = "ranges end far below 2^53, so a rounded huge integer is refused all the same"
    )]
    fn visit_u64<E>(self, value: u64) -> Result<Scalar, E> {
        Ok(Scalar::Number(value as f64))
    }
    #[allow(clippy::cast_precision_loss, reason = "see visit_u64")]
    fn visit_i64<E>(self, value: i64) -> Result<Scalar, E> {
        Ok(Scalar::Number(value as f64))
    }
    fn visit_bool<E>(self, value: bool) -> Result<Scalar, E> {
        Ok(Scalar::Other(if value { "true" } else { "false" }))
    }
    fn visit_str<E>(self, value: &str) -> Result<Scalar, E> {
        Ok(Scalar::Text(value.to_owned()))
    }
    fn visit_seq<A: de::SeqAccess<'de>>(self, mut list: A) -> Result<Scalar, A::Error> {
        while list.next_element::<de::IgnoredAny>()?.is_some() {}
        Ok(Scalar::Other("a list"))
    }
    fn visit_map<A: de::MapAccess<'de>>(self, mut map: A) -> Result<Scalar, A::Error> {
        while map.next_entry::<de::IgnoredAny, de::IgnoredAny>()?.is_some() {}
        Ok(Scalar::Other("keys with values"))
    }
    fn visit_unit<E>(self) -> Result<Scalar, E> {
        Ok(Scalar::Other("nothing"))
    }
}

impl<R: Range> JsonSchema for Number<R> {
    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed(R::NAME)
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "number",
            "minimum": R::LEAST,
            "maximum": R::MOST,
            "description": accepted::<R>(),
        })
    }
}
