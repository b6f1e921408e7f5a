//! One entry of a record as plain data. It is written once as JSON, and never changed.

use super::decision::{Decision, Departure};
use chrono::{DateTime, FixedOffset, SecondsFormat, Utc};
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// An entry as it stands in its body.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// Its name, unique in the record: time and unit.
    pub id: String,
    /// When it was written.
    pub written: When,
    /// What it says.
    pub content: Content,
}

/// What an entry says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Content {
    /// What was asked, answered and decided.
    Authorisation(Box<Authorisation>),
    /// What came of it.
    AfterEvent(AfterEvent),
}

impl Content {
    /// Its kind, as the record's column and the ids have it.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Authorisation(_) => "authorisation",
            Self::AfterEvent(_) => "after-event",
        }
    }

    /// Name of the unit that it is about.
    pub fn unit(&self) -> &str {
        match self {
            Self::Authorisation(authorisation) => &authorisation.unit.name,
            Self::AfterEvent(after) => &after.unit,
        }
    }
}

/// An instant, twice: for order and for people.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct When {
    /// In UTC, RFC 3339, to the second.
    pub utc: String,
    /// Where it was written, with the zone's distance from UTC.
    pub local: String,
}

impl When {
    /// This instant.
    pub fn of(local: DateTime<FixedOffset>) -> Self {
        Self {
            utc: local.with_timezone(&Utc).to_rfc3339_opts(SecondsFormat::Secs, true),
            local: local.to_rfc3339_opts(SecondsFormat::Secs, false),
        }
    }
}

/// What was asked, answered and decided.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Authorisation {
    /// The transformer.
    pub unit: Identity,
    /// What was asked.
    pub question: Question,
    /// Every file that was read, whole.
    pub inputs: Vec<InputText>,
    /// The answer as data: the JSON of `check`.
    pub assessment: Value,
    /// The answer as people saw it.
    pub answer: String,
    /// What weighs in the answer, and whether it was acknowledged.
    pub cautions: Vec<Caution>,
    /// Who took part.
    pub people: People,
    /// What was decided.
    pub decision: Decision,
    /// Why.
    pub reason: Option<String>,
    /// Whether the decision departs from the answer.
    pub departure: Option<Departure>,
    /// The decision in words.
    pub in_words: String,
}

/// A transformer's names.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Identity {
    /// Short name, as in the profile.
    pub name: String,
    /// Where it stands.
    pub site: Option<String>,
    /// Serial number.
    pub serial: Option<String>,
}

/// What was asked, beside what the assessment says of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Question {
    /// The command that asks it again, with the day for which it was asked.
    pub command: Vec<String>,
    /// The proposed load: `(minute, pu)`, each until the next.
    pub steps: Vec<(f64, f64)>,
    /// End of the overload, min.
    pub end_min: f64,
    /// The instant that is minute 0, RFC 3339.
    pub start: Option<String>,
    /// By when the overload must have ended, RFC 3339.
    pub required_end: Option<String>,
    /// The load that follows, pu.
    pub drop_back_pu: f64,
    /// How the top oil was measured, and by whom.
    pub top_oil_by: Option<String>,
    /// Position of the tap changer.
    pub tap: Option<String>,
    /// The day for which it was asked.
    pub as_of: Option<String>,
}

/// A file that was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct InputText {
    /// The part it plays: `unit`, `loading`, `ambient`, `history`, `rules`, or as the profile names it.
    pub part: String,
    /// Its path, as it was named.
    pub name: String,
    /// SHA-256 of its text, in hexadecimal.
    pub sha256: String,
    /// Its text.
    pub text: String,
}

impl InputText {
    /// A file with the hash of its text.
    pub fn new(part: &str, name: &str, text: &str) -> Self {
        Self {
            part: part.to_owned(),
            name: name.to_owned(),
            sha256: super::chain::sha256(text),
            text: text.to_owned(),
        }
    }
}

/// A finding that weighs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Caution {
    /// Its code.
    pub code: String,
    /// Whether somebody acknowledged it.
    pub acknowledged: bool,
    /// What it says, where it was found when the decision was recorded and is no part of the answer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub text: Option<String>,
}

/// Who took part.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct People {
    /// Who asked.
    pub asked_by: Option<String>,
    /// Who authorised or refused.
    pub authorised_by: Option<String>,
    /// Who received it.
    pub received_by: Option<String>,
    /// What the receiver repeated back.
    pub repeat_back: Option<String>,
}

/// What came of an authorised overload.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AfterEvent {
    /// Id of the authorisation.
    pub of: String,
    /// Name of the unit.
    pub unit: String,
    /// Who says so.
    pub by: String,
    /// Greatest load that was carried, pu.
    pub load_pu: Option<f64>,
    /// Highest reading of the top oil, °C.
    pub peak_top_oil_c: Option<f64>,
    /// Highest reading of the hot spot, °C.
    pub peak_hot_spot_c: Option<f64>,
    /// When it ended, RFC 3339.
    pub ended: Option<String>,
    /// Whether an oil sample is booked.
    pub oil_sample: Option<OilSample>,
    /// Anything else.
    pub note: Option<String>,
}

/// Whether an oil sample is booked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum OilSample {
    /// For this day, YYYY-MM-DD.
    Booked(String),
    /// None is.
    NotBooked,
}
