//! A decision in words, and what others wrote made fit to print.

use super::spread_words::deciding;
use crate::assessment::Assessment;
use crate::input::text::is_bidi;
use crate::record::decision::{Decision, Departure, departure};
use crate::record::statement::Statement;
use crate::rules::verdict::Verdict;
use serde_json::Value;

/// What was decided on this answer, in a sentence that stands alone.
pub fn decided(assessment: &Assessment, statement: &Statement) -> String {
    let margin = margin(assessment.bubbling.margin_low_k, assessment.spread.is_some());
    let first = assessment.findings.first().filter(|_| assessment.verdict != Verdict::Go);
    let first = first.map_or_else(String::new, |finding| format!(", {}", finding.code));
    let answer = format!("the answer was {} ({margin}{first})", assessment.verdict.in_words());
    let who = statement.authorised_by.as_deref().unwrap_or("nobody named");
    let because = statement.reason.as_ref();
    let because = because.map_or_else(|| ".".to_owned(), |reason| format!(", because: {reason}"));
    match (statement.decision, departure(assessment.verdict, statement.decision)) {
        (_, Some(Departure::Overridden)) => {
            format!("OVERRIDDEN: {answer}; {who} authorised the overload all the same{because}")
        }
        (_, Some(Departure::RefusedAGo)) => {
            format!("REFUSED: {answer}; {who} refused the overload all the same{because}")
        }
        (Decision::GoAhead, None) => {
            format!("AUTHORISED: {answer}; {who} authorised the overload{because}")
        }
        (Decision::Refused, None) => format!("REFUSED: {answer}; {who} refused it{because}"),
        (Decision::None, None) => format!("NOT DECIDED: {answer}; nothing was decided{because}"),
    }
}

/// The decision in a few words, beside the answer.
pub(super) fn decision(decision: Decision, departure: Option<Departure>) -> &'static str {
    match (decision, departure) {
        (_, Some(Departure::Overridden)) => "authorised, OVERRIDDEN",
        (_, Some(Departure::RefusedAGo)) => "refused all the same",
        (Decision::GoAhead, None) => "authorised",
        (Decision::Refused, None) => "refused",
        (Decision::None, None) => "not decided",
    }
}

/// The verdict of a recorded answer, and its margin.
pub(super) fn answered(assessment: &Value) -> (String, String) {
    let verdict = assessment.get("verdict").cloned().unwrap_or(Value::Null);
    let verdict = serde_json::from_value::<Verdict>(verdict);
    let word = verdict.map_or("unknown answer", Verdict::in_words).to_owned();
    let low_k = assessment.pointer("/bubbling/margin_low_k").and_then(Value::as_f64);
    (word, margin(low_k, assessment.get("spread").is_some_and(|spread| !spread.is_null())))
}

fn margin(low_k: Option<f64>, drawn: bool) -> String {
    format!("margin {}", deciding(low_k, drawn))
}

/// A text as it may be printed: what would control a terminal or turn the text round is written out.
pub fn printable(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.chars() {
        if letter.is_control() || is_bidi(letter) {
            plain.extend(letter.escape_unicode());
        } else {
            plain.push(letter);
        }
    }
    plain
}

/// The same for several lines.
pub(super) fn printable_lines(text: &str) -> String {
    text.lines().map(printable).collect::<Vec<_>>().join("\n")
}

/// A command as a shell takes it.
pub fn command_line(words: &[String]) -> String {
    let plain = |word: &String| {
        let safe = |c: char| c.is_ascii_alphanumeric() || "-_./:=,+%".contains(c);
        let safe = !word.is_empty() && word.chars().all(safe);
        if safe { word.clone() } else { format!("'{}'", word.replace('\'', "'\\''")) }
    };
    words.iter().map(plain).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_controls_a_terminal_is_printed() {
        assert_eq!(printable("a\u{1b}[2Jb\nc\u{202e}d"), "a\\u{1b}[2Jb\\u{a}c\\u{202e}d");
        assert_eq!(printable_lines("a\n\u{7}b"), "a\n\\u{7}b");
    }

    #[test]
    fn a_command_can_be_given_to_a_shell() {
        let words = ["check", "a b", "it's"].map(str::to_owned);
        assert_eq!(command_line(&words), "check 'a b' 'it'\\''s'");
    }
}
