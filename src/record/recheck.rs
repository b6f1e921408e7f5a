//! Recorded go-aheads held against what this version answers to the same questions.
//!
//! Nothing in a record changes. What cannot be asked again counts as not holding: nobody may read a silence as a go.

use super::entry::Authorisation;
use crate::assessment::{Assessment, Tool};
use crate::rules::finding::{Finding, Severity};
use crate::rules::verdict::Verdict;
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeMap;

/// A margin that is lower by less than this is the same, K. Our choice: it is the last digit that answers show.
pub const LEAST_K: f64 = 0.1;

/// Every go-ahead of a record, asked again.
///
/// Figures are unrounded; a `null` means "none" or "not known".
#[derive(Debug, Clone, Serialize)]
pub struct Recheck {
    /// What asked again.
    pub tool: Tool,
    /// How many entries the record has.
    pub entries: i64,
    /// Whether every entry is there, as and where it was written.
    pub intact: bool,
    /// What is not.
    pub faults: Vec<String>,
    /// The go-aheads in the order of their entries, and entries of which it is not known whether they are one.
    pub go_aheads: Vec<Rechecked>,
}

impl Recheck {
    /// Those with this outcome.
    pub fn with(&self, outcome: Outcome) -> impl Iterator<Item = &Rechecked> {
        self.go_aheads.iter().filter(move |own| own.outcome == outcome)
    }

    /// How many have this outcome.
    pub fn count(&self, outcome: Outcome) -> usize {
        self.with(outcome).count()
    }

    /// How many this version does not answer with a go any more.
    pub fn fallen(&self) -> usize {
        self.count(Outcome::NoGo) + self.count(Outcome::CannotDecide)
    }
}

/// A go-ahead, asked again.
#[derive(Debug, Clone, Serialize)]
pub struct Rechecked {
    /// Number of the entry.
    pub entry: i64,
    /// Its id.
    pub id: String,
    /// When it was written, where it was written.
    pub written: String,
    /// Name of the unit.
    pub unit: String,
    /// What was asked; `null` where the entry cannot be read.
    pub asked: Option<AskedThen>,
    /// Whether it was given against the answer.
    pub against_the_answer: bool,
    /// What was answered then.
    pub then: Option<Said>,
    /// What this version answers.
    pub now: Option<Said>,
    /// What became of it.
    pub outcome: Outcome,
    /// Why it cannot be asked again.
    pub not_rechecked: Option<String>,
    /// What is not as it was when it was recorded, where somebody chose so.
    pub notes: Vec<String>,
    /// Stops, unknowns and cautions that the recorded answer did not have, gravest first.
    pub new_findings: Vec<Finding>,
}

/// What a go-ahead was about.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AskedThen {
    /// Greatest load of the overload, pu.
    pub load_pu: f64,
    /// End of the overload, min.
    pub duration_min: f64,
    /// The day for which it was asked.
    pub as_of: Option<String>,
}

impl AskedThen {
    /// What an entry says of it.
    pub fn of(authorisation: &Authorisation) -> Self {
        let question = &authorisation.question;
        let within = question.steps.iter().filter(|(minute, _)| *minute < question.end_min);
        Self {
            load_pu: within.map(|(_, load)| *load).fold(0.0, f64::max),
            duration_min: question.end_min,
            as_of: question.as_of.clone(),
        }
    }
}

/// An answer, as far as two are compared.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Said {
    /// The verdict; `null` where the record has none that this version knows.
    pub verdict: Option<Verdict>,
    /// The margin that decides, K.
    pub margin_low_k: Option<f64>,
    /// Whether it is that of simulated cases.
    pub drawn: bool,
    /// Version of the program.
    pub version: Option<String>,
}

impl Said {
    /// A recorded answer.
    pub fn recorded(assessment: &Value) -> Self {
        let verdict = assessment.get("verdict").cloned().unwrap_or(Value::Null);
        let version = assessment.pointer("/tool/version").and_then(Value::as_str);
        Self {
            verdict: serde_json::from_value(verdict).ok(),
            margin_low_k: assessment.pointer("/bubbling/margin_low_k").and_then(Value::as_f64),
            drawn: assessment.get("spread").is_some_and(|spread| !spread.is_null()),
            version: version.map(str::to_owned),
        }
    }

    /// An answer of this version.
    pub fn now(assessment: &Assessment) -> Self {
        Self {
            verdict: Some(assessment.verdict),
            margin_low_k: assessment.bubbling.margin_low_k,
            drawn: assessment.spread.is_some(),
            version: Some(assessment.tool.version.to_owned()),
        }
    }
}

/// What became of a go-ahead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// This version answers no-go.
    NoGo,
    /// This version cannot decide.
    CannotDecide,
    /// It cannot be asked again.
    NotRechecked,
    /// It was given against the answer, and this version answers no better and no worse.
    StillAgainstTheAnswer,
    /// It holds with a lower margin, or with cautions that nobody acknowledged.
    HoldsWithLess,
    /// It holds.
    Holds,
}

