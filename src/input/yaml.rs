//! YAML, strictly: no unknown or duplicate keys, no yes/no as booleans, no merge keys, no tags,
//! numbers as plain decimals, one document, and a budget that stops aliases out of all proportion.

use super::number::FOUND_ACCEPTED;
use super::{InputError, plain, shown};
use serde::de::{DeserializeOwned, Error as _};
use serde::{Deserialize, Deserializer};
use serde_yaml::Error;

/// Reads one YAML document.
///
/// # Errors
/// [`InputError`] with file, line, key, what was found and what is accepted.
pub fn read<T: DeserializeOwned>(place: &str, text: &str) -> Result<T, InputError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if let Some(line) = control_character(text) {
        let accepted = "text without control characters";
        return Err(InputError::new(place, "a control character", accepted).at_line(line));
    }
    if let Some(line) = second_document(text) {
        return Err(InputError::new(place, "a second document", "one YAML document in a file")
            .at_line(line));
    }
    let text = &plain::written(text).map_err(|odd| {
        let refused = InputError::new(place, odd.found, odd.accepted).at_line(odd.line);
        let path = path_to(text, odd.line, odd.column);
        if path.is_empty() { refused } else { refused.at_key(path.join(".")) }
    })?;
    serde_yaml::from_str_with_options(text, options())
        .map_err(|error| explained(place, text, &error))
}

/// What is accepted where a key stands empty.
const LEFT_OUT: &str = "a value, or the whole key left out";

/// A value of a key that may be left out, but not be left empty: a rule without its figure must not pass for none.
///
/// # Errors
/// What the deserializer refuses, and nothing at all.
pub fn filled<'de, D: Deserializer<'de>, T: Deserialize<'de>>(
    from: D,
) -> Result<Option<T>, D::Error> {
    let value: Option<T> = Option::deserialize(from)?;
    if value.is_none() {
        return Err(D::Error::custom(format!("nothing{FOUND_ACCEPTED}{LEFT_OUT}")));
    }
    Ok(value)
}

fn options() -> serde_yaml::Options {
    // Far above any profile, far below what would be felt.
    let budget = serde_yaml::budget! {
        max_events: 50_000,
        max_nodes: 20_000,
        max_depth: 16,
        max_aliases: 100,
        max_anchors: 100,
        max_total_scalar_bytes: 1_000_000,
    };
    serde_yaml::options! {
        budget: budget,
        strict_booleans: true,
        merge_keys: serde_yaml::options::MergeKeyPolicy::Error,
        with_snippet: false,
        alias_limits: serde_yaml::alias_limits! {
            max_total_replayed_events: 2_000,
            max_replay_stack_depth: 8,
            max_alias_expansions_per_anchor: 50,
        },
    }
}

/// The reader takes a NUL for the end of the text, so what follows would be ignored quietly.
fn control_character(text: &str) -> Option<usize> {
    let odd = |c: char| c.is_control() && !matches!(c, '\t' | '\n' | '\r');
    text.find(odd).map(|at| text[..at].matches('\n').count() + 1)
}

/// The reader stops after the first document, so a second one would be ignored quietly.
fn second_document(text: &str) -> Option<usize> {
    let mut content = false;
    for (index, line) in text.lines().enumerate() {
        let marker = line == "---" || line.starts_with("--- ") || line.starts_with("...");
        if marker && content {
            return Some(index + 1);
        }
        content |= !marker && !line.trim().is_empty() && !line.trim_start().starts_with('#');
    }
    None
}

