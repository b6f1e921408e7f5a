//! Windings and the other series elements of the facility, as they stand in the profile.

use crate::input::number::{FOUND_ACCEPTED, Number, Scalar, accepted, inside};
use crate::input::text::{Line, Name};
use crate::ranges;
use crate::unit::facility::ElementKind;
use crate::unit::profile::{AverageGradientK, GradientK, HotSpotFactor, Mva};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;
use serde::de::{self, Deserializer};
use std::borrow::Cow;

ranges! {
    /// Rated voltage of a winding.
    WindingKv: "kV, line to line", 0.1, 1500.0;
    /// Current.
    Ampere: "A", 0.1, 100_000.0;
    /// How long a current may flow.
    ElementMin: "min", 1.0, 10_080.0;
}

/// A winding.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WindingFile {
    /// Name, such as HV.
    pub name: Name,
    /// Rated voltage, kV, line to line; the rated current is the rated power / (√3 · kV), three-phase.
    pub kv: Number<WindingKv>,
    /// Rated power of this winding, MVA, where it is not that of the unit, as of a tertiary.
    pub mva: Option<Number<Mva>>,
    /// Hot-spot rise of this winding over top oil at its own rated current, K: H × gr. The unit's is the greatest of
    /// its windings'.
    pub hot_spot_gradient_k: Option<Number<GradientK>>,
    /// Average winding-to-oil gradient gr of this winding at its own rated current, K; in place of
    /// `hot_spot_gradient_k`.
    pub average_gradient_k: Option<Number<AverageGradientK>>,
    /// Hot-spot factor H of this winding; without it a typical one.
    pub hot_spot_factor: Option<Number<HotSpotFactor>>,
}

/// An element in series with the transformer, with the limits that its owner states.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SeriesElementFile {
    /// Name, such as 33 kV cable.
    pub name: Line,
    /// What it is.
    pub kind: ElementKind,
    /// The winding whose current it carries.
    pub winding: Name,
    /// Current that it carries for any time, A, or the word `unknown`.
    pub continuous_a: AmpereFile,
    /// Currents that it carries for a time; a time holds for every shorter one as well.
    #[serde(rename = "for")]
    pub short: Option<Vec<ShortFile>>,
}

/// What an element carries for a time.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ShortFile {
    /// How long, min.
    pub minutes: Number<ElementMin>,
    /// Current, A.
    pub a: Number<Ampere>,
}

/// A current, or the word `unknown`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AmpereFile {
    /// A.
    Amperes(f64),
    /// Not known.
    Unknown,
}

impl<'de> Deserialize<'de> for AmpereFile {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let found = Scalar::deserialize(deserializer)?;
        match found {
            Scalar::Number(a) if inside::<Ampere>(a) => Ok(Self::Amperes(a)),
            Scalar::Text(ref word) if word == "unknown" => Ok(Self::Unknown),
            Scalar::Number(_) | Scalar::Text(_) | Scalar::Other(_) => {
                let (found, accepted) = (found.in_words(), accepted::<Ampere>());
                Err(de::Error::custom(format!(
                    "{found}{FOUND_ACCEPTED}{accepted}, or the word unknown"
                )))
            }
        }
    }
}

impl JsonSchema for AmpereFile {
    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed("AmpereOrUnknown")
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let amperes = generator.subschema_for::<Number<Ampere>>();
        json_schema!({
            "description": "a current in A, or the word unknown",
            "anyOf": [ amperes, { "const": "unknown" } ],
        })
    }
}
