//! What may be recorded: rules about decisions, nothing about transformers.

use super::entry::Caution;
use super::judged_day;
use super::statement::Statement;
use crate::input::{InputError, shown};
use crate::rules::finding::{Finding, Severity};
use crate::rules::verdict::Verdict;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// What was decided.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Decision {
    /// The overload may be carried.
    GoAhead,
    /// It may not.
    Refused,
    /// Nothing yet: it was only asked.
    #[default]
    None,
}

/// A decision that departs from the answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Departure {
    /// Authorised although the answer does not permit it.
    Overridden,
    /// Refused although the answer permits it.
    RefusedAGo,
}

/// Why an authorisation is not recorded.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotRecordable {
    /// A text that is blank, too long or not printable.
    #[error("--{field}: \"{found}\" is not a line of 1 to {most} printable characters")]
    Text {
        /// The field.
        field: &'static str,
        /// What was found, shortened.
        found: String,
        /// Most characters.
        most: usize,
    },
    /// No name stands under a decision.
    #[error("nobody's name stands under {what}")]
    Nobody {
        /// What was to be recorded.
        what: &'static str,
    },
    /// A decision that departs from the answer without a reason.
    #[error("no reason for {what} where the answer is {answer}")]
    NoReason {
        /// What was to be recorded.
        what: &'static str,
        /// The answer.
        answer: &'static str,
    },
    /// Something that the answer does not show was acknowledged.
    #[error("{code} was acknowledged, and is not among what weighs: {shown}")]
    NotShown {
        /// The code, shortened.
        code: String,
        /// The codes that weigh.
        shown: String,
    },
    /// Something that weighs was not acknowledged.
    #[error("not acknowledged: {codes}")]
    NotAcknowledged {
        /// The codes.
        codes: String,
    },
}

impl From<NotRecordable> for InputError {
    fn from(error: NotRecordable) -> Self {
        match error {
            NotRecordable::Text { field, found, most } => {
                let accepted =
                    format!("one line of 1 to {most} characters, without control characters");
                Self::new(&format!("--{field}"), format!("\"{found}\""), accepted)
            }
            NotRecordable::Nobody { what } => {
                Self::new("--authorised-by", format!("{what} and no name"), "who decided")
            }
            NotRecordable::NoReason { what, answer } => {
                let found = format!("{what} where the answer is {answer}, and no reason");
                Self::new("--reason", found, "why the decision departs from the answer")
            }
            NotRecordable::NotShown { code, shown } => {
                let accepted = format!("a code that weighs in this answer: {shown}");
                Self::new("--acknowledge", format!("\"{code}\""), accepted)
            }
            NotRecordable::NotAcknowledged { codes } => {
                let accepted = "--acknowledge with every code that weighs, one by one";
                Self::new("--acknowledge", format!("not acknowledged: {codes}"), accepted)
            }
        }
    }
}

/// Codes of the findings that weigh, each once: what a go-ahead has to acknowledge.
pub fn weighing(findings: &[Finding]) -> Vec<&'static str> {
    let weighs = |finding: &&Finding| match finding.severity {
        Severity::Stop | Severity::Unknown | Severity::Caution => true,
        Severity::Pass | Severity::Notice => false,
    };
    let mut seen = BTreeSet::new();
    let codes = findings.iter().filter(weighs).map(|finding| finding.code);
    codes.filter(|code| seen.insert(*code)).collect()
}

/// Whether a decision departs from the answer.
pub fn departure(verdict: Verdict, decision: Decision) -> Option<Departure> {
    match (decision, verdict.permits()) {
        (Decision::GoAhead, false) => Some(Departure::Overridden),
        (Decision::Refused, true) => Some(Departure::RefusedAGo),
        (Decision::GoAhead, true) | (Decision::Refused, false) | (Decision::None, _) => None,
    }
}

/// What weighs, and whether it was acknowledged, if the statement may be recorded with this answer.
///
/// # Errors
/// [`NotRecordable`] if it may not: a go-ahead needs a name and everything that weighs acknowledged, code by code; a
/// decision that departs from the answer needs a name and a reason; only what was shown can be acknowledged, and
/// [`judged_day::code`].
pub fn recordable(
    verdict: Verdict,
    findings: &[Finding],
    statement: &Statement,
) -> Result<Vec<Caution>, NotRecordable> {
    let codes = weighing(findings);
    // Whether that one applies is decided by the moment of writing, which nobody can foresee.
    let may_be = |own: &str| codes.contains(&own) || own == judged_day::code();
    if let Some(code) = statement.acknowledged.iter().find(|own| !may_be(own)) {
        let shown_codes = if codes.is_empty() { "none".to_owned() } else { codes.join(", ") };
        return Err(NotRecordable::NotShown { code: shown(code), shown: shown_codes });
    }
    let what = match statement.decision {
        Decision::GoAhead => "a go-ahead",
        Decision::Refused => "a refusal",
        Decision::None => "a question",
    };
    let departs = departure(verdict, statement.decision).is_some();
    let named = statement.authorised_by.is_some();
    if !named && (departs || statement.decision == Decision::GoAhead) {
        return Err(NotRecordable::Nobody { what });
    }
    if departs && statement.reason.is_none() {
        return Err(NotRecordable::NoReason { what, answer: verdict.in_words() });
    }
    let acknowledged = |code: &str| statement.acknowledged.iter().any(|own| own == code);
    let open: Vec<&str> = codes.iter().copied().filter(|code| !acknowledged(code)).collect();
    if statement.decision == Decision::GoAhead && !open.is_empty() {
        return Err(NotRecordable::NotAcknowledged { codes: open.join(", ") });
    }
    let caution = |code: &&str| Caution {
        code: (*code).to_owned(),
        acknowledged: acknowledged(code),
        text: None,
    };
    Ok(codes.iter().map(caution).collect())
}
