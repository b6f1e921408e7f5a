//! What people say when an authorisation is recorded, checked before any long work.

use super::decision::{Decision, NotRecordable};
use crate::input::text::is_bidi;
use chrono::{DateTime, FixedOffset};

/// Longest name, characters.
pub const MOST_NAME: usize = 120;

/// Longest reason, repeat-back or note, characters.
pub const MOST_TEXT: usize = 2000;

/// What people say.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Statement {
    /// Who asked.
    pub asked_by: Option<String>,
    /// Who authorised or refused.
    pub authorised_by: Option<String>,
    /// Who received it.
    pub received_by: Option<String>,
    /// What the receiver repeated back.
    pub repeat_back: Option<String>,
    /// What was decided.
    pub decision: Decision,
    /// Why.
    pub reason: Option<String>,
    /// Codes of the findings that were acknowledged, one by one.
    pub acknowledged: Vec<String>,
    /// How the top oil was measured, and by whom.
    pub top_oil_by: Option<String>,
    /// Position of the tap changer.
    pub tap: Option<String>,
    /// By when the overload must have ended.
    pub required_end: Option<DateTime<FixedOffset>>,
}

impl Statement {
    /// The same with every text trimmed.
    ///
    /// # Errors
    /// [`NotRecordable`] for a blank or endless text, one with control characters, or a decision that nobody's name
    /// stands under.
    pub fn checked(self) -> Result<Self, NotRecordable> {
        let name = |field, text: Option<String>| {
            text.map(|text| line(field, &text, MOST_NAME)).transpose()
        };
        let words = |field, text: Option<String>| {
            text.map(|text| line(field, &text, MOST_TEXT)).transpose()
        };
        let codes = self.acknowledged.iter().map(|code| line("acknowledge", code, MOST_NAME));
        let checked = Self {
            asked_by: name("asked-by", self.asked_by)?,
            authorised_by: name("authorised-by", self.authorised_by)?,
            received_by: name("received-by", self.received_by)?,
            repeat_back: words("repeat-back", self.repeat_back)?,
            decision: self.decision,
            reason: words("reason", self.reason)?,
            acknowledged: codes.collect::<Result<_, _>>()?,
            top_oil_by: name("top-oil-by", self.top_oil_by)?,
            tap: name("tap", self.tap)?,
            required_end: self.required_end,
        };
        if checked.decision == Decision::GoAhead && checked.authorised_by.is_none() {
            return Err(NotRecordable::Nobody { what: "a go-ahead" });
        }
        Ok(checked)
    }
}

/// One line of text, trimmed.
///
/// # Errors
/// [`NotRecordable`] if it is blank, too long, or holds characters that control a terminal or turn text round.
pub fn line(field: &'static str, text: &str, most: usize) -> Result<String, NotRecordable> {
    let trimmed = text.trim();
    let printable = !trimmed.chars().any(|c| c.is_control() || is_bidi(c));
    if !trimmed.is_empty() && printable && trimmed.chars().count() <= most {
        return Ok(trimmed.to_owned());
    }
    Err(NotRecordable::Text { field, found: crate::input::shown(text), most })
}