/// What became of a go-ahead that was asked again.
///
/// One that was given against the answer never held, and does not fall where the answer stays what it was; it falls
/// where the answer got graver than the one that was overridden: nobody could decide and this version says no-go, the
/// margin is lower, or a stop or an unknown stands there that did not. Our choice: a record with one override would
/// otherwise never pass again, and nobody would look at it any more.
pub fn outcome(then: &Said, now: &Said, overridden: bool, new_findings: &[Finding]) -> Outcome {
    let fallen = match now.verdict {
        Some(Verdict::Go | Verdict::GoWithCautions) => None,
        Some(Verdict::NoGo) => Some(Outcome::NoGo),
        Some(Verdict::CannotDecide) | None => Some(Outcome::CannotDecide),
    };
    let decided = then.verdict == Some(Verdict::CannotDecide) && now.verdict == Some(Verdict::NoGo);
    let weighs = |own: &Finding| matches!(own.severity, Severity::Stop | Severity::Unknown);
    let graver = decided || has_less(then, now) || new_findings.iter().any(weighs);
    match fallen {
        Some(_) if overridden && !graver => Outcome::StillAgainstTheAnswer,
        Some(fallen) => fallen,
        None if has_less(then, now) || !new_findings.is_empty() => Outcome::HoldsWithLess,
        None => Outcome::Holds,
    }
}

fn has_less(then: &Said, now: &Said) -> bool {
    match (then.margin_low_k, now.margin_low_k) {
        (Some(then_k), Some(now_k)) => !(now_k > then_k - LEAST_K),
        (Some(_), None) => true,
        (None, _) => false,
    }
}

/// What weighs in an answer of this version and did not, or weighed less, in a recorded one. Of a code that stands there
/// several times the gravest counts.
pub fn new_findings(then: &Value, now: &Assessment) -> Vec<Finding> {
    let known = weights(then);
    let is_new = |finding: &&Finding| {
        let weight = weight(finding.severity);
        weight > 0 && known.get(finding.code).is_none_or(|then| *then < weight)
    };
    now.findings.iter().filter(is_new).cloned().collect()
}

/// The gravest weight of every code of a recorded answer.
fn weights(assessment: &Value) -> BTreeMap<&str, u8> {
    let findings = assessment.get("findings").and_then(Value::as_array);
    let mut weights = BTreeMap::new();
    for finding in findings.into_iter().flatten() {
        let text = |key: &str| finding.get(key).and_then(Value::as_str);
        let (Some(code), Some(severity)) = (text("code"), text("severity")) else {
            continue;
        };
        let found = [Severity::Caution, Severity::Unknown, Severity::Stop]
            .into_iter()
            .find(|own| serde_json::to_value(own).is_ok_and(|own| own == severity));
        let own = found.map_or(0, weight);
        weights.entry(code).and_modify(|most: &mut u8| *most = own.max(*most)).or_insert(own);
    }
    weights
}

fn weight(severity: Severity) -> u8 {
    match severity {
        Severity::Notice | Severity::Pass => 0,
        Severity::Caution => 1,
        Severity::Unknown => 2,
        Severity::Stop => 3,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(verdict: Verdict, margin_low_k: Option<f64>) -> Said {
        Said { verdict: Some(verdict), margin_low_k, drawn: true, version: None }
    }

    fn of(then: (Verdict, f64), now: (Verdict, f64), overridden: bool) -> Outcome {
        outcome(&said(then.0, Some(then.1)), &said(now.0, Some(now.1)), overridden, &[])
    }

    #[test]
    fn a_go_that_is_no_longer_one_has_fallen_whatever_its_margin() {
        let then = (Verdict::Go, 12.0);
        assert_eq!(of(then, (Verdict::NoGo, 13.0), false), Outcome::NoGo);
        assert_eq!(of(then, (Verdict::CannotDecide, 13.0), false), Outcome::CannotDecide);
        let unknown = Said { verdict: None, ..said(Verdict::Go, Some(20.0)) };
        let found = outcome(&said(Verdict::Go, Some(12.0)), &unknown, false, &[]);
        assert_eq!(found, Outcome::CannotDecide);
    }

    #[test]
    fn a_lower_or_unknown_margin_is_less() {
        let then = (Verdict::Go, 12.0);
        assert_eq!(of(then, (Verdict::Go, 11.95), false), Outcome::Holds);
        assert_eq!(of(then, (Verdict::Go, 11.8), false), Outcome::HoldsWithLess);
        assert_eq!(of(then, (Verdict::Go, f64::NAN), false), Outcome::HoldsWithLess);
        let without = said(Verdict::GoWithCautions, None);
        let found = outcome(&said(Verdict::Go, Some(12.0)), &without, false, &[]);
        assert_eq!(found, Outcome::HoldsWithLess);
    }

    #[test]
    fn an_override_falls_only_where_the_answer_got_graver() {
        let (no, open) = ((Verdict::NoGo, 3.0), (Verdict::CannotDecide, 3.0));
        for (then, now) in [(no, no), (no, open), (open, open)] {
            assert_eq!(of(then, now, true), Outcome::StillAgainstTheAnswer);
        }
        assert_eq!(of(open, no, true), Outcome::NoGo);
        // Nobody overrode a margin so low, or a stop of which nothing was known.
        assert_eq!(of((Verdict::NoGo, 8.3), (Verdict::NoGo, -0.9), true), Outcome::NoGo);
        assert_eq!(of(no, (Verdict::CannotDecide, 1.0), true), Outcome::CannotDecide);
        assert_eq!(of(no, (Verdict::NoGo, 2.95), true), Outcome::StillAgainstTheAnswer);
        let unknown = outcome(&said(no.0, Some(3.0)), &said(no.0, None), true, &[]);
        assert_eq!(unknown, Outcome::NoGo);
        assert_eq!(of(no, (Verdict::Go, 3.0), true), Outcome::Holds);
    }
}
