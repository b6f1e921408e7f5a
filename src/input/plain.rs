//! YAML as it stands in the file: what a reader would change in silence before anybody sees it.
//!
//! YAML takes `0x10` for 16, `0o17` for 15, `1_0` for 10 and a tag for nothing at all; by an older edition
//! `010` is 8. Who writes such a figure in a profile has mistyped it, or holds it for another one: only plain
//! decimal numbers are numbers here. Our choice.

use super::shown;
use serde_yaml::granit_parser::{Event, Marker, Parser, ScalarStyle, Span};
use std::borrow::Cow;

/// Far above any profile; the reader itself refuses sooner what has more.
const MOST_EVENTS: usize = 60_000;

/// What cannot be read as it was written: what it is, its line and column from 1, and what is accepted.
#[derive(Debug)]
pub(super) struct Odd {
    pub(super) found: String,
    pub(super) line: usize,
    pub(super) column: usize,
    pub(super) accepted: &'static str,
}

impl Odd {
    fn at(place: Marker, found: String, accepted: &'static str) -> Self {
        Self { found, line: place.line(), column: place.col() + 1, accepted }
    }
}

/// The same text with figures that are no plain decimal numbers in quotes, so that they are read as texts:
/// what wants a number refuses them as they were written, and a serial number stays what it is.
///
/// # Errors
/// [`Odd`] for a tag, and for such a figure that cannot be put in quotes.
pub(super) fn written(text: &str) -> Result<Cow<'_, str>, Odd> {
    let mut quoted = String::new();
    let mut done = 0;
    // What is no YAML at all ends it; the reader says why.
    for (event, span) in Parser::new_from_str(text).take(MOST_EVENTS).map_while(Result::ok) {
        let tag = match &event {
            Event::Scalar(_, _, _, tag)
            | Event::SequenceStart(_, _, tag)
            | Event::MappingStart(_, _, tag) => tag,
            Event::Nothing
            | Event::StreamStart
            | Event::StreamEnd
            | Event::DocumentStart(..)
            | Event::DocumentEnd
            | Event::Alias(_)
            | Event::Comment(..)
            | Event::SequenceEnd
            | Event::MappingEnd => &None,
        };
        if tag.is_some() {
            let accepted = "the value alone, without a tag (in quotes if a text begins with !)";
            let place = span.tag_start().unwrap_or(span.start);
            return Err(Odd::at(place, "a tag".to_owned(), accepted));
        }
        if let Event::Scalar(value, ScalarStyle::Plain, ..) = &event
            && is_other_than_decimal(value)
        {
            let Some((from, to)) = bytes(text, span, value) else {
                let accepted = "a plain decimal number, or a text in quotes";
                return Err(Odd::at(span.start, shown(value), accepted));
            };
            quoted.push_str(&text[done..from]);
            quoted.push('"');
            quoted.push_str(value);
            quoted.push('"');
            done = to;
        }
    }
    if done == 0 {
        return Ok(Cow::Borrowed(text));
    }
    quoted.push_str(&text[done..]);
    Ok(Cow::Owned(quoted))
}

/// Where a plain value stands in the text.
fn bytes(text: &str, span: Span, value: &str) -> Option<(usize, usize)> {
    let from = span.start.byte_offset()?;
    let to = from + value.len();
    (text.get(from..to) == Some(value)).then_some((from, to))
}

/// Whether a value is a figure of another base, with `_` between digits, or with zeros before it.
pub(super) fn is_other_than_decimal(value: &str) -> bool {
    let figure = value.strip_prefix(['+', '-']).unwrap_or(value);
    let mut first = figure.bytes();
    match (first.next(), first.next()) {
        (Some(b'0'), Some(b'x' | b'X' | b'o' | b'O' | b'b' | b'B')) => true,
        (Some(b'0'), Some(b'0'..=b'9')) => is_figure(figure),
        (Some(b'0'..=b'9' | b'.'), _) => figure.contains('_') && is_figure(figure),
        _ => false,
    }
}

fn is_figure(text: &str) -> bool {
    text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'_' | b'.' | b'e' | b'E' | b'+' | b'-'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_that_are_no_plain_decimals_become_texts_and_nothing_else_changes() {
        let text = "a: 0x10 # 0x10\nb: { c: 1_0, d: [0o17, 040] }\ne: it is 0x10\nf: '0x10'\ng: |\n  0x10\nh: 5.\nö: &x -0b1\n";
        let wanted = "a: \"0x10\" # 0x10\nb: { c: \"1_0\", d: [\"0o17\", \"040\"] }\ne: it is 0x10\nf: '0x10'\ng: |\n  0x10\nh: 5.\nö: &x \"-0b1\"\n";
        assert_eq!(written(text).unwrap(), wanted);
    }

    #[test]
    fn plain_decimals_dates_and_words_stay_as_they_are() {
        for value in [
            "0",
            "-0",
            "0.5",
            "+5",
            ".5",
            "5.",
            "1e3",
            "4E+1",
            "2026-10-20",
            "1:30",
            "0x",
            "~",
            "a_1",
            "true",
            "0.05",
            "100",
        ] {
            let odd = is_other_than_decimal(value);
            assert_eq!(odd, value == "0x", "{value}");
        }
    }

    #[test]
    fn a_tag_is_refused_wherever_it_stands() {
        for (text, line) in [
            ("a: !tag 50\n", 1),
            ("a: 1\nb: !!int 50\n", 2),
            ("a: 1\nb: !x { c: 1 }\n", 2),
            ("a:\n  - !x [1]\n", 2),
            ("!x\na: 1\n", 1),
            ("a: ! 50\n", 1),
        ] {
            let odd = written(text).unwrap_err();
            assert_eq!((odd.found.as_str(), odd.line), ("a tag", line), "{text}");
        }
        assert!(written("a: '!x 50'\nb: x! # !y\n").is_ok());
    }
}