fn explained(place: &str, text: &str, error: &Error) -> InputError {
    let at = error.location().map(|location| {
        let line = usize::try_from(location.line()).unwrap_or(1);
        let column = usize::try_from(location.column()).unwrap_or(1);
        (line, column)
    });
    let (found, accepted, own_key) = in_words(error);
    let found = found.unwrap_or_else(|| {
        at.map_or_else(String::new, |(line, column)| value_at(text, line, column))
    });
    let mut refused = InputError::new(place, found, accepted);
    let Some((line, column)) = at else {
        return refused;
    };
    refused = refused.at_line(line);
    let mut path = path_to(text, line, column);
    // Where nothing stands the reader points before it.
    let left_empty =
        (refused.accepted == LEFT_OUT).then(|| empty_key(text, line, column)).flatten();
    if let Some(key) = own_key.or(left_empty)
        && path.last() != Some(&key)
    {
        path.push(key);
    }
    if !path.is_empty() {
        refused = refused.at_key(path.join("."));
    }
    refused
}

/// What was found (where the reader says), what is accepted, and the key (where the reader says).
fn in_words(error: &Error) -> (Option<String>, String, Option<String>) {
    let list = |names: &[&str]| names.join(", ");
    #[allow(
        clippy::wildcard_enum_match_arm,
        reason = "the reader's other errors explain themselves in one sentence"
    )]
    match error {
        Error::Message { msg, .. } => match msg.split_once(FOUND_ACCEPTED) {
            Some((found, accepted)) => (Some(found.to_owned()), accepted.to_owned(), None),
            None => (None, msg.clone(), None),
        },
        Error::SerdeUnknownField { field, expected, .. } => {
            (Some(format!("the unknown key {}", shown(field))), list(expected), Some(shown(field)))
        }
        Error::SerdeMissingField { field, .. } => (
            Some("nothing".to_owned()),
            format!("the key {field}, which is required"),
            Some((*field).to_owned()),
        ),
        Error::SerdeUnknownVariant { variant, expected, .. } => {
            (Some(shown(variant)), list(expected), None)
        }
        Error::DuplicateMappingKey { key, .. } => (
            Some("the same key twice".to_owned()),
            "each key once".to_owned(),
            key.as_deref().map(shown),
        ),
        Error::InvalidBooleanStrict { .. } => (None, "true or false".to_owned(), None),
        Error::NullIntoString { .. } => (Some("nothing".to_owned()), "a text".to_owned(), None),
        Error::Eof { .. } => (Some("an empty file".to_owned()), "a YAML document".to_owned(), None),
        Error::MergeKeyNotAllowed { .. } => {
            (Some("a merge key".to_owned()), "every key written out".to_owned(), None)
        }
        Error::SerdeInvalidType { unexpected, expected, .. } => {
            (Some(shown(unexpected)), expected.clone(), None)
        }
        Error::Unexpected { expected, .. } => (None, yaml_kind(expected), None),
        Error::Budget { .. }
        | Error::AliasReplayLimitExceeded { .. }
        | Error::AliasExpansionLimitExceeded { .. } => (
            Some("more nodes, nesting or aliases than any profile needs".to_owned()),
            "a plain, short YAML file".to_owned(),
            None,
        ),
        other => (None, format!("valid YAML ({other})"), None),
    }
}

fn yaml_kind(expected: &str) -> String {
    match expected {
        "mapping start" => "keys with values".to_owned(),
        "sequence start" => "a list".to_owned(),
        "string scalar" => "a text".to_owned(),
        other => other.to_owned(),
    }
}

/// The text at a place, up to the end of the value.
fn value_at(text: &str, line: usize, column: usize) -> String {
    let rest: String = text.lines().nth(line - 1).unwrap_or("").chars().skip(column - 1).collect();
    let value = rest.split(" #").next().unwrap_or("").trim().trim_end_matches(['}', ',']);
    match value.chars().next() {
        None => "nothing".to_owned(),
        Some('{') => "keys with values".to_owned(),
        Some('[') => "a list".to_owned(),
        Some(_) => shown(value),
    }
}

/// The key behind which nothing stands: from a place on, or else anywhere on its line.
fn empty_key(text: &str, line: usize, column: usize) -> Option<String> {
    let whole = text.lines().nth(line - 1)?;
    let from: String = whole.chars().skip(column.saturating_sub(1)).collect();
    empty_key_in(&from).or_else(|| empty_key_in(whole))
}

