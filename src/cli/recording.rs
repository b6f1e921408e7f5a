//! `check --record`: the answer goes into a record before it is shown.

use super::case::Question;
use super::{Failure, flags};
use crate::assessment::Assessment;
use crate::input::InputError;
use crate::record::decision::Decision;
use crate::record::draft::{Draft, Matter};
use crate::record::entry::{InputText, When};
use crate::record::judged_day::on_another_day;
use crate::record::statement::Statement;
use crate::record::store::{MOST_BODY, Store, StoreError, Written};
use crate::report::{record_words, text};
use crate::rules::finding::Finding;
use crate::unit::defaults::Catalogue;
use chrono::{DateTime, FixedOffset};
use clap::{Args, Command, ValueEnum};
use std::path::PathBuf;

/// Flags of `check` about its record.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Args)]
#[command(next_help_heading = "Record")]
pub struct RecordingArguments {
    /// Record to which the question, the answer and the decision are added; it is made if it is not there
    #[arg(long, value_name = "FILE")]
    pub(super) record: Option<PathBuf>,

    /// What was decided; against the answer only with --authorised-by and --reason
    #[arg(long, value_enum, requires = "record")]
    decision: Option<RecordedDecision>,

    /// Who asked
    #[arg(long, value_name = "NAME", requires = "record")]
    asked_by: Option<String>,

    /// Who authorised the overload, or refused it
    #[arg(long, value_name = "NAME", requires = "record")]
    authorised_by: Option<String>,

    /// Who received it
    #[arg(long, value_name = "NAME", requires = "record")]
    received_by: Option<String>,

    /// What the receiver repeated back
    #[arg(long, value_name = "TEXT", requires = "record")]
    repeat_back: Option<String>,

    /// Code of a finding that weighs and was acknowledged; repeated, or several with commas. A go-ahead needs every one of them
    #[arg(long, value_name = "CODE", value_delimiter = ',', requires = "record")]
    acknowledge: Vec<String>,

    /// Why it was decided so
    #[arg(long, value_name = "TEXT", requires = "record")]
    reason: Option<String>,

    /// How the top oil was measured, and by whom
    #[arg(long, value_name = "TEXT", requires = "record")]
    top_oil_by: Option<String>,

    /// Position of the tap changer
    #[arg(long, value_name = "TEXT", requires = "record")]
    tap: Option<String>,

    /// By when the overload must have ended, RFC 3339
    #[arg(long, value_name = "TIME", value_parser = flags::instant, requires = "record")]
    required_end: Option<DateTime<FixedOffset>>,
}

/// What was decided.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum RecordedDecision {
    /// The overload may be carried.
    GoAhead,
    /// It may not.
    Refused,
    /// Nothing yet: it was only asked.
    None,
}

impl From<RecordedDecision> for Decision {
    fn from(decision: RecordedDecision) -> Self {
        match decision {
            RecordedDecision::GoAhead => Self::GoAhead,
            RecordedDecision::Refused => Self::Refused,
            RecordedDecision::None => Self::None,
        }
    }
}

/// A record that is open, and what people say.
pub(super) struct Recording {
    store: Result<Store, StoreError>,
    statement: Statement,
}

impl Recording {
    /// Checks what can be checked before the long work, and opens the record.
    ///
    /// # Errors
    /// [`InputError`] for a statement, a case or a file that is refused. A disk that fails is found when the answer
    /// is there, so that it is not lost.
    pub(super) fn open(
        arguments: &RecordingArguments,
        question: &Question,
    ) -> Result<Option<Self>, InputError> {
        let Some(path) = &arguments.record else {
            return Ok(None);
        };
        let statement = arguments.statement().checked()?;
        let bytes: usize = question.texts.iter().map(|(_, text)| text.len()).sum();
        if bytes > MOST_BODY {
            let accepted =
                format!("files of at most {MOST_BODY} bytes together: they are kept in the record");
            return Err(InputError::new("--record", format!("{bytes} bytes of files"), accepted));
        }
        match Store::open(path) {
            Err(StoreError::Refused(error)) => Err(error.at_key("--record")),
            store => Ok(Some(Self { store, statement })),
        }
    }

    /// What is found beside the answer when it is recorded at this moment.
    pub(super) fn beside(&self, question: &Question, when: &When) -> Option<Finding> {
        on_another_day(self.statement.decision, question.case.as_of, when)
    }

