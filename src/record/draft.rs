//! From a question and its answer to an entry that only lacks its id.

use super::decision::{NotRecordable, departure, recordable};
use super::entry::{
    AfterEvent, Authorisation, Content, Entry, Identity, InputText, People, Question, When,
};
use super::judged_day::on_another_day;
use super::statement::Statement;
use crate::assessment::Assessment;
use crate::assessment::case::Case;
use crate::rules::finding::Finding;
use chrono::{DateTime, FixedOffset};
use serde_json::Value;

/// An entry that only lacks its id.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// When it is written.
    pub written: When,
    /// What it says.
    pub content: Content,
}

/// What an authorisation is drafted from.
#[derive(Debug, Clone, Copy)]
pub struct Matter<'a> {
    /// The question.
    pub case: &'a Case,
    /// Its answer.
    pub assessment: &'a Assessment,
    /// The answer as people see it, without styles.
    pub answer: &'a str,
    /// The decision in words.
    pub in_words: &'a str,
    /// The instant that is minute 0.
    pub start: Option<DateTime<FixedOffset>>,
    /// The command that asks it again.
    pub command: &'a [String],
    /// Every file that was read.
    pub inputs: &'a [InputText],
}

impl Draft {
    /// An authorisation, refusal, or question.
    ///
    /// # Errors
    /// [`NotRecordable`] if the statement may not be recorded with this answer.
    pub fn authorisation(
        matter: &Matter<'_>,
        statement: &Statement,
        written: When,
    ) -> Result<Self, NotRecordable> {
        let assessment = matter.assessment;
        let beside = on_another_day(statement.decision, matter.case.as_of, &written);
        let findings: Vec<Finding> = assessment.findings.iter().chain(&beside).cloned().collect();
        let mut cautions = recordable(assessment.verdict, &findings, statement)?;
        if let Some(finding) = &beside {
            for own in cautions.iter_mut().filter(|own| own.code == finding.code) {
                own.text = Some(finding.text.clone());
            }
        }
        let authorisation = Authorisation {
            unit: Identity {
                name: assessment.unit.clone(),
                site: assessment.site.clone(),
                serial: matter.case.unit.serial.clone(),
            },
            question: question(matter, statement),
            inputs: matter.inputs.to_vec(),
            // Plain data always becomes JSON; the answer in words stands beside it.
            assessment: serde_json::to_value(assessment).unwrap_or(Value::Null),
            answer: matter.answer.to_owned(),
            cautions,
            people: People {
                asked_by: statement.asked_by.clone(),
                authorised_by: statement.authorised_by.clone(),
                received_by: statement.received_by.clone(),
                repeat_back: statement.repeat_back.clone(),
            },
            decision: statement.decision,
            reason: statement.reason.clone(),
            departure: departure(assessment.verdict, statement.decision),
            in_words: matter.in_words.to_owned(),
        };
        Ok(Self { written, content: Content::Authorisation(Box::new(authorisation)) })
    }

    /// What came of an authorised overload.
    pub fn after_event(after: AfterEvent, written: When) -> Self {
        Self { written, content: Content::AfterEvent(after) }
    }

    /// The id that it would like to have: time, unit, and what it is unless an authorisation.
    pub fn wanted_id(&self) -> String {
        let digits: String = self.written.utc.chars().filter(char::is_ascii_digit).collect();
        let (day, time) = digits.split_at_checked(8).unwrap_or((&digits, ""));
        let after = match &self.content {
            Content::Authorisation(_) => "",
            Content::AfterEvent(_) => "-after",
        };
        format!("{day}-{time}-{}{after}", self.content.unit())
    }

    /// The whole entry.
    pub fn with_id(&self, id: &str) -> Entry {
        Entry { id: id.to_owned(), written: self.written.clone(), content: self.content.clone() }
    }
}

fn question(matter: &Matter<'_>, statement: &Statement) -> Question {
    let loading = &matter.case.request.loading;
    Question {
        command: matter.command.to_vec(),
        steps: loading.load.steps().to_vec(),
        end_min: loading.end_min,
        start: matter.start.map(|start| start.to_rfc3339()),
        required_end: statement.required_end.map(|end| end.to_rfc3339()),
        drop_back_pu: matter.assessment.asked.drop_back_pu,
        top_oil_by: statement.top_oil_by.clone(),
        tap: statement.tap.clone(),
        as_of: matter.case.as_of.map(|day| day.to_string()),
    }
}