fn empty_key_in(piece: &str) -> Option<String> {
    let mut halves = piece.split_inclusive([',', '{', '}']).map(|part| part.split_once(':'));
    let empty = |value: &str| {
        let value = value.split(" #").next().unwrap_or("").trim_end_matches([',', '}']).trim();
        ["", "~", "null", "Null", "NULL"].contains(&value)
    };
    let found = halves.find_map(|half| half.filter(|(_, value)| empty(value)))?;
    let key = found.0.trim().trim_start_matches("- ").trim();
    (!key.is_empty()).then(|| shown(key))
}

/// The keys that lead to a place, outermost first, from indentation and the line itself.
fn path_to(text: &str, line: usize, column: usize) -> Vec<String> {
    let lines: Vec<&str> = text.lines().collect();
    let Some(here) = lines.get(line.wrapping_sub(1)) else {
        return Vec::new();
    };
    let before: String = here.chars().take(column.saturating_sub(1)).collect();
    let mut path: Vec<String> = keys_in(&before).into_iter().rev().collect();
    let mut indent = indentation(here);
    for above in lines[..line - 1].iter().rev() {
        if above.trim().is_empty()
            || above.trim_start().starts_with('#')
            || indentation(above) >= indent
        {
            continue;
        }
        indent = indentation(above);
        path.extend(keys_in(above).into_iter().next());
        if indent == 0 {
            break;
        }
    }
    path.reverse();
    path
}

/// Keys still open at the end of a piece of a line: `a: { b: 1, c: ` leaves `a` and `c` open.
fn keys_in(piece: &str) -> Vec<String> {
    let mut open: Vec<Option<String>> = vec![None];
    let mut word = String::new();
    for c in piece.chars() {
        match c {
            ':' => {
                let key = word.trim().trim_start_matches("- ").trim();
                if !key.is_empty()
                    && let Some(last) = open.last_mut()
                {
                    last.get_or_insert_with(|| shown(key));
                }
            }
            '{' | '[' => open.push(None),
            '}' | ']' => {
                open.pop();
            }
            ',' => {
                if open.len() > 1
                    && let Some(last) = open.last_mut()
                {
                    *last = None;
                }
            }
            _ => {
                word.push(c);
                continue;
            }
        }
        word.clear();
    }
    open.into_iter().flatten().collect()
}

fn indentation(line: &str) -> usize {
    line.chars().take_while(|c| *c == ' ' || *c == '-').count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_path_in_block_and_flow_style() {
        let text = "unit: x\nthermal:\n  constants: onaf\n  top_oil_rise_k: 5 K\nrated: { mva: 40, cooling: 7 }\n";
        assert_eq!(path_to(text, 4, 19), ["thermal", "top_oil_rise_k"]);
        assert_eq!(path_to(text, 5, 28), ["rated", "cooling"]);
        let list = "moisture:\n  - { method: x, percent: -1 }\n";
        assert_eq!(path_to(list, 2, 27), ["moisture", "percent"]);
    }

    #[test]
    fn finds_the_key_that_is_left_empty() {
        let text = "a: 1\nb:\n  c: ~\nd: { e: , f: 2 }\ng: # none\n";
        let found = |line, column| empty_key(text, line, column);
        assert_eq!(found(1, 1), None);
        assert_eq!(found(2, 1).as_deref(), Some("b"));
        assert_eq!(found(3, 6).as_deref(), Some("c"));
        assert_eq!(found(4, 1).as_deref(), Some("e"));
        assert_eq!(found(5, 1).as_deref(), Some("g"));
    }

    #[test]
    fn refuses_a_second_document() {
        assert_eq!(second_document("---\na: 1\n---\nb: 2\n"), Some(3));
        assert_eq!(second_document("# note\n---\na: 1\n"), None);
    }
}