    /// Adds the answer; once it returns, it is on the disk.
    ///
    /// # Errors
    /// [`Failure`] if it may not be recorded so, or cannot be written.
    pub(super) fn written(
        self,
        question: &Question,
        assessment: &Assessment,
        catalogue: &Catalogue,
        when: When,
    ) -> Result<Written, Failure> {
        let mut store = self.store?;
        let command = command(std::env::args().collect(), assessed_for(question));
        let draft = drafted(question, assessment, &self.statement, &command, catalogue, when)?;
        Ok(store.append(&draft)?)
    }
}

fn assessed_for(question: &Question) -> Option<String> {
    question.case.as_of.map(|day| day.to_string())
}

/// An entry that only lacks its id, from a question, its answer and what people say.
///
/// # Errors
/// [`InputError`] naming the flag if it may not be recorded so.
pub fn drafted(
    question: &Question,
    assessment: &Assessment,
    statement: &Statement,
    command: &[String],
    catalogue: &Catalogue,
    written: When,
) -> Result<Draft, InputError> {
    let answer = anstream::adapter::strip_str(&text::rendered(assessment)).to_string();
    let beside = on_another_day(statement.decision, question.case.as_of, &written);
    let beside = beside.map_or_else(String::new, |finding| format!(" {}", finding.text));
    let in_words = format!("{}{beside}", record_words::decided(assessment, statement));
    let matter = Matter {
        case: &question.case,
        assessment,
        answer: &answer,
        in_words: &in_words,
        start: question.begins,
        command,
        inputs: &inputs(question, catalogue),
    };
    Ok(Draft::authorisation(&matter, statement, written)?)
}

/// Every file of the question, and the profile files that stand in the place of embedded ones.
fn inputs(question: &Question, catalogue: &Catalogue) -> Vec<InputText> {
    let read = question.texts.iter().zip(&question.read);
    let own = catalogue.files().filter(|(path, _)| catalogue.is_own(path));
    let read =
        read.map(|((part, text), path)| InputText::new(part, &path.display().to_string(), text));
    read.chain(own.map(|(path, text)| InputText::new("profiles", path, text))).collect()
}

/// The command that asks the same again and records nothing, for the day for which it was asked.
fn command(arguments: Vec<String>, as_of: Option<String>) -> Vec<String> {
    let recording = RecordingArguments::augment_args(Command::new(""));
    let mut left_out: Vec<String> = recording
        .get_arguments()
        .filter_map(|argument| Some(format!("--{}", argument.get_long()?)))
        .collect();
    left_out.push("--out".to_owned());
    let mut kept = vec![env!("CARGO_PKG_NAME").to_owned()];
    let mut rest = arguments.into_iter().skip(1);
    while let Some(word) = rest.next() {
        let flag = word.split('=').next().unwrap_or("");
        if !left_out.iter().any(|out| out == flag) {
            kept.push(word);
        } else if !word.contains('=') {
            // The value of a flag that is left out.
            rest.next();
        }
    }
    let states_day = kept.iter().any(|word| word.split('=').next() == Some("--as-of"));
    if let Some(day) = as_of.filter(|_| !states_day) {
        kept.extend(["--as-of".to_owned(), day]);
    }
    kept
}

impl RecordingArguments {
    /// What people say, as yet unchecked.
    pub fn statement(&self) -> Statement {
        Statement {
            asked_by: self.asked_by.clone(),
            authorised_by: self.authorised_by.clone(),
            received_by: self.received_by.clone(),
            repeat_back: self.repeat_back.clone(),
            decision: self.decision.map_or(Decision::None, Into::into),
            reason: self.reason.clone(),
            acknowledged: self.acknowledge.clone(),
            top_oil_by: self.top_oil_by.clone(),
            tap: self.tap.clone(),
            required_end: self.required_end,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_command_kept_records_nothing_and_names_its_day() {
        let given = "x check a.yaml --record r.db --reason=why --preload 0.7 --acknowledge a,b --out o --load=1.2";
        let words = given.split(' ').map(str::to_owned).collect();
        let kept = command(words, Some("2026-10-20".to_owned())).join(" ");
        assert_eq!(kept, "bubblemargin check a.yaml --preload 0.7 --load=1.2 --as-of 2026-10-20");
    }
}
